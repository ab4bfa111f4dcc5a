"""A cruise worked up: stand and stock by species and class, products, sampling errors and site index."""

from collections.abc import Mapping
from typing import Final, NamedTuple

import numpy as np
from scipy import optimize

from simulator.enterprises.products import PRODUCTS, product_tons
from simulator.enterprises.sawlogs import board_feet
from simulator.errors import InputError, Problem
from simulator.events.height import dominant_height_of_species_ft
from simulator.events.site import Site
from simulator.inventory.heights import HeightCurve, completed_heights_ft
from simulator.inventory.sampling import Estimate, estimate
from simulator.inventory.tally import HARDWOOD, Tally
from simulator.parameters.growth import Tree, load_tree
from simulator.parameters.wood import load_stem_quality, load_wood
from simulator.physics.dominant_height import dominant_height_of_ft
from simulator.physics.height import relative_height
from simulator.units import BASAL_AREA_FT2_PER_IN2, FloatArray

LOG_RULES: Final = ("doyle", "scribner", "international_quarter_inch")
SITE_INDEX_RANGE_FT: Final = (30.0, 130.0)


class Design(NamedTuple):
    """How plots were laid out and how sure the answer has to be.

    Attributes
    ----------
    plot_acres
        Size of a fixed plot [ac], or None for prism points.
    basal_area_factor
        Factor of the prism [ft2/ac], or None for fixed plots.
    confidence, precision
        Confidence level [1], and wanted half-width of its interval as a share of the mean [1].
    natural
        Whether the trees seeded themselves: other stem equations.
    age_yr, site_index_ft
        Age of the stand [yr] and its site index [ft] where known; heights come from them if nobody measured any.
    """

    plot_acres: float | None
    basal_area_factor: float | None
    confidence: float = 0.90
    precision: float = 0.10
    natural: bool = False
    age_yr: float | None = None
    site_index_ft: float | None = None


class ClassRow(NamedTuple):
    """One species and 1-in diameter class, per acre."""

    species: str
    dbh_class_in: int
    tallied: int
    trees_per_ac: float
    basal_area_ft2_ac: float
    mean_height_ft: float
    ton_ac: tuple[float, ...]


class Cruise(NamedTuple):
    """What a cruise says.

    Attributes
    ----------
    plots
        Plots, those without trees among them.
    estimates
        Trees, basal area, tons and board feet per acre, with their sampling errors, by name.
    quadratic_mean_dbh_in
        Of all trees [in].
    classes
        Stand and stock table.
    curves
        Height curve by species.
    dominant_height_ft, site_index_ft
        Of the main species [ft]; None without heights, or without an age.
    main_species
        Species of most basal area among those of the catalogue.
    unused_columns
        Columns of the file that nothing read.
    """

    plots: int
    estimates: Mapping[str, Estimate]
    quadratic_mean_dbh_in: float
    classes: list[ClassRow]
    curves: Mapping[str, HeightCurve]
    dominant_height_ft: float | None
    site_index_ft: float | None
    main_species: str
    unused_columns: list[str]

    @property
    def site_index_base_age_yr(self) -> float:
        """Age at which the site index of the main species is read [yr]."""
        return load_tree(self.main_species).species.site_index.base_age_yr


def expansion_per_ac(dbh_in: FloatArray, design: Design) -> FloatArray:
    """Trees per acre that each tallied tree stands for on its own plot.

    Parameters
    ----------
    dbh_in
        Diameters [in], above 0, (trees,).
    design
        Fixed plots or prism points.

    Returns
    -------
    FloatArray
        Trees per acre, (trees,).

    References
    ----------
    One over the plot's acres; for a prism the basal-area factor over the tree's basal area (Grosenbaugh 1952, Journal
    of Forestry 50:32-37; from memory).
    """
    if design.plot_acres is not None:
        return np.full(dbh_in.shape, 1.0 / design.plot_acres)
    if design.basal_area_factor is None:
        raise ValueError("a cruise has plots of some acres or a basal-area factor")
    return np.asarray(design.basal_area_factor / (BASAL_AREA_FT2_PER_IN2 * dbh_in**2))


