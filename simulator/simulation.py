"""What a simulation reads and writes, and the whole state of the land between two of its years."""

from dataclasses import dataclass
from typing import NamedTuple

from simulator.enterprises import sward, turf
from simulator.enterprises.forage_use import Stores
from simulator.enterprises.setting import Setting
from simulator.events.light import Lit, Precision, Sky
from simulator.events.site import Site
from simulator.history import History
from simulator.state import Stand
from simulator.units import BoolArray, FloatArray, IntArray


@dataclass(frozen=True)
class Land:
    """The whole state of the land between two years; arrays (candidates,) beside the stand.

    Attributes
    ----------
    stand
        The trees.
    turf
        Which grass stands, and how much of it is alive.
    stores
        Herd and hay in hand.
    fence_age
        Years since cross-fence and water were built; infinite where there is none.
    rakes
        Straw rakes in this tree cycle.
    since_cut
        Years since the last thinning or harvest; infinite before the first.
    reseeded
        Where torn sward was reseeded, and paid for, after last year's cut.
    grass_nitrogen_lb_ac
        Nitrogen spread on the grass ground last season [lb/ac].
    waiting
        Age of a thinning that found no bid and is tried again; 0 for none.
    ruined
        Where this year's events left so little that the rest is felled and the land planted again.
    """

    stand: Stand
    turf: turf.Turf
    stores: Stores
    fence_age: FloatArray
    rakes: FloatArray
    since_cut: FloatArray
    reseeded: BoolArray
    grass_nitrogen_lb_ac: FloatArray
    waiting: IntArray
    ruined: BoolArray


class Season(NamedTuple):
    """A growing season as the ground sees it: its row, the stand at its end, its light and its needles."""

    year: int
    stand: Stand
    lit: Lit
    fall: sward.Needles


@dataclass(frozen=True)
class Simulation:
    """What a simulation reads, and the two records it writes: quantities and states."""

    setting: Setting
    site: Site
    skies: tuple[Sky, ...]
    precision: Precision
    history: History
