"""The command `halfshade wait`: thin now, wait some years, clearcut or leave alone, and the price to act at."""

from pathlib import Path

import click

from workbench.output import prepare_folder, print_json, print_note
from workbench.recipe import leave_recipe
from workbench.scenario_argument import read_scenario


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option(
    "--years", type=click.IntRange(1, 20), default=8, show_default=True, help="Longest wait before the first thinning."
)
@click.option(
    "--item",
    default="wood",
    show_default=True,
    help="Price to act at: an item of the price table that moves, or wood for all wood together.",
)
@click.option(
    "--draws",
    type=click.IntRange(100, 200_000),
    default=4096,
    show_default=True,
    help="Draws of all prices that the rule for several prices learns on, and as many to value it on.",
)
@click.option("--seed", type=click.IntRange(0, 2**31), default=1, show_default=True, help="Seed of the draws.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder for wait.json, wait.csv and the figure.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def wait(  # noqa: PLR0913 - one parameter an option
    file: Path | None, years: int, item: str, draws: int, seed: int, *, out: Path | None, as_json: bool
) -> None:
    """Thin the standing trees of FILE now, or wait? Each answer at its own best harvest, beside clearcut and never.

    The first thinning of the plan comes now or some years later, and all that follows from it (later thinnings, sowing,
    grazing) keeps its distance; the harvest is chosen anew. Then the price from which thinning is right this year,
    with prices that move as [[price_path]] says. Without FILE the packaged stand is asked about.
    """
    from rich.console import Console  # noqa: PLC0415

    from optimize.waiting.answer import Draw, answer  # noqa: PLC0415 - numpy and scipy are slow to import
    from workbench.waiting_document import waiting_document  # noqa: PLC0415
    from workbench.waiting_report import print_answer  # noqa: PLC0415

    scenario, beside = read_scenario(file, stand=True)
    folder = prepare_folder(out) if out is not None else None
    name = None if file is None else str(file)
    with Console(stderr=True).status("growing the stand in every way it can be treated"):
        found = answer(scenario, years, Draw(draws, seed), beside, name, item)
    document = waiting_document(found, item, beside)
    if folder is not None:
        from workbench.waiting_files import write_waiting  # noqa: PLC0415 - matplotlib and pandas

        for path in (*write_waiting(found, item, document, folder), leave_recipe(folder, file, stand=True)):
            print_note(f"wrote {path}")
    if as_json:
        print_json(document)
        return
    print_answer(found, document)
