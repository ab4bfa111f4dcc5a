"""What the computing process answers about plans."""

from functools import cache
from typing import Any

from simulator.errors import InputError, Problem
from workbench.page.memory import Memory
from workbench.page.messages import OK, Reply, Settings, json_reply
from workbench.page.opening import text_of_start
from workbench.page.plans import Opened, opened_tables, opened_text
from workbench.page.samples import SAMPLES, sample_text
from workbench.page.version import version_document
from workbench.plan_file import plan_text

HEADING = "A plan kept from the landowner's page; every `halfshade` command reads it."
TOML = "application/toml; charset=utf-8"


@cache
def memory_of(settings: Settings) -> Memory:
    """What this process has grown before."""
    return Memory(settings.beside)


def first_reply(_: Any, settings: Settings) -> Reply:  # noqa: ANN401 - nothing is given
    """The version that the page opens with."""
    return _version(opened_text(text_of_start(settings), settings), settings)


def plan_reply(given: Any, settings: Settings) -> Reply:  # noqa: ANN401 - what the page sends
    """The version of a plan given as nested tables."""
    return _version(opened_tables(given, settings), settings)


def open_reply(given: str, settings: Settings) -> Reply:
    """The version of a plan given as the text of a scenario file."""
    return _version(opened_text(given, settings), settings)


def example_reply(given: str, settings: Settings) -> Reply:
    """The version of a packaged example."""
    if given not in SAMPLES:
        remedy = f"Use one of: {', '.join(SAMPLES)}."
        raise InputError([Problem("id", "is no example", f'"{str(given)[:60]}"', remedy)])
    return _version(opened_text(sample_text(given), settings), settings)


def check_reply(given: Any, settings: Settings) -> Reply:  # noqa: ANN401 - what the page sends
    """Nothing where a plan is sound."""
    opened_tables(given, settings)
    return json_reply({"problems": []})


def toml_reply(given: Any, settings: Settings) -> Reply:  # noqa: ANN401 - what the page sends
    """A plan as the text of a scenario file, to be saved."""
    opened = opened_tables(given, settings)
    return Reply(OK, plan_text(opened.scenario, HEADING).encode(), TOML, f"{file_stem(opened)}.toml")


def file_stem(opened: Opened) -> str:
    """Name for files of a plan: its title in small letters, digits and hyphens."""
    letters = (letter if letter.isascii() and letter.isalnum() else " " for letter in opened.scenario.title.lower())
    return "-".join("".join(letters).split())[:60] or "plan"


def _version(opened: Opened, settings: Settings) -> Reply:
    return json_reply(version_document(opened, memory_of(settings)))
