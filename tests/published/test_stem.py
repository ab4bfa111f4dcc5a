"""Stems against figures published outside the project; each source stands in the TOML beside it."""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from recording import agree, between, same
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
    agree("volume of wood [ft3]", inside, check["wood"]["ft3"], check, within=check["tolerance_ft3"])
    agree("volume of bark [ft3]", outside - inside, check["bark"]["ft3"], check, within=check["tolerance_ft3"])


def test_form_with_decay() -> None:
    check = CHECKS["other_form"]
    power = check["dbh_exponent"]
    wood = VolumeCoefficients(check["scale"], power, power, check["height_exponent"], check["decay_per_in"], 9.0)
    volume = volume_inside_bark_ft3(check["dbh_in"], check["height_ft"], with_volumes(wood, wood))
    agree("volume of wood, form with decay [ft3]", volume, check["ft3"], check, share=check["tolerance_share"])


def test_plantation_volume_of_other_authors() -> None:
    check = CHECKS["plantation_volume"]
    dbh, height = trees(check)
    theirs = check["intercept_ft3"] + check["slope"] * dbh**2 * height
    agree(
        "plantation volume of other authors",
        volume_outside_bark_ft3(dbh, height, PLANTED.stem),
        theirs,
        check,
        share=check["tolerance_share"],
    )


def test_form_class() -> None:
    check = CHECKS["form_class"]
    dbh, height = trees(check)
    form = diameter_inside_bark_in(17.3, measured_stems(dbh, height, PLANTED.stem)) / dbh
    between("form class", form, check["low"], check["high"], check)


def test_bark_factor() -> None:
    check = CHECKS["bark_factor"]
    stems = measured_stems(*trees(check), PLANTED.stem)
    factor = diameter_inside_bark_in(6.0, stems) / diameter_outside_bark_in(6.0, stems)
    agree("bark factor", factor, check["expected"], check, within=check["tolerance"])


def test_doyle_over_international() -> None:
    check = CHECKS["doyle_share"]
    feet = board_feet(*trees(check), PLANTED)
    share = feet.doyle / feet.international_quarter_inch
    agree("Doyle over International board feet", share, check["expected"], check, share=check["tolerance_share"])


def test_tons_per_thousand_board_feet() -> None:
    check = CHECKS["tons_per_thousand"]
    dbh, height = trees(check)
    tons = product_tons(dbh, height, 1.0, 0.0, PLANTED)[:, SAWTIMBER]
    per_thousand = 1000.0 * tons / board_feet(dbh, height, PLANTED).doyle
    between("green tons to a thousand board feet Doyle", per_thousand, check["low"], check["high"], check)


def test_volumes_and_weights_calculated_twice() -> None:
    check = CHECKS["computed"]
    share = check["tolerance_share"]
    dbh, height = trees(check)
    stems = measured_stems(dbh, height, PLANTED.stem)
    inside = volume_inside_bark_ft3(dbh, height, PLANTED.stem)
    agree("volumes and weights calculated twice: wood [ft3]", inside, check["wood_ft3"], check, share=share)
    agree(
        "volumes and weights calculated twice: bark [ft3]",
        stems.outside.volume_ft3 - inside,
        check["bark_ft3"],
        check,
        share=share,
    )
    agree(
        "dbh that the ratio alone implies [in]",
        implied_diameter_in(BREAST_HEIGHT_FT, stems.outside),
        check["implied_dbh_in"],
        check,
        share=share,
    )
    stump, top = (green_ton_below(at, stems, PLANTED.weight) for at in (0.5, height_to_top_diameter_ft(4.0, stems)))
    agree(
        "weight to a 4-in top [lb]",
        (top - stump) * POUNDS_PER_TON,
        check["pounds_to_4_in_top"],
        check,
        share=share,
    )
    whole = green_ton(dbh, height, PLANTED.stem, PLANTED.weight) * POUNDS_PER_TON
    agree("weight of the whole stem [lb]", whole, check["whole_pounds"], check, share=share)


def test_natural_volumes_calculated_twice() -> None:
    check = CHECKS["computed_natural"]
    inside = volume_inside_bark_ft3(check["dbh_in"], check["height_ft"], NATURAL.stem)
    bark = volume_outside_bark_ft3(check["dbh_in"], check["height_ft"], NATURAL.stem) - inside
    agree(
        "natural volumes calculated twice: wood [ft3]", inside, check["wood_ft3"], check, share=check["tolerance_share"]
    )
    agree(
        "natural volumes calculated twice: bark [ft3]", bark, check["bark_ft3"], check, share=check["tolerance_share"]
    )


def test_heights_calculated_twice() -> None:
    check = CHECKS["computed_heights"]
    dbh, height = trees(check)
    stems = measured_stems(dbh[:, None], height[:, None], PLANTED.stem)
    reach = height_to_top_diameter_ft(np.array(check["top_in"]), stems)
    agree("height to a top [ft]", reach, check["expected_ft"], check, within=check["tolerance_ft"])
    inside = diameter_inside_bark_in(check["inside_bark_at_ft"], stems)[:, 0]
    agree(
        "diameter inside bark at 17.3 ft [in]",
        inside,
        check["inside_bark_in"],
        check,
        within=check["inside_bark_tolerance_in"],
    )


@pytest.mark.parametrize("tree", CHECKS["computed_products"]["trees"], ids=lambda tree: f"{tree['dbh_in']:g} in")
def test_pieces_calculated_twice(tree: dict[str, Any]) -> None:
    check = CHECKS["computed_products"]
    cut = pieces(tree["dbh_in"], tree["height_ft"], PLANTED)
    same("products cut", [piece.product for piece in cut], [product for product, _, _ in tree["cuts"]], check)
    heights = [[piece.from_ft, piece.to_ft] for piece in cut]
    agree(
        "ends of the pieces cut [ft]",
        heights,
        [[low, high] for _, low, high in tree["cuts"]],
        check,
        within=check["tolerance_ft"],
    )
    if "tons" in tree:
        agree(
            "pieces calculated twice: tons",
            [piece.green_ton for piece in cut],
            tree["tons"],
            check,
            within=check["tolerance_ton"],
        )
