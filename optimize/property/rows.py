"""From couplings to rows: what each of them says of the pathways of all tracts, year by year."""

from collections.abc import Sequence

import numpy as np

from optimize.property.couplings import Couplings
from optimize.property.herd_rows import add_herd
from optimize.property.limits import add_budget, add_even, add_grazing, add_labour, add_renewal, freshly_cut, periods
from optimize.property.loads import add_load
from optimize.property.pool import Pool, Profile
from optimize.property.system import THOUSAND, Builder, System
from simulator.units import FloatArray


def system_of(pool: Pool, couplings: Couplings, groups: Sequence[str], rate: float) -> System:
    """The whole problem of a property.

    Parameters
    ----------
    pool
        Pathways of all tracts.
    couplings
        What ties them together.
    groups
        Group of each tract, (tracts,); tracts of one group are cut together.
    rate
        Real yearly discount rate [1/yr], for a herd.

    Returns
    -------
    System
        Money in thousands of dollars [1,000 $].

    References
    ----------
    Integer program that chooses one pathway for each tract: common practice of harvest planning, no single source.
    """
    builder = Builder(len(pool))
    cash = pool.flow("cash") / THOUSAND
    if couplings.herd is not None:
        add_herd(builder, pool, couplings.herd, rate)
    if couplings.budget is not None:
        add_budget(builder, cash, couplings.budget)
    if couplings.labour is not None:
        add_labour(builder, pool, couplings.labour)
    if couplings.even_income is not None:
        add_even(builder, "even_income", cash, couplings.even_income)
    if couplings.even_wood is not None:
        add_even(builder, "even_wood", pool.flow("wood_ton"), couplings.even_wood)
    if couplings.load is not None:
        add_load(builder, pool, couplings.load, groups)
    if couplings.renewal is not None:
        add_renewal(builder, pool, couplings.renewal)
    if couplings.grazing is not None:
        add_grazing(builder, pool, couplings.grazing)
    return builder.system(pool.value / THOUSAND, pool.tract)


def profile_of(pool: Pool, couplings: Couplings) -> Profile:
    """What the couplings see of each pathway, for leaving out what is never better.

    Money counts as the balance it leads to: whoever is never behind in that is never short where the other is not.
    """
    better: list[FloatArray] = []
    alike: list[FloatArray] = []
    if couplings.budget is not None:
        better.append(_balances(pool.flow("cash"), couplings.budget.interest))
    if couplings.herd is not None:
        better.append(pool.flow("forage_aum"))
    if couplings.labour is not None:
        better.append(-pool.flow("labour_h"))
    if couplings.renewal is not None:
        better.append(-freshly_cut(pool, couplings.renewal))
    if couplings.grazing is not None:
        better.append(pool.flow("grazed"))
    if couplings.even_income is not None:
        alike.append(pool.flow("cash") @ periods(couplings.even_income, pool.years).T)
    if couplings.even_wood is not None:
        alike.append(pool.flow("wood_ton") @ periods(couplings.even_wood, pool.years).T)
    if couplings.load is not None:
        alike.append(pool.flow("wood_ton"))
    nothing = np.zeros((len(pool), 0))
    return Profile(np.column_stack([nothing, *better]), np.column_stack([nothing, *alike]))


def _balances(cash: FloatArray, interest: float) -> FloatArray:
    """Balance of money that each pathway leads to by year [1,000 $], with interest."""
    year = np.arange(cash.shape[1])
    grown = np.where(year[:, None] <= year, (1.0 + interest) ** np.maximum(year - year[:, None], 0), 0.0)
    return np.asarray(cash @ grown)
