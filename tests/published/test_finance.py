"""Finance against worked examples; inputs, answers and sources stand in finance.toml."""

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from recording import agree
from simulator import finance, interest
from simulator.units import FloatArray

EXAMPLES = tomllib.loads(Path(__file__).with_name("finance.toml").read_text(encoding="utf-8"))
ANSWERS = [
    pytest.param(example, answer, id=f"{example['name']}: {answer['measure']} {answer.get('rate', '')}")
    for example in EXAMPLES["cash_flow"]
    for answer in example["answers"]
]


def gross_flows(example: Mapping[str, Any]) -> tuple[FloatArray, FloatArray]:
    """Benefits and costs of years 0..T, both positive, each row kept gross."""
    last = max(row["years"][-1] for row in example["flows"])
    benefits, costs = np.zeros(last + 1), np.zeros(last + 1)
    for row in example["flows"]:
        rows = slice(row["years"][0], row["years"][-1] + 1)
        (benefits if row["amount"] > 0 else costs)[rows] += abs(row["amount"])
    prices = (1.0 + example.get("inflation", 0.0)) ** np.arange(last + 1)
    return benefits * prices, costs * prices


def measure(answer: Mapping[str, Any], benefits: FloatArray, costs: FloatArray) -> Any:  # noqa: ANN401
    cash, rate = benefits - costs, answer.get("rate", 0.0)
    rotation = cash.size - 1
    return {
        "npv": lambda: finance.net_present_value(cash, rate),
        "land_expectation": lambda: finance.land_expectation_value(cash, rate, rotation),
        "equal_annual_income": lambda: finance.equal_annual_income(cash, rate, rotation),
        "benefit_cost": lambda: finance.benefit_cost(benefits, costs, rate),
        "irr": lambda: finance.every_real_irr(cash),
    }[answer["measure"]]()


@pytest.mark.parametrize(("example", "answer"), ANSWERS)
def test_cash_flow_measures_agree_with_the_printed_answers(
    example: Mapping[str, Any], answer: Mapping[str, Any]
) -> None:
    got = measure(answer, *gross_flows(example))
    agree(answer["measure"].replace("_", " "), got, answer["expected"], example, within=answer["tolerance"])


@pytest.mark.parametrize("example", EXAMPLES["formula"], ids=lambda example: example["name"])
def test_interest_formulas_agree_with_the_printed_answers(example: Mapping[str, Any]) -> None:
    got = example.get("times", 1.0) * getattr(interest, example["function"])(**example["inputs"])
    agree(
        example["function"].replace("_", " "),
        got,
        example["expected"],
        example,
        within=example["tolerance"],
    )


def test_every_example_names_its_source() -> None:
    assert all(example["source"].strip() for group in EXAMPLES.values() for example in group)
