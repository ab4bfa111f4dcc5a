"""The search for the best plan against running every plan of a small grid one by one."""

from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
import numpy_financial as npf
import pytest

from optimize.around import flatness, marginals, refined, steps_round
from optimize.best import BestPlan, best_plan, compared
from optimize.growing import Progress, worth_of
from optimize.objective import GOALS, Objective
from optimize.rate_of_return import best_rate, outlays
from optimize.space import bases_of, plans_of
from optimize.verdicts import NOT_REACHED, VERDICTS
from plans import changed, example, laid_out
from simulator import load, run
from simulator.errors import InputError
from simulator.measures import measure
from simulator.scenario.events import Neglect
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from simulator.scenario.search import Search
from standing import pines
from workbench.plan_file import plan_text

EXAMPLES = Path(__file__).parents[2] / "examples"
SMALL = Search(
    most_thinnings=2,
    first_thinning_years=(14, 18),
    years_between=(8,),
    first_residuals_trees_per_ac=(90.0, 130.0),
    later_residual_shares=(0.6,),
    harvest_years=(28, 34),
    hay_until_years=(3,),
    first_grazing_years=(5, 7),
    pasture_nitrogen_lb_ac=(0.0, 80.0),
)
FEW_PLANTATIONS = {
    "most_thinnings": 1,
    "first_thinning_years": [15],
    "first_residuals_trees_per_ac": [250.0],
    "harvest_years": [26, 33],
}


@cache
def small() -> Scenario:
    """The north field with a grid of a few dozen plans."""
    base = example()
    baseline = base.baseline.model_copy(update={"plantation": {"search": FEW_PLANTATIONS}})
    return base.model_copy(update={"search": SMALL, "baseline": baseline})


@cache
def found(goal: str) -> BestPlan:
    """The small grid searched."""
    return best_plan(small(), Objective(goal))  # type: ignore[arg-type]


def _every_plan() -> list[tuple[str, Scenario]]:
    return [(name, plan) for name, base in bases_of(small()).items() for plan in plans_of(name, base, small())[0]]


@cache
def _run_one_by_one() -> list[tuple[str, Scenario, object]]:
    return [(name, plan, run(plan)) for name, plan in _every_plan()]


@pytest.mark.parametrize("goal", GOALS)
def test_the_best_of_the_grid_is_that_of_running_every_plan_exactly(goal: str) -> None:
    """Exhaustive enumeration with `simulator.run`; plans that cannot be done are left out, as in the search."""
    search = found(goal)
    verdicts = np.concatenate([space.worth.verdict for space in search.spaces.values()])
    places = [i for space in search.spaces.values() for i in range(len(space.plans))]
    values = [
        search.objective.of_outcome(outcome) if verdict == 0 or place == 0 else np.nan  # type: ignore[arg-type]
        for (_, _, outcome), verdict, place in zip(_run_one_by_one(), verdicts, places, strict=True)
    ]
    assert search.best.value == pytest.approx(np.nanmax(values), rel=1e-9)
    assert search.proven_gap == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize("goal", GOALS)
def test_the_joint_best_is_at_least_either_single_use(goal: str) -> None:
    """Never grazing, no trees and the file's own plan belong to the space, so this holds without any tolerance."""
    search = found(goal)
    for member in search.ranking:
        assert search.best.value >= member.value
    for system in ("plantation", "pasture"):
        alone = search.best_of(system)
        assert alone is None or search.best.value >= alone.value
    assert not search.file.value > search.best.value


@pytest.mark.parametrize("goal", ["npv", "land-expectation"])
def test_what_a_search_values_is_what_a_run_measures(goal: str) -> None:
    """Every fast value is that of a fast run of the plan by itself: growing together costs nothing but rounding."""
    search = found(goal)
    space = search.spaces["silvopasture"]
    for place in range(0, len(space.plans), 9):
        outcome = run(space.plans[place], precision="fast")
        assert space.worth.npv[place] == pytest.approx(outcome.measures.npv, rel=1e-5, abs=1e-4)
        assert space.worth.land_expectation[place] == pytest.approx(outcome.measures.land_expectation, rel=1e-5)
        income = measure(outcome.flows, outcome.prices, outcome.rate).equal_annual_income
        assert space.worth.annual_income[place] == pytest.approx(income, rel=1e-5)
        assert space.worth.cash[place] == pytest.approx(outcome.amount.sum(axis=1), rel=1e-5, abs=1e-4)


