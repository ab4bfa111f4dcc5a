"""The computing process: answers questions one after the other, and imports what they need when they first need it."""

import importlib
import threading
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Final

from simulator.errors import InputError
from workbench.page.messages import FAULT, TAKEN, Asked, Reply, Settings, message_reply

ANSWERS: Final = {
    "form": "workbench.page.form:form_reply",
    "file": "workbench.page.opening:file_reply",
    "first": "workbench.page.answers:first_reply",
    "plan": "workbench.page.answers:plan_reply",
    "open": "workbench.page.answers:open_reply",
    "example": "workbench.page.answers:example_reply",
    "check": "workbench.page.answers:check_reply",
    "toml": "workbench.page.answers:toml_reply",
    "download": "workbench.page.downloads:download_reply",
    "layout": "workbench.page.fields_on_ground:layout_reply",
    "ground": "workbench.page.fields_on_ground:files_reply",
}
"""Where each answer is made, as ``module:function``."""
BEFORE_ANYTHING_IS_GROWN: Final = ("form", "file")


def answer_all(connection: Connection) -> None:
    """Answer every question that comes, until the other end is gone.

    Parameters
    ----------
    connection
        Brings first the settings, then questions and now and then other settings; takes a reply to each question.
    """
    settings, warming = Settings(), threading.Thread(target=_warm_up, daemon=True)
    warming.start()
    while True:
        message: Settings | Asked = connection.recv()
        if isinstance(message, Settings):
            settings = message
            continue
        connection.send(TAKEN)
        if message.what not in BEFORE_ANYTHING_IS_GROWN:
            warming.join()  # or the table would be made twice
        connection.send(_answered(message, settings))


def _warm_up() -> None:
    """Make the table of light through rows of crowns, on another processor than the one that imports the rest."""
    from simulator.physics.light.kernel import kernel  # noqa: PLC0415 - see above

    kernel()


def _answered(asked: Asked, settings: Settings) -> Reply:
    try:
        return _answer(asked.what)(asked.given, settings)
    except InputError as error:
        from workbench.page.plans import problems_reply  # noqa: PLC0415 - only where something is wrong

        return problems_reply(error)
    except Exception as error:  # noqa: BLE001 - the last stop: the page lives, and says that the fault is ours
        return message_reply(f"A fault of ours, not of your plan: {type(error).__name__}: {error}.", FAULT)


def _answer(what: str) -> Callable[[object, Settings], Reply]:
    module, name = ANSWERS[what].split(":")
    found: Callable[[object, Settings], Reply] = getattr(importlib.import_module(module), name)
    return found
