"""The stand that a scenario of a standing wood starts from: as a species' own plantation grows, or as cruised."""

from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from simulator.baselines import plantation_of
from simulator.errors import InputError
from simulator.parameters.species import load_species
from simulator.result import run
from simulator.scenario.file import load_text
from simulator.scenario.trees import Harvest
from simulator.units import FloatArray
from workbench.starts import years_later

if TYPE_CHECKING:
    from simulator.inventory.cruise import Cruise, Design

DEMONSTRATION_SITE_FT: Final = 68.0
DEMONSTRATION_AGE_YR: Final = 18
DEMONSTRATION_TREES: Final = {4: 28, 5: 72, 6: 118, 7: 134, 8: 96, 9: 44, 10: 14}
"""The invented loblolly of Quillfern Farm: trees an acre by inch of dbh; other species are grown to such a table."""
DBH_STEP_IN: Final = 1.0


class DiameterClass(NamedTuple):
    """One line of a stand table; without a height it follows from the diameter."""

    dbh_in: float
    trees_per_ac: float
    height_ft: float | None = None


class StandStart(NamedTuple):
    """What stands, in the words and numbers of a scenario.

    Attributes
    ----------
    species, age, natural
        Id of the catalogue, years since planting [yr], whether it seeded itself.
    site_index_ft
        Of the species itself at its own base age [ft].
    rows
        Stand table.
    plots
        Plots it was cruised by; 0 for the invented stand.
    """

    species: str
    age: int
    natural: bool
    site_index_ft: float
    rows: tuple[DiameterClass, ...]
    plots: int = 0

    @property
    def trees_per_ac(self) -> float:
        """Living trees [1/ac]."""
        return sum(row.trees_per_ac for row in self.rows)

    @property
    def basal_area_ft2_ac(self) -> float:
        """Basal area [ft2/ac]."""
        return sum(np.pi / 576.0 * row.dbh_in**2 * row.trees_per_ac for row in self.rows)


def invented_stand(species: str) -> StandStart:
    """Stand of the packaged scenario: unthinned, planted, as old as its first thinning asks.

    Parameters
    ----------
    species
        Id of a tree of the catalogue.

    Returns
    -------
    StandStart
        Loblolly as invented; every other species as its own unthinned plantation grows on the same land.
    """
    age = DEMONSTRATION_AGE_YR + years_later(species)[0]
    own = DEMONSTRATION_SITE_FT * load_species(species).site_index.per_loblolly_ft
    if species == "loblolly":
        rows = tuple(DiameterClass(dbh, trees) for dbh, trees in DEMONSTRATION_TREES.items())
    else:
        rows = _grown(species, age)
    return StandStart(species, age, natural=False, site_index_ft=own, rows=rows)


def _grown(species: str, age: int) -> tuple[DiameterClass, ...]:
    """Whole inches of dbh and whole trees an acre of a plantation of the species that was left to itself."""
    from workbench.examples import scenario_text  # noqa: PLC0415 - which writes this stand
    from workbench.starts import Choices  # noqa: PLC0415 - as above

    plan = plantation_of(load_text(scenario_text(Choices(trees=species)), "the stand"))
    money = plan.money.model_copy(update={"horizon_years": age})
    idle = plan.model_copy(update={"thinning": (), "harvest": Harvest(year=age + 1), "money": money})
    outcome = run(idle, precision="fast")
    dbh, share, height = (
        outcome.drawing[name][age].ravel() for name in ("class_dbh_in", "class_trees", "class_height_ft")
    )
    trees = share / share.sum() * outcome.states["trees_per_ac"][age]
    edges = np.arange(np.floor(dbh.min()) - 0.5, dbh.max() + 1.5, DBH_STEP_IN)
    counts = np.round(np.diff(_fewer_than(edges, dbh, trees)))
    middles = edges[:-1] + 0.5 * DBH_STEP_IN
    tall = np.interp(middles, np.sort(dbh), height[np.argsort(dbh)])
    return tuple(
        DiameterClass(float(size), float(count), float(np.round(feet)))
        for size, count, feet in zip(middles, counts, tall, strict=True)
        if count and size > 0
    )


def _fewer_than(edges: FloatArray, dbh: FloatArray, trees: FloatArray) -> FloatArray:
    """Trees below each edge, each class of trees spread evenly to its neighbours."""
    order = np.argsort(dbh)
    size, cumulated = dbh[order], np.cumsum(trees[order])
    middle = cumulated - 0.5 * trees[order]
    size = np.concatenate([[1.5 * size[0] - 0.5 * size[1]], size, [1.5 * size[-1] - 0.5 * size[-2]]])
    return np.asarray(np.interp(edges, size, np.concatenate([[0.0], middle, cumulated[-1:]])))


def cruised_stand(cruise: "Cruise", design: "Design") -> StandStart | None:
    """Stand of a cruise, or None where its age or site index is not known.

    Parameters
    ----------
    cruise
        Worked-up cruise; trees of its main species only.
    design
        Its design, with the age.

    Returns
    -------
    StandStart or None
    """
    from workbench.stand_block import classes_of  # noqa: PLC0415 - kept out of the way of init

    if design.age_yr is None or cruise.site_index_ft is None:
        return None
    rows = tuple(DiameterClass(*row) for row in classes_of(cruise))
    return StandStart(
        cruise.main_species, round(design.age_yr), design.natural, cruise.site_index_ft, rows, cruise.plots
    )


def stand_scenario(cruise: "Cruise", design: "Design") -> tuple[str | None, str]:
    """Write the whole scenario of a cruised stand, or say why there is none.

    Parameters
    ----------
    cruise, design
        Worked-up cruise and its design.

    Returns
    -------
    tuple of (str or None, str)
        TOML that loads, and nothing; or None and the reason.
    """
    from workbench.examples import stand_scenario_text  # noqa: PLC0415 - as above
    from workbench.starts import Choices  # noqa: PLC0415 - as above

    if design.age_yr is None:
        return None, "it needs --age."
    start = cruised_stand(cruise, design)
    if start is None:
        return None, "the site index is not known; check age and heights, or give --site-index."
    text = stand_scenario_text(Choices(trees=start.species, route="stand"), start)
    try:
        load_text(text, "stand-scenario.toml")
    except InputError as error:
        # a cruise may find what no scenario holds, such as an age of 100
        return None, "; ".join(f"{each.field} {each.rule} (received {each.received})" for each in error.problems) + "."
    return text, ""