@pytest.mark.parametrize("name", sorted(path.stem for path in EXAMPLES.glob("*.toml")))
def test_a_plan_written_to_a_file_reads_back_as_itself(name: str) -> None:
    """Of every example, and of its two single uses: the file runs to the same cent."""
    scenario = load(EXAMPLES / f"{name}.toml")
    assert load_text(plan_text(scenario, "as found"), name) == scenario
    for base in bases_of(scenario).values():
        again = load_text(plan_text(base, "one use"), name)
        assert again.model_copy(update={"use": base.use}) == base


def test_the_best_plan_as_a_file_earns_what_the_search_said() -> None:
    """Written, read and run as anyone would, with the single uses beside it at their own best."""
    search = found("land-expectation")
    comparison = compared(search)
    written = plan_text(
        search.best.outcome.scenario,
        "best",
        {name: outcome.scenario for name, outcome in comparison.systems.items() if name != "silvopasture"},
    )
    again = load_text(written, "best.toml")
    assert run(again).measures.land_expectation == pytest.approx(search.best.value, abs=0.005)
    alone = bases_of(again)
    for name in ("plantation", "pasture"):
        member = search.best_of(name)
        assert member is not None
        assert run(alone[name]).measures.land_expectation == pytest.approx(member.value, abs=0.005)


def test_the_number_of_workers_changes_no_byte() -> None:
    """Borders of batches do not depend on it."""
    plans = [plan for _, plan in _every_plan()]
    one, two = worth_of(plans), worth_of(plans, workers=2)
    for column in ("npv", "land_expectation", "annual_income", "cash", "verdict"):
        assert getattr(one, column).tobytes() == getattr(two, column).tobytes()


def test_a_stopped_search_keeps_what_it_has() -> None:
    """Ctrl-C after the first batch: the rest say that they were not reached, and nothing claims to be proven."""

    def stop(progress: Progress) -> None:
        if progress.done < progress.of:
            raise KeyboardInterrupt

    search = best_plan(small(), Objective("npv"), tell=stop)
    assert not search.complete
    assert (search.spaces["pasture"].worth.verdict == NOT_REACHED).all()
    assert search.best.value == pytest.approx(max(member.value for member in search.ranking))


def test_plans_that_cannot_be_done_are_dropped_with_their_reason() -> None:
    """Grazing in year 2 waits for the trees; a field of two acres finds no logger for a thinning."""
    early = changed(small(), "search", first_grazing_years=(2,))
    counts = best_plan(early, Objective("npv")).spaces["silvopasture"].dropped()
    assert counts[VERDICTS[3]] > 0
    tiny = changed(small(), "land", acres=2.0)
    search = best_plan(tiny, Objective("npv"))
    assert search.spaces["silvopasture"].dropped()[VERDICTS[1]] > 0
    assert not search.best.outcome.scenario.thinning or search.best.place == 0


def test_a_thinning_that_takes_nothing_is_no_plan_of_its_own() -> None:
    """Leaving 400 trees where 190 live."""
    many = changed(small(), "search", first_residuals_trees_per_ac=(400.0,))
    assert best_plan(many, Objective("npv")).spaces["silvopasture"].dropped()[VERDICTS[2]] > 0


@pytest.mark.parametrize("seed", range(12))
def test_the_highest_rate_is_that_of_enumeration(seed: int) -> None:
    """Rates of every random plan by numpy-financial 1.0, an independent root finder."""
    random = np.random.default_rng(seed)
    cash = np.concatenate([-random.uniform(20, 300, (40, 1)), random.uniform(-10, 30, (40, 25))], axis=1)
    cash[:, -1] += random.uniform(0, 900, 40)
    eligible = random.random(40) < 0.8
    result = best_rate(cash, eligible, 60.0)
    counts = eligible & (outlays(cash) >= 60.0) & ~result.several
    rates = [npf.irr(row) if counted else np.nan for row, counted in zip(cash, counts, strict=True)]
    best = np.nanmax(np.where(np.array(rates) > 0, rates, np.nan))
    assert result.rate == pytest.approx(best, abs=1e-7)


