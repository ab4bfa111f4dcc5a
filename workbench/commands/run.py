"""The command `halfshade run`: one plan by itself."""

from pathlib import Path

import click

from workbench.output import prepare_folder, print_json, print_note
from workbench.recipe import leave_recipe
from workbench.scenario_argument import read_scenario


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder for ledger, years, sales, logs (.csv), run.json.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@click.option("--sell-in", type=int, metavar="YEAR", help="Also value the plan if the land is sold in this year.")
def run(file: Path | None, out: Path | None, as_json: bool, sell_in: int | None) -> None:
    """Grow and price the plan of FILE, and nothing beside it.

    Without FILE the packaged example is run.
    """
    from simulator.early_sale import sell_in as sold_in  # noqa: PLC0415 - numpy
    from simulator.findings.warnings import warnings_of  # noqa: PLC0415 - numpy and scipy are slow to import
    from simulator.result import run as run_scenario  # noqa: PLC0415
    from workbench.documents import run_document  # noqa: PLC0415
    from workbench.owner_documents import print_early_sale  # noqa: PLC0415
    from workbench.reports import print_outcome  # noqa: PLC0415

    scenario, beside = read_scenario(file)
    folder = prepare_folder(out) if out is not None else None
    outcome = run_scenario(scenario, beside)
    warnings = warnings_of("run", outcome)
    sale = None if sell_in is None else sold_in(outcome, sell_in)
    document = run_document(outcome, warnings) | ({"sold_early": sale._asdict()} if sale else {})
    if folder is not None:
        from simulator.harvest_logs import harvest_logs, harvest_values  # noqa: PLC0415 - pandas
        from workbench.files import write_run  # noqa: PLC0415 - pandas
        from workbench.last_log import last_log_sentences  # noqa: PLC0415

        for path in (*write_run(outcome, document, folder), leave_recipe(folder, file)):
            print_note(f"wrote {path}")
        for sentence in last_log_sentences(harvest_values(outcome, harvest_logs(outcome))):
            print_note(sentence)
    if as_json:
        print_json(document)
        return
    if sale is not None:
        print_early_sale(sale, orchard=bool(outcome.states["nuts_lb_ac"].any()))
    print_outcome(outcome, [warning.message for warning in warnings])
