"""The command `halfshade sweep`: every scenario that a factors file asks for, kept as it is done."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbench.output import print_json, print_note, print_text
from workbench.progress import with_progress

if TYPE_CHECKING:
    from optimize.sweeps.run import Progress
    from workbench.progress import Tell

EPILOG = """
\b
A factors file:
  format = 1
  design = "latin hypercube"      # or "grid", "one at a time", "sobol sequence", "morris", "sobol indices"
  samples = 1024
  systems = "all"                 # trees alone and grass alone too; "plan" for FILE only
  outputs = ["npv", "equal annual income", "light at 20", "tons of sawtimber"]
\b
  [[factor]]
  field = "trees.layout.alley_ft" # a field of FILE, with values = [...] or low and high
  low = 30
  high = 60
\b
  [[factor]]
  price = "sawtimber"             # without low and high: the range of the price table; "*" for every price
\b
  [[factor]]
  number = "tree.crown.*"         # sourced numbers of the model; provisional = true for the unpublished ones
"""


@click.command(epilog=EPILOG)
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("factors", type=click.Path(path_type=Path))
@click.option("--out", required=True, type=click.Path(path_type=Path), help="Folder for the results.")
@click.option(
    "--workers", type=click.IntRange(1, 256), help="Processes; default all cores. Results do not depend on it."
)
@click.option(
    "--scheduler", metavar="ADDRESS", help="Take the workers of this Dask scheduler, such as tcp://host:8786."
)
@click.option("--json", "as_json", is_flag=True, help="Print the manifest as one JSON document.")
def sweep(file: Path, factors: Path, out: Path, workers: int | None, scheduler: str | None, as_json: bool) -> None:
    """Run every scenario that FACTORS makes of FILE and keep the results in a folder.

    A sweep that was stopped, by Ctrl-C or anything else, goes on where it stopped when the same command is given
    again. Results are Parquet files that pandas, Polars and DuckDB read; a scenario that cannot be run says why in
    its column "failed". `halfshade sensitivity DIR` works them up.
    """
    from optimize.processes import cores  # noqa: PLC0415 - numpy and scipy are slow to import
    from optimize.sweeps.run import sweep as run_sweep  # noqa: PLC0415

    try:
        done = with_progress(
            "scenarios",
            lambda bar: run_sweep(file, factors, out, workers=workers or cores(), scheduler=scheduler, tell=_tell(bar)),
        )
    except KeyboardInterrupt:
        print_note(f"stopped; what is done is kept in {out}, and the same command goes on from there")
        raise
    failed = done.failures_counted()
    if as_json:
        print_json({**done.manifest, "failed": failed})
        return
    total = int(done.manifest["scenarios"])
    print_text(f"{total:,} scenarios in {out}\n")
    if failed:
        print_text(f"{failed:,} of them could not be run; their column 'failed' says why, most often:\n")
        for reason, count in done.commonest_failures():
            print_text(f"  {count:,}: {reason}\n")


def _tell(bar: "Tell") -> "Callable[[Progress], None]":
    """Move the bar and say how fast it goes; where nobody watches, a plain line a tenth."""
    said = [0]

    def tell(progress: "Progress") -> None:
        rate = f"{progress.rate:,.0f} a second"
        bar(progress.done, progress.of, f"scenarios, {rate}")
        tenth = 10 * progress.done // progress.of
        if not sys.stderr.isatty() and tenth > said[0]:
            said[0] = tenth
            left = _time(progress.seconds_left)
            print_note(f"{progress.done:,} of {progress.of:,} scenarios, {rate}, {left} left")

    return tell


def _time(seconds: float) -> str:
    if seconds < 90:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"
