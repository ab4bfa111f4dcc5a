"""Warnings about opening a stand that was found: wind, beetles and ice, slow grass, animals too early."""

from collections.abc import Callable, Iterator
from typing import Final

import numpy as np

from simulator.parameters.species import load_species
from simulator.physics.dominant_height import dominant_height_of_ft
from simulator.result import Outcome
from simulator.scenario.model import Scenario

HEAVY_CUT_SHARE: Final = 0.5
"""Basal area taken in one entry beyond which the trees left are exposed; common practice, no source."""
SHORT_CROWN_RATIO: Final = 0.40
"""Crown ratio under which a tree is slender and slow to answer; about a third to two fifths, from memory."""
HEIGHT_SLACK: Final = 0.12
"""Measured heights may lie so far off the site curve before it is worth a word; assumed for this project."""


def _heavy_cut(outcome: Outcome) -> Iterator[tuple[str, str]]:
    states = outcome.states
    for thinning in outcome.scenario.thinning if outcome.scenario.stand else ():
        year = thinning.year
        if year >= len(outcome.cash_per_ac) or not states["basal_area_ft2_ac"][year]:
            continue
        share = states["basal_area_cut_ft2_ac"][year] / states["basal_area_ft2_ac"][year]
        ratio = 1.0 - states["crown_base_ft"][year] / max(states["dominant_height_ft"][year], 1.0)
        if share > HEAVY_CUT_SHARE and ratio < SHORT_CROWN_RATIO:
            yield (
                "heavy_thinning",
                (
                    f"The cut of year {year} takes {share:.0%} of the basal area of trees whose live crowns are about "
                    f"{ratio:.0%} of their height: for some years wind, ice and bark beetles threaten those left. "
                    "Two lighter cuts some years apart are safer; ask a forester who knows the site."
                ),
            )


def _slow_answer(outcome: Outcome) -> Iterator[tuple[str, str]]:
    stand, plan = outcome.scenario.stand, outcome.scenario
    if stand is None or not plan.thinning or plan.thinning[0].year >= len(outcome.cash_per_ac):
        return
    if plan.use.first_grazing_year is None and plan.use.hay_years is None:
        return
    yield (
        "opened_crowns",
        (
            "Trees answer a thinning here in the next season; in the woods crowns take two or three years, so "
            "wood may come later than shown and light stay a little longer."
        ),
    )


def _grazed_in_first_season(outcome: Outcome) -> Iterator[tuple[str, str]]:
    pasture, first = outcome.scenario.pasture, outcome.scenario.use.first_grazing_year
    if outcome.scenario.stand is None or pasture.established or first is None:
        return
    if first <= pasture.sown_year + 1:
        yield (
            "grazed_when_sown",
            (
                f"Animals come in year {first}, the first season of grass sown at the end of year {pasture.sown_year}: "
                "let it root for a season, better two."
            ),
        )


def _never_opened(outcome: Outcome) -> Iterator[tuple[str, str]]:
    """Grass sown before any thinning lets light in."""
    plan, states = outcome.scenario, outcome.states
    if plan.stand is None or plan.pasture.established:
        return
    if plan.use.first_grazing_year is None and plan.use.hay_years is None:
        return
    first_season = plan.pasture.sown_year + 1
    cut_before = np.flatnonzero(states["trees_cut_per_ac"][:first_season])
    if first_season < len(outcome.cash_per_ac) and not len(cut_before):
        light = states["light_warm"][first_season]
        yield (
            "sown_under_closed_trees",
            f"Grass is sown before the trees are thinned, in light of {light:.0%}: thin first, then sow.",
        )


def _heights_off_the_curve(outcome: Outcome) -> Iterator[tuple[str, str]]:
    stand = outcome.scenario.stand
    if stand is None or any(line.height_ft is None for line in stand.dbh_class):
        return
    lines = [(line.dbh_in, line.height_ft or 0.0, line.trees_per_ac) for line in stand.dbh_class]
    measured = dominant_height_of_ft(*np.array(lines).T)
    curve, index = float(outcome.states["dominant_height_ft"][0]), _site_index(outcome.scenario)
    if abs(measured / curve - 1.0) > HEIGHT_SLACK:
        yield (
            "heights_off_site_curve",
            (
                f"The larger half of the trees in the stand table is {measured:.0f} ft tall, but site index "
                f"{index} gives {curve:.0f} ft at age {stand.age}: growth follows the site "
                "index, so check it against the cruise."
            ),
        )


def _site_index(plan: Scenario) -> str:
    """The site index in words: the species' own where the file states it."""
    if plan.trees is None or plan.trees.site_index_ft is None:
        return f"{plan.land.site_index_ft:g}"
    base = load_species(plan.trees.species).site_index.base_age_yr
    return f"{plan.trees.site_index_ft:g} of {plan.trees.species} at {base:g} years"


STAND_CHECKS: Final[tuple[Callable[[Outcome], Iterator[tuple[str, str]]], ...]] = (
    _heavy_cut,
    _never_opened,
    _grazed_in_first_season,
    _slow_answer,
    _heights_off_the_curve,
)
