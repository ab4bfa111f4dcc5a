"""Tables of measured errors, as the pages write them."""

from collections.abc import Sequence
from typing import Final

ROUNDING: Final = 1e-12


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table of a page."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines) + "\n"


def short(value: float) -> str:
    """A measured error, to two digits; what is rounding, and another with every version of a library, as a bound."""
    return f"below {ROUNDING:.0e}" if value < ROUNDING else f"{value:.1e}"
