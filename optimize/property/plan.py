"""The best plan of a property: what each tract does, what comes of it by year, and what is proven."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from optimize.property.conflicts import Way, ways_out
from optimize.property.couplings import Couplings
from optimize.property.pool import Pool, undominated
from optimize.property.relaxation import Tell
from optimize.property.rows import profile_of, system_of
from optimize.property.search import Ending, Found, gap_of, search
from optimize.property.solve import Stopwatch
from optimize.property.system import THOUSAND, System
from optimize.tracts import FLOWS, TractColumns
from simulator.units import FloatArray, IntArray

JOBS: Final = ("planted", "thinned", "harvested", "hay", "grazed")
LEAST_PRICE: Final = 0.5
"""Dollars below which a shadow price is not told."""
HERD_QUANTITIES: Final = ("head", "raised", "bought", "sold", "feed")


@dataclass(frozen=True)
class ShadowPrice:
    """What a little more room would add to the best plan if tracts could be split.

    Attributes
    ----------
    words
        The little more, such as ``another $1,000 in year 3``.
    adds
        What it adds [$].
    """

    words: str
    adds: float


@dataclass(frozen=True)
class PropertyPlan:
    """The best plan that was found, or why there is none.

    Attributes
    ----------
    ending
        ``proven`` within the gap asked for, ``stopped`` before that, ``infeasible`` or ``nothing found``.
    tracts
        Each tract with its chosen pathway and no other; empty where there is no plan.
    value, bound
        Worth of the plan, a herd's included, and what no plan of these pathways exceeds [$].
    gap
        How far the plan may be from the best, as a share.
    flows
        Sums over all tracts by year, by name of `optimize.tracts.FLOWS`.
    herd
        Females, and those raised, bought and sold, and feed bought [animal-unit month], by year; empty without a herd.
    balance
        Money on hand at the end of each year [$]; empty without a budget.
    shadow_prices
        Of the relaxation, dearest first.
    considered, dropped
        Pathways of all tracts, and those left out because another of the tract is never worse.
    ways_out
        Where there is no plan: the couplings that would have to give.
    interrupted
        Whether the person stopped the search.
    """

    ending: Ending
    tracts: tuple[TractColumns, ...]
    value: float
    bound: float
    considered: int
    dropped: int
    flows: Mapping[str, FloatArray] = field(default_factory=dict)
    herd: Mapping[str, FloatArray] = field(default_factory=dict)
    balance: FloatArray = field(default_factory=lambda: np.zeros(0))
    shadow_prices: tuple[ShadowPrice, ...] = ()
    ways_out: tuple[Way, ...] = ()
    interrupted: bool = False

    @property
    def gap(self) -> float:
        """How far the plan may be from the best, as a share of its worth."""
        return gap_of(self.value / THOUSAND, self.bound / THOUSAND)

    def jobs(self, tract: int) -> dict[str, IntArray]:
        """Years of each of `JOBS` on one tract."""
        flows = self.tracts[tract].flows_per_ac
        flags = {job: flows["hay_ton" if job == "hay" else job][0] > 0 for job in JOBS}
        return {job: np.flatnonzero(flag) for job, flag in flags.items()}


def best_plan(
    tracts: Sequence[TractColumns],
    couplings: Couplings,
    *,
    groups: Sequence[str],
    rate: float,
    search_for: tuple[float, float, int],
    tell: Tell = lambda _: None,
) -> PropertyPlan:
    """Find the plan of all tracts that is worth most.

    Parameters
    ----------
    tracts
        Pathways of each tract.
    couplings
        What ties them together.
    groups
        Group of each tract; tracts of one group are cut together.
    rate
        Real yearly discount rate.
    search_for
        Longest search [s], gap at which it may stop as a share, and seed.
    tell
        Is told how far it is.

    Returns
    -------
    PropertyPlan
        Without couplings the best of each tract, which needs no search.
    """
    limit_s, gap, seed = search_for
    whole = Pool([without_rent(tract, rate) for tract in tracts] if couplings.herd else tracts)
    if not couplings.wanted:
        chosen = whole.best_each()
        value = float(whole.value[chosen].sum())
        return _plan(whole, chosen, PropertyPlan("proven", (), value, value, len(whole), len(whole) - len(chosen)))
    keep = undominated(whole, profile_of(whole, couplings))
    pool = whole.kept(keep)
    tell(f"{len(whole):,} pathways of {len(tracts)} tracts, {len(whole) - len(pool):,} of them never better")
    system = system_of(pool, couplings, groups, rate)
    with Stopwatch(limit_s).listening() as watch:
        found = search(system, gap, seed, watch, tell)
        ways: tuple[Way, ...] = ()
        if found.ending == "infeasible" and not watch.asked:
            with Stopwatch(limit_s).listening() as asking:
                ways = ways_out(system, seed, asking, tell)
    plan = PropertyPlan(
        ending=found.ending,
        tracts=(),
        value=THOUSAND * found.value,
        bound=THOUSAND * found.bound,
        considered=len(whole),
        dropped=len(whole) - len(pool),
        shadow_prices=_prices(system, found),
        ways_out=ways,
        interrupted=watch.asked,
        herd=_herd(system, found),
        balance=THOUSAND * _held(system, found).get("balance", np.zeros(0)),
    )
    return _plan(pool, found.chosen, plan) if len(found.chosen) else plan


def without_rent(tract: TractColumns, rate: float) -> TractColumns:
    """A tract whose grass the owner's herd eats, so that nobody pays rent for it."""
    flows = dict(tract.flows_per_ac)
    rent = flows["grazing_rent"]
    worth = rent @ (1.0 + rate) ** -np.arange(rent.shape[1])
    flows |= {"cash": flows["cash"] - rent, "grazing_rent": np.zeros_like(rent)}
    return tract._replace(value_per_ac=tract.value_per_ac - worth, flows_per_ac=flows)


def _plan(pool: Pool, chosen: IntArray, plan: PropertyPlan) -> PropertyPlan:
    keep = np.zeros(len(pool), bool)
    keep[chosen] = True
    tracts = pool.kept(keep).tracts
    return PropertyPlan(**{**vars(plan), "tracts": tracts, "flows": sums(tracts)})


def sums(tracts: Sequence[TractColumns]) -> dict[str, FloatArray]:
    """Flows of all tracts together by year; ``planted`` and the like are acres. Each tract has one pathway."""
    return {name: np.sum([tract.acres * tract.flows_per_ac[name][0] for tract in tracts], axis=0) for name in FLOWS}


def _held(system: System, found: Found) -> dict[str, FloatArray]:
    """What the plan has of each quantity beside the pathways, by name."""
    if not len(found.chosen):
        return {}
    return {name: found.extras[places] for name, places in system.names.items()}


def _herd(system: System, found: Found) -> dict[str, FloatArray]:
    held = _held(system, found)
    return {name: held[name] for name in HERD_QUANTITIES if name in held}


def _prices(system: System, found: Found) -> tuple[ShadowPrice, ...]:
    """What a little more room of each limit would add to the best plan if tracts could be split.

    Parameters
    ----------
    system
        The problem.
    found
        Prices of the relaxation.

    Returns
    -------
    tuple of ShadowPrice
        Dearest first [$].

    References
    ----------
    Duality of linear programs; good for a small step only.
    """
    if not len(found.row_price):
        return ()
    adds = THOUSAND * np.abs(found.row_price) * np.array([row.step for row in system.rows])
    told = [i for i in np.argsort(-adds, kind="stable") if system.rows[i].gain and adds[i] >= LEAST_PRICE]
    return tuple(ShadowPrice(system.rows[i].gain, float(adds[i])) for i in told)
