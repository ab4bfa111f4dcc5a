"""Reading a report back from its page: tables, headings, pictures and whole text, by the standard library alone."""

from html.parser import HTMLParser
from typing import NamedTuple


class Page(NamedTuple):
    """What stands on a page.

    Attributes
    ----------
    tables
        Rows of text by the id of each table, headings first.
    headings
        Level and text, in order.
    pictures
        Words and address of each.
    text
        Everything that is read, in one line.
    """

    tables: dict[str, list[list[str]]]
    headings: list[tuple[int, str]]
    pictures: list[tuple[str, str]]
    text: str


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tables: dict[str, list[list[str]]] = {}
        self.headings: list[tuple[int, str]] = []
        self.pictures: list[tuple[str, str]] = []
        self.said: list[str] = []
        self._rows: list[list[str]] | None = None
        self._cell: list[str] | None = None
        self._heading: list[str] | None = None
        self._unread = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "table":
            self._rows = self.tables.setdefault(given["id"], [])
        elif tag == "tr" and self._rows is not None:
            self._rows.append([])
        elif tag in {"td", "th"}:
            self._cell = []
        elif tag == "img":
            self.pictures.append((given["alt"], given["src"]))
        elif len(tag) == 2 and tag[0] == "h" and tag[1].isdigit():
            self._heading = []
        elif tag in {"style", "script", "title"}:
            self._unread += 1

    def handle_endtag(self, tag: str) -> None:
        if tag in {"td", "th"} and self._cell is not None and self._rows is not None:
            self._rows[-1].append("".join(self._cell).strip())
            self._cell = None
        elif len(tag) == 2 and tag[0] == "h" and tag[1].isdigit() and self._heading is not None:
            self.headings.append((int(tag[1]), "".join(self._heading).strip()))
            self._heading = None
        elif tag in {"style", "script", "title"}:
            self._unread -= 1

    def handle_data(self, data: str) -> None:
        if self._unread:
            return
        self.said.append(data)
        for kept in (self._cell, self._heading):
            if kept is not None:
                kept.append(data)


def read_page(html: str) -> Page:
    """Read a page back.

    Parameters
    ----------
    html
        One document.
    """
    reader = _Reader()
    reader.feed(html)
    return Page(reader.tables, reader.headings, reader.pictures, " ".join(" ".join(reader.said).split()))
