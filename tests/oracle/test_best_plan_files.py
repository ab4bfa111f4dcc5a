"""What a search writes and refuses: plans that read back with their baselines, grids that hold no plan of a file."""

from dataclasses import replace
from functools import cache

import pytest
import tomlkit

from optimize.best import BestPlan, best_plan, compared
from optimize.grid import tree_ways
from optimize.objective import Objective
from optimize.space import bases_of
from plans import changed, example
from simulator import run
from simulator.alternatives import systems_of
from simulator.errors import InputError
from simulator.scenario.file import load_text
from simulator.scenario.grass import Straw
from simulator.scenario.model import Baseline, Scenario
from simulator.scenario.search import Search
from simulator.scenario.trees import Thinning, Treatment
from standing import pines_text
from workbench.examples import example_text
from workbench.plan_file import can_be_overrides, plan_text

FEW = Search(
    most_thinnings=1,
    first_thinning_years=(14,),
    first_residuals_trees_per_ac=(100.0,),
    harvest_years=(30, 34),
    first_grazing_years=(5,),
    pasture_nitrogen_lb_ac=(0.0, 80.0),
)
FEW_PLANTATIONS = FEW.model_dump(
    mode="json", exclude={"first_grazing_years", "pasture_nitrogen_lb_ac"}, exclude_none=True
)
OVERRIDES = {
    "plantation": {
        "trees": {"survival": 0.8},
        "treatment": [{"year": 3, "item": "lime_spreading"}],
        "search": FEW_PLANTATIONS,
    },
    "pasture": {"use": {"system": "strip"}, "pasture": {"overseeded": "none"}},
}


def _searched(**search: object) -> Scenario:
    few = Baseline(plantation={"search": FEW_PLANTATIONS})
    return example().model_copy(update={"search": FEW.model_copy(update=search), "baseline": few})


@cache
def _by_rate_of_return() -> BestPlan:
    return best_plan(_searched(), Objective("irr"))


@cache
def _with_overrides() -> BestPlan:
    base = changed(_searched(), "pasture", overseeded="ryegrass", overseeded_from_year=2)
    return best_plan(base.model_copy(update={"baseline": Baseline.model_validate(OVERRIDES)}), Objective("npv"))


def _refused(text: str) -> str:
    with pytest.raises(InputError) as caught:
        load_text(text, "field.toml")
    return str(caught.value)


@pytest.mark.parametrize("system", ["silvopasture", "plantation", "pasture"])
def test_baselines_of_the_file_outlive_the_search(system: str) -> None:
    """Whatever use wins, `compare` of its file sets both single uses beside it to the same cent as they were found."""
    search = _with_overrides()
    members = {name: search.best_of(name) for name in search.spaces}
    alone = {name: members[name].outcome.scenario for name in ("plantation", "pasture")}  # type: ignore[union-attr]
    winner = members[system].outcome.scenario.model_copy(update={"baseline": search.file.outcome.scenario.baseline})  # type: ignore[union-attr]
    again = load_text(plan_text(winner, "best", alone), "best.toml")
    uses = systems_of(again)
    for name, single in alone.items():
        assert can_be_overrides(single, name, winner)
        assert run(uses[name]).measures.npv == pytest.approx(members[name].value, abs=0.005)  # type: ignore[union-attr]
    assert run(again).measures.npv == pytest.approx(members[system].value, abs=0.005)  # type: ignore[union-attr]
    assert again.baseline.plantation["search"] == OVERRIDES["plantation"]["search"]


def test_land_without_hay_is_no_override_of_land_cut_for_hay() -> None:
    """TOML cannot take hay away, so such a baseline is left out rather than written wrong."""
    no_animals = changed(example(), "use", animals="none", first_grazing_year=None)
    cut = systems_of(no_animals)["pasture"]
    assert can_be_overrides(cut, "pasture", no_animals)
    assert not can_be_overrides(changed(cut, "use", hay_years=None), "pasture", no_animals)


