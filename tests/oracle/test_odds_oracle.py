"""Draws of hazards against counting, scipy's distributions, numpy's quantiles and sums by hand."""

import numpy as np
import pytest
from scipy import stats

from drawing import no_strikes, only, portion, struck, system, terms
from optimize.risk.draws import BY_CALENDAR, outbreaks, severity_of
from optimize.risk.found import Drawn
from optimize.risk.growth import SINGLE, grown
from optimize.risk.lots import lots_between
from optimize.risk.outlook import AtEnd, Outlook, worth_later
from optimize.risk.portions import earned
from optimize.risk.summary import spread, summary_of, value_at_risk
from plans import changed
from simulator.chances import Chances
from simulator.parameters.odds import HAZARDS
from simulator.parameters.prices import load_prices
from simulator.physics.hazards import beetle_probability

DRAWS = 6000
YEARS = 40
CONFIDENCE = 0.9999


@pytest.mark.parametrize("kind", BY_CALENDAR)
@pytest.mark.parametrize("zone", ["coast", "northern edge"])
def test_at_least_one_strike_in_forty_years(kind: str, zone: str) -> None:
    """Counted, against 1 - (1 - p)^T; the exact binomial interval of scipy."""
    how = terms(zone=zone)
    strikes = lots_between(11, 0, DRAWS, YEARS).strikes[:, HAZARDS.index(kind)] < how.yearly(kind)
    hit = int(strikes.any(axis=0).sum())
    interval = stats.binomtest(hit, DRAWS).proportion_ci(CONFIDENCE, method="exact")
    assert interval.low <= 1.0 - (1.0 - how.yearly(kind)) ** YEARS <= interval.high


def test_strikes_of_beetles_are_as_likely_as_basal_area_and_outbreaks_make_them() -> None:
    how = terms()
    lots = lots_between(5, 0, DRAWS, YEARS)
    many = outbreaks(lots.outbreak, how)
    quiet = beetle_probability(np.array([79.9, 80.0, 119.9, 120.0]), how.numbers.beetles)
    assert quiet.tolist() == [0.0002, 0.001, 0.001, 0.005]
    times = np.where(many, how.numbers.outbreak.times, 1.0)
    count = 0
    for year in range(YEARS):
        key = ("beetles", year)
        chances = Chances({key: lots.strikes[year, HAZARDS.index("beetles")]}, {key: np.ones(DRAWS)})
        severity = chances.strikes(*key, quiet[3] * times[year])
        assert severity is not None
        count += int((severity > 0).sum())
    usual = how.numbers.outbreak.usual_share
    interval = stats.binomtest(count, DRAWS * YEARS).proportion_ci(CONFIDENCE, method="exact")
    assert interval.low <= 0.005 * (1 + 2 * usual) <= interval.high


def test_outbreaks_are_the_chain_that_their_two_probabilities_make() -> None:
    numbers = terms().numbers.outbreak
    step = np.array([[1 - numbers.starts, numbers.starts], [1 - numbers.stays, numbers.stays]])
    assert numbers.usual_share == pytest.approx(np.linalg.matrix_power(step, 400)[0, 1], abs=1e-12)
    many = outbreaks(lots_between(7, 0, DRAWS, YEARS).outbreak, terms())
    after_one, after_none = many[1:][many[:-1]], many[1:][~many[:-1]]
    for counted, wanted in ((after_one, numbers.stays), (after_none, numbers.starts), (many[0], numbers.usual_share)):
        interval = stats.binomtest(int(counted.sum()), counted.size).proportion_ci(CONFIDENCE, method="exact")
        assert interval.low <= wanted <= interval.high


@pytest.mark.parametrize("half_width", [1.0, 0.4])
def test_severities_are_a_triangle(half_width: float) -> None:
    lot = np.linspace(0.0, 1.0, 1001)
    triangle = stats.triang(0.5, loc=1 - half_width, scale=2 * half_width)
    assert severity_of(lot, half_width) == pytest.approx(triangle.ppf(lot), abs=1e-12)
    assert triangle.mean() == pytest.approx(1.0)
    assert (severity_of(lot, 0.0) == 1.0).all()


