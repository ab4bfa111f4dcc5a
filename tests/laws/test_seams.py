"""Where features meet: batches of unlike plans, stands with help and sprays, hours of a replanting, idle grass."""

import numpy as np
import pytest

from plans import changed, example, fast, grown_fast, scheduled
from simulator.alternatives import cleared, kept, opened_later
from simulator.baselines import pasture_of
from simulator.comparison import compare
from simulator.parameters.tables import load_tables
from simulator.result import Outcome, run, run_batch
from simulator.scenario.grass import Switch
from simulator.scenario.income import Payment
from simulator.scenario.model import Scenario
from simulator.scenario.owner import CostShare, Herbicide, Labour
from standing import pines


def _with(plan: Scenario, **parts: object) -> Scenario:
    return plan.model_copy(update=parts)


def _paid(outcome: Outcome, key: str) -> float:
    places = [i for i, line in enumerate(outcome.flows.lines) if line.key.startswith(key)]
    return float(outcome.flows.quantity[:, places].sum())


def test_a_plan_earns_the_same_whoever_shares_its_batch() -> None:
    short = scheduled(changed(changed(example(), "money", horizon_years=10), "land", tax_grass_per_ac=30.0), 12)
    short = _with(
        short,
        payment=(Payment(name="grass money", per_ac=5.0, needs="grass"),),
        cost_share=(CostShare(line="grass", share=0.5, practice="grass", life_years=20),),
        pasture=short.pasture.model_copy(update={"established": False}),
    )
    mate = scheduled(short, 60)
    alone, (together, _) = fast(short), grown_fast(short, mate)
    assert together.measures.npv == pytest.approx(alone.measures.npv, abs=1e-5)
    assert together.measures.equal_annual_income == pytest.approx(alone.measures.equal_annual_income, abs=1e-5)


def test_help_in_a_stand_followed_by_pasture_compares() -> None:
    help_ = (CostShare(line="grass", share=0.5, practice="fence", life_years=30),)
    plan = _with(changed(pines(), "stand", after_harvest="pasture"), cost_share=help_)
    assert set(compare(changed(plan, "money", horizon_years=5)).systems) >= {"silvopasture", "plantation", "pasture"}


@pytest.mark.parametrize(("after", "back"), [("plantation", True), ("pasture", False)])
def test_a_contract_on_grass_ends_with_the_stand_unless_pasture_follows(after: str, *, back: bool) -> None:
    help_ = (CostShare(line="grass", share=0.5, practice="grass", life_years=30),)
    found = run(_with(changed(pines(), "stand", after_harvest=after), cost_share=help_), precision="fast")
    helped, repaid = _paid(found, "cost_share_1"), _paid(found, "cost_share_repaid_1")
    assert helped > 0
    assert (repaid > 0) == back


def test_given_numbers_of_a_later_grass_suit_a_successor_that_names_none() -> None:
    # the band runs a plan with numbers of its own; what follows a stand has no second grass
    switch = Switch(grass="tall-fescue", year=8)
    plan = changed(changed(pines(), "stand", after_harvest="pasture"), "pasture", switch=switch)
    few = changed(plan, "money", horizon_years=12)
    numbers = load_tables("loblolly", "bahiagrass", "cattle", later_grass="tall-fescue")
    given, usual = run_batch([few], tables=numbers)[0], run_batch([few])[0]
    assert given.measures.equal_annual_income == pytest.approx(usual.measures.equal_annual_income, rel=1e-9)


def test_open_pasture_does_not_wait_for_trees() -> None:
    late = changed(example(), "pasture", established=False, sown_year=10, overseeded_from_year=15)
    at_once = pasture_of(late).pasture
    assert (at_once.sown_year, at_once.overseeded_from_year) == (0, 1)


def test_a_stand_that_is_not_opened_is_not_sprayed_for_grass() -> None:
    spray = (Herbicide(year=1, product_class="triclopyr", ground="grass"),)
    plan = _with(pines(), herbicide=spray)
    assert kept(plan).herbicide == cleared(plan).herbicide == ()
    assert opened_later(plan).herbicide[0].year == 1 + plan.stand.open_later_years  # type: ignore[union-attr]


def test_opening_later_moves_help_and_payments_too() -> None:
    help_ = (CostShare(line="grass", share=0.5, first_year=0, last_year=3, practice="grass"),)
    later = opened_later(_with(pines(), cost_share=help_))
    assert _paid(run(later, precision="fast"), "cost_share_1") > 0


@pytest.mark.parametrize("own", [0.0, 3.0])
def test_hired_hours_of_a_replanting_do_not_depend_on_the_horizon(own: float) -> None:
    plan = _with(example(), labour=Labour(own_hours_month=own))
    incomes = [fast(changed(plan, "money", horizon_years=years)).measures.equal_annual_income for years in (20, 35, 60)]
    assert np.ptp(incomes) == pytest.approx(0.0, abs=1e-5)
