"""The file named on the command line: read once, when the page starts."""

from dataclasses import asdict, replace
from typing import Any

from simulator.alternatives import check_overrides
from simulator.errors import InputError
from simulator.parameters.prices import price_table_names
from simulator.scenario.file import load, text_of
from workbench.page.messages import OK, UNPROCESSABLE, Reply, Settings, json_reply
from workbench.page.plans import NAME, opened_text


def file_reply(_: Any, settings: Settings) -> Reply:  # noqa: ANN401 - nothing is given
    """The name of the price table beside the file that the plan uses, empty where it uses a packaged one.

    Where the file has problems they are told whole, so that the command line can print them as it prints others.
    """
    if settings.file is None:
        return Reply(OK, b"")
    try:
        scenario = load(settings.file)
        check_overrides(scenario, settings.file)
        named = scenario.money.price_table
        own = None if named in price_table_names() else named
        opened_text(text_of_start(settings), settings._replace(own_table=own))  # a page opens less than a command reads
    except InputError as error:
        name = str(settings.file)
        problems = [replace(each, file=name) if each.file == NAME else each for each in error.problems]
        return json_reply({"problems": [asdict(problem) for problem in problems]}, UNPROCESSABLE)
    return Reply(OK, (own or "").encode())


def text_of_start(settings: Settings) -> str:
    """Text of the plan that the page opens with: of the file, or of the packaged example."""
    from workbench.examples import example_text  # noqa: PLC0415 - numpy is slow to import

    return text_of(settings.file) if settings.file is not None else example_text()
