"""The smallest saleable load: wood of neighbours cut in one year is nothing, or at least so many tons."""

from collections.abc import Sequence

import numpy as np
from scipy import sparse

from optimize.property.couplings import Load
from optimize.property.pool import Pool
from optimize.property.system import Builder, Row, on
from simulator.units import BoolArray, FloatArray, IntArray


def add_load(builder: Builder, pool: Pool, load: Load, groups: Sequence[str]) -> None:
    """Add the rows of the smallest load.

    Parameters
    ----------
    builder
        Takes the rows; a tract by itself needs no 0-1 quantity, neighbours need one for each year with wood.
    pool
        Pathways of all tracts.
    load
        The smallest load.
    groups
        Group of each tract, (tracts,).
    """
    wood = pool.flow("wood_ton")
    for name in dict.fromkeys(groups):
        members = np.array([i for i, group in enumerate(groups) if group == name])
        ours = np.isin(pool.tract, members)
        if len(members) == 1:
            _alone(builder, name, np.where(ours[:, None], wood, 0.0), load.least_ton)
        else:
            _together(builder, name, np.where(ours[:, None], wood, 0.0), load.least_ton, pool.tract)


def _row(name: str, year: int) -> Row:
    gain = f"one ton off the smallest load of {name} in year {year}"
    return Row("load", f"load of {name} in year {year}", "tons", soft=True, gain=gain)


def _alone(builder: Builder, name: str, wood: FloatArray, least_ton: float) -> None:
    """Nobody else's wood can fill up a load, so a pathway that sells too little in a year is out.

    Parameters
    ----------
    builder
        Takes the rows.
    name
        Of the tract.
    wood
        Sold by each pathway and year [ton], (pathways, years).
    least_ton
        Smallest load [ton].

    Returns
    -------
    None

    References
    ----------
    Definition.
    """
    short = np.where(wood > 0, np.maximum(least_ton - wood, 0.0), 0.0)
    years = np.flatnonzero(short.any(axis=0))
    builder.add([_row(name, year) for year in years.tolist()], sparse.csr_array(short[:, years].T), high=0.0)


def _together(builder: Builder, name: str, wood: FloatArray, least_ton: float, tract: IntArray) -> None:
    """Either no member cuts in a year, or all together cut a load.

    Parameters
    ----------
    builder
        Takes the rows.
    name
        Of the group.
    wood
        Sold by each pathway and year [ton], (pathways, years).
    least_ton
        Smallest load [ton].
    tract
        Tract of each pathway, (pathways,).

    Returns
    -------
    None

    References
    ----------
    A 0-1 quantity for each year: common practice of integer programming.
    """
    sells = wood > 0
    years = np.flatnonzero((sells & (wood < least_ton)).any(axis=0))
    cuts = builder.quantity(f"load {name}", len(years), high=1.0, binary=True)
    places = np.arange(len(years))
    builder.add(
        [_row(name, year) for year in years.tolist()],
        sparse.csr_array(wood[:, years].T),
        [on(places, cuts, -least_ton)],
        low=0.0,
    )
    for member in np.unique(tract[sells.any(axis=1)]):
        mine = _of(member, sells[:, years], tract)
        builder.add(
            [Row("load", f"cutting of {name} in year {year}") for year in years.tolist()],
            sparse.csr_array(mine.T.astype(float)),
            [on(places, cuts, -1.0)],
            high=0.0,
        )


def _of(member: int, sells: BoolArray, tract: IntArray) -> BoolArray:
    return np.asarray(sells & (tract == member)[:, None])
