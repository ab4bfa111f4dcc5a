"""Income tax against worked checks; inputs, answers and what is known of their sources stand in tax.toml."""

import tomllib
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from simulator import tax
from simulator.finance import net_present_value
from simulator.interest import real_rate

KNOWN = tomllib.loads(Path(__file__).with_name("tax.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("check", KNOWN["timber_sale"], ids=lambda check: f"basis {check['basis']:.0f}")
def test_a_timber_sale_recovers_its_share_of_the_basis(check: Mapping[str, float]) -> None:
    assert tax.depletion_unit(check["basis"], check["volume"]) == pytest.approx(check["unit"])
    sold = np.array([0.0, check["sold"], 0.0])
    used = tax.basis_recovered(check["basis"], check["volume"], sold, closing=3)
    assert used == pytest.approx([0.0, check["deducted"], 0.0])
    proceeds = check["sold"] * check["price"]
    fee = check["selling_share"] * proceeds
    gain = tax.gain_on_sale(proceeds, fee, used[1])
    assert gain == pytest.approx(check["gain"], abs=0.005)
    assert gain * check["tax_rate"] == pytest.approx(check["tax"], abs=0.005)
    assert proceeds - fee - gain * check["tax_rate"] == pytest.approx(check["net"], abs=0.005)


def test_the_clearcut_recovers_all_that_thinnings_left() -> None:
    check = KNOWN["timber_sale"][0]
    used = tax.basis_recovered(check["basis"], check["volume"], np.array([0.0, 300.0, 0.0, 5000.0, 40.0]), closing=3)
    assert used == pytest.approx([0.0, 6000.0, 0.0, 18000.0, 0.0])


def test_planting_is_deducted_up_to_the_cap_and_over_84_months() -> None:
    known = KNOWN["reforestation"]
    cost = np.array([known["acres"] * known["cost_per_ac"]])
    deducted = tax.reforestation_deductions(cost, known["cap"], known["years"])
    assert deducted == pytest.approx(known["deductions"], abs=0.005)
    assert deducted.sum() == pytest.approx(cost[0])
    saving = net_present_value(known["tax_rate"] * deducted, known["rate"])
    assert saving == pytest.approx(known["present_value_of_saving"], abs=0.005)


def test_the_rate_after_tax_is_that_of_the_nominal_rate() -> None:
    known = KNOWN["rate"]
    assert tax.after_tax_rate(known["nominal"], known["tax_rate"]) == pytest.approx(known["after_tax_nominal"])
    real = float(real_rate(known["nominal"], known["inflation"]))
    left = float(tax.after_tax_rate(real, known["tax_rate"], known["inflation"]))
    assert 100.0 * left == pytest.approx(known["after_tax_real_percent"], abs=5e-5)
    assert real_rate(known["after_tax_nominal"], known["inflation"]) == pytest.approx(left)
