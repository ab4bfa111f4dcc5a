"""The command `halfshade`: finds a command, runs it, and turns what went wrong into a message and an exit code.

Exit codes: 0 done; 2 what was given is wrong, or the machine refuses; 1 a fault of ours; 130 stopped by the person,
143 and 129 by the system; 141 the reader of our output went away.
"""

import gc
import importlib
import os
import sys
import traceback
from collections.abc import Callable, Iterator
from typing import Any, Final, NamedTuple, NoReturn

import click

from simulator.errors import InputError, MissingExtraError
from workbench.stopping import discard, leave_stopped, refusal, settle_in, stopped_like_ctrl_c, tell

DONE: Final = 0
FAULT_OF_OURS: Final = 1
INPUT_WRONG: Final = 2
PIPE_CLOSED: Final = 141

MOST_PROBLEMS_SHOWN: Final = 50
OBJECTS_BEFORE_COLLECTING: Final = 50_000
TRACEBACK_VARIABLE: Final = "HALFSHADE_TRACEBACK"


class LazyCommand(NamedTuple):
    """Where a command lives, as ``module:attribute``, and the line that describes it in the list of commands."""

    address: str
    summary: str


COMMANDS: Final = {
    "compare": LazyCommand(
        "workbench.commands.compare:compare", "Trees with grass, trees alone and grass alone on the same land."
    ),
    "run": LazyCommand("workbench.commands.run:run", "One way of using the land, year by year."),
    "optimize": LazyCommand(
        "workbench.commands.optimize:optimize", "The best thinnings, rotation and grazing start, and how sure it is."
    ),
    "wait": LazyCommand(
        "workbench.commands.wait:wait", "Thin now, wait, clearcut or leave it: trees that stand already."
    ),
    "odds": LazyCommand(
        "workbench.commands.odds:odds", "What storms, fires and droughts leave of each use, in many draws."
    ),
    "sweep": LazyCommand("workbench.commands.sweep:sweep", "Thousands of scenarios from one file of factors."),
    "sensitivity": LazyCommand(
        "workbench.commands.sensitivity:sensitivity", "What moves the results of a sweep, and where systems tie."
    ),
    "property": LazyCommand(
        "workbench.commands.property:property", "The plan of several tracts together, proven to a stated gap."
    ),
    "layout": LazyCommand(
        "workbench.commands.layout:layout", "Rows, stakes, seedlings and fences on a field's outline."
    ),
    "report": LazyCommand(
        "workbench.commands.report:report", "What a client is handed: one page to print, a PDF, a workbook."
    ),
    "page": LazyCommand(
        "workbench.commands.page:page", "The plan as a page in the browser: rows that grow, sliders, what pays."
    ),
    "check": LazyCommand("workbench.commands.check:check", "Read a scenario and list everything wrong with it."),
    "init": LazyCommand("workbench.commands.init:init", "Print a commented scenario to start from."),
    "catalog": LazyCommand(
        "workbench.commands.catalog:catalog", "Trees, grasses, animals and products, and how sure they are."
    ),
    "stem": LazyCommand("workbench.commands.stem:stem", "Volume, products and board feet of one tree."),
    "cruise": LazyCommand("workbench.commands.cruise:cruise", "Plots measured in the woods, worked up."),
    "mark": LazyCommand("workbench.commands.mark:mark", "Which trees of a mapped stand to take, and why."),
    "calibrate": LazyCommand("workbench.commands.calibrate:calibrate", "Adjust a scenario to what was measured."),
    "value": LazyCommand("workbench.commands.value:value", "What a table of yearly cash flows is worth."),
}


