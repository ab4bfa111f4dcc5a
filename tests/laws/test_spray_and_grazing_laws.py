"""What sprays take from the grass, and what an owner is told of grazing that does not pay."""

import numpy as np
import pytest

from plans import changed, example, fast, pasture, plantation
from simulator.findings.warnings import warnings_of
from simulator.parameters.growth import load_tree
from simulator.parameters.pasture import load_grass
from simulator.result import Outcome
from simulator.scenario.advice import advice_of
from simulator.scenario.income import Other
from simulator.scenario.model import Scenario
from simulator.scenario.owner import Herbicide

CUTS = 3
"""Cuts of a hay year; judged in practice.toml."""


def sprayed(product: str, year: int, ground: str = "grass", share: float = 1.0) -> Scenario:
    spray = Herbicide.model_validate({"year": year, "product_class": product, "ground": ground, "share": share})
    return example().model_copy(update={"herbicide": (spray,)})


def said(outcome: Outcome, code: str) -> list[str]:
    return [warning.message for warning in warnings_of("x", outcome) if warning.code == code]


def advised(plan: Scenario, code: str) -> list[str]:
    return [message for known, message in advice_of(plan) if known == code]


def test_hay_that_waits_for_a_spray_loses_its_months_and_a_cut_at_the_least() -> None:
    plain, waits = fast(example()), fast(sprayed("hexazinone", 2))
    kept = waits.states["hay_ton_ac"][2] / plain.states["hay_ton_ac"][2]
    grown = np.array(load_grass("bahiagrass").season.monthly_share)
    first_two = grown[grown > 0][:2].sum() / grown.sum()
    assert kept == pytest.approx(1.0 - max(first_two, 1.0 / CUTS))
    assert waits.states["hay_ton_ac"][3] == pytest.approx(plain.states["hay_ton_ac"][3])
    assert waits.states["forage_lb_ac"] == pytest.approx(plain.states["forage_lb_ac"])


def test_a_part_sprayed_loses_its_part_and_strips_lose_no_hay() -> None:
    plain, whole = fast(example()).states["hay_ton_ac"][2], fast(sprayed("hexazinone", 2)).states["hay_ton_ac"][2]
    layout = example().trees.layout  # type: ignore[union-attr]
    period = layout.alley_ft + (layout.rows_in_set - 1) * layout.row_gap_ft
    ground = (layout.alley_ft - load_tree("loblolly").planting.strip_width_ft) / period
    part = fast(sprayed("hexazinone", 2, share=0.5 * ground)).states["hay_ton_ac"][2]
    assert plain - part == pytest.approx(0.5 * (plain - whole))
    assert fast(sprayed("hexazinone", 2, ground="strips")).states["hay_ton_ac"][2] == pytest.approx(plain)


def test_days_without_animals_take_grazing_and_rent() -> None:
    plain = fast(example())
    for plan in (sprayed("hexazinone", 10), sprayed("hexazinone", 10, ground="strips", share=0.2)):
        closed = fast(plan)
        ratio = closed.states["animal_unit_months_ac"] / np.maximum(plain.states["animal_unit_months_ac"], 1e-9)
        assert 0.6 < ratio[10] < 0.95
        assert ratio[11] == pytest.approx(1.0)
        keys = [line.key for line in plain.flows.lines]
        rent = [each.flows.quantity[10, keys.index("grazing_lease")] for each in (closed, plain)]
        assert rent[0] < 0.9 * rent[1]


def test_what_kills_grass_takes_the_part_sprayed_and_gives_it_back_over_years() -> None:
    plain, killed = fast(example()), fast(sprayed("imazapyr", 2))
    assert killed.states["forage_lb_ac"][1] == plain.states["forage_lb_ac"][1]
    assert killed.states["forage_lb_ac"][2] == 0.0
    share = killed.states["forage_lb_ac"][2:12] / plain.states["forage_lb_ac"][2:12]
    assert (np.diff(share) >= -1e-9).all()
    assert 0.1 < share[1] < 0.5
    assert share[-1] == pytest.approx(1.0)
    spared = fast(sprayed("imazapyr", 2, ground="strips"))
    assert spared.states["forage_lb_ac"] == pytest.approx(plain.states["forage_lb_ac"])


def test_a_spray_of_the_planting_day_strikes_the_first_season_and_closes_nothing() -> None:
    plain = fast(example())
    assert fast(sprayed("hexazinone", 0)).states["hay_ton_ac"] == pytest.approx(plain.states["hay_ton_ac"])
    assert fast(sprayed("imazapyr", 0)).states["forage_lb_ac"][1] == 0.0
    sown = [changed(plan, "pasture", established=False) for plan in (example(), sprayed("glyphosate", 0))]
    bare, cleared = (fast(plan).states["forage_lb_ac"] for plan in sown)
    assert bare[2] > 0
    assert cleared[:36] == pytest.approx(bare[:36])  # the old grass is sprayed before the new one is sown
    assert cleared[36] == 0.0  # planted again after the harvest of year 35, and sprayed again


def test_the_single_uses_of_a_sprayed_plan_are_not_sprayed() -> None:
    for derived in (pasture, plantation):
        assert derived(sprayed("imazapyr", 2)).herbicide == ()


def test_who_sprays_the_grass_is_told_of_drift_and_roots_who_sprays_the_strips_of_shields() -> None:
    (grass,) = advised(sprayed("triclopyr", 3), "spray_pines")
    assert "drift" in grass
    assert "roots" in grass
    assert "spray the grass" not in grass
    (strips,) = advised(sprayed("triclopyr", 3, ground="strips"), "spray_pines")
    assert "along their rows: shield them" in strips


