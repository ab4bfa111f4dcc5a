"""What was made before, the longest unused thrown away first."""

from collections import OrderedDict
from typing import Final, Generic, TypeVar

Kept = TypeVar("Kept")
MOST_KEPT: Final = 60
"""Outcomes that are remembered; one takes about half a megabyte."""


class Shelf(Generic[Kept]):
    """Things by what they were made from.

    Attributes
    ----------
    most
        How many are kept.
    """

    def __init__(self, most: int = MOST_KEPT) -> None:
        self.most = most
        self._kept: OrderedDict[str, Kept] = OrderedDict()

    def get(self, key: str) -> Kept | None:
        """What is kept under a key."""
        if key not in self._kept:
            return None
        self._kept.move_to_end(key)
        return self._kept[key]

    def put(self, key: str, made: Kept) -> Kept:
        """Keep something, and return it."""
        self._kept[key] = made
        self._kept.move_to_end(key)
        while len(self._kept) > self.most:
            self._kept.popitem(last=False)
        return made

    def __len__(self) -> int:
        return len(self._kept)