def work_up(tally: Tally, design: Design) -> Cruise:
    """Work up a cruise.

    Parameters
    ----------
    tally
        Trees and plots.
    design
        Plots and wanted precision.

    Returns
    -------
    Cruise

    Raises
    ------
    InputError
        Where no height was measured and neither age nor site index is known, or the main species is no timber.
    """
    per_ac = expansion_per_ac(tally.dbh_in, design)
    names = list(dict.fromkeys(tally.species))
    area = per_ac * BASAL_AREA_FT2_PER_IN2 * tally.dbh_in**2
    main = _main_species(tally, area)
    groups = np.array([names.index(species) for species in tally.species])
    heights, curves = _heights(tally, design, groups, main)
    tons, feet = _stock(tally, heights, design)
    values = {"trees": per_ac, "basal_area": area}
    values |= {f"{product}_ton": per_ac * tons[:, place] for place, product in enumerate(PRODUCTS)}
    values |= {"all_ton": per_ac * tons.sum(axis=1)}
    values |= {f"board_feet_{rule}": per_ac * feet[:, place] for place, rule in enumerate(LOG_RULES)}
    plots = len(tally.plot_names)
    sums = {
        name: np.bincount(tally.plot, weights=value, minlength=plots).astype(np.float64)
        for name, value in values.items()
    }
    estimates = {name: estimate(by_plot, design.confidence, design.precision) for name, by_plot in sums.items()}
    dominant = _dominant(tally, heights, per_ac, main)
    return Cruise(
        plots=plots,
        estimates=estimates,
        quadratic_mean_dbh_in=float(np.sqrt((per_ac * tally.dbh_in**2).sum() / per_ac.sum())),
        classes=_classes(tally, heights, per_ac / plots, tons),
        curves={names[group]: curve for group, curve in curves.items()},
        dominant_height_ft=dominant,
        site_index_ft=_site_index(main, dominant, design),
        main_species=main,
        unused_columns=tally.unused_columns,
    )


def _main_species(tally: Tally, area: FloatArray) -> str:
    shares = {
        species: float(area[[each == species for each in tally.species]].sum())
        for species in dict.fromkeys(tally.species)
        if species != HARDWOOD
    }
    if not shares:
        remedy = "Halfshade grows and sells the trees of its catalogue only."
        raise InputError([Problem("species", "all trees are hardwoods", "", remedy)])
    main = max(shares, key=lambda species: shares[species])
    if not _is_timber(main):
        remedy = "Its wood is reckoned as salvage only; write its [[stand.class]] lines by hand."
        raise InputError([Problem("species", "has no stem equations here", f'"{main}"', remedy)])
    return main


def _is_timber(species: str) -> bool:
    """Whether there are stem equations; hardwoods and orchard trees are counted, not sold."""
    return species != HARDWOOD and load_tree(species).species.orchard is None


def _heights(
    tally: Tally, design: Design, groups: FloatArray, main: str
) -> tuple[FloatArray, Mapping[int, HeightCurve]]:
    """Heights of all trees: by curves of those measured, or by site index and age, and the curves."""
    if np.isfinite(tally.height_ft).any():
        return completed_heights_ft(tally.dbh_in, tally.height_ft, groups)
    if design.age_yr is None or design.site_index_ft is None:
        remedy = "Measure a few heights (column height_ft), or give --age and --site-index."
        raise InputError([Problem("height_ft", "no tree has a height", "", remedy)])
    tree = load_tree(main)
    dominant = _curve_ft(tree, design.site_index_ft, design.age_yr)
    per_ac = expansion_per_ac(tally.dbh_in, design)
    mean = np.sqrt((per_ac * tally.dbh_in**2).sum() / per_ac.sum())
    return np.asarray(dominant * relative_height(tally.dbh_in / mean, tree.height_by_diameter)), {}


