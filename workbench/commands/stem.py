"""The command `halfshade stem`: volume, pieces, board feet and pole of one tree."""

from typing import TYPE_CHECKING, Final

import click

from simulator.errors import InputError, Problem
from workbench.output import print_json, print_note, print_table

if TYPE_CHECKING:
    from simulator.enterprises.products import StemReport
    from simulator.parameters.wood import SawlogSpec

LARGEST_DBH_IN: Final = 60.0
LEAST_HEIGHT_FT: Final = 4.5
GREATEST_HEIGHT_FT: Final = 250.0
FITTED_DBH_IN: Final = (5.0, 25.0)
FITTED_FT_PER_IN: Final = (3.5, 8.0)


@click.command()
@click.option("--species", default="loblolly", show_default=True, help="Species of the tree.")
@click.option("--dbh", type=float, required=True, help="Diameter outside bark at 4.5 ft, in inches.")
@click.option("--height", type=float, required=True, help="Total height, in feet.")
@click.option("--natural", is_flag=True, help="The tree seeded itself; otherwise it was planted.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def stem(species: str, dbh: float, height: float, natural: bool, as_json: bool) -> None:
    """Volume, products and board feet of one sound tree.

    Pieces are cut from the stump up, the largest product first: sawtimber, chip-and-saw, pulpwood. The pole is
    the longest that the tree is big enough for, sold instead of these pieces. Weights are green short tons.
    """
    problems = _problems(dbh, height)
    if problems:
        raise InputError(problems)
    from simulator.enterprises.products import stem_report  # noqa: PLC0415 - numpy is slow to import
    from simulator.parameters.species import load_species  # noqa: PLC0415
    from simulator.parameters.wood import load_wood  # noqa: PLC0415

    wood = load_wood(species, natural=natural)
    if load_species(species).orchard is not None:
        rule = "has no stem equations: its wood is reckoned as salvage only"
        raise InputError([Problem("--species", rule, repr(species), "Name a pine.")])
    report = stem_report(dbh, height, wood)
    for warning in _warnings(dbh, height):
        print_note(warning)
    if as_json:
        print_json(_document(report))
    else:
        _print(report, f"{species}, {'natural' if natural else 'planted'}, {dbh:g} in by {height:g} ft")
        click.echo(_footnote(wood.specs.sawlogs))


def _problems(dbh: float, height: float) -> list[Problem]:
    problems = []
    if not 0.0 < dbh <= LARGEST_DBH_IN:
        rule = f"must be above 0 and at most {LARGEST_DBH_IN:g} in"
        problems.append(Problem("--dbh", rule, f"{dbh:g}", "Give the diameter at 4.5 ft in inches."))
    if not LEAST_HEIGHT_FT < height <= GREATEST_HEIGHT_FT:
        rule = f"must be above {LEAST_HEIGHT_FT:g} and at most {GREATEST_HEIGHT_FT:g} ft"
        problems.append(Problem("--height", rule, f"{height:g}", "Give the total height in feet."))
    return problems


def _warnings(dbh: float, height: float) -> list[str]:
    warnings = []
    low, high = FITTED_DBH_IN
    if not low <= dbh <= high:
        warnings.append(f"{dbh:g} in lies outside the {low:g}-{high:g} in for which the equations hold.")
    low, high = FITTED_FT_PER_IN
    if not low <= height / dbh <= high:
        slender = f"{height / dbh:.1f} ft of height per inch of diameter"
        warnings.append(f"{slender} lies outside the {low:g}-{high:g} for which the equations hold.")
    return warnings


def _document(report: "StemReport") -> dict[str, object]:
    document = report._asdict()
    document["pieces"] = [piece._asdict() for piece in report.pieces]
    document["board_feet"] = report.board_feet._asdict()
    if report.pole is not None:
        document["pole"] = {"length_ft": report.pole.length_ft, "class": report.pole.number}
    return document


def _print(report: "StemReport", tree: str) -> None:
    rows = [
        (piece.product.replace("_", "-"), f"{piece.from_ft:.1f}", f"{piece.to_ft:.1f}", f"{piece.green_ton:.3f}")
        for piece in report.pieces
    ]
    click.echo(f"One sound tree: {tree}\n")
    print_table(
        "Pieces, from the stump up",
        ["product", "from, ft", "to, ft", "green tons"],
        rows or [("too small to sell", "-", "-", "-")],
    )
    pole = report.pole
    feet = report.board_feet
    print_table(
        "Whole stem and other measures",
        ["measure", "value"],
        [
            ("wood, ft3", f"{report.volume_inside_bark_ft3:.2f}"),
            ("wood and bark, ft3", f"{report.volume_outside_bark_ft3:.2f}"),
            ("green tons, wood and bark", f"{report.green_ton:.3f}"),
            ("board feet, Doyle", f"{float(feet.doyle):.0f}"),
            ("board feet, Scribner", f"{float(feet.scribner):.0f}"),
            ("board feet, International 1/4-inch", f"{float(feet.international_quarter_inch):.0f}"),
            ("longest pole", "none" if pole is None else f"{pole.length_ft:.0f} ft, class {pole.number}"),
        ],
    )


def _footnote(sawlogs: "SawlogSpec") -> str:
    length, top = f"{sawlogs.log_length_ft:g}", f"{sawlogs.minimum_top_in:g}"
    return (
        f"Board feet: whole {length}-ft logs with trim to a {top}-in top inside bark; 0 below sawtimber size.\n"
        "Pole: dimensions follow ANSI O5.1 as recovered second-hand; the buyer's current edition governs.\n"
        "Size alone: sweep, forks, knots and disease are not looked at."
    )
