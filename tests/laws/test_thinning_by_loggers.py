"""Thinning as loggers do it: every so manieth row, rows of sets, strips, from below, and the operator's error.

Ratios d/D are the quadratic mean dbh of the trees cut over that of all before the cut. Their ranges, .75 to .90 from
below and .88 to .95 for every fifth row and then from below, are those of the project's work sheet, from memory.
"""

from typing import NamedTuple

import pytest

from growing import QUALITY, Way, grow, planting, row_sets, square
from plans import example, fast, laid_out, scheduled
from simulator.parameters.tables import load_practice
from simulator.scenario.trees import Layout, Thinning
from simulator.state import basal_area_ft2_ac, quadratic_mean_dbh_in, trees_per_ac
from simulator.units import BASAL_AREA_FT2_PER_IN2

YEAR = 15
PLANTATION = row_sets(1, 8.0, 8.0, 9.0)
WHOLE_SETS = {"method": "strips", "strip_rows_removed": 2, "strip_rows_left": 4}


class Taken(NamedTuple):
    """Share of the trees cut, and their d/D."""

    share: float
    ratio: float
    trees_left: float
    area_left: float
    grade_left: float
    grade_cut: float


def taken(layout: Layout, cut: Thinning, random_share: float = 0.15) -> Taken:
    year = grow(planting(68.0, layout, 0.9, [cut]), cut.year, Way(random_share=random_share)).years[-1]
    before, left = year.season_end, year.left
    trees, trees_left = (float(trees_per_ac(stand)[0]) for stand in (before, left))
    area, area_left = (float(basal_area_ft2_ac(stand)[0]) for stand in (before, left))
    cut_dbh = ((area - area_left) / (trees - trees_left) / BASAL_AREA_FT2_PER_IN2) ** 0.5
    return Taken(
        1.0 - trees_left / trees,
        cut_dbh / float(quadratic_mean_dbh_in(before)[0]),
        trees_left,
        area_left,
        float((left.trees[..., None] * left.share * left.grade).sum()) / trees_left,
        float((year.cut.trees * year.cut.grade).sum() / year.cut.trees.sum()),
    )


# Rows -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("every", [3, 4, 5, 7])
def test_every_so_manieth_row_is_that_share_of_the_trees_of_all_sizes(every: int) -> None:
    # a third, a fourth, a fifth, a seventh of the stand without selection: common practice
    found = taken(PLANTATION, Thinning(year=YEAR, method="rows", remove_every_row=every))
    assert found.share == pytest.approx(1.0 / every, rel=1e-9)
    assert found.ratio == pytest.approx(1.0, rel=1e-9)
    assert (found.grade_left, found.grade_cut) == pytest.approx((QUALITY.sawtimber_grade_share,) * 2)


@pytest.mark.parametrize("every", [3, 5, 7])
def test_every_so_manieth_row_is_that_share_of_the_wood(every: int) -> None:
    plan = laid_out(example(), alley_ft=9.0)
    outcome = fast(scheduled(plan, 30, Thinning(year=YEAR, method="rows", remove_every_row=every)))
    # ends too short for a last piece stay in the woods
    assert outcome.wood_ton_ac[YEAR].sum() == pytest.approx(outcome.states["standing_ton_ac"][YEAR] / every, rel=5e-3)


@pytest.mark.parametrize(
    ("rows_in_set", "fields", "share"),
    [
        (1, {}, 1 / 5),  # single rows: one in five where nothing is said
        (2, {}, 1 / 2),  # one row of each pair
        (3, {}, 1 / 3),  # the middle row of three
        (3, {"remove_every_row": 3}, 1 / 3),
        (2, {"remove_every_row": 5}, 1 / 5),  # a row here, a row there, whatever the sets
        (2, WHOLE_SETS, 1 / 3),  # both rows of every third pair
    ],
)
def test_rows_of_sets(rows_in_set: int, fields: dict[str, object], share: float) -> None:
    layout = row_sets(rows_in_set, 8.0, 8.0, 40.0) if rows_in_set > 1 else PLANTATION
    cut = Thinning.model_validate({"year": YEAR, "method": "rows", **fields})
    life = grow(planting(68.0, layout, 0.9, [cut]), YEAR)
    year, removable = life.years[-1], life.geometry.removable[0]
    planted = life.years[0].left.trees[0]  # a middle row loses a few more trees until then than those outside
    assert float(planted[removable].sum() / planted.sum()) == pytest.approx(share)
    assert not year.left.trees[0, removable].any()
    assert year.left.trees[0, ~removable] == pytest.approx(year.season_end.trees[0, ~removable])


