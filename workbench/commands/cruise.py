"""The command `halfshade cruise`: plots measured in the woods, worked up."""

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from simulator.errors import InputError, Problem, found_in
from workbench.output import json_text, prepare_folder, print_json, print_note, print_table, print_text
from workbench.recipe import leave_recipe

if TYPE_CHECKING:
    from simulator.inventory.cruise import Cruise, Design
    from simulator.inventory.sampling import Estimate

CAUTIONS: Final = (
    "An estimate from a sample, not an appraisal: a registered forester signs one.",
    "Look up for dead tops and hung limbs before you measure under a tree, and stay out of the woods in wind.",
)
OUT_HELP: Final = (
    "Folder for cruise.json, stand_table.csv, stand.toml (the [stand] tables alone) and, with --age, "
    "stand-scenario.toml, a whole scenario to run."
)
LABELS: Final = {
    "trees": "Trees, 1/ac",
    "basal_area": "Basal area, ft2/ac",
    "all_ton": "All products, green ton/ac",
    "pulpwood_ton": "Pulpwood, green ton/ac",
    "chip_and_saw_ton": "Chip-and-saw, green ton/ac",
    "sawtimber_ton": "Sawtimber, green ton/ac",
    "pole_ton": "Poles, green ton/ac",
    "board_feet_doyle": "Sawlogs, board feet Doyle/ac",
    "board_feet_scribner": "Sawlogs, board feet Scribner/ac",
    "board_feet_international_quarter_inch": "Sawlogs, board feet International 1/4-in/ac",
}