@pytest.mark.parametrize("draws", [2, 3, 20, 101, 1000])
def test_value_at_risk_is_the_quantile_of_numpy(draws: int) -> None:
    value = np.random.default_rng(draws).normal(10.0, 30.0, draws)
    assert value_at_risk(value) == pytest.approx(np.quantile(value, 0.05), abs=1e-12)
    assert spread(value).error == pytest.approx(stats.sem(value))
    assert spread(value)[2:] == pytest.approx(np.quantile(value, [0.1, 0.5, 0.9]))


def test_two_years_by_hand() -> None:
    """Three draws of two years: cash, lowest cash, years with income and odds, all reckoned on paper."""
    cash = np.array([[-100.0, 30.0, 80.0], [-100.0, -20.0, 10.0], [-100.0, 120.0, -10.0]])
    outlook = Outlook(
        worth=np.array([50.0, 70.0, 90.0]),
        wood=np.array([0.0, 40.0, 60.0]),
        trees=np.array([200.0, 180.0, 160.0]),
        bare=20.0,
        open_land=False,
    )
    end = AtEnd(np.zeros(3, int), np.array([2, 2, 0]), np.array([160.0, 80.0, 0.0]), np.array([7.0, 7.0, 7.0]))
    # full stand; half a stand, so half the 60 of its wood is gone; no stand
    assert worth_later(end, (outlook,)).tolist() == [90.0, 60.0, 20.0]
    assert worth_later(end, (outlook._replace(open_land=True),)).tolist() == [90.0, 60.0, 27.0]
    worth = cash @ (1.1 ** -np.arange(3.0)) + worth_later(end, (outlook,)) / 1.21
    # -100 + 27.27 + 66.12 + 74.38; -100 - 18.18 + 8.26 + 49.59; -100 + 109.09 - 8.26 + 16.53
    assert worth == pytest.approx([67.77, -60.33, 17.36], abs=0.005)
    drawn = Drawn(
        system("plantation"), 9.0, 8.0, worth, 0.1 * worth, cash, np.array([0, 0, 1]), np.array([1.0, np.nan, 0.5])
    )
    found = summary_of(drawn, limit=110.0)
    assert drawn.deepest.tolist() == [-100.0, -120.0, -100.0]
    assert drawn.years_with_income.tolist() == [1.0, 0.5, 0.5]
    assert found.below_limit == pytest.approx(1 / 3)
    assert found.loses == pytest.approx(1 / 3)
    assert found.replanted == pytest.approx(1 / 3)
    assert found.largest_share == pytest.approx(0.75)
    assert found.income.median == pytest.approx(1.736, abs=0.001)
    assert summary_of(drawn).below_limit is None


def test_a_drought_of_two_years_by_hand() -> None:
    """Grass let by the month: a drought of ordinary strength takes .4 of the year's growth, and .4 of its rent."""
    plan = changed(system("pasture"), "use", lease_basis="animal-unit month")
    how, lots = only("drought", severity_spread=0.0), struck(no_strikes(40), "drought", 7)
    forage = grown(portion(plan, how, 1), plan, lots, 0).history.column["forage_lb_ac"][0]
    assert forage[7] == pytest.approx(0.6 * forage[6], rel=1e-9)
    assert forage[8] == pytest.approx(forage[6], rel=1e-9)
    # as expected: every year a tenth of .4
    expected = grown(portion(plan, how, 1)._replace(number=SINGLE), plan, None, 0).history.column["forage_lb_ac"][0]
    assert expected[6] == pytest.approx(0.96 * forage[6], rel=1e-9)
    rent = earned(portion(plan, how, 1)._replace(number=SINGLE)).cash[0, 6]
    usual = earned(portion(plan, how.among(()), 1)).cash[0, 6]
    months = grown(portion(plan, how.among(()), 1), plan, lots, 0).history.column["animal_unit_months_ac"][0, 6]
    assert usual - rent == pytest.approx(
        0.04 * months * load_prices("demo-2025").value("grazing_lease_month"), rel=1e-9
    )
