"""Grass and hay against figures published outside the project; each source stands in the TOML beside it."""

import importlib.util
import tomllib
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from recording import agree, between
from simulator.parameters.pasture import load_grass, load_hay
from simulator.physics.forage import light_response, litter_response, open_yield_lb_ac, root_response
from simulator.physics.hay import baled_share, hay_eaten_share, hay_ton_ac
from simulator.units import BASAL_AREA_FT2_PER_IN2, FT2_AC_PER_M2_HA, FloatArray

CHECKS = tomllib.loads((Path(__file__).parent / "forage.toml").read_text(encoding="utf-8"))
GRASS = load_grass("bahiagrass")
HAY = load_hay()


def _sdi_share(basal_area: FloatArray | float, dbh_in: float) -> FloatArray | float:
    trees = basal_area / (BASAL_AREA_FT2_PER_IN2 * dbh_in**2)
    return trees * (dbh_in / 10.0) ** 1.605 / CHECKS["pines"]["maximum_sdi_per_acre"]


def _under_pines(basal_area: FloatArray, dbh_in: float, needlefall: FloatArray) -> FloatArray:
    light = np.exp(-CHECKS["pines"]["extinction_ha_m2"] * basal_area / FT2_AC_PER_M2_HA)
    roots = root_response(_sdi_share(basal_area, dbh_in), GRASS.shade)
    return light_response(light, GRASS.shade) * roots * litter_response(needlefall, GRASS.litter)


def test_nitrogen_table() -> None:
    check = CHECKS["nitrogen"]
    nitrogen = np.array(check["nitrogen_lb_ac"])
    plots = open_yield_lb_ac(nitrogen, GRASS.open_yield._replace(farm_factor=1.0))
    agree(
        "nitrogen table: plot yield [lb/ac]", plots, check["plot_yield_lb_ac"], check, within=check["tolerance_lb_ac"]
    )
    slopes = np.diff(plots) / np.diff(nitrogen)
    agree(
        "grass gained by a pound of nitrogen [lb/lb]",
        slopes,
        check["slope_lb_per_lb"],
        check,
        within=check["slope_tolerance"],
    )


def test_farm_yield() -> None:
    check = CHECKS["farm"]
    farm = open_yield_lb_ac(np.array(check["nitrogen_lb_ac"]), GRASS.open_yield)
    between("farm yield [lb/ac]", farm.min(), check["low_lb_ac"], None, check)
    between("farm yield [lb/ac]", farm.max(), None, check["high_lb_ac"], check)


def test_light_alone() -> None:
    woodland = CHECKS["woodland"]
    between(
        "growth in woodland light, share of open",
        light_response(woodland["light"], GRASS.shade),
        woodland["low"],
        woodland["high"],
        woodland,
    )
    shade = CHECKS["half_shade"]
    agree(
        "growth in half shade, share of open",
        light_response(shade["light"], GRASS.shade),
        shade["relative"],
        shade,
        within=shade["tolerance"],
    )


def test_wide_rows_stay_near_normal() -> None:
    check = CHECKS["wide_rows"]
    roots = root_response(_sdi_share(check["basal_area_ft2_ac"], check["dbh_in"]), GRASS.shade)
    relative = light_response(check["light"], GRASS.shade) * roots
    year_six = relative * (1.0 - check["ground_lost"])
    years_one_to_six = np.linspace(1.0 - check["ground_lost"], year_six, 6).mean()
    between("wide rows stay near normal: least relative", years_one_to_six, check["least_relative"], None, check)


def test_closed_plantation_carries_no_grass() -> None:
    check = CHECKS["closed"]
    left = (
        light_response(check["light"], GRASS.shade)
        * root_response(check["sdi_share"], GRASS.shade)
        * litter_response(check["needlefall_lb_ac"], GRASS.litter)
    )
    between("grass left in a closed plantation, share of open", left, 0.0, check["most_relative"], check)


