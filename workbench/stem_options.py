"""What a person types after `halfshade stem --prices` and `--defect`, read into prices and defects."""

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from simulator.errors import InputError, Problem

if TYPE_CHECKING:
    from simulator.enterprises.bucked_stem import Prices
    from simulator.enterprises.defects import Defect

DEFAULT_TABLE: Final = "demo-2025"
TREE_LENGTH: Final = ("sawtimber", "chip_and_saw", "pulpwood")
SAWLOG: Final = "sawlog"
POLE: Final = "pole"
_POLE_SIZE: Final = re.compile(r"pole(?:_(?P<length>[2-7][05]|80)ft)?_class_(?P<number>[1-7])")
_ITEMS: Final = f"{', '.join(TREE_LENGTH)}, {SAWLOG}, {POLE}, pole_class_3, pole_45ft_class_3"
_EXAMPLE: Final = "Write, for instance, --prices sawtimber=30,pulpwood=8 or the name of a price table."


class StemWords(NamedTuple):
    """What was typed about cutting the stem: prices and defects as words, and whether to buck it."""

    prices: tuple[str, ...]
    defects: tuple[str, ...]
    bucked: bool


class Then(NamedTuple):
    """What the tree was earlier: pruned to a height [ft] at a dbh [in], and its dbh at age 10 [in]; None if unsaid."""

    pruned_ft: float | None
    pruned_dbh_in: float | None
    young_dbh_in: float | None

    def problems(self, dbh_in: float, height_ft: float) -> list[Problem]:
        """What cannot be so of a tree of today's dbh [in] and height [ft]."""
        found = []
        if (self.pruned_ft is None) != (self.pruned_dbh_in is None):
            rule = "come together"
            found.append(Problem("--pruned, --dbh-when-pruned", rule, remedy="Give both, or neither."))
        for option, value, limit, unit in (
            ("--pruned", self.pruned_ft, height_ft, "ft"),
            ("--dbh-when-pruned", self.pruned_dbh_in, dbh_in, "in"),
            ("--dbh-at-10", self.young_dbh_in, dbh_in, "in"),
        ):
            if value is not None and not 0.0 < value <= limit:
                rule = f"must be above 0 and no more than the tree has today, {limit:g} {unit}"
                found.append(Problem(option, rule, f"{value:g}", f"Give it in {'feet' if unit == 'ft' else 'inches'}."))
        return found


def read_prices(given: Sequence[str]) -> tuple["Prices", str]:
    """Prices of the pieces, from a table and from single items; later words go before earlier ones.

    Parameters
    ----------
    given
        Each a price table, packaged or a .toml file, or items such as ``sawtimber=30,pulpwood=8`` in $/ton.

    Returns
    -------
    tuple of Prices and str
        The prices, and a line that says where they come from.

    Raises
    ------
    InputError
        Listing every word that is no price.
    """
    tables = [word for word in given if "=" not in word]
    pairs = [pair for word in given if "=" in word for pair in word.split(",") if pair.strip()]
    problems: list[Problem] = []
    if len(tables) > 1:
        problems.append(Problem("--prices", "takes one price table", ", ".join(tables), "Name one; add items to it."))
    items: dict[str, float] = {}
    for name, value, problem in (_item(pair) for pair in pairs):
        items[name] = value
        problems += [problem] if problem else []
    if problems:
        raise InputError(problems)
    base, title = _table(tables[0] if tables else DEFAULT_TABLE)
    prices = base | items
    said = f"{title}; {', '.join(f'{name} {value:g}' for name, value in items.items())}" if items else title
    return _prices(prices, missing_table=tables[0] if tables else DEFAULT_TABLE), said


def _item(pair: str) -> tuple[str, float, Problem | None]:
    name, _, text = (part.strip() for part in pair.partition("="))
    if name not in {*TREE_LENGTH, SAWLOG, POLE} and not _POLE_SIZE.fullmatch(name):
        return name, math.nan, Problem("--prices", "is not a price of wood", repr(name), f"Use one of: {_ITEMS}.")
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and value >= 0.0):
        return name, math.nan, Problem("--prices", f"{name} must be a number of $/ton, 0 or more", repr(text), _EXAMPLE)
    return name, value, None


def _table(name: str) -> tuple[dict[str, float], str]:
    from simulator.parameters.prices import load_prices  # noqa: PLC0415 - pydantic
    from simulator.scenario.price_rules import with_line  # noqa: PLC0415

    try:
        table = load_prices(name)
    except InputError as error:
        first = with_line(error, Path(name))[0]
        raise InputError([Problem("--prices", first.rule, first.received, f"{first.remedy} {_EXAMPLE}")]) from error
    held = {item: table.value(item) for item in (*TREE_LENGTH, SAWLOG, POLE) if item in table.items}
    return held, table.title


def _prices(items: Mapping[str, float], missing_table: str) -> "Prices":
    from simulator.enterprises.bucked_stem import Prices  # noqa: PLC0415 - numpy
    from simulator.enterprises.pole_table import PolePrices  # noqa: PLC0415

    absent = [item for item in (*TREE_LENGTH, POLE) if item not in items]
    if absent:
        remedy = f"Add it, or give it beside the table: {absent[0]}=0."
        raise InputError([Problem("--prices", f"lacks {', '.join(absent)}", repr(missing_table), remedy)])
    whole = {item: items[item] for item in TREE_LENGTH}
    logs = whole | {"sawtimber": items.get(SAWLOG, items["sawtimber"])}
    sizes = [(match, value) for name, value in items.items() if (match := _POLE_SIZE.fullmatch(name))]
    by_class = {int(match["number"]): value for match, value in sizes if not match["length"]}
    by_size = {(float(match["length"]), int(match["number"])): value for match, value in sizes if match["length"]}
    return Prices(whole, logs, PolePrices(items[POLE], by_class, by_size))


def read_defects(given: Sequence[str], height_ft: float) -> "tuple[Defect, ...]":
    """Defects as ``kind@feet``, in the order given.

    Parameters
    ----------
    given
        Each such as ``fork@20.5``; large knots as ``large-knots@17``.
    height_ft
        Height of the tree [ft], above which nothing can be wrong with it.

    Returns
    -------
    tuple of Defect

    Raises
    ------
    InputError
        Listing every word that is no defect.
    """
    from simulator.enterprises.defects import Defect  # noqa: PLC0415 - numpy

    found = [_defect(word) for word in given]
    problems = [problem for word, (_, at) in zip(given, found, strict=True) for problem in _wrong(word, at, height_ft)]
    if problems:
        raise InputError(problems)
    return tuple(Defect(kind, at) for kind, at in found)


def _defect(word: str) -> tuple[str, float]:
    kind, _, text = word.partition("@")
    try:
        return kind.strip().replace("-", "_").replace(" ", "_").lower(), float(text)
    except ValueError:
        return kind, math.nan


def _wrong(word: str, at_ft: float, height_ft: float) -> Iterator[Problem]:
    from simulator.parameters.bucking import DEFECT_KINDS  # noqa: PLC0415 - numpy

    kind, _ = _defect(word)
    if kind not in DEFECT_KINDS:
        known = ", ".join(name.replace("_", "-") for name in DEFECT_KINDS)
        yield Problem("--defect", "must be a kind of defect at a height, kind@feet", repr(word), f"Kinds: {known}.")
    elif not 0.0 <= at_ft < height_ft:
        rule = f"must lie between the ground and the tip, 0 to {height_ft:g} ft"
        yield Problem("--defect", rule, repr(word), "Give the height above ground in feet, such as fork@20.")
