"""The command `halfshade init`: a commented scenario, or a price table, to start from."""

from pathlib import Path
from typing import TYPE_CHECKING

import click
from click.core import ParameterSource

from optimize.whole_files import write_atomically
from simulator.errors import InputError, Problem
from workbench.output import print_note, refuse_taken

if TYPE_CHECKING:
    from workbench.starts import Choices

LAYOUTS = ("single", "double", "triple", "block", "wide", "square", "scattered")
ROUTES = ("pasture", "stand")


@click.command()
@click.option(
    "--out", "path", type=click.Path(path_type=Path), metavar="FILE", help="Write it to FILE instead of printing it."
)
@click.option("--force", is_flag=True, help="Replace FILE where it exists already.")
@click.option("--trees", default="loblolly", show_default=True, metavar="NAME", help="What is planted.")
@click.option("--grass", default="bahiagrass", show_default=True, metavar="NAME", help="What grows between the rows.")
@click.option(
    "--animals",
    metavar="NAME",
    help="What grazes: cattle, stockers, sheep, goats or none. Without it cattle, in the block layout none.",
)
@click.option(
    "--layout",
    type=click.Choice(LAYOUTS),
    help="How the trees stand: sets of one, two, three or four (wide) rows with alleys between them; block, an "
    "ordinary plantation; square, far apart both ways; scattered, thinned to that. Default double, for pecan square. "
    "Not with --route stand, whose trees stand as they were planted.",
)
@click.option(
    "--route",
    type=click.Choice(ROUTES),
    default="pasture",
    show_default=True,
    help="Start from open pasture that is planted, or from a stand that is opened to grass.",
)
@click.option("--prices", is_flag=True, help="A price table to make your own instead of a scenario.")
@click.pass_context
def init(  # noqa: PLR0913 - one parameter an option
    context: click.Context,
    *,
    path: Path | None,
    force: bool,
    trees: str,
    grass: str,
    animals: str | None,
    layout: str | None,
    route: str,
    prices: bool,
) -> None:
    """Print a commented scenario to start from, with units, ranges and cautions; with --prices a price table."""
    if prices:
        from workbench.examples import price_table_text  # noqa: PLC0415 - pydantic and numpy are slow to import

        _refuse_choices_beside_prices(context)
        text, then = price_table_text(), "name it in the scenario: [money], price_table"
    else:
        text, then = _scenario(trees, grass, animals, layout, route), f"'halfshade check {path}' reads it"
    if path is None:
        click.echo(text, nl=False)
        return
    refuse_taken(path, "--out", "Name another file, or add --force.", force=force)
    write_atomically(path, text)
    print_note(f"wrote {path}; {then}")


def _scenario(trees: str, grass: str, animals: str | None, layout: str | None, route: str) -> str:
    from workbench.examples import scenario_text  # noqa: PLC0415 - pydantic and numpy are slow to import
    from workbench.starts import Choices, refusals  # noqa: PLC0415

    _refuse_what_cannot_be_had(trees, grass, animals)
    choices = Choices(trees, grass, animals or "", layout or "", route)
    if refused := [*refusals(choices), *_layout_of_a_stand(choices)]:
        raise InputError(refused)
    return scenario_text(choices)


def _refuse_choices_beside_prices(context: click.Context) -> None:
    """A price table knows no trees: a choice that would be dropped is refused."""
    remedy = "Leave it out, or leave --prices out: a scenario is a file of its own."
    chosen = [
        name
        for name in ("trees", "grass", "animals", "layout", "route")
        if context.get_parameter_source(name) is ParameterSource.COMMANDLINE
    ]
    if chosen:
        rule = "does not go with --prices, which starts a price table"
        raise InputError([Problem(f"--{name}", rule, str(context.params[name]), remedy) for name in chosen])


def _layout_of_a_stand(choices: "Choices") -> list[Problem]:
    if choices.route != "stand" or not choices.layout:
        return []
    remedy = "Leave it out, and state the spacing of the stand in [trees.layout] of the file."
    rule = "does not go with --route stand, whose trees stand as they were planted"
    return [Problem("--layout", rule, choices.layout, remedy)]


def _refuse_what_cannot_be_had(trees: str, grass: str, animals: str | None) -> None:
    from simulator.parameters.catalogue import animal_names, grass_names, tree_names  # noqa: PLC0415 - as above
    from simulator.scenario.rules import name_remedy  # noqa: PLC0415 - as above

    asked = (
        ("--trees", trees, tree_names()),
        ("--grass", grass, grass_names()),
        ("--animals", animals, animal_names()),
    )
    problems = [
        Problem(option, _rule(option, name), f'"{name}"', name_remedy(name, known))
        for option, name, known in asked
        if name is not None and name not in known
    ]
    if problems:
        raise InputError(problems)


def _rule(option: str, name: str) -> str:
    from simulator.parameters.catalogue import refusal  # noqa: PLC0415 - as above

    return (refusal(name) if option == "--animals" else "") or "is not in the catalogue"
