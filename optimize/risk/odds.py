"""The three systems of one piece of land through the same draws of hazards, and what each hazard costs by itself."""

from collections.abc import Callable, Collection, Mapping, Sequence
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from optimize.prices.market import Market, default_market, market_of
from optimize.processes import side_by_side
from optimize.risk.draws import Terms, terms_of
from optimize.risk.found import Asked, Cost, Drawn, Odds
from optimize.risk.growth import SINGLE, Portion, relevant_to
from optimize.risk.lots import CHUNK
from optimize.risk.outlook import Outlook, worth_later
from optimize.risk.portions import Earned, earned
from simulator.alternatives import systems_of
from simulator.finance import net_present_value
from simulator.interest import discount_factor
from simulator.measures import effective_prices, real_discount_rate
from simulator.parameters.odds import HAZARDS
from simulator.parameters.prices import load_prices
from simulator.scenario.model import Scenario
from simulator.units import FloatArray

ALONE: Final = 1000
"""Draws at most in which each hazard is let loose by itself, to see what it costs."""


class _Job(NamedTuple):
    """A portion, whose it is, and the hazard that is alone in it, if one is."""

    system: str
    alone: str | None
    portion: Portion


Tell = Callable[[int, int], None]


def odds_of(scenario: Scenario, asked: Asked, beside: Path | None = None, tell: Tell | None = None) -> Odds:
    """Draw hazards, and prices where asked, and run every system of a comparison through the same draws.

    Parameters
    ----------
    scenario
        The plan; its ``[risk]`` says where the land lies.
    asked
        What is drawn.
    beside
        Folder of the scenario file, for its own price table.
    tell
        Called with the number of plans grown and of all.

    Returns
    -------
    Odds
        Stopped by the person it keeps the draws that all systems have.

    Raises
    ------
    KeyboardInterrupt
        Where it is stopped before there are any.
    """
    terms, systems = terms_of(scenario.risk), systems_of(scenario, beside)
    market = _market(scenario, beside) if asked.prices else None
    jobs = _jobs(systems, Portion(scenario, beside, asked.seed, 0, 0, (terms,), market), asked)
    done: dict[int, Earned] = {}
    size = [job.portion.draws for job in jobs]
    try:
        for place, result in side_by_side(earned, [job.portion for job in jobs], asked.workers):
            done[place] = result
            if tell is not None:
                tell(sum(size[i] for i in done), sum(size))
    except KeyboardInterrupt:
        if not _whole_chunks(jobs, done, list(systems)):
            raise
    return _gathered(scenario, asked, systems, {place: (jobs[place], done[place]) for place in done})


def _market(scenario: Scenario, beside: Path | None) -> Market:
    prices = effective_prices(scenario.money, load_prices(scenario.money.price_table, beside))
    if scenario.price_path:
        return market_of(scenario.price_path, prices, scenario.price_link)
    return default_market(prices)


def _singles(terms: Terms) -> tuple[Terms, ...]:
    """Terms of the runs without draws: nothing strikes, everything as expected, each hazard alone as expected."""
    return (terms.among(()), terms, *(terms.among([kind]) for kind in HAZARDS))