WHOLE_FROM: Final = 100.0
"""Amounts an acre from here on are said without tenths."""


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--plot-acres", type=float, help="Size of each fixed plot, in acres, such as 0.1.")
@click.option("--baf", type=float, help="Basal-area factor of the prism, in ft2/ac, such as 10.")
@click.option("--species", default="loblolly", show_default=True, help="Species of trees whose species is not given.")
@click.option("--age", type=float, help="Age of the stand in years: gives the site index.")
@click.option("--site-index", type=float, help="Site index in feet, where no heights were measured.")
@click.option("--natural", is_flag=True, help="The trees seeded themselves; otherwise they were planted.")
@click.option("--confidence", type=float, default=0.90, show_default=True, help="Confidence level as a share.")
@click.option(
    "--precision", type=float, default=0.10, show_default=True, help="Wanted half-width of the interval as a share."
)
@click.option("--large-trees", is_flag=True, help="Believe diameters that look like centimetres.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@click.option("--out", type=click.Path(path_type=Path), help=OUT_HELP)
def cruise(  # noqa: PLR0913 - one parameter an option
    *,
    file: Path,
    plot_acres: float | None,
    baf: float | None,
    species: str,
    age: float | None,
    site_index: float | None,
    natural: bool,
    confidence: float,
    precision: float,
    large_trees: bool,
    as_json: bool,
    out: Path | None,
) -> None:
    """Work up the plots in FILE: stand and stock table, products, sampling error, site index.

    FILE is a comma-separated table with one row a tree. Its first line names the columns plot and dbh_in, and any of
    species, height_ft, code (pole, sawtimber, chip-and-saw, pulpwood or cull) and tree. A plot without trees is
    one row with an empty dbh_in. Give either --plot-acres or --baf.

    \b
        plot,species,dbh_in,height_ft
        1,loblolly,8.4,52
        1,loblolly,9.6,
        2,,,
    """  # noqa: D301 - click's mark for a block that keeps its lines
    from simulator.inventory.cruise import Design, work_up  # noqa: PLC0415 - numpy and scipy are slow to import
    from simulator.inventory.tally import read_tally  # noqa: PLC0415

    design = Design(plot_acres, baf, confidence, precision, natural, age, site_index)
    problems = _problems(design, species)
    if problems:
        raise InputError(problems)
    with found_in(file):
        result = work_up(read_tally(file, species, large_trees=large_trees), design)
    document = cruise_document(result, design)
    if out is not None:
        _write(prepare_folder(out), result, document, design)
        leave_recipe(out, file)
    if result.unused_columns:
        print_note(f"columns of {file} that were not used: {', '.join(result.unused_columns)}.")
    if as_json:
        print_json(document)
    else:
        _print(result, design, str(file))


def _problems(design: "Design", species: str) -> list[Problem]:
    from simulator.inventory.tally import HARDWOOD  # noqa: PLC0415
    from simulator.parameters.catalogue import tree_names  # noqa: PLC0415

    problems = []
    if (design.plot_acres is None) == (design.basal_area_factor is None):
        remedy = "Give one of them: the size of the plots, or the factor of the prism."
        problems.append(Problem("--plot-acres or --baf", "exactly one is needed", "", remedy))
    for option, value, (low, high) in (
        ("--plot-acres", design.plot_acres, (0.001, 10.0)),
        ("--baf", design.basal_area_factor, (1.0, 100.0)),
        ("--age", design.age_yr, (3.0, 150.0)),
        ("--site-index", design.site_index_ft, (30.0, 130.0)),
        ("--confidence", design.confidence, (0.5, 0.999)),
        ("--precision", design.precision, (0.001, 1.0)),
    ):
        if value is not None and not low <= value <= high:
            problems.append(Problem(option, f"must be {low:g} to {high:g}", f"{value:g}", "Mind the unit."))
    if species not in (known := [*tree_names(), HARDWOOD]):
        problems.append(Problem("--species", "is not a known species", species, f"Use one of: {', '.join(known)}."))
    return problems


def cruise_document(cruise_: "Cruise", design: "Design") -> dict[str, Any]:
    """The cruise as one JSON document."""
    from simulator.enterprises.products import PRODUCTS  # noqa: PLC0415 - numpy

    estimates = cruise_.estimates
    return {
        "plots": cruise_.plots,
        "plot_acres": design.plot_acres,
        "basal_area_factor": design.basal_area_factor,
        "confidence": design.confidence,
        "precision": design.precision,
        "trees_per_ac": estimates["trees"].mean,
        "basal_area_ft2_ac": estimates["basal_area"].mean,
        "quadratic_mean_dbh_in": cruise_.quadratic_mean_dbh_in,
        "main_species": cruise_.main_species,
        "dominant_height_ft": cruise_.dominant_height_ft,
        "site_index_ft": cruise_.site_index_ft,
        "site_index_species": cruise_.main_species,
        "site_index_base_age_yr": cruise_.site_index_base_age_yr,
        "standard_error_percent": {name: each.standard_error_percent for name, each in estimates.items()},
        "plots_needed": {name: each.plots_needed for name, each in estimates.items()},
        "estimates": {name: each._asdict() for name, each in estimates.items()},
        "height_curves": {species: curve._asdict() for species, curve in cruise_.curves.items()},
        "stand_table": [
            {**row._asdict(), "ton_ac": dict(zip(PRODUCTS, row.ton_ac, strict=True))} for row in cruise_.classes
        ],
        "cautions": list(CAUTIONS),
    }


def _write(folder: Path, result: "Cruise", document: dict[str, Any], design: "Design") -> None:
    import pandas as pd  # noqa: PLC0415 - heavy; only who asks for files pays for it

    from simulator.enterprises.products import PRODUCTS  # noqa: PLC0415
    from workbench.files import csv_text, write_all  # noqa: PLC0415
    from workbench.stand_block import stand_block  # noqa: PLC0415
    from workbench.stand_start import stand_scenario  # noqa: PLC0415

    rows = [
        {**{key: value for key, value in row._asdict().items() if key != "ton_ac"}}
        | {f"{product}_ton_ac": tons for product, tons in zip(PRODUCTS, row.ton_ac, strict=True)}
        for row in result.classes
    ]
    scenario, why_not = stand_scenario(result, design)
    texts = {
        "cruise.json": json_text(document),
        "stand_table.csv": csv_text(pd.DataFrame(rows)),
        "stand.toml": stand_block(result, design),
    }
    if scenario is not None:
        texts["stand-scenario.toml"] = scenario
    for path in write_all(folder, texts):
        print_note(f"wrote {path}")
    if why_not:
        print_note(f"stand.toml is the [stand] tables alone, for a file of your own; no stand-scenario.toml: {why_not}")
    else:
        path = folder / "stand-scenario.toml"
        print_note(f"'halfshade check {path}' reads it; its acres, prices, cuts and use are invented")


def _print(result: "Cruise", design: "Design", name: str) -> None:
    plots = (
        f"{result.plots} plot{'s' * (result.plots != 1)} of {design.plot_acres:g} acre"
        if design.plot_acres is not None
        else f"{result.plots} point{'s' * (result.plots != 1)} with a prism of factor {design.basal_area_factor:g}"
    )
    wanted = f"{design.precision:.0%} at {design.confidence:.0%} confidence"
    headings = ["", "mean", "standard\nerror %", "low", "high", f"plots for\n{design.precision:.0%}"]
    rows = [[label, *_estimate_cells(result.estimates[key])] for key, label in LABELS.items()]
    note = f"Interval of {design.confidence:.0%} confidence; the last column is the plots that {wanted} would take."
    print_table(f"{name}: {plots}", headings, rows, note=note)
    print_text("\n" + " ".join(_sentences(result, design)) + "\n\n")
    _print_classes(result)
    for caution in CAUTIONS:
        print_text(f"  - {caution}\n")


def _estimate_cells(each: "Estimate") -> list[str]:
    return [
        _or_dash(each.mean, form := ",.0f" if each.mean >= WHOLE_FROM else ",.1f"),
        _or_dash(each.standard_error_percent, ".0f"),
        _or_dash(each.low, form),
        _or_dash(each.high, form),
        "-" if each.plots_needed is None else f"{each.plots_needed:,}",
    ]


def _or_dash(value: float, form: str) -> str:
    return format(value, form) if math.isfinite(value) else "-"


def _sentences(result: "Cruise", design: "Design") -> list[str]:
    said = [f"Quadratic mean dbh {result.quadratic_mean_dbh_in:.1f} in."]
    if result.dominant_height_ft is not None:
        said.append(f"Dominant height of {result.main_species} {result.dominant_height_ft:.0f} ft.")
    if result.site_index_ft is not None:
        said.append(
            f"Site index {result.site_index_ft:.0f} ft, {result.main_species} at "
            f"{result.site_index_base_age_yr:g} years: trees.site_index_ft of a scenario."
        )
    elif design.age_yr is None:
        said.append("Give --age to have the site index.")
    else:
        said.append("No site index: the heights do not fit any at this age; check age and heights.")
    for species, curve in result.curves.items():
        fit = f", about {curve.rmse_ft:.1f} ft off" if math.isfinite(curve.rmse_ft) else "; too few to fit a slope"
        of_all = " of all species, too few being its own" if curve.pooled else ""
        said.append(f"Heights of {species} from {curve.measured} measured trees{of_all}{fit}.")
    if result.plots < 2:
        said.append("One plot says nothing about its own error: measure more.")
    return said


def _print_classes(result: "Cruise") -> None:
    headings = ["species", "dbh\nin", "tallied", "trees\n/ac", "BA\nft2/ac", "height\nft"]
    headings += ["pulp\nton/ac", "c+saw\nton/ac", "saw\nton/ac", "pole\nton/ac"]
    rows = [
        [
            row.species,
            f"{row.dbh_class_in}",
            f"{row.tallied}",
            f"{row.trees_per_ac:.1f}",
            f"{row.basal_area_ft2_ac:.1f}",
            f"{row.mean_height_ft:.0f}",
            *(f"{tons:.1f}" for tons in row.ton_ac),
        ]
        for row in result.classes
    ]
    print_table("Stand and stock table", headings, rows)
