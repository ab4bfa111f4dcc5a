"""Rules for prices that move over the years. Each docstring is the rule."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from simulator.errors import Problem
from simulator.parameters.price_movements import default_correlation, load_movements
from simulator.parameters.prices import PriceTable
from simulator.scenario.draft import Draft
from simulator.scenario.messages import nearest, shown
from simulator.scenario.price_path import PriceLink
from simulator.scenario.tree_rules import Rule
from simulator.units import FloatArray

LEAST_EIGENVALUE: Final = 1e-9
"""Under this a matrix of correlations cannot be drawn from; assumed, far above rounding."""


def correlation_matrix(items: Sequence[str], links: Sequence[PriceLink]) -> FloatArray:
    """How far the yearly changes of prices go together: as stated, otherwise by default.

    Parameters
    ----------
    items
        Price items, in the order of rows and columns.
    links
        Pairs that the owner states.

    Returns
    -------
    FloatArray
        Correlation [1], (items, items), 1 on the diagonal.
    """
    stated = {frozenset(link.items): link.correlation for link in links}

    def correlation(one: str, other: str) -> float:
        return stated.get(frozenset((one, other)), default_correlation(one, other))

    return np.array([[1.0 if one == other else correlation(one, other) for other in items] for one in items])


def price_paths_are_said_once(draft: Draft) -> list[Problem]:
    """A price moves in one way: each item has at most one [[price_path]]."""
    problems, seen = [], set()
    for number, entry in enumerate(draft.entries("price_path")):
        if (item := entry.get("item")) in seen and item is not None:
            rule = "has a [[price_path]] already"
            problems.append(draft.problem(("price_path", number, "item"), rule, remedy="Keep one of them."))
        seen.add(item)
    return problems


def movements_say_what_they_mean(draft: Draft) -> list[Problem]:
    """Only a mean-reverting price has a mean and a share it keeps, only a trend or a random walk a yearly trend."""
    problems = []
    for number, entry in enumerate(draft.entries("price_path")):
        moves = entry.get("moves")
        for key, used_by in _USED_BY.items():
            if moves is not None and entry.get(key) is not None and moves not in used_by:
                remedy = f"Take it away, or write moves = {' or '.join(shown(each) for each in used_by)}."
                rule = f"means nothing where moves = {shown(moves)}"
                problems.append(draft.problem(("price_path", number, key), rule, remedy=remedy))
    return problems


_USED_BY: Final = {
    "mean": ("mean-reverting",),
    "keep": ("mean-reverting",),
    "spread": ("mean-reverting", "random walk"),
    "trend": ("trend", "random walk"),
}


def _lacking(draft: Draft, number: int, item: str, moves: str) -> list[Problem]:
    if item in load_movements():
        return []
    return [
        draft.problem(
            ("price_path", number),
            f"needs {key}: there is no default for {item}",
            received="",
            remedy=f"Add {key} = a number of your own market.",
        )
        for key in ("keep", "spread")
        if moves in _USED_BY[key] and not draft.written_entry("price_path", number, key)
    ]


def links_join_two_moving_prices(draft: Draft) -> list[Problem]:
    """A link joins two different items that have a [[price_path]], each pair once."""
    problems, seen = [], set()
    items = [entry.get("item") for entry in draft.entries("price_path")]
    for number, entry in enumerate(draft.entries("price_link")):
        pair, path = entry.get("items"), ("price_link", number, "items")
        if pair is None or None in pair:
            continue
        if len(set(pair)) < 2 or frozenset(pair) in seen:
            rule = "must be two different items, each pair once"
            problems.append(draft.problem(path, rule, remedy="Keep one [[price_link]] for each pair."))
        elif strangers := [item for item in pair if item not in items]:
            rule = f"names {shown(strangers[0])}, which has no [[price_path]]"
            known = [item for item in items if item is not None]
            problems.append(draft.problem(path, rule, remedy=nearest(strangers[0], known) or "Add one for it."))
        seen.add(frozenset(pair))
    return problems


def links_can_hold_together(draft: Draft) -> list[Problem]:
    """Correlations can all hold at once: two prices that go with a third cannot go fully against each other."""
    scenario = draft.scenario
    if scenario is None or not scenario.price_link:
        return []
    items = [path.item for path in scenario.price_path]
    if any(not set(link.items) <= set(items) for link in scenario.price_link):
        return []  # told by the rule above
    matrix = correlation_matrix(items, scenario.price_link)
    if np.linalg.eigvalsh(matrix).min() > LEAST_EIGENVALUE:
        return []
    rule = "cannot hold together with the other correlations"
    remedy = "Bring the correlations of three prices nearer to 0; other kinds of wood are linked by default."
    return [draft.problem(("price_link", len(scenario.price_link) - 1, "correlation"), rule, remedy=remedy)]


def price_paths_name_amounts(draft: Draft, prices: PriceTable) -> list[Problem]:
    """Prices that move are amounts of money in the price table; one without defaults states its keep and spread."""
    problems = []
    known = [item for item, entry in prices.items.items() if entry.unit.startswith("$")]
    for number, entry in enumerate(draft.entries("price_path")):
        item, path = entry.get("item"), ("price_path", number, "item")
        if item is not None and item not in known:
            remedy = f"{nearest(item, known)} Known: {', '.join(known)}.".strip()
            problems.append(draft.problem(path, "is not an amount of the price table", remedy=remedy))
        elif item is not None and entry.get("moves") is not None:
            problems += _lacking(draft, number, item, entry["moves"])
    return problems


PRICE_PATH_RULES: Final[tuple[Rule, ...]] = (
    price_paths_are_said_once,
    movements_say_what_they_mean,
    links_join_two_moving_prices,
    links_can_hold_together,
)
