"""The problem of a property in algebra: one 0-1 quantity for each tract and pathway, of which each tract takes one."""

from typing import NamedTuple

import numpy as np
import pyomo.environ as pyo
from pyomo.core.expr.numeric_expr import LinearExpression
from scipy import sparse

from optimize.property.system import NO_LIMIT, System
from simulator.units import FloatArray, IntArray


class Algebra(NamedTuple):
    """A model and its parts in the order of the arrays.

    Attributes
    ----------
    model
        Minimises the worth with its sign turned.
    pathways, extras, rows, ones
        Variables and constraints; ``ones`` says that each tract takes one pathway.
    """

    model: pyo.ConcreteModel
    pathways: list[pyo.Var]
    extras: list[pyo.Var]
    rows: list[pyo.Constraint]
    ones: list[pyo.Constraint]


def algebra_of(system: System, columns: IntArray, *, relaxed: bool) -> Algebra:
    """Write part of a problem in algebra.

    Parameters
    ----------
    system
        The problem.
    columns
        Pathways that may be chosen.
    relaxed
        Whether a tract may be split between pathways, and a 0-1 quantity be anything between.

    Returns
    -------
    Algebra
        Coefficients of zero are not written.
    """
    model = pyo.ConcreteModel()
    domain = pyo.NonNegativeReals if relaxed else pyo.Binary
    model.pathway = pyo.Var(range(len(columns)), domain=domain)
    extras = system.extras
    binary = extras.binary & (not relaxed)
    model.extra = pyo.Var(
        range(len(extras.low)),
        domain=lambda _, i: pyo.Binary if binary[i] else pyo.Reals,
        bounds=lambda _, i: (_limit(float(extras.low[i])), _limit(float(extras.high[i]))),
    )
    pathways, extra = list(model.pathway.values()), list(model.extra.values())
    variables = np.array([*pathways, *extra], dtype=object)
    whole = sparse.csr_array(sparse.hstack([system.on_pathways[:, columns], system.on_extras]))
    model.row = pyo.Constraint(
        range(len(system.rows)),
        rule=lambda _, i: _between(_sum(whole, i, variables), float(system.low[i]), float(system.high[i])),
    )
    ones = _membership(system.tract[columns], system.tracts)
    one_of = np.array(pathways, dtype=object)
    model.one = pyo.Constraint(range(system.tracts), rule=lambda _, i: _between(_sum(ones, i, one_of), 1.0, 1.0))
    worth = np.concatenate([system.value[columns], extras.value])
    counted = np.flatnonzero(worth)
    model.loss = pyo.Objective(expr=_linear(-worth[counted], variables[counted]), sense=pyo.minimize)
    return Algebra(model, pathways, extra, list(model.row.values()), list(model.one.values()))


def _limit(bound: float) -> float | None:
    return float(bound) if np.isfinite(bound) else None


def _membership(tract: IntArray, tracts: int) -> "sparse.csr_array":
    return sparse.csr_array((np.ones(len(tract)), (tract, np.arange(len(tract)))), (tracts, len(tract)))


def _sum(
    matrix: "sparse.csr_array", row: int, variables: "np.ndarray[tuple[int, ...], np.dtype[np.object_]]"
) -> object:
    part = slice(matrix.indptr[row], matrix.indptr[row + 1])
    return _linear(matrix.data[part], variables[matrix.indices[part]])


def _linear(coefficients: FloatArray, variables: "np.ndarray[tuple[int, ...], np.dtype[np.object_]]") -> object:
    return LinearExpression(constant=0.0, linear_coefs=coefficients.tolist(), linear_vars=variables.tolist())


def _between(body: object, low: float, high: float) -> object:
    """A row with its limits; one without anything in it holds or not whatever is chosen."""
    if not body.linear_vars:  # type: ignore[attr-defined]
        return pyo.Constraint.Feasible if low <= 0.0 <= high else pyo.Constraint.Infeasible
    if low == high:
        return (body, low)
    return (None if low == -NO_LIMIT else low, body, None if high == NO_LIMIT else high)
