"""Log rules: board feet that a log of given small end and length is held to saw out."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats


class LogRules(NamedTuple):
    """Constants that define the three log rules.

    Attributes
    ----------
    doyle_slab_in, doyle_length_ft
        Slab taken off the small end [in], and the length of a log whose board feet are the square of the rest [ft].
    scribner_square, scribner_linear, scribner_constant, scribner_length_ft
        Coefficients of the square of the small end [1/in2], of the small end [1/in] and the constant [1], for a log of
        so many feet [ft].
    international_square, international_linear, international_kerf
        Coefficients of a section's square [1/in2] and of its small end [1/in], and what a wider saw leaves of it [1].
    international_section_ft, international_taper_in
        Length of a section [ft], and what a section is thicker than the one above it [in].
    """

    doyle_slab_in: float
    doyle_length_ft: float
    scribner_square: float
    scribner_linear: float
    scribner_constant: float
    scribner_length_ft: float
    international_square: float
    international_linear: float
    international_kerf: float
    international_section_ft: float
    international_taper_in: float


def doyle_board_feet(small_end_in: Floats, length_ft: Floats, rules: LogRules) -> FloatArray:
    """Board feet by the Doyle rule, which shortchanges small logs.

    Parameters
    ----------
    small_end_in
        Diameter inside bark at the small end [in], any shape; no volume at 4 in and under.
    length_ft
        Log length without trim [ft], broadcastable.
    rules
        Constants of the rules.

    Returns
    -------
    FloatArray
        Board feet [board foot] of the broadcast shape.

    References
    ----------
    The rule's defining formula.
    """
    squared = np.maximum(np.asarray(small_end_in) - rules.doyle_slab_in, 0.0) ** 2
    return np.asarray(squared * length_ft / rules.doyle_length_ft)


def scribner_board_feet(small_end_in: Floats, length_ft: Floats, rules: LogRules) -> FloatArray:
    """Board feet by the Scribner formula rule.

    Parameters
    ----------
    small_end_in, length_ft, rules
        As for :func:`doyle_board_feet`.

    Returns
    -------
    FloatArray
        Board feet [board foot] of the broadcast shape, not rounded to tens.

    References
    ----------
    Bruce & Schumacher, Forest Mensuration; from memory.
    """
    small_end = np.asarray(small_end_in)
    curve = rules.scribner_square * small_end**2 - rules.scribner_linear * small_end - rules.scribner_constant
    return np.asarray(np.maximum(curve, 0.0) * length_ft / rules.scribner_length_ft)


def international_board_feet(small_end_in: Floats, length_ft: float, rules: LogRules) -> FloatArray:
    """Board feet by the International 1/4-inch rule: sections that widen toward the butt.

    Parameters
    ----------
    small_end_in
        Diameter inside bark at the small end [in], any shape.
    length_ft
        Log length without trim [ft]; the part section that remains at the butt counts by its length.
    rules
        Constants of the rules.

    Returns
    -------
    FloatArray
        Board feet [board foot] of the shape of ``small_end_in``, not rounded to fives.

    References
    ----------
    The rule's defining formula; from memory.
    """
    whole, rest = divmod(length_ft, rules.international_section_ft)
    shares = [1.0] * int(whole) + [rest / rules.international_section_ft]
    total = np.zeros_like(np.asarray(small_end_in, dtype=np.float64))
    for number, share in enumerate(shares):
        wide = np.asarray(small_end_in) + number * rules.international_taper_in
        section = rules.international_square * wide**2 - rules.international_linear * wide
        total = total + share * rules.international_kerf * np.maximum(section, 0.0)
    return np.asarray(total)


class DecimalC(NamedTuple):
    """The stepped Scribner table of one log length: tens of board feet by whole inches from ``first_in`` on.

    Attributes
    ----------
    first_in, log_ft
        Least small end [in], and the log of the table [ft].
    tens
        Board feet of that log by inch [10 board feet].
    """

    first_in: float
    log_ft: float
    tens: tuple[float, ...]


def decimal_c_board_feet(small_end_in: Floats, length_ft: Floats, table: DecimalC) -> FloatArray:
    """Board feet by the Scribner Decimal C table: whole inches, tens of board feet.

    Parameters
    ----------
    small_end_in
        Diameter inside bark at the small end [in], any shape; read to the nearest inch, and no higher than the
        table goes.
    length_ft
        Log length without trim [ft], broadcastable. The table is of one length; others take their share of it,
        rounded to tens.
    table
        The table.

    Returns
    -------
    FloatArray
        Board feet [board foot] of the broadcast shape; 0 under the table's first inch.

    References
    ----------
    Scribner Decimal C, 16-ft logs; from memory. The share by length is assumed for this project.
    """
    inches = np.floor(np.asarray(small_end_in, np.float64) + 0.5) - table.first_in
    place = np.clip(inches, 0, len(table.tens) - 1).astype(np.int64)
    tens = np.where(inches >= 0, np.asarray(table.tens)[place], 0.0)
    return np.asarray(10.0 * np.floor(tens * np.asarray(length_ft) / table.log_ft + 0.5))
