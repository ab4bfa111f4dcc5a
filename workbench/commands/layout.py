"""The command `halfshade layout`: from a field's outline to rows, stakes, seedlings and fences."""

from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from optimize.whole_files import write_atomically
from workbench.output import prepare_folder, print_json, print_note, refuse_taken
from workbench.recipe import leave_recipe
from workbench.scenario_argument import read_scenario

if TYPE_CHECKING:
    from simulator.ground import Field

EXAMPLE_FIELD = "north-field.geojson"


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--field", "field_file", type=click.Path(path_type=Path), help="GeoJSON of the field's outline.")
@click.option("--crs", help="Coordinate system of the outline, such as EPSG:26916; else longitude and latitude.")
@click.option("--azimuth", "azimuth_deg", type=float, help="Direction of the rows, degrees true; else the plan's.")
@click.option("--best-azimuth", is_flag=True, help="Look for the direction: contour, long rows, light.")
@click.option("--elevation", type=click.Path(path_type=Path), help="Table lon,lat,elev_ft for slope and contour.")
@click.option("--headland-ft", type=float, help="Ground for turning at the ends of rows.")
@click.option("--setback-ft", type=float, help="Kept free of trees along the fence and around holes.")
@click.option("--stream-buffer-ft", type=float, help="Kept free along streams and ponds; local rules decide.")
@click.option("--end-margin-ft", type=float, help="From the end of a row to its first tree.")
@click.option("--least-row-ft", type=float, help="Shorter rows are left out.")
@click.option("--equipment-ft", type=float, help="Working width of the machine that goes along the alleys.")
@click.option(
    "--machine", type=click.Choice(("mower", "baler", "sprayer")), default="mower", show_default=True,
    help="Which machine --equipment-ft is.",
)  # fmt: skip
@click.option("--fit-alley", is_flag=True, help="Make the alley a whole number of passes.")
@click.option("--paddocks", type=int, default=1, show_default=True, help="Paddocks of like size.")
@click.option(
    "--paddock-lines", type=click.Choice(("along", "across")), default="along", show_default=True,
    help="Cross-fences along the rows, in alleys, or across them.",
)  # fmt: skip
@click.option("--declination", "declination_deg", type=float, help="Of the compass here today, degrees, east above 0.")
@click.option("--survival", type=float, help="Share of planted trees that live; else the plan's.")
@click.option("--replant-share", type=float, help="Share of spots to order again for gaps; else by the plan.")
@click.option("--write-plan", type=click.Path(path_type=Path), help="Write the plan with this field's ground as TOML.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder for rows, stakes, map and planting card.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def layout(  # noqa: PLR0913 - one parameter an option
    *,
    file: Path | None,
    field_file: Path | None,
    crs: str | None,
    elevation: Path | None,
    write_plan: Path | None,
    out: Path | None,
    as_json: bool,
    **asked: Any,  # noqa: ANN401 - the fields of Options, by name
) -> None:
    """Lay the rows of FILE's plan on a field and count trees, acres and fence.

    The outline is GeoJSON. Features may say what they are in a property "use": field, hole, stream, lane, deck,
    water, fence or gate; lines may have width_ft, decks acres. Without --field a packaged, invented field is used.
    """
    from simulator.ground import Options, lay_out, read_heights  # noqa: PLC0415 - shapely and numpy are slow to import

    scenario, beside = read_scenario(file)
    folder = prepare_folder(out) if out is not None else None
    if write_plan is not None:
        refuse_taken(write_plan, "--write-plan", "Name another file.")
    field = _field(field_file, crs, scenario.land.latitude_deg)
    heights = read_heights(elevation, field) if elevation is not None else None
    laid = lay_out(field, scenario, Options(**asked, heights=heights), beside)
    document = laid.document()
    if folder is not None:
        from workbench.ground_files import write_layout  # noqa: PLC0415 - matplotlib

        recipe = leave_recipe(folder, file, *(path for path in (field_file, elevation) if path is not None))
        for path in (*write_layout(laid, document, folder), recipe):
            print_note(f"wrote {path}")
    if write_plan is not None:
        from workbench.ground_plan import ground_plan_text  # noqa: PLC0415 - tomlkit

        write_atomically(write_plan, ground_plan_text(laid))
        print_note(f"wrote {write_plan}; 'halfshade compare {write_plan}' reckons with this field's ground")
    if as_json:
        print_json(document)
        return
    from workbench.ground_words import print_layout  # noqa: PLC0415

    print_layout(laid)


def _field(path: Path | None, crs: str | None, latitude_deg: float) -> "Field":
    from simulator.ground import features_of, field_of, read_field  # noqa: PLC0415 - as above

    if path is not None:
        return read_field(path, crs, latitude_deg)
    print_note("no --field named: this is an invented field of 40 acres; examples/north-field.geojson shows the format")
    text = resources.files("workbench.scenarios").joinpath(EXAMPLE_FIELD).read_text(encoding="utf-8")
    return field_of(features_of(text, f"{EXAMPLE_FIELD} (packaged example)"), crs, latitude_deg)
