"""Warnings: where a result leaves the ground that equations and practice stand on."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from simulator.findings.animals import animal_findings
from simulator.findings.field import field_findings
from simulator.findings.grass import grass_is_used, grass_warnings, least_light
from simulator.findings.grazing import grazing_findings
from simulator.findings.incidents import INCIDENTS
from simulator.findings.owner import owner_findings
from simulator.findings.sales import sale_findings, unpaid_years
from simulator.findings.species import own_site_index_ft, species_findings, unsold_orchard_cuts
from simulator.findings.stands import STAND_CHECKS
from simulator.findings.years import in_years
from simulator.geometry import shares_of_field
from simulator.parameters.species import load_species
from simulator.result import Outcome
from simulator.units import BoolArray, FloatArray

CLOSED_LIGHT = 0.30
"""A canopy that lets more light through is not called closed, even where the grass wants more."""


class Warning_(NamedTuple):  # noqa: N801 - "Warning" is a builtin exception
    """One thing a reader must know.

    Attributes
    ----------
    code
        Stable name for programs.
    system
        System it is about.
    message
        In plain words.
    """

    code: str
    system: str
    message: str


def warnings_of(system: str, outcome: Outcome) -> list[Warning_]:
    """Everything to warn about in one system.

    Parameters
    ----------
    system
        Its name, for the messages.
    outcome
        What came out.

    Returns
    -------
    list of Warning_
        Most serious first.
    """
    ground = outcome.lives[0] if outcome.lives else outcome
    checks = (
        field_findings,
        *INCIDENTS,
        _sales,
        *STAND_CHECKS,
        _closed_canopy,
        grass_warnings,
        _late_grazing,
        animal_findings,
        grazing_findings,
        _straw_and_grazing,
        _thinning_not_done,
        _extrapolation,
        species_findings,
        _finance,
        owner_findings,
        _sources,
    )
    whole = (*INCIDENTS, _sales, _finance, owner_findings, _sources)
    return [
        Warning_(code, system, message)
        for check in checks
        for code, message in check(outcome if check in whole else ground)
    ]


def _sales(outcome: Outcome) -> Iterator[tuple[str, str]]:
    states, dear = outcome.states, unpaid_years(outcome)
    few = states["no_bid"].astype(bool) & ~dear
    if few.any():
        cut = in_years(few)
        said = f"The cut of {cut} is under four truckloads: no bid is likely and nothing is sold."
        yield "no_bid", said + unsold_orchard_cuts(outcome)
    yield from sale_findings(outcome, dear)


def _closed_canopy(outcome: Outcome) -> Iterator[tuple[str, str]]:
    if outcome.scenario.trees is None or not grass_is_used(outcome):
        return
    least = least_light(outcome)
    dark = outcome.states["light_grass"] < least
    dark[: 1 + outcome.scenario.pasture.sown_year] = False
    if outcome.scenario.stand is not None and outcome.scenario.harvest is not None:
        dark[outcome.scenario.harvest.year + 1 :] = False
    first = _first(dark)
    if first is None:
        return
    share = f"light under {least[first]:.0%}"
    if least[first] > CLOSED_LIGHT:
        yield "grass_too_dark", f"The grass has too little light in {in_years(dark)} ({share}); the sward thins out."
        return
    if dark[first:].all():
        yield "canopy_closed", f"The canopy is closed over the grass since year {first} ({share}); the sward dies out."
    else:
        yield (
            "canopy_closed",
            f"The canopy is closed over the grass in {in_years(dark)} ({share}); the sward thins out.",
        )


def _first(flag: FloatArray | BoolArray) -> int | None:
    places = np.flatnonzero(flag)
    return int(places[0]) if len(places) else None


def _late_grazing(outcome: Outcome) -> Iterator[tuple[str, str]]:
    use, planned = outcome.scenario.use, outcome.scenario.use.first_grazing_year
    if planned is None or use.animals == "none":
        return
    begun = _first(outcome.states["animal_unit_months_ac"] > 0)
    if begun is None and outcome.scenario.stand is not None and planned >= len(outcome.cash_per_ac):
        return  # the horizon ends before a plan that is carried out later comes to it
    if begun is None:
        yield "never_grazed", "Animals never graze: trees are not out of their reach, or nothing is left to eat."
    elif begun > planned:
        yield (
            "grazing_waits",
            f"Grazing waits until year {begun}: before that the trees are not out of the animals' reach.",
        )
    if use.tenure == "owned" and begun is not None and _without_animals(outcome, begun):
        yield "no_whole_animal", "In some years the grass does not carry one whole animal on this tract."


def _without_animals(outcome: Outcome, begun: int) -> bool:
    """Whether the own herd is gone in a year whose trees would let it graze."""
    states = outcome.states
    old_enough = _cycle_year(outcome) >= begun if outcome.scenario.trees else np.arange(len(states["age"])) >= begun
    return bool((old_enough & (states["head"] == 0)).any())


def _cycle_year(outcome: Outcome) -> FloatArray:
    """Years of the plan's own calendar by row: since planting, or since a stand was found."""
    stand = outcome.scenario.stand
    return np.asarray(outcome.states["age"] - (stand.age if stand else 0))


