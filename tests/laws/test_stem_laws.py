"""Laws of stems and their products that hold for every tree and every market."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from simulator.enterprises.poles import best_pole
from simulator.enterprises.products import PRODUCTS, merchantable_ton, pieces, product_tons
from simulator.enterprises.sawlogs import board_feet
from simulator.enterprises.stems import (
    diameter_inside_bark_in,
    diameter_outside_bark_in,
    green_ton_below,
    height_to_top_diameter_ft,
    measured_stems,
)
from simulator.parameters.wood import Wood, load_wood
from simulator.physics.stem import green_ton, volume_inside_bark_ft3, volume_outside_bark_ft3
from simulator.units import BASAL_AREA_FT2_PER_IN2

WOODS = st.sampled_from([load_wood("loblolly", natural=natural) for natural in (False, True)])
DBH_IN = st.floats(5.0, 25.0)
SLENDERNESS_FT_IN = st.floats(3.5, 8.0)
SHARE = st.floats(0.0, 1.0)
PULPWOOD, CHIP_AND_SAW, SAWTIMBER, POLE = range(4)


def tall(dbh: float, slenderness: float) -> float:
    return min(dbh * slenderness, 130.0)


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS)
def test_stem_only_tapers_and_wood_lies_within_bark(dbh: float, slenderness: float, wood: Wood) -> None:
    height = tall(dbh, slenderness)
    stems = measured_stems(dbh, height, wood.stem)
    at = np.linspace(0.5, 0.999 * height, 400)
    outside, inside = diameter_outside_bark_in(at, stems), diameter_inside_bark_in(at, stems)
    assert np.all(np.diff(outside) <= 1e-12)
    assert np.all(np.diff(inside) <= 1e-12)
    assert np.all(inside < outside)
    assert diameter_outside_bark_in(4.5, stems) == pytest.approx(dbh, rel=1e-12)
    assert diameter_outside_bark_in(height + 1.0, stems) == 0.0


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS, st.floats(1.0, 12.0), st.sampled_from(["outside", "inside"]))
def test_top_diameter_is_found_where_it_is(dbh: float, slenderness: float, wood: Wood, top: float, bark: str) -> None:
    stems = measured_stems(dbh, tall(dbh, slenderness), wood.stem)
    at = height_to_top_diameter_ft(top, stems, inside_bark=bark == "inside")
    assume(at > 0.5)
    diameter = diameter_inside_bark_in(at, stems) if bark == "inside" else diameter_outside_bark_in(at, stems)
    assert diameter == pytest.approx(top, abs=1e-4)


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS)
def test_volume_is_what_the_untied_taper_encloses(dbh: float, slenderness: float, wood: Wood) -> None:
    """Above the tie to dbh, basal area times length summed up the stem is the volume ratio's volume."""
    height = tall(dbh, slenderness)
    assume(height > 25.0)
    stems = measured_stems(dbh, height, wood.stem)
    edges = np.linspace(17.3, height, 4001)
    basal = BASAL_AREA_FT2_PER_IN2 * diameter_outside_bark_in(0.5 * (edges[1:] + edges[:-1]), stems) ** 2
    summed = float((basal * np.diff(edges)).sum())
    both = wood.weight._replace(wood_lb_ft3=2000.0, bark_lb_ft3=2000.0)
    above = float(green_ton_below(height, stems, both) - green_ton_below(17.3, stems, both))
    assert summed == pytest.approx(above, rel=1e-4)


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS)
def test_stump_pieces_and_tip_make_the_whole_stem(dbh: float, slenderness: float, wood: Wood) -> None:
    height = tall(dbh, slenderness)
    stems = measured_stems(dbh, height, wood.stem)
    cut = pieces(dbh, height, wood)
    heights = [0.0, wood.specs.stump_ft, *(piece.to_ft for piece in cut), height]
    left = [
        green_ton_below(high, stems, wood.weight) - green_ton_below(low, stems, wood.weight)
        for low, high in ((heights[0], heights[1]), (heights[-2], heights[-1]))
    ]
    whole = float(green_ton(dbh, height, wood.stem, wood.weight))
    assert sum(piece.green_ton for piece in cut) + float(sum(left)) == pytest.approx(whole, rel=1e-12)
    assert all(low.to_ft == high.from_ft for low, high in itertools.pairwise(cut))


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS, st.floats(1.0, 1.2), st.floats(1.0, 1.2))
def test_a_bigger_tree_holds_no_less(dbh: float, slenderness: float, wood: Wood, wider: float, taller: float) -> None:
    height = tall(dbh, slenderness)
    small = float(green_ton(dbh, height, wood.stem, wood.weight))
    assert green_ton(dbh * wider, height * taller, wood.stem, wood.weight) >= small
    assert merchantable_ton(dbh * wider, height * taller, wood) >= merchantable_ton(dbh, height, wood) - 1e-9


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS, SHARE, SHARE)
def test_products_never_exceed_the_merchantable_stem(
    dbh: float, slenderness: float, wood: Wood, grade: float, pole: float
) -> None:
    height = tall(dbh, slenderness)
    tons = product_tons(dbh, height, grade, pole, wood)
    sold = float(merchantable_ton(dbh, height, wood))
    assert tons.shape == (len(PRODUCTS),)
    assert np.all(tons >= 0.0)
    assert tons.sum() <= sold + 1e-9
    assert sold < green_ton(dbh, height, wood.stem, wood.weight)
    # only a piece of top shorter than pulpwood is ever left in the wood
    stems = measured_stems(dbh, height, wood.stem)
    top = height_to_top_diameter_ft(wood.specs.pulpwood.minimum_top_in, stems)
    short = top - wood.specs.pulpwood.minimum_length_ft
    lost = green_ton_below(top, stems, wood.weight) - green_ton_below(np.maximum(short, 0.5), stems, wood.weight)
    assert tons.sum() >= sold - float(lost) - 1e-9


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS, SHARE, SHARE)
def test_better_stems_never_make_less_sawtimber_or_more_pulpwood(
    dbh: float, slenderness: float, wood: Wood, grade: float, better: float
) -> None:
    low, high = sorted((grade, better))
    height = tall(dbh, slenderness)
    poor, good = (product_tons(dbh, height, share, 0.0, wood) for share in (low, high))
    assert good[SAWTIMBER] >= poor[SAWTIMBER] - 1e-12
    assert good[PULPWOOD] <= poor[PULPWOOD] + 1e-12


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS)
def test_pieces_and_tons_agree(dbh: float, slenderness: float, wood: Wood) -> None:
    height = tall(dbh, slenderness)
    listed = dict.fromkeys(PRODUCTS, 0.0)
    for piece in pieces(dbh, height, wood):
        listed[piece.product] += piece.green_ton
    np.testing.assert_allclose(product_tons(dbh, height, 1.0, 0.0, wood), list(listed.values()), atol=1e-12)


