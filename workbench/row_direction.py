"""What the direction of the rows does, as one sentence and as part of a JSON document."""

from typing import Any, Final

from simulator.orientation import Direction, RowDirection
from workbench.words import dollars

NEARLY_ALONG_DEG: Final = 22.5
"""Rows this near to a point of the compass are called by it."""

LEAST_LIGHT: Final = 0.01
"""Differences of light smaller than this share are none."""

LEAST_UNEVENNESS: Final = 0.03
"""Differences of light's deviation over its mean that nobody would see are not worth a word; assumed, no source."""


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


def row_direction_sentence(found: RowDirection) -> str | None:
    """What turning the rows by a quarter would do, said once and without a promise.

    Parameters
    ----------
    found
        What turning the rows does.

    Returns
    -------
    str or None
        One sentence; None where it changes neither light by a point nor income by a dollar.
    """
    here, there = found.as_planned, found.turned
    summer = _points(there.shaded.light_warm - here.shaded.light_warm)
    winter = _points(there.shaded.light_cool - here.shaded.light_cool)
    more = there.equal_annual_income - here.equal_annual_income
    if not (summer or winter) and abs(more) < 1.0:
        return None
    first, last = found.shaded_years
    years = f"year {first}" if first == last else f"years {first}-{last}"
    even = _evenness(there.shaded.unevenness, here.shaded.unevenness)
    return (
        f"Turning rows from {_named(here)} to {_named(there)} gives the grass {_light(summer)} light in summer{even}, "
        f"{_light(winter, unit=not summer)} in winter ({years}), and {_money(more)}."
    )


def _evenness(there: float, here: float) -> str:
    """Whether the light falls clearly more or less evenly across the ground."""
    if abs(there - here) < LEAST_UNEVENNESS:
        return ""
    return f", spread {'less' if there > here else 'more'} evenly"


def _points(share: float) -> int:
    """A difference of light in whole points; less than one is none."""
    return round(100.0 * share) if abs(share) >= LEAST_LIGHT else 0


def _light(points: int, *, unit: bool = True) -> str:
    if points == 0:
        return "as much"
    named = f" point{'' if abs(points) == 1 else 's'}" if unit else ""
    return f"{abs(points)}{named} {'more' if points > 0 else 'less'}"


def _money(more: float) -> str:
    if abs(more) < 1.0:
        return "changes income by under $1 an acre a year"
    return f"{'adds' if more > 0 else 'takes'} {dollars(abs(more), yearly=True)} an acre a year"


def _named(direction: Direction) -> str:
    degrees = direction.azimuth_deg
    if min(degrees, 180.0 - degrees) <= NEARLY_ALONG_DEG:
        return "north-south"
    if abs(degrees - 90.0) <= NEARLY_ALONG_DEG:
        return "east-west"
    return f"{degrees:g} degrees"
