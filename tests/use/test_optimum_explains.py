"""What a search says beside its numbers: why it does not thin, what the grass adds, which plans come next."""

from pathlib import Path

import pytest

from optimize.best import BestPlan, best_plan
from optimize.objective import Objective
from simulator import load
from standing import pines_text
from workbench.examples import example_text
from workbench.optimum_words import answer, plan_in_short
from workbench.why_no_thinning import why_no_thinning

GRID = """
[search]
most_thinnings = 1
first_thinning_years = [17]
first_residuals_trees_per_ac = [100]
harvest_years = [30]
hay_until_years = []
first_grazing_years = [5]
[baseline.plantation.search]
most_thinnings = 1
first_thinning_years = [15]
first_residuals_trees_per_ac = [250]
harvest_years = [33]
"""
STAND_GRID = """
[search]
most_thinnings = 2
first_thinning_years = [0, 2]
years_between = [6]
first_residuals_trees_per_ac = [110]
later_residual_shares = [0.6]
harvest_years = [12, 17]
first_grazing_years = [3]
[baseline.plantation.search]
most_thinnings = 2
first_thinning_years = [0, 1, 2]
first_residuals_trees_per_ac = [200, 260]
harvest_years = [15, 18, 20]
"""


def found(folder: Path, text: str) -> BestPlan:
    path = folder / "field.toml"
    path.write_text(text, encoding="utf-8")
    return best_plan(load(path), Objective("land-expectation"), folder)


def test_a_best_plan_without_thinning_says_what_the_thinning_would_leave_and_cost(tmp_path: Path) -> None:
    search = found(tmp_path, example_text() + GRID)
    assert not search.best.outcome.scenario.thinning
    why = why_no_thinning(search)
    assert why is not None
    assert "thin 17 to 100; cut 30" in why
    assert "cleaning up behind the loggers costs $45." in why  # the invented price of the packaged table
    assert why.count("in year 30") == 2
    assert "With the grass of these rows unused: $" in answer(search)


def test_the_next_best_of_a_stand_are_the_next_best_of_all_uses(tmp_path: Path) -> None:
    search = found(tmp_path, pines_text() + STAND_GRID)
    assert search.best.system == "plantation"
    assert why_no_thinning(search) is None
    worst = search.runners_up[-1].value
    shown = {(member.system, member.place) for member in search.ranking}
    for name, space in search.spaces.items():
        for place, value in enumerate(space.value):
            assert (name, place) in shown or not value > worst + 1.0, plan_in_short(space.plans[place])


@pytest.mark.parametrize("residual", ["residual_basal_area_ft2_ac = 70", "residual_trees_per_ac = 70"])
def test_a_plan_in_short_says_what_a_thinning_leaves(tmp_path: Path, residual: str) -> None:
    path = tmp_path / "field.toml"
    path.write_text(example_text().replace("residual_trees_per_ac = 60", residual, 1), encoding="utf-8")
    unit = " ft2" if "basal" in residual else ""
    assert f"thin 16 to 100, 24 to 70{unit}; cut 35" in plan_in_short(load(path))
