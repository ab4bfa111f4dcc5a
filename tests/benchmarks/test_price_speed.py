"""What a million draws of prices cost beside the plain product of arrays, and how long a stand's decisions take."""

import time
import tracemalloc
from collections.abc import Callable

import numpy as np
import pytest

from optimize.decisions import ENDS, Decisions
from optimize.prices.draws import BLOCK, Draws
from optimize.prices.market import Market
from optimize.prices.repricing import Repricing, present_values
from optimize.sell_or_wait import chain_of, solve
from simulator.interest import discount_factor
from waiting import market

pytestmark = pytest.mark.benchmark

DRAWS, YEARS, ACCOUNTS = 1_000_000, 40, 25
SLOWER_THAN_EINSUM = 1.5
MOST_BYTES = 1.5e9
DECISIONS_S = 1.0


def taken(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def moving() -> Market:
    """As many prices as accounts, mean-reverting, a little alike."""
    correlation = np.full((ACCOUNTS, ACCOUNTS), 0.3) + 0.7 * np.eye(ACCOUNTS)
    each = np.ones(ACCOUNTS)
    return Market(
        tuple(f"item {i}" for i in range(ACCOUNTS)), 20.0 * each, 0.6 * each, 0.8 * each, 0.1 * each, correlation
    )


def test_a_million_draws_are_repriced_nearly_as_fast_as_by_einsum() -> None:
    rng = np.random.default_rng(1)
    plan = Repricing(rng.normal(size=YEARS), rng.normal(size=(YEARS, ACCOUNTS)))
    chunks = [Draws(moving(), YEARS, seed).block(0) for seed in range(4)]
    rounds = -(-DRAWS // (BLOCK * len(chunks)))
    factor = discount_factor(0.05, np.arange(YEARS))
    weight = plan.weight * factor[:, None]

    def ours() -> list[np.ndarray]:
        return [plan.present_value(chunk, 0.05) for _ in range(rounds) for chunk in chunks]

    def plain() -> list[np.ndarray]:
        return [np.einsum("dti,ti->d", chunk, weight) for _ in range(rounds) for chunk in chunks]

    assert ours()[0] == pytest.approx(plain()[0] + plan.steady @ factor)
    mine, theirs = min(taken(ours) for _ in range(2)), min(taken(plain) for _ in range(2))
    print(f"\n{DRAWS:,} draws x {YEARS} years x {ACCOUNTS} accounts: {mine:.2f} s, {mine / theirs:.2f} of einsum's")  # noqa: T201
    assert mine < SLOWER_THAN_EINSUM * theirs


def test_a_million_draws_need_little_memory() -> None:
    """Drawn and repriced block by block: a part of the draws needs as much, but for 8 bytes of each result."""
    plan = Repricing(np.zeros(YEARS), np.ones((YEARS, ACCOUNTS)))
    series = Draws(moving(), YEARS, 1)
    tracemalloc.start()
    took = taken(lambda: present_values(plan, series, DRAWS // 10, 0.05))
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    peak += 2 * 8 * DRAWS
    print(f"\n{DRAWS // 10:,} draws drawn and repriced in {took:.1f} s; a million take {peak / 1e6:.0f} MB at most")  # noqa: T201
    assert peak < MOST_BYTES


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
    return Decisions(fixed, unit, next_state, allowed, 1.0 / 1.05)


@pytest.mark.parametrize("states", [1, 10])
def test_sixty_years_on_a_hundred_prices_are_decided_within_a_second(states: int) -> None:
    asked, price = decisions(60, states), market(28.0, 28.0, 0.8, 0.12)
    took = min(taken(lambda: solve(asked, chain_of(price, 60))) for _ in range(2))
    print(f"\n101 prices x 60 years x {states} states: {took:.3f} s")  # noqa: T201
    assert took < DECISIONS_S
