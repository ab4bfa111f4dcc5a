"""Laws of grasses and animals together: whose months, whose feed and whose gain when both are out of the ordinary."""

from functools import cache

import numpy as np
import pytest

from plans import changed, example, fast
from simulator.accounts import LINES
from simulator.enterprises.season import Growth, keeping_of, months_of, stay_of_year
from simulator.findings.animals import animal_findings
from simulator.parameters.catalogue import grass_names
from simulator.parameters.pasture import load_animals, load_grass, load_grazing
from simulator.parameters.tables import load_tables
from simulator.result import Outcome
from simulator.scenario.grass import Switch
from simulator.scenario.model import Scenario
from simulator.units import POUNDS_PER_TON, FloatArray

SUMMER = [name for name in grass_names() if load_grass(name).habit.warm_season]


def own(animals: str, **pasture: object) -> Scenario:
    plan = changed(example(), "use", animals=animals, tenure="owned", hay_years=None, first_grazing_year=2)
    return changed(plan, "pasture", **pasture)


@cache
def kept(animals: str, grass: str = "bahiagrass", overseeded: str = "none") -> Outcome:
    return fast(own(animals, grass=grass, overseeded=overseeded))


def quantity(outcome: Outcome, key: str) -> FloatArray:
    place = [line.key for line in outcome.flows.lines].index(key)
    return np.asarray(outcome.flows.quantity[:, place])


def test_stockers_come_when_their_grass_grows() -> None:
    months = {}
    for grass in ("bahiagrass", "tall-fescue", "ryegrass"):
        plan = own("stockers", grass=grass)
        months[grass] = set(np.flatnonzero(months_of(plan, load_tables("loblolly", grass, "stockers"))) + 1)
    assert months["bahiagrass"] == {4, 5, 6, 7, 8, 9}
    assert months["tall-fescue"] == {3, 4, 5, 6, 7, 8}
    assert months["ryegrass"] == {12, 1, 2, 3, 4, 5}


def test_a_season_named_goes_before_the_months_of_the_grass() -> None:
    plan = changed(own("stockers", grass="ryegrass"), "use", season_months=(3, 5))
    tables = load_tables("loblolly", "ryegrass", "stockers")
    assert set(np.flatnonzero(months_of(plan, tables)) + 1) == {3, 4, 5}
    leased = changed(plan, "use", tenure="leased", season_months=(4, 9))
    # ryegrass is dead from June on
    assert set(np.flatnonzero(months_of(leased, tables)) + 1) == {4, 5}


def test_a_tenant_pays_for_the_growth_of_his_months_whichever_grass_grows() -> None:
    """Bahiagrass grows .28 of its year and ryegrass .75 of its own from March to May (`[season]`; assumed)."""
    both = changed(own("cattle", overseeded="ryegrass"), "use", tenure="leased")
    whole, spring = fast(both), fast(changed(both, "use", season_months=(3, 5)))
    winter = whole.states["winter_forage_lb_ac"]
    base = whole.states["forage_lb_ac"] - winter
    # April and May of the base grass are set back by a tenth; what is left of its year is .974
    growing = (0.02 + 0.9 * 0.26) / 0.974 * base + 0.75 * winter
    # animals stay away for two months after a cut, which are months of spring
    grazed = (winter > 0) & ~np.roll(whole.states["trees_cut_per_ac"] > 0, 1)
    assert grazed.any()
    expected = quantity(whole, "grazing_lease")[grazed] * growing[grazed] / whole.states["forage_lb_ac"][grazed]
    assert quantity(spring, "grazing_lease")[grazed] == pytest.approx(expected)


