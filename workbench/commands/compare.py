"""The command `halfshade compare`: trees alone, grass alone and both, side by side."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbench.output import prepare_folder, print_json, print_note
from workbench.recipe import leave_recipe
from workbench.scenario_argument import read_scenario

if TYPE_CHECKING:
    from optimize.sensitivity.one_item import ItemTies
    from simulator.band import Band
    from simulator.scenario.model import Scenario

NOTES = 10
"""How often a long run says how far it is."""


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder for ledger, years, comparison and figures.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@click.option("--band", is_flag=True, help="Also run every sourced range low and high, and say what moves the result.")
@click.option(
    "--break-even", metavar="ITEM", help="Also say at which price of ITEM, or value of a field, two systems tie."
)
def compare(file: Path | None, out: Path | None, as_json: bool, band: bool, break_even: str | None) -> None:
    """Compare the plan of FILE with trees alone and grass alone on the same land.

    Where FILE describes a stand that is there already, opening it now is compared with keeping it, clearing it for
    pasture, and opening it later. Without FILE the packaged example is compared.
    """
    from simulator.comparison import compare as run_comparison  # noqa: PLC0415 - numpy and scipy are slow to import
    from workbench.documents import comparison_document  # noqa: PLC0415
    from workbench.reports import print_band, print_comparison  # noqa: PLC0415
    from workbench.words import names_of  # noqa: PLC0415

    scenario, beside = read_scenario(file)
    folder = prepare_folder(out) if out is not None else None
    result = run_comparison(scenario, beside)
    document = comparison_document(result)
    swings = _band(scenario, beside) if band else None
    ties = _ties(scenario, break_even, beside) if break_even is not None else None
    document |= {} if swings is None else {"band": swings.document()}
    document |= {} if ties is None else {"break_even": ties.document()}
    if folder is not None:
        from workbench.files import write_comparison  # noqa: PLC0415 - matplotlib and pandas

        for path in (*write_comparison(result, document, folder), leave_recipe(folder, file)):
            print_note(f"wrote {path}")
    if as_json:
        print_json(document)
        return
    print_comparison(result)
    if swings is not None:
        print_band(swings, scenario, names_of(result.systems))
    if ties is not None:
        from workbench.sweep_words import print_ties  # noqa: PLC0415

        print_ties(ties, names_of(result.systems))


def _band(scenario: "Scenario", beside: Path | None) -> "Band":
    from simulator.band import income_band  # noqa: PLC0415 - numpy and scipy are slow to import

    print_note("running every range low and high; this takes a minute or two")
    return income_band(scenario, beside, _tell)


def _ties(scenario: "Scenario", item: str, beside: Path | None) -> "ItemTies":
    from optimize.sensitivity.one_item import ties_of_item  # noqa: PLC0415 - numpy and scipy are slow to import

    return ties_of_item(scenario, item, beside)


def _tell(done: int, of: int) -> None:
    """Say on standard error how far the band is, ten times in all."""
    if done == of or done * NOTES // of > (done - 1) * NOTES // of:
        print_note(f"{done} of {of} numbers moved")
