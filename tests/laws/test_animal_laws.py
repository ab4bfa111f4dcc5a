"""Laws of animals and heat: whole herds, honest prices, bounded shelter, equal treatment of the three systems."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans import changed, example, fast, laid_out, pasture, plantation, scheduled
from simulator.accounts import LINES
from simulator.enterprises.season import afternoon_thi, mean_heat_load, months_of, stated_months
from simulator.findings.animals import animal_findings
from simulator.herd_accounts import COWS, items_of, keys_of, lines_of
from simulator.parameters.catalogue import NO_ANIMALS, animal_names
from simulator.parameters.climate import load_climate
from simulator.parameters.pasture import load_animals, load_grass, load_grazing
from simulator.parameters.prices import load_prices
from simulator.parameters.tables import load_tables
from simulator.physics.animals import breeding_year, demand_lb_month, monthly_unit_equivalents, stocker_year
from simulator.physics.browse import Browse, browse_lb_ac
from simulator.physics.heat import (
    ShadeBonus,
    heat_load,
    hot_hours_day,
    load_under_trees,
    shade_bonus_lb_day,
    shelter_share,
)
from simulator.result import Outcome
from simulator.scenario.land import Climate
from simulator.scenario.model import Scenario
from simulator.units import FloatArray

ANIMALS = [name for name in animal_names() if name != NO_ANIMALS]
BREEDING = [name for name in ANIMALS if load_animals(name).herd is not None]
STOCKERS = load_animals("stockers")
COOL = Climate(afternoon_temperature_f=(70.0,) * 12)


def own(animals: str) -> Scenario:
    """The example with the owner's animals, which come as soon as the trees let them, and no hay."""
    return changed(example(), "use", animals=animals, tenure="owned", hay_years=None, first_grazing_year=2)


@cache
def kept(animals: str) -> Outcome:
    return fast(own(animals))


def quantity(outcome: Outcome, key: str) -> FloatArray:
    place = [line.key for line in outcome.flows.lines].index(key)
    return np.asarray(outcome.flows.quantity[:, place])


# Herds and their lines ------------------------------------------------------------------------------------------


def test_cattle_keep_the_ledger_as_it_was() -> None:
    for name in ("cattle", "stockers"):
        words = load_animals(name).words
        assert lines_of(words) == LINES
        assert words._replace(heads=COWS.heads) == COWS


@pytest.mark.parametrize("animals", ANIMALS)
def test_every_animal_has_its_price_items_and_lines_of_its_own(animals: str) -> None:
    words, items = load_animals(animals).words, load_prices("demo-2025").items
    assert {*items_of(words), words.perimeter_fence, words.cross_fence} <= set(items)
    lines = lines_of(words)
    assert len({line.key for line in lines}) == len(lines) == len(LINES)
    assert set(keys_of(words)) <= {line.key for line in lines}


@pytest.mark.parametrize("animals", ["sheep", "goats"])
def test_lambs_and_kids_are_never_sold_as_calves(animals: str) -> None:
    outcome, words = kept(animals), load_animals(animals).words
    young = next(line for line in outcome.flows.lines if line.key == words.youngs)
    assert young.prices == (words.young,)
    beef = {"calf", "cull_cow", "bred_cow", "cow_cash_cost", "perimeter_fence", "cross_fence_and_water"}
    for line in outcome.flows.lines:
        assert not beef & set(line.prices), line.key
    assert outcome.price_table.items[words.young].unit == "$/lb"
    dearer = outcome.prices | {words.young: 2.0 * outcome.prices[words.young]}
    sold = outcome.ledger().query("item == @words.youngs")["amount"].sum()
    assert sold == pytest.approx(quantity(outcome, words.youngs).sum() * dearer[words.young] / 2.0)
    assert sold > 0.0


@pytest.mark.parametrize("animals", BREEDING)
def test_a_herd_is_whole_animals_bought_as_often_as_sold(animals: str) -> None:
    outcome, keys = kept(animals), keys_of(load_animals(animals).words)
    head = outcome.states["head"]
    assert np.array_equal(head, np.floor(head))
    assert (head > 0).any()
    assert quantity(outcome, keys.bought)[:36].sum() == pytest.approx(quantity(outcome, keys.sold)[:36].sum())
    assert quantity(outcome, keys.displaced)[0] > 0.0


@given(st.sampled_from(BREEDING), st.integers(1, 400))
def test_at_least_one_whole_male_with_any_female(animals: str, females: int) -> None:
    herd = load_animals(animals).herd
    assert herd is not None
    males = float(breeding_year(float(females), herd).males)
    assert males >= 1.0
    assert males == np.floor(males)
    assert (males - 1.0) * herd.females_per_male < females


