"""Animals against figures published outside the project; each source stands in the TOML beside it."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from recording import agree, between
from simulator.parameters.pasture import load_animals, load_grass, load_grazing
from simulator.physics.animals import (
    breeding_year,
    carrying_head,
    demand_lb_month,
    monthly_unit_equivalents,
    stocker_year,
)
from simulator.physics.forage import monthly_growth_lb, open_yield_lb_ac
from simulator.physics.grazing import grazing_tree_loss_share, monthly_grazing, tree_safe
from simulator.physics.heat import shade_bonus_lb_day, thi_f

CHECKS = tomllib.loads((Path(__file__).parent / "animals.toml").read_text(encoding="utf-8"))
CATTLE = load_animals("cattle")
STOCKERS = load_animals("stockers")
GRAZING = load_grazing()


def test_animal_unit() -> None:
    check = CHECKS["animal_unit"]
    month = float(demand_lb_month(1.0, CATTLE.units))
    for animals in (CATTLE, STOCKERS):
        agree(
            "dry matter that an animal unit eats a day [lb]",
            animals.units.daily_dry_matter_lb,
            check["daily_lb"],
            check,
        )
    agree("animal unit: monthly [lb]", month, check["monthly_lb"], check, within=check["monthly_tolerance_lb"])
    agree("animal unit: yearly [lb]", 12.0 * month, check["yearly_lb"], check, share=1e-6)


def test_carrying_capacity() -> None:
    check = CHECKS["carrying"]
    usable = check["growth_lb_ac"] * np.array(check["utilisation"])
    month = demand_lb_month(1.0, CATTLE.units)
    per_year = carrying_head(usable, 1.0, 12.0, month)
    agree(
        "carrying capacity: animal unit days",
        usable / CATTLE.units.daily_dry_matter_lb,
        check["animal_unit_days"],
        check,
        within=0.05,
    )
    agree("acres to an animal unit", 1.0 / per_year, check["acres_per_unit_year"], check, within=0.005)
    agree(
        "animal-unit months an acre",
        12.0 * per_year[0],
        check["first_animal_unit_months"],
        check,
        within=0.006,
    )


@pytest.mark.parametrize("system", ["continuous", "slow_rotation", "strip"])
def test_utilisation(system: str) -> None:
    check = CHECKS["utilisation"]
    between("share of growth that grazing uses", getattr(GRAZING.utilisation, system), *check[system], check)


def test_weaned_per_exposed_cow() -> None:
    check = CHECKS["cow_calf"]
    assert CATTLE.herd is not None
    year = breeding_year(100.0, CATTLE.herd)
    weaned_lb = (year.young_sold + year.young_kept) * CATTLE.herd.weaning_weight_lb / 100.0
    between("weaned per exposed cow [lb]", weaned_lb, check["low_lb"], check["high_lb"], check)


def test_stocker_gain_per_acre() -> None:
    check = CHECKS["stockers"]
    assert STOCKERS.stocker is not None
    head_ac = check["gain_lb_ac"] / check["gain_lb_day"] / check["days"]
    gain = load_grass("bahiagrass").quality.stocker_gain_lb_day
    ours = float(stocker_year(head_ac, gain, check["days"], STOCKERS.stocker).gain_lb)
    agree("stocker gain [lb/ac]", ours, check["gain_lb_ac"], check, share=check["tolerance_share"])
    eaten = head_ac * float(demand_lb_month(STOCKERS.units.head, STOCKERS.units)) * check["days"] / (365 / 12)
    assert GRAZING.utilisation.slow_rotation < eaten / check["growth_lb_ac"] < 0.80


def test_temperature_humidity_index() -> None:
    check = CHECKS["heat"]
    warm, humid = np.array(check["temperature_f"]), np.array(check["relative_humidity"])
    agree("temperature humidity index: chart", thi_f(warm, humid), check["chart"], check, within=check["tolerance"])
    celsius = (warm - 32.0) / 1.8
    other_form = 0.8 * celsius + humid * (celsius - 14.4) + 46.4
    agree(
        "temperature humidity index",
        thi_f(warm, humid),
        other_form,
        CHECKS["heat_celsius"],
        within=CHECKS["heat_celsius"]["tolerance"],
    )


def test_shade_bonus_stays_within_the_trial() -> None:
    check = CHECKS["shade_gain"]
    most = CATTLE.shade_bonus._replace(most_bonus_share=0.20)
    assert shade_bonus_lb_day(3.0, 0.5, 1.0, most) == pytest.approx(CATTLE.shade_bonus.most_bonus_lb_day)
    usual = shade_bonus_lb_day(0.8, 0.5, 1.0, CATTLE.shade_bonus)
    between(
        "summer gain that shade adds [lb]",
        usual * check["days"],
        0.0,
        check["summer_gain_lb"],
        check,
    )


def test_young_trees_trampled() -> None:
    check = CHECKS["trampling"]
    years = np.array([1.0, 2.0, 3.0])
    loss = grazing_tree_loss_share(years, np.zeros(3, dtype=bool), check["utilisation"], CATTLE.tree_damage)
    agree("trees trampled, yearly mean of three years", loss.mean(), check["yearly_loss"], check, share=0.2)


def test_gate_needs_height_diameter_and_years() -> None:
    """Common practice, no source: height 8 to 10 ft, diameter 2 in, not before the third year."""
    height = np.array([12.0, 6.9, 12.0, 12.0])
    dbh = np.array([2.5, 2.5, 1.4, 2.5])
    years = np.array([4.0, 4.0, 4.0, 2.0])
    assert tree_safe(height, dbh, years, CATTLE.gate).tolist() == [True, False, False, False]


def test_winter_feed_gap_of_a_herd_kept_all_year() -> None:
    """Common practice, no source: bahiagrass feeds 2.2-4.0 animal-unit months an acre, and none of the winter."""
    grass = load_grass("bahiagrass")
    growth = monthly_growth_lb(open_yield_lb_ac(80.0, grass.open_yield), grass.season)
    usable = growth.sum() * GRAZING.utilisation.slow_rotation
    month = float(demand_lb_month(1.0, CATTLE.units))
    demand = np.full(12, float(carrying_head(usable, 1.0, 12.0, month)) * month)
    year = monthly_grazing(growth, demand, GRAZING.utilisation.slow_rotation, GRAZING.carryover.monthly_kept_share)
    between(
        "animal-unit months an acre, grazed all year",
        year.eaten_lb.sum() / month,
        2.2,
        4.0,
        "Common practice, no source: bahiagrass feeds 2.2-4.0 animal-unit months an acre, and none of the winter.",
    )
    assert np.all(year.short_lb[[0, 1, 2]] > 0.7 * demand[0])
    assert 0.0 < year.short_lb[11] < demand[11]  # autumn grass stands over into December, not through it
    assert np.all(year.short_lb[4:9] == 0.0)


def test_a_cow_and_her_company() -> None:
    """Handbook table (second-hand): a 1,100 lb cow is 1.1 units, dry .92 of it, her pair with a big calf 1.4."""
    assert CATTLE.herd is not None
    alone = monthly_unit_equivalents(CATTLE.units, 0.0, 0.0)
    company = monthly_unit_equivalents(CATTLE.units, 1.0 / CATTLE.herd.females_per_male, CATTLE.herd.replacement_share)
    agree(
        "animal units of a cow over the year",
        alone.min(),
        1.01,
        "Handbook table (second-hand): a 1,100 lb cow is 1.1 units, dry .92 of it, her pair with a big calf 1.4.",
        share=1e-6,
    )
    agree(
        "animal units of a cow over the year",
        alone.max(),
        1.40,
        "Handbook table (second-hand): a 1,100 lb cow is 1.1 units, dry .92 of it, her pair with a big calf 1.4.",
        share=1e-6,
    )
    assert np.all(company > alone)
    assert company.max() < 1.6
