"""Why the best plan of a search does not thin: what the best thinning sells for and costs, and what it does later."""

from pathlib import Path

import numpy as np

from optimize.best import BestPlan
from simulator.result import Outcome, run
from workbench.optimum_words import plan_in_short
from workbench.words import dollars

CLEANUP = "logging_cleanup"


def why_no_thinning(found: BestPlan, beside: Path | None = None) -> str | None:
    """Set the best plan without a thinning against the best with one, in dollars of both cuts.

    Parameters
    ----------
    found
        A search that is done.
    beside
        Folder of the scenario file, for its own price table.

    Returns
    -------
    str or None
        Sentences; None where the best plan thins, has no trees, or was chosen by its rate of return.
    """
    best = found.best.outcome
    if found.objective.goal == "irr" or best.scenario.trees is None or best.scenario.thinning:
        return None
    space = found.spaces[found.best.system]
    thinned = np.array([bool(plan.thinning) for plan in space.plans])
    places = found.objective.order(space.worth, thinned, 1)
    if not len(places):
        return None
    other = run(space.plans[int(places[0])], beside)
    less = found.best.value - found.objective.of_outcome(other)
    return (
        f"Why no thinning: the best plan with one ({plan_in_short(other.scenario)}) is worth {dollars(less)} an acre "
        f"less. {_thinning(other)} {_harvests(best, other)}"
    )


def _thinning(outcome: Outcome) -> str:
    year = outcome.scenario.thinning[0].year
    lines = _wood(outcome, year)
    cleanup = -sum(amount for item, amount in lines.items() if item == CLEANUP)
    left = sum(lines.values()) + cleanup
    tons = float(outcome.wood_ton_ac[year].sum())
    if not tons:
        return f"Nobody is likely to bid on that thinning of year {year}."
    sold = f"Its {tons:.0f} tons an acre of year {year} leave {dollars(left)} after selling and work"
    return f"{sold}, and cleaning up behind the loggers costs {dollars(cleanup)}." if cleanup else f"{sold}."


def _harvests(best: Outcome, other: Outcome) -> str:
    with_it, without = (_harvest(each) for each in (other, best))
    return f"The final harvest then brings {with_it}, without it {without}."


def _harvest(outcome: Outcome) -> str:
    harvest = outcome.scenario.harvest
    if harvest is None or harvest.year >= len(outcome.wood_ton_ac):
        return "nothing before the horizon"
    wood = sum(amount for item, amount in _wood(outcome, harvest.year).items() if item != CLEANUP)
    return f"{dollars(wood)} in year {harvest.year}"


def _wood(outcome: Outcome, year: int) -> dict[str, float]:
    """Dollars of the wood by item for the cut of one year, without planting anew [$/ac]."""
    ledger = outcome.ledger("run")
    first = year - 1 if outcome.scenario.money.timber_sale == "lump sum" else year  # paid at signing
    here = ledger[ledger["year"].between(first, year) & (ledger["enterprise"] == "wood")]
    here = here[~here["account"].isin(["establishment", "end value"])]
    return {str(item): float(amount) for item, amount in here.groupby("item")["amount"].sum().items()}
