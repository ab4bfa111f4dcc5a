"""Species beside loblolly against figures from outside the project; each source stands in the TOML beside it."""

import runpy
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from growing import Way, grow, planting, square
from recording import agree, between, same
from simulator.enterprises.poles import best_pole
from simulator.enterprises.products import PRODUCTS, product_tons
from simulator.enterprises.stems import (
    diameter_inside_bark_in,
    green_ton_below,
    height_to_top_diameter_ft,
    measured_stems,
)
from simulator.events.height import dominant_height_of_species_ft
from simulator.events.site import Site
from simulator.parameters.growth import load_tree
from simulator.parameters.pasture import load_straw
from simulator.parameters.species import load_species
from simulator.parameters.wood import load_wood
from simulator.physics.height import (
    CarmeanHeight,
    dominant_height_carmean_ft,
    dominant_height_pienaar_ft,
    emerged_share,
)
from simulator.physics.height.carmean import natural_height_carmean_ft
from simulator.physics.nuts import nut_yield_lb_ac
from simulator.physics.rust import rust_dead_share, rust_surviving_share, sound_share
from simulator.physics.stem import volume_inside_bark_ft3
from simulator.physics.straw import straw_yield_lb_ac
from simulator.units import FEET_PER_METRE, POUNDS_PER_TON, FloatArray

ROOT = Path(__file__).parents[2]
CHECKS = tomllib.loads((Path(__file__).parent / "species.toml").read_text(encoding="utf-8"))


def curve(species: str) -> CarmeanHeight:
    form = load_species(species).forms.natural
    assert form is not None
    return form


def height_ft(species: str, site_index_ft: float, age: int, *, cutover: bool = False, weeded: bool = True) -> float:
    """Height by the form of the file, site index in its own base age."""
    one = np.ones(1)
    site = Site(one * site_index_ft, one, one, one, np.array([cutover]), np.array([weeded]))
    return float(dominant_height_of_species_ft(site, np.array([age]), load_tree(species))[0])


def test_natural_height() -> None:
    check = CHECKS["natural_height"]
    long, short = check["longleaf"], check["shortleaf"]
    ours = natural_height_carmean_ft(long["site_index_ft"], np.array(long["age_yr"]), curve("longleaf"))
    agree("height of longleaf [ft]", ours, long["height_ft"], check, within=check["tolerance_ft"])
    forced = dominant_height_carmean_ft(short["site_index_ft"], np.array(short["age_yr"]), 0.0, curve("shortleaf"))
    agree("height of shortleaf [ft]", forced, short["height_ft"], check, within=check["tolerance_ft"])


@pytest.mark.parametrize("species", ["longleaf", "shortleaf"])
def test_site_index_is_returned_at_fifty(species: str) -> None:
    check = CHECKS["site_index_returned"]
    site = np.array(check["site_index_ft"])
    natural = natural_height_carmean_ft(site, 50.0, curve(species))
    agree("site index is returned at fifty", natural, site, check, within=check["tolerance_ft"])
    np.testing.assert_allclose(dominant_height_carmean_ft(site, 50.0, 0.0, curve(species)), site, rtol=1e-12)


def test_shifted_height_of_longleaf() -> None:
    check = CHECKS["shifted_height"]
    shift, age = np.array(check["shift_yr"])[:, None], np.array(check["age_yr"])
    ours = dominant_height_carmean_ft(check["site_index_ft"], age, shift, curve("longleaf")) / FEET_PER_METRE
    agree("shifted height of longleaf [m]", ours, check["height_m"], check, within=check["tolerance_m"])


def test_height_of_measured_longleaf_plots() -> None:
    check = CHECKS["plots"]
    ours = dominant_height_carmean_ft(check["site_index_ft"], check["age_yr"], 0.0, curve("longleaf"))
    agree(
        "height of measured longleaf plots [m]",
        float(ours) / FEET_PER_METRE,
        check["height_m"],
        check,
        share=check["tolerance_share"],
    )


def test_longleaf_at_six_lies_between_the_measured_sites() -> None:
    check = CHECKS["planted_at_six"]
    for weeded, (low, high) in ((False, check["grassy_m"]), (True, check["other_m"])):
        ours = height_ft("longleaf", check["site_index_ft"], 6, weeded=weeded) / FEET_PER_METRE
        between("height of longleaf at six [m]", ours, low, high, check)


def test_grass_stage() -> None:
    check, stage = CHECKS["grass_stage"], load_species("longleaf").forms.grass_stage
    assert stage is not None
    for name, weeded in (("weeded", True), ("unweeded", False)):
        ours = emerged_share(np.arange(1, 7), np.array(weeded), stage)
        agree("grass stage", ours, check[name], check, within=check["tolerance"])


