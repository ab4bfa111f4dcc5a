"""Poles against the tables of the trade; each source stands in the TOML beside it."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from recording import agree, same
from simulator.enterprises.poles import best_pole
from simulator.parameters.wood import load_products, load_wood

CHECKS = tomllib.loads((Path(__file__).parent / "poles.toml").read_text(encoding="utf-8"))
TABLE = load_products().poles


@pytest.mark.parametrize("number", range(5))
def test_circumference_against_least_dbh(number: int) -> None:
    check = CHECKS["least_dbh"]
    printed = np.array(check["dbh_in"][number]) * check["inside_share"] * np.pi
    row = TABLE.girth_in[TABLE.length_ft.index(check["lengths_ft"][number])]
    ours = [girth for girth in row if girth > 0.0]
    agree("circumference against least dbh", ours, printed, check, within=check["tolerance_in"])


def test_top_diameters() -> None:
    check = CHECKS["top_diameter"]
    agree(
        "top diameters [in]", np.array(TABLE.top_in) / np.pi, check["expected_in"], check, within=check["tolerance_in"]
    )


def test_table_falls_by_class_and_rises_by_length() -> None:
    girth = np.where(np.array(TABLE.girth_in) > 0.0, TABLE.girth_in, np.nan)
    across, down = np.diff(girth, axis=1), np.diff(girth, axis=0)
    assert np.all(across[~np.isnan(across)] < 0.0)
    assert np.all(down[~np.isnan(down)] > 0.0)


def test_longest_poles_calculated_twice() -> None:
    check = CHECKS["computed"]
    wood = load_wood("loblolly", natural=False)
    found = [best_pole(dbh, height, wood) for dbh, height in zip(check["dbh_in"], check["height_ft"], strict=True)]
    same(
        "longest poles calculated twice: length [ft]",
        [pole and pole.length_ft for pole in found],
        check["length_ft"],
        check,
    )
    same("longest poles calculated twice: class", [pole and pole.number for pole in found], check["class"], check)


def test_small_trees_make_no_pole() -> None:
    wood = load_wood("loblolly", natural=False)
    assert best_pole(8.0, 55.0, wood) is None
    assert best_pole(12.0, 30.0, wood) is None
