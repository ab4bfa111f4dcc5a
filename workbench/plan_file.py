"""A plan written as a scenario file, so that what a program found can be read, changed and run by hand."""

from collections.abc import Mapping
from typing import Any

from simulator.scenario.model import Scenario

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
        Plans of the single uses of the same land, written as overrides of what a comparison derives.

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
    overrides = {name: _override(name, other) for name, other in (baselines or {}).items()}
    if overrides:
        written["baseline"] = written.get("baseline", {}) | overrides
    for key, value in written.items():
        document[key] = value
    return tomlkit.dumps(document)


def _tables(plan: Scenario) -> dict[str, Any]:
    if plan.use.animals != "none" and plan.use.first_grazing_year is None:
        # a file that names animals says when they graze, or that they never do
        plan = plan.model_copy(update={"use": plan.use.model_copy(update={"never_grazed": True})})
    stated = plan.model_dump(mode="json", by_alias=True, exclude_none=True, exclude_defaults=True)
    whole = plan.model_dump(mode="json", by_alias=True, exclude_none=True, include={"format", "title", "land", "money"})
    money = {key: value for key, value in whole["money"].items() if key in stated["money"] or key in NEEDED["money"]}  # type: ignore[operator]
    first = {"format": whole["format"], "title": whole["title"], "land": stated["land"], "money": money}
    rest = {key: value for key, value in stated.items() if key not in first}
    return first | {key: value for key, value in rest.items() if not isinstance(value, dict) or value}


def _override(name: str, plan: Scenario) -> dict[str, Any]:
    """What a comparison is told about a single use: cuts, use, straw, and the rate of nitrogen."""
    stated = plan.model_dump(mode="json", by_alias=True, exclude_none=True, exclude_defaults=True)
    if name == "pasture" and plan.trees is None:
        use = {key: value for key, value in stated.get("use", {}).items() if key in USED}
        return {"use": use, "pasture": {"nitrogen_lb_ac": plan.pasture.nitrogen_lb_ac}}
    cuts = {"thinning": stated.get("thinning", []), "pruning": stated.get("pruning", []), "harvest": stated["harvest"]}
    trees = {"trees": stated["trees"]} if plan.stand is None else {}
    return trees | cuts | {"straw": plan.straw.model_dump(mode="json")}


USED = ("hay_years", "first_grazing_year", "never_grazed")
"""Fields of the use of open pasture that a search varies."""
