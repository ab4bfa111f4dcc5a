"""Stems against figures published outside the project; each source stands in the TOML beside it."""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from simulator.enterprises.products import PRODUCTS, pieces, product_tons
from simulator.enterprises.sawlogs import board_feet
from simulator.enterprises.stems import (
    diameter_inside_bark_in,
    diameter_outside_bark_in,
    green_ton_below,
    height_to_top_diameter_ft,
    measured_stems,
)
from simulator.parameters.wood import load_wood
from simulator.physics.stem import (
    RatioCoefficients,
    StemCoefficients,
    TieCoefficients,
    VolumeCoefficients,
    green_ton,
    volume_inside_bark_ft3,
    volume_outside_bark_ft3,
)
from simulator.physics.taper import BREAST_HEIGHT_FT, implied_diameter_in
from simulator.units import POUNDS_PER_TON, FloatArray

CHECKS = tomllib.loads((Path(__file__).parent / "stem.toml").read_text(encoding="utf-8"))
PLANTED = load_wood("loblolly", natural=False)
NATURAL = load_wood("loblolly", natural=True)
SAWTIMBER = PRODUCTS.index("sawtimber")


def trees(check: dict[str, Any]) -> tuple[FloatArray, FloatArray]:
    return np.array(check["dbh_in"]), np.array(check["height_ft"])


def with_volumes(wood: VolumeCoefficients, bark: VolumeCoefficients) -> StemCoefficients:
    return StemCoefficients(wood, bark, RatioCoefficients(2.0, 0.9, 2.0, 0.9), TieCoefficients(17.3, 0.985))


def test_worked_example() -> None:
    check = CHECKS["worked_example"]
    wood, bark = (
        VolumeCoefficients(part["scale"], part["small"], part["large"], part["height"], 0.0, check["knee_in"])
        for part in (check["wood"], check["bark"])
    )
    stem = with_volumes(wood, bark)
    inside = volume_inside_bark_ft3(check["dbh_in"], check["height_ft"], stem)
    outside = volume_outside_bark_ft3(check["dbh_in"], check["height_ft"], stem)
    assert inside == pytest.approx(check["wood"]["ft3"], abs=check["tolerance_ft3"])
    assert outside - inside == pytest.approx(check["bark"]["ft3"], abs=check["tolerance_ft3"])


def test_form_with_decay() -> None:
    check = CHECKS["other_form"]
    power = check["dbh_exponent"]
    wood = VolumeCoefficients(check["scale"], power, power, check["height_exponent"], check["decay_per_in"], 9.0)
    volume = volume_inside_bark_ft3(check["dbh_in"], check["height_ft"], with_volumes(wood, wood))
    assert volume == pytest.approx(check["ft3"], rel=check["tolerance_share"])


def test_plantation_volume_of_other_authors() -> None:
    check = CHECKS["plantation_volume"]
    dbh, height = trees(check)
    theirs = check["intercept_ft3"] + check["slope"] * dbh**2 * height
    np.testing.assert_allclose(
        volume_outside_bark_ft3(dbh, height, PLANTED.stem), theirs, rtol=check["tolerance_share"]
    )


def test_form_class() -> None:
    check = CHECKS["form_class"]
    dbh, height = trees(check)
    form = diameter_inside_bark_in(17.3, measured_stems(dbh, height, PLANTED.stem)) / dbh
    assert np.all((form >= check["low"]) & (form <= check["high"]))


def test_bark_factor() -> None:
    check = CHECKS["bark_factor"]
    stems = measured_stems(*trees(check), PLANTED.stem)
    factor = diameter_inside_bark_in(6.0, stems) / diameter_outside_bark_in(6.0, stems)
    np.testing.assert_allclose(factor, check["expected"], atol=check["tolerance"])


def test_doyle_over_international() -> None:
    check = CHECKS["doyle_share"]
    feet = board_feet(*trees(check), PLANTED)
    share = feet.doyle / feet.international_quarter_inch
    np.testing.assert_allclose(share, check["expected"], rtol=check["tolerance_share"])


def test_tons_per_thousand_board_feet() -> None:
    check = CHECKS["tons_per_thousand"]
    dbh, height = trees(check)
    tons = product_tons(dbh, height, 1.0, 0.0, PLANTED)[:, SAWTIMBER]
    per_thousand = 1000.0 * tons / board_feet(dbh, height, PLANTED).doyle
    assert np.all((per_thousand >= check["low"]) & (per_thousand <= check["high"]))


def test_volumes_and_weights_calculated_twice() -> None:
    check = CHECKS["computed"]
    share = check["tolerance_share"]
    dbh, height = trees(check)
    stems = measured_stems(dbh, height, PLANTED.stem)
    inside = volume_inside_bark_ft3(dbh, height, PLANTED.stem)
    np.testing.assert_allclose(inside, check["wood_ft3"], rtol=share)
    np.testing.assert_allclose(stems.outside.volume_ft3 - inside, check["bark_ft3"], rtol=share)
    np.testing.assert_allclose(
        implied_diameter_in(BREAST_HEIGHT_FT, stems.outside), check["implied_dbh_in"], rtol=share
    )
    stump, top = (green_ton_below(at, stems, PLANTED.weight) for at in (0.5, height_to_top_diameter_ft(4.0, stems)))
    np.testing.assert_allclose((top - stump) * POUNDS_PER_TON, check["pounds_to_4_in_top"], rtol=share)
    whole = green_ton(dbh, height, PLANTED.stem, PLANTED.weight) * POUNDS_PER_TON
    np.testing.assert_allclose(whole, check["whole_pounds"], rtol=share)


def test_natural_volumes_calculated_twice() -> None:
    check = CHECKS["computed_natural"]
    inside = volume_inside_bark_ft3(check["dbh_in"], check["height_ft"], NATURAL.stem)
    bark = volume_outside_bark_ft3(check["dbh_in"], check["height_ft"], NATURAL.stem) - inside
    assert inside == pytest.approx(check["wood_ft3"], rel=check["tolerance_share"])
    assert bark == pytest.approx(check["bark_ft3"], rel=check["tolerance_share"])


def test_heights_calculated_twice() -> None:
    check = CHECKS["computed_heights"]
    dbh, height = trees(check)
    stems = measured_stems(dbh[:, None], height[:, None], PLANTED.stem)
    reach = height_to_top_diameter_ft(np.array(check["top_in"]), stems)
    np.testing.assert_allclose(reach, check["expected_ft"], atol=check["tolerance_ft"])
    inside = diameter_inside_bark_in(check["inside_bark_at_ft"], stems)[:, 0]
    np.testing.assert_allclose(inside, check["inside_bark_in"], atol=check["inside_bark_tolerance_in"])


@pytest.mark.parametrize("tree", CHECKS["computed_products"]["trees"], ids=lambda tree: f"{tree['dbh_in']:g} in")
def test_pieces_calculated_twice(tree: dict[str, Any]) -> None:
    check = CHECKS["computed_products"]
    cut = pieces(tree["dbh_in"], tree["height_ft"], PLANTED)
    assert [piece.product for piece in cut] == [product for product, _, _ in tree["cuts"]]
    heights = [[piece.from_ft, piece.to_ft] for piece in cut]
    np.testing.assert_allclose(
        heights, [[low, high] for _, low, high in tree["cuts"]], atol=check["tolerance_ft"], rtol=0.0
    )
    if "tons" in tree:
        np.testing.assert_allclose(
            [piece.green_ton for piece in cut], tree["tons"], atol=check["tolerance_ton"], rtol=0.0
        )
