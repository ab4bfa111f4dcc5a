"""What can be done with a stand at each stage, as arrays: the common question of every way to value waiting."""

from typing import Final, NamedTuple

import numpy as np

from simulator.interest import discount_factor
from simulator.units import BoolArray, FloatArray, Floats, IntArray

ENDS: Final = -1
"""Next state of an action after which nothing follows."""


class Decisions(NamedTuple):
    """Stages 0 to T, at each a choice among the same actions in each of the same states.

    Action 0 is the one to take when in doubt (wait); it wins ties. What an action brings is a straight line in the
    prices of its stage.

    Attributes
    ----------
    fixed
        Money at once that no price moves [$], (T + 1, states, actions).
    per_price
        What one unit of each price brings at once [$ a unit of price], (T + 1, states, actions, items).
    next_state
        State entered at the next stage, or ``ENDS``, (T + 1, states, actions); all end at stage T.
    allowed
        Whether an action can be taken, (T + 1, states, actions); wherever the stand may come, something can.
    factor
        What money of the next stage is worth at this one [1].
    """

    fixed: FloatArray
    per_price: FloatArray
    next_state: IntArray
    allowed: BoolArray
    factor: float

    @property
    def stages(self) -> int:
        """Number of stages, T + 1."""
        return len(self.fixed)

    def checked(self) -> "Decisions":
        """The same, or a ValueError that says which arrays do not fit together."""
        shape = self.fixed.shape
        if self.per_price.shape[:-1] != shape or self.next_state.shape != shape or self.allowed.shape != shape:
            shapes = [array.shape for array in self[:4]]
            raise ValueError(f"arrays of decisions must share stages, states and actions, received {shapes}")
        if not ((self.next_state >= ENDS) & (self.next_state < shape[1])).all():
            raise ValueError("a next state lies outside the states")
        if (self.allowed[-1] & (self.next_state[-1] != ENDS)).any():
            raise ValueError("at the last stage every allowed action must end")
        follows = np.where(self.allowed[:-1] & (self.next_state[:-1] != ENDS), self.next_state[:-1], 0)
        open_ = np.asarray(self.allowed.any(axis=2))
        stuck = ~np.take_along_axis(open_[1:], follows.reshape(len(follows), -1), axis=1).reshape(follows.shape)
        if (stuck & self.allowed[:-1] & (self.next_state[:-1] != ENDS)).any():
            raise ValueError("an action leads to a state in which nothing is allowed")
        return self


def sell_or_keep(per_price: FloatArray, fixed: Floats, kept: Floats, rate: float) -> Decisions:
    """Decisions of one sale that can wait: action 0 keeps, action 1 sells; at the last stage it is sold.

    Parameters
    ----------
    per_price
        What the sale brings a unit of price by stage, such as tons [$ a unit of price], (T + 1,).
    fixed
        What it brings besides, such as bare land less clearing [$], scalar or (T + 1,).
    kept
        What a stage of keeping brings, paid at its start; carrying costs below 0 [$], scalar or (T + 1,).
    rate
        Discount rate for one stage [1].

    Returns
    -------
    Decisions
        One state, one price.
    """
    stages = len(per_price)
    shape = (stages, 1, 2)
    money, unit = np.zeros(shape), np.zeros((*shape, 1))
    money[:, 0, 0], money[:, 0, 1] = kept, fixed
    unit[:, 0, 1, 0] = per_price
    next_state, allowed = np.full(shape, ENDS), np.ones(shape, dtype=bool)
    next_state[:-1, 0, 0] = 0
    allowed[-1, 0, 0] = False
    return Decisions(money, unit, next_state, allowed, float(discount_factor(rate, 1.0)))


class FixedPlan(NamedTuple):
    """The best plan that is settled today and carried out whatever prices do.

    Attributes
    ----------
    value
        Its mean present value [$].
    actions
        What it does, stage by stage until it ends.
    """

    value: float
    actions: tuple[int, ...]


def best_fixed_plan(decisions: Decisions, mean_price: FloatArray, state: int = 0) -> FixedPlan:
    """Find the best plan that does not look at prices; what deciding year by year adds to it is the worth of waiting.

    Parameters
    ----------
    decisions
        What can be done.
    mean_price
        Mean price of each stage, as seen from today, in the unit of each item, (T + 1, items).
    state
        State at stage 0.

    Returns
    -------
    FixedPlan
        Mean present value [$]. Money is a straight line in prices, so that a plan's mean is its money at mean prices:
        no
        draws are needed.

    References
    ----------
    Backward induction; common practice.
    """
    checked = decisions.checked()
    value, best = np.zeros(checked.fixed.shape[1]), []
    for stage in reversed(range(checked.stages)):
        money = checked.fixed[stage] + checked.per_price[stage] @ mean_price[stage]
        follows = checked.next_state[stage]
        later = np.where(follows == ENDS, 0.0, value[follows])
        total = np.where(checked.allowed[stage], money + checked.factor * later, -np.inf)
        best.append(total.argmax(axis=1))
        value = total.max(axis=1)
    best.reverse()
    worth, actions = float(value[state]), []
    for stage in range(checked.stages):
        actions.append(int(best[stage][state]))
        state = int(checked.next_state[stage, state, actions[-1]])
        if state == ENDS:
            break
    return FixedPlan(worth, tuple(actions))
