"""Pathways of a tract that states a grid, against the search for its best plan."""

from optimize.best import best_plan
from optimize.objective import Objective
from optimize.tracts import tract_columns
from plans import example
from simulator.scenario.search import Search

GRID = Search(
    most_thinnings=1,
    first_thinning_years=(14, 18),
    first_residuals_trees_per_ac=(90.0, 130.0),
    harvest_years=(28, 34),
    hay_until_years=(3,),
    first_grazing_years=(5,),
)
FEW = {"search": {"most_thinnings": 0, "harvest_years": [28, 33]}}


def test_a_tract_with_a_grid_offers_the_best_plan_of_its_search_and_other_rhythms() -> None:
    """The best of the search is among its pathways, the own plan stands first, and no two are alike."""
    base = example()
    scenario = base.model_copy(
        update={"search": GRID, "baseline": base.baseline.model_copy(update={"plantation": FEW})}
    )
    columns = tract_columns(scenario, objective="land-expectation")
    found = best_plan(scenario, Objective("land-expectation"))
    assert abs(columns.value_per_ac.max() - found.best.searched_value) < 1e-4 * abs(found.best.value)
    assert columns.scenarios[0].thinning == base.thinning
    assert len(set(columns.labels)) == len(columns.labels) > 20
    harvests = {plan.harvest.year for plan in columns.scenarios if plan.harvest and plan.trees}
    assert harvests >= {28, 34, 35}
    assert any(plan.trees is None for plan in columns.scenarios)
