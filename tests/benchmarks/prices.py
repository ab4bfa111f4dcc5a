"""What a million draws of prices cost beside the plain product of arrays, and how long a stand's decisions take."""

from collections.abc import Iterator
from functools import partial
from typing import Final

import numpy as np

from benchmarks.figures import Curve, Expected, Figure, Said, figure, projected
from benchmarks.growth import fitted
from benchmarks.stopwatch import in_turns
from optimize.decisions import ENDS, Decisions
from optimize.prices.draws import BLOCK, Draws
from optimize.prices.market import Market
from optimize.prices.repricing import Repricing
from optimize.sell_or_wait import chain_of, solve
from simulator.interest import discount_factor
from simulator.units import FloatArray
from waiting import market

DRAWS, YEARS, ACCOUNTS = 1_000_000, 40, 25
RATE: Final = 0.05
CHUNKS: Final = 4
WAITING_YEARS: Final = 60
STATES: Final = 10
REPRICED: Final = Said(
    "reprice",
    "1,000,000 draws of 25 prices over 40 years valued",
    "the product of the arrays alone (numpy einsum)",
    1.5,
)
DECIDED: Final = Said(
    "wait",
    "when to sell: 60 years, 101 prices, 10 states of thinning",
    "its products of matrices alone",
    None,
    1.0,
)
REPRICING: Final = Expected(
    "repricings", "draws of prices valued", "draws", 1.0, 0.1, "one product of arrays, block by block"
)
WAYS: Final = Expected(
    "waiting",
    "sell, thin or wait over 60 years on 101 prices, states of thinning",
    "states",
    1.0,
    0.2,
    "each state is decided by itself at every stage; the step from year to year is one product of matrices, whose"
    " columns are the states",
)
GRID: Final = Expected(
    "price-grid",
    "the grid of prices that waiting is decided on, prices of the grid",
    "prices",
    2.0,
    0.3,
    "from every price to every price of the year after",
)


def moving() -> Market:
    """As many prices as accounts, mean-reverting, a little alike."""
    correlation = np.full((ACCOUNTS, ACCOUNTS), 0.3) + 0.7 * np.eye(ACCOUNTS)
    each = np.ones(ACCOUNTS)
    names = tuple(f"item {i}" for i in range(ACCOUNTS))
    return Market(names, 20.0 * each, 0.6 * each, 0.8 * each, 0.1 * each, correlation)


def decisions(years: int, states: int) -> Decisions:
    """Wait, thin or cut, in each of so many states of thinnings done."""
    shape = (years + 1, states, 3)
    t = np.arange(years + 1.0)[:, None]
    fixed, unit = np.zeros(shape), np.zeros((*shape, 1))
    fixed[..., 0], fixed[..., 1], fixed[..., 2] = -12.0, -40.0, 400.0
    unit[..., 1, 0], unit[..., 2, 0] = 10.0, 60.0 + 2.0 * t - 3.0 * np.arange(states)
    next_state, allowed = np.full(shape, ENDS), np.ones(shape, dtype=bool)
    next_state[:-1, :, 0], next_state[:-1, :-1, 1] = np.arange(states), np.arange(1, states)
    allowed[:, -1, 1], allowed[-1, :, :2] = False, False
    return Decisions(fixed, unit, next_state, allowed, 1.0 / (1.0 + RATE))


def repricings(quick: bool) -> Iterator[Figure | Curve]:  # noqa: FBT001 - every benchmark is asked this one question
    """A million draws valued, and how that grows with draws."""
    rng = np.random.default_rng(1)
    plan = Repricing(rng.normal(size=YEARS), rng.normal(size=(YEARS, ACCOUNTS)))
    chunks = [Draws(moving(), YEARS, seed).block(0) for seed in range(1 if quick else CHUNKS)]
    rounds = -(-DRAWS // (BLOCK * CHUNKS)) // (4 if quick else 1)
    weight = plan.weight * discount_factor(RATE, np.arange(YEARS))[:, None]
    share = DRAWS / (rounds * sum(len(chunk) for chunk in chunks))

    def ours(times: int = rounds) -> list[FloatArray]:
        return [plan.present_value(chunk, RATE) for _ in range(times) for chunk in chunks]

    def product() -> list[FloatArray]:
        return [np.einsum("dti,ti->d", chunk, weight) for _ in range(rounds) for chunk in chunks]

    turns = 1 if quick else 3
    yield figure(REPRICED, projected(in_turns(ours, product, turns), share, share), turns)
    grown = {times * BLOCK * len(chunks): partial(ours, times) for times in (rounds // 8, rounds // 4, rounds // 2)}
    yield fitted(REPRICING, grown)


def waiting(quick: bool) -> Iterator[Figure | Curve]:  # noqa: FBT001
    """When to sell one stand, and how that grows with what can be done with it and with the grid of prices."""
    price, turns = market(28.0, 28.0, 0.8, 0.12), 1 if quick else 5
    chain, asked = chain_of(price, WAITING_YEARS), decisions(WAITING_YEARS, STATES)
    value = np.ones((len(chain.price), STATES))

    def products() -> list[FloatArray]:
        return [chain.weight @ value for _ in range(WAITING_YEARS)]

    yield figure(DECIDED, in_turns(lambda: solve(asked, chain), products, turns), turns)
    states = (4, 8, 16) if quick else (8, 16, 32, 64)
    yield fitted(WAYS, {n: partial(solve, decisions(WAITING_YEARS, n), chain) for n in states})
    grids = (101, 201, 401) if quick else (400, 800, 1200, 1600)
    yield fitted(GRID, {n: partial(chain_of, price, WAITING_YEARS, n) for n in grids})
