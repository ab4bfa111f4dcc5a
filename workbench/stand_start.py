"""The stand that a scenario of a standing wood starts from: as a species' own plantation grows, or as cruised."""

import re
from importlib import resources
from string import Template
from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np

from simulator.baselines import plantation_of, usual_cuts
from simulator.errors import InputError
from simulator.parameters.growth import load_tree
from simulator.parameters.species import load_species
from simulator.result import run
from simulator.scenario.file import load_text
from simulator.scenario.trees import Harvest
from simulator.units import SQUARE_FEET_PER_ACRE, FloatArray
from workbench.starts import years_later

if TYPE_CHECKING:
    from simulator.inventory.cruise import Cruise, Design

DEMONSTRATION_SITE_FT: Final = 68.0
DEMONSTRATION_AGE_YR: Final = 18
DEMONSTRATION_TREES: Final = {4: 28, 5: 72, 6: 118, 7: 134, 8: 96, 9: 44, 10: 14}
"""The invented loblolly of Quillfern Farm: trees an acre by inch of dbh; other species are grown to such a table."""
PLANTED_SPACING_FT: Final = (8.0, 9.0)
WHOLE_LIFE_YR: Final = 35
"""Age at which a thinned loblolly stand is cut in the layouts; other species later by their own schedule."""
LEAST_YEARS_TO_HARVEST: Final = 13
"""Eight years after the second cut of the template, in year 5; common practice, no source."""
LEAST_HORIZON_YR: Final = 40
FIRST_RESIDUAL_FT2_AC: Final = 70.0
SECOND_RESIDUAL_TREES_AC: Final = 90.0
WORTH_CUTTING: Final = 1.15
"""A cut is written where so much more stands than it leaves; assumed for this project."""
DBH_STEP_IN: Final = 1.0
COMMENT_COLUMN: Final = 25
_VALUE_WITH_COMMENT: Final = re.compile(r"^([^#\n]*[^#\s])[ ]+#[ ]", re.MULTILINE)


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


def stand_text(start: StandStart, use: dict[str, str]) -> str:
    """Write a commented scenario that opens a stand to grass.

    Parameters
    ----------
    start
        What stands.
    use
        Words of the template for grass and animals.

    Returns
    -------
    str
        TOML.
    """
    later = years_later(start.species)[2]
    harvest = max(WHOLE_LIFE_YR + later - start.age, LEAST_YEARS_TO_HARVEST)
    in_row, alley = _spacing_ft(start)
    text = Template(resources.files("workbench.scenarios").joinpath("stand.toml").read_text("utf-8")).substitute(
        use,
        **_site_words(start),
        title="Cruised stand" if start.plots else "Standing pines",
        species=start.species,
        origin="natural" if start.natural else "planted",
        age=start.age,
        in_row_ft=f"{in_row:g}",
        alley_ft=f"{alley:g}",
        stand_table=_table(start),
        thinnings=_thinnings(start),
        harvest_year=harvest,
        kept_harvest_year=max(usual_cuts(start.species)[1].year - start.age, LEAST_YEARS_TO_HARVEST),
        later_harvest_year=harvest + 3,
        horizon_years=max(LEAST_HORIZON_YR, harvest + 1),
    )
    return aligned(text)


def aligned(text: str) -> str:
    """The same file with the comments behind its values in one column."""
    return _VALUE_WITH_COMMENT.sub(lambda match: f"{match[1]:<{COMMENT_COLUMN - 1}} # ", text)


def _site_words(start: StandStart) -> dict[str, str]:
    site, name = load_species(start.species).site_index, load_tree(start.species).title.partition(" (")[0]
    name = name.partition(",")[0].lower()
    of_loblolly = site.per_loblolly_ft == 1.0 and site.base_age_yr == load_species("loblolly").site_index.base_age_yr
    base, own = f"{site.base_age_yr:.0f}", f"{round(start.site_index_ft, 1):g}"
    if start.plots:
        intro = (
            f"# Made from a cruise of {start.plots} plots: species, age, site index and [stand]. All else is\n"
            "# invented: acres, prices, cuts and use. Replace it by your own."
        )
    else:
        grown = f"60 acres of {name} on Quillfern Farm, planted {start.age} years ago, never"
        intro = (
            f"# The property and its owner are invented: {grown}\n"
            "# thinned, owned by Orla Quillfern. Replace every number by your own."
        )
    return {
        "intro": intro,
        "site_index_ft": f"{round(start.site_index_ft / site.per_loblolly_ft, 1):g}",
        "site_note": "from the cruise" if of_loblolly else "as loblolly would grow there",
        "own_site_line": ""
        if of_loblolly
        else f"\nsite_index_ft = {own} # height of the tallest trees of this species at age {base}, from the cruise",
    }


def _spacing_ft(start: StandStart) -> tuple[float, float]:
    """Distances in the row and between rows: as usually planted, else a square with room for all that stand."""
    if not start.natural and start.trees_per_ac <= SQUARE_FEET_PER_ACRE / np.prod(PLANTED_SPACING_FT):
        return PLANTED_SPACING_FT
    room = SQUARE_FEET_PER_ACRE / start.trees_per_ac
    alley = float(np.clip(np.floor(10.0 * room**0.5) / 10.0, 5.0, 60.0))
    return max(2.0, min(alley, float(np.floor(10.0 * room / alley) / 10.0))), alley


def _table(start: StandStart) -> str:
    blocks = []
    for index, row in enumerate(start.rows):
        note = "" if index or start.plots else "               # middle of the class"
        lines = ["[[stand.class]]", f"dbh_in = {round(row.dbh_in, 4):g}{note}"]
        lines += [f"trees_per_ac = {round(row.trees_per_ac, 4):g}"]
        if start.plots and row.height_ft is not None:
            lines += [f"height_ft = {row.height_ft:.1f}"]
        elif not index:
            lines += [f"# height_ft = {row.height_ft or 44:.0f}", "# sawtimber_grade_share = 0.40"]
        blocks.append("\n".join(lines))
    return "\n\n".join(blocks)


def _thinnings(start: StandStart) -> str:
    """The two cuts that open a full stand, so far as there is something to take."""
    cuts: list[dict[str, Any]] = []
    if start.basal_area_ft2_ac > WORTH_CUTTING * FIRST_RESIDUAL_FT2_AC:
        rows = {"method": '"marked"'} if start.natural else {"method": '"rows then below"', "remove_every_row": 4}
        cuts.append({"year": 0, **rows, "residual_basal_area_ft2_ac": f"{FIRST_RESIDUAL_FT2_AC:.0f}"})
    share_left = min(1.0, FIRST_RESIDUAL_FT2_AC / start.basal_area_ft2_ac)
    if start.trees_per_ac * share_left > WORTH_CUTTING * SECOND_RESIDUAL_TREES_AC:
        cuts.append({"year": 5, "method": '"marked"', "residual_trees_per_ac": f"{SECOND_RESIDUAL_TREES_AC:.0f}"})
    heads = ("[[thinning]]", "[[thinning]]             # two lighter cuts are safer in wind and ice than one heavy one")
    return "".join(
        "\n".join([head, *(f"{key} = {value}" for key, value in cut.items())]) + "\n\n"
        for head, cut in zip(heads, cuts, strict=False)
    )
