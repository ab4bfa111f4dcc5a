"""Bucking, defects and measures against worked values and tables; each source stands in the TOML beside it."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from recording import agree, between, same
from simulator.enterprises.bucked_stem import Prices, Tree, bucked_stem
from simulator.enterprises.bucking import Market, Way, buck, felled_stems, tons_of
from simulator.enterprises.defects import Defect
from simulator.enterprises.pole_table import PolePrices
from simulator.enterprises.sawlogs import board_feet
from simulator.enterprises.scaling import LogTables, cords, scaled_piece, tons_per_mbf
from simulator.enterprises.stems import green_ton_below, height_to_top_diameter_ft, measured_stems
from simulator.parameters.bucking import load_bucking
from simulator.parameters.wood import load_wood
from simulator.physics.logs import decimal_c_board_feet, scribner_board_feet
from simulator.physics.wood_quality import clear_wood, juvenile_core_share

CHECKS = tomllib.loads((Path(__file__).parent / "bucking.toml").read_text(encoding="utf-8"))
WOOD = load_wood("loblolly", natural=False)
RULES = load_bucking(WOOD.specs)
LOGS = LogTables(RULES.scaling, WOOD.specs.log_rules, RULES.decimal_c)
SAWTIMBER = 2


def trees(check: dict[str, list[float]]) -> tuple[np.ndarray, np.ndarray]:
    return np.array(check["dbh_in"]), np.array(check["height_ft"])


@pytest.mark.parametrize("method", ["tree_length", "cut_to_length"])
@pytest.mark.parametrize("way", ["priority", "best"])
def test_worked_values(method: str, way: Way) -> None:
    check = CHECKS[method]
    felled, specs = felled_stems(*trees(check), WOOD, RULES), getattr(RULES, method)
    specs = specs._replace(pulpwood=specs.pulpwood._replace(minimum_length_ft=check["pulpwood_from_ft"]))
    bucked = buck(felled, Market(specs, check["prices"], RULES), way=way)
    agree("worth of the pieces cut [$]", bucked.cuts.value[:, 0], check[way], check, within=check["tolerance"])


def test_worked_pieces() -> None:
    check, prices = CHECKS["pieces"], CHECKS["tree_length"]["prices"]
    tree = Tree(check["dbh_in"], check["height_ft"], WOOD)
    cut = bucked_stem(tree, Prices(prices, prices, PolePrices(0.0, {}, {}))).tree_length["best"].pieces
    same("worked pieces: products", [piece.product for piece in cut], check["products"], check)
    same("worked pieces: top [ft]", [piece.to_ft for piece in cut], check["top_ft"], check)


def test_worked_forks() -> None:
    check = CHECKS["fork"]
    free = RULES._replace(work=RULES.work._replace(cut_cost=0.0))
    market = Market(RULES.tree_length, CHECKS["tree_length"]["prices"], free)
    felled = felled_stems(check["dbh_in"], check["height_ft"], WOOD, RULES)
    for at_ft, value in zip(check["at_ft"], check["value"], strict=True):
        bucked = buck(felled, market, [Defect("fork", at_ft)], "priority")
        agree("worth of a forked stem [$]", bucked.cuts.value[0, 0], value, check, within=check["tolerance"])


def test_rust_in_the_butt_costs_what_was_found() -> None:
    check = CHECKS["rust"]
    felled = felled_stems(*trees(check), WOOD, RULES)
    market = Market(RULES.tree_length, CHECKS["tree_length"]["prices"], RULES)
    sound = tons_of(buck(felled, market))[:, SAWTIMBER]
    left = [tons_of(buck(felled, market, [Defect("rust", at_ft)]))[:, SAWTIMBER] for at_ft in check["at_ft"]]
    lost = 1.0 - np.mean(left, axis=0) / sound
    between("share of sawtimber lost to rust in the butt", lost, check["least"], check["most"], check)
    assert np.all(np.diff(lost) < 0.0), "less in larger trees"


def test_doyle_over_international() -> None:
    check = CHECKS["doyle_over_international"]
    feet = board_feet(*trees(check), WOOD)
    ratio = feet.doyle / feet.international_quarter_inch
    agree("Doyle over International board feet", ratio, check["expected"], check, within=check["tolerance"])


def sawlog_tops(dbh: np.ndarray, height: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Number of usual logs to the sawlog top, and green tons in them."""
    stems, sawlogs = measured_stems(dbh, height, WOOD.stem), WOOD.specs.sawlogs
    reach = height_to_top_diameter_ft(sawlogs.minimum_top_in, stems, inside_bark=True)
    step = sawlogs.log_length_ft + sawlogs.trim_ft
    number = np.floor((reach - WOOD.specs.stump_ft) / step)
    ends = green_ton_below(WOOD.specs.stump_ft + step * number, stems, WOOD.weight)
    return number, ends - green_ton_below(WOOD.specs.stump_ft, stems, WOOD.weight)


