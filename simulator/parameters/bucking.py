"""How stems are bucked, what defects bar, and how pieces are scaled, read from the parameter files."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Final, NamedTuple

from simulator.errors import ParameterError
from simulator.parameters.wood import PieceSpec, ProductSpecs
from simulator.physics.logs import DecimalC
from simulator.physics.wood_quality import Occlusion
from simulator.sourced import coefficients, read_sourced

DEFECT_KINDS: Final = ("fork", "sweep", "canker", "rust", "broken_top", "large_knots")
NO_LIMIT_FT: Final = 300.0
"""Longer than any stem."""
_GRID_TOLERANCE: Final = 1e-9


class CutSpec(NamedTuple):
    """What a buyer asks of a piece; a length multiple of 0 is any length of the grid.

    ``inside_bark`` is 1 where the top diameter is of the wood alone, 0 where bark counts.
    """

    minimum_dbh_in: float
    minimum_top_in: float
    inside_bark: float
    minimum_length_ft: float
    maximum_length_ft: float
    length_multiple_ft: float
    trim_ft: float


class CutSpecs(NamedTuple):
    """A way of cutting: tree-length or cut to length."""

    sawtimber: CutSpec
    chip_and_saw: CutSpec
    pulpwood: CutSpec


class Work(NamedTuple):
    """How stems are cut.

    Attributes
    ----------
    grid_ft, cut_cost
        Distance between heights at which a cut is tried [ft], and what a cut costs [$].
    """

    grid_ft: float
    cut_cost: float


class DefectRule(NamedTuple):
    """What a kind of defect bars, in the order pulpwood, chip-and-saw, sawtimber, pole.

    ``barred`` is 1 where the product is barred from ``below_ft`` under the defect to ``above_ft`` over it.
    """

    barred: tuple[float, ...]
    below_ft: tuple[float, ...]
    above_ft: tuple[float, ...]


class Scaling(NamedTuple):
    """How pieces are scaled.

    Attributes
    ----------
    log_ft, least_log_ft
        Usual log of a long piece, and the least log [ft].
    cord_ton
        Green tons of a cord [ton].
    """

    log_ft: float
    least_log_ft: float
    cord_ton: float


class BuckingRules(NamedTuple):
    """All that bucking asks beside the product specifications."""

    work: Work
    tree_length: CutSpecs
    cut_to_length: CutSpecs
    defects: Mapping[str, DefectRule]
    occlusion: Occlusion
    scaling: Scaling
    decimal_c: DecimalC


def _tree_length(spec: PieceSpec) -> CutSpec:
    return CutSpec(
        spec.minimum_dbh_in,
        spec.minimum_top_in,
        0.0,
        spec.minimum_length_ft,
        NO_LIMIT_FT,
        spec.length_multiple_ft,
        0.0,
    )


def _checked(specs: CutSpecs, grid_ft: float) -> CutSpecs:
    for name, spec in zip(specs._fields, specs, strict=True):
        for length in (spec.minimum_length_ft, spec.length_multiple_ft, spec.trim_ft):
            if abs(length / grid_ft - round(length / grid_ft)) > _GRID_TOLERANCE:
                raise ParameterError(f"bucking.toml: {name}: {length:g} ft is no multiple of the {grid_ft:g}-ft grid")
    return specs


@cache
def load_bucking(products: ProductSpecs) -> BuckingRules:
    """Bucking rules that ship with Halfshade, beside given product specifications.

    Parameters
    ----------
    products
        Specifications of tree-length pieces.

    Returns
    -------
    BuckingRules

    Raises
    ------
    ParameterError
        If the file breaks its schema, or a length does not fall on the grid.
    """
    file = read_sourced(Path(__file__).parent / "bucking.toml")
    work = coefficients(file, "bucking", Work)
    pulpwood = _tree_length(products.pulpwood)
    whole = CutSpecs(_tree_length(products.sawtimber), _tree_length(products.chip_and_saw), pulpwood)
    logs = CutSpecs(
        coefficients(file, "sawtimber_logs", CutSpec), coefficients(file, "chip_and_saw_logs", CutSpec), pulpwood
    )
    return BuckingRules(
        work,
        _checked(whole, work.grid_ft),
        _checked(logs, work.grid_ft),
        {kind: coefficients(file, kind, DefectRule) for kind in DEFECT_KINDS},
        coefficients(file, "occlusion", Occlusion),
        coefficients(file, "scaling", Scaling),
        coefficients(file, "decimal_c", DecimalC),
    )
