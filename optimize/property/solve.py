"""One call of the solver with its traps handled: what was found, what is proven, and nothing raised for being late."""

import logging
import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final, Literal, NamedTuple, TypeAlias

import numpy as np
from pyomo.contrib.solver.common.factory import SolverFactory
from pyomo.contrib.solver.common.results import Results, TerminationCondition

from optimize.property.model import Algebra, algebra_of
from optimize.property.system import System
from simulator.units import FloatArray, IntArray

Status: TypeAlias = Literal["done", "near enough", "infeasible", "late"]

LEAST_S: Final = 0.5
"""The solver is given at least so long, or it would find nothing at all."""
TOLERANCE: Final = 1e-7
"""Feasibility asked of rows and of 0-1 quantities, in thousands of dollars, tons, acres or hours."""

logging.getLogger("pyomo.contrib.solver.solvers.highs").setLevel(logging.ERROR)  # a stopped solver is no news


class Stopwatch:
    """When the search has to end, and whether the person asked to stop.

    Attributes
    ----------
    asked
        Whether the person asked to stop; the best plan so far is kept.
    """

    def __init__(self, limit_s: float) -> None:
        self._end = time.monotonic() + limit_s
        self._solver: Any = None
        self._part: Stopwatch | None = None
        self.asked = False

    @property
    def left_s(self) -> float:
        """Time left [s], below 0 when it is over."""
        return self._end - time.monotonic()

    @property
    def over(self) -> bool:
        """Whether there is nothing left to do but to say what was found."""
        return self.asked or self.left_s <= 0.0

    @contextmanager
    def listening(self) -> Iterator["Stopwatch"]:
        """Let a first interrupt end the search and keep its plan; a second one ends the program."""
        if threading.current_thread() is not threading.main_thread():
            yield self
            return
        before = {number: signal.signal(number, lambda *_: self._stop()) for number in (signal.SIGINT, signal.SIGTERM)}
        try:
            yield self
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)

    @contextmanager
    def running(self, solver: Any) -> Iterator[None]:  # noqa: ANN401 - the interface has no types
        """Note which solver runs, so that it can be stopped."""
        self._solver = solver
        try:
            yield
        finally:
            self._solver = None

    @contextmanager
    def sharing(self, part: "Stopwatch") -> Iterator[None]:
        """Pass an interrupt on to a part of the search that has a time of its own."""
        self._part = part
        try:
            yield
        finally:
            self._part = None

    def _stop(self) -> None:
        if self.asked:
            raise KeyboardInterrupt
        self.asked = True
        if self._part is not None:
            self._part._stop()  # noqa: SLF001 - of its own kind
        # the interface has no way to stop; an exception in the solver's callback would lose what was found
        running = getattr(self._solver, "_solver_model", None)
        if running is not None:
            running.cancelSolve()


class Answer(NamedTuple):
    """What the solver found of some pathways of a problem.

    Attributes
    ----------
    status
        ``done`` within the gap asked for, ``near enough`` where the target was met, ``infeasible``, or ``late``.
    value
        Worth of what was found [1,000 $]; None where nothing was.
    bound
        What no choice of these pathways exceeds [1,000 $].
    pathways, extras
        Shares of the pathways given and the other quantities.
    row_price, tract_price
        What a unit more on the right-hand side of a row adds, of a relaxation only [1,000 $].
    """

    status: Status
    value: float | None
    bound: float
    pathways: FloatArray
    extras: FloatArray
    row_price: FloatArray
    tract_price: FloatArray


class Asked(NamedTuple):
    """How near and how to search.

    Attributes
    ----------
    gap
        Share of the value at which the solver may stop.
    seed
        Of the solver.
    target
        Worth at which it may stop whatever the gap [1,000 $]; None for none.
    share_of_time
        How much of the time left it may take.
    """

    gap: float
    seed: int
    target: float | None = None
    share_of_time: float = 1.0


def solve(system: System, columns: IntArray, asked: Asked, watch: Stopwatch, *, relaxed: bool) -> Answer:
    """Find the best choice among some pathways.

    Parameters
    ----------
    system
        The problem.
    columns
        Pathways that may be chosen; each tract must have one.
    asked
        How near.
    watch
        When to stop.
    relaxed
        Whether tracts may be split, which also gives prices.

    Returns
    -------
    Answer
    """
    if _never(system, columns):
        return _nothing("infeasible", -np.inf)
    algebra = algebra_of(system, columns, relaxed=relaxed)
    solver = _solver(asked, watch, relaxed=relaxed)
    with watch.running(solver):
        result = solver.solve(algebra.model)
    return _answer(result, algebra, relaxed=relaxed)


def _never(system: System, columns: IntArray) -> bool:
    """Whether a row has nothing in it and does not hold, which algebra cannot write down."""
    empty = (np.diff(system.on_pathways[:, columns].tocsr().indptr) == 0) & (np.diff(system.on_extras.indptr) == 0)
    return bool((empty & ((system.low > 0.0) | (system.high < 0.0))).any())


def _solver(asked: Asked, watch: Stopwatch, *, relaxed: bool) -> Any:  # noqa: ANN401 - the interface has no types
    solver: Any = SolverFactory("highs")
    config = solver.config
    config.load_solutions = False
    config.raise_exception_on_nonoptimal_result = False
    config.time_limit = max(asked.share_of_time * watch.left_s, LEAST_S)
    config.threads = 1  # the solver fails where this changes within a process, and one thread repeats itself
    config.solver_options = {"random_seed": asked.seed, "primal_feasibility_tolerance": TOLERANCE}
    if not relaxed:
        config.rel_gap = asked.gap
        config.abs_gap = 0.0
        config.solver_options["mip_feasibility_tolerance"] = TOLERANCE
        if asked.target is not None:
            config.solver_options["objective_target"] = -asked.target
    return solver


def _answer(result: Results, algebra: Algebra, *, relaxed: bool) -> Answer:
    ended = result.termination_condition
    if ended in {TerminationCondition.provenInfeasible, TerminationCondition.infeasibleOrUnbounded}:
        return _nothing("infeasible", -np.inf)
    loss_bound = result.objective_bound
    bound = np.inf if loss_bound is None or not np.isfinite(loss_bound) else -float(loss_bound)
    # a relaxation that was stopped is neither a choice nor a bound
    if result.incumbent_objective is None or (relaxed and ended != TerminationCondition.convergenceCriteriaSatisfied):
        return _nothing("late", np.inf if relaxed else bound)
    kinds: dict[TerminationCondition, Status] = {
        TerminationCondition.convergenceCriteriaSatisfied: "done",
        TerminationCondition.objectiveLimit: "near enough",
    }
    loader = result.solution_loader
    value_of = loader.get_vars()
    prices = loader.get_duals() if relaxed else None
    priced = [
        np.array([-prices.get(row, 0.0) for row in rows]) if prices is not None else np.zeros(0)
        for rows in (algebra.rows, algebra.ones)
    ]
    return Answer(
        status=kinds.get(ended, "late"),
        value=-float(result.incumbent_objective),
        bound=bound,
        pathways=np.array([value_of.get(variable, 0.0) for variable in algebra.pathways]),
        extras=np.array([value_of.get(variable, 0.0) for variable in algebra.extras]),
        row_price=priced[0],
        tract_price=priced[1],
    )


def _nothing(status: Status, bound: float) -> Answer:
    empty = np.zeros(0)
    return Answer(status, None, bound, empty, empty, empty, empty)
