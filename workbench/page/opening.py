"""The file named on the command line: read once, when the page starts."""

from dataclasses import asdict
from typing import Any

from simulator.alternatives import check_overrides
from simulator.errors import InputError
from simulator.parameters.prices import price_table_names
from simulator.scenario.file import load, text_of
from workbench.page.messages import OK, UNPROCESSABLE, Reply, Settings, json_reply


def file_reply(_: Any, settings: Settings) -> Reply:  # noqa: ANN401 - nothing is given
    """The name of the price table beside the file that the plan uses, empty where it uses a packaged one.

    Where the file has problems they are told whole, so that the command line can print them as it prints others.
    """
    if settings.file is None:
        return Reply(OK, b"")
    try:
        scenario = load(settings.file)
        check_overrides(scenario, settings.file)
    except InputError as error:
        return json_reply({"problems": [asdict(problem) for problem in error.problems]}, UNPROCESSABLE)
    name = scenario.money.price_table
    return Reply(OK, b"" if name in price_table_names() else name.encode())


def text_of_start(settings: Settings) -> str:
    """Text of the plan that the page opens with: of the file, or of the packaged example."""
    from workbench.examples import example_text  # noqa: PLC0415 - numpy is slow to import

    return text_of(settings.file) if settings.file is not None else example_text()
