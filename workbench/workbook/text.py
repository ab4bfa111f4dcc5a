"""Text that is safe in a spreadsheet: cells that are never formulas, names of sheets and of cells."""

import re
import unicodedata
from collections.abc import Iterable
from typing import Final

LONGEST_CELL: Final = 2000
"""Letters of one text kept; the format allows 32,767, nobody reads them."""
LONGEST_SHEET_NAME: Final = 31
LONGEST_NAME: Final = 200
FORMULA_MARKS: Final = ("=", "+", "-", "@")
RESERVED: Final = "history"
"""A sheet name that spreadsheets keep for themselves."""
_BARRED_IN_SHEET_NAMES: Final = re.compile(r"[\[\]:*?/\\'&\"<>|{}]")
_NOT_IN_CELL_NAMES: Final = re.compile(r"[^A-Za-z0-9_]+")
_UNWRITABLE: Final = {"Cc", "Cs", "Co", "Cn", "Cf", "Zl", "Zp"}
"""Classes of letters that no cell should hold: control characters, half letters, marks that turn the writing round."""


def plain_text(text: str, most: int = LONGEST_CELL) -> str:
    """Return text as a cell may hold it: one line, no control characters, not endless.

    Parameters
    ----------
    text
        Anything a person may have typed.
    most
        Letters kept; what is cut off is shown by an ellipsis.
    """
    kept = "".join(" " if unicodedata.category(letter) in _UNWRITABLE else letter for letter in text)
    line = " ".join(kept.split())
    return line if len(line) <= most else f"{line[: most - 1].rstrip()}…"


def may_be_taken_for_a_formula(text: str) -> bool:
    """Whether a spreadsheet would compute such a text if somebody typed it."""
    return text.startswith(FORMULA_MARKS)


def unique(names: Iterable[str], most: int = LONGEST_CELL, joint: str = " ") -> list[str]:
    """Names in which none is another's, capitals set aside; a number is added to those that come later."""
    taken: set[str] = set()
    made = []
    for name in names:
        free, number = name[:most].rstrip(), 2
        while free.casefold() in taken:
            ending = f"{joint}{number}"
            free, number = f"{name[: most - len(ending)].rstrip()}{ending}", number + 1
        taken.add(free.casefold())
        made.append(free)
    return made


def sheet_stem(title: str, most: int) -> str:
    """What of a title may begin the name of a sheet; empty where nothing may."""
    stem = _BARRED_IN_SHEET_NAMES.sub(" ", plain_text(title))
    stem = " ".join(stem.split()).lstrip("=+-@ ")[:most].rstrip()
    return "" if stem.casefold() == RESERVED else stem


def cell_name(kind: str, item: str) -> str:
    """Name of a cell such as ``price_sawtimber``; letters that such names may not have become ``_``."""
    return f"{kind}_{_NOT_IN_CELL_NAMES.sub('_', item)}"[:LONGEST_NAME].rstrip("_")


def quoted(sheet: str) -> str:
    """A sheet's name as formulas write it."""
    return "'{}'".format(sheet.replace("'", "''"))