@pytest.mark.parametrize("species", ["longleaf", "slash"])
def test_herbage_under_pines(species: str) -> None:
    check = CHECKS["pines"]
    base, rain, slope = check[species]
    basal_area = np.array(check["basal_area_ft2_ac"])
    in_open = base + rain * check["rain_cm"]
    published = 1.0 - slope * basal_area / FT2_AC_PER_M2_HA / in_open
    ours = _under_pines(basal_area, check["dbh_in"], np.array(check[f"{species}_needlefall_lb_ac"]))
    agree("herbage under pines", ours, published, check, within=check["tolerance"])


def test_direct_seeded_slash() -> None:
    check = CHECKS["direct_seeded"]
    sparse, dense = _under_pines(
        np.array(check["basal_area_ft2_ac"]), check["dbh_in"], np.array(check["needlefall_lb_ac"])
    )
    agree(
        "herbage under dense over sparse slash",
        dense / sparse,
        check["herbage_lb_ac"][1] / check["herbage_lb_ac"][0],
        check,
        within=check["tolerance"],
    )


def test_herbage_falls_with_basal_area() -> None:
    check = CHECKS["slope"]
    basal_area = np.array(check["basal_area_ft2_ac"])
    herbage = check["open_kg_ha"] * _under_pines(basal_area, 10.0, np.array([1000.0, 3117.0]))
    fall = -np.diff(herbage) / np.diff(basal_area / FT2_AC_PER_M2_HA)
    between("herbage lost to a m2/ha of basal area [kg/ha]", fall[0], check["low_kg_m2"], check["high_kg_m2"], check)


def test_thinned_loblolly_needs_plausible_light() -> None:
    check = CHECKS["thinned"]

    def needed(relative: float) -> float:
        return float(brentq(lambda light: float(light_response(light, GRASS.shade)) - relative, 0.13, 1.0))

    double = needed(check["double_rows_lb_ac"] / check["open_lb_ac"])
    scattered = needed(check["scattered_lb_ac"] / check["open_lb_ac"])
    assert scattered < double
    between(
        "light that the measured herbage asks for",
        [scattered, double],
        check["least_light"],
        check["most_light"],
        check,
    )


def test_hay_chain() -> None:
    check = CHECKS["hay"]
    keeping = HAY.keeping
    agree(
        "share of the cut that is baled", baled_share(HAY.chain), check["baled_share"], check, within=check["tolerance"]
    )
    ways = {
        "outside_rack": (keeping.storage_outside_loss, keeping.feeding_rack_loss),
        "outside_ground": (keeping.storage_outside_loss, keeping.feeding_ground_loss),
        "inside_rack": (keeping.storage_inside_loss, keeping.feeding_rack_loss),
    }
    for way, (storage, feeding) in ways.items():
        eaten = hay_eaten_share(storage, keeping.transport_loss, feeding)
        agree("share of baled hay that is eaten", eaten, check[way], check, within=check["tolerance"])


def test_hay_of_a_farm_field() -> None:
    """Common practice, no source: bahiagrass at 80 lb N makes 2.0 to 3.2 tons of hay an acre."""
    between(
        "hay of a farm field [ton/ac]",
        hay_ton_ac(open_yield_lb_ac(80.0, GRASS.open_yield), HAY.chain),
        2.0,
        3.2,
        "Common practice, no source: bahiagrass at 80 lb N makes 2.0 to 3.2 tons of hay an acre.",
    )


def _fit_script() -> ModuleType:
    path = Path(__file__).parents[2] / "docs" / "fit_shade_response.py"
    spec = importlib.util.spec_from_file_location("fit_shade_response", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_shipped_shade_response_lies_within_the_fit() -> None:
    """The trials, their doubts and their sources stand in forage_response.toml."""
    script = _fit_script()
    document: dict[str, Any] = script.read_points()
    found = script.fit(document)
    assert found.shipped_inside
    shipped = np.array([*GRASS.shade[:3], found.shipped_extinction])
    pines = [point for point in document["points"] if point["kind"] == "pines"]
    off = [script.predict(point, shipped, document) - point["relative"] for point in pines]
    assert np.sqrt(np.mean(np.square(off))) < 0.08