def failing_split(dbh: float, height: float, grade: float, wood: Wood) -> np.ndarray:
    """The shares of failing stems, told by taking products off the market one after another."""
    none = wood.specs.sawtimber._replace(minimum_dbh_in=math.inf)
    no_sawtimber = wood._replace(specs=wood.specs._replace(sawtimber=none))
    only_pulpwood = no_sawtimber._replace(specs=no_sawtimber.specs._replace(chip_and_saw=none))
    passing, second, last = (
        product_tons(dbh, height, 1.0, 0.0, market) for market in (wood, no_sawtimber, only_pulpwood)
    )
    return grade * passing + 0.5 * (1.0 - grade) * (second + last)


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS, SHARE)
def test_failing_stems_split_in_halves(dbh: float, slenderness: float, wood: Wood, grade: float) -> None:
    height = tall(dbh, slenderness)
    np.testing.assert_allclose(
        product_tons(dbh, height, grade, 0.0, wood), failing_split(dbh, height, grade, wood), atol=1e-12
    )


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS, SHARE, SHARE)
def test_poles_come_out_of_the_good_stems(
    dbh: float, slenderness: float, wood: Wood, grade: float, share: float
) -> None:
    height = tall(dbh, slenderness)
    pole = best_pole(dbh, height, wood)
    tons = product_tons(dbh, height, grade, share, wood)
    stems = measured_stems(dbh, height, wood.stem)
    if pole is None:
        assert tons[POLE] == 0.0
        return
    top = wood.specs.stump_ft + pole.length_ft + wood.specs.poles.limits.trim_ft
    one = green_ton_below(top, stems, wood.weight) - green_ton_below(wood.specs.stump_ft, stems, wood.weight)
    assert tons[POLE] == pytest.approx(min(grade, share) * float(one), abs=1e-12)
    without = product_tons(dbh, height, grade, 0.0, wood)
    lost = product_tons(dbh, height, 1.0, 0.0, wood)[SAWTIMBER]
    assert tons[SAWTIMBER] == pytest.approx(without[SAWTIMBER] - min(grade, share) * lost, abs=1e-12)


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS)
def test_a_pole_meets_its_class_and_no_better_one(dbh: float, slenderness: float, wood: Wood) -> None:
    height = tall(dbh, slenderness)
    pole = best_pole(dbh, height, wood)
    assume(pole is not None)
    assert pole is not None
    table = wood.specs.poles
    stems = measured_stems(dbh, height, wood.stem)
    girth, top = (
        math.pi * float(diameter_inside_bark_in(wood.specs.stump_ft + at, stems)) for at in (6.0, pole.length_ft)
    )

    def fits(length: float, number: int) -> bool:
        least = table.girth_in[table.length_ft.index(length)][number - 1]
        return least > 0.0 and girth >= least and top >= table.top_in[number - 1]

    assert fits(pole.length_ft, pole.number)
    assert not any(fits(pole.length_ft, better) for better in range(1, pole.number))