def _jobs(systems: Mapping[str, Scenario], usual: Portion, asked: Asked) -> list[_Job]:
    """Single runs first, then chunk by chunk, so that a stop leaves whole draws; each hazard alone at the end."""
    (terms,) = usual.terms
    singles = _singles(terms)
    jobs = [
        _Job(name, None, usual._replace(plan=plan, number=SINGLE, draws=len(singles), terms=singles))
        for name, plan in systems.items()
    ]
    for first in range(0, asked.draws, CHUNK):
        for name, plan in systems.items():
            portion = usual._replace(plan=plan, number=first // CHUNK, draws=min(CHUNK, asked.draws - first))
            jobs.append(_Job(name, None, portion))
    few = min(asked.draws, ALONE)
    for kind, times in zip(HAZARDS, terms.times, strict=True):
        for name, plan in systems.items():
            if times > 0 and kind in relevant_to(plan):
                alone = usual._replace(plan=plan, draws=few, terms=(terms.among([kind]),), market=None)
                jobs.append(_Job(name, kind, alone))
    return jobs


def _whole_chunks(jobs: Sequence[_Job], done: Collection[int], systems: Sequence[str]) -> list[int]:
    """Chunks that every system has been through; none before the single runs are done."""
    has = {(jobs[place].system, jobs[place].portion.number) for place in done if jobs[place].alone is None}
    if not all((name, SINGLE) in has for name in systems):
        return []
    chunks = sorted({number for _, number in has if number != SINGLE})
    return [number for number in chunks if all((name, number) in has for name in systems)]


def _gathered(
    scenario: Scenario, asked: Asked, systems: Mapping[str, Scenario], done: Mapping[int, tuple[_Job, Earned]]
) -> Odds:
    jobs, terms = {place: job for place, (job, _) in done.items()}, terms_of(scenario.risk)
    by_key = {(job.system, job.alone, job.portion.number): result for job, result in done.values()}
    chunks = _whole_chunks([jobs[place] for place in sorted(jobs)], range(len(jobs)), list(systems))
    drawn = {
        name: _drawn(plan, by_key[name, None, SINGLE], [by_key[name, None, number] for number in chunks])
        for name, plan in systems.items()
    }
    alone = {}
    for place, kind in enumerate(HAZARDS):
        wanted = [name for name, plan in systems.items() if kind in relevant_to(plan)]
        if all((name, kind, 0) in by_key for name in wanted):
            alone[kind] = {
                name: _cost(plan, by_key[name, None, SINGLE], by_key[name, kind, 0], place + 2)
                if name in wanted
                else Cost(0.0, 0.0)
                for name, plan in systems.items()
            }
    return Odds(scenario, asked, len(next(iter(drawn.values())).income), drawn, alone, terms)


def _drawn(plan: Scenario, single: Earned, parts: Sequence[Earned]) -> Drawn:
    outlook = single.outlooks[1] if single.outlooks else ()
    worth = np.concatenate([_worth(plan, part, outlook) for part in parts])
    untouched, expected = _singly(plan, single)[:2]
    return Drawn(
        plan=plan,
        untouched=float(untouched),
        expected=float(expected),
        worth=worth,
        income=_yearly(plan, worth),
        cash=np.concatenate([part.cash for part in parts]),
        replanted=np.concatenate([part.replanted for part in parts]),
        largest_share=np.concatenate([part.largest_share for part in parts]),
    )


def _singly(plan: Scenario, single: Earned) -> FloatArray:
    """Yearly income of each of the single runs, each seen on in its own way [$/ac/yr], (runs,)."""
    runs = len(single.cash)
    worth = [_worth(plan, single, single.outlooks[i] if single.outlooks else ())[i] for i in range(runs)]
    return _yearly(plan, np.array(worth))


def _cost(plan: Scenario, single: Earned, alone: Earned, place: int) -> Cost:
    """What a hazard by itself costs a system a year, and the error of that mean.

    Parameters
    ----------
    plan
        The system.
    single
        Its runs without draws.
    alone
        Its draws with that hazard alone.
    place
        Place of the run without draws by whose outlook it goes on.

    Returns
    -------
    Cost
        Mean loss of income and its standard error [$/ac/yr].

    References
    ----------
    Mean of draws less what an untouched run earns: definition.
    """
    outlook = single.outlooks[place] if single.outlooks else ()
    lost = _singly(plan, single)[0] - _yearly(plan, _worth(plan, alone, outlook))
    error = float(lost.std(ddof=1) / np.sqrt(len(lost))) if len(lost) > 1 else float("nan")
    return Cost(float(lost.mean()), error)


def _worth(plan: Scenario, result: Earned, outlook: tuple[Outlook, ...]) -> FloatArray:
    """What the land is worth under a plan in each draw; to the horizon alone at a rate of 0.

    Parameters
    ----------
    plan
        The plan.
    result
        Cash of each draw, and what is there at the horizon.
    outlook
        What the land is worth later on; empty at a rate of 0.

    Returns
    -------
    FloatArray
        Worth [$/ac], (draws,).

    References
    ----------
    As for :func:`simulator.finance.net_present_value`.
    """
    rate, horizon = real_discount_rate(plan.money), plan.money.horizon_years
    later = worth_later(result.end, outlook) if outlook else result.end.sold
    return np.asarray(net_present_value(result.cash, rate) + later * discount_factor(rate, horizon))


def _yearly(plan: Scenario, worth: FloatArray) -> FloatArray:
    """Equal yearly income worth as much: for ever, or over the horizon at a rate of 0.

    Parameters
    ----------
    plan
        The plan.
    worth
        Worth of the land in each draw [$/ac], (draws,).

    Returns
    -------
    FloatArray
        Income [$/ac/yr], (draws,).

    References
    ----------
    As for :func:`simulator.finance.land_expectation_value`.
    """
    rate = real_discount_rate(plan.money)
    return np.asarray(worth * rate if rate > 0 else worth / plan.money.horizon_years)
