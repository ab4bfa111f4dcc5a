"""What is left of standing grass in the bale, and of the bale in the animal."""

from typing import NamedTuple

import numpy as np

from simulator.units import POUNDS_PER_TON, FloatArray, Floats


class HayChain(NamedTuple):
    """Losses between standing grass and the bale, and the dry matter in a bale.

    Attributes
    ----------
    harvested_share
        Share of the growth that is cut [1].
    conditioning_loss, raking_loss, respiration_loss, baling_loss
        Shares lost one after the other on the way into the bale [1].
    dry_matter_share
        Dry matter in a bale as fed [1].
    """

    harvested_share: float
    conditioning_loss: float
    raking_loss: float
    respiration_loss: float
    baling_loss: float
    dry_matter_share: float


def baled_share(chain: HayChain) -> float:
    """Share of the grass cut that reaches the bale.

    Parameters
    ----------
    chain
        Losses of the hay chain.

    Returns
    -------
    Share [1].

    References
    ----------
    Extension table of hay-making losses, second-hand.
    """
    return (
        (1.0 - chain.conditioning_loss)
        * (1.0 - chain.raking_loss)
        * (1.0 - chain.respiration_loss)
        * (1.0 - chain.baling_loss)
    )


def hay_ton_ac(forage_lb_ac: Floats, chain: HayChain) -> FloatArray:
    """Hay as it leaves the field, moisture included.

    Parameters
    ----------
    forage_lb_ac
        Dry matter grown for the cut [lb/ac], any shape.
    chain
        Losses of the hay chain.

    Returns
    -------
    Hay as fed [short ton/ac], same shape.

    References
    ----------
    Extension table of hay-making losses, second-hand; share reached by the mower assumed.
    """
    cut = np.asarray(forage_lb_ac, dtype=np.float64) * chain.harvested_share
    return np.asarray(cut * baled_share(chain) / chain.dry_matter_share / POUNDS_PER_TON, dtype=np.float64)


def hay_eaten_share(storage_loss: Floats, transport_loss: Floats, feeding_loss: Floats) -> FloatArray:
    """Share of baled hay that animals eat.

    Parameters
    ----------
    storage_loss, transport_loss, feeding_loss
        Losses one after the other [1], any shape, 0 to 1.

    Returns
    -------
    Share [1], broadcast shape.

    References
    ----------
    Definition.
    """
    kept = (1.0 - np.asarray(storage_loss)) * (1.0 - np.asarray(transport_loss))
    return np.asarray(kept * (1.0 - np.asarray(feeding_loss)), dtype=np.float64)
