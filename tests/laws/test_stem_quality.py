"""Quality of the stems, source by source: what moves it in the stand moves the products of the next sale alike.

Each check grows the same plan with and without one source. No figure of ours is expected but those of the parameter
files and of the work sheet named beside it; directions are common knowledge of the trade.
"""

from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans import changed, example, fast, grown_fast, laid_out, plantation, scheduled
from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises.wood import pole_share
from simulator.events.planting import usual_grade_share
from simulator.parameters.ranges import moved, ranges_of
from simulator.parameters.species import load_genetics
from simulator.parameters.tables import load_tables
from simulator.parameters.wood import load_stem_quality
from simulator.physics.rust import sound_share
from simulator.physics.scars import LoggingDamage, grade_kept_share
from simulator.result import Outcome, run_batch
from simulator.scenario.events import Event
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Pruning, Thinning
from standing import idle, pines, stand_of

TABLES = load_tables("loblolly", "bahiagrass", "cattle")
DAMAGE = TABLES.practice.logging_damage
SECOND, FINAL = 24, 35
"""Sales of the packaged example that hold sawtimber."""
ROUNDING = 2e-3
"""Ends of stems too short for a last piece are left in the woods, so that tons differ a little by how they are cut."""


class Sale(NamedTuple):
    """What stood before a cut and what was sold of it, green tons per acre."""

    grade: float
    best: float
    lesser: float

    @property
    def total(self) -> float:
        """All tons sold."""
        return self.best + self.lesser


def sale(outcome: Outcome, year: int) -> Sale:
    tons = dict(zip(WOOD_PRODUCTS, outcome.wood_ton_ac[year].tolist(), strict=True))
    grade = float(outcome.states["sawtimber_grade_share"][year])
    return Sale(grade, tons["sawtimber"] + tons["pole"], tons["pulpwood"] + tons["chip_and_saw"])


def with_number(plan: Scenario, *path: str, value: float) -> Outcome:
    """The plan on the fast light path with one number of ours changed."""
    return run_batch([plan], precision="fast", tables=moved(TABLES, path, value))[0]


def check_moves(better: Outcome, worse: Outcome, *years: int) -> None:
    """Good stems make more sawtimber and poles of the same wood, at every sale."""
    for year in years:
        good, poor = sale(better, year), sale(worse, year)
        assert good.grade > poor.grade + 1e-4, year
        assert good.best > poor.best * 1.0001, year
        assert good.lesser < poor.lesser, year
        assert good.total == pytest.approx(poor.total, rel=ROUNDING), year
    for outcome in (better, worse):
        everything = outcome.states["standing_ton_ac"][FINAL]
        assert sale(outcome, FINAL).total == pytest.approx(everything, rel=ROUNDING)


# Seed -------------------------------------------------------------------------------------------------------------


def test_crooked_seed_makes_less_sawtimber_of_the_same_wood() -> None:
    # its slower growth is taken out, so that the same trees stand: a site index that makes up for it
    slower = load_genetics("poor").site_index_multiplier
    plain = changed(example(), "trees", site_index_ft=68.0)
    crooked = changed(example(), "trees", site_index_ft=68.0 / slower, genetics="poor")
    better, worse = grown_fast(plain, crooked)
    check_moves(better, worse, SECOND, FINAL)
    ratio = load_genetics("poor").sawtimber_grade_multiplier
    assert sale(worse, 1).grade == pytest.approx(ratio * sale(better, 1).grade)


# Rust -------------------------------------------------------------------------------------------------------------


def test_rust_that_kills_nothing_still_spoils_stems() -> None:
    rust = TABLES.tree.species.rust._replace(severe_death=0.0, other_death=0.0)
    tables = TABLES._replace(tree=TABLES.tree._replace(species=TABLES.tree.species._replace(rust=rust)))
    plans = [changed(example(), "trees", rust_infected_share=share) for share in (0.0, 0.5)]
    better, worse = run_batch(plans, precision="fast", tables=tables)
    check_moves(better, worse, SECOND, FINAL)
    assert sale(worse, 1).grade == pytest.approx(sale(better, 1).grade * float(sound_share(0.5, rust)))


