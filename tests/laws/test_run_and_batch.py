"""A plan run alone, in a batch, and in a batch in another order: the same bytes.

One plan of every tree, grass, animal and route, of fields let go, on ground of their own, with hazards, at other rates;
what is there to choose is read from the catalogue and from the command.
"""

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from plans import changed, example
from simulator import load
from simulator.baselines import systems_of
from simulator.errors import InputError
from simulator.parameters.catalogue import animal_names, grass_names, tree_names
from simulator.result import Outcome, run, run_batch
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from workbench.commands.init import ROUTES, init

EXAMPLES = Path(__file__).parents[2] / "examples"
ARRAYS = ("wood_ton_ac", "profile_warm", "cycle_forage_lb_ac", "hours_by_month")


def _printed(*options: str) -> Scenario | None:
    done = CliRunner().invoke(init, options)
    if isinstance(done.exception, InputError):
        return None
    return load_text(done.stdout, " ".join(options))


def _wide_mix() -> Iterator[tuple[str, Scenario]]:
    for path in sorted(EXAMPLES.glob("*.toml")):
        yield path.stem, load(path)
    for tree in tree_names():
        for route in ROUTES:
            plan = _printed("--trees", tree, "--route", route)
            if plan is not None:
                yield f"{tree}, {route}", plan
    for option, names in (("--grass", grass_names()), ("--animals", animal_names())):
        for name in names:
            plan = _printed(option, name)
            assert plan is not None
            yield name, plan
    for name, plan in systems_of(example()).items():
        yield f"{name} of the example", plan
    for field, value in (("acres", 7.0), ("site_index_ft", 55.0), ("latitude_deg", 34.0)):
        yield field, changed(example(), "land", **{field: value})
    yield "a dear rate", changed(example(), "money", discount_rate=0.09)


@cache
def mix() -> dict[str, Scenario]:
    """All plans, with one short horizon: what parts plans parts them in the first years."""
    return {name: changed(plan, "money", horizon_years=min(plan.money.horizon_years, 25)) for name, plan in _wide_mix()}


def contents(outcome: Outcome) -> dict[str, bytes]:
    """Every array of an outcome by a name, as bytes."""
    held = {name: getattr(outcome, name) for name in ARRAYS} | outcome.states | outcome.drawing
    held |= {f"flows.{name}": value for name, value in outcome.flows._asdict().items()}
    return {name: np.asarray(value).tobytes() for name, value in held.items() if isinstance(value, np.ndarray | float)}


@cache
def together() -> dict[str, dict[str, bytes]]:
    """All plans in one batch."""
    return {name: contents(out) for name, out in zip(mix(), run_batch(list(mix().values())), strict=True)}


@pytest.mark.parametrize("name", list(mix()))
def test_a_plan_alone_and_in_a_batch_are_the_same_bytes(name: str) -> None:
    alone = contents(run(mix()[name], precision="fast"))
    assert len(alone) > 30
    for part, content in alone.items():
        assert content == together()[name][part], part


def test_the_order_of_a_batch_changes_no_byte() -> None:
    names = np.random.default_rng(3).permutation(list(mix())).tolist()[::2]
    for name, outcome in zip(names, run_batch([mix()[name] for name in names]), strict=True):
        assert contents(outcome) == together()[name], name


def test_exact_light_too() -> None:
    few = [plan for name, plan in mix().items() if name in {"north-field", "let-go", "own-herd", "single-rows-straw"}]
    for plan, outcome in zip(few, run_batch(few, precision="exact"), strict=True):
        assert contents(run(plan)) == contents(outcome)
