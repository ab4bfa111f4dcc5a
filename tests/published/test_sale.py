"""Costs between stump and mill against arithmetic, a published ratio and judged bands; sources stand in the TOML."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from plans import example, fast, plantation
from recording import agree, between
from simulator.enterprises.offers import FINAL, Lot, to_the_mill
from simulator.events.thinning import Cut
from simulator.parameters.prices import load_prices
from simulator.parameters.tables import load_practice, load_tables
from simulator.physics.logging import cut_and_load_factor
from simulator.plan import compile_plan
from simulator.sale_accounts import KEYS
from simulator.sales import stumpage_per_ton
from simulator.scenario.model import Scenario
from simulator.scenario.sale import Sale

CHECKS = tomllib.loads((Path(__file__).parent / "sale.toml").read_text(encoding="utf-8"))
LOGGING = load_practice().logging
PRICES = load_prices("demo-2025")


@pytest.mark.parametrize("number", range(5))
@pytest.mark.parametrize("neighbours_ac", [0.0, 60.0])
def test_a_fixed_cost_by_the_ton(number: int, neighbours_ac: float) -> None:
    check = CHECKS["fixed_cost"]
    tons, acres = check["ton"][number], 40.0
    plan = example().model_copy(update={"sale": Sale(pricing="delivered", acres_sold_with=neighbours_ac)})
    batch = compile_plan([plan], strip_width_ft=5.0, points=2)
    ton_ac = np.array([[tons / (acres + neighbours_ac), 0.0, 0.0, 0.0]])
    lot = Lot(ton_ac, np.array([0.3]), np.array([FINAL]), Cut(np.zeros((1, 1, 1)), np.zeros((1, 1, 1))))
    once = to_the_mill(batch, load_tables("loblolly", "bahiagrass", "cattle"), lot)[0, KEYS.index("move_in")]
    agree(
        "moving in, by the ton [$/ton]",
        once * check["dollars"] / ton_ac.sum(),
        check["per_ton"][number],
        check,
        share=1e-12,
    )


def test_small_pieces_cost_as_much_more_as_the_trial_found() -> None:
    check = CHECKS["piece_size"]
    found = check["pulpwood_size_per_ton"] / check["sawtimber_size_per_ton"]
    small, large = cut_and_load_factor(
        check["piece_ton"], thinning=False, logging=LOGGING._replace(least_piece_ton=0.01)
    )
    agree("cost of small over large trees", small / large, found, check, within=check["tolerance"])
    bounded = cut_and_load_factor(check["piece_ton"], thinning=False, logging=LOGGING)
    between(
        "cost of small over large trees, bounded",
        bounded[0] / bounded[1],
        check["ratio_with_bound_from"],
        found,
        check,
    )


def test_cost_on_the_truck_lies_where_practice_puts_it() -> None:
    check = CHECKS["cost_on_the_truck"]
    clearcut, thinning = (
        PRICES.value("cut_and_load")
        * float(cut_and_load_factor(check[f"{kind}_tree_ton"], kind != "clearcut", LOGGING))
        for kind in ("clearcut", "first_thinning")
    )
    between(
        "cut and load, clearcut [$/ton]",
        clearcut,
        check["clearcut_per_ton"][0],
        check["clearcut_per_ton"][1],
        check,
    )
    between(
        "cut and load, first thinning [$/ton]",
        thinning,
        check["first_thinning_per_ton"][0],
        check["first_thinning_per_ton"][1],
        check,
    )
    for item, limits in (("haul", "haul_per_ton_mile"), ("move_in", "move_in")):
        between(
            "cost on the truck lies where practice puts it",
            PRICES.value(item),
            check[limits][0],
            check[limits][1],
            check,
        )


@pytest.mark.parametrize("plan", [example(), plantation(example())], ids=["both together", "trees alone"])
def test_a_clearcut_at_fifty_miles_leaves_about_the_stumpage_of_the_table(plan: Scenario) -> None:
    check = CHECKS["residual"]
    outcome = fast(plan.model_copy(update={"sale": Sale(pricing="delivered")}))
    last = max((offer for offer in outcome.offers if offer.kind == FINAL), key=lambda offer: offer.year)
    left = stumpage_per_ton(last, outcome.prices)
    agree(
        "stumpage left of a delivered clearcut, by product [$/ton]",
        left,
        check["stumpage_per_ton"],
        check,
        within=check["tolerance"],
    )
    # pulpwood of a small first thinning is worth next to nothing, or less
    first = outcome.offers[0]
    assert -3.0 < stumpage_per_ton(first, outcome.prices)[0] < 3.0
