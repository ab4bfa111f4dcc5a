"""A thinned stand, started from its table: the published answer to a cut, by the way in that a cruise takes."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from growing import LOBLOLLY
from plans import changed
from recording import agree
from simulator.physics.height import dominant_height_ft
from simulator.result import run
from simulator.scenario.trees import Thinning
from standing import idle, pines, stand_of

CHECKS = tomllib.loads((Path(__file__).parent / "growth.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("decay", CHECKS["thinning_response"]["decay_per_yr"])
def test_a_stand_found_and_thinned_follows_the_published_competition_index(decay: float) -> None:
    """Source, equation and tolerance: [thinning_response] and [unthinned_basal_area] of growth.toml."""
    check = CHECKS["thinning_response"]
    age, residual = check["thin_age_yr"], check["residual_trees_per_ac"]
    # 540 trees of 6.4 in: what the published equation gives an unthinned stand of that age and site
    height = float(dominant_height_ft(check["site_index_ft"], age, LOBLOLLY.height))
    area = _unthinned(age, 540.0, height)
    mean = float(np.sqrt(area / 540.0 / 0.005454154))
    plan = changed(changed(pines(), "land", site_index_ft=check["site_index_ft"], former_use="cutover"), "money")
    plan = plan.model_copy(update={"stand": stand_of(age, [(0.85 * mean, 180.0), (mean, 180.0), (1.13 * mean, 180.0)])})
    outcome = run(idle(plan, 30, Thinning(year=0, residual_trees_per_ac=residual)), precision="fast")
    states = outcome.states
    left = states["basal_area_ft2_ac"][0] - states["basal_area_cut_ft2_ac"][0]
    index = 1.0 - left / _unthinned(age, residual, height)
    for at in check["age_yr"]:
        year = at - age
        published = _unthinned(at, states["trees_per_ac"][year], states["dominant_height_ft"][year])
        expected = published * (1.0 - index * np.exp(-decay * year))
        # the two published decay rates lie 4 to 9 % apart; ours must lie as near to either
        agree(
            "a stand found and thinned follows the published competition index",
            states["basal_area_ft2_ac"][year],
            expected,
            check,
            share=check["tolerance_share"] + 0.02,
        )


def _unthinned(age: float, trees: float, height: float) -> float:
    terms = np.array([1.0, 1 / age, np.log(trees), np.log(height), np.log(trees) / age, np.log(height) / age])
    return float(np.exp(np.array(CHECKS["unthinned_basal_area"]["regions"]) @ terms).mean())
