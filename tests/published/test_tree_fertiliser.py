"""The answer of trees to fertiliser against published values; each source stands in the TOML beside it."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from plans import example, grown_fast, plantation, scheduled
from recording import agree, between
from simulator.parameters.hazards import load_events
from simulator.parameters.wood import load_green_weight
from simulator.physics.fertiliser import basal_area_response_ft2_ac, height_response_ft
from simulator.scenario.events import Fertiliser

CHECKS = tomllib.loads((Path(__file__).parent / "tree_fertiliser.toml").read_text(encoding="utf-8"))
NUMBERS = load_events().mid_rotation
EQUATION = {"height": height_response_ft, "area": basal_area_response_ft2_ac}


@pytest.mark.parametrize("dose", ["nitrogen_and_phosphorus", "nitrogen_only"])
@pytest.mark.parametrize("what", list(EQUATION))
def test_response_by_years_since_treatment(what: str, dose: str) -> None:
    check = CHECKS[f"{what}_{dose}"]
    years = np.array(check["years"])
    found = EQUATION[what](check["nitrogen_lb_ac"], check["phosphorus"], years, NUMBERS)
    agree("answer to fertiliser, by years since", found, check["expected"], check, within=check["tolerance"])


def test_the_basal_area_answer_peaks_and_fades() -> None:
    check = CHECKS["peak"]
    years = np.linspace(0.5, 12.0, 1151)
    answer = basal_area_response_ft2_ac(200.0, 1.0, years, NUMBERS)
    agree(
        "year in which the basal-area answer peaks",
        years[answer.argmax()],
        check["years"],
        check,
        within=check["tolerance"],
    )
    assert basal_area_response_ft2_ac(200.0, 1.0, 0.0, NUMBERS) == 0.0


def test_a_stocked_plantation_gains_wood_of_the_published_order() -> None:
    """Extra merchantable wood eight seasons after treatment, turned from green tons into cubic feet."""
    check = CHECKS["volume"]
    dose = Fertiliser(year=15, nitrogen_lb_ac=check["nitrogen_lb_ac"], phosphorus_lb_ac=check["phosphorus_lb_ac"])
    plain = scheduled(plantation(example()), 33)
    fed = plain.model_copy(update={"fertiliser": (dose,)})
    one, other = (outcome.states["standing_ton_ac"][22] for outcome in grown_fast(plain, fed))
    pounds_ft3 = load_green_weight("loblolly").wood_lb_ft3
    low, high = check["extra_ft3_ac"]
    between("extra wood after eight seasons [ft3/ac]", (other - one) * 2000.0 / pounds_ft3, low, high, check)
