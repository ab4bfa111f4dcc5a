"""A record as the tables of docs/performance.md, between marks that stand there."""

from pathlib import Path
from typing import Final

from benchmarks.figures import Curve, Figure
from benchmarks.record import ROOT, Record

PAGE: Final = ROOT / "docs" / "performance.md"
BEGIN, END = "<!-- measured -->\n", "<!-- end of what was measured -->"
NOTHING: Final = "Not measured yet.\n"
PICTURE_SHOWN: Final = """![Times against sizes, one panel for each thing that grows: plans, years, rows, diameter
classes, plans of a search, draws of prices, states of waiting and prices of the grid; each with the line that fits and
the exponent expected](images/cost_curves.png)
"""
ALIKE: Final = 1.0 / 3.0
"""Ratios below are told as one part in so many."""
FIGURES_HEAD: Final = """| What | Takes | Beside | Which takes | Ratio | Of the turns | At most |
| --- | ---: | --- | ---: | ---: | ---: | --- |
"""
CURVES_HEAD: Final = """| Grows with | From | To | Exponent | Expected | Because |
| --- | ---: | ---: | ---: | ---: | --- |
"""


def page_with(record: Record | None, page: str) -> str:
    """The page with the tables of a record, or with none; a ValueError where it lacks the marks."""
    before, begin, rest = page.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not (begin and end):
        raise ValueError("docs/performance.md lacks the marks between which the tables stand")
    shown = NOTHING if record is None else f"{tables(record)}\n{PICTURE_SHOWN}"
    return f"{before}{begin}\n{shown}\n{end}{after}"


def tables(record: Record) -> str:
    """Both tables, and what they were measured with."""
    parts = [_with_what(record), "\n", FIGURES_HEAD, *map(figure_row, record.figures), "\n"]
    parts += [CURVES_HEAD, *map(curve_row, record.curves)]
    if record.lacking:
        parts.append(f"\nNot measured: {'; '.join(record.lacking)}.\n")
    return "".join(parts)


def _with_what(record: Record) -> str:
    commit = "a folder without history" if record.commit is None else f"commit `{record.commit[:10]}`"
    day = f" of {record.committed}" if record.committed else ""
    changed = ", with changes that were not committed" if record.changed else ""
    tools = f"Python {record.python}, numpy {record.numpy}, {record.system}, {record.cores} cores"
    return f"Measured at {commit}{day}{changed}: {tools}.\n"


def figure_row(each: Figure) -> str:
    """One line of the first table."""
    what = f"{each.what} ({each.note})" if each.note else each.what
    clock = " by the clock" if each.kind == "clock" else ""
    least, most = ratio_words(each.least_ratio), ratio_words(each.most_ratio)
    turns = "one turn" if each.turns == 1 else f"{least} to {most}"
    times = f"{time_words(each.seconds)}{clock} | {each.baseline} | {time_words(each.baseline_seconds)}"
    return f"| {what} | {times} | {ratio_words(each.ratio)} | {turns} | {_allowed(each)} |\n"


def _allowed(each: Figure) -> str:
    asked = [] if each.allowed_ratio is None else [ratio_words(each.allowed_ratio)]
    asked += [] if each.allowed_s is None else [time_words(each.allowed_s)]
    if each.held:
        return ", ".join(asked) or "-"
    return f"{', '.join(asked)}: **missed**" + (f" ({each.missed})" if each.missed else "")


def curve_row(each: Curve) -> str:
    """One line of the second table."""
    low, high = (f"{size:,} {each.size}, {time_words(taken)}" for size, taken in _ends(each))
    missed = "" if each.held else ": **missed**"
    expected = f"{each.expected:.2f} ± {each.within:.2f}{missed}"
    return f"| {each.what} | {low} | {high} | {each.exponent:.2f} | {expected} | {each.because} |\n"


def _ends(each: Curve) -> list[tuple[int, float]]:
    pairs = list(zip(each.sizes, each.seconds, strict=True))
    return [pairs[0], pairs[-1]]


def ratio_words(ratio: float) -> str:
    """A ratio as a person says it: 5.2 times, or 1/350."""
    if ratio < ALIKE:
        return f"1/{_two_digits(1.0 / ratio)}"
    return f"{ratio:.2f}" if ratio < 10.0 else _two_digits(ratio)


def time_words(seconds: float) -> str:
    """A time in the unit that a person would take."""
    for unit, size in (("s", 1.0), ("ms", 1e-3)):
        if seconds >= size:
            return f"{_two_digits(seconds / size)} {unit}"
    return f"{_two_digits(seconds / 1e-6)} µs"


def _two_digits(number: float) -> str:
    """Two digits that count, three where the number has them before the point."""
    if number >= 100.0:
        return f"{float(f'{number:.3g}'):,.0f}"
    return f"{number:.0f}" if number >= 10.0 else f"{number:.1f}"


def read_page(path: Path = PAGE) -> str:
    """Text of the page."""
    return path.read_text(encoding="utf-8")
