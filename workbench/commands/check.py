"""The command `halfshade check`: what a scenario describes, or everything that is wrong with it."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from simulator.errors import InputError
from workbench.output import print_json, print_text

if TYPE_CHECKING:
    from simulator.scenario.model import Scenario


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document, of the problems too.")
def check(file: Path, as_json: bool) -> None:
    """Read the scenario FILE and list everything wrong with it, or say what it describes."""
    from simulator.alternatives import check_overrides  # noqa: PLC0415 - pydantic and numpy are slow to import
    from simulator.scenario.advice import advice_of  # noqa: PLC0415
    from simulator.scenario.file import load  # noqa: PLC0415

    try:
        scenario = load(file)
        check_overrides(scenario, file)
    except InputError as error:
        if as_json:
            print_json({"valid": False, "problems": [asdict(problem) for problem in error.problems]})
        raise
    summary = summarise(scenario, file.parent)
    advice = [message for _, message in advice_of(scenario)]
    if as_json:
        print_json({"valid": True, "summary": summary, "advice": advice})
        return
    print_text(f"{file}: no problems found.\n")
    for line in [*_sentences(summary), *(f"Note: {message}" for message in advice)]:
        # a title may hold what would steer the terminal
        shown = "".join(letter if letter.isprintable() else ascii(letter)[1:-1] for letter in line)
        print_text(f"  {shown}\n")


def summarise(scenario: "Scenario", beside: Path) -> dict[str, Any]:
    """Gather what a scenario describes.

    Parameters
    ----------
    scenario
        A valid scenario.
    beside
        Folder that its price table is relative to.

    Returns
    -------
    dict
        Plain values, ``None`` where the scenario has no such thing.
    """
    from simulator.findings.field import parts_in_words  # noqa: PLC0415 - likewise
    from simulator.parameters.prices import load_prices  # noqa: PLC0415 - numpy, see above
    from workbench.beside import beside_the_plan  # noqa: PLC0415 - likewise

    prices = load_prices(scenario.money.price_table, beside)
    land, use = scenario.land, scenario.use
    return {
        "title": scenario.title,
        "acres": land.acres,
        "field_parts": parts_in_words(scenario),
        "site_index_ft": land.site_index_ft,
        "trees": _trees(scenario),
        "stand": _stand(scenario),
        "thinnings": [thinning.model_dump() for thinning in scenario.thinning],
        "harvest_year": scenario.harvest.year if scenario.harvest else None,
        "grass": scenario.pasture.grass,
        "nitrogen_lb_ac": scenario.pasture.nitrogen_lb_ac,
        "hay_years": use.hay_years,
        "animals": use.animals,
        "first_grazing_year": use.first_grazing_year,
        "grazing_system": use.system,
        "tenure": use.tenure,
        "straw_market": scenario.straw.market,
        "beside_the_plan": beside_the_plan(scenario),
        "prices": {
            "table": scenario.money.price_table,
            "title": prices.title,
            "currency_year": prices.currency_year,
            "overrides": scenario.money.prices,
        },
        "discount_rate": scenario.money.discount_rate,
        "rate_basis": scenario.money.rate_basis,
        "horizon_years": scenario.money.horizon_years,
    }


def _stand(scenario: "Scenario") -> dict[str, Any] | None:
    from workbench.words import stand_in_words, uses_grass  # noqa: PLC0415 - numpy, see above

    stand = scenario.stand
    if stand is None:
        return None
    return {
        **stand.model_dump(exclude={"dbh_class"}),
        "trees_per_ac": round(stand.trees_per_ac, 1),
        "classes": len(stand.dbh_class),
        "words": stand_in_words(stand),
        "sown_year": scenario.pasture.sown_year if uses_grass(scenario) and not scenario.pasture.established else None,
    }


def _trees(scenario: "Scenario") -> dict[str, Any] | None:
    from simulator.scenario.rows import period_ft, planted_trees_per_ac  # noqa: PLC0415 - numpy, see above

    trees = scenario.trees
    if trees is None:
        return None
    layout = trees.layout
    planted = planted_trees_per_ac(layout.rows_in_set, layout.row_gap_ft, layout.in_row_ft, layout.alley_ft)
    return {
        "species": trees.species,
        **trees.layout.model_dump(),
        "set_spacing_ft": period_ft(layout.rows_in_set, layout.row_gap_ft, layout.alley_ft),
        "planted_per_ac": round(planted, 1),
        "living_per_ac": round(planted * trees.survival, 1),
    }


def _sentences(summary: Mapping[str, Any]) -> Iterator[str]:
    """Say the summary in plain lines, years counted from planting."""
    yield f"{summary['title'] or 'Untitled'}: {summary['acres']:,g} acres, site index {summary['site_index_ft']:g} ft."
    if summary["field_parts"]:
        yield summary["field_parts"]
    if (trees := summary["trees"]) is None:
        yield "Open pasture, no trees."
    else:
        yield from _tree_sentences(trees, summary)
    yield f"Grass: {summary['grass']}, nitrogen {_nitrogen(summary['nitrogen_lb_ac'])}."
    hay = summary["hay_years"]
    yield f"Hay: {f'years {hay[0]} to {hay[1]}' if hay else 'none'}. {_grazing(summary)}"
    if summary["straw_market"]:
        yield "Pine straw is sold."
    if summary["beside_the_plan"]:
        yield f"Besides: {'; '.join(summary['beside_the_plan'])}."
    prices = summary["prices"]
    own = f", {len(prices['overrides'])} replaced by this file" if prices["overrides"] else ""
    yield f"Prices: {prices['title']} ({prices['table']}){own}."
    rate = f"{summary['discount_rate']:.4g}"
    yield f"Money: {summary['rate_basis']} rate {rate} a year, {summary['horizon_years']} years."


def _tree_sentences(trees: Mapping[str, Any], summary: Mapping[str, Any]) -> Iterator[str]:
    rows = "single rows" if trees["rows_in_set"] == 1 else f"sets of {trees['rows_in_set']} rows"
    yield f"Trees: {trees['species']}, {rows}, {trees['in_row_ft']:g} ft in the row, {trees['alley_ft']:g}-ft alleys."
    stand = summary["stand"]
    if stand is None:
        acre = "An acre of rows" if summary["field_parts"] else "An acre"
        yield f"{acre}: {trees['planted_per_ac']:.0f} trees planted, {trees['living_per_ac']:.0f} living."
    else:
        yield f"They stand already: {stand['words']}. Years count from now."
    for thinning in summary["thinnings"]:
        yield f"Year {thinning['year']}: thinned {_thinned(thinning)}."
    yield f"Year {summary['harvest_year']}: cut{'' if stand is None else ', then ' + stand['after_harvest']}."
    if stand is not None and stand["sown_year"] is not None:
        yield f"Year {stand['sown_year']}: grass sown."


def _thinned(thinning: Mapping[str, Any]) -> str:
    if (trees := thinning["residual_trees_per_ac"]) is not None:
        return f"{thinning['method']}, {trees:g} trees an acre left"
    if (area := thinning["residual_basal_area_ft2_ac"]) is not None:
        return f"{thinning['method']}, {area:g} ft2 of basal area an acre left"
    every = thinning["remove_every_row"]
    return f"by {thinning['method']}{f', one in {every}' if every else ''}"


def _nitrogen(rate: float | Mapping[str, float]) -> str:
    if isinstance(rate, Mapping):
        return ", ".join(f"{rate[year]:g} lb an acre from year {year}" for year in sorted(rate, key=int)) or "none"
    return f"{rate:g} lb an acre and year" if rate else "none"


def _grazing(summary: Mapping[str, Any]) -> str:
    if summary["first_grazing_year"] is None:
        return "Grazing: none."
    herd = "own herd" if summary["tenure"] == "owned" else "leased out"
    first = summary["first_grazing_year"]
    return f"Grazing: {summary['animals']} from year {first} at the earliest, {summary['grazing_system']}, {herd}."
