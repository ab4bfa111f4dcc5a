"""What a search makes as large as it can."""

from typing import Final, Literal, NamedTuple

import numpy as np

from optimize.growing import Worth
from optimize.rate_of_return import best_rate, outlays
from optimize.verdicts import CAN_BE_DONE, VERDICTS
from simulator.finance import every_real_irr
from simulator.result import Outcome
from simulator.units import BoolArray, FloatArray, IntArray

Goal = Literal["npv", "land-expectation", "irr"]
GOALS: Final[tuple[Goal, ...]] = ("npv", "land-expectation", "irr")


class Objective(NamedTuple):
    """What is maximised.

    Attributes
    ----------
    goal
        Net present value over the horizon, land expectation value, or internal rate of return.
    least_outlay_per_ac
        Outlay below which a plan's rate of return does not count [$/ac].
    """

    goal: Goal
    least_outlay_per_ac: float = 50.0

    def of_outcome(self, outcome: Outcome) -> float:
        """Value of a plan that was run; NaN where it has none, such as a rate without an outlay."""
        if self.goal == "npv":
            return outcome.measures.npv
        if self.goal == "land-expectation":
            land = outcome.measures.land_expectation
            return float("nan") if land is None else land
        return self._rate(outcome.amount.sum(axis=1))

    def of_worth(self, worth: Worth) -> FloatArray:
        """Value of each of many plans, (plans,); rates are reckoned one by one, so ask for few."""
        if self.goal == "npv":
            return worth.npv
        if self.goal == "land-expectation":
            return worth.land_expectation
        return np.array([self._rate(cash) for cash in worth.cash])

    def order(self, worth: Worth, asked: BoolArray, wanted: int) -> IntArray:
        """Places of the best of the plans asked that can be done, best first, at most so many."""
        can = asked & (worth.verdict == VERDICTS.index(CAN_BE_DONE))
        if self.goal == "irr":
            return self._by_rate(worth, can, wanted)
        values = np.where(can, self.of_worth(worth), -np.inf)
        best = np.argsort(-values, kind="stable")[:wanted]
        return np.asarray(best[np.isfinite(values[best])])

    def _by_rate(self, worth: Worth, can: BoolArray, wanted: int) -> IntArray:
        order: list[int] = []
        left = can.copy()
        while len(order) < wanted:
            found = best_rate(worth.cash, left, self.least_outlay_per_ac)
            left &= ~found.several
            if found.place is None:
                break
            order.append(found.place)
            left[found.place] = False
        return np.array(order, dtype=np.int64)

    def _rate(self, cash: FloatArray) -> float:
        if not np.isfinite(cash).all() or outlays(cash[None])[0] < self.least_outlay_per_ac:
            return float("nan")
        roots = [root for root in every_real_irr(cash) if root > 0]
        return roots[0] if len(roots) == 1 else float("nan")