def test_the_pasture_of_a_plan_that_is_never_grazed_is_grazed() -> None:
    """Animals that never come under the trees of a file still graze its open pasture, overridden or not."""
    never = changed(example(), "use", first_grazing_year=None, never_grazed=True)
    assert not systems_of(never)["pasture"].use.never_grazed
    override = Baseline(pasture={"pasture": {"nitrogen_lb_ac": 10.0}})
    assert systems_of(never.model_copy(update={"baseline": override}))["pasture"].use.first_grazing_year == 1


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ("harvest_years = [0, 30]", "harvest_years[1]: must be 1 or later"),
        ("first_thinning_years = [0]", "first_thinning_years[1]: must be 1 or later"),
        ('thinning_methods = ["rows"]', 'Use "rows then below"'),
        ('thinning_methods = ["strips then below"]', "strip_rows_removed"),
        ("pasture_nitrogen_lb_ac = []", "a list of 1 to 12"),
        ("harvest_years = []", "a list of 1 to 12"),
    ],
)
def test_a_grid_holds_only_plans_that_a_file_could_hold(wrong: str, words: str) -> None:
    assert words in _refused(f"{example_text()}\n[search]\n{wrong}\n")


def test_a_grid_for_a_stand_waits_for_the_grass_and_takes_no_rows_of_a_natural_one() -> None:
    assert "sown" in _refused(f"{pines_text()}\n[search]\nharvest_years = [0]\n")
    document = tomlkit.parse(pines_text()).unwrap()
    document["stand"]["origin"] = "natural"
    document["thinning"] = document["thinning"][1:]
    document["search"] = {"thinning_methods": ["rows then below"]}
    assert "natural stand" in _refused(tomlkit.dumps(document))


def test_animals_planned_for_after_the_last_year_cannot_graze() -> None:
    """Year 60 of a field that is watched for 40."""
    space = best_plan(_searched(first_grazing_years=(60,)), Objective("npv")).spaces["silvopasture"]
    assert sum(count for reason, count in space.dropped().items() if "animals cannot graze" in reason) > 0


def test_trees_stand_until_the_work_of_the_file_is_done() -> None:
    """A treatment in year 32 is no part of a plan that is cut in year 30; strips stay as wide as the file says."""
    late = _searched().model_copy(update={"treatment": (Treatment(year=32, item="lime_spreading"),)})
    assert {way.harvest for way in tree_ways(late)} == {34}
    strips = Thinning(
        year=16, method="strips then below", strip_rows_removed=2, strip_rows_left=4, residual_trees_per_ac=90.0
    )
    cuts = [
        way.thinnings[0] for way in tree_ways(_searched().model_copy(update={"thinning": (strips,)})) if way.thinnings
    ]
    assert cuts
    assert all((cut.strip_rows_removed, cut.strip_rows_left) == (2, 4) for cut in cuts)


def test_nothing_stated_for_later_thinnings_means_none() -> None:
    """An empty list is an answer, not a question."""
    none = _searched(most_thinnings=3, years_between=())
    assert max(len(way.thinnings) for way in tree_ways(none)) == 1


def test_a_use_without_a_rate_of_return_is_shown_as_it_is_derived() -> None:
    """Grass that hardly takes an outlay has no rate; the table beside the best plan does not show that plan twice."""
    search = _by_rate_of_return()
    ranking = tuple(member for member in search.ranking if member.system != "pasture")
    without = replace(search, ranking=ranking)
    assert without.best_of("pasture") is None
    assert compared(without).systems["pasture"].scenario == search.spaces["pasture"].base


def test_the_gap_of_a_rate_of_return_is_reckoned() -> None:
    """With one plan run exactly and all others only on fast light, nothing but the next best can be left to beat it."""
    from optimize.best import _gap  # noqa: PLC0415 - its parts are not to be had otherwise

    search = _by_rate_of_return()
    second = search.runners_up[0]
    gap = _gap(search.spaces, (second,), search.objective)
    assert gap == pytest.approx((search.best.searched_value - second.value) / second.value, abs=0.01)
    assert gap > 0.0


def test_the_grid_of_the_file_does_not_judge_the_derived_plantation() -> None:
    """Strips of the file's rows are asked of its own trees, not of a plantation that an override touches."""
    strips = Thinning(
        year=16, method="strips then below", strip_rows_removed=2, strip_rows_left=4, residual_trees_per_ac=90.0
    )
    file = _searched(thinning_methods=("strips then below",)).model_copy(
        update={"thinning": (strips,), "straw": Straw(), "baseline": Baseline(plantation={"harvest": {"year": 30}})}
    )
    bases = bases_of(file)
    assert bases["plantation"].harvest is not None
    assert bases["plantation"].search == Search()
    assert bases["silvopasture"].search.thinning_methods == ("strips then below",)
