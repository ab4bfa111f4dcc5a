"""Rules for the grass: what is sown into it, and what takes its place. Each docstring is the rule."""

from collections.abc import Callable
from typing import Final, TypeAlias

from simulator.errors import Problem
from simulator.parameters.catalogue import NO_ANIMALS, grass_names
from simulator.parameters.pasture import load_grass
from simulator.scenario.draft import Draft
from simulator.scenario.grass import NO_GRASS

Rule: TypeAlias = Callable[[Draft], list[Problem]]

OVERSEEDING_FIELDS: Final = ("overseeded_from_year", "overseeded_nitrogen_lb_ac")


def overseeding_needs_a_summer_perennial(draft: Draft) -> list[Problem]:
    """A winter annual is sown only into a perennial of the warm season."""
    sown, base = draft.get("pasture", "overseeded"), draft.get("pasture", "grass")
    if sown in (None, NO_GRASS) or base not in grass_names():
        return []
    habit = load_grass(base).habit
    if habit.warm_season and not habit.sown_every_year:
        return []
    rule = f'needs a warm-season perennial to be sown into, and grass = "{base}" is none'
    remedy = f'Write grass = "bahiagrass" or another summer perennial, or grass = "{sown}" by itself, or take this out.'
    return [draft.problem(("pasture", "overseeded"), rule, remedy=remedy)]


def overseeding_details_need_overseeding(draft: Draft) -> list[Problem]:
    """The year and the nitrogen of overseeding come with the annual that is sown."""
    if draft.written("pasture", "overseeded"):
        return []
    remedy = 'Add overseeded = "ryegrass" or "crimson-clover", or take this out.'
    return [
        draft.problem(("pasture", name), "stands without overseeded", remedy=remedy)
        for name in OVERSEEDING_FIELDS
        if draft.written("pasture", name)
    ]


def overseeding_feeds_animals(draft: Draft) -> list[Problem]:
    """A winter annual sown into grass is grazed, so animals come with it."""
    animals = draft.get("use", "animals")
    if draft.get("pasture", "overseeded") in (None, NO_GRASS) or animals != NO_ANIMALS:
        return []
    rule = 'is grazed and never baled, but animals = "none"'
    return [draft.problem(("pasture", "overseeded"), rule, remedy="Name the animals that graze it, or take this out.")]


def switch_says_when(draft: Draft) -> list[Problem]:
    """Another grass is sown by year or by light, one of the two."""
    if draft.get("pasture", "switch") is None:
        return []
    stated = [name for name in ("year", "below_light") if draft.written("pasture", "switch", name)]
    if len(stated) == 1:
        return []
    rule = "says neither year nor below_light" if not stated else "says both year and below_light"
    remedy = "State one of them: year = 14, or below_light = 0.45."
    return [draft.problem(("pasture", "switch"), rule, remedy=remedy, received="")]


def switch_needs_trees(draft: Draft) -> list[Problem]:
    """Another grass comes in the course of a tree cycle; open pasture has none."""
    if draft.get("pasture", "switch") is None or draft.written("trees"):
        return []
    remedy = "Name that grass in [pasture], or add [trees]."
    return [draft.problem(("pasture", "switch"), "stands without any trees", remedy=remedy, received="")]


def switch_is_another_grass(draft: Draft) -> list[Problem]:
    """The second grass is not the first."""
    second = draft.get("pasture", "switch", "grass")
    if second is None or second != draft.get("pasture", "grass"):
        return []
    remedy = "Name another grass, or take [pasture.switch] out."
    return [draft.problem(("pasture", "switch", "grass"), "is the grass that stands there already", remedy=remedy)]


def switch_comes_within_the_cycle(draft: Draft) -> list[Problem]:
    """Another grass is sown before the trees are cut, for then the first one is sown again."""
    year, harvest = draft.get("pasture", "switch", "year"), draft.get("harvest", "year")
    if year is None or harvest is None or year < harvest:
        return []
    rule = f"must be earlier than the harvest in year {harvest}, when the cycle begins anew with the first grass"
    return [draft.problem(("pasture", "switch", "year"), rule, remedy="Name an earlier year, or change grass.")]


def switch_follows_the_first_sowing(draft: Draft) -> list[Problem]:
    """Another grass takes the place of one that is sown, so it comes after that sowing."""
    year, sown = draft.get("pasture", "switch", "year"), draft.get("pasture", "sown_year")
    if year is None or sown is None or draft.get("pasture", "established") is not False or year > sown:
        return []
    rule = f"must be later than sown_year = {sown}, when the first grass is sown"
    remedy = "Name a later year, or name this grass in [pasture] and take [pasture.switch] out."
    return [draft.problem(("pasture", "switch", "year"), rule, remedy=remedy)]


GRASS_RULES: Final[tuple[Rule, ...]] = (
    overseeding_needs_a_summer_perennial,
    overseeding_details_need_overseeding,
    overseeding_feeds_animals,
    switch_needs_trees,
    switch_says_when,
    switch_is_another_grass,
    switch_comes_within_the_cycle,
    switch_follows_the_first_sowing,
)
