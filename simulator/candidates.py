"""The first axis is the candidate: states of some candidates taken out of those of many."""

from dataclasses import fields, is_dataclass, replace
from typing import TypeVar, cast

import numpy as np

from simulator.units import IntArray

State = TypeVar("State")


def taken(state: State, index: IntArray) -> State:
    """The same state of other candidates: every array in it taken along its first axis.

    Parameters
    ----------
    state
        An array (candidates, ...), or a dataclass, named tuple or dictionary of such states; a plain number or
        truth value belongs to all candidates and stays.
    index
        Candidates to take, in this order; one may be taken several times.

    Raises
    ------
    TypeError
        Where something else is in it.
    """
    if isinstance(state, np.ndarray):
        return cast("State", state[index])
    if isinstance(state, (bool, int, float)):
        return state
    if is_dataclass(state) and not isinstance(state, type):
        parts = {field.name: taken(getattr(state, field.name), index) for field in fields(state)}
        return cast("State", replace(state, **parts))
    if isinstance(state, dict):
        return cast("State", {key: taken(value, index) for key, value in state.items()})
    if isinstance(state, tuple):
        parts_of = (taken(part, index) for part in state)
        return cast("State", type(state)(*parts_of) if hasattr(state, "_fields") else tuple(parts_of))
    raise TypeError(f"a state holds arrays only, got {type(state).__name__}")
