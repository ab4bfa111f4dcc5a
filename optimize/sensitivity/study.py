"""Everything a sweep's results say about one output."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

import numpy as np

from optimize import editions
from optimize.sensitivity.break_even import Tie, incomes_along, ties
from optimize.sensitivity.indices import MorrisEffect, SobolIndex, morris_effects, sobol_indices
from optimize.sensitivity.swings import Point, Swing, dependence, swing, swing_one_at_a_time
from optimize.sweeps.factors import Sampled, Varied
from optimize.sweeps.file import Question, load_question
from optimize.sweeps.job import Job, job_of
from optimize.sweeps.model import FAILED, MORRIS, ONE_AT_A_TIME, SCENARIO, SOBOL_INDICES
from optimize.sweeps.outputs import output_named
from optimize.sweeps.run import Sweep
from optimize.sweeps.shards import check_kept
from simulator.errors import InputError, Problem
from simulator.units import FloatArray


class Asked(NamedTuple):
    """Which output is studied: by its name, of which system, less which other system's.

    Attributes
    ----------
    output
        As in the factors file.
    system
        ``None`` for the plan.
    over
        System whose output is taken off; ``None`` for none.
    """

    output: str | None = None
    system: str | None = None
    over: str | None = None


@dataclass(frozen=True)
class Study:
    """What a sweep says about one output.

    Attributes
    ----------
    column, unit
        What was studied: a column of the results, or one less another.
    design
        Of the sweep.
    units
        Unit of each factor by name, empty where its name says it.
    now
        Value of each factor in the scenario; ``None`` where it is no number.
    scenarios, failed
        How many were run, and how many of them have no output.
    spread
        Lowest tenth, mean and highest tenth of the output.
    middle
        Output of the scenario of the file where one factor was moved at a time, else the mean.
    swings
        Widest first.
    along
        Output along each factor.
    sobol, morris
        Indices by factor; ``None`` for other designs.
    left_out
        Base samples or trajectories left out because one of their scenarios failed.
    ties
        Break-even values by factor; ``None`` where they were not asked for.
    other_edition
        Whether the results were made by another edition than the one that would make break-even values now.
    """

    column: str
    unit: str
    design: str
    units: Mapping[str, str]
    now: Mapping[str, float | None]
    scenarios: int
    failed: int
    spread: tuple[float, float, float]
    middle: float
    swings: tuple[Swing, ...]
    along: Mapping[str, list[Point]]
    sobol: Mapping[str, SobolIndex] | None
    morris: Mapping[str, MorrisEffect] | None
    left_out: int
    ties: Mapping[str, list[Tie]] | None
    other_edition: bool


def study(sweep: Sweep, asked: Asked = Asked(), *, break_even: bool = True) -> Study:  # noqa: B008 - immutable
    """Work up the results of a sweep.

    Parameters
    ----------
    sweep
        A sweep that was run.
    asked
        Which output.
    break_even
        Whether to look for values at which two systems tie, which runs more scenarios.

    Returns
    -------
    Study

    Raises
    ------
    InputError
        Where there is no such output, or the sweep is not finished.
    """
    _finished(sweep)
    check_kept(sweep.folder, sweep.manifest)
    question = load_question(sweep.folder / "scenario.toml", sweep.folder / "factors.toml")
    column, unit, output = _output(sweep, question, asked)
    factors = [sampled.varied for sampled in question.factors]
    frame = sweep.frame([factor.name for factor in factors if factor.numeric])
    values = {str(name): frame[name].to_numpy(np.float64) for name in frame}
    known = output[np.isfinite(output)]
    if not len(known):
        raise InputError([Problem("--output", "has no value in any scenario of the sweep", column, _LOOK)])
    alone = question.file.design == ONE_AT_A_TIME
    low, high = np.quantile(known, [0.1, 0.9])
    sobol, morris, left_out = _indices(question, output)
    by_name = {factor.name: factor for factor in factors}
    own = {name: _own_rows(question, by_name[name], column, output) for name, column in values.items()}
    return Study(
        column=column,
        unit=unit,
        design=question.file.design,
        units={factor.name: factor.unit for factor in factors},
        now={name: float(factor.now) if _is_number(factor.now) else None for name, factor in by_name.items()},
        scenarios=len(output),
        failed=len(output) - len(known),
        spread=(float(low), float(known.mean()), float(high)),
        middle=float(output[0]) if alone and np.isfinite(output[0]) else float(known.mean()),
        swings=_swings(question, by_name, values, output),
        along={name: dependence(values[name][rows], output[rows]) for name, rows in own.items()},
        sobol=sobol,
        morris=morris,
        left_out=left_out,
        ties=_ties(job_of(question), question.factors) if break_even else None,
        other_edition=sweep.manifest["halfshade"]["code_sha256"] != editions.code_hash(),
    )


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


_LOOK = "Look at the column 'failed' of the results, and widen what is allowed."


def _finished(sweep: Sweep) -> None:
    done, tasks = len(sweep.parts.there()), sweep.parts.tasks
    if done < tasks:
        remedy = "Run the same sweep again; it does what is missing."
        raise InputError([Problem("", f"holds {done:,} of {tasks:,} parts", "", remedy, str(sweep.folder))])


def _output(sweep: Sweep, question: Question, asked: Asked) -> tuple[str, str, FloatArray]:
    """The output asked for: its name, unit and values in the order of the design."""
    name = asked.output or question.file.outputs[0]
    try:
        wanted = output_named(name)
    except ValueError as error:
        raise InputError([Problem("--output", "is not an output", name, str(error))]) from None
    several = question.file.systems == "all"
    if not several and (asked.system or asked.over):
        remedy = 'Write systems = "all" in the factors file and run the sweep anew.'
        named = asked.system or asked.over or ""
        raise InputError([Problem("--system", "the sweep ran the plan alone", named, remedy)])
    if several:
        _known_systems(sweep, asked, wanted.column)
    column = f"{asked.system or PLAN}_{wanted.column}" if several else wanted.column
    values = _column(sweep, column)
    if asked.over is None:
        return column, wanted.unit, values
    other = f"{asked.over}_{wanted.column}"
    return f"{column} less {other}", wanted.unit, values - _column(sweep, other)


PLAN: Final = "silvopasture"


def _known_systems(sweep: Sweep, asked: Asked, column: str) -> None:
    """Refuse a system that was not run, and one that is held against itself."""
    ending = f"_{column}"
    there = [str(name).removesuffix(ending) for name in sweep.manifest["schema"] if str(name).endswith(ending)]
    remedy = f"Name one of: {', '.join(there)}."
    problems = [
        Problem(option, "is no system of this sweep", name, remedy)
        for option, name in (("--system", asked.system), ("--over", asked.over))
        if name is not None and there and name not in there
    ]
    if asked.over == (asked.system or PLAN):
        problems.append(Problem("--over", "is the system that is studied", asked.over, "Name another one."))
    if problems:
        raise InputError(problems)


def _column(sweep: Sweep, column: str) -> FloatArray:
    factors = [name for name in sweep.manifest["schema"] if name not in {SCENARIO, FAILED}]
    if column not in factors:
        remedy = f"The sweep kept: {', '.join(factors)}."
        raise InputError([Problem("--output", "was not kept by this sweep", column, remedy)])
    return np.asarray(sweep.frame([column])[column].to_numpy(np.float64))


def _indices(
    question: Question, output: FloatArray
) -> tuple[Mapping[str, SobolIndex] | None, Mapping[str, MorrisEffect] | None, int]:
    file, names = question.file, [sampled.varied.name for sampled in question.factors]
    try:
        if file.design == SOBOL_INDICES:
            sobol, left_out = sobol_indices(output, len(names), file.seed)
            return {names[index.factor]: index for index in sobol}, None, left_out
        if file.design == MORRIS:
            morris, left_out = morris_effects(output, len(names), file.samples or 0, file.seed)
            return None, {names[effect.factor]: effect for effect in morris}, left_out
    except ValueError as error:
        raise InputError([Problem("--output", f"cannot be worked up: {error}", "", _LOOK)]) from error
    return None, None, 0


def _own_rows(question: Question, factor: Varied, column: FloatArray, output: FloatArray) -> Any:  # noqa: ANN401
    """Scenarios in which a factor is looked at: all, or one at a time only its own and the one of the file."""
    if question.file.design != ONE_AT_A_TIME:
        return np.ones(len(output), bool)
    rows = column != _now(factor)
    rows[0] = True
    return rows


def _now(factor: Varied) -> float:
    """Value in the scenario of the file; NaN where it states none, which is the first row's value too."""
    return float(factor.now) if _is_number(factor.now) else float("nan")


def _swings(
    question: Question, factors: Mapping[str, Varied], values: Mapping[str, FloatArray], output: FloatArray
) -> tuple[Swing, ...]:
    alone = question.file.design == ONE_AT_A_TIME
    found = [
        swing_one_at_a_time(name, column, output, _now(factors[name])) if alone else swing(name, column, output)
        for name, column in values.items()
    ]
    return tuple(sorted((one for one in found if one is not None), key=lambda one: -one.width))


def _ties(job: Job, factors: tuple[Sampled, ...]) -> dict[str, list[Tie]]:
    found: dict[str, list[Tie]] = {}
    for place, sampled in enumerate(factors):
        varied = sampled.varied
        if varied.numeric and _is_number(varied.now):
            ends = sorted(float(varied.decoded(code)) for code in sampled.steps())
            found[varied.name] = ties(
                incomes_along(job, place),
                float(varied.now),
                (ends[0], ends[-1]),
                whole=varied.whole,
                priced=place in job.monetary,
            )
    return found
