"""What is kept of each scenario: names a person can write, and the columns they become."""

import re
from collections.abc import Callable, Mapping
from typing import Final, NamedTuple

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.result import Outcome
from simulator.scenario.messages import nearest
from simulator.units import FloatArray

MONEY: Final = {
    "npv": "npv_per_ac",
    "irr": "irr",
    "irr of one cycle": "irr_of_one_cycle",
    "land expectation": "land_expectation_per_ac",
    "equal annual income": "equal_annual_income_per_ac",
    "payback year": "payback_year",
    "deepest cash": "deepest_cash_per_ac",
}
"""Outputs that prices and the rate decide, and their columns."""
UNITS: Final = {
    "npv_per_ac": "$/ac",
    "irr": "1/yr",
    "irr_of_one_cycle": "1/yr",
    "land_expectation_per_ac": "$/ac",
    "equal_annual_income_per_ac": "$/ac/yr",
    "payback_year": "yr",
    "deepest_cash_per_ac": "$/ac",
}
STATES: Final = (
    "trees_per_ac", "quadratic_mean_dbh_in", "dominant_height_ft", "basal_area_ft2_ac", "crown_width_ft",
    "crown_base_ft", "light_warm", "light_cool", "canopy_cover", "forage_lb_ac", "forage_share_of_open", "hay_ton_ac",
    "animal_unit_months_ac", "straw_bales_ac", "nuts_lb_ac", "standing_ton_ac", "trees_cut_per_ac",
    "basal_area_cut_ft2_ac", "trees_dead_per_ac", "no_bid", "small_sale",
)  # fmt: skip
"""Yearly columns that may be asked for, as in years.csv."""
WOOD: Final = tuple(f"wood_{product}_ton_ac" for product in WOOD_PRODUCTS)
SHORT: Final = {
    "light": "light_warm",
    "canopy": "canopy_cover",
    "forage": "forage_lb_ac",
    "hay": "hay_ton_ac",
    "basal area": "basal_area_ft2_ac",
    "height": "dominant_height_ft",
    "diameter": "quadratic_mean_dbh_in",
    "straw": "straw_bales_ac",
    "animal unit months": "animal_unit_months_ac",
    **{product.replace("_", " "): f"wood_{product}_ton_ac" for product in WOOD_PRODUCTS},
}
"""Names in words for the columns asked for most."""
_AT: Final = re.compile(r"(?P<what>.+) at (?P<year>\d{1,3})")
_TOTAL: Final = re.compile(r"(?:total|tons of) (?P<what>.+)")
_MEAN: Final = re.compile(r"mean (?P<what>.+)")
_FIRST: Final = re.compile(r"first year (?P<what>.+) (?P<side>passes|falls below) (?P<limit>\d*\.?\d+)")
HOW: Final = (
    'Write one of: npv, irr, "irr of one cycle", "land expectation", "equal annual income", "payback year", '
    '"deepest cash", "light at 20", '
    '"total hay", "tons of sawtimber", "mean forage", "first year canopy passes 0.5".'
)

Measure = Callable[[FloatArray], float]


class Output(NamedTuple):
    """One column of the results.

    Attributes
    ----------
    name
        As written in the factors file.
    column, unit
        Name of its column, and unit.
    state
        Yearly column it is taken from; empty where it is money.
    take
        ``at``, ``total``, ``mean``, ``passes`` or ``falls below``; empty where it is money.
    number
        Year or limit of ``take``.
    """

    name: str
    column: str
    unit: str
    state: str = ""
    take: str = ""
    number: float = 0.0

    @property
    def money(self) -> bool:
        """Whether prices and the rate decide it."""
        return not self.state

    def of(self, outcome: Outcome) -> float:
        """Value of an output that is not money; NaN where the run has no such year, or never gets there."""
        values = _yearly(outcome, self.state)
        if self.take == "at":
            return float(values[int(self.number)]) if self.number < len(values) else float("nan")
        if self.take == "total":
            return float(values.sum())
        if self.take == "mean":
            return float(values[1:].mean()) if len(values) > 1 else float("nan")
        there = values > self.number if self.take == "passes" else values < self.number
        return float(np.argmax(there)) if there.any() else float("nan")


def output_named(name: str) -> Output:
    """Read an output as a person writes it.

    Raises
    ------
    ValueError
        Where it is none; the text says what to write.
    """
    if name in MONEY:
        return Output(name, MONEY[name], UNITS[MONEY[name]])
    if found := _FIRST.fullmatch(name):
        state, side = _state(found["what"]), found["side"]
        column = f"first_year_{state}_{side.replace(' ', '_')}_{found['limit']}"
        return Output(name, column, "yr", state, side, float(found["limit"]))
    if found := _AT.fullmatch(name):
        state = _state(found["what"])
        return Output(name, f"{state}_at_{int(found['year'])}", _unit(state), state, "at", float(found["year"]))
    for take, pattern in (("total", _TOTAL), ("mean", _MEAN)):
        if found := pattern.fullmatch(name):
            state = _state(found["what"])
            return Output(name, f"{take}_{state}", _unit(state), state, take)
    raise ValueError(f"{nearest(name, MONEY)} {HOW}".strip())


def _state(words: str) -> str:
    state = SHORT.get(words, words)
    if state not in {*STATES, *WOOD}:
        known = ", ".join((*SHORT, *STATES, *WOOD))
        raise ValueError(f"{nearest(words, (*SHORT, *STATES, *WOOD))} Known: {known}.".strip())
    return state


def _unit(state: str) -> str:
    ends = {"_lb_ac": "lb/ac", "_ton_ac": "ton/ac", "_ft2_ac": "ft2/ac", "_bales_ac": "bale/ac", "_months_ac": "AUM/ac"}
    ends |= {"_per_ac": "1/ac", "_ft": "ft", "_in": "in"}
    return next((unit for end, unit in ends.items() if state.endswith(end)), "1")


def _yearly(outcome: Outcome, state: str) -> FloatArray:
    if state in WOOD:
        return outcome.wood_ton_ac[:, WOOD.index(state)]
    return np.asarray(outcome.states[state], dtype=np.float64)


def columns_of(outputs: Mapping[str, tuple[Output, ...]]) -> dict[str, str]:
    """Columns of the results by system with their units; with one system alone without its name in front."""
    prefix = len(outputs) > 1
    return {
        f"{system}_{output.column}" if prefix else output.column: output.unit
        for system, wanted in outputs.items()
        for output in wanted
    }
