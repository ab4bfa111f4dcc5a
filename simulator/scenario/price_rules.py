"""Rules for money: the price table, its items, and the rate. Each docstring is the rule."""

from collections.abc import Mapping
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Final

from simulator.errors import InputError, Problem
from simulator.interest import real_rate
from simulator.named_files import is_file, text_of
from simulator.parameters.prices import TABLE, PriceTable, load_prices, price_table_names
from simulator.scenario.draft import Draft
from simulator.scenario.lines import Lines, scan_lines
from simulator.scenario.messages import nearest, shown
from simulator.scenario.sale import COST_ITEMS, DELIVERED, DRY, DRY_ITEM, MILL_ITEMS
from simulator.sourced import LONGEST_SHOWN

PER_ACRE_UNITS: Final = ("$/ac", "$/strip ac")
SHARE_UNIT: Final = "share of sale"
MOST_PRICE: Final = 1e6
"""Beyond any price by the unit; assumed for this project, only to catch slips of the pen."""

SLIP: Final = 0.8
"""Likeness of two names, 0 to 1, from which one is taken for a slip of the other; tried on the packaged names."""


def read_price_table(draft: Draft, beside: Path | None) -> tuple[PriceTable | None, list[Problem]]:
    """The price table exists, can be read, and holds what a packaged one holds, in the same units."""
    name, path = draft.get("money", "price_table"), ("money", "price_table")
    if name is None:
        return None, []
    packaged = price_table_names()
    if name in packaged:
        return load_prices(name), []
    remedy = f"Use one of: {', '.join(packaged)}; or a .toml file beside the scenario."
    if not name.endswith(".toml"):
        remedy = f"{nearest(name, packaged)} {remedy}".strip()
        return None, [draft.problem(path, "is not a known price table", remedy=remedy)]
    if not is_file((beside or Path()) / name):
        return None, [draft.problem(path, "names no file that can be read", remedy=remedy)]
    return _own_price_table(draft, name, beside)


def _own_price_table(draft: Draft, name: str, beside: Path | None) -> tuple[PriceTable | None, list[Problem]]:
    path = ("money", "price_table")
    file = (beside or Path()) / name
    try:
        table = load_prices(name, beside)
    except InputError as error:
        return None, [draft.problem(path, each.rule, remedy=each.remedy) for each in with_line(error, file)]
    return table, _incomplete(draft, table, _lines_of(file))


def with_line(error: InputError, file: Path) -> list[Problem]:
    """Problems of a price table that cannot be read, with the line of the entry that is wrong.

    Parameters
    ----------
    error
        As `load_prices` raises it.
    file
        The table's file.
    """
    place = getattr(error.__cause__, "path", ())
    line = _lines_of(file).locate(place) if place else None
    if line is None:
        return error.problems
    return [
        replace(each, rule=each.rule.replace(f"{file.name}:", f"{file.name}:{line}:", 1)) for each in error.problems
    ]


def _lines_of(file: Path) -> Lines:
    return scan_lines(text_of(file, TABLE))


def _incomplete(draft: Draft, table: PriceTable, lines: Lines) -> list[Problem]:
    """What the table gets wrong, and what it lacks; items of an unusual sale may be left out where none is planned."""
    wanted = load_prices(price_table_names()[0]).items
    unasked = _items_unasked(draft)

    def on_line(item: str) -> str:
        place = (table.groups[item], item)
        return f" (line {lines.places[place]})" if place in lines.places else ""

    rules = [
        f"gives {item} in {table.items[item].unit[:LONGEST_SHOWN]}{on_line(item)}; it must be in {entry.unit}"
        for item, entry in wanted.items()
        if item in table.items and table.items[item].unit != entry.unit
    ]
    rules += [
        f"must give {item} as one number from 0 to {_most(entry.unit):g} {entry.unit[:LONGEST_SHOWN]}{on_line(item)}"
        for item, entry in table.items.items()
        if isinstance(entry.value, tuple) or not 0.0 <= entry.value <= _most(entry.unit)
    ]
    if lacking := [f"{item} in {entry.unit}" for item, entry in wanted.items() if item not in {*table.items, *unasked}]:
        rules.append(f"lacks {', '.join(lacking)}")
    rules += [
        f"gives {item}{on_line(item)}, which nothing asks for and which may be meant for {near}"
        for item in table.items
        if item not in {*wanted, *_items_named(draft)} and (near := _misspelt(item, wanted, lines))
    ]
    path = ("money", "price_table")
    base = price_table_names()[0]
    remedy = f'Mend it in that file; extends = "{base}" at its top takes every item it does not give from there.'
    return [draft.problem(path, rule, remedy=remedy) for rule in rules]


