"""Promises of docs/reliability.md, and the mark of a test that holds one of them."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final, TypeVar

PAGE: Final = Path(__file__).parents[1] / "docs" / "reliability.md"
_PROMISE: Final = re.compile(r"^### \d+\. (.+)$", re.MULTILINE)
Test = TypeVar("Test", bound=Callable[..., Any])


def promised() -> list[str]:
    """Names of the promises, in the order of the page."""
    return _PROMISE.findall(PAGE.read_text(encoding="utf-8"))


def keeps(promise: str) -> Callable[[Test], Test]:
    """Mark a test as the one of a promise; a promise that is not on the page is an error at once."""
    assert promise in promised(), f"docs/reliability.md has no promise called {promise!r}"
    return lambda test: test