def test_tons_to_a_thousand_board_feet() -> None:
    check = CHECKS["tons_per_mbf_doyle"]
    dbh, height = trees(check)
    heavy = tons_per_mbf(sawlog_tops(dbh, height)[1], board_feet(dbh, height, WOOD).doyle)
    between("tons to a thousand board feet Doyle", heavy, check["least"], check["most"], check)
    assert np.all(np.diff(heavy) < 0.0), "fewer tons to a thousand in larger logs"


def test_whole_trees_of_form_class_78() -> None:
    check = CHECKS["form_class_78"]
    dbh, height = trees(check)
    same("whole trees of form class 78: logs", sawlog_tops(dbh, height)[0].tolist(), check["logs"], check)
    feet = board_feet(dbh, height, WOOD)
    for rule, found in zip(("doyle", "scribner", "international"), feet, strict=True):
        agree("whole trees of form class 78", found, check[rule], check, share=check["tolerance_share"])


def test_pieces_scale_as_the_stem_does() -> None:
    """A piece of whole logs has the board feet of its logs, whether scaled as one piece or tree by tree."""
    stems = measured_stems(16.0, 80.0, WOOD.stem)
    piece = scaled_piece(0.5, 48.0, stems, LOGS)
    no_trim = WOOD._replace(specs=WOOD.specs._replace(sawlogs=WOOD.specs.sawlogs._replace(trim_ft=0.0)))
    whole = board_feet(16.0, 80.0, no_trim)
    assert piece.doyle == pytest.approx(float(whole.doyle))
    assert piece.scribner == pytest.approx(float(whole.scribner))
    assert piece.international_quarter_inch == pytest.approx(float(whole.international_quarter_inch))


def test_decimal_c_table() -> None:
    check = CHECKS["decimal_c"]
    small_end = np.array(check["small_end_in"])
    feet = decimal_c_board_feet(small_end, 16.0, RULES.decimal_c)
    np.testing.assert_array_equal(feet, check["expected"])
    formula = scribner_board_feet(small_end, 16.0, WOOD.specs.log_rules)
    agree("Scribner Decimal C [board feet]", feet, formula, check, within=check["tolerance"])
    assert decimal_c_board_feet(5.4, 16.0, RULES.decimal_c) == 0.0
    assert decimal_c_board_feet(10.0, 8.0, RULES.decimal_c) == 30.0


def test_a_cord_holds_the_wood_of_a_cord() -> None:
    check = CHECKS["cord"]
    stems = measured_stems(8.0, 55.0, WOOD.stem)
    ton = float(green_ton_below(55.0, stems, WOOD.weight))
    wood_ft3 = float(stems.inside.volume_ft3) / float(cords(ton, RULES.scaling))
    between(
        "solid wood in a cord [ft3]",
        wood_ft3,
        check["least_wood_ft3"],
        check["most_wood_ft3"],
        check,
    )


def test_juvenile_core_by_hand() -> None:
    check = CHECKS["juvenile_core"]
    share = juvenile_core_share(check["core_in"], check["wood_in"])
    agree("juvenile core by hand", share, check["expected"], check, within=check["tolerance"])


def test_clear_wood_by_hand() -> None:
    check = CHECKS["clear_wood"]
    found = clear_wood(check["wood_in"], check["length_ft"], check["pruned_dbh_in"], RULES.occlusion)
    agree("clear wood by hand: shell [in]", found.shell_in, check["shell_in"], check, share=1e-6)
    agree("clear wood by hand: volume [ft3]", found.volume_ft3, check["volume_ft3"], check, within=check["tolerance"])
