"""What a reader must know about the animals: trees they cost, water, heat, small herds, fence, dangers."""

from collections.abc import Callable, Iterator
from typing import Final, NamedTuple

import numpy as np

from simulator.enterprises.season import afternoon_thi, mean_heat_load, months_of
from simulator.herd_accounts import COWS
from simulator.parameters.catalogue import NO_ANIMALS
from simulator.parameters.climate import load_climate
from simulator.parameters.pasture import Animals, load_animals
from simulator.parameters.tables import NOTHING, Tables, load_tables
from simulator.physics.animals import DAYS_PER_MONTH
from simulator.physics.heat import hot_hours_day, load_under_trees
from simulator.result import Outcome
from simulator.units import BoolArray

NAMES_OF_MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
SLASH: Final = (
    "Do not hold hungry late-pregnant cows on slash or needles: needles can make them abort (how often is not known)."
)
GUARD: Final = "dogs and coyotes kill lambs and kids: count on net wire and a guard animal; "
DANGERS: Final = (
    "Before animals are let in, and after drought or frost, look for wilted cherry, lantana, crotalaria, bracken, "
    "perilla and other poisonous plants; nitrate builds up after drought and heavy nitrogen, and in shade; {guard}give "
    "water and shade every hot day; labels say how long ground is closed after a spray. Ask a veterinarian."
)


class Herd(NamedTuple):
    """Animals of one outcome that grazes: its numbers and the years in which they graze."""

    outcome: Outcome
    animals: Animals
    grazed: BoolArray

    @property
    def owned(self) -> bool:
        """Whether they are the owner's."""
        return self.outcome.scenario.use.tenure == "owned"


def animal_findings(outcome: Outcome) -> Iterator[tuple[str, str]]:
    """Everything to say about the animals of one system.

    Parameters
    ----------
    outcome
        What came out.

    Yields
    ------
    tuple of str
        Stable code, and message in plain words; nothing where nobody grazes.
    """
    use, grazed = outcome.scenario.use, outcome.states["animal_unit_months_ac"] > 0
    if use.animals == NO_ANIMALS or not grazed.any():
        return
    herd = Herd(outcome, load_animals(use.animals), grazed)
    for check in CHECKS:
        yield from check(herd)


def _early_entry(herd: Herd) -> Iterator[tuple[str, str]]:
    """Name the trees that die where the owner lets animals in below their gate."""
    stated, gate = herd.outcome.scenario.use.tree_safe_height_ft, herd.animals.gate
    if stated is None or stated >= gate.least_height_ft or herd.outcome.scenario.trees is None:
        return
    lost = herd.outcome.states["trees_lost_early_per_ac"]
    early = np.flatnonzero(lost)
    if not len(early):
        return
    stood = herd.outcome.states["trees_per_ac"][early[0] - 1]
    years = "a year" if len(early) == 1 else f"{len(early)} years"
    message = (
        f"{herd.animals.words.heads.capitalize()} enter at {stated:g} ft, below their gate of "
        f"{gate.least_height_ft:g} ft and {gate.least_dbh_in:g} in of diameter: about {lost.sum():.0f} trees an acre "
        f"of {stood:.0f} die of it in {years}. "
        "The rate is assumed: fence the rows off, or wait."
    )
    yield "early_entry", message


def _own_fence(herd: Herd) -> Iterator[tuple[str, str]]:
    words = herd.animals.words
    if words.perimeter_fence == COWS.perimeter_fence or not herd.outcome.scenario.land.fenced:
        return
    message = (
        f"fenced = true is taken to mean net wire that holds {words.heads} and keeps dogs out; a cattle fence does "
        "not. Where there is none, write fenced = false and it is paid for."
    )
    yield "fence_for_small_stock", message


def _water(herd: Herd) -> Iterator[tuple[str, str]]:
    if not herd.owned:
        return
    head = herd.outcome.states["head"].max()
    gallons, hours = head * herd.animals.care.water_gal_day, head * herd.animals.budget.labour_hours_head
    males = ""
    if herd.animals.herd is not None:
        count = int(np.ceil(head / herd.animals.herd.females_per_male))
        males = f" and {count} {herd.animals.words.male if count == 1 else herd.animals.words.males}"
    message = (
        f"Water: up to {gallons:,.0f} gallons a day for {head:.0f} {herd.animals.words.heads}{males} in the hottest "
        f"weather; minerals all year (in their cash cost); about {hours:,.0f} hours of work a year."
    )
    yield "water_and_hours", message


