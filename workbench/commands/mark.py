"""The command `halfshade mark`: which trees of a mapped stand to take, and why."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple

import click

from simulator.errors import InputError, Problem
from workbench.output import json_text, prepare_folder, print_json, print_note, print_table, print_text
from workbench.recipe import leave_recipe

if TYPE_CHECKING:
    from simulator.inventory.map_light import MapLight, MapSite
    from simulator.inventory.marking import Marking
    from simulator.inventory.stem_map import StemMap

SHOWN: Final = 25
HEAVY_CUT_SHARE: Final = 0.5
"""Share of the basal area taken at once from which trees left are exposed; common practice, no source."""
CAUTIONS: Final = (
    "A proposal: a registered forester walks the stand, looks at every crown and stem, and has the last word.",
    "Storm-damaged, leaning and hung trees hold forces that kill: leave them to trained fellers.",
    "Logging safety rules and local codes decide how trees are felled.",
)


class Target(NamedTuple):
    """What to leave: exactly one is stated."""

    trees_per_ac: float | None
    basal_area_ft2_ac: float | None
    light: float | None


class Marked(NamedTuple):
    """A marked map, with light and evenness before and after."""

    stems: "StemMap"
    site: "MapSite"
    marking: "Marking"
    light: "tuple[MapLight, MapLight]"
    evenness: tuple[float, float | None]
    products: list[str]


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--leave-trees", type=float, help="Trees to leave, 1/ac.")
@click.option("--leave-basal-area", type=float, help="Basal area to leave, ft2/ac.")
@click.option("--light", type=float, help="Take the fewest trees that let this share of warm-season light through.")
@click.option("--species", default="loblolly", show_default=True, help="Species of trees whose species is not given.")
@click.option("--age", type=float, default=20.0, show_default=True, help="Age of the stand in years.")
@click.option("--latitude", type=float, default=31.0, show_default=True, help="Latitude in degrees north.")
@click.option("--natural", is_flag=True, help="The trees seeded themselves; otherwise they were planted.")
@click.option("--large-trees", is_flag=True, help="Believe diameters that look like centimetres.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder for marking.csv, mark.json and the map.")
def mark(  # noqa: PLR0913 - one parameter an option
    *,
    file: Path,
    leave_trees: float | None,
    leave_basal_area: float | None,
    light: float | None,
    species: str,
    age: float,
    latitude: float,
    natural: bool,
    large_trees: bool,
    as_json: bool,
    out: Path | None,
) -> None:
    """Choose the trees to take from the stem map in FILE: quality first, then spacing, then size.

    FILE is a comma-separated table with the columns tree and dbh_in; x_ft and y_ft, or azimuth_deg and distance_ft
    from one centre; height_ft, which some of the trees must have: the others follow from their diameters; and
    if wanted code (pole, sawtimber, chip-and-saw, pulpwood or cull).
    """
    target = Target(leave_trees, leave_basal_area, light)
    problems = _problems(target, age, latitude, species)
    if problems:
        raise InputError(problems)
    from simulator.inventory.stem_map import read_stem_map  # noqa: PLC0415 - numpy and scipy are slow to import

    stems = read_stem_map(file, species, large_trees=large_trees)
    marked = _marked(stems, target, (latitude, age), natural=natural)
    document = mark_document(marked)
    if out is not None:
        _write(prepare_folder(out), marked, document)
        leave_recipe(out, file)
    if as_json:
        print_json(document)
    else:
        _print(marked, str(file))


def _problems(target: Target, age: float, latitude: float, species: str) -> list[Problem]:
    from simulator.parameters.catalogue import tree_names  # noqa: PLC0415

    problems = []
    if sum(value is not None for value in target) != 1:
        remedy = "Say what to leave by one of them."
        problems.append(Problem("--leave-trees, --leave-basal-area or --light", "exactly one is needed", "", remedy))
    for option, value, (low, high) in (
        ("--leave-trees", target.trees_per_ac, (0.0, 2000.0)),
        ("--leave-basal-area", target.basal_area_ft2_ac, (0.0, 300.0)),
        ("--light", target.light, (0.0, 1.0)),
        ("--age", age, (3.0, 150.0)),
        ("--latitude", latitude, (24.0, 40.0)),
    ):
        if value is not None and not low <= value <= high:
            problems.append(Problem(option, f"must be {low:g} to {high:g}", f"{value:g}", "Mind the unit."))
    if species not in (known := tree_names()):
        problems.append(Problem("--species", "is not a known species", species, f"Use one of: {', '.join(known)}."))
    return problems


def _marked(stems: "StemMap", target: Target, place: tuple[float, float], *, natural: bool) -> Marked:
    import numpy as np  # noqa: PLC0415 - as above

    from simulator.inventory.map_light import MapSite, box_of, free_crown_radius_ft, light_without  # noqa: PLC0415
    from simulator.inventory.marking import (  # noqa: PLC0415
        clark_evans_index,
        marked_to_basal_area,
        marked_to_light,
        marked_to_trees,
        taking_order,
    )

    site = MapSite(*place, box_of(stems))
    order = taking_order(stems, free_crown_radius_ft(stems))
    if target.light is not None:
        marking = marked_to_light(order, lambda taken: light_without(stems, site, taken).mean, target.light)
    elif target.basal_area_ft2_ac is not None:
        marking = marked_to_basal_area(order, stems, target.basal_area_ft2_ac * site.acres)
    else:
        marking = marked_to_trees(order, round((target.trees_per_ac or 0.0) * site.acres))
    kept = np.delete(np.arange(len(stems.tree)), marking.taken)
    return Marked(
        stems,
        site,
        marking,
        (light_without(stems, site, marking.taken[:0]), light_without(stems, site, marking.taken)),
        (
            clark_evans_index(stems.x_ft, stems.y_ft, site.box_ft) if len(stems.tree) > 1 else 0.0,
            clark_evans_index(stems.x_ft[kept], stems.y_ft[kept], site.box_ft) if len(kept) > 1 else None,
        ),
        _products(stems, natural=natural),
    )


def _products(stems: "StemMap", *, natural: bool) -> list[str]:
    """Best product of each stem that its code allows, or nothing where it is too small or a cull."""
    from simulator.enterprises.products import pieces  # noqa: PLC0415
    from simulator.parameters.species import load_species  # noqa: PLC0415
    from simulator.parameters.wood import load_wood  # noqa: PLC0415

    if load_species(stems.species).orchard is not None:
        return ["" if code == "cull" else "salvage" for code in stems.code]
    wood = load_wood(stems.species, natural=natural)
    found = []
    for dbh, height, code in zip(stems.dbh_in, stems.height_ft, stems.code, strict=True):
        cut = [piece.product for piece in pieces(float(dbh), float(height), wood)]
        best = cut[0].replace("_", "-") if cut else ""
        cheaper = {"pulpwood": best and "pulpwood", "cull": ""}
        if code == "chip-and-saw" and best == "sawtimber":
            best = "chip-and-saw"
        found.append("pole" if code == "pole" and best else cheaper.get(code, best))
    return found


def mark_document(marked: Marked) -> dict[str, Any]:
    """The marked stand as one JSON document."""
    stems, marking = marked.stems, marked.marking
    before, after = (_stand(marked, taken=taken) for taken in (False, True))
    return {
        "acres": marked.site.acres,
        "before": before | {"light": marked.light[0]._asdict(), "clark_evans_index": marked.evenness[0]},
        "after": after | {"light": marked.light[1]._asdict(), "clark_evans_index": marked.evenness[1]},
        "take": [
            {
                "tree": stems.tree[i],
                "dbh_in": float(stems.dbh_in[i]),
                "height_ft": float(stems.height_ft[i]),
                "code": stems.code[i],
                "product": marked.products[i],
                "reason": reason,
            }
            for i, reason in zip(marking.taken.tolist(), marking.reasons, strict=True)
        ],
        "cautions": [*_heavy_cut(before["basal_area_ft2_ac"], after["basal_area_ft2_ac"]), *CAUTIONS],
    }


def _heavy_cut(before_ft2_ac: float, after_ft2_ac: float) -> Iterator[str]:
    share = 1.0 - after_ft2_ac / before_ft2_ac if before_ft2_ac else 0.0
    if share > HEAVY_CUT_SHARE:
        yield (
            f"This takes {share:.0%} of the basal area at once: for some years wind, ice and bark beetles threaten "
            "the trees left, slender ones most. Two lighter cuts some years apart are safer."
        )


def _stand(marked: Marked, *, taken: bool) -> dict[str, float]:
    import numpy as np  # noqa: PLC0415

    from simulator.units import BASAL_AREA_FT2_PER_IN2  # noqa: PLC0415

    dbh = np.delete(marked.stems.dbh_in, marked.marking.taken) if taken else marked.stems.dbh_in
    mean = float(np.sqrt(np.mean(dbh**2))) if len(dbh) else 0.0
    return {
        "trees_per_ac": len(dbh) / marked.site.acres,
        "basal_area_ft2_ac": float(BASAL_AREA_FT2_PER_IN2 * (dbh**2).sum() / marked.site.acres),
        "quadratic_mean_dbh_in": mean,
    }


def _write(folder: Path, marked: Marked, document: dict[str, Any]) -> None:
    import pandas as pd  # noqa: PLC0415 - heavy; only who asks for files pays for it

    from workbench.charts.files import write_charts  # noqa: PLC0415
    from workbench.charts.stem_map import stem_map_figure  # noqa: PLC0415
    from workbench.files import csv_text, write_all  # noqa: PLC0415

    stems = marked.stems
    reasons = dict(zip(marked.marking.taken.tolist(), marked.marking.reasons, strict=True))
    rows = [
        {
            "tree": tree,
            "x_ft": stems.x_ft[i],
            "y_ft": stems.y_ft[i],
            "dbh_in": stems.dbh_in[i],
            "height_ft": stems.height_ft[i],
            "code": stems.code[i],
            "mark": "take" if i in reasons else "leave",
            "reason": reasons.get(i, ""),
            "product": marked.products[i],
        }
        for i, tree in enumerate(stems.tree)
    ]
    figure = stem_map_figure(stems, marked.marking.taken, marked.site.box_ft)
    texts = {"marking.csv": csv_text(pd.DataFrame(rows)), "mark.json": json_text(document)}
    for path in write_all(folder, texts) + write_charts({"map": figure}, folder):
        print_note(f"wrote {path}")


def _print(marked: Marked, name: str) -> None:
    document = mark_document(marked)
    rows = [
        [label, *(f"{document[when][key]:{form}}" for when in ("before", "after"))]
        for label, key, form in (
            ("Trees, 1/ac", "trees_per_ac", ".0f"),
            ("Basal area, ft2/ac", "basal_area_ft2_ac", ".0f"),
            ("Quadratic mean dbh, in", "quadratic_mean_dbh_in", ".1f"),
        )
    ]
    rows.append(["Light on the ground, warm season", *(f"{light.mean:.2f}" for light in marked.light)])
    rows.append(["  its unevenness (deviation over mean)", *(f"{light.unevenness:.2f}" for light in marked.light)])
    rows.append(["Evenness of spacing (1 = random)", *("-" if r is None else f"{r:.2f}" for r in marked.evenness)])
    taken = len(marked.marking.taken)
    title = f"{name}: {len(marked.stems.tree)} trees on {marked.site.acres:.2f} acres, {taken} to take"
    print_table(title, ["", "before", "after"], rows, note="Light right after the cut; crowns fill the gaps in time.")
    rows = [
        [tree["tree"], f"{tree['dbh_in']:.1f}", f"{tree['height_ft']:.0f}", tree["product"] or "none", tree["reason"]]
        for tree in document["take"][:SHOWN]
    ]
    print_text("\n")
    print_table("Trees to take, in this order", ["tree", "dbh\nin", "height\nft", "product", "reason"], rows)
    if taken > SHOWN:
        print_text(f"  and {taken - SHOWN} more; --out DIR writes all of them.\n")
    for caution in document["cautions"]:
        print_text(f"  - {caution}\n")