def walked(dbh: float, height: float, wood: Wood) -> np.ndarray:
    """Tons by product found by walking up the stem a foot at a time with a tape, no inverse of the taper."""
    stems = measured_stems(dbh, height, wood.stem)
    specs = wood.specs
    tons, start = np.zeros(len(PRODUCTS)), specs.stump_ft
    for product, spec in ((SAWTIMBER, specs.sawtimber), (CHIP_AND_SAW, specs.chip_and_saw)):
        length = 0
        while diameter_outside_bark_in(start + length + 1, stems) >= spec.minimum_top_in:
            length += 1
        if length >= spec.minimum_length_ft and dbh >= spec.minimum_dbh_in:
            below, above = (green_ton_below(at, stems, wood.weight) for at in (start, start + length))
            tons[product], start = above - below, start + length
    return tons


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS)
def test_priority_is_what_a_tape_on_the_stem_would_cut(dbh: float, slenderness: float, wood: Wood) -> None:
    height = tall(dbh, slenderness)
    tons = product_tons(dbh, height, 1.0, 0.0, wood)
    np.testing.assert_allclose(tons[1:], walked(dbh, height, wood)[1:], atol=1e-9)


@given(st.integers(0, 2**32 - 1), WOODS)
def test_a_batch_is_its_trees(seed: int, wood: Wood) -> None:
    random = np.random.default_rng(seed)
    dbh = random.uniform(0.0, 25.0, (3, 4))
    height = dbh * random.uniform(3.5, 8.0, (3, 4))
    grade, pole = random.uniform(0.0, 1.0, (3, 1)), random.uniform(0.0, 1.0, 4)
    tons = product_tons(dbh, height, grade, pole, wood)
    assert tons.shape == (3, 4, len(PRODUCTS))
    for row in range(3):
        for column in range(4):
            tree = (dbh[row, column], height[row, column])
            alone = product_tons(*tree, grade[row, 0], pole[column], wood)
            np.testing.assert_allclose(tons[row, column], alone, atol=1e-12)
            np.testing.assert_allclose(merchantable_ton(dbh, height, wood)[row, column], merchantable_ton(*tree, wood))


@given(DBH_IN, SLENDERNESS_FT_IN, WOODS)
def test_board_feet_only_of_sawtimber(dbh: float, slenderness: float, wood: Wood) -> None:
    height = tall(dbh, slenderness)
    feet = board_feet(dbh, height, wood)
    if dbh < wood.specs.sawtimber.minimum_dbh_in:
        assert all(rule == 0.0 for rule in feet)
    # twelve board feet are a cubic foot, and no log saws out whole
    assert feet.international_quarter_inch <= 12.0 * volume_inside_bark_ft3(dbh, height, wood.stem)
    assert feet.doyle <= feet.international_quarter_inch or dbh > 20.0


def test_no_tree_holds_nothing() -> None:
    wood = load_wood("loblolly", natural=False)
    nothing = np.zeros(3)
    assert np.all(product_tons(nothing, nothing, 0.75, 0.05, wood) == 0.0)
    assert np.all(merchantable_ton(nothing, nothing, wood) == 0.0)
    assert np.all(volume_outside_bark_ft3(nothing, nothing, wood.stem) == 0.0)
    assert pieces(1.0, 8.0, wood) == []
