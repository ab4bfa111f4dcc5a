"""The command `halfshade property`: the plan of several tracts under one owner."""

from pathlib import Path

import click

from workbench.output import prepare_folder, print_json, print_note
from workbench.recipe import leave_recipe


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for calendar.csv, flows.csv, property.json, calendar.png."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def property(file: Path, out: Path | None, as_json: bool) -> None:  # noqa: A001 - the command's name
    """Choose a pathway for every tract of FILE so that all together are worth most.

    FILE names the tracts, each with a scenario file, and what ties them together: money on hand, hours, one herd,
    even income, loads that find a buyer. Whatever is left out does not bind. Years count from now.

    \b
        format = 1
        [[tract]]
        name = "North block"
        scenario = "north-block.toml"
        [[tract]]
        name = "Mill tract"
        scenario = "mill-tract.toml"
        [couplings.budget]
        start = 15000
        [solver]
        time_limit_s = 60

    Other tables: couplings.labour (hours_per_year), couplings.herd, couplings.even_income and couplings.even_wood
    (period_years, within), couplings.load (least_ton), couplings.renewal (most_acres, within_years) and
    couplings.grazing (least_acres). Ctrl-C ends the search and keeps the best plan so far.
    """  # noqa: D301 - click's mark for a block that keeps its lines
    from optimize.property.file import load_property  # noqa: PLC0415 - numpy and the solver are slow to import
    from optimize.property.whole import plan_property  # noqa: PLC0415
    from workbench.property_documents import property_document  # noqa: PLC0415
    from workbench.property_report import print_property  # noqa: PLC0415

    wanted = load_property(file)
    folder = prepare_folder(out) if out is not None else None
    planned = plan_property(wanted, print_note)
    document = property_document(wanted, planned)
    if folder is not None:
        from workbench.property_files import write_property  # noqa: PLC0415 - matplotlib and pandas

        tracts = [file.parent / entry.scenario for entry in wanted.file.tract]
        for path in (*write_property(wanted, planned, document, folder), leave_recipe(folder, file, *tracts)):
            print_note(f"wrote {path}")
    if as_json:
        print_json(document)
        return
    print_property(wanted, planned)
