"""The two single uses of the same land, each kept up as its own practice would."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from simulator.errors import InputError, Problem
from simulator.parameters.pasture import load_grass
from simulator.parameters.species import load_species
from simulator.scenario.events import Neglect
from simulator.scenario.file import validate_document
from simulator.scenario.grass import NO_GRASS, Straw, Use
from simulator.scenario.ground import replanted_ground
from simulator.scenario.land import Land
from simulator.scenario.lapses import is_let_go
from simulator.scenario.lines import Lines, scan_lines
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest, Layout, Thinning, Trees

PLANTATION_LAYOUT = {"rows_in_set": 1, "in_row_ft": 8.0, "alley_ft": 9.0}
PLANTATION_CUTS = (("rows then below", 260.0), ("from below", 140.0))
"""Methods and trees left; the years are the species' own, held near their coarse optimum (optimize.coarse) by tests."""

ORCHARD_LAYOUT = {"rows_in_set": 1, "in_row_ft": 40.0, "alley_ft": 40.0}
ORCHARD_CUTS = (("from below", 14.0), ("from below", 10.0))
"""An orchard at ordinary spacing, thinned as its crowns meet; common practice, no source."""
LOBLOLLY: Final = "loblolly"

UNASKED: dict[str, Any] = {"fertiliser": (), "fire": None, "herbicide": (), "neglect": Neglect()}
"""Inputs and neglect of the plan are its own; the same storms, droughts and buyers meet every use of the land."""
NOT_OVERSEEDED: dict[str, Any] = {"overseeded": NO_GRASS, "overseeded_from_year": 1, "overseeded_nitrogen_lb_ac": None}
LET_BY_THE_ACRE = Use(animals="cattle", first_grazing_year=1, tenure="leased", lease_basis="acre")


def systems_of(scenario: Scenario, beside: Path | None = None) -> dict[str, Scenario]:
    """The plan of the file and the two single uses derived for the same land.

    Parameters
    ----------
    scenario
        A plan with trees, grass or both.
    beside
        Folder of the scenario file, for its own price table.

    Returns
    -------
    dict
        ``silvopasture`` as given, ``plantation`` and ``pasture`` derived with the same site, money and
        animals, then overridden by the file's ``[baseline.*]`` tables; and where the file neglects its plan
        ``kept_up``, the same plan without neglect.

    Raises
    ------
    InputError
        If an override does not make a valid plan.
    """
    return {
        "silvopasture": scenario,
        "plantation": overridden(plantation_of(scenario), "plantation", scenario.baseline.plantation, beside),
        "pasture": overridden(pasture_of(scenario), "pasture", scenario.baseline.pasture, beside),
        **kept_up(scenario),
    }


def kept_up(scenario: Scenario) -> dict[str, Scenario]:
    """The same plan without neglect, by its name in a comparison; nothing where nothing is neglected."""
    return {"kept_up": scenario.model_copy(update={"neglect": Neglect()})} if is_let_go(scenario) else {}


def check_overrides(scenario: Scenario, file: Path, derived: Mapping[str, Scenario] | None = None) -> None:
    """Raise where an override of a file does not make a valid plan, with every problem at its line of the file.

    Parameters
    ----------
    scenario
        What was read from the file.
    file
        The file; problems about what is derived stand at the override that broke it.
    derived
        What the overrides are laid over, by name; the two single uses unless told.

    Raises
    ------
    InputError
        With the problems of all.
    """
    derived = derived or {"plantation": plantation_of(scenario), "pasture": pasture_of(scenario)}
    if not any(getattr(scenario.baseline, name) for name in derived):
        return
    lines = scan_lines(file.read_text(encoding="utf-8-sig"))
    problems: list[Problem] = []
    for name, plan in derived.items():
        try:
            overridden(plan, name, getattr(scenario.baseline, name), file.parent)
        except InputError as error:
            problems += [_placed(problem, name, lines, file) for problem in error.problems]
    if problems:
        raise InputError(sorted(problems, key=lambda problem: problem.line or 0))


