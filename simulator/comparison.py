"""Trees alone, grass alone and both together on one piece of land, side by side."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from simulator.alternatives import systems_of
from simulator.baselines import other_pastures
from simulator.events.light import Precision
from simulator.findings.warnings import Warning_, warnings_of
from simulator.interest import discount_factor
from simulator.land_equivalent import LandEquivalent, land_equivalent
from simulator.measures import measures_frame, measures_html
from simulator.orientation import RowDirection, row_direction
from simulator.price_changes import PriceSet, Switch, income_at, price_sets, switch_prices
from simulator.result import Outcome, run, run_batch
from simulator.scenario.model import Scenario

if TYPE_CHECKING:
    import pandas as pd

CLEARLY_MORE = 2.0
"""Another pasture is worth a word when it earns so much more [$/ac/yr]."""


class BetterPasture(NamedTuple):
    """Another way to use the pasture that earns more than the one compared.

    Attributes
    ----------
    plan
        What would be done.
    equal_annual_income
        What it would earn [$/ac/yr].
    """

    plan: Scenario
    equal_annual_income: float


@dataclass(frozen=True)
class Comparison:
    """Three systems on the same land and what follows from putting them side by side.

    Attributes
    ----------
    systems
        Outcome by name: silvopasture, plantation, pasture; with a stand that was found also open_later.
    land_equivalent
        Land equivalent ratio of the silvopasture.
    price_sets
        Equal annual income under low prices of what the ground brings and high ones of what the trees do, such as
        low beef and high wood; the prices in force; and the other way round.
    labour_free
        Equal annual income with the owner's hours uncharged [$/ac/yr].
    switches
        Prices at which the best system changes, nearest first.
    better_pasture
        A way to use the pasture that earns clearly more than the one compared, if there is one: a comparison
        with a badly kept pasture flatters the trees.
    warnings
        What a reader must know.
    row_direction
        The plan with its rows as they lie and turned by a quarter; None without trees.
    """

    systems: Mapping[str, Outcome]
    land_equivalent: LandEquivalent
    price_sets: tuple[PriceSet, ...]
    labour_free: Mapping[str, float]
    switches: tuple[Switch, ...]
    better_pasture: BetterPasture | None
    warnings: tuple[Warning_, ...]
    row_direction: RowDirection | None = None

    def frame(self) -> "pd.DataFrame":
        """Measures of finance, one row a system, per acre with units in the names."""
        return measures_frame({name: outcome.measures for name, outcome in self.systems.items()}, "system")

    def _repr_html_(self) -> str:
        return measures_html({name: outcome.measures for name, outcome in self.systems.items()}, "system")

    @property
    def ranking(self) -> list[str]:
        """Systems by equal annual income, best first."""
        return sorted(self.systems, key=lambda name: -self.systems[name].measures.equal_annual_income)


def compare(scenario: Scenario, beside: Path | None = None, precision: Precision = "exact") -> Comparison:
    """Run a plan beside the two single uses of its land. No ordering is built in.

    Parameters
    ----------
    scenario
        The plan; its ``[baseline.*]`` tables override the derived single uses.
    beside
        Folder of the scenario file, where a user's own price table is looked for.
    precision
        Light path.

    Returns
    -------
    Comparison
    """
    return compare_plans(systems_of(scenario, beside), beside, precision)


def compare_plans(
    plans: Mapping[str, Scenario], beside: Path | None = None, precision: Precision = "exact"
) -> Comparison:
    """Run plans of one piece of land side by side.

    Parameters
    ----------
    plans
        By the names of `Comparison.systems`.
    beside
        Folder of the scenario file, where a user's own price table is looked for.
    precision
        Light path.
    """
    systems = {name: run(plan, beside, precision) for name, plan in plans.items()}
    better = better_pasture(systems["pasture"], beside)
    return side_by_side(systems, better, row_direction(plans["silvopasture"], beside))


def side_by_side(
    systems: Mapping[str, Outcome], better: BetterPasture | None, direction: RowDirection | None
) -> Comparison:
    """Put outcomes side by side that were run already; nothing is grown here.

    Parameters
    ----------
    systems
        By the names of `Comparison.systems`, all at the same prices.
    better
        Of `better_pasture` for the pasture among them.
    direction
        Of `row_direction` for the plan among them.
    """
    return Comparison(
        systems=systems,
        land_equivalent=land_equivalent(systems),
        price_sets=price_sets(systems),
        labour_free={name: income_at(outcome, {"wage": 0.0}) for name, outcome in systems.items()},
        switches=switch_prices(systems),
        better_pasture=better,
        warnings=tuple(w for name, outcome in systems.items() for w in warnings_of(name, outcome)),
        row_direction=direction,
    )


def better_pasture(pasture: Outcome, beside: Path | None = None) -> BetterPasture | None:
    """Try the usual other ways to use the pasture and return the best that earns clearly more.

    Parameters
    ----------
    pasture
        The pasture of a comparison.
    beside
        Folder of the scenario file, for its own price table.

    Returns
    -------
    BetterPasture or None
    """
    return better_of(pasture, run_batch(ways_to_use(pasture), beside))


def ways_to_use(pasture: Outcome) -> list[Scenario]:
    """The usual other ways to use the pasture of a comparison."""
    return other_pastures(_grass_of(pasture).scenario)


def _grass_of(pasture: Outcome) -> Outcome:
    """The pasture itself, after a stand that is cleared for it."""
    return pasture.lives[-1] if pasture.lives else pasture


def better_of(pasture: Outcome, others: Sequence[Outcome]) -> BetterPasture | None:
    """The best of other ways that earns clearly more than a pasture.

    Parameters
    ----------
    pasture
        The pasture of a comparison.
    others
        Of `ways_to_use`, in that order, on the fast light path.
    """
    grass = _grass_of(pasture)
    incomes = [income_at(outcome, {}) for outcome in others]
    best = max(range(len(others)), key=lambda place: incomes[place])
    # a stand that was found is cleared first, whatever grass comes after it
    more = (incomes[best] - income_at(grass, {})) * float(discount_factor(pasture.rate, pasture.flows.leading_yr))
    if more < CLEARLY_MORE:
        return None
    return BetterPasture(others[best].scenario, income_at(pasture, {}) + more if pasture.lives else incomes[best])