def test_a_rate_needs_an_outlay_and_only_one_root() -> None:
    """The flows of two rates, 25 % and 400 % (shared worked example T8, re-computed for this project), have none."""
    two_rates = np.array([-1600.0, 10000.0, -10000.0])
    plain, free = np.array([-100.0, 0.0, 144.0]), np.array([0.0, 5.0, 5.0])
    result = best_rate(np.array([two_rates, plain, free]), np.ones(3, bool), 1.0)
    assert result.place == 1
    assert result.rate == pytest.approx(0.2)
    assert result.several.tolist() == [True, False, False]
    assert best_rate(np.array([free]), np.ones(1, bool), 1.0).place is None
    with pytest.raises(ValueError, match="without an outlay"):
        best_rate(np.array([free]), np.ones(1, bool), 0.0)


@pytest.mark.parametrize("item", ["grazing_lease", "hay"])
def test_dearer_grass_moves_the_best_plan_from_trees_towards_grass(item: str) -> None:
    """The price ratio decides which use wins, and it moves one way.

    Riitters, Brodie & Hann 1982, Forest Science 28:517-526; Susaeta et al. 2012, Agroforestry Systems 86:287-298.
    """
    use = {"hay_years": (1, 3)} if item == "hay" else {}
    grass, prices = [], example().money.prices
    base = changed(small(), "use", **use)
    if item == "hay":
        base = changed(base, "use", animals="none", first_grazing_year=None)
    steps = (0.0, 12.0, 24.0, 60.0, 150.0) if item == "grazing_lease" else (0.0, 60.0, 110.0, 200.0, 400.0)
    for price in steps:
        dear = changed(base, "money", prices=dict(prices) | {item: price})
        best = best_plan(dear, Objective("land-expectation")).best.outcome
        worth = best.measures.by_enterprise
        grass.append(worth.get("grazing", 0.0) + worth.get("hay", 0.0))
    assert grass == sorted(grass)
    assert grass[0] <= 0.0 < grass[-1]


def test_dearer_beef_moves_the_best_plan_towards_grazing() -> None:
    """The same with an own herd and the price of calves; the published pattern as above."""
    own = load(EXAMPLES / "own-herd.toml").model_copy(update={"search": SMALL, "baseline": small().baseline})
    grazing = []
    for price in (1.0, 2.1, 3.5, 6.0):
        dear = changed(own, "money", prices={"calf": price})
        best = best_plan(dear, Objective("land-expectation")).best.outcome
        grazing.append(best.measures.by_enterprise.get("grazing", 0.0))
    assert grazing == sorted(grazing)
    assert grazing[0] <= 0.0 < grazing[-1]


def test_straw_where_animals_graze_is_left_out_and_counted() -> None:
    """Of the example with straw: rakes from year 8 on against animals that come earlier."""
    base = load(EXAMPLES / "single-rows-straw.toml").model_copy(update={"search": SMALL, "baseline": small().baseline})
    straw = base.straw.model_copy(update={"temporary_fence": False, "first_rake_year": 8})
    search = best_plan(base.model_copy(update={"straw": straw}), Objective("npv"))
    space = search.spaces["silvopasture"]
    assert space.dropped()["straw would be raked where animals graze"] == 4 * space.trees
    raked = [plan for plan in space.plans[1:] if plan.straw.market]
    assert raked
    assert all(plan.use.first_grazing_year is None for plan in raked)


def test_a_higher_rate_never_lengthens_the_rotation() -> None:
    """Plantation of the example, thinned once, every third year from 20 to 41; Faustmann's result for one stand."""
    years = []
    for rate in (0.02, 0.03, 0.04, 0.05, 0.06, 0.08):
        search = {**FEW_PLANTATIONS, "harvest_years": list(range(20, 42, 3))}
        base = changed(small(), "money", discount_rate=rate)
        base = base.model_copy(update={"baseline": base.baseline.model_copy(update={"plantation": {"search": search}})})
        member = best_plan(base, Objective("land-expectation")).best_of("plantation")
        assert member is not None
        assert member.outcome.scenario.harvest is not None
        years.append(member.outcome.scenario.harvest.year)
    assert years == sorted(years, reverse=True)


