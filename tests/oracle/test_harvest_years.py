"""What hangs on the year of a harvest, of a stand that was found too, against plans that end in that year."""

from functools import cache

import numpy as np
import pytest

from plans import changed, compared, example, fast, grown_fast
from simulator.comparison import compare
from simulator.early_sale import sell_in
from simulator.harvest_logs import harvest_logs, harvest_values
from simulator.land_equivalent import tree_product
from simulator.lives import harvests_of
from simulator.result import Outcome, run
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest, Thinning
from standing import idle, pines, pines_compared, stand_of
from workbench.examples import Choices, scenario_text

SALES = ("by the ton", "lump sum")


def ending(plan: Scenario, year: int, sale: str = "by the ton") -> Scenario:
    return changed(plan, "money", horizon_years=year, timber_sale=sale)


def pecans() -> Scenario:
    """Pecans of twenty years, kept for thirty more."""
    plan = load_text(scenario_text(Choices(trees="pecan", layout="square")), "orchard")
    stand = stand_of(20, [(10.0, 12.0), (12.0, 12.0)])
    return plan.model_copy(update={"stand": stand, "thinning": (), "harvest": Harvest(year=30)})


def posted(outcome: Outcome, key: str) -> np.ndarray:
    return outcome.flows.quantity[:, [line.key for line in outcome.flows.lines].index(key)]


def test_years_of_the_file_are_years_of_the_record_whatever_the_age_of_the_trees() -> None:
    # eighteen-year-old pines are cut in year 17, at 35; pines planted after them 33 years later, as a plantation is
    outcomes = grown_fast(example(), ending(example(), 80), pines(), ending(pines(), 60), ending(pines(), 16))
    assert [[cut.year for cut in harvests_of(outcome)] for outcome in outcomes] == [[35], [35, 70], [17], [17, 50], []]
    assert [cut.row for cut in harvests_of(outcomes[3])] == [17, 33]
    for outcome in outcomes:
        for cut in harvests_of(outcome):
            around = outcome.wood_ton_ac[cut.year - 2 : cut.year + 3].sum()
            assert outcome.wood_ton_ac[cut.year].sum() == pytest.approx(around)
            assert around > 0
    cleared = pines_compared().systems["pasture"]
    assert [cut.year for cut in harvests_of(cleared)] == [0]
    assert not list(harvests_of(compared().systems["pasture"]))


@cache
def sixty_years(after: str, sale: str) -> Outcome:
    return run(ending(changed(pines(), "stand", after_harvest=after), 60, sale))


@pytest.mark.parametrize(
    ("after", "year", "sale"),
    [
        ("plantation", 17, "by the ton"),
        ("plantation", 17, "lump sum"),
        ("plantation", 34, "by the ton"),
        ("plantation", 50, "lump sum"),
        ("pasture", 17, "by the ton"),
    ],
)
def test_land_sold_in_a_year_is_the_plan_that_ends_there(after: str, year: int, sale: str) -> None:
    """At a horizon nothing is planted or sown again; what stands is sold, and only the way back is not the seller's."""
    ends = run(ending(changed(pines(), "stand", after_harvest=after), year, sale))
    back = ends.amount[year, [line.key == "end_reconversion" for line in ends.flows.lines]].sum()
    expected = ends.measures.npv - back / 1.05**year
    assert sell_in(sixty_years(after, sale), year).npv_per_ac == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("origin", ["planted", "natural"])
@pytest.mark.parametrize("sale", SALES)
def test_the_last_log_is_of_the_trees_that_the_ledger_sells(sale: str, origin: str) -> None:
    plan = changed(idle(pines(), 17, Thinning(year=2, residual_trees_per_ac=150.0)), "stand", origin=origin)
    outcome = fast(ending(plan, 60, sale))
    logs = harvest_logs(outcome)
    values = harvest_values(outcome, logs)
    assert values["year"].tolist() == [17, 50]
    by_order = logs.groupby("year")["priority_value_per_ac"].sum()
    assert by_order.to_numpy() == pytest.approx(values["ledger_value_per_ac"].to_numpy())
    tons = logs.groupby("year")["priority_ton_per_ac"].sum()
    assert tons.to_numpy() == pytest.approx(outcome.wood_ton_ac[[17, 50]].sum(axis=1))
    assert (values["difference_per_ac"].abs() < 0.1 * values["ledger_value_per_ac"]).all()


def test_a_lump_sum_for_planted_trees_is_no_harvest_without_wood() -> None:
    by_ton, lump = (fast(ending(example(), 40, sale)) for sale in SALES)
    one, other = (harvest_values(outcome, harvest_logs(outcome)).iloc[0] for outcome in (by_ton, lump))
    assert other["ledger_value_per_ac"] == pytest.approx(0.95 * one["ledger_value_per_ac"])
    assert other["best_value_per_ac"] == pytest.approx(0.95 * one["best_value_per_ac"])


def test_orchard_trees_have_no_last_log() -> None:
    plan = changed(load_text(scenario_text(Choices(trees="pecan", layout="square")), "orchard"), "land", acres=400.0)
    outcome = fast(plan.model_copy(update={"harvest": Harvest(year=35)}))
    assert outcome.wood_ton_ac[35].sum() > 0
    assert harvest_logs(outcome).empty
    assert harvest_values(outcome, harvest_logs(outcome)).empty


def test_found_nut_trees_are_compared_by_the_nuts_that_they_bear_to_the_horizon() -> None:
    result = compare(pecans(), precision="fast")
    both, alone = result.systems["silvopasture"], result.systems["plantation"]
    assert tree_product(result.systems) == "nuts"
    assert posted(both, "nuts")[1:15].all(), "the trees that are there bear"
    assert result.land_equivalent.wood == pytest.approx(posted(both, "nuts").sum() / posted(alone, "nuts").sum())
