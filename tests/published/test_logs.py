"""Log rules against printed tables; each source stands in the TOML beside it."""

import tomllib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from recording import agree
from simulator.parameters.wood import load_products
from simulator.physics.logs import doyle_board_feet, international_board_feet, scribner_board_feet

CHECKS = tomllib.loads((Path(__file__).parent / "logs.toml").read_text(encoding="utf-8"))
RULES = load_products().log_rules
RULE_OF: dict[str, Callable[..., np.ndarray]] = {
    "doyle": doyle_board_feet,
    "scribner": scribner_board_feet,
    "international": international_board_feet,
}


@pytest.mark.parametrize("name", list(RULE_OF))
def test_printed_table(name: str) -> None:
    check = CHECKS[name]
    feet = RULE_OF[name](np.array(check["small_end_in"], dtype=float), check["length_ft"], RULES)
    agree("printed table", feet, check["expected"], check, within=check["tolerance"])


def test_international_written_out() -> None:
    check = CHECKS["international_formula"]
    wide = np.array(check["small_end_in"])
    expected = check["square"] * wide**2 - check["linear"] * wide - check["constant"]
    feet = international_board_feet(wide, check["length_ft"], RULES)
    agree("international written out", feet, expected, check, within=check["tolerance"])


@pytest.mark.parametrize("name", list(RULE_OF))
def test_first_log_of_form_class_78(name: str) -> None:
    check = CHECKS["form_class_78"]
    small_end = check["form_class"] * np.array(check["dbh_in"])
    feet = RULE_OF[name](small_end, check["log_ft"], RULES)
    agree("first log of form class 78: one log", feet, check["one_log"][name], check, within=check["tolerance"])


@pytest.mark.parametrize("number", range(6))
def test_three_rules_see_the_same_second_log(number: int) -> None:
    """The second log's small end, read from one rule's column, must give the other two columns."""
    check = CHECKS["form_class_78"]
    gain = {name: check["two_logs"][name][number] - check["one_log"][name][number] for name in RULE_OF}
    small_end = brentq(
        lambda wide: float(scribner_board_feet(wide, check["log_ft"], RULES)) - gain["scribner"], 5.0, 20.0
    )
    for name in ("doyle", "international"):
        feet = float(RULE_OF[name](small_end, check["log_ft"], RULES))
        agree("three rules see the same second log", feet, gain[name], check, within=check["second_log_tolerance"])


def test_scribner_formula_is_not_biased() -> None:
    check = CHECKS["scribner"]
    feet = scribner_board_feet(np.array(check["small_end_in"], dtype=float), check["length_ft"], RULES)
    agree(
        "scribner formula is not biased",
        float(np.mean(feet - check["expected"])),
        0.0,
        check,
        within=check["mean_tolerance"],
    )


def test_no_board_feet_in_twigs_and_none_below_zero() -> None:
    twigs = np.linspace(0.0, 4.0, 41)
    assert np.all(doyle_board_feet(twigs, 16.0, RULES) == 0.0)
    for rule in RULE_OF.values():
        assert np.all(rule(twigs, 16.0, RULES) >= 0.0)
        assert rule(0.5, 16.0, RULES) == 0.0


def test_part_section_counts_by_its_length() -> None:
    eight, ten, twelve = (float(international_board_feet(10.0, length, RULES)) for length in (8.0, 10.0, 12.0))
    assert ten == pytest.approx(0.5 * (eight + twelve))