def test_slash_height_on_cutover() -> None:
    check, form = CHECKS["slash_height"], load_species("slash").forms.on_cutover
    assert form is not None
    ours = dominant_height_pienaar_ft(check["site_index_ft"], np.array(check["age_yr"]), form)
    agree("height of slash on cutover [ft]", ours, check["height_ft"], check, within=check["tolerance_ft"])
    engine = height_ft("slash", check["site_index_ft"], 10, cutover=True)
    agree("height of slash on cutover [ft]", engine, check["height_ft"][2], check, within=check["tolerance_ft"])


def test_slash_height_on_old_fields() -> None:
    check = CHECKS["slash_old_field"]
    ours = height_ft("slash", check["site_index_ft"], check["age_yr"])
    agree("height of slash on old fields [ft]", ours, check["height_ft"], check, within=check["tolerance_ft"])


def test_slash_in_improved_pasture() -> None:
    check = CHECKS["slash_in_pasture"]
    layout = square(check["trees_per_ac"])
    site = next(si for si in np.arange(60.0, 100.0) if height_ft("slash", si, check["age_yr"]) >= check["height_ft"])
    dbh = grow(planting(float(site), layout), check["age_yr"], Way(tree=load_tree("slash"))).dbh(check["age_yr"])
    between("slash in improved pasture: least share", dbh / check["dbh_in"], check["least_share"], 1.0, check)


def test_heights_at_ten_stand_in_the_measured_order() -> None:
    check = CHECKS["order_at_ten"]
    factor = load_species("longleaf").site_index.per_loblolly_ft
    longleaf, loblolly = height_ft("longleaf", 68.0 * factor, 10), height_ft("loblolly", 68.0, 10)
    between("height of longleaf over loblolly at ten", longleaf / loblolly, *check["longleaf_share_of_loblolly"], check)
    assert height_ft("slash", 68.0, 10) >= loblolly


@pytest.fixture(scope="module")
def fit() -> dict[str, Any]:
    """The documented script that set the growth levels."""
    return runpy.run_path(str(ROOT / "docs" / "fit_species_growth.py"))


def test_shortleaf_beside_loblolly(fit: dict[str, Any]) -> None:
    check, shares = CHECKS["shortleaf_field"], fit["shortleaf_shares"]()
    for age, share in check["basal_area_share"].items():
        agree("basal area of shortleaf over loblolly", shares[int(age)][0], share, check, within=check["tolerance"])
    agree(
        "merchantable tons of shortleaf over loblolly at 16",
        shares[16][1],
        check["merchantable_share"],
        check,
        within=check["tolerance"],
    )


def test_longleaf_basal_area_beside_the_published_points(fit: dict[str, Any]) -> None:
    check, off = CHECKS["longleaf_basal_area"], np.array(list(fit["longleaf_residuals"]().values()))
    between("lowest log ratio of longleaf basal area", off.min(), check["low_log"], None, check)
    between("highest log ratio of longleaf basal area", off.max(), None, check["high_log"], check)
    between("mean log ratio of longleaf basal area", abs(off.mean()), None, check["mean_log"], check)


def straw(species: str, basal_area: float | list[float]) -> FloatArray:
    return straw_yield_lb_ac(np.asarray(basal_area), 12.0, load_straw(species).yearly)


@pytest.mark.parametrize("species", ["slash", "longleaf", "shortleaf"])
def test_straw_table(species: str) -> None:
    check = CHECKS["straw"]
    ours = straw(species, check["basal_area_ft2_ac"])
    agree("straw table", ours, check[species], check, within=check["tolerance_lb"])


@pytest.mark.parametrize("species", ["slash", "longleaf"])
def test_straw_against_published_ranges(species: str) -> None:
    lead, bounds = CHECKS["straw_lead"], CHECKS["straw_range"]
    ratio = straw("loblolly", lead["basal_area_ft2_ac"]) / straw(species, lead["basal_area_ft2_ac"])
    between("straw against published ranges", ratio, lead["least"], lead["most"], lead)
    ours = straw(species, bounds["basal_area_ft2_ac"])
    between("straw of full stands [lb/ac]", ours, *bounds[species], bounds)


@pytest.mark.parametrize("species", ["slash", "longleaf", "shortleaf"])
def test_stems_calculated_twice(species: str) -> None:
    check, wood = CHECKS["stems"], load_wood(species, natural=False)
    stems = measured_stems(12.0, 70.0, wood.stem)
    inside = float(volume_inside_bark_ft3(12.0, 70.0, wood.stem))
    agree(
        "stems calculated twice: wood [ft3]", inside, check["wood_ft3"][species], check, share=check["tolerance_share"]
    )
    bark = float(stems.outside.volume_ft3) - inside
    agree("stems calculated twice: bark [ft3]", bark, check["bark_ft3"][species], check, share=check["tolerance_share"])
    tons = product_tons(12.0, 70.0, 1.0, 0.0, wood)
    ours = [tons[PRODUCTS.index("sawtimber")], tons[PRODUCTS.index("pulpwood")]]
    agree("stems calculated twice: tons", ours, check["tons"][species], check, within=check["tolerance_ton"])


