"""Sheep, goats and heat against figures published outside the project; each source stands in the TOML beside it."""

import tomllib
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from plans import changed, example, fast, pasture
from recording import agree, between, same
from simulator.enterprises.season import afternoon_thi
from simulator.parameters.catalogue import NO_ANIMALS, animal_names
from simulator.parameters.climate import load_climate
from simulator.parameters.pasture import load_animals
from simulator.physics.animals import DAYS_PER_MONTH, breeding_year
from simulator.physics.heat import hot_hours_day
from simulator.result import Outcome

CHECKS = tomllib.loads((Path(__file__).parent / "small_stock.toml").read_text(encoding="utf-8"))
FLOCKS = ("sheep", "goats")
ANIMALS = [name for name in animal_names() if name != NO_ANIMALS]


@cache
def open_pasture(animals: str, *, fenced: bool = True) -> Outcome:
    """Forty acres of bahiagrass with 80 lb of nitrogen under an own herd."""
    plan = changed(example(), "use", animals=animals, tenure="owned")
    return fast(pasture(changed(changed(plan, "pasture", nitrogen_lb_ac=80.0), "land", fenced=fenced)))


@pytest.mark.parametrize("animals", ANIMALS)
def test_animal_units_are_the_handbooks(animals: str) -> None:
    units = load_animals(animals).units
    for kind, value in CHECKS["animal_units"][animals].items():
        agree(f"animal units: {kind}", getattr(units, kind), value, CHECKS["animal_units"], share=1e-6)


def test_a_dry_cow_is_so_much_of_a_suckling_one() -> None:
    units = load_animals("cattle").units
    share = CHECKS["animal_units"]["dry_share_of_a_suckling_cow"]
    agree("a dry cow over a suckling one", units.dry_head / units.head, share, CHECKS["animal_units"], within=0.005)


@pytest.mark.parametrize("animals", FLOCKS)
def test_what_an_ewe_or_a_doe_weans(animals: str) -> None:
    check, herd = CHECKS["flock"], load_animals(animals).herd
    assert herd is not None
    year = breeding_year(100.0, herd)
    weaned = float(year.young_sold + year.young_kept) / 100.0
    between("weaned for each female", weaned, *check[animals]["weaned"], check)
    weight = float(year.young_weight_sold_lb / year.young_sold)
    between("weight at weaning [lb]", weight, *check[animals]["weight_lb"], check)
    between(
        "females lost in a year",
        float(year.females_lost) / 100.0,
        check["death_share"][0],
        check["death_share"][1],
        check,
    )
    least, most = check["females_per_male"]
    assert 100.0 / most <= float(year.males) <= np.ceil(100.0 / least)


@pytest.mark.parametrize("animals", FLOCKS)
def test_so_many_ewes_or_does_graze_where_a_cow_did(animals: str) -> None:
    units = load_animals(animals).units
    least, most = CHECKS["flock"]["to_an_animal_unit"]
    check = CHECKS["flock"]
    between("females to an animal unit", 1.0 / units.head, least, most, check)
    small, cows = (open_pasture(name).states["head"][10] for name in (animals, "cattle"))
    # an 1,100 lb cow with calf, bull and heifer is 1.2 units over the year
    between("females that graze where a cow did", small / cows, least, 1.3 * most, check)


@pytest.mark.parametrize("animals", ["cattle", *FLOCKS])
def test_winter_hay_a_head_is_what_practice_feeds(animals: str) -> None:
    outcome, check = open_pasture(animals), CHECKS["hay"]
    ledger = outcome.ledger()
    tons = ledger[(ledger["year"] == 10) & (ledger["item"] == "bought_hay")]["quantity"].sum() * 40.0
    each = tons / outcome.states["head"][10]
    least, most = check["short_ton_a_cow"]
    few, many = check["small_stock_to_a_cow"] if animals in FLOCKS else (1.0, 1.0)
    between("winter hay a head [ton]", each, least / many, most / few, check)


def test_gates_stand_above_what_the_animals_reach() -> None:
    check, gates = CHECKS["gate"], {name: load_animals(name).gate.least_height_ft for name in ANIMALS}
    same(
        "height at which sheep and goats may come [ft]",
        (gates["sheep"], gates["goats"]),
        (check["sheep_ft"], check["goats_ft"]),
        check,
    )
    between(
        "gate of sheep above their reach [ft]",
        gates["sheep"],
        check["sheep_reach_ft"],
        None,
        check,
    )
    between(
        "gate of goats above their reach [ft]",
        gates["goats"],
        check["goats_reach_ft"],
        None,
        check,
    )
    for name in ("cattle", "stockers"):
        between(
            "gates stand above what the animals reach: cattle [ft]",
            gates[name],
            check["cattle_ft"][0],
            check["cattle_ft"][1],
            check,
        )


@pytest.mark.parametrize("animals", ["cattle", "stockers"])
def test_heat_of_cattle_runs_from_alert_to_emergency(animals: str) -> None:
    bonus = load_animals(animals).shade_bonus
    same(
        "index at which heat begins and is full",
        (bonus.alert_thi, bonus.full_heat_thi),
        (
            CHECKS["weather_classes"]["alert"],
            CHECKS["weather_classes"]["emergency"],
        ),
        CHECKS["weather_classes"],
    )


def test_the_gulf_is_hotter_than_the_plains() -> None:
    check, climate = CHECKS["hot_hours"], load_climate()
    index = afternoon_thi(example(), climate)
    hours = hot_hours_day(index, climate.daily_swing_thi, CHECKS["weather_classes"]["alert"])
    between("the gulf is hotter than the plains: hours", hours.sum() * DAYS_PER_MONTH, check["hours"], None, check)
    between("the gulf is hotter than the plains: days", (hours > 0).sum() * DAYS_PER_MONTH, check["days"], None, check)


@pytest.mark.parametrize("animals", ANIMALS)
def test_fence_round_the_land_costs_what_holds_the_animal(animals: str) -> None:
    ledger = open_pasture(animals, fenced=False).ledger()
    built = ledger[(ledger["item"] == "perimeter_fence") & (ledger["year"] == 1)]
    check, prices = CHECKS["fence"], example_prices()
    feet = check["ft_root_acre"] * np.sqrt(40.0)
    item = "net_wire_fence" if animals in FLOCKS else "perimeter_fence"
    agree(
        "fence round forty acres [ft]",
        built["quantity"].sum() * 40.0,
        feet,
        check,
        share=check["tolerance_share"],
    )
    assert built["price"].iloc[0] == prices[item]


def example_prices() -> dict[str, float]:
    """Prices in force in the packaged example."""
    return dict(fast(example()).prices)
