"""Hold or cut, and the price to act at, through the functions that `halfshade wait` calls; see waiting.toml."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from optimize.waiting.maturity import value_growth
from optimize.waiting.program import program_of, under_several_prices
from recording import agree
from waiting import market, stand

OWN = tomllib.loads(Path(__file__).with_name("waiting.toml").read_text(encoding="utf-8"))["own"]
MATURE, SALE = OWN["hold_or_cut"], OWN["stand"]
SELL = 1


def test_the_rent_of_the_land_turns_hold_into_cut() -> None:
    years = MATURE["years"]
    alone = value_growth(MATURE["now"], np.zeros(years), MATURE["later"])
    now, later = MATURE["now"] + MATURE["land"], MATURE["later"] + MATURE["land"]
    growth = value_growth(now, np.zeros(years), later)
    agree("yearly growth in value of the stand alone", alone, MATURE["stand_growth"], OWN, within=5e-5)
    agree("yearly growth in value with the land", growth, MATURE["growth"], OWN, within=5e-6)
    assert growth < MATURE["rate"] < alone
    assert now == MATURE["cut_now"]
    agree("worth if held [$/ac]", later / (1.0 + MATURE["rate"]) ** years, MATURE["held"], OWN, within=0.005)


def test_holding_costs_slow_the_growth_of_value() -> None:
    now, later = MATURE["now"] + MATURE["land"], MATURE["later"] + MATURE["land"]
    growth = value_growth(now, np.full(MATURE["years"], -MATURE["carrying"]), later)
    agree("yearly growth in value, holding costs paid", growth, MATURE["growth_with_carrying"], OWN, within=5e-7)


def test_a_property_without_worth_has_no_growth() -> None:
    assert np.isnan(value_growth(-10.0, np.zeros(1), 100.0))


def test_the_program_of_the_command_gives_the_price_to_sell_at() -> None:
    price = market(SALE["level"], SALE["level"], SALE["keep"], SALE["spread"])
    program = program_of(stand(), price, SALE["years"])
    agree("worth of the stand [$]", program.value, SALE["value_without_a_rule"], OWN, within=0.2)
    agree("worth of the best fixed plan [$]", program.fixed.value, SALE["fixed_plan"], OWN, within=0.005)
    assert program.option_value == pytest.approx(SALE["value_without_a_rule"] - SALE["fixed_plan"], abs=0.2)
    found = [program.from_price(SELL, year) for year in range(SALE["years"])]
    agree("price to sell at, by year [$/ton]", found, SALE["reservation"], OWN, within=0.02)
    assert program.from_price(SELL, SALE["years"]) == 0.0
    assert [program.action_at(today) for today in (24.0, 32.0)] == [0, SELL]


def test_the_rule_of_the_command_is_worth_as_much_on_fresh_draws() -> None:
    price = market(SALE["level"], SALE["level"], SALE["keep"], SALE["spread"])
    found = under_several_prices(stand(), price, 20_000, seed=1)
    exact = SALE["value_without_a_rule"]
    assert exact - 5.0 * found.standard_error < found.mean < exact + 3.0 * found.standard_error
    assert found.action == 0
