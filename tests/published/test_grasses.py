"""Grasses and winter annuals against figures from outside the project; each source stands in the TOML beside it."""

import tomllib
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from recording import agree, between
from simulator.parameters.catalogue import grass_names
from simulator.parameters.pasture import Grass, load_grass
from simulator.physics.forage import establishment_share, light_response, open_yield_lb_ac, root_response
from simulator.physics.overseeding import clover_nitrogen_lb_ac
from simulator.units import POUNDS_PER_TON

CHECKS = tomllib.loads((Path(__file__).parent / "grasses.toml").read_text(encoding="utf-8"))
FESCUE, RYEGRASS, CLOVER = load_grass("tall-fescue"), load_grass("ryegrass"), load_grass("crimson-clover")
HYBRID, BAHIAGRASS = load_grass("hybrid-bermudagrass"), load_grass("bahiagrass")
COOL_SEASON = ("tall-fescue", "ryegrass", "crimson-clover")
BERMUDAGRASSES = ("bermudagrass", "hybrid-bermudagrass")


def _open(grass: Grass, nitrogen: float, *, plot: bool = False) -> float:
    curve = grass.open_yield._replace(farm_factor=1.0) if plot else grass.open_yield
    return float(open_yield_lb_ac(nitrogen, curve))


def _with_roots(light: float, grass: Grass, root_share: float) -> float:
    roots = root_response(root_share * grass.shade.full_root_stocking, grass.shade)
    return float(light_response(light, grass.shade) * roots)


@pytest.mark.parametrize("name", grass_names())
def test_open_yield_of_a_farm(name: str) -> None:
    check = CHECKS["farm"][name]
    grown = _open(load_grass(name), check["nitrogen_lb_ac"])
    between("open yield of a farm [lb/ac]", grown, check["low_lb_ac"], check["high_lb_ac"], CHECKS["farm"])
    if "middle_lb_ac" in check:
        agree("open yield of a farm: middle [lb/ac]", grown, check["middle_lb_ac"], CHECKS["farm"], within=5.0)


@pytest.mark.parametrize("name", [name for name in grass_names() if name != "bahiagrass"])
def test_range_of_the_farm_factor_spans_the_range_of_practice(name: str) -> None:
    from simulator.parameters.pasture import FOLDER  # noqa: PLC0415 - only this test reads the file itself
    from simulator.sourced import read_sourced  # noqa: PLC0415

    check, grass = CHECKS["farm"][name], load_grass(name)
    factor = read_sourced(FOLDER / "grasses" / f"{name}.toml").tables["open_yield"]["farm_factor"]
    for end, limit in ((factor.low, check["low_lb_ac"]), (factor.high, check["high_lb_ac"])):
        assert end is not None
        moved = grass._replace(open_yield=grass.open_yield._replace(farm_factor=end))
        agree(
            "end of the range of farm yield [lb/ac]",
            _open(moved, check["nitrogen_lb_ac"]),
            limit,
            CHECKS["farm"],
            share=0.02,
        )


def test_fescue_grows_in_spring() -> None:
    check = CHECKS["fescue_yield"]
    months = np.array(FESCUE.season.monthly_share)
    between("fescue grows in spring: least spring share", months[2:5].sum(), check["least_spring_share"], None, check)
    between("fescue grows in spring: most summer share", months[5:8].sum(), None, check["most_summer_share"], check)
    for nitrogen in check["nitrogen_lb_ac"]:
        between(
            "fescue grows in spring [lb/ac]", _open(FESCUE, nitrogen), check["low_lb_ac"], check["high_lb_ac"], check
        )


def test_hybrid_bermudagrass_hay_on_plots() -> None:
    check = CHECKS["hybrid_hay"]
    tons = _open(HYBRID, check["nitrogen_lb_ac"], plot=True) / check["dry_matter"] / POUNDS_PER_TON
    between("hybrid bermudagrass hay on plots [ton/ac]", tons, check["low_ton_ac"], check["high_ton_ac"], check)


def test_hybrid_bermudagrass_out_yields_bahiagrass_at_high_nitrogen() -> None:
    for nitrogen in CHECKS["hybrid_beats_bahiagrass"]["nitrogen_lb_ac"]:
        assert _open(HYBRID, nitrogen, plot=True) > _open(BAHIAGRASS, nitrogen, plot=True)


def test_hybrid_bermudagrass_grazed() -> None:
    check = CHECKS["hybrid_grazed"]
    for nitrogen, used in zip(check["nitrogen_lb_ac"], check["used_lb_ac"], strict=True):
        between(
            "grown where so much was used [lb/ac]", _open(HYBRID, nitrogen), used, check["most_times"] * used, check
        )
    between("gain on hybrid bermudagrass [lb/day]", HYBRID.quality.stocker_gain_lb_day, *check["gain_lb_day"], check)


