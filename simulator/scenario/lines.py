"""Where each key of a TOML text stands, because the standard reader keeps values and forgets lines."""

import contextlib
import re
import tomllib
from bisect import bisect_right
from collections.abc import Callable
from typing import Final, NamedTuple, TypeAlias

FieldPath: TypeAlias = tuple[str | int, ...]
"""Keys from the top of the document down; entries of a list count from 0."""
Locate: TypeAlias = Callable[[FieldPath], int | None]

_BLANK: Final = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE: Final = re.compile(r"[ \t]*")
_KEY_PART: Final = re.compile(r"\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*'|[^\s.=\[\]{},#\"']+")
_STRING: Final = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|' r"'''.*?'{3,5}|" r'"(?:[^"\\\n]|\\.)*"|' r"'[^'\n]*'",
    re.DOTALL,
)
_PLAIN: Final = re.compile(r"[^,\]}\n#]*")


class Repeat(NamedTuple):
    """A key or table that stands a second time."""

    path: FieldPath
    line: int
    first_line: int


class Lines(NamedTuple):
    """Line of each key, counted from 1, and what stands twice.

    Attributes
    ----------
    places
        Path to line: of each key, each table header, each entry of a list.
    repeats
        Keys and tables that stand again, in file order.
    """

    places: dict[FieldPath, int]
    repeats: list[Repeat]

    def locate(self, path: FieldPath) -> int | None:
        """Line of a path, or of the nearest table above it that the text holds."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places.get(path)


def scan_lines(text: str) -> Lines:
    """Find the line of every key of a TOML text; never raises, and makes what it can of a broken text."""
    scanner = _Scanner(text)
    with contextlib.suppress(RecursionError):  # lists in lists in lists: what was found so far is of use
        scanner.scan()
    return Lines(scanner.places, scanner.repeats)


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.table: FieldPath = ()
        self.places: dict[FieldPath, int] = {}
        self.repeats: list[Repeat] = []
        self._declared: set[FieldPath] = set()
        self._entries: dict[FieldPath, int] = {}
        self._line_ends = [match.start() for match in re.finditer("\n", text)]

    def scan(self) -> None:
        self._pass(_BLANK)
        while self.at < len(self.text):
            if self._next("["):
                self._header()
            else:
                self._pair(self.table)
            end = self.text.find("\n", self.at)
            self.at = len(self.text) if end < 0 else end
            self._pass(_BLANK)

    def _header(self) -> None:
        line = self._line()
        is_entry = self._take("[") and self._take("[")
        path: FieldPath = ()
        parts = self._key()
        for number, part in enumerate(parts, start=1):
            path += (part,)
            self.places.setdefault(path, line)
            if path in self._entries and not (is_entry and number == len(parts)):
                path += (self._entries[path] - 1,)
        if not parts:
            return
        if is_entry:
            self._entries[path] = self._entries.get(path, 0) + 1
            path += (self._entries[path] - 1,)
        self._declare(path, line)
        self.table = path

    def _pair(self, table: FieldPath) -> bool:
        line = self._line()
        parts = self._key()
        path = table
        for part in parts:
            path += (part,)
            self.places.setdefault(path, line)
        if not parts or not self._take("="):
            return False
        self._declare(path, line)
        self._pass(_SPACE)
        self._value(path)
        return True

    def _value(self, path: FieldPath) -> None:
        if self._take("["):
            self._list(path)
        elif self._take("{"):
            self._inline_table(path)
        elif not self._pass(_STRING):
            self._pass(_PLAIN)

    def _list(self, path: FieldPath) -> None:
        number = 0
        self._pass(_BLANK)
        while self.at < len(self.text) and not self._take("]"):
            self.places[(*path, number)] = self._line()
            self._value((*path, number))
            number += 1
            self._pass(_BLANK)
            if not self._take(",") and not self._next("]"):
                return
            self._pass(_BLANK)

    def _inline_table(self, path: FieldPath) -> None:
        self._pass(_BLANK)
        while self.at < len(self.text) and not self._take("}"):
            if not self._pair(path):
                return
            self._pass(_BLANK)
            if not self._take(",") and not self._next("}"):
                return
            self._pass(_BLANK)

    def _key(self) -> list[str]:
        parts: list[str] = []
        while True:
            self._pass(_SPACE)
            match = _KEY_PART.match(self.text, self.at)
            if match is None:
                return parts
            self.at = match.end()
            parts.append(_unquoted(match.group()))
            self._pass(_SPACE)
            if not self._take("."):
                return parts

    def _declare(self, path: FieldPath, line: int) -> None:
        if path in self._declared:
            self.repeats.append(Repeat(path, line, self.places[path]))
            return
        self._declared.add(path)
        self.places[path] = line

    def _line(self) -> int:
        return bisect_right(self._line_ends, self.at - 1) + 1 if self.at else 1

    def _next(self, mark: str) -> bool:
        return self.text.startswith(mark, self.at)

    def _take(self, mark: str) -> bool:
        found = self._next(mark)
        self.at += len(mark) if found else 0
        return found

    def _pass(self, pattern: re.Pattern[str]) -> bool:
        match = pattern.match(self.text, self.at)
        if match is not None:
            self.at = match.end()
        return match is not None


def _unquoted(part: str) -> str:
    if part[0] not in "\"'":
        return part
    try:
        return str(tomllib.loads(f"key = {part}")["key"])
    except tomllib.TOMLDecodeError:
        return part[1:-1]