class LazyGroup(click.Group):
    """A group whose commands are imported only when they are run, and whose errors end in an exit code."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """Return the names in the order in which a newcomer meets them."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Import and return one command; ``None`` where there is no such name."""
        if cmd_name not in COMMANDS:
            return None
        module, attribute = COMMANDS[cmd_name].address.split(":")
        command = getattr(importlib.import_module(module), attribute)
        if not isinstance(command, click.Command):
            raise TypeError(f"{COMMANDS[cmd_name].address} is not a command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the list of commands without importing any of them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, command.summary) for name, command in COMMANDS.items()])

    def main(self, *args: Any, **kwargs: Any) -> NoReturn:  # noqa: ANN401 - click's signature, passed through
        """Run the command line and leave the process with its exit code."""
        # what a command makes mostly lives as long as it: looking for garbage every 700 objects costs a tenth of it
        gc.set_threshold(OBJECTS_BEFORE_COLLECTING)
        kwargs |= {"standalone_mode": False, "prog_name": "halfshade"}
        sys.exit(_exit_code(lambda: super(LazyGroup, self).main(*args, **kwargs)))


def _exit_code(run: Callable[[], object]) -> int:
    settle_in()
    stdout = sys.stdout
    code: object
    with stopped_like_ctrl_c() as received:
        try:
            code = run()
            sys.stdout.flush()
        except (InputError, MissingExtraError, click.ClickException) as error:
            _say(_input_messages(error))
            code = INPUT_WRONG
        except (click.Abort, KeyboardInterrupt):
            code = leave_stopped(received)
        except BrokenPipeError:
            code = PIPE_CLOSED
        except SystemExit as stop:
            # on a closed pipe click swaps the stream and asks for exit 1, which would claim a fault of ours
            code = stop.code if sys.stdout is stdout else PIPE_CLOSED
        except Exception as error:  # noqa: BLE001 - the last stop: a person never sees a traceback unless they ask
            code = _code_of_fault(error)
    if code == PIPE_CLOSED:
        discard(sys.stdout)
    return code if isinstance(code, int) else DONE


def _code_of_fault(error: Exception) -> int:
    refused = refusal(error)
    if refused:
        discard(sys.stdout)
        _say([refused])
        return INPUT_WRONG
    if os.environ.get(TRACEBACK_VARIABLE):
        traceback.print_exception(error)
    what = f"a fault of ours, not of your input: {type(error).__name__}: {error}."
    _say([f"{what} Set {TRACEBACK_VARIABLE}=1 and run it again to see where."])
    return FAULT_OF_OURS


def _input_messages(error: InputError | MissingExtraError | click.ClickException) -> Iterator[str]:
    if isinstance(error, InputError):
        yield from (str(problem) for problem in error.problems[:MOST_PROBLEMS_SHOWN])
        if len(error.problems) > MOST_PROBLEMS_SHOWN:
            yield f"and {len(error.problems) - MOST_PROBLEMS_SHOWN} more problems."
    elif isinstance(error, click.ClickException):
        yield _out_of_range(error) or error.format_message()
        context = getattr(error, "ctx", None)
        yield f"type '{context.command_path if context else 'halfshade'} --help' to see what it takes."
    else:
        yield str(error)


def _out_of_range(error: click.ClickException) -> str:
    """A number beyond its limits, or no number, said without signs of inequality; empty for other errors."""
    if not isinstance(error, click.BadParameter) or isinstance(error, click.MissingParameter) or error.param is None:
        return ""
    kind = error.param.type
    if not isinstance(kind, click.types.IntParamType | click.types.FloatParamType):
        return ""
    received = error.format_message().partition(": ")[2].partition(" is not ")[0].strip("'")
    number = "a whole number" if isinstance(kind, click.types.IntParamType) else "a number"
    low = high = ""
    if isinstance(kind, click.IntRange | click.FloatRange):
        low = "" if kind.min is None else f" from {kind.min:,}".removesuffix(".0")
        high = "" if kind.max is None else f" to {kind.max:,}".removesuffix(".0")
    return f"{'/'.join(error.param.opts)}: must be {number}{low}{high} (received {received})."


def _say(messages: Iterator[str] | list[str]) -> None:
    for message in messages:
        tell(f"halfshade: {_one_line(message)}")


def _one_line(message: str) -> str:
    """Keep what came from a file from breaking the line or steering the terminal."""
    flat = " ".join(message.split())
    return "".join(letter if letter.isprintable() else ascii(letter)[1:-1] for letter in flat)


def _print_version(*, as_json: bool) -> None:
    if as_json:
        from workbench.output import print_json  # noqa: PLC0415
        from workbench.recipe import edition_document  # noqa: PLC0415

        print_json(edition_document())
        return
    metadata = importlib.import_module("importlib.metadata")
    try:
        click.echo(f"halfshade {metadata.version('halfshade')}")
    except metadata.PackageNotFoundError:
        click.echo("halfshade, run from its source folder without being installed")


@click.group(
    cls=LazyGroup,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Type 'halfshade COMMAND --help' to see what a command takes.",
)
@click.option("--version", is_flag=True, help="Print the version and leave.")
@click.option(
    "--json", "as_json", is_flag=True, help="With --version: versions and hashes of every file of numbers, to cite."
)
@click.pass_context
def main(ctx: click.Context, version: bool, as_json: bool) -> None:
    """Trees, grass and money on one piece of land, year by year over decades."""
    if version:
        _print_version(as_json=as_json)
        ctx.exit()
    if as_json:
        raise click.UsageError("--json stands after the command, or with --version", ctx)
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())
