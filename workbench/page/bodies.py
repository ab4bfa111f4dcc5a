"""JSON from the page, read as data and bounded in depth and in what it may hold."""

import json
import math
from typing import Any, Final, NoReturn

from workbench.page.messages import BAD_REQUEST, Reply, message_reply

DEEPEST: Final = 12
"""Lists and tables within one another; no plan needs half of it."""
MOST_DIGITS: Final = 30
"""Of a whole number; with some hundred it could not even be made a decimal one."""
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
        text = body.decode()  # as UTF-8 and nothing else, which `loads` would guess from bytes
        document = json.loads(
            text, parse_constant=_no_number, parse_float=_finite, parse_int=_whole, object_pairs_hook=_table
        )
        if "\\u" in text:  # half of a pair of escapes is no letter, and could be written into no file
            json.dumps(document, ensure_ascii=False).encode()
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


def _finite(written: str) -> float:
    number = float(written)
    return number if math.isfinite(number) else _no_number(written[:20])


def _whole(digits: str) -> int:
    return int(digits) if len(digits) <= MOST_DIGITS else _no_number(digits[:20])


def _table(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """A table in which every key stands once: of two that say different things nobody can say which was meant."""
    table = dict(pairs)
    if len(table) < len(pairs):
        raise ValueError("a key stands twice")
    return table


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
