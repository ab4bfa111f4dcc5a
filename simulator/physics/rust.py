"""Fusiform rust: pines with stem galls by age 5 die over the ten years after, and those that live saw poorly."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats


class RustCoefficients(NamedTuple):
    """What rust takes.

    Attributes
    ----------
    infected_share
        Share of stems infected by age 5 where the owner states none [1].
    severe_share
        Share of the infected whose gall reaches half round the stem by age 5 [1].
    severe_death, other_death
        Share of the severely and of the otherwise infected that are dead at the end [1].
    from_age, to_age
        Years over which they die [yr].
    survivor_loss
        Share of sawtimber lost in infected trees that live [1].
    """

    infected_share: float
    severe_share: float
    severe_death: float
    other_death: float
    from_age: float
    to_age: float
    survivor_loss: float


def rust_dead_share(infected_share: Floats, age_yr: Floats, c: RustCoefficients) -> FloatArray:
    """Share of the stems of age 5 that rust has killed by an age.

    Parameters
    ----------
    infected_share
        Share of stems infected by age 5 [1], any shape.
    age_yr
        Age from planting [yr], broadcastable.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Share [1], rising evenly over the years of dying.

    References
    ----------
    Froelich & Schmidtling 1998, Southern Journal of Applied Forestry 22:96: about 90 % of severely infected stems
    dead by 15, 30 % of the others. Split and even course over the years assumed for this project.
    """
    passed = np.clip((np.asarray(age_yr, float) - c.from_age) / (c.to_age - c.from_age), 0.0, 1.0)
    doomed = c.severe_share * c.severe_death + (1.0 - c.severe_share) * c.other_death
    return np.asarray(np.asarray(infected_share) * doomed * passed)


def rust_surviving_share(infected_share: Floats, age_yr: Floats, c: RustCoefficients) -> FloatArray:
    """Share of the trees alive a year before an age that rust leaves alive.

    Parameters
    ----------
    infected_share
        Share of stems infected by age 5 [1], any shape.
    age_yr
        Age at the end of the year [yr], broadcastable.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Share [1]; exactly 1 without rust.

    References
    ----------
    As for :func:`rust_dead_share`.
    """
    before = rust_dead_share(infected_share, np.asarray(age_yr, float) - 1.0, c)
    return np.asarray((1.0 - rust_dead_share(infected_share, age_yr, c)) / (1.0 - before))


def sound_share(infected_share: Floats, c: RustCoefficients) -> FloatArray:
    """Share of sawtimber that rust leaves in the trees that live through it.

    Parameters
    ----------
    infected_share
        Share of stems infected by age 5 [1], any shape.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Share [1] by which the share of stems of sawtimber grade is multiplied; exactly 1 without rust.

    References
    ----------
    Webb & Patterson 1984: sawtimber trees with stem cankers lose 24-43 % of usable volume in loblolly and 23-53 %
    in slash (second-hand).
    """
    infected = np.asarray(infected_share, float)
    dead = rust_dead_share(infected, c.to_age, c)
    cankered = np.divide(infected - dead, 1.0 - dead, out=np.zeros_like(infected), where=dead < 1.0)
    return np.asarray(1.0 - cankered * c.survivor_loss)