def _small(herd: Herd) -> Iterator[tuple[str, str]]:
    head, least = herd.outcome.states["head"], herd.animals.care.least_worth_head
    kept = head[head > 0]
    if not herd.owned or not len(kept) or kept.min() >= least:
        return
    words = herd.animals.words
    male = f" a {words.male}," if herd.animals.herd is not None else ""
    message = (
        f"The herd falls to {kept.min():.0f} head. Fewer than about {least:.0f} {words.heads} hardly pay for{male} "
        "pens and hauling, which are counted by the head here."
    )
    yield "small_herd", message


def _heat(herd: Herd) -> Iterator[tuple[str, str]]:
    """Say which months are hot, and what the open and the trees leave of it."""
    if not herd.owned:
        return
    scenario, bonus, climate = herd.outcome.scenario, herd.animals.shade_bonus, load_climate()
    months = months_of(scenario, tables_of(herd.outcome))
    index = afternoon_thi(scenario, climate)
    hot = (index > bonus.alert_thi) & (months > 0)
    if not hot.any():
        yield "heat", f"The temperature-humidity index stays under {bonus.alert_thi:.0f} on ordinary afternoons."
        return
    hours = (hot_hours_day(index, climate.daily_swing_thi, bonus.alert_thi) * hot).sum() * DAYS_PER_MONTH
    opened = mean_heat_load(scenario, herd.animals, climate, hot.astype(float))
    said = round(float(hours), -2)  # to the hundred: an ordinary year is no record
    message = (
        f"The temperature-humidity index passes {bonus.alert_thi:.0f} on ordinary afternoons of {_listed(hot)}, about "
        f"{said:,.0f} hours a year, and reaches {index[hot].max():.0f}. Heat load of those months (0 cool, 1 full): "
        f"{opened:.2f} in the open{_under_trees(herd, opened)}.{_bonus(herd.animals)}"
    )
    yield "heat", message


def tables_of(outcome: Outcome) -> Tables:
    """Numbers of the plan; a grass that was never sown lets no animal in."""
    scenario, pasture = outcome.scenario, outcome.scenario.pasture
    species = scenario.trees.species if scenario.trees else "loblolly"
    later = pasture.later_grass if outcome.states["later_grass"].any() else NOTHING
    return load_tables(species, pasture.grass, scenario.use.animals, pasture.overseeded, later)


def _listed(hot: BoolArray) -> str:
    """Months in words; a run is named by its ends."""
    places = np.flatnonzero(hot)
    if len(places) > 1 and places[-1] - places[0] == len(places) - 1:
        return f"{NAMES_OF_MONTHS[places[0]]} to {NAMES_OF_MONTHS[places[-1]]}"
    return ", ".join(NAMES_OF_MONTHS[place] for place in places)


def _under_trees(herd: Herd, opened: float) -> str:
    if herd.outcome.scenario.trees is None:
        return ""
    cover = herd.outcome.states["canopy_cover"][herd.grazed]
    under = load_under_trees(opened, cover, herd.animals.shade_bonus)
    return (
        f", {under.min():.2f} to {under.max():.2f} under these trees (shade takes some off, still air in dense stands "
        "puts some back; assumed)"
    )


def _bonus(animals: Animals) -> str:
    return "" if animals.stocker is not None else " No effect on breeding or weaning is counted."


def _browse(herd: Herd) -> Iterator[tuple[str, str]]:
    eaten = herd.outcome.states["browse_eaten_lb_ac"]
    if eaten.any():
        message = (
            f"Brush feeds the {herd.animals.words.heads} up to {eaten.max():,.0f} lb an acre a year and puts on no "
            "weight: count it as brush control. Check the bark of the trees weekly and take them out if they strip it."
        )
        yield "browse", message


def _dangers(herd: Herd) -> Iterator[tuple[str, str]]:
    words = herd.animals.words
    bred = herd.animals.herd is not None and words.female == COWS.female and herd.outcome.scenario.trees is not None
    yield "animal_care", DANGERS.format(guard=GUARD if words.perimeter_fence != COWS.perimeter_fence else "")
    if bred:
        yield "needles_and_cows", SLASH


CHECKS: Final[tuple[Callable[[Herd], Iterator[tuple[str, str]]], ...]] = (
    _early_entry,
    _own_fence,
    _small,
    _water,
    _heat,
    _browse,
    _dangers,
)
