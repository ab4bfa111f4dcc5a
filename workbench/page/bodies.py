"""JSON from the page, read as data and bounded in depth and in what it may hold."""

import json
from typing import Any, Final, NoReturn

from workbench.page.messages import BAD_REQUEST, Reply, message_reply

DEEPEST: Final = 12
"""Lists and tables within one another; no plan needs half of it."""
UNREADABLE: Final = "What the page sent cannot be read as JSON."


class Unreadable(Exception):  # noqa: N818 - it is no fault of the program, but of what was sent
    """A body that is no JSON object of the expected shape.

    Attributes
    ----------
    reply
        What to answer.
    """

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.reply: Reply = message_reply(message, BAD_REQUEST)


def read_object(body: bytes) -> dict[str, Any]:
    """Read a JSON object.

    Parameters
    ----------
    body
        Text in UTF-8.

    Returns
    -------
    dict

    Raises
    ------
    Unreadable
        Where it is no JSON, no object, too deep, or holds what is no number.
    """
    try:
        document = json.loads(body, parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise Unreadable(UNREADABLE) from None
    if not isinstance(document, dict):
        raise Unreadable("A JSON object is expected.")
    if _is_deeper(document, DEEPEST):
        raise Unreadable(f"This has more than {DEEPEST} lists and tables within one another.")
    return document


def plan_of(document: dict[str, Any]) -> dict[str, Any]:
    """The plan in what the page sent.

    Raises
    ------
    Unreadable
        Where there is none.
    """
    plan = document.get("plan")
    if not isinstance(plan, dict):
        raise Unreadable('The plan is missing: send {"plan": {...}}.')
    return plan


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")


def _is_deeper(document: object, most: int) -> bool:
    level: list[object] = [document]
    for _ in range(most):
        level = [
            item
            for node in level
            if isinstance(node, dict | list)
            for item in (node.values() if isinstance(node, dict) else node)
        ]
        if not level:
            return False
    return any(isinstance(node, dict | list) for node in level)