def _placed(problem: Problem, name: str, lines: Lines, file: Path) -> Problem:
    path = tuple(part.partition("[")[0] for part in problem.field.split("."))
    line = lines.locate(("baseline", name, *path))
    return replace(problem, file=str(file), line=line, field=f"baseline.{name}.{problem.field}")


def other_pastures(pasture: Scenario) -> list[Scenario]:
    """Other ways to use a pasture: the grass's usual rates of nitrogen, no overseeding, or letting it by the acre."""
    ways = [pasture, pasture.model_copy(update={"use": LET_BY_THE_ACRE})]
    return [
        way.model_copy(update={"pasture": way.pasture.model_copy(update={"nitrogen_lb_ac": rate, "overseeded": sown})})
        for rate in load_grass(pasture.pasture.grass).habit.usual_nitrogen_lb_ac
        for sown in dict.fromkeys((pasture.pasture.overseeded, NO_GRASS))
        for way in ways
    ]


def usual_cuts(species: str) -> tuple[tuple[Thinning, ...], Harvest]:
    """When and how a plantation or orchard of a species alone is usually cut.

    Parameters
    ----------
    species
        Id of the catalogue.

    Returns
    -------
    tuple of (tuple of Thinning, Harvest)
        Years since planting, of the species' own file.
    """
    kind = load_species(species)
    years = (kind.schedule.first_thinning_yr, kind.schedule.second_thinning_yr)
    cuts = PLANTATION_CUTS if kind.orchard is None else ORCHARD_CUTS
    thinnings = tuple(
        Thinning.model_validate({"year": int(year), "method": method, "residual_trees_per_ac": left})
        for year, (method, left) in zip(years, cuts, strict=True)
    )
    return thinnings, Harvest(year=int(kind.schedule.harvest_yr))


def plantation_of(scenario: Scenario) -> Scenario:
    """Trees alone: ordinary close spacing, thinned on time, its grass unsold and unfertilised.

    The animals stay named so that the herd displaced by the trees is counted; they never graze. Nut trees alone
    are an orchard, not a plantation of poles. Nobody turns a baler there: its rows run to the fences, over what the
    plan keeps as headlands.
    """
    azimuth = scenario.trees.layout.row_azimuth_deg if scenario.trees else 0.0
    species = scenario.trees.species if scenario.trees else LOBLOLLY
    nut_trees = load_species(species).orchard is not None
    spacing = ORCHARD_LAYOUT if nut_trees else PLANTATION_LAYOUT
    layout = Layout.model_validate(spacing | {"row_azimuth_deg": azimuth})
    stock = {"layout": layout}
    trees = scenario.trees.model_copy(update=stock) if scenario.trees else Trees(species=species, layout=layout)
    thinnings, harvest = usual_cuts(species)
    use = scenario.use.model_copy(
        update={"hay_years": None, "first_grazing_year": None, "displaced_herd": _without_return(scenario.use)}
    )
    return scenario.model_copy(
        update={
            "title": f"{scenario.title}: plantation",
            "land": with_rows(scenario, layout),
            "trees": trees,
            "stand": None,
            "thinning": thinnings,
            "pruning": (),
            "treatment": (),
            "harvest": harvest,
            # grass that nobody uses is neither sown into nor replaced
            "pasture": scenario.pasture.model_copy(update={**NOT_OVERSEEDED, "switch": None}),
            "use": use,
            **UNASKED,
        }
    )


def with_rows(scenario: Scenario, layout: Layout) -> Land:
    """The land of a scenario with other rows planted to its fences; its edge is as long as before."""
    before = scenario.trees.layout if scenario.trees else None
    return scenario.land.model_copy(update={"ground": replanted_ground(scenario.land.ground, before, layout)})


