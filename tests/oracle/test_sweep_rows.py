"""Rows of a sweep against the same scenarios written and run one by one."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import tomlkit

from simulator.alternatives import systems_of
from simulator.measures import Measures
from simulator.parameters.ranges import moved
from simulator.parameters.tables import load_tables
from simulator.result import run_batch
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from sweeping import ALLEY, RATE, SAWTIMBER, THINNING, factors_text, swept
from workbench.examples import example_text, scenario_text
from workbench.starts import Choices

NEAR = 1e-5
"""Plans grown together and alone differ by as much, for the fast light path shares its tables [$/ac]."""


def _written(row: pd.Series) -> Scenario:
    """The scenario of a row, written by another hand."""
    document = tomlkit.parse(example_text()).unwrap()
    document["trees"]["layout"]["alley_ft"] = float(row["alley_ft"])
    year = int(row["first_thinning"])
    document["thinning"][0]["year"], document["thinning"][1]["year"] = year, year + 8
    document["harvest"]["year"] = year + 19
    document["money"]["discount_rate"] = float(row["money.discount_rate"])
    sawtimber = float(row["sawtimber"])
    document["money"]["prices"] = {"sawtimber": sawtimber, "chip_and_saw": 0.6 * sawtimber}
    return load_text(tomlkit.dumps(document), "row")


def test_rows_are_the_scenarios_they_say_they_are(tmp_path: Path) -> None:
    text = factors_text(ALLEY, THINNING, RATE, SAWTIMBER, design="latin hypercube", systems="all", more="samples = 9\n")
    frame = swept(tmp_path, text).frame()
    assert list(frame.index) == list(range(9))
    assert frame["failed"].isna().all()
    rows = [row for _, row in frame.iterrows()]
    plans = [(row, name, plan) for row in rows for name, plan in systems_of(_written(row)).items()]
    outcomes = run_batch([plan for _, _, plan in plans])
    for (row, name, _), outcome in zip(plans, outcomes, strict=True):
        measures = outcome.measures
        assert row[f"{name}_npv_per_ac"] == pytest.approx(measures.npv, abs=NEAR)
        assert row[f"{name}_land_expectation_per_ac"] == pytest.approx(measures.land_expectation, abs=NEAR)
        assert row[f"{name}_equal_annual_income_per_ac"] == pytest.approx(measures.equal_annual_income, abs=NEAR)
        assert row[f"{name}_light_warm_at_20"] == pytest.approx(outcome.states["light_warm"][20], abs=NEAR)
        assert row[f"{name}_total_wood_sawtimber_ton_ac"] == pytest.approx(outcome.wood_ton_ac[:, 2].sum())


def test_sourced_numbers_are_moved_for_the_systems_that_hold_them(tmp_path: Path) -> None:
    number = '[[factor]]\nnumber = "grass.shade.*_[ls]*"\n'
    sweep = swept(tmp_path, factors_text(number, design="one at a time", systems="all"))
    frame = sweep.frame()
    names = [name for name in frame if name.startswith("grass.shade.")]
    assert len(frame) == 1 + 2 * len(names) > 2
    plan = load_text(example_text(), "example")
    tables = load_tables("loblolly", plan.pasture.grass, plan.use.animals)
    for place, name in enumerate(names):
        row = frame.iloc[1 + 2 * place]
        alone = run_batch([plan], tables=moved(tables, tuple(name.split(".")), float(row[name])))[0]
        assert row["silvopasture_npv_per_ac"] == pytest.approx(alone.measures.npv, abs=NEAR)
    assert frame["pasture_total_wood_sawtimber_ton_ac"].eq(0.0).all()


def test_provisional_numbers_alone_can_be_asked_for(tmp_path: Path) -> None:
    number = '[[factor]]\nnumber = "quality.*gain"\n'
    text = factors_text(number, design="one at a time")
    every = swept(tmp_path / "every", text).frame()
    some = swept(tmp_path / "some", text + "provisional = true\n").frame()
    assert set(some) <= set(every)
    assert len(some) > 1


def test_prices_by_pattern_take_the_ranges_of_the_table(tmp_path: Path) -> None:
    text = factors_text('[[factor]]\nprice = "*sawtimber"\n', design="one at a time")
    frame = swept(tmp_path, text).frame()
    assert {"sawtimber"} <= set(frame)
    assert frame["npv_per_ac"].iloc[0] == frame["npv_per_ac"].median()


def test_help_with_a_cap_is_reckoned_at_each_price(tmp_path: Path) -> None:
    """Where help is a share of costs up to a cap, prices are not a matter of products alone: each is run."""
    scenario = example_text() + '\n[[cost_share]]\nline = "planting"\nshare = 0.5\ncap_per_ac = 10\n'
    text = factors_text('[[factor]]\nprice = "planting_alley"\nvalues = [0.05, 0.15, 0.9]\n')
    frame = swept(tmp_path, text, scenario).frame()
    for _, row in frame.iterrows():
        document = tomlkit.parse(scenario).unwrap()
        document["money"]["prices"] = {"planting_alley": float(row["planting_alley"])}
        alone = run_batch([load_text(tomlkit.dumps(document), "row")])[0]
        assert row["npv_per_ac"] == pytest.approx(alone.measures.npv, abs=NEAR)


def test_a_scenario_that_cannot_be_says_why_and_stops_nobody(tmp_path: Path) -> None:
    values = '[[factor]]\nfield = "thinning[1].year"\nvalues = [14, 30, 16.5]\n'
    prices = '[[factor]]\nprice = "hay"\nvalues = [100, -1]\n'
    frame = swept(tmp_path, factors_text(values, prices)).frame()
    assert frame["failed"].isna().tolist() == [True, False, False, False, False, False]
    assert frame["npv_per_ac"].notna().tolist() == frame["failed"].isna().tolist()
    assert "money.prices.hay: must be from 0" in frame["failed"].iloc[1]
    assert frame["failed"].iloc[2].startswith("thinning[2].year")
    assert "whole number" in frame["failed"].iloc[4]


def test_words_and_true_or_false_are_varied_too(tmp_path: Path) -> None:
    text = factors_text(
        '[[factor]]\nfield = "trees.genetics"\nvalues = ["unimproved", "elite family"]\n',
        '[[factor]]\nfield = "money.value_at_end"\nvalues = [true, false]\n',
    )
    frame = swept(tmp_path, text).frame()
    assert frame["trees.genetics"].tolist() == ["unimproved", "unimproved", "elite family", "elite family"]
    assert frame["money.value_at_end"].tolist() == [True, False, True, False]
    assert len(np.unique(frame["npv_per_ac"].round(3))) == 4


def _alone(scenario: str, changes: dict[str, dict[str, object]]) -> Measures:
    """Measures of a scenario with some entries of its tables changed, by another hand."""
    document = tomlkit.parse(scenario).unwrap()
    for table, entries in changes.items():
        document[table] |= entries
    return run_batch([load_text(tomlkit.dumps(document), "row")])[0].measures


def _same(row: pd.Series, measures: Measures) -> None:
    assert row["npv_per_ac"] == pytest.approx(measures.npv, abs=NEAR)
    assert row["land_expectation_per_ac"] == pytest.approx(measures.land_expectation, abs=NEAR)
    assert row["equal_annual_income_per_ac"] == pytest.approx(measures.equal_annual_income, abs=NEAR)


def test_the_rate_of_an_orchard_discounts_too(tmp_path: Path) -> None:
    """The rate values an orchard's trees, so each rate is grown; it must discount the cash as well."""
    scenario = scenario_text(Choices(trees="pecan"))
    text = factors_text('[[factor]]\nfield = "money.discount_rate"\nvalues = [0.03, 0.08]\n')
    for _, row in swept(tmp_path, text, scenario).frame().iterrows():
        _same(row, _alone(scenario, {"money": {"discount_rate": float(row["money.discount_rate"])}}))