def test_rust_as_it_is_kills_and_spoils() -> None:
    better, worse = grown_fast(
        *(changed(plantation(example()), "trees", rust_infected_share=share) for share in (0.0, 0.5))
    )
    assert worse.states["trees_per_ac"][14] < better.states["trees_per_ac"][14]
    assert sale(worse, 14).grade < sale(better, 14).grade
    for outcome in (better, worse):
        assert sale(outcome, 33).total == pytest.approx(outcome.states["standing_ton_ac"][33], rel=ROUNDING)
    good, poor = sale(better, 33), sale(worse, 33)
    assert poor.best / poor.total < good.best / good.total


# Storms -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["ice", "wind", "wildfire"])
def test_a_storm_that_only_bends_and_breaks_stems_is_felt_at_the_next_sale(kind: str) -> None:
    event = Event(year=20, kind=kind, trees_lost_share=0.0, stems_damaged_share=0.3)
    better, worse = grown_fast(example(), example().model_copy(update={"event": (event,)}))
    assert sale(worse, 20).grade == pytest.approx(0.7 * sale(better, 20).grade)
    assert worse.wood_ton_ac[20].sum() == 0.0, "what still stands is not sold as salvage"
    check_moves(better, worse, SECOND, FINAL)


def test_a_storm_leaves_fewer_poles_of_longleaf() -> None:
    plan = changed(scheduled(example(), 40), "trees", species="longleaf")
    event = Event(year=30, kind="wind", trees_lost_share=0.0, stems_damaged_share=0.4)
    better, worse = grown_fast(plan, plan.model_copy(update={"event": (event,)}))
    poles = [outcome.wood_ton_ac[40, WOOD_PRODUCTS.index("pole")] for outcome in (better, worse)]
    assert poles[0] > 1.0
    assert poles[1] == pytest.approx(0.6 * poles[0])


# Spacing ----------------------------------------------------------------------------------------------------------


def test_branches_of_the_open_side_cost_sawtimber() -> None:
    knots = with_number(example(), "quality", "knot_discount_open", value=0.25)
    clean = with_number(example(), "quality", "knot_discount_open", value=0.0)
    check_moves(clean, knots, SECOND, FINAL)


def test_a_tree_is_the_poorer_the_more_of_its_sides_face_an_alley() -> None:
    layouts = (
        {"alley_ft": 12.0},
        {"alley_ft": 42.0, "rows_in_set": 4, "row_gap_ft": 8.0},
        {"alley_ft": 42.0, "rows_in_set": 2, "row_gap_ft": 8.0},
        {"alley_ft": 42.0},
    )
    grades = [sale(fast(laid_out(example(), **layout)), 1).grade for layout in layouts]
    quality = load_stem_quality("loblolly")
    # both sides closed; a quarter of all sides open in sets of four rows; half in pairs; both sides of single rows
    wanted = [quality.sawtimber_grade_share - quality.knot_discount_open * share for share in (0.0, 0.25, 0.5, 1.0)]
    assert grades == pytest.approx(wanted)


# Pruning ----------------------------------------------------------------------------------------------------------


def test_pruning_wins_back_the_butt_log() -> None:
    lifts = (Pruning(year=6, height_ft=8.0), Pruning(year=11, height_ft=17.0))
    worse, better = grown_fast(example(), example().model_copy(update={"pruning": lifts}))
    check_moves(better, worse, SECOND, FINAL)
    assert sale(better, 16).grade <= TABLES.quality.sawtimber_grade_share + 1e-9, "no more than a closed stand has"


# Scars of thinning ------------------------------------------------------------------------------------------------


def test_trees_scarred_in_a_thinning_make_less_sawtimber_at_the_next_sale() -> None:
    clean, scarred, rough = (
        with_number(example(), "practice", "logging_damage", "scarred_share", value=share)
        for share in (0.0, DAMAGE.scarred_share, 0.10)
    )
    np.testing.assert_allclose(clean.wood_ton_ac[:17], scarred.wood_ton_ac[:17], rtol=1e-12)
    check_moves(clean, scarred, SECOND, FINAL)
    check_moves(scarred, rough, SECOND, FINAL)
    np.testing.assert_allclose(clean.states["trees_per_ac"], rough.states["trees_per_ac"], rtol=1e-12)


def test_where_nothing_is_cut_nobody_scars_a_tree() -> None:
    plan = scheduled(example(), 30)
    clean = with_number(plan, "practice", "logging_damage", "scarred_share", value=0.0)
    np.testing.assert_array_equal(fast(plan).states["sawtimber_grade_share"], clean.states["sawtimber_grade_share"])


