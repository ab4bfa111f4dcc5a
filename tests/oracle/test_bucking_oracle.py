"""The best pieces of a stem a second way: a linear program over every piece that could be cut.

Each half foot of stem belongs to one piece at most. Such interval constraints have whole-numbered corners, so the
program's optimum is a cutting. Which pieces may be cut is judged here from diameters at their tops, not from reaches.
"""

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import csr_array

from simulator.enterprises.bucking import CUT_PRODUCTS, Market, buck, felled_stems
from simulator.enterprises.defects import Defect
from simulator.enterprises.stems import (
    diameter_inside_bark_in,
    diameter_outside_bark_in,
    green_ton_below,
    measured_stems,
)
from simulator.parameters.bucking import CutSpecs, load_bucking
from simulator.parameters.wood import load_wood

WOOD = load_wood("loblolly", natural=True)
RULES = load_bucking(WOOD.specs)
GRID_FT = 0.5
# kind of defect: how far below and above it sawtimber may not lie, and chip-and-saw
BARS = {"fork": ((0.0, 300.0), (0.0, 300.0)), "canker": ((2.0, 2.0), (2.0, 2.0)), "sweep": ((8.0, 8.0), (0.0, 0.0))}


def may_be_cut(product: str, ends: tuple[float, float], defects: list[Defect]) -> bool:
    if product == "pulpwood":
        return True
    side = CUT_PRODUCTS.index(product)
    low, high = ends
    for defect in defects:
        below, above = BARS[defect.kind][side]
        if low < defect.at_ft + above and high > defect.at_ft - below:
            return False
    return True


def best_by_program(
    size: tuple[float, float], specs: CutSpecs, prices: dict[str, float], defects: list[Defect]
) -> float:
    dbh, height = size
    stems = measured_stems(dbh, height, WOOD.stem)
    at = np.arange(WOOD.specs.stump_ft, height, GRID_FT)
    ton = green_ton_below(at, stems, WOOD.weight)
    gains, members = [], []
    for product in CUT_PRODUCTS:
        spec = getattr(specs, product)
        if dbh < spec.minimum_dbh_in:
            continue
        wide = (diameter_inside_bark_in if spec.inside_bark else diameter_outside_bark_in)(at, stems)
        for low in range(len(at)):
            for high in range(low + 1, len(at)):
                length = at[high] - at[low] - spec.trim_ft
                if not spec.minimum_length_ft <= length <= spec.maximum_length_ft or wide[high] < spec.minimum_top_in:
                    continue
                if spec.length_multiple_ft and length % spec.length_multiple_ft:
                    continue
                if may_be_cut(product, (at[low], at[high]), defects):
                    gains.append(prices[product] * (ton[high] - ton[low]) - RULES.work.cut_cost)
                    members.append(range(low, high))
    if not gains:
        return 0.0
    columns = np.repeat(np.arange(len(members)), [len(cells) for cells in members])
    rows = np.concatenate([np.array(cells) for cells in members])
    holds = csr_array((np.ones(len(rows)), (rows, columns)), shape=(len(at), len(gains)))
    solved = linprog(-np.array(gains), A_ub=holds, b_ub=np.ones(len(at)), method="highs")
    assert solved.success
    return float(-solved.fun)


@pytest.mark.parametrize("method", ["tree_length", "cut_to_length"])
@pytest.mark.parametrize(
    ("size", "defects"),
    [
        ((7.0, 45.0), []),
        ((12.3, 66.0), []),
        ((13.1, 71.0), [Defect("canker", 3.0)]),
        ((15.2, 74.0), [Defect("sweep", 24.2), Defect("fork", 51.3)]),
    ],
)
def test_best_cuts_against_a_linear_program(method: str, size: tuple[float, float], defects: list[Defect]) -> None:
    prices = {"sawtimber": 31.0, "chip_and_saw": 17.0, "pulpwood": 6.0}
    specs = getattr(RULES, method)
    bucked = buck(felled_stems(*size, WOOD, RULES), Market(specs, prices, RULES), defects)
    assert bucked.cuts.value[0, 0] == pytest.approx(best_by_program(size, specs, prices, defects), abs=1e-6)
