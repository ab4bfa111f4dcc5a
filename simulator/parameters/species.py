"""What sets one species apart from another: height form, site index, weeds, rust, planting stock, nuts."""

from functools import cache
from pathlib import Path
from typing import NamedTuple

from simulator.physics.diameter import GrowthLevel
from simulator.physics.height import CarmeanHeight, GrassStage, PienaarHeight
from simulator.physics.nuts import NutYield
from simulator.physics.rust import RustCoefficients
from simulator.sourced import Coefficients, SourcedFile, coefficients, read_sourced

FOLDER = Path(__file__).parent
GROWTH_TABLES = ("site_index", "growth", "diameter", "height_natural", "height_on_cutover", "height_orchard", "nuts")
"""Tables on which the size of the trees and their yield rest."""


class SpeciesSite(NamedTuple):
    """Site index of a species.

    Attributes
    ----------
    base_age_yr
        Age at which its site index is read [yr].
    per_loblolly_ft
        Its site index / that of loblolly at 25 on the same land [ft/ft].
    """

    base_age_yr: float
    per_loblolly_ft: float


class HeightForms(NamedTuple):
    """Height curves that a file holds beside the blend of loblolly; the first that fits the land is used.

    Attributes
    ----------
    orchard
        Curve of an orchard tree, on all land.
    natural, grass_stage
        Curve of natural stands with site index at 50, and the years before it where there is a grass stage.
    on_cutover
        Curve of prepared cutover land; on pasture the blend.
    """

    orchard: PienaarHeight | None
    natural: CarmeanHeight | None
    grass_stage: GrassStage | None
    on_cutover: PienaarHeight | None


class Unweeded(NamedTuple):
    """What becomes of trees planted without a herbicide strip: shares of growth and of survival [1]."""

    pasture_culture_share: float
    cutover_culture_share: float
    survival_share: float


class Stock(NamedTuple):
    """Planting stock: shares of container seedlings and of grafted orchard trees, the rest bareroot [1]."""

    container_share: float
    grafted_share: float


class StrawGrade(NamedTuple):
    """What the market takes the needles for: shares sold as slash and as longleaf straw, the rest as plain [1]."""

    slash_share: float
    longleaf_share: float


class Orchard(NamedTuple):
    """Trees kept for their nuts.

    Attributes
    ----------
    care_h_ac_yr
        The owner's hours of care and gathering [h/ac/yr].
    salvage_sold_share
        Share of the wood that finds a buyer, as salvage: these trees are no timber [1].
    """

    care_h_ac_yr: float
    salvage_sold_share: float


class Schedule(NamedTuple):
    """Years of an ordinary plantation or orchard of the species alone, since planting [yr]."""

    first_thinning_yr: float
    second_thinning_yr: float
    harvest_yr: float


class Fitted(NamedTuple):
    """Where the equations of a species are fitted; beyond it the user is warned."""

    site_index_low_ft: float
    site_index_high_ft: float
    few_trees_per_ac: float
    few_after_age_yr: float
    oldest_yr: float
    largest_dbh_in: float
    widest_alley_ft: float


class Species(NamedTuple):
    """Everything about a species beside the coefficients of its growth engine.

    Attributes
    ----------
    forms, site_index, growth
        Height, site index, diameter growth against loblolly.
    unweeded, rust, stock, straw_grade, fitted
        Weeds, rust, planting stock, needles as the market sees them, range of the fits.
    schedule
        Usual years of cutting where it grows alone.
    nuts, orchard
        Nuts of orchard trees, and what their keeping takes; None for timber.
    """

    forms: HeightForms
    site_index: SpeciesSite
    growth: GrowthLevel
    unweeded: Unweeded
    rust: RustCoefficients
    stock: Stock
    straw_grade: StrawGrade
    fitted: Fitted
    schedule: Schedule
    nuts: NutYield | None
    orchard: Orchard | None


class GeneticGrade(NamedTuple):
    """What better or worse seed does.

    Attributes
    ----------
    site_index_multiplier
        Factor on site index [1].
    sawtimber_grade_multiplier
        Factor on the share of stems of sawtimber grade [1].
    """

    site_index_multiplier: float
    sawtimber_grade_multiplier: float


def _if_held(file: SourcedFile, table: str, kind: type[Coefficients]) -> Coefficients | None:
    return coefficients(file, table, kind) if table in file.tables else None


def _species_file(species: str) -> SourcedFile:
    return read_sourced(FOLDER / "trees" / f"{species}.toml")


@cache
def load_species(species: str) -> Species:
    """Read what sets a species apart.

    Parameters
    ----------
    species
        File name without suffix, such as ``longleaf``.

    Returns
    -------
    Species

    Raises
    ------
    ParameterError
        If the file breaks its schema.
    """
    file = _species_file(species)
    return Species(
        forms=HeightForms(
            _if_held(file, "height_orchard", PienaarHeight),
            _if_held(file, "height_natural", CarmeanHeight),
            _if_held(file, "grass_stage", GrassStage),
            _if_held(file, "height_on_cutover", PienaarHeight),
        ),
        site_index=coefficients(file, "site_index", SpeciesSite),
        growth=coefficients(file, "growth", GrowthLevel),
        unweeded=coefficients(file, "unweeded", Unweeded),
        rust=coefficients(file, "rust", RustCoefficients),
        stock=coefficients(file, "stock", Stock),
        straw_grade=coefficients(file, "straw_grade", StrawGrade),
        fitted=coefficients(file, "fitted", Fitted),
        schedule=coefficients(file, "schedule", Schedule),
        nuts=_if_held(file, "nuts", NutYield),
        orchard=_if_held(file, "orchard", Orchard),
    )


@cache
def provisional_growth(species: str) -> bool:
    """Whether the growth or yield of a species rests on numbers that no published value was found for."""
    tables = _species_file(species).tables
    return any(entry.provisional for name in GROWTH_TABLES for entry in tables.get(name, {}).values())


@cache
def load_genetics(grade: str) -> GeneticGrade:
    """Read what a genetic grade does.

    Parameters
    ----------
    grade
        As in ``[trees] genetics``.

    Returns
    -------
    GeneticGrade

    Raises
    ------
    ParameterError
        If the file breaks its schema.
    """
    return coefficients(read_sourced(FOLDER / "genetics.toml"), grade, GeneticGrade)


@cache
def genetics_source(grade: str) -> str:
    """Where the gain of a genetic grade comes from, and what speaks against it."""
    file = read_sourced(FOLDER / "genetics.toml")
    return file.sources[file.tables[grade]["site_index_multiplier"].source]
