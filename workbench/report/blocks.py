"""What a report is made of: sections of paragraphs, lists, tables, pictures and boxes, plain data without any page."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from matplotlib.figure import Figure


@dataclass(frozen=True)
class Text:
    """A paragraph; the leading one of a report stands out."""

    kind: ClassVar[str] = "text"
    text: str
    leading: bool = False


@dataclass(frozen=True)
class Items:
    """A list of sentences."""

    kind: ClassVar[str] = "items"
    items: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """A table whose first column names its rows.

    Attributes
    ----------
    key
        Unique in its report.
    caption
        What it shows, with the unit where all cells share one.
    columns
        Headings with their units.
    rows
        Ready text of each row, as long as `columns`.
    note
        A line below.
    words
        Places of the columns that hold words, from the left or, below 0, from the right.
    wide
        Whether it is set small, to fit a printed page.
    """

    kind: ClassVar[str] = "table"
    key: str
    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""
    words: tuple[int, ...] = (0,)
    wide: bool = False

    @property
    def word_columns(self) -> set[int]:
        """Places of the columns that hold words, from the left."""
        return {place % len(self.columns) for place in self.words}


@dataclass(frozen=True)
class Picture:
    """A figure.

    Attributes
    ----------
    key
        Unique in its report.
    alt
        What it shows, in words with numbers.
    draw
        Draws it; called when the page is written.
    """

    kind: ClassVar[str] = "picture"
    key: str
    alt: str
    draw: Callable[[], Figure]


@dataclass(frozen=True)
class Box:
    """Something that is set apart: a title of a few words and its sentences."""

    kind: ClassVar[str] = "box"
    title: str
    lines: tuple[str, ...]


Block = Text | Items | Table | Picture | Box


@dataclass(frozen=True)
class Section:
    """A part of a report under one heading."""

    key: str
    title: str
    blocks: tuple[Block, ...]

    def document(self) -> dict[str, Any]:
        """The section as JSON: everything that is read, pictures by their words."""
        return {"key": self.key, "title": self.title, "blocks": [_document(block) for block in self.blocks]}


def section(key: str, title: str, *blocks: Block | None) -> Section:
    """A section of the blocks that are there."""
    return Section(key, title, tuple(block for block in blocks if block is not None))


def listed(items: Sequence[str]) -> Items | None:
    """A list, or nothing where there is nothing to list."""
    return Items(tuple(items)) if items else None


def _document(block: Block) -> dict[str, Any]:
    said = {name: value for name, value in vars(block).items() if name not in {"draw", "leading", "wide", "words"}}
    return {"kind": block.kind, **said}