def pasture_of(scenario: Scenario) -> Scenario:
    """Grass alone: fertilised every year as the file's best year, grazed from the start, or cut for hay."""
    rate = scenario.pasture.nitrogen_lb_ac
    # a rate by year follows the trees' calendar, which open pasture does not have
    steady = max(rate.values(), default=0.0) if isinstance(rate, dict) else rate
    # a file of trees only on cutover land need not say that there is no sward
    sward = scenario.pasture.established and scenario.land.former_use != "cutover"
    grazed = scenario.use.animals != "none"
    horizon = scenario.money.horizon_years
    # a grass that shade makes necessary stays under the trees; one sown into it stays, for it is usual in the open
    # what the plan puts off until its trees are up, open pasture does at once
    at_once = {"sown_year": 0, "overseeded_from_year": 1, "switch": None}
    grass = scenario.pasture.model_copy(update={"nitrogen_lb_ac": steady, "established": sward} | at_once)
    when = {"first_grazing_year": 1 if grazed else None, "hay_years": None if grazed else (1, horizon)}
    # animals that never graze under the trees of the file do graze where there are none
    use = scenario.use.model_copy(update={**when, "never_grazed": False})
    return scenario.model_copy(
        update={
            "title": f"{scenario.title}: pasture",
            "trees": None,
            "stand": None,
            "thinning": (),
            "pruning": (),
            "treatment": (),
            "harvest": None,
            "pasture": grass,
            "use": use,
            "straw": Straw(),
            **UNASKED,
        }
    )


def _without_return(use: Use) -> str:
    """Nobody rents pasture for good: a herd that never comes back is sold."""
    return "sold" if use.displaced_herd == "rented pasture" else use.displaced_herd


def overridden(derived: Scenario, name: str, override: dict[str, Any], beside: Path | None) -> Scenario:
    """Lay the tables of one ``[baseline.*]`` over what was derived; InputError where that makes no valid plan."""
    if not override:
        return derived
    document = _merged(
        derived.model_dump(mode="json", by_alias=True, exclude_none=True, exclude={"baseline", "search"}), override
    )
    # what an event leaves unsaid does not count as said: some fields go with some kinds only
    document["event"] = [event.model_dump(mode="json", exclude_defaults=True) for event in derived.event]
    use = override.get("use", {})
    shut_out = derived.use.first_grazing_year is None and not {"animals", "first_grazing_year"} & set(use)
    shut = use.get("animals") == "none" or use.get("never_grazed")
    if shut and "first_grazing_year" not in use:
        document["use"].pop("first_grazing_year", None)
    if shut_out:
        # a file that names animals must say when they graze; the plantation's displaced herd never does
        document["use"]["animals"] = "none"
    plan = validate_document(document, lambda _: None, f"[baseline.{name}]", beside)
    animals = derived.use.animals if shut_out else plan.use.animals
    # the grid of the file is one for its own trees and rows: only what is laid over it is checked here
    asked = {name: getattr(plan.search, name) for name in plan.search.model_fields_set}
    search = derived.search.model_copy(update=asked)
    land = plan.land
    layouts = [each.trees.layout if each.trees else None for each in (derived, plan)]
    if plan.stand is None and layouts[1] is not None and layouts[0] != layouts[1]:
        land = with_rows(derived, layouts[1])
    use = plan.use.model_copy(update={"animals": animals})
    return plan.model_copy(update={"land": land, "use": use, "search": search})


def _merged(base: dict[str, Any], override: dict[str, Any]) -> dict[str, Any]:
    """Override key by key inside tables; lists such as thinnings are replaced whole."""
    merged = dict(base)
    for key, value in override.items():
        table = key != "nitrogen_lb_ac"  # a rate by year is one value, replaced whole
        both = table and isinstance(value, dict) and isinstance(merged.get(key), dict)
        merged[key] = _merged(merged[key], value) if both else value
    return merged