@pytest.mark.parametrize(
    ("grass", "overseeded", "season", "months"),
    [
        ("bahiagrass", "none", (11, 5), "November to February"),
        ("bahiagrass", "none", (4, 9), None),
        ("bahiagrass", "none", (9, 3), "November to February"),
        ("bahiagrass", "ryegrass", (11, 5), None),
    ],
)
def test_months_in_which_nothing_grows_are_named(
    grass: str, overseeded: str, season: tuple[int, int], months: str | None
) -> None:
    plan = changed(example(), "use", animals="stockers", tenure="owned", season_months=season)
    plan = changed(plan, "pasture", grass=grass, overseeded=overseeded)
    told = advised(plan, "idle_months")
    assert bool(told) == (months is not None)
    if months:
        assert f"In {months} this grass does not grow" in told[0]


def test_nitrogen_that_no_tenant_pays_is_named_and_moves_no_number() -> None:
    dear = fast(example())
    (message,) = said(dear, "tenants_nitrogen")
    keys = [line.key for line in dear.flows.lines]
    year = int(message.removeprefix("From year ").split()[0])
    months = dear.states["animal_unit_months_ac"]
    layout = example().trees.layout  # type: ignore[union-attr]
    period = layout.alley_ft + (layout.rows_in_set - 1) * layout.row_gap_ft
    ground = (layout.alley_ft - load_tree("loblolly").planting.strip_width_ft) / period
    nitrogen = 80 * ground * dear.prices["nitrogen"]
    each = (dear.amount[:, keys.index("grazing_lease")] + nitrogen) / np.maximum(months, 1e-9)
    limit = 1.5 * dear.prices["grazing_lease_month"]
    assert (each[year:36] > limit).all()
    assert each[year - 1] <= limit
    assert not said(fast(changed(example(), "pasture", nitrogen_lb_ac=0.0)), "tenants_nitrogen")
    assert not said(fast(changed(example(), "use", lease_basis="animal-unit month")), "tenants_nitrogen")
    assert not said(fast(changed(example(), "use", tenure="owned")), "tenants_nitrogen")


def test_the_year_from_which_rent_no_longer_pays_the_fence_is_named() -> None:
    plan = example()
    poor = plan.model_copy(update={"money": plan.money.model_copy(update={"prices": {"grazing_lease": 12.0}})})
    outcome = fast(poor)
    (message,) = said(outcome, "grazing_unpaid")
    assert "fence and water" in message
    charge = 60.0 * 0.05 / (1.0 - 1.05**-20)  # capital recovery of 60 $/ac over 20 years at 5 %
    assert f"about ${charge:.0f} an acre a year" in message
    rent = outcome.amount[:, [line.key for line in outcome.flows.lines].index("grazing_lease")]
    year = int(message.removeprefix("From year ").split()[0])
    grazed = outcome.states["animal_unit_months_ac"] > 0
    assert (rent[year:36] < charge)[grazed[year:36]].all()
    assert rent[year - 1] >= charge
    rich = plan.model_copy(update={"money": plan.money.model_copy(update={"prices": {"grazing_lease": 100.0}})})
    assert not said(fast(rich), "grazing_unpaid")


def test_moving_the_herd_is_explained_where_it_is_paid() -> None:
    own = changed(example(), "use", tenure="owned")
    outcome = fast(plantation(own))
    (message,) = said(outcome, "herd_moved")
    paid = -outcome.amount[0, [line.key for line in outcome.flows.lines].index("displaced_herd")]
    assert f"${paid:,.0f} an acre for moving the present herd: hauling and commission" in message
    assert "market value in every plan alike" in message
    assert not said(fast(pasture(own)), "herd_moved")
    assert not said(fast(changed(own, "use", displaced_herd="none")), "herd_moved")


FLOWERS = Other(
    name="cut flowers", area_share=0.02, margin_per_ac=4000.0, hours_per_ac=120.0, least_light=0.5, full_light=0.9
)


def test_nobody_works_at_flowers_that_do_not_pay_the_hours() -> None:
    for plan in (example(), plantation(example())):
        outcome = fast(plan.model_copy(update={"other": (FLOWERS,)}))
        keys = [line.key for line in outcome.flows.lines]
        income = outcome.amount[:, keys.index("other_cut_flowers")]
        labour = -outcome.amount[:, keys.index("other_cut_flowers_labour")]
        assert (income >= labour).all()
        worked = outcome.states["light_warm"] >= 0.5 + 0.4 * 120 * outcome.prices["wage"] / 4000
        due = (np.arange(len(income)) > 0) & (outcome.states["trees_per_ac"] > 0)
        assert np.array_equal(labour > 0, worked & due)
        assert outcome.measures.by_enterprise["cut flowers"] > 0
        assert "Cut flowers is not worked in years" in said(outcome, "other_not_worked")[0]


def test_what_only_costs_is_kept_up_and_free_hours_stop_where_nothing_is_earned() -> None:
    browse = FLOWERS.model_copy(update={"name": "browse", "margin_per_ac": -50.0})
    outcome = fast(example().model_copy(update={"other": (browse,)}))
    keys = [line.key for line in outcome.flows.lines]
    assert (outcome.amount[1:, keys.index("other_browse_labour")] < 0).all()
    free = changed(example(), "money", pay_labour=False).model_copy(update={"other": (FLOWERS,)})
    outcome = fast(free)
    hours = outcome.flows.quantity[:, [line.key for line in outcome.flows.lines].index("other_cut_flowers_labour")]
    dark = outcome.states["light_warm"] <= 0.5
    assert dark.any()
    assert not hours[dark].any()
    assert (hours[1:][~dark[1:]] > 0).all()
