"""The command `halfshade optimize`: the best plan on a grid of thinnings, harvests and uses, and how sure it is."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbench.output import prepare_folder, print_json, print_note
from workbench.progress import with_progress
from workbench.recipe import leave_recipe
from workbench.scenario_argument import read_scenario

if TYPE_CHECKING:
    from optimize.objective import Goal

GOALS = ("land-expectation", "npv", "irr")


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option(
    "--maximize",
    type=click.Choice(GOALS),
    default=GOALS[0],
    show_default=True,
    help="What is made as large as it can be. Net present value depends on where the horizon ends.",
)
@click.option("--out", type=click.Path(path_type=Path), help="Folder for best.toml, its tables, and figures.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@click.option(
    "--workers", type=click.IntRange(1, 256), help="Processes; default all cores. Results do not depend on it."
)
@click.option(
    "--least-outlay",
    type=click.FloatRange(1.0, 100_000.0),
    default=50.0,
    show_default=True,
    metavar="DOLLARS",
    help="With irr: plans that put less than this into an acre do not count.",
)
def optimize(
    file: Path | None, maximize: "Goal", out: Path | None, as_json: bool, workers: int | None, least_outlay: float
) -> None:
    """Find the thinning years, residual densities, rotation and grazing start that make the land of FILE worth most.

    Trees alone and grass alone are searched too, each for its own best. [search] in FILE states the grid.
    Without FILE the packaged example is searched. Ctrl-C stops the search and keeps the best plan so far.
    """
    from optimize.around import flatness, marginals, refined  # noqa: PLC0415 - numpy and scipy are slow to import
    from optimize.best import best_plan, compared  # noqa: PLC0415
    from optimize.objective import Objective  # noqa: PLC0415
    from optimize.processes import cores  # noqa: PLC0415
    from workbench.optimum_document import optimum_document  # noqa: PLC0415
    from workbench.optimum_report import print_best, print_proof  # noqa: PLC0415
    from workbench.why_no_thinning import why_no_thinning  # noqa: PLC0415

    scenario, beside = read_scenario(file)
    folder = prepare_folder(out) if out is not None else None
    objective = Objective(maximize, least_outlay)
    found = with_progress(
        "plans valued",
        lambda tell: best_plan(
            scenario, objective, beside, workers=workers or cores(), tell=lambda so_far: tell(so_far.done, so_far.of)
        ),
    )
    if not found.complete:
        print_note("stopped: what follows is the best plan so far")
    comparison = compared(found, beside)
    flat, worth, near, why = (
        flatness(found, beside),
        marginals(found),
        refined(found, beside),
        why_no_thinning(found, beside),
    )
    document = optimum_document(found, comparison, flat, worth, near) | {"why_no_thinning": why}
    if folder is not None:
        from workbench.optimum_files import write_optimum  # noqa: PLC0415 - matplotlib and pandas

        files = write_optimum(found, comparison, near, document, folder, beside)
        for path in (*files, leave_recipe(folder, file)):
            print_note(f"wrote {path}")
    if as_json:
        print_json(document)
        return
    print_best(found, comparison, flat, worth, why)
    print_proof(found, near)
