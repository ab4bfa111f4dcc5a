"""Every scenario in examples/ is sound, runs, compares, and does what its description says."""

import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from simulator.accounts import WOOD_PRODUCTS
from simulator.comparison import Comparison, compare
from simulator.result import run
from simulator.scenario.file import load

EXAMPLES = Path(__file__).parents[2] / "examples"
FILES = sorted(EXAMPLES.glob("*.toml"))


def compared(name: str) -> Comparison:
    return compare(load(EXAMPLES / name), EXAMPLES, precision="fast")


def _name(path: Path) -> str:
    return path.name


def test_there_are_examples() -> None:
    assert {path.name for path in FILES} >= {
        "north-field.toml",
        "own-herd.toml",
        "single-rows-straw.toml",
        "standing-pines.toml",
    }


@pytest.mark.parametrize("path", FILES, ids=_name)
def test_an_example_is_checked_by_the_command(
    path: Path, halfshade: Callable[..., "subprocess.CompletedProcess[str]"]
) -> None:
    done = halfshade("check", path)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("path", FILES, ids=_name)
def test_an_example_grows_wood_and_grass_in_every_system(path: Path) -> None:
    comparison = compare(load(path), EXAMPLES, precision="fast")
    for outcome in comparison.systems.values():
        assert np.isfinite([outcome.measures.npv, outcome.measures.equal_annual_income]).all()
    both, trees, grass = (comparison.systems[name] for name in ("silvopasture", "plantation", "pasture"))
    assert both.wood_ton_ac.sum() > 0.0
    assert trees.wood_ton_ac.sum() > 0.0
    assert grass.wood_ton_ac[1:].sum() == 0.0
    assert (grass.wood_ton_ac[0].sum() > 0.0) == (grass.scenario.stand is not None)  # cleared, or never planted
    assert both.states["animal_unit_months_ac"].sum() + both.states["hay_ton_ac"].sum() > 0.0
    assert trees.states["animal_unit_months_ac"].sum() + trees.states["hay_ton_ac"].sum() == 0.0
    # no warning that the plan does not work as it is described
    broken = {"no_bid", "never_grazed", "no_whole_animal"}
    assert not broken & {warning.code for warning in comparison.warnings if warning.system == "silvopasture"}


@pytest.mark.parametrize("path", FILES, ids=_name)
def test_an_example_is_described_and_carries_the_cautions(path: Path) -> None:
    assert f"`{path.name}`" in (EXAMPLES / "README.md").read_text(encoding="utf-8")
    text = path.read_text(encoding="utf-8")
    for words in ("invented", "can hurt or kill", "licensed", "not an appraisal"):
        assert words in text


def test_the_own_herd_is_bought_fed_and_sold_and_otherwise_it_is_the_north_field() -> None:
    ours, north = load(EXAMPLES / "own-herd.toml"), load(EXAMPLES / "north-field.toml")
    assert (ours.use.tenure, north.use.tenure) == ("owned", "leased")
    alike = {"use", "pasture", "title", "report", "baseline"}
    assert ours.model_dump(exclude=alike) == north.model_dump(exclude=alike)

    outcome = run(ours, precision="fast")
    ledger = outcome.ledger()
    booked = ledger.groupby("item")["amount"].sum()
    assert {"cows_bought", "bought_hay", "cow_cash_cost", "displaced_herd"} <= set(booked.index[booked < 0])
    assert {"calves", "cull_cows", "cows_sold"} <= set(booked.index[booked > 0])
    assert "grazing_lease" not in booked.index
    # whole cows, none before they may graze, none left after the trees are cut
    head = outcome.states["head"]
    assert (head == np.floor(head)).all()
    first, harvest = ours.use.first_grazing_year, ours.harvest.year if ours.harvest else 0
    assert first is not None
    assert head[:first].sum() == head[harvest + 1 : harvest + first].sum() == 0
    assert head[first + 1 : harvest].min() > 0
    # the herd is fed more hay than a leased one is: a tenant's winter is not the owner's business
    assert "bought_hay" not in set(run(north, precision="fast").ledger()["item"])


def test_straw_is_raked_as_described_and_never_meets_animals() -> None:
    comparison = compared("single-rows-straw.toml")
    both = comparison.systems["silvopasture"]
    raked = np.flatnonzero(both.states["straw_bales_ac"] > 0)
    assert raked.tolist() == [8, 10, 12, 14, 16]
    assert not (both.states["animal_unit_months_ac"][raked] > 0).any()
    assert np.flatnonzero(both.states["hay_ton_ac"] > 0)[:4].tolist() == [1, 2, 3, 4]
    assert int(np.flatnonzero(both.states["animal_unit_months_ac"] > 0)[0]) == 18
    # the whole floor of a plantation is raked, between alleys only strips
    trees = comparison.systems["plantation"]
    assert trees.states["straw_bales_ac"][8] > both.states["straw_bales_ac"][8]
    assert (comparison.systems["pasture"].states["straw_bales_ac"] == 0).all()
    # grass alone keeps its own fertiliser: open pasture yields the same in every year
    grown = comparison.systems["pasture"].states["forage_lb_ac"][1:]
    assert np.ptp(grown) < 1e-6 * grown.mean()


def test_the_example_sells_every_product_the_market_takes() -> None:
    """The north field is thinned twice and cut late, so that no product is missing from the demonstration."""
    outcome = run(load(EXAMPLES / "north-field.toml"), precision="fast")
    sold = dict(zip(WOOD_PRODUCTS, outcome.wood_ton_ac.sum(axis=0), strict=True))
    assert all(tons > 0 for tons in sold.values()), sold
