"""A cruise as the [stand] table of a scenario."""

from typing import TYPE_CHECKING

from simulator.units import BASAL_AREA_FT2_PER_IN2

if TYPE_CHECKING:
    from simulator.inventory.cruise import Cruise, Design

HEAD = """# The stand as cruised, for a scenario file: the trees of the main species ({species}), by 1-in class.
# {plots} plots. {left}
"""
OWN_INDEX = """# Site index {index:.1f} ft, {species} at {base:g} years. It is the species' own: under [trees] write
# species = "{species}"
# site_index_ft = {index:.1f}
"""


def stand_block(cruise: "Cruise", design: "Design") -> str:
    """Write the stand table of a scenario that starts from a cruise.

    Parameters
    ----------
    cruise
        Worked-up cruise.
    design
        Its design; the age stands in the table where it is known.

    Returns
    -------
    str
        TOML. Each class keeps its trees and its basal area.
    """
    others = sum(row.trees_per_ac for row in cruise.classes if row.species != cruise.main_species)
    left = f"{others:.0f} trees an acre of other species are left out: one stand is of one species." if others else ""
    text = HEAD.format(species=cruise.main_species, plots=cruise.plots, left=left).replace("plots. \n", "plots.\n")
    if cruise.site_index_ft is not None:
        base = cruise.site_index_base_age_yr
        text += OWN_INDEX.format(index=cruise.site_index_ft, species=cruise.main_species, base=base)
    age = f"age = {round(design.age_yr)}" if design.age_yr is not None else "# age = 18  # years since planting: needed"
    lines = ["[stand]", age, f'origin = "{"natural" if design.natural else "planted"}"']
    for dbh, trees, height in classes_of(cruise):
        lines += ["", "[[stand.class]]"]
        lines += [f"dbh_in = {dbh:.4f}", f"trees_per_ac = {trees:.4f}", f"height_ft = {height:.1f}"]
    return text + "\n".join(lines) + "\n"


def classes_of(cruise: "Cruise") -> list[tuple[float, float, float]]:
    """Dbh [in] that keeps the basal area, trees [1/ac] and height [ft] of each class of the main species."""
    return [
        (
            (row.basal_area_ft2_ac / (BASAL_AREA_FT2_PER_IN2 * row.trees_per_ac)) ** 0.5,
            row.trees_per_ac,
            row.mean_height_ft,
        )
        for row in cruise.classes
        if row.species == cruise.main_species
    ]