@pytest.mark.parametrize("animals", ANIMALS)
def test_no_animal_eats_more_than_it_asks_for_nor_more_than_it_may(animals: str) -> None:
    outcome, numbers = kept(animals), load_animals(animals)
    males = 1.0 / numbers.herd.females_per_male if numbers.herd else 0.0
    young = numbers.herd.replacement_share if numbers.herd else 0.0
    units = monthly_unit_equivalents(numbers.units, males, young)
    months = months_of(outcome.scenario, load_tables("loblolly", "bahiagrass", animals))
    most = outcome.states["head"] / 40.0 * float((demand_lb_month(units, numbers.units) * months).sum())
    states = outcome.states
    assert (states["forage_eaten_lb_ac"] + states["browse_eaten_lb_ac"] <= most + 1e-9).all()
    share = load_grazing().utilisation.slow_rotation
    assert (states["forage_eaten_lb_ac"] <= share * states["forage_lb_ac"] + 1e-9).all()


@pytest.mark.parametrize("animals", ["sheep", "goats"])
@pytest.mark.parametrize("basis", ["acre", "animal-unit month"])
def test_a_tenants_flock_pays_rent_and_nothing_else_is_owed(animals: str, basis: str) -> None:
    leased, cattle = (
        fast(changed(own(name), "use", tenure="leased", lease_basis=basis)) for name in (animals, "cattle")
    )
    items = set(leased.ledger()["item"])
    assert {"grazing_lease" if basis == "acre" else "grazing_lease_month"} <= items
    assert not items & {*keys_of(load_animals(animals).words), "herd_labour", "bought_hay"}
    assert leased.states["animal_unit_months_ac"][30] > 0.9 * cattle.states["animal_unit_months_ac"][30]


# Among the trees ------------------------------------------------------------------------------------------------


def first_grazed(outcome: Outcome) -> int:
    return int(np.flatnonzero(outcome.states["animal_unit_months_ac"] > 0)[0])


def test_sheep_come_no_later_than_cattle_and_goats_last() -> None:
    sheep, cattle, goats = (first_grazed(kept(name)) for name in ("sheep", "cattle", "goats"))
    assert sheep <= cattle <= goats
    assert sheep < goats


@pytest.mark.parametrize("animals", ["sheep", "cattle", "goats"])
def test_an_early_entry_costs_trees_and_is_said(animals: str) -> None:
    waited, early = kept(animals), fast(changed(own(animals), "use", tree_safe_height_ft=4.0))
    lost = early.states["trees_lost_early_per_ac"].sum()
    assert lost > 0.0
    assert waited.states["trees_lost_early_per_ac"].sum() == 0.0
    assert early.states["trees_per_ac"][8] < waited.states["trees_per_ac"][8]
    said = dict(animal_findings(early))
    assert f"about {lost:.0f} trees an acre" in said["early_entry"]
    assert "early_entry" not in dict(animal_findings(waited))


def test_goats_kill_twice_the_young_trees_that_cattle_do() -> None:
    goats, cattle = load_animals("goats").tree_damage, load_animals("cattle").tree_damage
    for name in ("first_year_loss", "second_year_loss", "later_loss", "passed_gate_loss"):
        assert getattr(goats, name) == pytest.approx(2.0 * getattr(cattle, name)), name


BROWSE = load_animals("goats").browse or Browse(0.0, 0.0, 1.0, 0.0, 1.0)


@given(st.floats(0.0, 8000.0), st.floats(0.0, 60.0), st.floats(0.0, 250.0))
def test_browse_is_bounded_and_there_is_none_without_trees(grass: float, age: float, area: float) -> None:
    found = float(browse_lb_ac(grass, age, area, BROWSE))
    assert 0.0 <= found <= BROWSE.most_share * grass + 1e-9
    assert browse_lb_ac(grass, age, 0.0, BROWSE) == 0.0
    assert browse_lb_ac(grass, age, area + 10.0, BROWSE) >= found - 1e-9 or area == 0.0


def test_only_goats_browse_and_browse_adds_no_kid() -> None:
    for name in ("sheep", "cattle"):
        assert kept(name).states["browse_eaten_lb_ac"].sum() == 0.0
    outcome, herd = kept("goats"), load_animals("goats").herd
    assert herd is not None
    states, grazed = outcome.states, outcome.states["forage_eaten_lb_ac"] > 0
    assert states["browse_eaten_lb_ac"][grazed][:3].min() > 0.0
    eaten = states["forage_eaten_lb_ac"] + states["browse_eaten_lb_ac"]
    grass = np.divide(states["forage_eaten_lb_ac"], eaten, out=np.zeros_like(eaten), where=eaten > 0)
    on_grass = breeding_year(states["head"] / 40.0, herd).young_weight_sold_lb * grass
    assert quantity(outcome, "kids") == pytest.approx(np.asarray(on_grass))
    assert fast(pasture(own("goats"))).states["browse_eaten_lb_ac"].sum() == 0.0


