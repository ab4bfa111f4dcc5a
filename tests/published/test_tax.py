"""Income tax against worked checks; inputs, answers and what is known of their sources stand in tax.toml."""

import tomllib
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from recording import agree
from simulator import tax
from simulator.finance import net_present_value
from simulator.interest import real_rate

KNOWN = tomllib.loads(Path(__file__).with_name("tax.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("check", KNOWN["timber_sale"], ids=lambda check: f"basis {check['basis']:.0f}")
def test_a_timber_sale_recovers_its_share_of_the_basis(check: Mapping[str, float]) -> None:
    agree(
        "depletion unit [$/ton]",
        tax.depletion_unit(check["basis"], check["volume"]),
        check["unit"],
        check,
        share=1e-6,
    )
    sold = np.array([0.0, check["sold"], 0.0])
    used = tax.basis_recovered(check["basis"], check["volume"], sold, closing=3)
    agree(
        "basis used by a timber sale, by year [$]",
        used,
        [0.0, check["deducted"], 0.0],
        check,
        share=1e-6,
    )
    proceeds = check["sold"] * check["price"]
    fee = check["selling_share"] * proceeds
    gain = tax.gain_on_sale(proceeds, fee, used[1])
    agree("gain of a timber sale [$]", gain, check["gain"], check, within=0.005)
    agree(
        "tax on a timber sale [$]",
        gain * check["tax_rate"],
        check["tax"],
        check,
        within=0.005,
    )
    agree(
        "left of a timber sale after tax [$]",
        proceeds - fee - gain * check["tax_rate"],
        check["net"],
        check,
        within=0.005,
    )


def test_the_clearcut_recovers_all_that_thinnings_left() -> None:
    check = KNOWN["timber_sale"][0]
    used = tax.basis_recovered(check["basis"], check["volume"], np.array([0.0, 300.0, 0.0, 5000.0, 40.0]), closing=3)
    assert used == pytest.approx([0.0, 6000.0, 0.0, 18000.0, 0.0])


def test_planting_is_deducted_up_to_the_cap_and_over_84_months() -> None:
    known = KNOWN["reforestation"]
    cost = np.array([known["acres"] * known["cost_per_ac"]])
    deducted = tax.reforestation_deductions(cost, known["cap"], known["years"])
    agree(
        "planting deducted, by year [$]",
        deducted,
        known["deductions"],
        known,
        within=0.005,
    )
    assert deducted.sum() == pytest.approx(cost[0])
    saving = net_present_value(known["tax_rate"] * deducted, known["rate"])
    agree(
        "worth of the tax saved [$]",
        saving,
        known["present_value_of_saving"],
        known,
        within=0.005,
    )


def test_the_rate_after_tax_is_that_of_the_nominal_rate() -> None:
    known = KNOWN["rate"]
    agree(
        "nominal rate after tax",
        tax.after_tax_rate(known["nominal"], known["tax_rate"]),
        known["after_tax_nominal"],
        known,
        share=1e-6,
    )
    real = float(real_rate(known["nominal"], known["inflation"]))
    left = float(tax.after_tax_rate(real, known["tax_rate"], known["inflation"]))
    agree(
        "real rate after tax [%]",
        100.0 * left,
        known["after_tax_real_percent"],
        known,
        within=5e-5,
    )
    assert real_rate(known["after_tax_nominal"], known["inflation"]) == pytest.approx(left)
