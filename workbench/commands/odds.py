"""The command `halfshade odds`: the three systems through the same draws of what may strike the land."""

from pathlib import Path

import click

from workbench.output import prepare_folder, print_json, print_note
from workbench.progress import with_progress
from workbench.recipe import leave_recipe
from workbench.scenario_argument import read_scenario


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option(
    "--draws", type=click.IntRange(2, 1_000_000), default=1000, show_default=True, metavar="N", help="Draws made."
)
@click.option(
    "--seed",
    type=click.IntRange(0, 2**63 - 1),
    default=1,
    show_default=True,
    metavar="S",
    help="Same seed, same draws.",
)
@click.option("--prices", is_flag=True, help="Draw prices too, as [[price_path]] says or by invented defaults.")
@click.option(
    "--limit",
    type=click.FloatRange(0.0, 1_000_000.0),
    metavar="DOLLARS",
    help="The most you can have out in an acre: how often it takes more.",
)
@click.option(
    "--workers", type=click.IntRange(1, 256), help="Processes; default all cores. Results do not depend on it."
)
@click.option("--out", type=click.Path(path_type=Path), help="Folder for draws.csv, bands.csv, odds.json and figures.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def odds(  # noqa: PLR0913 - one parameter an option
    file: Path | None,
    *,
    draws: int,
    seed: int,
    prices: bool,
    limit: float | None,
    workers: int | None,
    out: Path | None,
    as_json: bool,
) -> None:
    """Draw ice, wind, wildfire, beetles, drought, hogs and seedling loss, and show what the land of FILE earns then.

    Both together, trees alone and grass alone meet the same draws. [risk] in FILE names the zone and moves the
    chances. Illustrative, no forecast. Without FILE the packaged example is drawn. Ctrl-C keeps the draws done.
    """
    from optimize.processes import cores  # noqa: PLC0415 - numpy and scipy are slow to import
    from optimize.risk.found import Asked  # noqa: PLC0415
    from optimize.risk.odds import odds_of  # noqa: PLC0415
    from workbench.odds_document import odds_document  # noqa: PLC0415
    from workbench.odds_report import print_odds  # noqa: PLC0415

    scenario, beside = read_scenario(file)
    folder = prepare_folder(out) if out is not None else None
    asked = Asked(draws, seed, prices, workers or cores())
    found = with_progress("plans grown", lambda tell: odds_of(scenario, asked, beside, tell))
    if not found.complete:
        print_note(f"stopped: what follows rests on {found.draws:,} of {draws:,} draws")
    document = odds_document(found, limit)
    if folder is not None:
        from workbench.odds_files import write_odds  # noqa: PLC0415 - matplotlib and pandas

        for path in (*write_odds(found, document, folder), leave_recipe(folder, file)):
            print_note(f"wrote {path}")
    if as_json:
        print_json(document)
        return
    print_odds(found, limit)
