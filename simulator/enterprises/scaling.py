"""The same pieces in other measures: board feet by four rules, cords, and green tons to a thousand board feet."""

from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np

from simulator.enterprises.stems import Stems, diameter_inside_bark_in
from simulator.parameters.bucking import Scaling
from simulator.physics.logs import (
    DecimalC,
    LogRules,
    decimal_c_board_feet,
    doyle_board_feet,
    international_board_feet,
    scribner_board_feet,
)
from simulator.units import FloatArray, Floats

SCALED_PRODUCTS: Final = ("sawtimber", "chip_and_saw")
"""Products that saw mills scale; pulpwood and poles are not."""
_EVEN_FT: Final = 2.0


class Scaled(NamedTuple):
    """Board feet of a piece by each rule; the order in which they are listed is the usual one, lowest first."""

    doyle: float
    scribner: float
    scribner_decimal_c: float
    international_quarter_inch: float


class LogTables(NamedTuple):
    """What scaling needs: how pieces are divided, the rules' constants, and the stepped table."""

    scaling: Scaling
    rules: LogRules
    decimal_c: DecimalC


def log_lengths_ft(length_ft: float, scaling: Scaling) -> list[float]:
    """Lengths in which a piece is scaled, from its butt up.

    Parameters
    ----------
    length_ft
        Length of the piece without trim [ft].
    scaling
        Usual log and the least.

    Returns
    -------
    list of float
        A piece that leaves no second log is scaled whole, to the even foot; a longer one in usual logs and, where the
        rest is long enough, one more.

    References
    ----------
    Common practice, no source.
    """
    lengths, rest = [], length_ft
    while rest >= scaling.log_ft + scaling.least_log_ft:
        lengths.append(scaling.log_ft)
        rest -= scaling.log_ft
    if rest >= scaling.least_log_ft:
        # what is left beyond a usual log is too short for a log of its own
        longest = scaling.log_ft if lengths else rest
        lengths.append(_EVEN_FT * (min(rest, longest) // _EVEN_FT))
    return lengths


def _logs(from_ft: float, length_ft: float, stems: Stems, scaling: Scaling) -> Iterator[tuple[float, float]]:
    """Small-end diameter inside bark [in] and length [ft] of each log of a piece of the first stem."""
    for length in log_lengths_ft(length_ft, scaling):
        from_ft += length
        yield float(np.ravel(diameter_inside_bark_in(from_ft, stems))[0]), length


def scaled_piece(from_ft: float, length_ft: float, stems: Stems, tables: LogTables) -> Scaled:
    """Board feet of one piece.

    Parameters
    ----------
    from_ft
        Height of its butt above ground [ft].
    length_ft
        Its length without trim [ft].
    stems
        One tree, from :func:`simulator.enterprises.stems.measured_stems`.
    tables
        How pieces are divided, and the rules.

    Returns
    -------
    Scaled
        Zeros where it is shorter than the least log.

    References
    ----------
    Doyle, Scribner and International 1/4-inch rules by their formulas; Scribner Decimal C from memory.
    """
    totals = np.zeros(len(Scaled._fields))
    for small_end, length in _logs(from_ft, length_ft, stems, tables.scaling):
        totals += [
            float(doyle_board_feet(small_end, length, tables.rules)),
            float(scribner_board_feet(small_end, length, tables.rules)),
            float(decimal_c_board_feet(small_end, length, tables.decimal_c)),
            float(international_board_feet(small_end, length, tables.rules)),
        ]
    return Scaled(*(float(total) for total in totals))


def tons_per_mbf(ton: Floats, board_feet: Floats) -> FloatArray:
    """Green tons to a thousand board feet of the same wood.

    Parameters
    ----------
    ton
        Green tons [ton], any shape.
    board_feet
        Board feet of the same pieces by any rule [board foot], broadcastable.

    Returns
    -------
    FloatArray
        Tons to a thousand board feet [ton], broadcast shape; NaN where the rule finds nothing to saw.

    References
    ----------
    Definition.
    """
    tons, feet = np.broadcast_arrays(np.asarray(ton, np.float64), np.asarray(board_feet, np.float64))
    unsawn = np.full(feet.shape, np.nan)
    return np.asarray(np.divide(1000.0 * tons, feet, out=unsawn, where=feet > 0.0))


def cords(ton: Floats, scaling: Scaling) -> FloatArray:
    """Cords of wood and bark that weigh as much.

    Parameters
    ----------
    ton
        Green weight [green ton], any shape.
    scaling
        Weight of a cord.

    Returns
    -------
    FloatArray
        Cords [cord], same shape.

    References
    ----------
    Mean weight of a cord of southern pine pulpwood, second-hand; 4,700 to 5,550 lb between regions.
    """
    return np.asarray(np.asarray(ton, np.float64) / scaling.cord_ton)
