"""Stands grown a second way: one tree, plain numbers, a loop; against the batch engine driven with equal heights.

The loop is the script with which the crowding term was calibrated for this project, before there was an engine.
"""

from collections.abc import Callable
from math import exp, log, sqrt

import pytest

from growing import CUTOVER, PASTURE, PUBLISHED_CURVE_ONLY, Way, grow, planting, row_sets, square

ACRE = 43560.0
LAST = 40
Space = Callable[[float], float]


def height(site_index: float, age: float) -> float:
    offset = site_index - 85.75
    x = 0.5 * (offset + sqrt(offset**2 + 4 * 4474 * site_index * 25**-1.107))
    return (85.75 + x) / (1 + 4474 / x * age**-1.107)


def reach(dbh: float) -> float:
    """Two open-grown crown radii [ft]."""
    cm = 2.54 * dbh
    return (0.7380 + 0.2450 * cm + 0.000809 * cm * cm) * 3.28083989501312


def stand(
    site_index: float, planted: float, culture: float, space: Space, loss_at_breast_height: float = 0.004
) -> dict[int, tuple[float, float]]:
    """Trees/ac and dbh by age; ``space`` is the growing space of a full row [ft2] by dbh."""
    dbh, trees, out = 0.0, planted, {}
    for age in range(1, LAST):
        before, after = height(site_index, age), height(site_index, age + 1)
        if after <= 4.5:
            trees *= exp(-0.004)
        elif dbh <= 0:
            dbh = max(0.1, 0.1 * (after - 4.5))
            trees *= exp(-loss_at_breast_height)
        else:
            crowd = ACRE / space(dbh) * trees / planted * (dbh / 10) ** 1.605 / 450
            grown = dbh + culture * (0.286583 * (after - before) + 0.209472) * exp(-2.168 * crowd**0.85)
            share = min(1, max(0, (crowd - 0.55) / 0.45))
            trees *= exp(-0.004 - 1.605 * log(grown / dbh) * share)
            dbh = grown
        out[age + 1] = (trees, dbh)
    return out


def beside(*gaps: float) -> Space:
    """Growing width [ft] times 1 ft of row, half the gaps on either side or as far as the tree reaches."""
    return lambda dbh: sum(min(gap / 2, reach(dbh)) for gap in gaps)


def along(in_row: float, width: Space) -> Space:
    return lambda dbh: in_row * width(dbh)


@pytest.mark.parametrize("culture", [CUTOVER, PASTURE])
@pytest.mark.parametrize("planted", [100, 300, 605, 1210])
def test_even_spacing(planted: int, culture: float) -> None:
    side = sqrt(ACRE / planted)
    life = grow(planting(65.0, square(planted)), LAST, Way(culture, tree=PUBLISHED_CURVE_ONLY))
    for age, (trees, dbh) in stand(65.0, planted, culture, along(side, beside(side, side))).items():
        assert life.dbh(age) == pytest.approx(dbh, rel=1e-9), age
        assert life.trees(age) == pytest.approx(trees, rel=1e-9), age


@pytest.mark.parametrize("rows", [1, 2, 3, 4])
@pytest.mark.parametrize(("gap", "in_row", "alley"), [(8.0, 8.0, 40.0), (10.0, 10.0, 60.0), (6.0, 4.0, 24.0)])
def test_row_sets(rows: int, gap: float, in_row: float, alley: float) -> None:
    layout = row_sets(rows, gap, in_row, alley)
    life = grow(planting(70.0, layout), LAST, Way(tree=PUBLISHED_CURVE_ONLY))
    planted = ACRE / ((alley + (rows - 1) * gap) * in_row)
    for row in range(rows):
        left, right = (alley if row == 0 else gap), (alley if row == rows - 1 else gap)
        for age, (trees, dbh) in stand(70.0, planted, PASTURE, along(in_row, beside(left, right))).items():
            made = life.years[age].season_end
            assert made.dbh_in[0, row] == pytest.approx(dbh, rel=1e-9), (row, age)
            assert made.trees[0, row] == pytest.approx(trees, rel=1e-9), (row, age)


@pytest.mark.parametrize(
    ("site_index", "planted", "culture", "space", "age", "printed"),
    [
        (65.0, 500, 0.79, lambda _: ACRE / 500, 25, (441, 7.9)),
        (75.0, 302, 0.965, lambda _: ACRE / 302, 20, (279, 9.9)),
        (65.0, 227, 0.965, along(8.0, beside(8.0, 40.0)), 25, (207, 10.9)),
    ],
)
def test_the_loop_prints_what_it_printed(
    site_index: float, planted: float, culture: float, space: Space, age: int, printed: tuple[int, float]
) -> None:
    """Trees/ac and dbh of the calibration runs, which spared the trees in the year they passed breast height."""
    trees, dbh = stand(site_index, planted, culture, space, loss_at_breast_height=0.0)[age]
    assert (round(trees), round(dbh, 1)) == printed