def test_a_standing_stand_is_searched_from_today() -> None:
    """Thin now or wait, keep or clear: the best of the grid is that of running every plan exactly."""
    grid = Search(
        most_thinnings=1,
        first_thinning_years=(0, 4),
        first_residuals_trees_per_ac=(150.0,),
        harvest_years=(10, 16),
        first_grazing_years=(3,),
    )
    keep = {
        "most_thinnings": 1,
        "first_thinning_years": [0, 3],
        "first_residuals_trees_per_ac": [200.0],
        "harvest_years": [12, 20],
    }
    base = pines()
    baseline = base.baseline.model_copy(update={"plantation": {"search": keep}})
    scenario = base.model_copy(update={"search": grid, "baseline": baseline})
    search = best_plan(scenario, Objective("land-expectation"))
    values = {}
    for name, space in search.spaces.items():
        for place, plan in enumerate(space.plans):
            if space.worth.verdict[place] == 0 or place == 0:
                values[name, place] = run(plan).measures.land_expectation
                assert space.worth.land_expectation[place] == pytest.approx(values[name, place], rel=2e-3, abs=0.5)
    assert search.best.value == pytest.approx(max(values.values()), rel=1e-9)
    with pytest.raises(InputError, match="no rate of return"):
        best_plan(scenario, Objective("irr"))


def test_refining_and_stepping_aside_never_lose() -> None:
    """A refined plan is worth its gain more than the best of the grid, and each step keeps the years in order."""
    search = found("land-expectation")
    near = refined(search)
    assert near.value == pytest.approx(search.best.value + near.gain)
    assert near.gain >= 0
    assert run(near.outcome.scenario).measures.land_expectation == pytest.approx(near.value, rel=1e-9)
    for step in steps_round(search.best.outcome.scenario):
        years = [cut.year for cut in step.plan.thinning]
        assert years == sorted(set(years))
    assert {flat.decision for flat in flatness(search)} >= {"final harvest"}
    for each in marginals(search):
        assert not each.taken or each.with_it >= each.without_it


def test_what_a_search_refuses() -> None:
    """A plan let go, a rate of nought with an endless measure."""
    with pytest.raises(InputError, match="neglect"):
        best_plan(small().model_copy(update={"neglect": Neglect(from_year=12)}), Objective("npv"))
    with pytest.raises(InputError, match="discount_rate"):
        best_plan(changed(small(), "money", discount_rate=0.0), Objective("land-expectation"))
    assert best_plan(changed(small(), "money", discount_rate=0.0), Objective("npv")).best.value > 0


def test_every_combination_of_the_grid_is_there_once() -> None:
    """Counted by hand: 2 without thinning, 2 x 2 x 2 with one, and those with two that end in time; the file's own."""
    base = bases_of(small())["silvopasture"]
    plans, trees, uses = plans_of("silvopasture", base, small())
    one = len(list(product((14, 18), (90, 130), (28, 34))))
    two = sum(first + 8 + 5 <= harvest for first, _, harvest in product((14, 18), (90, 130), (28, 34)))
    assert trees == 2 + one + two
    # never: no hay, hay to 3; from 5 or 7: the same
    assert uses == 6
    assert len(plans) == trees * uses + 1
    assert len({repr(plan) for plan in plans}) == len(plans)
    assert replace(found("npv")).spaces["silvopasture"].plans[0] == plans[0]


def test_trees_alone_are_also_planted_wider() -> None:
    """A plantation's own decisions hold its spacing, unless the file states one."""
    base = bases_of(small())["plantation"]
    plans, trees, _ = plans_of("plantation", base, small())
    spacings = {(plan.trees.layout.alley_ft, plan.trees.layout.in_row_ft) for plan in plans if plan.trees}
    assert spacings == {(9.0, 8.0), (10.0, 10.0), (12.0, 12.0)}
    assert len(plans) == trees + 1  # the derived schedule is none of this small grid
    stated = base.model_copy(update={"trees": changed(base, "trees", stock="own").trees})
    close = laid_out(stated, alley_ft=8.0, row_gap_ft=8.0)
    assert {plan.trees.layout.alley_ft for plan in plans_of("plantation", close, small())[0] if plan.trees} == {8.0}
