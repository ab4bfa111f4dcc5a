"""The short look at what matters: every change run anew, one scenario by itself, gives the same income."""

from functools import cache
from pathlib import Path

import pytest

from optimize.what_if import GRASS, OWN, RATE, SITE, WhatIf, what_if
from simulator.comparison import Comparison, compare
from simulator.result import run
from simulator.scenario.changing import change
from simulator.scenario.file import load
from simulator.scenario.model import Scenario

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def example() -> tuple[Scenario, Comparison, WhatIf]:
    scenario = load(EXAMPLES / "north-field.toml")
    compared = compare(scenario)
    return scenario, compared, what_if(compared.systems)


def _income(scenario: Scenario) -> float:
    return run(scenario).measures.equal_annual_income


@pytest.mark.parametrize("item", ["hay", "sawtimber", "grazing_lease"])
def test_a_price_moved_is_the_plan_run_at_that_price(item: str) -> None:
    scenario, _, found = example()
    swing = next(swing for swing in found.swings if swing.name == item)
    for price, income in ((swing.low, swing.at_low[OWN]), (swing.high, swing.at_high[OWN])):
        assert income == pytest.approx(_income(change(scenario, {f"money.prices.{item}": price})))


@pytest.mark.parametrize(
    ("name", "field"),
    [(RATE, "money.discount_rate"), (SITE, "land.site_index_ft"), (GRASS, "pasture.yield_multiplier")],
)
def test_rate_site_and_grass_moved_are_the_plan_run_so(name: str, field: str) -> None:
    """Growth is moved with fast light, whose light is within .01 of the exact one."""
    scenario, _, found = example()
    swing = next(swing for swing in found.swings if swing.name == name)
    for value, income in ((swing.low, swing.at_low[OWN]), (swing.high, swing.at_high[OWN])):
        assert income == pytest.approx(_income(change(scenario, {field: value})), abs=0.3)


def test_the_first_thinning_at_another_time_is_the_plan_run_so() -> None:
    scenario, compared, found = example()
    planned = compared.systems[OWN].measures.equal_annual_income
    assert sorted(other.year or 0 for other in found.thinnings) == [0, 13, 19]
    for other in found.thinnings:
        cuts = scenario.thinning[1:]
        if other.year is not None:
            cuts = (scenario.thinning[0].model_copy(update={"year": other.year}), *cuts)
        plan = scenario.model_copy(update={"thinning": cuts if other.year else ()})
        assert planned - other.gain == pytest.approx(_income(plan), abs=0.3)


def test_the_widest_comes_first() -> None:
    widths = [swing.width(OWN) for swing in example()[2].swings]
    assert widths == sorted(widths, reverse=True)
    assert min(widths) > 0.0
