"""What the direction of the rows does, as one sentence and as part of a JSON document."""

from typing import Any, Final

from simulator.orientation import Direction, Lie, RowDirection
from workbench.words import dollars

NEARLY_ALONG_DEG: Final = 22.5
"""Rows this near to a point of the compass are called by it."""
SMALL_INCOME: Final = 4.0
"""Incomes closer than this [$/ac/yr] are within what no one can foresee."""


def row_direction_document(found: RowDirection | None) -> dict[str, Any] | None:
    """Both directions as JSON; None without rows.

    Parameters
    ----------
    found
        What turning the rows does.

    Returns
    -------
    dict or None
        Light as shares of open light, forage per acre of the tract.
    """
    if found is None:
        return None
    return {
        "shaded_years": list(found.shaded_years),
        "as_planned": _direction(found.as_planned),
        "turned": _direction(found.turned),
    }


def _direction(direction: Direction) -> dict[str, Any]:
    return {
        "row_azimuth_deg": direction.azimuth_deg,
        "equal_annual_income_per_ac": direction.equal_annual_income,
        "shaded_years": direction.shaded._asdict(),
        "cycle": direction.cycle._asdict(),
    }


def row_direction_sentence(found: RowDirection) -> str:
    """What the rows' direction costs and gives, said once and without a promise.

    Parameters
    ----------
    found
        What turning the rows does.

    Returns
    -------
    str
        One or two sentences.
    """
    one, other = found.by_compass
    first, last = found.shaded_years
    planned = " (as planned)" if one is found.as_planned else ""
    turned = " (as planned)" if other is found.as_planned else ""
    years = f"year {first}" if first == last else f"years {first}-{last}"
    said = (
        f"Rows running {_named(one)}{planned} against {_named(other)}{turned}, {years}: the grass gets "
        f"{_shares(one.shaded, other.shaded)}; forage {one.shaded.forage_lb_ac:,.0f} against "
        f"{other.shaded.forage_lb_ac:,.0f} lb an acre, income {dollars(one.equal_annual_income, yearly=True)} against "
        f"{dollars(other.equal_annual_income, yearly=True)} an acre a year."
    )
    if abs(one.equal_annual_income - other.equal_annual_income) < SMALL_INCOME:
        said += " That is little beside what spacing and thinning do."
    return said


def _shares(one: Lie, other: Lie) -> str:
    return (
        f"{one.light_warm:.0%} against {other.light_warm:.0%} of open light in the growing season and "
        f"{one.light_cool:.0%} against {other.light_cool:.0%} in winter, varying across the ground by "
        f"{one.unevenness:.0%} against {other.unevenness:.0%}"
    )


def _named(direction: Direction) -> str:
    degrees = direction.azimuth_deg
    if min(degrees, 180.0 - degrees) <= NEARLY_ALONG_DEG:
        return "north-south"
    if abs(degrees - 90.0) <= NEARLY_ALONG_DEG:
        return "east-west"
    return f"at {degrees:g} degrees"
