"""Is a stand ripe? How fast it gains in value with its land and grass, and what storms may take of it meanwhile."""

from typing import NamedTuple

import numpy as np

from optimize.waiting.growing import Grown
from optimize.waiting.ways import Way
from simulator.finance import every_real_irr
from simulator.geometry import shares_of_field
from simulator.parameters.hazards import FELLING_KINDS, load_events, of_species
from simulator.parameters.odds import load_frequencies
from simulator.physics.hazards import beetle_probability, lost_share
from simulator.scenario.risk import HazardKind, Risk
from simulator.units import BoolArray, FloatArray

REGIONAL = ("ice", "wind")


def value_growth(now: float, cash: FloatArray, later: float) -> float:
    """Yearly growth of a property's value: cut where it falls below the rate that money earns elsewhere.

    Parameters
    ----------
    now, later
        What stand and land would sell for now and at the end [$/ac].
    cash
        What they bring at the end of each year between, costs below 0 [$/ac], (years,).

    Returns
    -------
    float
        The rate of return of keeping it [1/yr]; NaN where there is none or several.

    References
    ----------
    Financial maturity with the rent of the land: Gaffney 1957, North Carolina State, Agricultural Economics
    Information Series 62 (named in a bibliography, not re-read); re-derived.
    """
    flows = np.concatenate([[-now], cash])
    flows[-1] += later
    roots = every_real_irr(flows)
    return roots[0] if len(roots) == 1 and now > 0 else float("nan")


class Standing(NamedTuple):
    """A stand as its years go by, thinned now or never.

    Attributes
    ----------
    value
        What cutting it in each year brings, with the land then bare [$/ac], (years,); NaN where it was not reckoned.
    cash
        What leaving it brings in each year [$/ac], (years,).
    wood_ton_ac
        What cutting it in each year sells by product [ton/ac], (years, 4).
    likely_loss
        Mean loss of standing wood to ice, wind, fire and beetles in each year [$/ac], (years,); illustrative.
    """

    value: FloatArray
    cash: FloatArray
    wood_ton_ac: FloatArray
    likely_loss: FloatArray

    def growth(self, first: int, last: int) -> float:
        """Yearly growth of value from the work of one year to the cut of another [1/yr]."""
        kept = self.cash[first:last].copy()
        start = self.value[first] - kept[0]
        return value_growth(start, np.append(kept[1:], 0.0), float(self.value[last]))


def standing(grown: Grown, thinned: int) -> Standing:
    """Follow the stand unthinned to the last harvest tried, or thinned now through the years it might have waited.

    Parameters
    ----------
    grown
        Its ways.
    thinned
        0 or 1.

    Returns
    -------
    Standing
        By year [$/ac]. A stand thinned now can be sold from year 1 on.

    References
    ----------
    As for :func:`value_growth`.
    """
    years = grown.question.last if thinned == 0 else min(grown.question.longest_wait + 1, grown.question.last)
    path = Way(thinned, 0, grown.question.last)
    lines = grown.lines_of(path, ())
    value, wood = np.full(years + 1, np.nan), np.full((years + 1, 4), np.nan)
    for year in range(thinned, years + 1):
        way = path._replace(harvest=year)
        cut = grown.lines_of(way, ()).steady
        # what a way books earlier than the path it leaves counts with interest
        ahead = (cut[:year] - lines.steady[:year]) @ (1.0 + grown.rate) ** np.arange(year, 0, -1.0)
        value[year] = cut[year] + ahead + grown.bare_land[year]
        wood[year] = grown.wood_ton_ac[way][year]
    rows = slice(0, years + 1)
    kept = lines.steady[rows].copy()
    # what the land brings or costs in the year anyhow is no wood, nor is the land
    at_risk = value - kept - np.array([grown.bare_land[year] for year in range(years + 1)])
    return Standing(value, kept, wood, loss_share(grown, path)[rows] * at_risk)


def loss_share(grown: Grown, way: Way) -> FloatArray:
    """Mean share of the value of standing wood that hazards take in each year of a way, salvage taken off.

    Parameters
    ----------
    grown, way
        The stand.

    Returns
    -------
    FloatArray
        Share [1/yr], (harvest + 1,); chance times loss, over ice, wind, wildfire and beetles. Illustrative, no
        forecast.

    References
    ----------
    Chance times loss: definition. The chances are assumed for this project.
    """
    plan, states = grown.question.scenario, grown.states[way]
    species = plan.trees.species if plan.trees else "loblolly"
    events, age = load_events(), states["age"]
    since = _since_thinning(grown, way)
    total = np.zeros(len(age))
    grazed = states["animal_unit_months_ac"] > 0
    for kind in FELLING_KINDS:
        hazard = getattr(events, kind)
        share = lost_share(age, since, of_species(getattr(events, f"{kind}_by_species"), species), hazard)
        if kind == "wildfire":
            share = np.where(grazed, events.fuel.tamed_factor, 1.0) * share
        sold = grown.prices["salvage_regional_factor" if kind in REGIONAL else "salvage_local_factor"]
        chance = _chance(kind, plan.risk, states["basal_area_ft2_ac"] / shares_of_field(plan).rows, grazed)
        total += chance * share * (1.0 - hazard.salvaged_share * sold)
    return total


def _chance(kind: HazardKind, risk: Risk, basal_area_ft2_ac: FloatArray, grazed: BoolArray) -> FloatArray:
    """How likely a hazard is to strike in each year [1/yr], (years,), as the owner's zone and wishes have it."""
    numbers, times = load_frequencies(), 0.0 if kind in risk.off else risk.times.get(kind, 1.0)
    if kind == "beetles":
        return times * beetle_probability(basal_area_ft2_ac, numbers.beetles)
    if kind == "wildfire":
        return np.where(grazed, times * numbers.wildfire.tamed, times * numbers.wildfire.rough)
    by_zone = numbers.ice if kind == "ice" else numbers.wind
    return np.full(len(grazed), times * by_zone.of(risk.zone))


def _since_thinning(grown: Grown, way: Way) -> FloatArray:
    """Years since the last thinning, infinite before the first, (harvest + 1,)."""
    years, since = np.arange(way.harvest + 1.0), np.full(way.harvest + 1, np.inf)
    for cut in grown.question.plan(way).thinning:
        since[cut.year + 1 :] = years[1 : way.harvest + 1 - cut.year]
    return since
