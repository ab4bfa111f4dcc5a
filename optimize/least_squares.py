"""Least-squares Monte Carlo: when to act under several prices, and what that is worth on draws never seen before."""

from typing import NamedTuple

import numpy as np

from optimize.basis import Basis
from optimize.decisions import ENDS, Decisions
from optimize.prices.draws import standard_error
from simulator.units import BoolArray, FloatArray, IntArray


class Sample(NamedTuple):
    """Draws to learn from, or to be valued on.

    Attributes
    ----------
    prices
        In the order of the decisions' items, (draws, T + 1, items).
    known
        What the owner looks at when he decides, (draws, T + 1, features): the prices, means of past years, anything;
        None for the prices.
    considered
        Where acting is worth a thought, (draws, T + 1); elsewhere action 0 is taken, and what happens there does
        not enter the regression. None for everywhere.
    antithetic
        Whether neighbouring draws are pairs of opposite shocks.
    """

    prices: FloatArray
    known: FloatArray | None = None
    considered: BoolArray | None = None
    antithetic: bool = False

    def seen(self, stage: int) -> FloatArray:
        """What is known at a stage, (draws, features)."""
        return np.asarray((self.prices if self.known is None else self.known)[:, stage])

    def open(self, stage: int) -> BoolArray:
        """Draws in which acting is considered, (draws,)."""
        if self.considered is None:
            return np.ones(len(self.prices), dtype=bool)
        return np.asarray(self.considered[:, stage])


class Rule(NamedTuple):
    """A rule for when to act.

    Attributes
    ----------
    decisions
        What can be done.
    basis
        Functions of what is known.
    coefficient
        Worth of entering each state at the next stage, seen from this one [$], as a sum of those functions,
        (T, functions, states).
    """

    decisions: Decisions
    basis: Basis
    coefficient: FloatArray

    def chosen(self, stage: int, sample: Sample) -> IntArray:
        """Action taken in every state, (draws, states)."""
        decisions = self.decisions
        money = _money(decisions, stage, sample.prices[:, stage])
        if stage < decisions.stages - 1:
            money = money + _entered(decisions, stage, _sum(self.basis(sample.seen(stage)), self.coefficient[stage]))
        best = np.where(decisions.allowed[stage], money, -np.inf).argmax(axis=2)
        # where nothing is considered action 0 stands, as far as it is allowed
        waits = ~sample.open(stage)[:, None] & decisions.allowed[stage, :, 0]
        return np.asarray(np.where(waits, 0, best))


class Valuation(NamedTuple):
    """What a rule is worth on a sample.

    Attributes
    ----------
    mean, standard_error
        Of the present values [$].
    present_value
        Of each draw [$], (draws,).
    acted
        Stage at which each draw ended, (draws,).
    """

    mean: float
    standard_error: float
    present_value: FloatArray
    acted: IntArray


def learned(decisions: Decisions, sample: Sample, basis: Basis) -> Rule:
    """Learn when to act, backwards from the last stage.

    Parameters
    ----------
    decisions
        What can be done.
    sample
        Draws to learn from.
    basis
        Functions on which the worth of what follows is regressed.

    Returns
    -------
    Rule
        With the coefficients of each stage [$]. What follows is what the rule really brings later in the same draw, not
        what the regression says, so that its errors do not add up. On the sample it was learned from a rule looks a
        little too good: value it on another.

    Raises
    ------
    ValueError
        If the decisions do not fit together, or the sample has other stages or items.

    References
    ----------
    Longstaff & Schwartz 2001, Review of Financial Studies 14:113.
    """
    checked = decisions.checked()
    if sample.prices.shape[1:] != (checked.stages, checked.per_price.shape[-1]):
        raise ValueError(f"draws {sample.prices.shape} do not fit decisions {checked.per_price.shape}")
    functions = basis(sample.seen(0)).shape[1]
    coefficient = np.zeros((checked.stages - 1, functions, checked.fixed.shape[1]))
    rule = Rule(checked, basis, coefficient)
    brought = np.zeros((len(sample.prices), checked.fixed.shape[1]))
    for stage in reversed(range(checked.stages)):
        open_ = sample.open(stage)
        if stage < checked.stages - 1 and open_.any():
            design = basis(sample.seen(stage))[open_]
            coefficient[stage] = np.linalg.lstsq(design, checked.factor * brought[open_], rcond=None)[0]
        action = rule.chosen(stage, sample)
        money = _money(checked, stage, sample.prices[:, stage]) + _entered(checked, stage, checked.factor * brought)
        brought = np.take_along_axis(money, action[:, :, None], axis=2)[:, :, 0]
    return rule


def valued(rule: Rule, sample: Sample, state: int = 0) -> Valuation:
    """Follow a rule through every draw of a sample.

    Parameters
    ----------
    rule
        When to act.
    sample
        Draws; fresh ones, or the value is too high.
    state
        State at stage 0.

    Returns
    -------
    Valuation
        Mean and error [$]. A rule that is not the best one is worth less than the best, so that on fresh draws the mean
        lies below the true value, but for chance. The bytes of a draw do not depend on the draws beside it.

    References
    ----------
    As for :func:`learned`.
    """
    decisions, draws = rule.decisions, np.arange(len(sample.prices))
    at, worth = np.full(len(draws), state), np.zeros(len(draws))
    ended, factor = np.full(len(draws), -1), 1.0
    for stage in range(decisions.stages):
        here = np.maximum(at, 0)
        action = rule.chosen(stage, sample)[draws, here]
        money = _money(decisions, stage, sample.prices[:, stage])[draws, here, action]
        going = at != ENDS
        worth += np.where(going, factor * money, 0.0)
        at = np.where(going, decisions.next_state[stage, here, action], ENDS)
        ended[going & (at == ENDS)] = stage
        factor *= decisions.factor
    error = standard_error(worth, antithetic=sample.antithetic)
    return Valuation(float(worth.mean()), error, worth, ended)


def _money(decisions: Decisions, stage: int, price: FloatArray) -> FloatArray:
    """Money at once of each action, (draws, states, actions); added item by item, not by BLAS, for equal bytes."""
    money = np.broadcast_to(decisions.fixed[stage], (len(price), *decisions.fixed.shape[1:])).copy()
    for item in range(price.shape[1]):
        money += price[:, item, None, None] * decisions.per_price[stage, :, :, item]
    return money


def _entered(decisions: Decisions, stage: int, later: FloatArray) -> FloatArray:
    """What follows each action, (draws, states, actions), from the worth of each state entered, (draws, states)."""
    follows = decisions.next_state[stage]
    return np.where(follows == ENDS, 0.0, later[:, follows])


def _sum(functions: FloatArray, coefficient: FloatArray) -> FloatArray:
    """Sums of functions, (draws, states), in a fixed order for equal bytes."""
    total = np.zeros((len(functions), coefficient.shape[1]))
    for place in range(functions.shape[1]):
        total += functions[:, place, None] * coefficient[place]
    return total
