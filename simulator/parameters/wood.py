"""Stems, weights, stem quality, product specifications and poles, read from the parameter files."""

from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from simulator.errors import InputError, ParameterError, Problem
from simulator.parameters.catalogue import tree_names
from simulator.physics.logs import LogRules
from simulator.physics.stem import (
    GreenWeight,
    RatioCoefficients,
    StemCoefficients,
    StemQuality,
    TieCoefficients,
    VolumeCoefficients,
)
from simulator.sourced import SourcedFile, coefficients, read_sourced

_FOLDER = Path(__file__).parent


class PieceSpec(NamedTuple):
    """What a buyer asks of a tree-length piece; the top is outside bark, a multiple of 0 is any length.

    Attributes
    ----------
    minimum_dbh_in, minimum_top_in
        Least dbh of the tree, and least diameter at the upper end [in].
    minimum_length_ft
        Least length of a piece [ft].
    length_multiple_ft
        Steps in which its length grows [ft].
    """

    minimum_dbh_in: float
    minimum_top_in: float
    minimum_length_ft: float
    length_multiple_ft: float


class SawlogSpec(NamedTuple):
    """The cut-to-length sawlog in which board feet are shown; the top is inside bark.

    Attributes
    ----------
    log_length_ft
        Length of a sawlog [ft].
    trim_ft
        What is cut beside it for trim [ft].
    minimum_top_in
        Least diameter at the small end [in].
    """

    log_length_ft: float
    trim_ft: float
    minimum_top_in: float


class PoleLimits(NamedTuple):
    """What a pole asks besides its table of circumferences.

    Attributes
    ----------
    minimum_dbh_in, minimum_length_ft
        Least dbh of the tree [in], and the shortest pole sold [ft].
    trim_ft, girth_above_butt_ft
        Cut beside the length for trim, and height above the butt at which the girth is read [ft].
    """

    minimum_dbh_in: float
    minimum_length_ft: float
    trim_ft: float
    girth_above_butt_ft: float


class PoleTable(NamedTuple):
    """Least circumferences of the wood: one row a length, one column a class, 0 for no such class.

    Attributes
    ----------
    limits
        What else a pole asks.
    top_in, girth_in
        Least girth at the top by class, and near the butt by length and class [in].
    length_ft
        Lengths sold [ft].
    """

    limits: PoleLimits
    top_in: tuple[float, ...]
    length_ft: tuple[float, ...]
    girth_in: tuple[tuple[float, ...], ...]


class ProductSpecs(NamedTuple):
    """All that a market asks of the pieces cut from a stem.

    Attributes
    ----------
    stump_ft
        Height of the stump [ft].
    pulpwood, chip_and_saw, sawtimber, poles, sawlogs, log_rules
        What is asked of each product, and how logs are scaled.
    """

    stump_ft: float
    pulpwood: PieceSpec
    chip_and_saw: PieceSpec
    sawtimber: PieceSpec
    poles: PoleTable
    sawlogs: SawlogSpec
    log_rules: LogRules


class Wood(NamedTuple):
    """Everything needed to turn trees of one species and origin into pieces and tons."""

    stem: StemCoefficients
    weight: GreenWeight
    specs: ProductSpecs


class _Stump(NamedTuple):
    height_ft: float


@lru_cache(maxsize=32)
def _species_file(species: str) -> SourcedFile:
    known = tree_names()
    if species not in known:
        raise InputError(
            [Problem("species", "is not a tree species known here", repr(species), f"Use one of: {', '.join(known)}.")]
        )
    return read_sourced(_FOLDER / "trees" / f"{species}.toml")


def load_stem(species: str, *, natural: bool) -> StemCoefficients:
    """Coefficients of the stems of a species.

    Parameters
    ----------
    species
        Name of the species file, such as ``loblolly``.
    natural
        Whether the trees seeded themselves rather than being planted.

    Returns
    -------
    StemCoefficients

    Raises
    ------
    InputError
        If there is no such species.
    ParameterError
        If the file lacks a table.
    """
    file = _species_file(species)
    origin = "natural" if natural else "planted"
    return StemCoefficients(
        coefficients(file, f"stem_{origin}_wood", VolumeCoefficients),
        coefficients(file, f"stem_{origin}_bark", VolumeCoefficients),
        coefficients(file, f"stem_{origin}_ratio", RatioCoefficients),
        coefficients(file, "stem_tie", TieCoefficients),
    )


def load_green_weight(species: str) -> GreenWeight:
    """Green weights of the wood and bark of a species.

    Parameters
    ----------
    species
        Name of the species file.

    Returns
    -------
    GreenWeight

    Raises
    ------
    InputError
        If there is no such species.
    ParameterError
        If the file lacks the table.
    """
    return coefficients(_species_file(species), "green_weight", GreenWeight)


def load_stem_quality(species: str) -> StemQuality:
    """Shares of the stems of a species that pass as sawtimber and as poles, and what moves them.

    Parameters
    ----------
    species
        Name of the species file.

    Returns
    -------
    StemQuality

    Raises
    ------
    InputError
        If there is no such species.
    ParameterError
        If the file lacks the table.
    """
    return coefficients(_species_file(species), "quality", StemQuality)


def _row(file: SourcedFile, table: str, name: str) -> tuple[float, ...]:
    value = file.tables[table][name].value
    if not isinstance(value, tuple):
        raise ParameterError(f"{file.path.name}: {table}.{name}: needs a list, has {value}")
    return value


def _load_poles() -> PoleTable:
    file = read_sourced(_FOLDER / "poles.toml")
    top = _row(file, "top_circumference", "classes")
    girths = "minimum_circumference_at_6ft"
    names = sorted(file.tables[girths], key=float)
    rows = tuple(_row(file, girths, name) for name in names)
    if any(len(row) != len(top) for row in rows):
        raise ParameterError(f"{file.path.name}: [{girths}] needs {len(top)} classes in each row")
    return PoleTable(coefficients(file, "limits", PoleLimits), top, tuple(float(name) for name in names), rows)


@lru_cache(maxsize=1)
def load_products() -> ProductSpecs:
    """Product specifications, poles, sawlogs and log rules that ship with Halfshade.

    Returns
    -------
    ProductSpecs

    Raises
    ------
    ParameterError
        If a file breaks its schema.
    """
    file = read_sourced(_FOLDER / "products.toml")
    (stump_ft,) = coefficients(file, "stump", _Stump)
    return ProductSpecs(
        stump_ft,
        coefficients(file, "pulpwood", PieceSpec),
        coefficients(file, "chip_and_saw", PieceSpec),
        coefficients(file, "sawtimber", PieceSpec),
        _load_poles(),
        coefficients(file, "sawlogs", SawlogSpec),
        coefficients(file, "log_rules", LogRules),
    )


def load_wood(species: str, *, natural: bool) -> Wood:
    """Stem, weight and product specifications of a species together.

    Parameters
    ----------
    species
        Name of the species file, such as ``loblolly``.
    natural
        Whether the trees seeded themselves rather than being planted.

    Returns
    -------
    Wood

    Raises
    ------
    InputError
        If there is no such species.
    ParameterError
        If a file breaks its schema.
    """
    return Wood(load_stem(species, natural=natural), load_green_weight(species), load_products())
