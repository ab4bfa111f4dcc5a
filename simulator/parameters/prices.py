"""Price tables: packaged ones, a user's own file (whole, or on top of a packaged one), and overrides."""

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any, Final, NamedTuple

from simulator.errors import InputError, ParameterError, Problem
from simulator.named_files import Kind, text_of
from simulator.sourced import Sourced, as_received, sourced_of

COPY: Final = "'halfshade init --prices' prints one to start from."
_MEND: Final = "Mend it in that file; 'halfshade init --prices' prints one whose lines are sound."
_WRITING: Final = "Text goes in quotes, decimals have a point, an entry stays on one line between its braces."
_MANY_DIGITS: Final = re.compile(r"\d[\d_]{4000}")
TABLE: Final = Kind(1_000_000, COPY, "Name a price table.", "No price table is so large.", "Save it again as UTF-8.")


class PriceTable(NamedTuple):
    """Prices by item, with where they come from.

    Attributes
    ----------
    title
        Name of the table.
    currency_year
        Year of the dollars.
    sources
        Full text of each source key.
    items
        Item name to sourced price; names are unique over the whole file.
    groups
        Item name to the table of the file it stands in.
    """

    title: str
    currency_year: int
    sources: Mapping[str, str]
    items: Mapping[str, Sourced]
    groups: Mapping[str, str]

    def value(self, item: str) -> float:
        """Price of an item in its own unit."""
        value = self.items[item].value
        if isinstance(value, tuple):
            raise ParameterError(f"price {item} must be one number, is a list")
        return value


def price_table_names() -> list[str]:
    """Ids of the packaged price tables, sorted."""
    folder = resources.files("price_tables")
    return sorted(entry.name.removesuffix(".toml") for entry in folder.iterdir() if entry.name.endswith(".toml"))


def in_proportion(in_force: float, limit: float, usual: float) -> float:
    """A price moved as far, in proportion, as an end of the table's range lies from the table's price.

    Parameters
    ----------
    in_force
        Price of the scenario, in the item's unit [$].
    limit
        End of the range [$].
    usual
        Price of the table [$].

    Returns
    -------
    float
        Price [$]; the end itself where the table's price is 0.

    References
    ----------
    Assumed for this project.
    """
    return float(in_force * limit / usual) if usual > 0 else float(limit)


def load_prices(name: str, beside: Path | None = None) -> PriceTable:
    """Read a price table by packaged id, or from a TOML file of the same layout.

    Parameters
    ----------
    name
        Packaged id such as ``demo-2025``, or a file name ending in ``.toml``.
    beside
        Folder that a file name is relative to.

    Raises
    ------
    InputError
        If there is no such table, or the user's file cannot be read as one.
    """
    if name in price_table_names():
        return _packaged(name)
    if not name.endswith(".toml"):
        known = ", ".join(price_table_names())
        remedy = f"Use one of: {known}; or a .toml file beside the scenario."
        raise InputError([Problem("money.price_table", "is not a known price table", repr(name), remedy)])
    path = (beside or Path()) / name
    try:
        return _read(path)
    except InputError as error:
        raise InputError([_of_table(each, path, name) for each in error.problems]) from error
    except (RecursionError, TypeError) as error:
        rule = f"cannot be read: {path.name} is not laid out as a price table"
        raise InputError([Problem("money.price_table", rule, repr(name), COPY)]) from error
    except (ValueError, ParameterError) as error:
        remedy = f"{_WRITING} {_MEND}" if isinstance(error.__cause__, tomllib.TOMLDecodeError) else _MEND
        raise InputError([Problem("money.price_table", f"cannot be read: {error}", repr(name), remedy)]) from error


def _of_table(problem: Problem, path: Path, name: str) -> Problem:
    """A problem of the table's file as one of the field that names it."""
    place = path.name if problem.line is None else f"{path.name}:{problem.line}"
    return Problem("money.price_table", f"cannot be read: {place}: {problem.rule}", repr(name), problem.remedy)


@cache
def _packaged(name: str) -> PriceTable:
    with resources.as_file(resources.files("price_tables") / f"{name}.toml") as path:
        return _read(path)


def _read(path: Path) -> PriceTable:
    text = text_of(path, TABLE)
    header = _tables_of(text, path.name)
    base = _extended(path, header.get("extends"))
    year = header.get("currency_year", base.currency_year if base else None)
    if type(year) is not int:
        received = "" if year is None else f", is {as_received(year)}"
        raise ParameterError(f"{path.name}: currency_year must be a whole year{received}", ("currency_year",))
    file = sourced_of(text, path, plain=("currency_year", "extends"))
    items: dict[str, Sourced] = {}
    groups: dict[str, str] = {}
    for group, entries in file.tables.items():
        for name, entry in entries.items():
            if name in items:
                raise ParameterError(f"{path.name}: item {name} stands twice", (group, name))
            items[name] = entry
            groups[name] = group
    own = PriceTable(file.title, year, file.sources, items, groups)
    return own if base is None else _laid_over(path, own, base, str(header["extends"]))


def _tables_of(text: str, name: str) -> dict[str, Any]:
    """Tables of a file as they are written; where it is no TOML the line that is none is said."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        what, _, place = str(error).partition(" (at ")
        numbers = re.findall(r"\d+", place)
        line, column = numbers if len(numbers) == 2 else (text.rstrip().count("\n") + 1, "its end")
        where = f"column {column}" if numbers else column
        written = as_received(text.split("\n")[int(line) - 1].strip())
        rule = f"cannot be read as TOML at {where}: {what[:1].lower()}{what[1:]}, in {written[1:-1]}"
        raise ParameterError(f"{name}:{line}: {rule}") from error
    except ValueError as error:  # Python refuses to read integers of thousands of digits
        long = _MANY_DIGITS.search(text)
        line = text.count("\n", 0, long.start() if long else 0) + 1
        raise ParameterError(f"{name}:{line}: has a number with thousands of digits") from error


def _extended(path: Path, name: object) -> PriceTable | None:
    """The packaged table that a person's own file adds to or changes, if it names one."""
    if name is None:
        return None
    if name not in price_table_names():
        known = ", ".join(price_table_names())
        raise ParameterError(
            f"{path.name}: extends must name a packaged price table ({known}), is {as_received(name)}", ("extends",)
        )
    return load_prices(str(name))


def _laid_over(path: Path, own: PriceTable, base: PriceTable, name: str) -> PriceTable:
    """Own items in front, everything else from the packaged table, whose sources keep their texts."""
    if own.currency_year != base.currency_year:
        raise ParameterError(
            f"{path.name}: currency_year is {own.currency_year}, but {name} is in dollars of {base.currency_year}: "
            "state own prices in those dollars, or copy the whole table",
            ("currency_year",),
        )
    keys = {key: key if own.sources.get(key, text) == text else f"{name}: {key}" for key, text in base.sources.items()}
    theirs = {item: entry for item, entry in base.items.items() if item not in own.items}
    items = {item: entry.model_copy(update={"source": keys[entry.source]}) for item, entry in theirs.items()}
    sources = {keys[key]: text for key, text in base.sources.items()}
    groups = dict(base.groups) | dict(own.groups)
    return own._replace(sources=sources | dict(own.sources), items=items | dict(own.items), groups=groups)
