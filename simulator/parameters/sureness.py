"""How sure the numbers of a parameter file are, told from the words of their sources and from the marks on them."""

import re
from collections.abc import Mapping
from typing import Final, NamedTuple

from simulator.sourced import Sourced, SourcedFile

GRADES: Final[tuple[tuple[str, str], ...]] = (
    ("invented", r"invented"),
    (
        "assumed",
        r"assumed|(?:chosen|made|set) for this project|judge|practice|no (?:single )?source|guess|unproved|provisional",
    ),
    ("from_memory", r"from memory|recalled"),
    ("second_hand", r"second-hand|abstract"),
    ("derived", r"fitted|derived|scaled|calibrated"),
    ("published", r"\b(?:1[89]|20)\d\d\b|published|table|formula|rule"),
)
"""Grades from the weakest up, each with the words by which a source admits to it; the weakest word decides."""
LEAST_SURE: Final = "assumed"
"""Grade of a source that says nothing by which it could be judged."""


class Sureness(NamedTuple):
    """How many numbers of a file are of which grade; a list of numbers under one name counts once.

    Attributes
    ----------
    published
        Read in a published work.
    derived
        Fitted or derived for this project.
    second_hand
        Read in somebody else's account, or in an abstract.
    from_memory
        Work cited, number recalled.
    assumed
        Common practice, judgement or assumption without a source.
    invented
        Made up for demonstration, such as every price.
    provisional
        Marked as weakest, whatever the grade; counted in one of the grades too.
    """

    published: int
    derived: int
    second_hand: int
    from_memory: int
    assumed: int
    invented: int
    provisional: int

    @property
    def numbers(self) -> int:
        """All numbers."""
        return sum(self) - self.provisional


def grade_of(source: str) -> str:
    """Grade of a source by the weakest word of its text.

    Parameters
    ----------
    source
        Citation in full, with how sure it is.

    Returns
    -------
    str
        A field of `Sureness`.
    """
    return next((grade for grade, words in GRADES if re.search(words, source, re.IGNORECASE)), LEAST_SURE)


def grade_of_price(source: str) -> str:
    """Grade of a price by its source: what buyers said last May was never read in a published work.

    Parameters
    ----------
    source
        Text of the source in a price table.

    Returns
    -------
    str
        ``invented``, ``assumed`` where its words say so, else ``stated``.
    """
    grade = grade_of(source)
    admitted = grade == "invented" or (grade == LEAST_SURE and re.search(dict(GRADES)[grade], source, re.IGNORECASE))
    return grade if admitted else "stated"


def sureness_of(file: SourcedFile, tables: tuple[str, ...] = ()) -> Sureness:
    """Count the numbers of a parameter file by grade.

    Parameters
    ----------
    file
        The file.
    tables
        Tables to count; all where empty.

    Returns
    -------
    Sureness
    """
    entries = [entry for table, held in file.tables.items() if not tables or table in tables for entry in held.values()]
    counts = _counts(entries, file.sources)
    return Sureness(**counts, provisional=sum(entry.provisional for entry in entries))


def _counts(entries: list[Sourced], sources: Mapping[str, str]) -> dict[str, int]:
    counts = {grade: 0 for grade, _ in GRADES}
    for entry in entries:
        counts[grade_of(sources[entry.source])] += 1
    return counts
