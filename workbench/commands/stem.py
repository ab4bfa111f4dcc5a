"""The command `halfshade stem`: volume, pieces, board feet and pole of one tree, and how best to cut it."""

from typing import TYPE_CHECKING, Final

import click

from simulator.errors import InputError, Problem
from workbench.output import print_json, print_note, print_table, print_text
from workbench.stem_options import StemWords, Then

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
@click.option("--buck", "bucked", is_flag=True, help="Also the pieces worth most, tree-length and cut to length.")
@click.option(
    "--prices",
    multiple=True,
    metavar="TABLE|ITEM=$",
    help="Prices per ton to buck by: a price table, or items such as sawtimber=30,pulpwood=8,pole_class_4=55.",
)
@click.option("--defect", multiple=True, metavar="KIND@FEET", help="Something wrong with the stem, such as fork@20.5.")
@click.option("--pruned", "pruned_ft", type=float, help="Height pruned to, in feet; with --dbh-when-pruned.")
@click.option("--dbh-when-pruned", "pruned_dbh", type=float, help="Dbh when it was pruned, in inches.")
@click.option("--dbh-at-10", "young_dbh", type=float, help="Dbh at age 10, in inches, for the juvenile core.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def stem(  # noqa: PLR0913, PLR0917 - one parameter is one option
    species: str,
    dbh: float,
    height: float,
    natural: bool,
    bucked: bool,
    prices: tuple[str, ...],
    defect: tuple[str, ...],
    pruned_ft: float | None,
    pruned_dbh: float | None,
    young_dbh: float | None,
    as_json: bool,
) -> None:
    """Volume, products and board feet of one tree.

    Pieces are cut from the stump up, the largest product first: sawtimber, chip-and-saw, pulpwood. The pole is
    the longest that the tree is big enough for, sold instead of these pieces. Weights are green short tons.

    With --buck, --prices or --defect the stem is also cut at its best: the pieces that bring most together. Kinds of
    defect: fork, sweep, canker, rust, broken-top, large-knots. Without --prices, invented prices are used.
    """
    then = Then(pruned_ft, pruned_dbh, young_dbh)
    problems = _problems(dbh, height) + then.problems(dbh, height)
    if problems:
        raise InputError(problems)
    from simulator.parameters.catalogue import tree_names  # noqa: PLC0415 - numpy is slow to import
    from simulator.parameters.species import load_species  # noqa: PLC0415
    from simulator.parameters.wood import load_wood  # noqa: PLC0415
    from workbench.stem_document import read_stem  # noqa: PLC0415

    timber = [name for name in tree_names() if load_species(name).orchard is None]
    if species not in timber:
        nut_tree = species in tree_names()
        rule = "has no stem equations: its wood is reckoned as salvage only" if nut_tree else "is not a timber species"
        raise InputError([Problem("--species", rule, repr(species), f"Use one of: {', '.join(timber)}.")])
    wood = load_wood(species, natural=natural)
    words = StemWords(prices, defect, bucked=bucked or bool(prices or defect))
    report = read_stem((dbh, height, wood), words, then)
    for warning in _warnings(dbh, height):
        print_note(warning)
    if as_json:
        print_json(report.document())
    else:
        _print(report.sound, f"{species}, {'natural' if natural else 'planted'}, {dbh:g} in by {height:g} ft")
        report.show()
        print_text(f"{_footnote(wood.specs.sawlogs, with_defects=bool(defect))}\n")


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


def _print(report: "StemReport", tree: str) -> None:
    rows = [
        (piece.product.replace("_", "-"), f"{piece.from_ft:.1f}", f"{piece.to_ft:.1f}", f"{piece.green_ton:.3f}")
        for piece in report.pieces
    ]
    print_text(f"One sound tree: {tree}\n\n")
    print_table(
        "Pieces, from the stump up",
        ["product", "from, ft", "to, ft", "green tons"],
        rows or [("too small to sell", "-", "-", "-")],
    )
    pole = report.pole
    print_table(
        "Whole stem and other measures",
        ["measure", "value"],
        [
            ("wood, ft3", f"{report.volume_inside_bark_ft3:.2f}"),
            ("wood and bark, ft3", f"{report.volume_outside_bark_ft3:.2f}"),
            ("green tons, wood and bark", f"{report.green_ton:.3f}"),
            ("longest pole", "none" if pole is None else f"{pole.length_ft:.0f} ft, class {pole.number}"),
        ],
    )


def _footnote(sawlogs: "SawlogSpec", *, with_defects: bool) -> str:
    length, top = f"{sawlogs.log_length_ft:g}", f"{sawlogs.minimum_top_in:g}"
    if with_defects:
        looked = "Tables of the sound stem go by size alone; the bucking looks at the defects given and at no others."
    else:
        looked = "Size alone: sweep, forks, knots and disease are not looked at."
    return (
        f"Whole stem in board feet: {length}-ft logs, trim, a {top}-in top inside bark; 0 below sawtimber size.\n"
        "Pole: dimensions follow ANSI O5.1 as recovered second-hand; the buyer's current edition governs.\n"
        f"{looked}"
    )