@pytest.mark.parametrize("species", ["slash", "longleaf"])
def test_taper_and_weight_calculated_twice(species: str) -> None:
    check, wood = CHECKS["stems"], load_wood(species, natural=False)
    stems = measured_stems(np.full(3, 12.0), 70.0, wood.stem)
    reach = height_to_top_diameter_ft(np.array(check["top_in"]), stems)
    agree(
        "height to a top [ft]",
        reach,
        check["height_to_top_ft"][species],
        check,
        within=check["tolerance_ft"],
    )
    inside = diameter_inside_bark_in(17.3, stems)[0]
    agree(
        "diameter inside bark at 17.3 ft [in]",
        inside,
        check["inside_bark_at_17_ft"][species],
        check,
        within=check["tolerance_in"],
    )
    pounds = (green_ton_below(reach, stems, wood.weight) - green_ton_below(0.5, stems, wood.weight))[0] * POUNDS_PER_TON
    agree(
        "weight to a 4-in top [lb]",
        pounds,
        check["pounds_to_4_in"][species],
        check,
        share=check["tolerance_share"],
    )


@pytest.mark.parametrize("species", ["slash", "longleaf", "shortleaf"])
def test_bark_and_form_class_against_other_tables(species: str) -> None:
    bark, form = CHECKS["bark_share"], CHECKS["form_class"]
    stem = load_wood(species, natural=False).stem
    dbh, height = np.array(bark["dbh_in"]), np.array(bark["height_ft"])
    share = 1.0 - volume_inside_bark_ft3(dbh, height, stem) / measured_stems(dbh, height, stem).outside.volume_ft3
    agree(
        "bark as a share of the stem",
        share.mean(),
        bark["mean"][species],
        bark,
        within=bark["tolerance"],
    )
    dbh, height = np.array(form["dbh_in"]), np.array(form["height_ft"])
    classes = diameter_inside_bark_in(17.3, measured_stems(dbh, height, stem)) / dbh
    between("form class", classes, form["low"], form["high"], form)


def test_poles_of_longleaf() -> None:
    check, wood = CHECKS["poles"], load_wood("longleaf", natural=False)
    poles = [best_pole(dbh, height, wood) for dbh, height in zip(check["dbh_in"], check["height_ft"], strict=True)]
    same("poles of longleaf: length [ft]", [pole and pole.length_ft for pole in poles], check["length_ft"], check)
    same("poles of longleaf: class", [pole and pole.number for pole in poles], check["class"], check)


def test_rust_kills_as_published() -> None:
    check, rust = CHECKS["rust_deaths"], load_species("slash").rust
    for severe, dead in ((1.0, check["severe"]), (0.0, check["other"])):
        only = rust._replace(severe_share=severe)
        agree("share of infected stems dead at 15", rust_dead_share(1.0, 15.0, only), dead, check, share=1e-6)
        assert rust_dead_share(1.0, 5.0, only) == 0.0
    years = [rust_surviving_share(0.4, age, rust) for age in range(1, 21)]
    assert np.prod(years) == pytest.approx(1.0 - rust_dead_share(0.4, 15.0, rust))


def test_rust_loses_what_the_hazard_class_says() -> None:
    check, rust = CHECKS["rust_hazard"], load_species("slash").rust
    infected = np.array(check["infected"])
    lost = 1.0 - (1.0 - rust_dead_share(infected, 15.0, rust)) * sound_share(infected, rust)
    between("share of trees and grade lost to rust", lost, check["low"], check["high"], check)


@pytest.mark.parametrize("species", ["loblolly", "slash"])
def test_cankered_survivors(species: str) -> None:
    check = CHECKS["cankered_survivors"]
    between("sawtimber that a cankered stem loses", load_species(species).rust.survivor_loss, *check[species], check)


def test_nuts_by_age() -> None:
    check, nuts = CHECKS["nuts"], load_species("pecan").nuts
    assert nuts is not None
    every_year = nuts._replace(alternate_share=0.0)
    for age, name in ((10, "at_ten"), (15, "at_fifteen"), (25, "at_twenty_five")):
        low, high = check[f"{name}_lb_tree"]
        between(f"nuts at {age} [lb/tree]", nut_yield_lb_ac(1.0, age, every_year), low, high, check)
    between(
        "most nuts of an orchard [lb/ac]",
        nut_yield_lb_ac(27.0, np.arange(60), every_year).max(),
        None,
        check["most_lb_ac"],
        check,
    )


def test_size_of_pecan() -> None:
    check = CHECKS["pecan_size"]
    life = grow(planting(68.0 * 0.67, square(27.0)), 40, Way(culture=1.0, tree=load_tree("pecan")))
    for age, height in check["height_ft"].items():
        agree("height of pecan [ft]", life.height(int(age)), height, check, within=check["tolerance_ft"])
    low, high = check["crown_at_twenty_ft"]
    between("crown of a pecan at twenty [ft]", 2.0 * float(life.years[20].season_end.across_ft[0, 0]), low, high, check)