def test_a_rate_that_moves_with_what_is_grown_discounts(tmp_path: Path) -> None:
    linked = 'linked = [{ field = "money.discount_rate", times = 0.001 }]\n'
    text = factors_text('[[factor]]\nfield = "harvest.year"\nvalues = [30, 38]\n' + linked)
    for _, row in swept(tmp_path, text).frame().iterrows():
        year = int(row["harvest.year"])
        _same(row, _alone(example_text(), {"harvest": {"year": year}, "money": {"discount_rate": year / 1000}}))


def test_the_basis_of_the_rate_can_be_varied(tmp_path: Path) -> None:
    scenario = example_text().replace("[money]", "[money]\ninflation = 0.02", 1)
    basis = '[[factor]]\nfield = "money.rate_basis"\nvalues = ["real", "nominal"]\n'
    for _, row in swept(tmp_path, factors_text(basis, RATE), scenario).frame().iterrows():
        money = {name: row[f"money.{name}"] for name in ("rate_basis", "discount_rate")}
        _same(row, _alone(scenario, {"money": money}))


def test_wages_do_not_count_where_hours_are_not_paid(tmp_path: Path) -> None:
    paid = '[[factor]]\nfield = "money.pay_labour"\nvalues = [true, false]\n'
    wages = '[[factor]]\nprice = "wage"\nvalues = [10, 30]\n'
    for _, row in swept(tmp_path, factors_text(paid, wages)).frame().iterrows():
        money = {"pay_labour": bool(row["money.pay_labour"]), "prices": {"wage": float(row["wage"])}}
        _same(row, _alone(example_text(), {"money": money}))