# Heat -----------------------------------------------------------------------------------------------------------

bonuses = st.builds(
    ShadeBonus,
    alert_thi=st.floats(70.0, 80.0),
    full_heat_thi=st.floats(82.0, 95.0),
    most_bonus_share=st.floats(0.0, 0.20),
    full_benefit_cover=st.floats(0.2, 0.5),
    still_air_cover=st.floats(0.45, 0.8),
    most_still_air_loss=st.floats(0.0, 0.8),
    most_relief_share=st.floats(0.2, 0.6),
    most_bonus_lb_day=st.floats(0.0, 0.20),
)
shares = st.floats(0.0, 1.0)


@given(st.floats(0.0, 4.0), shares, shares, bonuses)
def test_shade_never_adds_more_than_its_caps(gain: float, cover: float, load: float, bonus: ShadeBonus) -> None:
    extra = float(shade_bonus_lb_day(gain, cover, load, bonus))
    assert 0.0 <= extra <= min(0.20, 0.20 * gain) + 1e-12
    assert shade_bonus_lb_day(gain, 0.0, load, bonus) == 0.0
    assert shade_bonus_lb_day(gain, cover, 0.0, bonus) == 0.0


@given(shares, shares, bonuses)
def test_shelter_takes_heat_off_and_never_puts_any_on(cover: float, load: float, bonus: ShadeBonus) -> None:
    assert 0.0 <= shelter_share(cover, bonus) <= 1.0
    assert 0.0 <= load_under_trees(load, cover, bonus) <= load
    assert load_under_trees(load, 0.0, bonus) == load


@given(st.floats(0.61, 0.99))
def test_a_closed_stand_shelters_less_than_an_open_one(cover: float) -> None:
    bonus = STOCKERS.shade_bonus
    assert shelter_share(cover + 0.01, bonus) < shelter_share(cover, bonus) < shelter_share(0.4, bonus)


@given(st.floats(40.0, 100.0), st.floats(0.0, 20.0), bonuses)
def test_a_hotter_afternoon_is_never_less_of_a_load(index: float, more: float, bonus: ShadeBonus) -> None:
    assert 0.0 <= heat_load(index, bonus) <= heat_load(index + more, bonus) <= 1.0
    hours = hot_hours_day(index, 12.0, bonus.alert_thi)
    assert 0.0 <= hours <= hot_hours_day(index + more, 12.0, bonus.alert_thi) <= 24.0
    assert (index <= bonus.alert_thi) <= (float(hours) == 0.0)


@given(st.floats(24.0, 39.0))
def test_it_is_no_hotter_farther_north(latitude: float) -> None:
    south, north = (changed(example(), "land", latitude_deg=where) for where in (latitude, latitude + 1.0))
    assert (afternoon_thi(north, load_climate()) < afternoon_thi(south, load_climate())).all()


def daily_gain(outcome: Outcome) -> tuple[FloatArray, FloatArray]:
    """Gain a head and day that the ledger holds, and canopy cover, of the years with stockers."""
    stocker = STOCKERS.stocker
    assert stocker is not None
    head = quantity(outcome, "feeders_bought") / stocker.purchase_weight_lb
    here = head > 0
    alive = head[here] * (1.0 - stocker.death_share)
    sold = quantity(outcome, "feeders_sold")[here] / (1.0 - stocker.shrink_share)
    return (sold / alive - stocker.purchase_weight_lb) / 183.0, outcome.states["canopy_cover"][here]


def test_shade_is_worth_the_same_whatever_the_trees_are_called() -> None:
    """Open pasture, rows with alleys and a grazed plantation: one formula of cover and heat."""
    plan = own("stockers")
    close = scheduled(laid_out(plan, rows_in_set=1, in_row_ft=8.0, alley_ft=9.0), 33)
    close = changed(changed(close, "use", first_grazing_year=3, least_head=1), "land", acres=200.0)
    tables = load_tables("loblolly", "bahiagrass", "stockers")
    load = mean_heat_load(plan, STOCKERS, load_climate(), months_of(plan, tables))
    plain = load_grass("bahiagrass").quality.stocker_gain_lb_day
    covers = []
    for outcome in (fast(pasture(plan)), kept("stockers"), fast(close)):
        gain, cover = daily_gain(outcome)
        assert gain == pytest.approx(plain + shade_bonus_lb_day(plain, cover, load, STOCKERS.shade_bonus))
        covers.append(cover.max())
    assert covers[0] == 0.0 < covers[1]
    assert covers[2] > STOCKERS.shade_bonus.still_air_cover


