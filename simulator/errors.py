"""The one exception tree.

HalfshadeError
├── InputError          the person's input is wrong: every problem listed at once; exit code 2
├── MissingExtraError   an optional part is not installed: names it; exit code 2
└── ParameterError      a packaged parameter or price file breaks its own schema: a fault of ours; exit code 1
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path


@dataclass(frozen=True)
class Problem:
    """One thing wrong in what a person gave us, in words that say how to mend it.

    Parameters
    ----------
    field
        Dotted path of the field, such as ``trees.layout.alley_ft``; empty when the whole file is meant.
    rule
        What was expected.
    received
        The value received, as text; empty when nothing was received.
    remedy
        What to do.
    file, line
        Where it stands; ``None`` where there is no file or line.
    """

    field: str
    rule: str
    received: str = ""
    remedy: str = ""
    file: str | None = None
    line: int | None = None

    def __str__(self) -> str:
        place = ":".join(str(part) for part in (self.file, self.line) if part is not None)
        head = " ".join(part for part in (f"{place}:" if place else "", f"{self.field}:" if self.field else "") if part)
        got = f" (received {self.received})" if self.received else ""
        todo = f" {self.remedy}" if self.remedy else ""
        return f"{head} {self.rule}{got}.{todo}".strip()


class HalfshadeError(Exception):
    """Root of every error that Halfshade raises on purpose."""


class InputError(HalfshadeError):
    """The input is wrong; ``problems`` lists everything found, in file order."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))


class MissingExtraError(HalfshadeError):
    """An optional part of the installation is missing; the message names what to install."""


class ParameterError(HalfshadeError):
    """A parameter or price file breaks its schema; ``path`` says at which table and entry, where that is known."""

    def __init__(self, message: str, path: tuple[str, ...] = ()) -> None:
        self.path = path
        super().__init__(message)


@contextmanager
def found_in(file: Path) -> Iterator[None]:
    """Name a file in every problem that is raised inside and names none itself."""
    try:
        yield
    except InputError as error:
        raise InputError([each if each.file else replace(each, file=str(file)) for each in error.problems]) from error
