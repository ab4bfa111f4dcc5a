"""Run every benchmark, add a line to the history and rewrite docs/performance.md.

``python -P tests/benchmarks/measure.py`` takes about five minutes on two cores, and wants them to itself. ``--quick``
looks only whether everything runs, ``--only NAME`` measures a part; neither writes anything, for a part is no record.
``--redraw`` writes tables and picture from the last line of the history.
"""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

# the helpers of the tests, from wherever this is called; the packages are the installed ones
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

if TYPE_CHECKING:
    from benchmarks.figures import Curve, Figure
    from benchmarks.record import Record


class _Lacking(Exception):  # noqa: N818 - nothing went wrong
    """What this machine lacks for a benchmark."""


@click.command(context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--only", "wanted", multiple=True, metavar="NAME", help="Measure only this; may be said again.")
@click.option("--quick", is_flag=True, help="Small sizes, one turn: whether it runs. Times say nothing.")
@click.option("--redraw", is_flag=True, help="Measure nothing: write the page from the last record.")
def measure(wanted: tuple[str, ...], *, quick: bool, redraw: bool) -> None:
    """Measure how long things take, each beside a baseline of the same run."""
    from benchmarks.record import append, history, record_of  # noqa: PLC0415 - --help is instant

    if redraw and not history():
        raise click.UsageError("nothing is measured yet, so there is nothing to write; run it without --redraw")
    if redraw:
        _write(history()[-1])
        return
    lacking: list[str] = []
    found = []
    for each in _measured(_chosen(wanted, quick=quick), lacking, quick=quick):
        click.echo(f"{each.name} runs" if quick else _line(each).rstrip())
        found.append(each)
    record = record_of(found, lacking)
    if not quick and not wanted:
        append(record)
        _write(record)
    if record.missed and not quick:
        click.echo(f"missed: {', '.join(record.missed)}", err=True)
        sys.exit(1)


def _chosen(wanted: tuple[str, ...], *, quick: bool) -> list[str]:
    from benchmarks.roster import NAMES, PAGE  # noqa: PLC0415

    for name in wanted:
        if name not in NAMES:
            raise click.BadParameter(f"{name} is none of {', '.join(NAMES)}", param_hint="--only")
    return [name for name in wanted or NAMES if not (quick and name == PAGE)]


def _measured(names: list[str], lacking: list[str], *, quick: bool) -> "Iterator[Figure | Curve]":
    from benchmarks.roster import measured  # noqa: PLC0415

    def absent(what: str) -> NoReturn:
        raise _Lacking(what)

    for name in names:
        click.echo(f"-- {name}", err=True)
        try:
            yield from measured(name, absent, quick=quick)
        except _Lacking as missing:
            lacking.append(f"{name}, because {missing}")


def _line(each: "Figure | Curve") -> str:
    from benchmarks.figures import Figure  # noqa: PLC0415
    from benchmarks.tables import curve_row, figure_row  # noqa: PLC0415

    return f"{each.name} {figure_row(each) if isinstance(each, Figure) else curve_row(each)}"


def _write(record: "Record") -> None:
    from benchmarks.picture import PICTURE, cost_curves  # noqa: PLC0415
    from benchmarks.tables import PAGE, page_with, read_page  # noqa: PLC0415
    from optimize.whole_files import write_atomically  # noqa: PLC0415

    write_atomically(PAGE, page_with(record, read_page()))
    write_atomically(PICTURE, cost_curves(record.curves))


if __name__ == "__main__":
    measure()