def _stock(tally: Tally, heights: FloatArray, design: Design) -> tuple[FloatArray, FloatArray]:
    """Green tons by product and board feet by rule of each tallied tree, (trees, 4) and (trees, 3)."""
    tons = np.zeros((len(tally.species), len(PRODUCTS)))
    feet = np.zeros((len(tally.species), len(LOG_RULES)))
    codes = np.array(tally.code)
    for species in dict.fromkeys(tally.species):
        if not _is_timber(species):
            continue
        here = np.array([each == species for each in tally.species])
        wood, quality = load_wood(species, natural=design.natural), load_stem_quality(species)
        sure = np.isin(codes[here], ("pole", "sawtimber", "chip-and-saw", "pulpwood"))
        grade = np.where(sure, 1.0, quality.sawtimber_grade_share)
        pole = np.where(codes[here] == "pole", 1.0, np.where(sure, 0.0, quality.pole_share_closed))
        dbh, tall = tally.dbh_in[here], heights[here]
        tons[here] = _as_coded(product_tons(dbh, tall, grade, pole, wood), codes[here])
        scaled = np.stack(board_feet(dbh, tall, wood), axis=-1)
        sawn = np.isin(codes[here], ("chip-and-saw", "pulpwood", "cull"))
        feet[here] = np.where(sawn[:, None], 0.0, scaled * grade[:, None])
    return tons, feet


def _as_coded(tons: FloatArray, codes: FloatArray) -> FloatArray:
    """Sell no stem for more than its code allows; culls stay in the woods."""
    pulpwood, chip_and_saw, sawtimber, pole = range(len(PRODUCTS))
    for code, best in (("sawtimber", sawtimber), ("chip-and-saw", chip_and_saw), ("pulpwood", pulpwood)):
        here = codes == code
        for dearer in range(best + 1, pole + 1):
            tons[here, best] += tons[here, dearer]
            tons[here, dearer] = 0.0
    tons[codes == "cull"] = 0.0
    return tons


def _dominant(tally: Tally, heights: FloatArray, per_ac: FloatArray, main: str) -> float | None:
    here = np.array([species == main for species in tally.species])
    if not np.isfinite(tally.height_ft[here]).any():
        return None
    return dominant_height_of_ft(tally.dbh_in[here], heights[here], per_ac[here])


def _site_index(main: str, dominant_ft: float | None, design: Design) -> float | None:
    """Site index whose curve passes through the dominant height at the stand's age [ft]."""
    if dominant_ft is None or design.age_yr is None:
        return design.site_index_ft
    tree, age = load_tree(main), design.age_yr
    low, high = (_curve_ft(tree, index, age) - dominant_ft for index in SITE_INDEX_RANGE_FT)
    if low > 0 or high < 0:
        return None
    found = optimize.brentq(lambda index: _curve_ft(tree, index, age) - dominant_ft, *SITE_INDEX_RANGE_FT, xtol=1e-6)
    return float(found)


def _curve_ft(tree: Tree, site_index_ft: float, age_yr: float) -> float:
    """Dominant height of a species on kept-up old pasture [ft]; the curves meet where cruises are made."""
    one = np.ones(1)
    site = Site(site_index_ft * one, one, one, one)
    return float(dominant_height_of_species_ft(site, age_yr * one, tree)[0])


def _classes(tally: Tally, heights: FloatArray, per_ac: FloatArray, tons: FloatArray) -> list[ClassRow]:
    """Stand and stock table by species and inch."""
    classes = np.floor(tally.dbh_in + 0.5).astype(int)
    keys = sorted(set(zip(tally.species, classes.tolist(), strict=True)))
    species = np.array(tally.species)
    rows = []
    for name, inch in keys:
        here = (species == name) & (classes == inch)
        weight = per_ac[here]
        rows.append(
            ClassRow(
                name,
                inch,
                int(here.sum()),
                float(weight.sum()),
                float((weight * BASAL_AREA_FT2_PER_IN2 * tally.dbh_in[here] ** 2).sum()),
                float((weight * heights[here]).sum() / weight.sum()),
                tuple((weight[:, None] * tons[here]).sum(axis=0).tolist()),
            )
        )
    return rows
