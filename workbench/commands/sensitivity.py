"""The command `halfshade sensitivity`: what the results of a sweep say about one output."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbench.output import prepare_folder, print_json, print_note, print_table, print_text
from workbench.recipe import leave_recipe

if TYPE_CHECKING:
    from optimize.sensitivity.study import Study

SHOWN = 15
ANSWERED = ("manifest.json", "scenario.toml", "factors.toml")
"""What a sweep leaves of what it was asked."""


@click.command()
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--output", metavar="NAME", help="As in the factors file, such as npv; default the first one.")
@click.option("--system", metavar="NAME", help="silvopasture, plantation or pasture; default silvopasture.")
@click.option("--over", metavar="SYSTEM", help="Study the output of the system less that of this one.")
@click.option("--break-even/--no-break-even", default=True, help="Look for values at which two systems tie.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder for tables and figures; default DIR/sensitivity.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def sensitivity(  # noqa: PLR0913, PLR0917 - one parameter is one option
    folder: Path,
    output: str | None,
    system: str | None,
    over: str | None,
    break_even: bool,
    out: Path | None,
    as_json: bool,
) -> None:
    """Say which factors of the sweep in DIR move an output, how much of its spread is theirs, and where systems tie.

    A sweep of the design "sobol indices" gives first and total indices, one of "morris" elementary effects; every
    design gives a tornado and the output along each factor.
    """
    from optimize.sensitivity.study import Asked, study  # noqa: PLC0415 - scipy and pyarrow are slow to import
    from optimize.sweeps.run import open_sweep  # noqa: PLC0415
    from workbench.sensitivity_files import sensitivity_document, write_sensitivity  # noqa: PLC0415 - matplotlib

    found = study(open_sweep(folder), Asked(output, system, over), break_even=break_even)
    target = prepare_folder(out or folder / "sensitivity")
    kept = [path for path in (folder / name for name in ANSWERED) if path.is_file()]
    for path in (*write_sensitivity(found, target), leave_recipe(target, *kept)):
        print_note(f"wrote {path}")
    if found.other_edition:
        print_note("the sweep was run by another edition of Halfshade; break-even values are of this one")
    if as_json:
        print_json(sensitivity_document(found))
        return
    _print(found)


def _print(found: "Study") -> None:
    from workbench.sweep_words import (  # noqa: PLC0415
        SENSITIVITY_CAUTIONS,
        factor_value,
        figure_of,
        how_to_read,
        output_words,
        tie_sentences,
    )

    low, mean, high = (figure_of(found, value) for value in found.spread)
    failed = f"; {found.failed:,} have no value" if found.failed else ""
    head = f"{output_words(found, capital=True)} [{found.unit}], {found.scenarios:,} scenarios ({found.design}){failed}"
    print_text(f"{head}\nmean {mean}; one in ten below {low}, one in ten above {high}\n\n")
    rows = [
        [s.name, factor_value(found, s.name, s.low), factor_value(found, s.name, s.high),
         figure_of(found, s.at_low), figure_of(found, s.at_high)]
        for s in found.swings[:SHOWN]
    ]  # fmt: skip
    print_table("What moves it", ["factor", "low", "high", "at low", "at high"], rows, note=how_to_read(found))
    _print_indices(found)
    if found.left_out:
        print_text(f"{found.left_out:,} samples were left out: one of their scenarios could not be run\n")
    if found.ties is not None:
        print_text("\nWhere two systems earn the same a year\n")
        for name, ties in found.ties.items():
            for sentence in tie_sentences(name, found.units[name], found.now[name], ties):
                print_text(f"  - {sentence}\n")
    print_text("\nCautions\n" + "".join(f"  - {line}\n" for line in SENSITIVITY_CAUTIONS))


def _print_indices(found: "Study") -> None:
    from workbench.sweep_words import HOW_TO_READ_EFFECTS, HOW_TO_READ_SHARES, figure_of  # noqa: PLC0415

    if found.sobol is not None:
        rows = [
            [name, f"{i.first:.2f} ± {i.first_half_width:.2f}", f"{i.total:.2f} ± {i.total_half_width:.2f}"]
            for name, i in sorted(found.sobol.items(), key=lambda pair: -pair[1].total)[:SHOWN]
        ]
        print_text("\n")
        title, note = "Share of the variance (± 95 % interval)", HOW_TO_READ_SHARES
        print_table(title, ["factor", "by itself", "with others too"], rows, note=note)
    if found.morris is not None:
        rows = [
            [name, figure_of(found, e.mean_size), figure_of(found, e.mean), figure_of(found, e.spread)]
            for name, e in sorted(found.morris.items(), key=lambda pair: -pair[1].mean_size)[:SHOWN]
        ]
        print_text("\n")
        columns = ["factor", "mean size", "mean", "spread"]
        print_table("Elementary effects", columns, rows, note=HOW_TO_READ_EFFECTS)
