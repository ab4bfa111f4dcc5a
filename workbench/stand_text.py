"""The commented scenario that opens a standing wood to grass, written from what stands."""

import re
from importlib import resources
from string import Template
from typing import Any, Final

import numpy as np

from simulator.baselines import usual_cuts
from simulator.parameters.growth import load_tree
from simulator.parameters.species import load_species
from simulator.units import SQUARE_FEET_PER_ACRE
from workbench.stand_start import StandStart
from workbench.starts import years_later

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
COMMENT_COLUMN: Final = 25
_VALUE_WITH_COMMENT: Final = re.compile(r"^([^#\n]*[^#\s])[ ]+#[ ]", re.MULTILINE)


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