def test_goats_browse_beside_the_winter_annual_too() -> None:
    """The share of brush in the feed is of the trees alone, so more grass brings more of it, never a larger share."""
    plain, sown = kept("goats").states, kept("goats", overseeded="ryegrass").states
    both = (plain["browse_eaten_lb_ac"] > 0) & (sown["winter_forage_lb_ac"] > 0)
    assert both.any()
    share = [
        states["browse_eaten_lb_ac"][both] / (states["browse_eaten_lb_ac"] + states["forage_eaten_lb_ac"])[both]
        for states in (plain, sown)
    ]
    assert share[1] == pytest.approx(share[0], rel=0.02)
    assert (sown["browse_eaten_lb_ac"][both] > plain["browse_eaten_lb_ac"][both]).all()


def test_shade_is_worth_little_to_stockers_of_the_winter() -> None:
    """The grass gives the gain, the heat of its months the bonus: May alone is hot near 31 degrees north."""
    numbers = load_animals("stockers")
    stocker = numbers.stocker
    assert stocker is not None
    extra = {}
    for grass in ("bahiagrass", "ryegrass"):
        outcome = kept("stockers", grass)
        here = outcome.states["head"] > 0
        alive = outcome.states["head"][here] / 40.0 * (1.0 - stocker.death_share)
        sold = quantity(outcome, "feeders_sold")[here] / (1.0 - stocker.shrink_share)
        gain = (sold / alive - stocker.purchase_weight_lb) / numbers.budget.days_on_land
        extra[grass] = gain / load_grass(grass).quality.stocker_gain_lb_day - 1.0
    assert (extra["ryegrass"] >= -1e-12).all()
    assert extra["ryegrass"].max() < 0.2 * extra["bahiagrass"].max()
    said = dict(animal_findings(kept("stockers", "ryegrass")))["heat"]
    assert "ordinary afternoons of May," in said


@pytest.mark.parametrize("overseeded", ["none", "ryegrass", "crimson-clover"])
@pytest.mark.parametrize("grass", SUMMER)
def test_hay_fills_a_dry_month_and_does_not_carry_bought_cattle(grass: str, overseeded: str) -> None:
    """Growth of months in which stockers are away carries none of them: a quarter of what they graze at most."""
    outcome = kept("stockers", grass, overseeded)
    bought = quantity(outcome, "bought_hay").sum() * POUNDS_PER_TON
    assert outcome.states["head"].max() > 0
    assert bought <= 0.25 * outcome.states["forage_eaten_lb_ac"].sum()


def test_after_a_change_of_grass_stockers_come_in_its_months() -> None:
    """A year of fescue within the plan is stocked as the same growth would be by itself."""
    outcome = fast(own("stockers", switch=Switch(grass="tall-fescue", year=12)))
    tables = load_tables("loblolly", "bahiagrass", "stockers", "none", "tall-fescue")
    assert set(np.flatnonzero(months_of(outcome.scenario, tables)) + 1) == {3, 4, 5, 6, 7, 8, 9}
    fescue, year = load_grass("tall-fescue"), 20
    monthly = np.array([fescue.season.monthly_share]) * outcome.states["forage_lb_ac"][year]
    growth = Growth(monthly, np.zeros(1), np.array([fescue.quality.stocker_first_month]))
    stay = stay_of_year(keeping_of([outcome.scenario], tables), tables, growth)
    assert outcome.states["later_grass"][year] == 1.0
    # .67 of fescue's year falls from March to August, of bahiagrass's .93 from April to September
    assert stay.months_sized_to == pytest.approx(6.0 * 0.93 / 0.67)
    each_lb = load_animals("stockers").units.head * load_animals("stockers").units.daily_dry_matter_lb * 365.0 / 12.0
    eaten_lb = load_grazing().utilisation.slow_rotation * outcome.states["forage_lb_ac"][year] * 40.0
    assert outcome.states["head"][year] == np.floor(eaten_lb / (each_lb * 6.0 * 0.93 / 0.67))


@pytest.mark.parametrize("grass", grass_names())
def test_every_grass_feeds_a_flock_with_lines_of_its_own(grass: str) -> None:
    outcome = kept("sheep", grass)
    assert outcome.states["head"].max() > 0
    assert quantity(outcome, "lambs").sum() > 0
    assert len(outcome.flows.lines) == len(LINES)