def _misspelt(item: str, wanted: Mapping[str, Any], lines: Lines) -> str:
    """The packaged item that one of a person's own was meant for; empty where none differs by a letter or two.

    One that the file gives too was meant as itself: a second hay beside the hay.
    """
    own = {path[-1] for path in lines.places}
    return "".join(get_close_matches(item, [name for name in wanted if name not in own], n=1, cutoff=SLIP))


def _items_named(draft: Draft) -> set[str]:
    """Items that the plan names itself: costs by the acre, margins of small enterprises, prices that move."""
    named = [entry.get("item") for part in ("treatment", "other", "price_path") for entry in draft.entries(part)]
    return {*(draft.get("money", "prices") or {}), *(item for item in named if item is not None)}


def _items_unasked(draft: Draft) -> set[str]:
    """Items that only a sale at the mill's gate, or over soft ground, asks for, where the plan has no such sale."""
    mill = () if draft.get("sale", "pricing") == DELIVERED else (*MILL_ITEMS, *COST_ITEMS)
    dry = () if draft.get("sale", "access") == DRY else (DRY_ITEM,)
    return {*mill, *dry}


def _most(unit: str) -> float:
    return 1.0 if unit == SHARE_UNIT else MOST_PRICE


def price_overrides_are_known(draft: Draft, prices: PriceTable) -> list[Problem]:
    """Price overrides name items of the table; no price is below 0, no share of a sale above 1."""
    problems = []
    for item, value in (draft.get("money", "prices") or {}).items():
        path = ("money", "prices", item)
        if item not in prices.items:
            problems.append(_unknown_item(draft, path, item, prices.items))
        elif value is not None and value < 0.0:
            remedy = "Costs too are written as positive amounts."
            problems.append(draft.problem(path, f"must not be below 0 {prices.items[item].unit}", remedy=remedy))
        elif value is not None and value > MOST_PRICE:
            rule = f"must not be above {MOST_PRICE:,.0f} {prices.items[item].unit}"
            problems.append(draft.problem(path, rule, remedy="Look for a slip of the pen."))
        elif value is not None and value > 1.0 and prices.items[item].unit == SHARE_UNIT:
            problems.append(
                draft.problem(path, "must be a share of the sale from 0 to 1", remedy="5 % is written 0.05.")
            )
    return problems


def treatment_items_are_known(draft: Draft, prices: PriceTable) -> list[Problem]:
    """Treatments name costs of the price table that are paid by the acre."""
    problems = []
    per_acre = {
        name: entry
        for name, entry in prices.items.items()
        if entry.unit in PER_ACRE_UNITS and prices.groups[name] != "sale"
    }
    for number, entry in enumerate(draft.entries("treatment")):
        item, path = entry.get("item"), ("treatment", number, "item")
        if item is None or item in per_acre:
            continue
        if item in prices.items:
            unit = prices.items[item].unit
            remedy = f"Use one of: {', '.join(per_acre)}."
            problems.append(draft.problem(path, f"must be a cost by the acre, this one is in {unit}", remedy=remedy))
        else:
            problems.append(_unknown_item(draft, path, item, per_acre))
    return problems


def _unknown_item(draft: Draft, path: tuple[str | int, ...], item: str, known: Mapping[str, Any]) -> Problem:
    remedy = nearest(item, known) or f"Known: {', '.join(known)}."
    return draft.problem(path, "is not an item of the price table", received=shown(item), remedy=remedy)


def real_rate_is_not_negative(draft: Draft) -> list[Problem]:
    """A nominal rate covers at least the inflation in it."""
    rate, inflation = draft.get("money", "discount_rate"), draft.get("money", "inflation")
    if draft.get("money", "rate_basis") != "nominal" or rate is None or inflation is None:
        return []
    real = float(real_rate(float(rate), float(inflation)))
    if real >= 0.0:
        return []
    rule = f"is less than the inflation of {inflation:.1%}: the real rate would be {real:.1%}, below 0"
    return [draft.problem(("money", "discount_rate"), rule, remedy='Raise it, or write rate_basis = "real".')]