def test_a_thinning_that_nobody_buys_scars_no_tree() -> None:
    small = changed(example(), "land", acres=5.0)
    states = fast(small).states
    assert states["no_bid"][16] == 1.0
    assert states["sawtimber_grade_share"][17] == pytest.approx(states["sawtimber_grade_share"][16], rel=1e-3)


def test_alleys_halve_the_scars() -> None:
    # work sheet: 6 % of leave trees scarred, a third of them lose their grade, half as many where there are alleys
    closed, beside_alley = grade_kept_share(np.array([0.0, 1.0]), DAMAGE)
    assert closed == pytest.approx(1.0 - 0.06 / 3.0, abs=5e-4)
    assert beside_alley == pytest.approx(1.0 - 0.03 / 3.0, abs=5e-4)


@pytest.mark.parametrize("published", [0.08, 0.10])
def test_published_shares_of_scarred_trees_lie_in_the_range(published: float) -> None:
    # 8 % of residual loblolly (Forests 11:731), 10 % where rows were taken by machine (Forests 15:794); abstracts
    ids = {"trees": "loblolly", "grasses": "bahiagrass", "animals": "cattle"}
    path = ("practice", "logging_damage", "scarred_share")
    (found,) = (each for each in ranges_of(TABLES, ids) if each.path == path)
    assert found.low <= published <= found.high


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_scars_never_improve_a_stand(scarred: float, downgraded: float, factor: float, room: float) -> None:
    kept = float(grade_kept_share(room, LoggingDamage(scarred, downgraded, factor)))
    assert 0.0 <= kept <= 1.0
    assert kept >= 1.0 - scarred * downgraded - 1e-12


# A stand that is found, and poles ---------------------------------------------------------------------------------


def test_seed_and_rust_of_a_stand_that_is_found_lower_the_grade_nobody_cruised() -> None:
    unsaid = idle(pines().model_copy(update={"stand": stand_of(18, [(6.0, 200.0), (9.0, 200.0)])}), 20)
    sick, crooked = (changed(unsaid, "trees", **said) for said in ({"rust_infected_share": 0.5}, {"genetics": "poor"}))
    usual, rusty, poor = (sale(outcome, 0).grade for outcome in grown_fast(unsaid, sick, crooked))
    assert rusty == pytest.approx(usual * float(sound_share(0.5, TABLES.tree.species.rust)))
    assert poor == pytest.approx(usual * load_genetics("poor").sawtimber_grade_multiplier)
    lines = tuple(line.model_copy(update={"sawtimber_grade_share": 0.6}) for line in unsaid.stand.dbh_class)  # type: ignore[union-attr]
    assert sale(fast(changed(sick, "stand", dbh_class=lines)), 0).grade == pytest.approx(0.6), "what was cruised counts"


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.sampled_from([0.0, 0.5, 1.0]))
def test_poles_are_never_more_than_the_good_stems_nor_than_their_share(low: float, high: float, sides: float) -> None:
    low, high = sorted((low, high))
    for species in ("loblolly", "longleaf", "slash", "shortleaf"):
        quality, open_sides = load_stem_quality(species), np.array([sides])
        few, many = (float(pole_share(np.array([[grade]]), open_sides, quality)[0, 0]) for grade in (low, high))
        most = quality.pole_share_open if sides else quality.pole_share_closed
        assert few <= many <= most + 1e-12
        assert few <= low + 1e-12
        usual = usual_grade_share(open_sides, quality)[:, None]
        assert pole_share(usual, open_sides, quality) == pytest.approx(most)


# Marking ----------------------------------------------------------------------------------------------------------


def test_a_thinning_that_takes_the_poor_first_leaves_the_better_stems() -> None:
    clean = with_number(example(), "practice", "logging_damage", "scarred_share", value=0.0)
    by_rows = scheduled(example(), FINAL, Thinning(year=16, method="rows"))
    rows = with_number(by_rows, "practice", "logging_damage", "scarred_share", value=0.0)
    assert sale(clean, 17).grade > sale(clean, 16).grade
    assert sale(rows, 17).grade == pytest.approx(sale(rows, 16).grade), "rows take good and poor alike"
