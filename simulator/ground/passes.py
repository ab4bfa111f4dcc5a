"""Alleys in whole passes of a machine."""

from typing import NamedTuple

from simulator.scenario.trees import Layout as Pattern

NARROWEST_FT, WIDEST_FT = 5.0, 200.0


class Passes(NamedTuple):
    """How often a machine goes along an alley.

    Attributes
    ----------
    machine
        Its name.
    width_ft
        Its working width [ft].
    grass_ft
        Grass across an alley, without the strips along the rows [ft].
    passes
        How often it goes along the alley as planned; a part of a pass is a pass that overlaps.
    fitted_passes, fitted_alley_ft
        The nearest whole number of passes, and the alley that holds them [ft].
    """

    machine: str
    width_ft: float
    grass_ft: float
    passes: float
    fitted_passes: int
    fitted_alley_ft: float


def passes_of(pattern: Pattern, strip_ft: float, machine: str, width_ft: float) -> Passes:
    """Fit an alley to a machine.

    Parameters
    ----------
    pattern
        The plan's rows.
    strip_ft
        Strip without grass along a row; half of it lies on either side of the alley [ft].
    machine
        Name of the machine.
    width_ft
        Its working width [ft].

    Returns
    -------
    Passes
        Passes [1] and the fitted alley [ft]: the nearest whole number of passes, at least one, within what a plan may
        hold.

    References
    ----------
    Definition.
    """
    grass = pattern.alley_ft - strip_ft
    most = max(1, int((WIDEST_FT - strip_ft) // width_ft))
    whole = min(max(1, round(grass / width_ft)), most)
    fitted = max(whole * width_ft + strip_ft, NARROWEST_FT)
    return Passes(machine, width_ft, grass, grass / width_ft, whole, fitted)
