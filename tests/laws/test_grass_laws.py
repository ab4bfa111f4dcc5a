"""Laws of every grass, of winter annuals sown into them, and of another grass later in the cycle."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from plans import changed, example, fast, grown_fast, pasture, plantation, scheduled, used
from simulator.baselines import other_pastures, systems_of
from simulator.events.light import COOL_MONTHS, Lit, light_of_season
from simulator.parameters.catalogue import grass_names
from simulator.parameters.pasture import Grass, load_grass, load_grazing, load_hay
from simulator.parameters.ranges import ranges_of
from simulator.parameters.tables import load_tables
from simulator.physics.forage import light_response, monthly_growth_lb, next_stand_share
from simulator.physics.overseeding import base_after_overseeding_lb, clover_nitrogen_lb_ac
from simulator.result import Outcome, run_batch
from simulator.scenario.grass import Switch
from simulator.scenario.model import Scenario
from simulator.units import POUNDS_PER_TON, FloatArray

GRASSES = grass_names()
WARM = [name for name in GRASSES if load_grass(name).habit.warm_season]
COOL = [name for name in GRASSES if name not in WARM]
ANNUALS = [name for name in GRASSES if load_grass(name).habit.sown_every_year]
SEEDING = {"ryegrass": "ryegrass_seeding", "crimson-clover": "clover_seeding"}
SHARES = st.floats(0.0, 1.0)
POUNDS = st.floats(0.0, 1.0e4)
OWN = changed(example(), "use", tenure="owned")
FIVE_YEARS_OF_SHADE = 5


def sown_with(plan: Scenario, annual: str, **fields: object) -> Scenario:
    return changed(plan, "pasture", overseeded=annual, **fields)


def later(plan: Scenario, grass: str, **when: float) -> Scenario:
    return changed(plan, "pasture", switch=Switch.model_validate({"grass": grass, **when}))


def quantity(outcome: Outcome, key: str) -> FloatArray:
    place = [line.key for line in outcome.flows.lines].index(key)
    return np.asarray(outcome.flows.quantity[:, place])


@cache
def one_of_each() -> dict[str, Outcome]:
    """The example with each grass, its usual nitrogen, owned cows."""
    plans = {
        name: changed(OWN, "pasture", grass=name, nitrogen_lb_ac=max(load_grass(name).habit.usual_nitrogen_lb_ac))
        for name in GRASSES
    }
    return dict(zip(plans, run_batch(list(plans.values())), strict=True))


@cache
def mixtures() -> dict[str, Outcome]:
    """Overseeding and switching by year and by light, alone and together, grazed by own cows."""
    plans = {
        "plain": OWN,
        "ryegrass": sown_with(OWN, "ryegrass"),
        "ryegrass from 10": sown_with(OWN, "ryegrass", overseeded_from_year=10),
        "clover": sown_with(OWN, "crimson-clover", nitrogen_lb_ac=0.0),
        "without clover": changed(OWN, "pasture", nitrogen_lb_ac=0.0),
        "fescue by light": later(OWN, "tall-fescue", below_light=0.55),
        "fescue by year": later(OWN, "tall-fescue", year=12),
        "native by year": later(OWN, "native-mix", year=12),
        "ryegrass by year": later(OWN, "ryegrass", year=12),
        "ryegrass, then fescue": later(sown_with(OWN, "ryegrass"), "tall-fescue", year=12),
        "ryegrass, then native": later(sown_with(OWN, "ryegrass"), "native-mix", year=12),
        "never dark enough": later(OWN, "tall-fescue", below_light=0.05),
    }
    return dict(zip(plans, run_batch(list(plans.values())), strict=True))


# Every grass ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", GRASSES)
def test_months_share_the_whole_year(name: str) -> None:
    months = np.array(load_grass(name).season.monthly_share)
    assert len(months) == 12
    assert months.sum() == pytest.approx(1.0, abs=1e-12)
    assert (months >= 0.0).all()


@pytest.mark.parametrize("name", GRASSES)
@given(SHARES, SHARES)
def test_more_shade_never_grows_more(name: str, one: float, other: float) -> None:
    low, high = sorted((one, other))
    dim, bright = light_response(np.array([low, high]), load_grass(name).shade)
    assert 0.0 <= dim <= bright <= 1.0 + 1e-12


@pytest.mark.parametrize("name", GRASSES)
def test_full_light_grows_all_and_darkness_nothing(name: str) -> None:
    shade = load_grass(name).shade
    assert light_response(np.array([0.0, shade.compensation_light, 1.0]), shade) == pytest.approx([0.0, 0.0, 1.0])


@given(arrays(np.float64, (2, 5), elements=SHARES), arrays(np.float64, (2, 5), elements=SHARES))
def test_summer_grasses_see_the_warm_light_and_others_a_mixture(warm: FloatArray, cool: FloatArray) -> None:
    lit = Lit(warm, cool, np.zeros(2))
    for name in WARM:
        assert np.array_equal(light_of_season(lit, load_grass(name).season), warm)
    for name in COOL:
        light = light_of_season(lit, load_grass(name).season)
        assert (light >= np.minimum(warm, cool) - 1e-12).all()
        assert (light <= np.maximum(warm, cool) + 1e-12).all()


@pytest.mark.parametrize("name", COOL)
def test_winter_months_weigh_as_they_grow(name: str) -> None:
    """A second way: a thousand pounds spread over the months, those of winter under the cool sky."""
    season = load_grass(name).season
    pounds = monthly_growth_lb(1000.0, season)
    in_winter = sum(pounds[month - 1] for month in COOL_MONTHS)
    light = light_of_season(Lit(np.ones((1, 1)), np.zeros((1, 1)), np.zeros(1)), season)
    assert float(light[0, 0]) == pytest.approx(1.0 - in_winter / 1000.0)
    assert in_winter > 0.0


@pytest.mark.parametrize("light", [0.40, 0.35])
def test_bermudagrass_thins_out_where_bahiagrass_holds(light: float) -> None:
    """Between a quarter and half of full light the one stays and the other goes: threshold from memory."""
    stands = {}
    for name in ("bahiagrass", "bermudagrass", "hybrid-bermudagrass"):
        alive = np.array(1.0)
        for _ in range(FIVE_YEARS_OF_SHADE):
            alive = next_stand_share(alive, light, load_grass(name).persistence)
        stands[name] = float(alive)
    assert stands["bahiagrass"] == 1.0
    assert max(stands["bermudagrass"], stands["hybrid-bermudagrass"]) < 0.2


@pytest.mark.parametrize("name", ["bermudagrass", "hybrid-bermudagrass"])
def test_light_near_the_threshold_moves_the_sward_slowly(name: str) -> None:
    """No practice has a third lost just below .50 and all of it back in two years at .53 without seed."""
    grass = load_grass(name).persistence
    below, above = np.array(1.0), np.array(0.6)
    for _ in range(2):
        below = next_stand_share(below, grass.threshold_light - 0.02, grass)
        above = next_stand_share(above, grass.threshold_light + 0.03, grass)
    assert 0.8 < below < 1.0
    assert 0.6 < above < 0.75


@pytest.mark.parametrize("name", ANNUALS)
def test_an_annual_forgets_the_shade_of_earlier_years(name: str) -> None:
    assert next_stand_share(0.3, 0.01, load_grass(name).persistence) == pytest.approx(0.3)
    assert next_stand_share(1.0, 0.01, load_grass(name).persistence) == 1.0


def test_open_pasture_of_each_grass_grows_what_its_curve_says() -> None:
    for name, outcome in one_of_each().items():
        open_field = fast(pasture(outcome.scenario)).states
        assert (open_field["forage_share_of_open"][1:] == 1.0).all(), name
        assert (outcome.states["forage_lb_ac"] <= open_field["forage_lb_ac"].max() + 1e-9).all(), name


def test_shade_costs_a_summer_grass_more_than_fescue() -> None:
    """Cool-season grasses keep more of their growth at half light (Watson et al. 1984; Mercier et al.; abstracts)."""
    year = 15
    share = {name: outcome.states["forage_share_of_open"][year] for name, outcome in one_of_each().items()}
    assert share["tall-fescue"] > share["bahiagrass"] > share["bermudagrass"]


def test_annuals_are_paid_every_year_they_are_used_and_perennials_never() -> None:
    for name, outcome in one_of_each().items():
        used_years = (outcome.states["animal_unit_months_ac"] > 0) | (outcome.states["hay_ton_ac"] > 0)
        for annual, line in SEEDING.items():
            paid = quantity(outcome, line)
            assert (paid > 0).any() == (name == annual)
            if name == annual:
                assert np.array_equal(paid > 0, used_years)
        assert not quantity(outcome, "sward_establishment").any()


# Winter annuals -------------------------------------------------------------------------------------------------


@given(arrays(np.float64, (3, 12), elements=POUNDS))
def test_overseeding_takes_a_tenth_of_april_and_may_and_nothing_else(months: FloatArray) -> None:
    winter = load_grass("ryegrass").overseeding
    assert winter is not None
    left = base_after_overseeding_lb(months, np.array([0.0, 1.0, 1.0]), winter)
    assert np.array_equal(left[0], months[0])
    assert left[1:, 3:5] == pytest.approx(0.9 * months[1:, 3:5])
    assert np.array_equal(np.delete(left, [3, 4], axis=1), np.delete(months, [3, 4], axis=1))


@given(SHARES, SHARES, st.floats(0.0, 400.0), st.floats(0.0, 400.0))
def test_clover_nitrogen_is_bounded_and_falls_as_more_is_bought(
    one: float, other: float, some: float, more: float
) -> None:
    clover = load_grass("crimson-clover").overseeding
    assert clover is not None
    (poor, good), (some, more) = sorted((one, other)), sorted((some, more))
    assert 0.0 <= clover_nitrogen_lb_ac(poor, some, clover) <= clover_nitrogen_lb_ac(good, some, clover)
    assert clover_nitrogen_lb_ac(good, more, clover) <= clover_nitrogen_lb_ac(good, some, clover)
    assert clover_nitrogen_lb_ac(good, some, clover) <= clover.nitrogen_credit_lb_ac


def test_overseeding_adds_winter_feed_and_costs_the_base_grass_little() -> None:
    plain, sown = mixtures()["plain"], mixtures()["ryegrass"]
    grazed = sown.states["animal_unit_months_ac"] > 0
    winter = sown.states["winter_forage_lb_ac"]
    assert np.array_equal(winter > 0, grazed)
    base = sown.states["forage_lb_ac"] - winter
    lost = 1.0 - base[grazed] / plain.states["forage_lb_ac"][grazed]
    spring = sum(load_grass("bahiagrass").season.monthly_share[3:5])
    assert lost == pytest.approx(0.1 * spring, abs=1e-9)
    assert np.array_equal(plain.states["forage_lb_ac"][~grazed], sown.states["forage_lb_ac"][~grazed])


@pytest.mark.parametrize(("sown", "plain"), [("ryegrass", "plain"), ("clover", "without clover")])
def test_a_cow_needs_less_winter_hay_where_the_ground_is_overseeded(sown: str, plain: str) -> None:
    needs = []
    for name in (sown, plain):
        outcome = mixtures()[name]
        head = outcome.states["head"] * (outcome.states["animal_unit_months_ac"] > 0)
        needs.append(quantity(outcome, "bought_hay").sum() / head.sum())
    assert needs[0] < 0.85 * needs[1]


def test_overseeding_is_paid_where_it_grows_and_only_then() -> None:
    for name in ("ryegrass", "ryegrass from 10", "clover", "ryegrass, then fescue", "ryegrass, then native"):
        outcome = mixtures()[name]
        line = SEEDING[outcome.scenario.pasture.overseeded]
        assert np.array_equal(quantity(outcome, line) > 0, outcome.states["winter_forage_lb_ac"] > 0), name
    first = mixtures()["ryegrass from 10"]
    sown = quantity(first, "ryegrass_seeding") > 0
    assert (first.states["age"][sown] >= 10).all()
    assert sown[10]


def test_ryegrass_brings_its_own_nitrogen_and_clover_none() -> None:
    plain, ryegrass = mixtures()["plain"], mixtures()["ryegrass"]
    sown = quantity(ryegrass, "ryegrass_seeding")
    usual = load_grass("ryegrass").overseeding
    assert usual is not None
    more = quantity(ryegrass, "nitrogen_grazing") - quantity(plain, "nitrogen_grazing")
    assert more == pytest.approx(usual.usual_nitrogen_lb_ac * sown)
    assert not quantity(mixtures()["clover"], "nitrogen_grazing").any()
    stated = fast(sown_with(OWN, "ryegrass", overseeded_nitrogen_lb_ac=0.0))
    assert quantity(stated, "nitrogen_grazing") == pytest.approx(quantity(plain, "nitrogen_grazing"))
    year = 10
    assert stated.states["winter_forage_lb_ac"][year] < ryegrass.states["winter_forage_lb_ac"][year]


def test_clover_feeds_the_summer_grass() -> None:
    """More than it takes in spring, and less than the same nitrogen bought would."""
    with_clover, without = mixtures()["clover"], mixtures()["without clover"]
    clover = load_grass("crimson-clover").overseeding
    assert clover is not None
    bought = fast(changed(OWN, "pasture", nitrogen_lb_ac=clover.nitrogen_credit_lb_ac))
    sown = with_clover.states["winter_forage_lb_ac"] > 0
    base = (with_clover.states["forage_lb_ac"] - with_clover.states["winter_forage_lb_ac"])[sown]
    assert (base > without.states["forage_lb_ac"][sown]).all()
    assert (base < bought.states["forage_lb_ac"][sown]).all()


def test_stockers_gain_more_where_ryegrass_feeds_them_in_spring() -> None:
    plain, sown = grown_fast(
        changed(pasture(OWN), "use", animals="stockers"),
        sown_with(changed(pasture(OWN), "use", animals="stockers"), "ryegrass"),
    )
    per_head = [
        quantity(outcome, "feeders_sold")[10] / quantity(outcome, "feeders_bought")[10] for outcome in (plain, sown)
    ]
    assert per_head[1] > per_head[0]


# Another grass later --------------------------------------------------------------------------------------------


def test_a_switch_by_year_is_sown_paid_and_grows_young() -> None:
    plain, switched = mixtures()["plain"], mixtures()["fescue by year"]
    sowing = quantity(switched, "sward_establishment")
    assert np.flatnonzero(sowing).tolist() == [12, 35]
    assert np.flatnonzero(switched.states["later_grass"]).tolist() == list(range(13, 36))
    assert np.array_equal(plain.states["forage_lb_ac"][:13], switched.states["forage_lb_ac"][:13])
    young, grown = switched.states["forage_share_of_open"][[13, 14]]
    shares = load_grass("tall-fescue").establishment.yearly_share
    assert young / grown == pytest.approx(shares[0], rel=0.10)


def test_a_switch_by_light_comes_in_the_first_year_of_use_that_is_darker() -> None:
    switched = mixtures()["fescue by light"]
    states = switched.states
    grazed = (states["animal_unit_months_ac"] > 0) | (states["hay_ton_ac"] > 0)
    dark = np.flatnonzero((states["light_grass"] < 0.55) & grazed)[0]
    assert not states["later_grass"][: dark + 1].any()
    assert states["later_grass"][dark + 1] == 1.0
    assert quantity(switched, "sward_establishment")[dark] > 0
    never = mixtures()["never dark enough"]
    assert not never.states["later_grass"].any()
    assert np.array_equal(never.states["forage_lb_ac"], mixtures()["plain"].states["forage_lb_ac"])


def test_nothing_is_sown_in_the_year_of_the_harvest() -> None:
    """Light falls under the limit in the very year in which the trees are cut."""
    plain = fast(OWN)
    limit = float(plain.states["light_grass"][34:36].mean())
    dark = np.flatnonzero((plain.states["light_grass"] < limit) & (plain.states["animal_unit_months_ac"] > 0))
    assert dark.tolist() == [35]
    switched = fast(later(OWN, "tall-fescue", below_light=limit))
    assert not quantity(switched, "sward_establishment").any()
    assert switched.measures.equal_annual_income == plain.measures.equal_annual_income


def test_the_new_cycle_begins_with_the_first_grass_sown_anew() -> None:
    plain, switched = mixtures()["plain"], mixtures()["fescue by year"]
    share = load_grass("bahiagrass").establishment.yearly_share[0]
    ratio = switched.states["forage_lb_ac"][36:39] / plain.states["forage_lb_ac"][36:39]
    assert ratio == pytest.approx([share, 1.0, 1.0], rel=0.01)


def test_the_cycle_that_repeats_pays_for_both_sowings() -> None:
    for horizon in (30, 35, 40):
        outcome = fast(changed(mixtures()["fescue by year"].scenario, "money", horizon_years=horizon))
        place = [line.key for line in outcome.flows.lines].index("sward_establishment")
        paid = outcome.flows.cycle_quantity[:, place]
        assert np.flatnonzero(paid).tolist() == [12, 35]


def test_ground_rests_while_a_new_sward_grows_nothing() -> None:
    switched = mixtures()["native by year"]
    states = switched.states
    assert states["forage_lb_ac"][13] == 0.0
    assert states["animal_unit_months_ac"][13] == 0.0
    assert quantity(switched, "displaced_herd_rent")[13] > 0
    assert quantity(switched, "nitrogen_grazing")[13] == 0.0
    assert states["animal_unit_months_ac"][14] > 0.0


def test_overseeding_ends_with_the_summer_grass() -> None:
    fescue, native = mixtures()["ryegrass, then fescue"].states, mixtures()["ryegrass, then native"].states
    assert fescue["winter_forage_lb_ac"][12] > 0
    assert not fescue["winter_forage_lb_ac"][13:36].any()
    assert (native["winter_forage_lb_ac"][14:36] > 0).all()


def test_a_single_use_may_leave_out_what_is_sown() -> None:
    overrides = {"pasture": {"pasture": {"overseeded": "none"}}, "plantation": {"harvest": {"year": 28}}}
    baseline = example().baseline.model_copy(update=overrides)
    plan = later(sown_with(OWN, "ryegrass", overseeded_from_year=3), "tall-fescue", year=12)
    systems = systems_of(plan.model_copy(update={"baseline": baseline}))
    assert systems["pasture"].pasture.overseeded == "none"
    assert systems["plantation"].pasture.overseeded == "none"


def test_the_single_uses_keep_their_grass() -> None:
    plan = later(sown_with(OWN, "ryegrass"), "tall-fescue", year=12)
    systems = systems_of(plan)
    assert systems["plantation"].pasture.switch is None
    assert systems["plantation"].pasture.overseeded == "none"
    assert systems["pasture"].pasture.switch is None
    assert systems["pasture"].pasture.overseeded == "ryegrass"
    assert not quantity(fast(plantation(plan)), "ryegrass_seeding").any()


def test_other_ways_to_keep_a_pasture_fit_its_grass() -> None:
    rates = {way.pasture.nitrogen_lb_ac for way in other_pastures(pasture(example()))}
    assert rates == {0.0, 40.0, 80.0}
    prairie = changed(pasture(example()), "pasture", grass="native-mix")
    native = {way.pasture.nitrogen_lb_ac for way in other_pastures(prairie)}
    assert max(native) <= 60.0
    sown = {way.pasture.overseeded for way in other_pastures(sown_with(pasture(OWN), "ryegrass"))}
    assert sown == {"ryegrass", "none"}


# All together ---------------------------------------------------------------------------------------------------


def test_forage_grown_is_eaten_cut_or_left() -> None:
    """Nothing is eaten or baled that did not grow, whichever grass, sown into or not."""
    hay, use = load_hay().chain, load_grazing().utilisation
    for outcome in (*one_of_each().values(), *mixtures().values()):
        states = outcome.states
        baled = states["hay_ton_ac"] * POUNDS_PER_TON * hay.dry_matter_share
        eaten = states["forage_eaten_lb_ac"]
        assert (eaten <= use.slow_rotation * states["forage_lb_ac"] + 1e-9).all()
        assert (baled + eaten <= states["forage_lb_ac"] + 1e-9).all()
        assert (states["winter_forage_lb_ac"] <= states["forage_lb_ac"] + 1e-9).all()
        assert not (baled * states["winter_forage_lb_ac"]).any()


def test_one_plan_never_knows_of_another() -> None:
    """Plans that share both grasses run in one batch; each alone gives the same, within the table of light."""
    plans = [later(OWN, "tall-fescue", year=year) for year in (8, 12)] + [later(OWN, "tall-fescue", below_light=0.55)]
    plans += [scheduled(plans[0], 30)]
    for together, plan in zip(grown_fast(*plans), plans, strict=True):
        alone = fast(plan)
        for name in ("forage_lb_ac", "later_grass", "head", "winter_forage_lb_ac"):
            assert np.allclose(together.states[name], alone.states[name], rtol=1e-6, atol=1e-6)
        assert together.measures.equal_annual_income == pytest.approx(alone.measures.equal_annual_income, abs=1e-4)


def test_sowing_nothing_leaves_every_figure_where_it_was() -> None:
    plain = mixtures()["plain"]
    assert not plain.states["winter_forage_lb_ac"].any()
    assert not plain.states["later_grass"].any()
    assert np.array_equal(plain.states["light_grass"], plain.states["light_warm"])


def test_an_annual_by_itself_is_baled_in_spring_only() -> None:
    hay = load_hay().chain
    plan = used(example(), animals="none", hay_years=(1, 40))
    outcome = fast(changed(pasture(plan), "pasture", grass="ryegrass", nitrogen_lb_ac=100.0))
    grass: Grass = load_grass("ryegrass")
    dry = outcome.states["hay_ton_ac"][1:] * POUNDS_PER_TON * hay.dry_matter_share
    spring = sum(grass.season.monthly_share[2:5])
    assert (dry <= spring * outcome.states["forage_lb_ac"][1:] + 1e-9).all()
    assert (dry > 0.0).all()


def test_the_band_moves_the_numbers_of_every_grass_of_a_plan() -> None:
    ids = {"trees": "loblolly", "grasses": "bahiagrass", "animals": "cattle"}
    ids |= {"winter_grasses": "ryegrass", "later_grasses": "tall-fescue"}
    ranges = {range_.path: range_ for range_ in ranges_of(load_tables(*ids.values()), ids)}
    assert ranges["winter_grass", "overseeding", "spring_loss_to_base"].value == 0.10
    assert ranges["later_grass", "shade", "half_saturation"].value == load_grass("tall-fescue").shade.half_saturation
    assert ranges["grass", "shade", "half_saturation"].value == load_grass("bahiagrass").shade.half_saturation