def test_where_it_is_cool_shade_is_worth_nothing() -> None:
    plan = own("stockers").model_copy(update={"climate": COOL})
    gain, cover = daily_gain(fast(plan))
    assert cover.max() > 0.0
    assert gain == pytest.approx(load_grass("bahiagrass").quality.stocker_gain_lb_day)
    assert "stays under 75" in dict(animal_findings(fast(plan)))["heat"]


@pytest.mark.parametrize("animals", BREEDING)
def test_heat_moves_no_money_of_a_breeding_herd(animals: str) -> None:
    cool = fast(own(animals).model_copy(update={"climate": COOL}))
    assert np.array_equal(cool.flows.quantity, kept(animals).flows.quantity)


# Seasons --------------------------------------------------------------------------------------------------------


@given(st.integers(1, 12), st.integers(1, 12))
def test_a_season_runs_from_its_first_month_to_its_last(first: int, last: int) -> None:
    months = stated_months(changed(example(), "use", season_months=(first, last)))
    assert months is not None
    assert months[first - 1] == months[last - 1] == 1.0
    assert months.sum() == (last - first) % 12 + 1


def test_a_shorter_season_of_a_tenant_eats_and_pays_less() -> None:
    """May to July grow .57 of bahiagrass's year (`[season]` of its file; assumed)."""
    usual = fast(changed(own("cattle"), "use", tenure="leased", lease_basis="acre"))
    short = fast(changed(usual.scenario, "use", season_months=(5, 7)))
    eaten = [outcome.states["forage_eaten_lb_ac"][10] for outcome in (short, usual)]
    assert 0.0 < eaten[0] < eaten[1]
    # in the two months of growth after a cut nobody grazes: March and April, before the short season begins
    after_cut = np.roll(usual.states["trees_cut_per_ac"] > 0, 1)
    assert after_cut.sum() >= 2
    rent, whole = quantity(short, "grazing_lease"), quantity(usual, "grazing_lease")
    assert rent[~after_cut] == pytest.approx(0.57 * whole[~after_cut])
    assert (rent[after_cut] >= 0.57 * whole[after_cut]).all()


def test_nobody_grazes_or_pays_in_months_without_grass() -> None:
    for tenure in ("leased", "owned"):
        winter = fast(changed(own("stockers"), "use", tenure=tenure, season_months=(11, 2)))
        assert winter.states["animal_unit_months_ac"].sum() == 0.0
        for key in ("grazing_lease", "feeders_bought", "bought_hay"):
            assert quantity(winter, key).sum() == 0.0, key


def test_stockers_of_half_a_spring_are_sized_to_the_grass_of_it() -> None:
    """Hay for bought cattle fills a dry month, it does not carry them: a quarter of what they graze at most."""
    for months in ((4, 6), (5, 8), (7, 10)):
        outcome = fast(changed(own("stockers"), "use", season_months=months))
        hay = quantity(outcome, "bought_hay") * 2000.0
        assert hay.sum() <= 0.25 * outcome.states["forage_eaten_lb_ac"].sum(), months


def test_the_usual_season_written_out_is_nearly_the_usual_season() -> None:
    """April to September are 182.5 days, the trial's season 183."""
    usual, written = kept("stockers"), fast(changed(own("stockers"), "use", season_months=(4, 9)))
    assert np.array_equal(usual.states["head"], written.states["head"])
    assert np.array_equal(usual.states["forage_eaten_lb_ac"], written.states["forage_eaten_lb_ac"])
    assert quantity(written, "feeders_sold") == pytest.approx(quantity(usual, "feeders_sold"), rel=0.002)


def test_stockers_that_stay_less_gain_less() -> None:
    plan = own("stockers")
    tables = load_tables("loblolly", "bahiagrass", "stockers")
    short = fast(changed(plan, "use", season_months=(4, 6)))
    assert months_of(short.scenario, tables).sum() == 3.0
    stocker = STOCKERS.stocker
    assert stocker is not None
    here = short.states["head"] > 0
    sold = quantity(short, "feeders_sold")[here] / (short.states["head"][here] / 40.0)
    most = stocker_year(1.0, 1.0, 92.0, stocker).weight_sold_lb
    assert (stocker.purchase_weight_lb < sold).all()
    assert (sold < most).all()


# Plantation beside it -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("animals", ["sheep", "goats"])
def test_the_plantation_owes_for_the_same_displaced_herd(animals: str) -> None:
    both, trees = kept(animals), fast(plantation(own(animals)))
    assert quantity(trees, "displaced_herd")[0] == pytest.approx(quantity(both, "displaced_herd")[0])
    assert trees.states["animal_unit_months_ac"].sum() == 0.0