def _straw_and_grazing(outcome: Outcome) -> Iterator[tuple[str, str]]:
    straw = outcome.scenario.straw
    if not straw.market or outcome.scenario.use.first_grazing_year is None:
        return
    grazed_by_now = _cycle_year(outcome) >= outcome.scenario.use.first_grazing_year
    raked = (outcome.states["straw_bales_ac"] > 0) & grazed_by_now
    if raked.any():
        how = "behind a temporary fence" if straw.temporary_fence else "and animals are kept out that year"
        yield "straw_and_grazing", f"Straw is raked in {in_years(raked)} on ground that is grazed, {how}."


def _thinning_not_done(outcome: Outcome) -> Iterator[tuple[str, str]]:
    last = len(outcome.cash_per_ac) - 1
    cut, refused = outcome.states["trees_cut_per_ac"], outcome.states["no_bid"] + outcome.states["thinning_waits"]
    for thinning in outcome.scenario.thinning:
        if thinning.year <= last and not cut[thinning.year] and not refused[thinning.year]:
            message = f"The thinning of year {thinning.year} takes nothing: no more stands than it would leave."
            yield "thinning_not_done", message


def _extrapolation(outcome: Outcome) -> Iterator[tuple[str, str]]:
    trees, states = outcome.scenario.trees, outcome.states
    if trees is None:
        return
    fit = load_species(trees.species).fitted
    low, high = fit.site_index_low_ft, fit.site_index_high_ft
    if not low <= own_site_index_ft(outcome.scenario.land, trees) <= high:
        yield "site_index_range", f"Site index lies outside {low:.0f}-{high:.0f} ft, where the equations were fitted."
    last = _last_year_of_trees(outcome)
    states = {name: values[: last + 1] for name, values in states.items()}
    between_themselves = states["trees_per_ac"] / shares_of_field(outcome.scenario).rows
    few = (between_themselves < fit.few_trees_per_ac) & (states["age"] > fit.few_after_age_yr)
    if few.any():
        message = (
            f"Growth at fewer than {fit.few_trees_per_ac:.0f} trees an acre after age {fit.few_after_age_yr:.0f} is "
            "extrapolated: little was ever measured there."
        )
        yield "low_density", message
    if (states["age"] > fit.oldest_yr).any() or (states["quadratic_mean_dbh_in"] > fit.largest_dbh_in).any():
        limits = f"age {fit.oldest_yr:.0f} or {fit.largest_dbh_in:.0f} inches"
        yield "old_or_large", f"Trees grow beyond {limits}, where the equations are extrapolated."
    if trees.layout.alley_ft > fit.widest_alley_ft:
        yield (
            "wide_alley",
            f"Alleys over {fit.widest_alley_ft:.0f} ft: how far trees reach into them is assumed, not measured.",
        )


def _last_year_of_trees(outcome: Outcome) -> int:
    """Harvest of a stand that was found, whose rows after it are another plan's; else the last row."""
    last, harvest = len(outcome.cash_per_ac) - 1, outcome.scenario.harvest
    return min(last, harvest.year) if outcome.scenario.stand is not None and harvest is not None else last


def _finance(outcome: Outcome) -> Iterator[tuple[str, str]]:
    if outcome.lives:
        return  # a stand that was found cost nothing today, so that no rate of return has a meaning
    if len(outcome.measures.irr_all) > 1:
        roots = ", ".join(f"{root:.1%}" for root in outcome.measures.irr_all)
        message = f"Several rates of return solve the cash flows to the horizon ({roots}); compare by yearly income."
        yield "several_irr", message
    elif not outcome.measures.irr_all:
        yield "no_irr", "No rate of return solves these cash flows; compare by yearly income."


def _sources(outcome: Outcome) -> Iterator[tuple[str, str]]:
    table = outcome.price_table
    booked = {item for line in outcome.flows.lines for item in line.prices} - set(outcome.scenario.money.prices)
    if not any("invented" in table.sources[table.items[item].source] for item in booked):
        return
    if all("invented" in table.sources[entry.source] for entry in table.items.values()):
        yield "invented_prices", "Prices are invented for demonstration; replace them by local ones before deciding."
    else:
        yield "invented_prices", "Some prices here are still invented; replace them by local ones before deciding."
