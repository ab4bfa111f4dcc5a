"""The command `halfshade catalog`: what can be planted, sown, grazed and sold, and how sure its numbers are."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

import click

from workbench.output import print_json, print_table, print_text

KIND_NAMES: Final = ("trees", "grasses", "animals", "products")
GRADE_HEADINGS: Final = {
    "published": "read",
    "derived": "derived",
    "second_hand": "2nd\nhand",
    "from_memory": "from\nmemory",
    "assumed": "assumed",
    "provisional": "of these\nweakest",
}
GRADES_NOTE: Final = (
    "Numbers of each file by the weakest word of its source: read in the work,\n"
    "derived for this project, taken second-hand, recalled, assumed or practice.\n"
    "Weakest: marked as provisional in the file. Every number: docs/numbers.md."
)
Row = Mapping[str, Any]


@click.command()
@click.option("--kind", type=click.Choice(KIND_NAMES), help="One kind only.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def catalog(kind: str | None, as_json: bool) -> None:
    """List the trees, grasses, animals and products, their key traits, and how sure the numbers are."""
    from workbench.catalog import KINDS  # noqa: PLC0415 - numpy and pydantic are slow to import

    found = {name: KINDS[name]() for name in KIND_NAMES if kind in (None, name)}
    if as_json:
        print_json(found)
        return
    for name, rows in found.items():
        _PRINTERS[name](rows)
        print_text("\n")
    graded = {row["id"]: row["sureness"] for rows in found.values() for row in rows if row["sureness"]}
    body = [[_said(name), *(str(counts[grade]) for grade in GRADE_HEADINGS)] for name, counts in graded.items()]
    print_table("How sure the numbers are", ["", *GRADE_HEADINGS.values()], body, note=GRADES_NOTE)


def _trees(rows: Sequence[Row]) -> None:
    heights = [f"ft at\n{age}" for age in rows[0]["height_ft"]]
    columns = ["tree", *heights, "SDI\nmost", "crown ft\nat 10 in", "straw\nlb", "poles"]
    body = [
        [
            row["id"],
            *(f"{height:.0f}" for height in row["height_ft"].values()),
            f"{row['sdi_maximum']:.0f}",
            "{in_a_stand:.0f}-{open_grown:.0f}".format(**row["crown_width_10in_ft"]),
            _or_dash(row["straw_at_80_ft2_lb_ac"], ",.0f"),
            _or_dash(row["pole_share"], ".0%"),
        ]
        for row in rows
    ]
    note = (
        f"Heights on old pasture of site index {rows[0]['loblolly_site_index_ft']:g} ft of loblolly at 25.\n"
        "Crown: in a stand, and grown in the open. Straw: a year, at 15 under 80 ft2.\n"
        "Poles: share of stems big enough that pass as poles in a closed plantation;\n"
        "of longleaf 60-70 % only in old stands like natural ones (rule of practice)."
    )
    print_table("Trees", columns, body, note=note)


def _grasses(rows: Sequence[Row]) -> None:
    columns = ["grass", "N\nlb/ac", "yield\nlb/ac", "light at\nhalf yield", "thins\nbelow", "grows"]
    body = [
        [
            row["id"],
            f"{row['usual_nitrogen_lb_ac']:.0f}",
            f"{row['open_yield_lb_ac']:,.0f}",
            f"{row['light_at_half_yield']:.2f}",
            f"{row['light_below_which_it_thins']:.2f}",
            row["season"],
        ]
        for row in rows
    ]
    note = (
        "Dry matter in the open at the nitrogen named. Half yield for light alone: roots\nand needles take more. "
        "Below the last light the stand of grass thins out."
    )
    print_table("Grasses", columns, body, note=note)


def _animals(rows: Sequence[Row]) -> None:
    columns = ["animal", "animal\nunits", "trees at\nleast ft", "at least\nin dbh", "hours\na head", "sold"]
    body = [
        [
            row["id"],
            f"{row['animal_units']:.2f}",
            f"{row['entry_height_ft']:.0f}",
            f"{row['entry_dbh_in']:.1f}",
            f"{row['labour_h_head_yr']:.1f}",
            ", ".join(_said(item) for item in row["sold"]) or "-",
        ]
        for row in rows
    ]
    print_table("Animals", columns, body, note="Hours and sales are those of an own herd on open pasture.")


def _products(rows: Sequence[Row]) -> None:
    columns = ["product", "price", "low to high", "unit", "dbh\nin", "top\nin", "long\nft"]
    body = [
        [
            _said(row["id"]),
            _or_dash(row["price"], ".2f"),
            " to ".join(_or_dash(row[key], ".2f") for key in ("price_low", "price_high")),
            row["unit"].replace("animal-unit month", "AUM"),
            *(_or_dash(row[key], ".1f") for key in ("minimum_dbh_in", "minimum_top_in", "minimum_length_ft")),
        ]
        for row in rows
    ]
    note = (
        "Prices are INVENTED. Sizes are the least that a buyer takes; buyers differ.\n"
        "The top of a pole goes by its class. AUM: animal-unit month."
    )
    print_table("Products", columns, body, note=note)


def _or_dash(value: float | None, form: str) -> str:
    return "-" if value is None else format(value, form)


def _said(name: str) -> str:
    return name.replace("_", " ")


_PRINTERS: Final[dict[str, Callable[[Sequence[Row]], None]]] = {
    "trees": _trees,
    "grasses": _grasses,
    "animals": _animals,
    "products": _products,
}
