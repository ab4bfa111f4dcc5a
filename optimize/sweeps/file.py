"""From a scenario file and a factors file to the question of a sweep, or to everything that is wrong with them."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from optimize.sweeps.designs import MOST_SCENARIOS, scenarios_in
from optimize.sweeps.factors import Sampled, spelled_out
from optimize.sweeps.model import FAILED, SCENARIO, FactorsFile
from optimize.sweeps.outputs import Output, output_named
from optimize.sweeps.rules import Fault, faults_of
from simulator.alternatives import check_overrides
from simulator.errors import InputError, Problem
from simulator.parameters.prices import PriceTable, load_prices
from simulator.scenario.fields import FieldError
from simulator.scenario.file import load, text_of
from simulator.scenario.lines import FieldPath
from simulator.scenario.messages import field_name, schema_findings, shown
from simulator.scenario.model import Scenario
from simulator.scenario.syntax import Reading, read_toml

HOW_TO_BEGIN: Final = "'halfshade sweep --help' shows how such a file is written."


@dataclass(frozen=True)
class Question:
    """What a sweep is asked: a scenario, what is varied in it, and what is kept.

    Attributes
    ----------
    scenario, document
        The scenario as it is, and its tables as written.
    scenario_path, factors_path
        The two files.
    file
        The factors file.
    factors
        Its factors with patterns spelled out.
    outputs
        What is kept of each system of each scenario.
    prices
        Price table of the scenario.
    """

    scenario: Scenario
    document: Mapping[str, Any]
    scenario_path: Path
    factors_path: Path
    file: FactorsFile
    factors: tuple[Sampled, ...]
    outputs: tuple[Output, ...]
    prices: PriceTable

    @property
    def beside(self) -> Path:
        """Folder of the scenario file, for its own price table."""
        return self.scenario_path.parent


def load_question(scenario_path: Path, factors_path: Path) -> Question:
    """Read what a sweep is asked.

    Parameters
    ----------
    scenario_path, factors_path
        TOML files in UTF-8.

    Returns
    -------
    Question

    Raises
    ------
    InputError
        With every problem of one of the files, each with line, field, value received and remedy.
    """
    scenario = load(scenario_path)
    check_overrides(scenario, scenario_path)
    document = read_toml(text_of(scenario_path), str(scenario_path)).document
    reading, file = _read(factors_path)
    prices = load_prices(scenario.money.price_table, scenario_path.parent)
    faults = list(faults_of(file, scenario))
    factors: list[Sampled] = []
    for number, factor in enumerate(file.factor):
        key = next((key for key in ("field", "price", "number") if getattr(factor, key) is not None), "")
        here: FieldPath = ("factor", number, key)
        if any(fault.path[:2] == here[:2] for fault in faults):
            continue
        try:
            factors += spelled_out(factor, scenario, prices)
        except FieldError as error:
            faults.append(Fault(here, str(error), shown(getattr(factor, key)), error.remedy))
    faults += _twice(factors) if not faults else []
    faults += _called_as_results(file, factors) if not faults else []
    faults += _too_many(file, factors) if not faults else []
    if faults:
        raise InputError(_in_order([_problem(reading, factors_path, fault) for fault in faults]))
    outputs = tuple(output_named(name) for name in file.outputs)
    return Question(
        scenario, document, scenario_path, factors_path, file, tuple(factors), outputs, prices
    )  # fmt: skip


def _read(path: Path) -> tuple[Reading, FactorsFile]:
    reading = read_toml(text_of(path, HOW_TO_BEGIN), str(path))
    if not reading.document and not reading.problems:
        raise InputError([Problem("", "is empty", "", HOW_TO_BEGIN, str(path))])
    try:
        file = FactorsFile.model_validate(reading.document)
    except ValidationError as error:
        findings = schema_findings(error, reading.document, FactorsFile)
        problems = [
            _problem(reading, path, Fault(found.path, found.rule, found.received, found.remedy))
            for found in findings
            if found.path not in reading.unread
        ]
        raise InputError(_in_order([*reading.problems, *problems])) from error
    if reading.problems:
        raise InputError(_in_order(reading.problems))
    return reading, file


def _called_as_results(file: FactorsFile, factors: list[Sampled]) -> list[Fault]:
    """No factor has the name of a column that the results have anyway."""
    kept = tuple(output_named(name).column for name in file.outputs)
    rule = "has a factor called {}, as a column of the results is"
    return [
        Fault(("factor",), rule.format(name), "", "Give it another name.")
        for name in (factor.varied.name for factor in factors)
        if name in {SCENARIO, FAILED, *kept} or name.endswith(tuple(f"_{column}" for column in kept))
    ]


def _twice(factors: list[Sampled]) -> list[Fault]:
    """Columns have names of their own, and no field is moved by two factors."""
    faults: list[Fault] = []
    names: set[str] = set()
    moved: dict[str, str] = {}
    for factor in factors:
        varied = factor.varied
        if varied.name in names:
            rule = f"has two factors called {varied.name}"
            faults.append(Fault(("factor",), rule, "", "Give one of them another name, or leave it out."))
        names.add(varied.name)
        for what in [field_name(move.path) for move in varied.moves] or [varied.target]:
            if what in moved and moved[what] != varied.name:
                rule = f"moves {what} twice, as {moved[what]} and as {varied.name}"
                faults.append(Fault(("factor",), rule, "", "Let one factor move it."))
            moved[what] = varied.name
    return faults


def _too_many(file: FactorsFile, factors: list[Sampled]) -> list[Fault]:
    count = scenarios_in(file.design, factors, file.samples)
    if count <= MOST_SCENARIOS:
        return []
    rule = f"asks for {count:,} scenarios; {MOST_SCENARIOS:,} is the most"
    remedy = "Take fewer samples or values, or draw a Latin hypercube instead of a grid."
    return [Fault(("design",), rule, shown(file.design), remedy)]


def _problem(reading: Reading, path: Path, fault: Fault) -> Problem:
    name = field_name(fault.path)
    return Problem(name, fault.rule, fault.received, fault.remedy, str(path), reading.lines.locate(fault.path))


def _in_order(problems: list[Problem]) -> list[Problem]:
    return sorted(dict.fromkeys(problems), key=lambda problem: problem.line or 0)
