"""Laws of growing and thinning that hold for every layout, site and thinning."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from growing import LOBLOLLY, QUALITY, Life, Way, Year, grow, planting, row_sets, square
from simulator.events.planting import pruned
from simulator.events.thinning import felled
from simulator.physics.crown import open_grown_width_ft
from simulator.physics.diameter import dbh_increment_in, open_grown_dbh_in
from simulator.physics.height import dominant_height_ft, relative_height
from simulator.physics.survival import surviving_share
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Layout, Thinning
from simulator.state import (
    Stand,
    basal_area_ft2_ac,
    class_dbh_in,
    class_trees,
    mean_height_ft,
    quadratic_mean_dbh_in,
    trees_per_ac,
)

few = settings(max_examples=30, deadline=None)
YEARS = 26
THIN_YEAR = 15
SITE_INDEX_FT = st.floats(50.0, 85.0)
SURVIVAL = st.floats(0.7, 1.0)
RANDOM_SHARE = st.floats(0.0, 0.4)


@st.composite
def layouts(draw: st.DrawFn) -> Layout:
    rows = draw(st.integers(1, 4))
    gap, in_row = draw(st.floats(5.0, 14.0)), draw(st.floats(4.0, 16.0))
    alley = draw(st.floats(gap, 80.0))
    return row_sets(rows, gap, in_row, alley)


@st.composite
def thinnings(draw: st.DrawFn) -> list[Thinning]:
    """A first thinning of any kind, and maybe a second from below."""
    method = draw(st.sampled_from(["from below", "rows", "rows then below"]))
    left = {} if method == "rows" else {"residual_trees_per_ac": draw(st.floats(20.0, 400.0))}
    cuts = [Thinning(year=THIN_YEAR, method=method, **left)]
    if draw(st.booleans()):
        cuts.append(Thinning(year=THIN_YEAR + 6, residual_basal_area_ft2_ac=draw(st.floats(20.0, 100.0))))
    return cuts


@st.composite
def lives(draw: st.DrawFn) -> Life:
    scenario = planting(draw(SITE_INDEX_FT), draw(layouts()), draw(SURVIVAL), draw(thinnings()))
    return grow(scenario, YEARS, Way(random_share=draw(RANDOM_SHARE)))


def thinned_once(scenario: Scenario, random_share: float = 0.15) -> tuple[Life, Year]:
    life = grow(scenario, THIN_YEAR, Way(random_share=random_share))
    return life, life.years[THIN_YEAR]


@few
@given(lives())
def test_every_planted_tree_stands_or_was_cut_or_died(life: Life) -> None:
    planted = trees_per_ac(life.years[0].left)
    dead, cut = np.zeros(1), np.zeros(1)
    for before, year in zip(life.years, life.years[1:], strict=False):
        died = before.left.trees - year.season_end.trees
        assert np.all(died >= -1e-12)
        np.testing.assert_allclose(class_trees(year.season_end) - class_trees(year.left), year.cut.trees, atol=1e-9)
        dead, cut = dead + died.sum(), cut + year.cut.trees.sum()
    last = life.years[-1].left
    np.testing.assert_allclose(planted, trees_per_ac(last) + cut + dead, rtol=1e-12)
    np.testing.assert_allclose(felled(last, np.array([True])).trees, class_trees(last))


@few
@given(lives())
def test_no_row_grows_thinner_unless_it_is_taken(life: Life) -> None:
    for before, year in zip(life.years, life.years[1:], strict=False):
        standing = before.left.alive[0]
        assert np.all(year.season_end.dbh_in[0, standing] >= before.left.dbh_in[0, standing])
        stays = year.left.alive[0]
        assert np.all(year.left.dbh_in[0, stays] >= year.season_end.dbh_in[0, stays] - 1e-9)


@few
@given(SITE_INDEX_FT, layouts(), SURVIVAL, st.floats(0.05, 1.2), RANDOM_SHARE)
def test_thinning_from_below_leaves_the_number_asked_for(
    site_index: float, layout: Layout, survival: float, share: float, random_share: float
) -> None:
    standing = grow(planting(site_index, layout, survival), THIN_YEAR).trees(THIN_YEAR)
    wanted = share * standing
    cut = Thinning(year=THIN_YEAR, residual_trees_per_ac=wanted)
    _, year = thinned_once(planting(site_index, layout, survival, [cut]), random_share)
    assert trees_per_ac(year.left)[0] == pytest.approx(min(wanted, standing), rel=1e-9)
    assert quadratic_mean_dbh_in(year.left)[0] >= quadratic_mean_dbh_in(year.season_end)[0] - 1e-9
    assert basal_area_ft2_ac(year.left)[0] <= basal_area_ft2_ac(year.season_end)[0] + 1e-9
    assert year.left.thinnings[0] == (wanted < standing)


@few
@given(SITE_INDEX_FT, layouts(), st.floats(0.05, 1.5), RANDOM_SHARE)
def test_thinning_leaves_the_basal_area_asked_for(
    site_index: float, layout: Layout, share: float, random_share: float
) -> None:
    standing = grow(planting(site_index, layout), THIN_YEAR).basal_area(THIN_YEAR)
    wanted = min(share * standing, 300.0)
    cut = Thinning(year=THIN_YEAR, residual_basal_area_ft2_ac=wanted)
    _, year = thinned_once(planting(site_index, layout, thinning=[cut]), random_share)
    assert basal_area_ft2_ac(year.left)[0] == pytest.approx(min(wanted, standing), abs=0.1)
    if share >= 1.0:
        assert not year.cut.trees.any(), "nothing is cut where the stand is below the area asked for"


def test_thinning_that_leaves_nothing_leaves_nothing() -> None:
    # a scenario file may not say 0; a residual that rounds to nothing must not divide by it either
    cut = Thinning(year=THIN_YEAR, residual_trees_per_ac=5e-324)
    life = grow(planting(65.0, square(500), thinning=[cut]), THIN_YEAR + 3)
    year = life.years[THIN_YEAR]
    assert year.cut.trees.sum() == pytest.approx(trees_per_ac(year.season_end)[0])
    for stand in (year.left, life.years[-1].left):
        assert trees_per_ac(stand)[0] == basal_area_ft2_ac(stand)[0] == 0.0
        assert np.all(np.isfinite(stand.size))


@few
@given(SITE_INDEX_FT, layouts(), st.integers(2, 7))
def test_row_removal_takes_the_marked_rows_whole(site_index: float, layout: Layout, every: int) -> None:
    cut = Thinning(year=THIN_YEAR, method="rows", remove_every_row=every)
    life, year = thinned_once(planting(site_index, layout, thinning=[cut]))
    before, after, marked = year.season_end, year.left, life.geometry.removable
    assert marked.sum() / life.geometry.planted.sum() == pytest.approx(1.0 / every)
    assert np.all(after.trees[marked] == 0.0)
    assert not after.alive[marked].any()
    for name in ("trees", "dbh_in", "size", "share", "grade", "across_ft", "crown_base_ft"):
        kept, stood = getattr(after, name)[~marked], getattr(before, name)[~marked]
        np.testing.assert_allclose(kept, stood, rtol=1e-12)


@few
@given(lives())
def test_thinning_changes_no_stem_that_stays(life: Life) -> None:
    for year in life.years[1:]:
        there = class_trees(year.left) > 1e-9
        np.testing.assert_allclose(class_dbh_in(year.left)[there], class_dbh_in(year.season_end)[there], rtol=1e-9)
        np.testing.assert_array_equal(year.left.tallness, year.season_end.tallness)


@few
@given(lives())
def test_the_smaller_the_class_the_more_of_it_goes(life: Life) -> None:
    year = life.years[THIN_YEAR]
    rows = year.left.alive[0] & (year.left.trees[0] > 0)
    stood, cut = class_trees(year.season_end)[0, rows], year.cut.trees[0, rows]
    assert np.all(np.diff(cut / stood, axis=1) <= 1e-9)


@few
@given(lives())
def test_good_stems_are_conserved_in_a_thinning(life: Life) -> None:
    for year in life.years:
        for grade in (year.season_end.grade, year.left.grade, year.cut.grade):
            assert np.all((grade >= 0.0) & (grade <= 1.0))
        good = class_trees(year.season_end) * year.season_end.grade
        kept, gone = class_trees(year.left) * year.left.grade, year.cut.trees * year.cut.grade
        np.testing.assert_allclose(good, kept + gone, atol=1e-7)
        there = class_trees(year.left) > 1e-9
        assert np.all(year.left.grade[there] >= year.season_end.grade[there] - 1e-9)


def alone(stand: Stand) -> np.ndarray:
    """Half crown widths [ft] that dbh and height would allow a tree with no neighbour, the two apart."""
    crown = LOBLOLLY.crown
    by_height = crown.widest_share_of_height * mean_height_ft(stand) / 2.0
    return np.stack([open_grown_width_ft(stand.dbh_in, crown) / 2.0, by_height])


@few
@given(lives())
def test_crowns_do_not_jump_and_their_base_never_falls(life: Life) -> None:
    for before, year in zip(life.years, life.years[1:], strict=False):
        old, new = before.left, year.season_end
        rows = new.alive[0]
        most = np.maximum((alone(new) - alone(old)).max(axis=0), LOBLOLLY.crown.radius_growth_ft_yr)[0, rows]
        for was, became in ((old.across_ft, new.across_ft), (old.along_ft, new.along_ft)):
            grown = (became - was)[0, rows]
            assert np.all((grown >= 0.0) & (grown <= most + 1e-9))
        assert np.all(new.crown_base_ft[0, rows] >= old.crown_base_ft[0, rows])
        assert np.all(new.crown_base_ft[0, rows] < mean_height_ft(new)[0, rows])
        np.testing.assert_array_equal(year.left.across_ft, new.across_ft)
        np.testing.assert_array_equal(year.left.crown_base_ft, new.crown_base_ft)


@few
@given(SITE_INDEX_FT, st.floats(100.0, 900.0), st.floats(30.0, 300.0))
def test_a_square_planting_has_no_direction(site_index: float, planted: float, left: float) -> None:
    cut = Thinning(year=THIN_YEAR, residual_trees_per_ac=left)
    life = grow(planting(site_index, square(planted), thinning=[cut]), 35)
    for year in life.years:
        np.testing.assert_allclose(year.left.across_ft, year.left.along_ft, rtol=1e-9)


def test_crowns_fill_the_room_that_a_thinning_leaves() -> None:
    """Twenty years after a heavy cut a tree is as wide as dbh and crowding say, not as its planting row was."""
    cut = Thinning(year=THIN_YEAR, residual_trees_per_ac=75.0)
    life = grow(planting(68.0, square(680), thinning=[cut]), 35)
    stand = life.years[35].left
    free = grow(planting(68.0, square(75)), 35).years[35].left
    assert stand.across_ft[0, 0] > 0.8 * free.across_ft[0, 0]


@few
@given(SITE_INDEX_FT, layouts(), st.floats(4.0, 20.0), st.floats(20.0, 300.0))
def test_pruning_lifts_crowns_and_grade(site_index: float, layout: Layout, height: float, trees: float) -> None:
    life = grow(planting(site_index, layout), 12)
    before = life.years[12].left
    after = pruned(before, life.geometry, np.array([height]), np.array([trees]), QUALITY)
    assert np.all(after.crown_base_ft >= before.crown_base_ft)
    assert np.all(after.crown_base_ft <= np.maximum(before.crown_base_ft, before.height_ft[0] / 2.0) + 1e-9)
    assert np.all((after.grade >= before.grade) & (after.grade <= 1.0))
    again = pruned(after, life.geometry, np.array([height]), np.array([trees]), QUALITY)
    np.testing.assert_allclose(again.grade, after.grade, err_msg="the same lift twice earns nothing more")


@settings(max_examples=8, deadline=None)
@given(st.lists(st.tuples(SITE_INDEX_FT, layouts(), SURVIVAL, thinnings()), min_size=5, max_size=5))
def test_candidates_of_a_batch_leave_one_another_alone(
    drawn: list[tuple[float, Layout, float, list[Thinning]]],
) -> None:
    scenarios = [planting(*each) for each in drawn]
    together = grow(scenarios, YEARS).years
    for number, scenario in enumerate(scenarios):
        single = grow(scenario, YEARS)
        rows = single.geometry.offset_ft.shape[1]
        for both, one in zip(together, single.years, strict=True):
            for name in Stand.__dataclass_fields__:
                ours, alone_ = getattr(both.left, name)[number], getattr(one.left, name)[0]
                ours = ours[:rows] if ours.ndim else ours
                np.testing.assert_allclose(ours, alone_, rtol=1e-12, atol=1e-12, err_msg=name)
            np.testing.assert_allclose(both.cut.trees[number, :rows], one.cut.trees[0], rtol=1e-12, atol=1e-9)
            assert not both.left.trees[number, rows:].any()


@few
@given(SITE_INDEX_FT, layouts(), SURVIVAL)
def test_survival_is_the_share_alive_after_the_first_year(site_index: float, layout: Layout, survival: float) -> None:
    life = grow(planting(site_index, layout, survival), 2)
    assert life.trees(1) == pytest.approx(survival * life.trees(0), rel=1e-12)
    assert life.trees(2) < life.trees(1)


@few
@given(SITE_INDEX_FT, layouts())
def test_trees_stay_within_what_the_site_can_carry(site_index: float, layout: Layout) -> None:
    """No thicker than an open-grown tree, no denser than full self-thinning."""
    life = grow(planting(site_index, layout), 40)
    for age in range(8, 41):
        stand = life.years[age].left
        assert np.all(stand.dbh_in <= open_grown_dbh_in(life.height(age), age, LOBLOLLY.diameter))
        index = trees_per_ac(stand)[0] * (quadratic_mean_dbh_in(stand)[0] / 10.0) ** LOBLOLLY.diameter.sdi_power
        assert index < LOBLOLLY.diameter.sdi_maximum


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 4.0), st.floats(0.5, 1.1), st.floats(1.0, 20.0))
def test_crowding_slows_growth_and_costs_lives(
    one: float, other: float, height_growth: float, culture: float, dbh: float
) -> None:
    low, high = sorted((one, other))
    steps = [float(dbh_increment_in(height_growth, rd, culture, LOBLOLLY.diameter)) for rd in (low, high)]
    assert 0.0 < steps[1] <= steps[0]
    alive = [float(surviving_share(rd, dbh, dbh + 0.4, LOBLOLLY.survival)) for rd in (low, high)]
    assert 0.0 < alive[1] <= alive[0] < 1.0


@given(SITE_INDEX_FT, SITE_INDEX_FT, st.integers(0, 59))
def test_height_rises_with_age_and_site(one: float, other: float, age: int) -> None:
    low, high = sorted((one, other))
    now, later = (dominant_height_ft(low, year, LOBLOLLY.height) for year in (age, age + 1))
    assert now < later
    assert now <= dominant_height_ft(high, age, LOBLOLLY.height)
    assert dominant_height_ft(low, 25, LOBLOLLY.height) == pytest.approx(low, rel=1e-12)
    assert dominant_height_ft(low, 0, LOBLOLLY.height) == 0.0


@given(st.floats(0.3, 2.5), st.floats(0.3, 2.5))
def test_thicker_trees_are_taller(one: float, other: float) -> None:
    low, high = sorted((one, other))
    short, tall = (float(relative_height(size, LOBLOLLY.height_by_diameter)) for size in (low, high))
    assert 0.0 < short <= tall < 1.2
