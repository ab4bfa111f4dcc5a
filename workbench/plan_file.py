"""A plan written as a scenario file, so that what a program found can be read, changed and run by hand."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from simulator.baselines import pasture_of, plantation_of
from simulator.scenario.grass import NO_GRASS, Pasture
from simulator.scenario.model import Scenario
from simulator.scenario.rules import OVERRIDABLE

NEEDED = {"format": True, "land": True, "money": {"discount_rate", "price_table", "horizon_years"}}


def plan_text(plan: Scenario, heading: str, baselines: Mapping[str, Scenario] | None = None) -> str:
    """Write a plan as TOML that reads back as the same plan.

    Parameters
    ----------
    plan
        What to write; fields at their defaults are left out, but for the rate, the prices and the horizon.
    heading
        Comment above it, lines without the sign.
    baselines
        Plans of the single uses of the same land, by name, written as overrides of what a comparison derives from the
        plan; those that :func:`can_be_overrides`.

    Returns
    -------
    str
    """
    import tomlkit  # noqa: PLC0415 - only who writes a file pays for it

    document = tomlkit.document()
    for line in heading.splitlines():
        document.add(tomlkit.comment(line))
    document.add(tomlkit.nl())
    written = _tables(plan)
    overrides = {name: _override(other, name, plan) for name, other in (baselines or {}).items()}
    if overrides:
        said = {name: override for name, override in overrides.items() if override}
        others = {name: value for name, value in written.get("baseline", {}).items() if name not in overrides}
        written["baseline"] = others | said
    for key, value in written.items():
        document[key] = value
    return tomlkit.dumps(document)


def _tables(plan: Scenario) -> dict[str, Any]:
    if plan.use.animals != "none" and plan.use.first_grazing_year is None:
        # a file that names animals says when they graze, or that they never do
        plan = plan.model_copy(update={"use": plan.use.model_copy(update={"never_grazed": True})})
    if plan.pasture.overseeded == NO_GRASS:
        # a plan put off as a whole has moved this year too, which says nothing without a grass to sow
        first = Pasture.model_fields["overseeded_from_year"].default
        plan = plan.model_copy(update={"pasture": plan.pasture.model_copy(update={"overseeded_from_year": first})})
    stated = plan.model_dump(mode="json", by_alias=True, exclude_none=True, exclude_defaults=True)
    whole = plan.model_dump(mode="json", by_alias=True, exclude_none=True, include={"format", "title", "land", "money"})
    money = {key: value for key, value in whole["money"].items() if key in stated["money"] or key in NEEDED["money"]}  # type: ignore[operator]
    first = {"format": whole["format"], "title": whole["title"], "land": stated["land"], "money": money}
    rest = {key: value for key, value in stated.items() if key not in first}
    return first | {key: value for key, value in rest.items() if not isinstance(value, dict) or value}


def can_be_overrides(plan: Scenario, name: str, of: Scenario) -> bool:
    """Whether a single use can be written as an override of what is derived from a plan: hay cannot be taken away."""
    mine, derived = plan.use, DERIVED[name](of).use
    return mine.hay_years is not None or derived.hay_years is None


def _override(plan: Scenario, name: str, of: Scenario) -> dict[str, Any]:
    """What a single use does otherwise than the one that a comparison derives from a plan, and its grid."""
    mine, derived = (_overridable(each) for each in (plan, DERIVED[name](of)))
    if "first_grazing_year" not in derived["use"]:
        mine["use"].pop("never_grazed", None)  # the herd that trees displace never grazes under them in any case
    tables = {key: _otherwise(mine.get(key), derived.get(key)) for key in OVERRIDABLE if key in mine}
    grid = getattr(of.baseline, name).get("search", {})
    said = {key: value for key, value in tables.items() if value is not None and value != {}}
    return said | ({"search": grid} if grid else {})


def _overridable(plan: Scenario) -> dict[str, Any]:
    return plan.model_dump(mode="json", by_alias=True, exclude_none=True, include=set(OVERRIDABLE) - {"search"})


def _otherwise(mine: Any, derived: Any) -> Any:  # noqa: ANN401 - any value of a TOML file
    """What an override has to say to make one value of another; None where they are alike."""
    if mine == derived:
        return None
    if not isinstance(mine, dict) or not isinstance(derived, dict):
        return mine
    parts = {key: value if key in WHOLE else _otherwise(value, derived.get(key)) for key, value in mine.items()}
    return {key: value for key, value in parts.items() if value is not None and value != derived.get(key)}


DERIVED: Final[Mapping[str, Callable[[Scenario], Scenario]]] = {"plantation": plantation_of, "pasture": pasture_of}
WHOLE: Final = ("nitrogen_lb_ac",)
"""A rate by year is one value, replaced whole."""
