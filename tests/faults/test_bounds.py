"""Every number of the scenario model at its bounds, and just beyond them."""

import os
from collections.abc import Iterator
from itertools import chain
from pathlib import Path

import pytest

from bounds import Number, numbers, text_with
from promises import Answer, Fault, ask, broken
from simulator.errors import InputError
from simulator.scenario.file import load_text

FILE = "b.toml"
UNBOUNDED = {
    "money.prices.calf", "pasture.nitrogen_lb_ac", "pasture.nitrogen_lb_ac.3", "use.hay_years[1]", "use.hay_years[2]",
    "income.carbon_years[1]", "income.carbon_years[2]",
}  # fmt: skip
"""Numbers whose bounds are rules, by the price's unit, the grass, or each other."""
RUN_SHARE = 16
"""One bound in so many is run here; tests/faults/long_run.py --bounds runs them all."""


@pytest.fixture(scope="module", autouse=True)
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    before = Path.cwd()
    os.chdir(tmp_path_factory.mktemp("bounds"))
    yield
    os.chdir(before)


def asked(number: Number, value: float, command: str, *, bare: bool = False) -> tuple[Answer, int]:
    text, line = text_with(number, number.written(value), bare=bare)
    Path(FILE).write_text(text, encoding="utf-8")
    return ask((command, FILE, "--json")), line


def key(number: Number) -> str:
    return next(part for part in reversed(number.path) if isinstance(part, str))


def test_every_number_has_bounds_in_the_schema_or_in_a_rule() -> None:
    assert {each.name for each in numbers() if each.low is None or each.high is None} == UNBOUNDED
    assert len(numbers()) > 130


@pytest.mark.parametrize("number", numbers(), ids=lambda number: number.name)
def test_just_beyond_a_bound_is_refused_with_line_and_field(number: Number) -> None:
    for value in number.outside():
        answer, line = asked(number, value, "check")
        assert answer.code == 2, (value, answer.stderr)
        assert not broken(("check",), answer, FILE, Fault(line, key(number))), (value, answer.stderr)
        assert number.written(value) in answer.stderr or "list" in answer.stderr, (value, answer.stderr)


@pytest.mark.parametrize("number", numbers(), ids=lambda number: number.name)
def test_at_a_bound_a_number_is_accepted_or_refused_for_a_rule_between_fields(number: Number) -> None:
    for value in number.inside():
        text, _ = text_with(number, number.written(value))
        try:
            load_text(text, FILE)
        except InputError as error:
            for problem in error.problems:
                # a rule of one field would say its range here
                assert problem.field != number.name or "from" not in problem.rule.split(":")[0], problem
                assert problem.rule
                assert problem.remedy
                assert problem.line


@pytest.mark.parametrize("name", sorted(UNBOUNDED))
@pytest.mark.parametrize("value", [-1e300, 1e300, -(10**18), 10**18])
def test_a_number_without_bounds_in_the_schema_is_bounded_by_a_rule(name: str, value: float) -> None:
    number = next(each for each in numbers() if each.name == name)
    if number.whole and isinstance(value, float):
        return
    answer, line = asked(number, value, "check")
    assert answer.code == 2, answer.stderr
    assert not broken(("check",), answer, FILE, Fault(line, key(number))), answer.stderr


BOUNDS = list(chain.from_iterable(((number, value) for value in number.inside()) for number in numbers()))


@pytest.mark.parametrize(
    ("number", "value"), BOUNDS[::RUN_SHARE], ids=[f"{n.name}={n.written(v)}" for n, v in BOUNDS[::RUN_SHARE]]
)
def test_a_plan_at_a_bound_runs_to_finite_results(number: Number, value: float) -> None:
    answer, _ = asked(number, value, "run", bare=True)
    assert not broken(("run", "--json"), answer, FILE, None), answer.stderr
