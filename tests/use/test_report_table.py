"""The table [report] of a scenario: what may stand in it, and what a person is told of what may not."""

import datetime as dt
import json

import pytest

from simulator.errors import InputError
from simulator.result import run
from simulator.scenario.changing import change
from simulator.scenario.file import load_text
from workbench.examples import example_text
from workbench.plan_file import plan_text

DATE = "date = 2025-03-03 "


def _with(line: str, instead: str) -> str:
    text = example_text()
    assert line in text
    return text.replace(line, instead, 1)


@pytest.mark.parametrize("written", [DATE, 'date = "2025-03-03" '])
def test_a_day_is_a_date_or_the_same_in_quotes(written: str) -> None:
    assert load_text(_with(DATE, written), "x").report.date == dt.date(2025, 3, 3)


@pytest.mark.parametrize(
    ("line", "instead", "words"),
    [
        (DATE, "date = 5 ", "report.date: must be a day written as year-month-day, such as 2025-03-03 (received 5)"),
        (DATE, 'date = "spring" ', 'must be a day written as year-month-day, such as 2025-03-03 (received "spring")'),
        (DATE, "date = 2025-03-03T10:00:00 ", "must be a day"),
        ('client = "Orla', r'client = "\u0007Orla', "without control characters"),
        ('client = "Orla', r'client = "\u202eOrla', "without control characters"),
        ('client = "Orla', r'client = "\uffffOrla', "without control characters"),
        ('client = "Orla', r'client = "a\nOrla', "without control characters"),
        ('client = "Orla', f'client = "{"x" * 201}', "report.client: must be text in quotes of at most 200 letters"),
        ('question = "I', f'question = "{"x" * 2001}', "report.question: must be text in quotes of at most 2,000"),
        ('title = "North field"', f'title = "{"x" * 10_000}"', "title: must be text in quotes of at most 200 letters"),
        ("client =", "cleint =", 'Did you mean "client"?'),
    ],
)
def test_what_cannot_be_printed_is_refused_with_its_line(line: str, instead: str, words: str) -> None:
    with pytest.raises(InputError) as refused:
        load_text(_with(line, instead), "field.toml")
    (problem,) = refused.value.problems
    assert words in str(problem)
    assert problem.line is not None
    assert len(str(problem)) < 400


def test_a_question_may_have_several_lines_and_no_line_moves_a_result() -> None:
    text = _with('question = "I have', 'question = """First.\nI have').replace('$500 an acre."', '$500 an acre."""')
    scenario = load_text(text, "x")
    assert scenario.report.question.startswith("First.\nI have")
    bare = scenario.model_copy(update={"report": type(scenario.report)()})
    assert run(scenario, precision="fast").measures == run(bare, precision="fast").measures


def test_a_plan_written_to_a_file_keeps_for_whom_it_was() -> None:
    scenario = load_text(example_text(), "x")
    assert load_text(plan_text(scenario, "found"), "x").report == scenario.report
    assert change(scenario, {"land.acres": 50.0}).report == scenario.report
    assert json.loads(scenario.model_dump_json())["report"]["date"] == "2025-03-03"