def test_the_middle_row_of_three_goes_and_outer_rows_stay() -> None:
    life = grow(planting(68.0, row_sets(3, 8.0, 8.0, 40.0), 0.9, [Thinning(year=YEAR, method="rows")]), YEAR)
    assert life.geometry.removable[0].tolist() == [False, True, False]


def test_a_strip_takes_neighbours_of_one_set() -> None:
    cut = Thinning.model_validate({"year": YEAR, **WHOLE_SETS})
    geometry = grow(planting(68.0, row_sets(2, 8.0, 8.0, 40.0), 0.9, [cut]), 1).geometry
    first, second = geometry.offset_ft[0, geometry.removable[0]]
    assert second - first == pytest.approx(8.0), "the rows taken stand 8 ft apart: one set"


# From below -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "residual",
    [{"residual_trees_per_ac": 260.0}, {"residual_trees_per_ac": 320.0}, {"residual_basal_area_ft2_ac": 80.0}],
)
def test_thinning_from_below_takes_small_trees(residual: dict[str, float]) -> None:
    found = taken(PLANTATION, Thinning(year=YEAR, method="from below", **residual))
    assert 0.75 <= found.ratio <= 0.90
    assert found.grade_left > QUALITY.sawtimber_grade_share > found.grade_cut


@pytest.mark.parametrize("area", [60.0, 70.0, 80.0])
def test_every_fifth_row_and_then_from_below(area: float) -> None:
    cut = Thinning(year=YEAR, method="rows then below", remove_every_row=5, residual_basal_area_ft2_ac=area)
    found = taken(PLANTATION, cut)
    assert 0.88 <= found.ratio <= 0.95
    assert found.area_left == pytest.approx(area, rel=1e-6)
    assert found.grade_left > found.grade_cut


@pytest.mark.parametrize("method", ["from below", "rows then below", "marked"])
def test_a_thinning_leaves_the_trees_or_the_basal_area_asked_for(method: str) -> None:
    by_trees = taken(
        PLANTATION, Thinning.model_validate({"year": YEAR, "method": method, "residual_trees_per_ac": 230})
    )
    by_area = taken(
        PLANTATION, Thinning.model_validate({"year": YEAR, "method": method, "residual_basal_area_ft2_ac": 75})
    )
    assert by_trees.trees_left == pytest.approx(230.0, rel=1e-6)
    assert by_area.area_left == pytest.approx(75.0, rel=1e-6)


def test_more_rows_taken_leave_less_to_choose_from() -> None:
    cuts = [
        Thinning(year=YEAR, method="rows then below", remove_every_row=every, residual_basal_area_ft2_ac=70.0)
        for every in (7, 5, 4, 3)
    ]
    ratios = [taken(PLANTATION, cut).ratio for cut in cuts]
    assert ratios == sorted(ratios)
    below = taken(PLANTATION, Thinning(year=YEAR, residual_basal_area_ft2_ac=70.0)).ratio
    assert below < ratios[0]


# The operator -----------------------------------------------------------------------------------------------------


def test_the_operator_errs_in_ten_to_twenty_of_a_hundred_trees() -> None:
    # work sheet: 10-20 % random exchange, assumed
    assert 0.10 <= load_practice().marking.random_share <= 0.20


def test_an_operator_who_errs_more_takes_larger_trees() -> None:
    cut = Thinning(year=YEAR, residual_trees_per_ac=300.0)
    exact, usual, blind = (taken(square(600.0), cut, share).ratio for share in (0.0, 0.15, 1.0))
    assert exact < usual < blind
    assert blind == pytest.approx(1.0, rel=1e-9), "all at random: the mean tree"


def test_a_marked_thinning_errs_in_no_tree_and_leaves_better_stems() -> None:
    marked, usual = (
        taken(PLANTATION, Thinning.model_validate({"year": YEAR, "method": method, "residual_trees_per_ac": 300}))
        for method in ("marked", "from below")
    )
    assert marked.share == pytest.approx(usual.share)
    assert marked.grade_left >= usual.grade_left
