"""The command `halfshade report`: what a client is handed, as one page, a PDF and a workbook."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from optimize.whole_files import write_atomically
from simulator.errors import InputError, MissingExtraError, Problem
from workbench.output import json_text, prepare_folder, print_json, print_note
from workbench.progress import with_progress
from workbench.recipe import leave_recipe
from workbench.scenario_argument import read_scenario

if TYPE_CHECKING:
    from simulator.scenario.model import Scenario
    from workbench.report.gather import Gathered

FOLDER = Path("report")


@click.command()
@click.argument("files", nargs=-1, metavar="[FILES]...", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Folder for report.html, report.pdf and report.json; without it the folder report, or with --json none.",
)
@click.option("--optimize", is_flag=True, help="Also search for the best plan of each file; this takes a while.")
@click.option(
    "--odds", type=click.IntRange(2, 1_000_000), metavar="N", help="Also draw storms, fires and droughts N times."
)
@click.option("--field", type=click.Path(path_type=Path), help="GeoJSON of the field's outline: adds its rows.")
@click.option("--pdf/--no-pdf", default=None, help="A PDF beside the page. Default: where the extra [pdf] is there.")
@click.option("--xlsx", is_flag=True, help="Also a workbook for the accountant, with live formulas.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def report(  # noqa: PLR0913 - one parameter an option
    files: tuple[Path, ...],
    *,
    out: Path | None,
    optimize: bool,
    odds: int | None,
    field: Path | None,
    pdf: bool | None,
    xlsx: bool,
    as_json: bool,
) -> None:
    """Write a report that a landowner can read: the answer, the plan year by year, the money, the risks.

    Several FILES stand side by side in one report, then each has its chapter. [report] in a file names the client and
    the question. Without FILES the packaged example is reported. Prints from any browser on Letter or A4.
    """
    from workbench.report.document import report_document  # noqa: PLC0415 - numpy and matplotlib are slow to import
    from workbench.report.gather import gather  # noqa: PLC0415

    if as_json and out is None and (pdf or xlsx):
        option = "--pdf" if pdf else "--xlsx"
        raise InputError([Problem(option, "has no folder: --json alone writes no files", "", "Name one with --out.")])
    plans = [read_scenario(file) for file in files or (None,)]
    asked, written = optimize or odds is not None, list[Path]()
    folder = None if out is None and as_json else prepare_folder(out or FOLDER)
    reports = [
        with_progress("plans grown", partial(_long_way, plan, optimize, odds, field))
        if asked
        else gather(*plan, field=field)
        for plan in plans
    ]
    document = report_document(reports)
    if folder is not None:
        from workbench.report.page import report_html  # noqa: PLC0415

        html = report_html(reports)
        write_atomically(folder / "report.html", html)
        write_atomically(folder / "report.json", json_text(document))
        if xlsx:
            from workbench.workbook import write_workbook  # noqa: PLC0415 - only who asks for it pays for it

            written.append(write_workbook([each.comparison for each in reports], folder / "report.xlsx"))
        for path in (
            folder / "report.html",
            folder / "report.json",
            *written,
            leave_recipe(folder, *(files or (None,)), *(() if field is None else (field,))),
        ):
            print_note(f"wrote {path}")
    if as_json:
        print_json(document)
    if folder is not None and pdf is not False:
        _write_pdf(html, folder, asked=pdf is True)


def _long_way(
    plan: tuple["Scenario", Path | None],
    optimize: bool,
    odds: int | None,
    field: Path | None,
    tell: Callable[[int, int], None],
) -> "Gathered":
    from workbench.report.gather import gather  # noqa: PLC0415

    return gather(*plan, optimize=optimize, odds=odds, field=field, tell=tell)


def _write_pdf(html: str, folder: Path, *, asked: bool) -> None:
    """Write the PDF; where that cannot be done, say so, and refuse only where somebody asked for it."""
    from workbench.report.pdf import report_pdf  # noqa: PLC0415

    path = folder / "report.pdf"
    try:
        content = report_pdf(html)
    except MissingExtraError as error:
        old = f"; {path} is of an earlier run" if path.exists() else ""
        said = f"{error}; {folder / 'report.html'} was written{old}"
        if asked:
            raise MissingExtraError(said) from error
        print_note(said)
        return
    write_atomically(path, content)
    print_note(f"wrote {path}")