@pytest.mark.parametrize("grass", [FESCUE, RYEGRASS], ids=["tall-fescue", "ryegrass"])
def test_answer_to_nitrogen(grass: Grass) -> None:
    check = CHECKS["fescue_nitrogen"]
    gained = _open(grass, check["nitrogen_lb_ac"]) - _open(grass, 0.0)
    between(
        "answer to nitrogen [lb/lb]", gained / check["nitrogen_lb_ac"], check["low_lb_lb"], check["high_lb_lb"], check
    )


def test_native_mixture() -> None:
    native, yields, sowing = load_grass("native-mix"), CHECKS["switchgrass"], CHECKS["native_establishment"]
    between(
        "native mixture [lb/ac]",
        _open(native, yields["nitrogen_lb_ac"]),
        yields["low_lb_ac"],
        yields["high_lb_ac"],
        yields,
    )
    first, second, third, tenth = establishment_share(np.array([1, 2, 3, 10]), native.establishment)
    assert (first, third, tenth) == (0.0, 1.0, 1.0)
    between(
        "native mixture in its second year, share of full", second, sowing["second_low"], sowing["second_high"], sowing
    )


@pytest.mark.parametrize("name", COOL_SEASON)
def test_cool_season_grasses_in_shade(name: str) -> None:
    grass, wood, slats, cloth = load_grass(name), CHECKS["woodland"], CHECKS["slats"], CHECKS["cloth"]
    between(
        "growth in shade, share of open",
        light_response(wood["light"], grass.shade),
        wood["relative"],
        None,
        wood,
    )
    rooted = _with_roots(wood["light"], grass, wood["root_share"])
    agree("growth in shade, share of open", rooted, wood["relative"], wood, within=wood["tolerance"])
    shaded = light_response(np.array(slats["light"]), grass.shade)
    agree("growth in shade, share of open", shaded, slats["relative"], slats, within=slats["tolerance"])
    between(
        "growth under cloth, share of open",
        light_response(cloth["light"], grass.shade),
        cloth["least_relative"],
        None,
        cloth,
    )


def test_ryegrass_under_trees_needs_light_that_such_stands_have() -> None:
    young, thinned = CHECKS["pine_walnut"], CHECKS["thinned_loblolly"]
    needed = brentq(lambda light: float(light_response(light, RYEGRASS.shade)) - young["relative"], 0.1, 1.0)
    between(
        "light that ryegrass needs under young pine and walnut",
        needed,
        young["least_light"],
        young["most_light"],
        young,
    )
    lights = [
        brentq(lambda light, share=share: _with_roots(light, RYEGRASS, thinned["root_share"]) - share, 0.1, 1.0)
        for share in thinned["relative"]
    ]
    assert lights[1] < lights[0]
    between(
        "light that ryegrass needs in thinned loblolly", lights, thinned["least_light"], thinned["most_light"], thinned
    )


@pytest.mark.parametrize("name", BERMUDAGRASSES)
def test_bermudagrass_fails_in_deep_shade_but_not_in_light_shade(name: str) -> None:
    turf, light_shade, shade = CHECKS["bermudagrass_turf"], CHECKS["partial_shade"], load_grass(name).shade
    between(
        "bermudagrass in deep shade, share of open",
        light_response(turf["bad_light"], shade),
        None,
        turf["most_relative_bad"],
        turf,
    )
    agree("growth at the light at which turf fails", light_response(turf["failing_light"], shade), 0.0, turf)
    ours, bahiagrass = (light_response(light_shade["light"], each) for each in (shade, BAHIAGRASS.shade))
    between(
        "bermudagrass over bahiagrass in light shade",
        ours / bahiagrass,
        light_shade["least_ratio"],
        None,
        light_shade,
    )


def test_hybrid_bermudagrass_holds_against_bahiagrass_in_light_shade() -> None:
    """Both fertilised as practice would; nothing is asked of them below six tenths of full light."""
    check = CHECKS["partial_shade"]
    grown = [
        _open(grass, max(grass.habit.usual_nitrogen_lb_ac)) * light_response(check["light"], grass.shade)
        for grass in (HYBRID, BAHIAGRASS)
    ]
    between(
        "hybrid bermudagrass over bahiagrass, both fertilised, in light shade",
        grown[0] / grown[1],
        check["least_ratio"],
        None,
        check,
    )


def test_nitrogen_that_clover_leaves() -> None:
    check, clover = CHECKS["clover_nitrogen"], CLOVER.overseeding
    assert clover is not None
    between(
        "nitrogen that clover leaves [lb/ac]",
        clover_nitrogen_lb_ac(1.0, 0.0, clover),
        check["low_lb_ac"],
        check["high_lb_ac"],
        check,
    )
