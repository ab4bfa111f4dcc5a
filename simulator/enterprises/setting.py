"""What every enterprise works on: the batch, its numbers, whose animals graze, and the book it writes."""

from typing import NamedTuple

import numpy as np

from simulator.enterprises.season import Keeping, keeping_of
from simulator.ledger import Book
from simulator.parameters.growth import load_tree
from simulator.parameters.tables import Tables
from simulator.plan import Plan
from simulator.scenario.model import Scenario
from simulator.units import BoolArray, FloatArray


class Terms(NamedTuple):
    """Whose animals, how many and under which system, by candidate.

    Attributes
    ----------
    acres
        Acres that the rows take with their alleys, or open pasture [ac].
    utilisation
        Share of the growth eaten [1].
    owned, by_month
        Own herd; grazing leased by what is grazed. Neither: leased by the acre.
    least_head, most_head, change_share
        Bounds on the herd [head], and the most it changes in a year [1].
    closed_months
        Months of this year's growing season in which nobody grazes, from its start [month].
    hay_wait_months, hay_wait_share
        Months of this year's growth that a spray keeps from being cut for hay, and on what share of the grass ground.
    keeping
        The animals' year: the season that a plan names, days of gain and heat.
    """

    acres: FloatArray
    utilisation: FloatArray
    owned: BoolArray
    by_month: BoolArray
    least_head: FloatArray
    most_head: FloatArray
    change_share: FloatArray
    closed_months: FloatArray
    hay_wait_months: FloatArray
    hay_wait_share: FloatArray
    keeping: Keeping


class Setting(NamedTuple):
    """One batch at work.

    Attributes
    ----------
    plan
        The scenarios as arrays.
    tables
        Numbers of species, grass, animals and practice.
    terms
        Whose animals graze.
    book
        Quantities written so far.
    """

    plan: Plan
    tables: Tables
    terms: Terms
    book: Book


def terms_of(plan: Plan, tables: Tables) -> Terms:
    """Read whose animals graze, from the scenarios of a plan."""
    share = tables.grazing.utilisation
    by_system = {"continuous": share.continuous, "slow rotation": share.slow_rotation, "strip": share.strip}
    return Terms(
        acres=plan.acres_of_rows,
        utilisation=np.array([by_system[scenario.use.system] for scenario in plan.scenarios]),
        owned=plan.flags("use", "tenure", equals="owned"),
        by_month=plan.flags("use", "lease_basis", equals="animal-unit month"),
        least_head=plan.column("use", "least_head"),
        most_head=plan.column("use", "most_head"),
        change_share=plan.column("use", "herd_change_share"),
        closed_months=np.zeros(plan.candidates),
        hay_wait_months=np.zeros(plan.candidates),
        hay_wait_share=np.zeros(plan.candidates),
        keeping=keeping_of(plan.scenarios, tables),
    )


def planted(plan: Plan) -> BoolArray:
    """Candidates that have trees, (candidates,)."""
    return np.asarray(plan.geometry.planted.any(axis=1))


def has_alley(setting: Setting) -> BoolArray:
    """Where the rows leave alleys wide enough to be worked as grass, (candidates,); true of open pasture."""
    return np.asarray(setting.plan.alley_ft >= setting.tables.tree.planting.broadcast_alley_ft)


def has_wide_alley(scenario: Scenario) -> bool:
    """The same of one scenario by itself."""
    return (
        scenario.trees is None or _alley_ft(scenario) >= load_tree(scenario.trees.species).planting.broadcast_alley_ft
    )


def _alley_ft(scenario: Scenario) -> float:
    return scenario.trees.layout.alley_ft if scenario.trees else float("inf")
