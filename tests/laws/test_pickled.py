"""Results travel to other processes, so that anybody can use a pool of their own."""

import pickle

import numpy as np

from simulator.comparison import compare
from simulator.scenario.file import load_text
from workbench.examples import example_text


def test_a_comparison_travels_with_what_the_land_could_be_sold_for() -> None:
    here = compare(load_text(example_text(), "example"), precision="fast")
    there = pickle.loads(pickle.dumps(here))  # noqa: S301 - our own bytes
    assert there.ranking == here.ranking
    for name, outcome in here.systems.items():
        assert np.array_equal(there.systems[name].amount, outcome.amount)
        ours, theirs = outcome.exit_value.quantity, there.systems[name].exit_value.quantity
        assert np.array_equal(ours, theirs, equal_nan=True)
