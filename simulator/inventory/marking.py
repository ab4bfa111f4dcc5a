"""Which trees to take from a mapped stand: defects first, then those that crowd, then the smallest."""

import heapq
from collections.abc import Callable
from typing import Final, NamedTuple

import numpy as np
from scipy.spatial import cKDTree

from simulator.inventory.stem_map import StemMap
from simulator.units import BASAL_AREA_FT2_PER_IN2, FloatArray, IntArray

DEFECT_RANK: Final = {"cull": 0, "pulpwood": 1}
"""Codes of stems that are taken before any sound one, worst first."""
KEEP_RANK: Final = {"pole": 3, "sawtimber": 2, "": 1, "chip-and-saw": 0}
"""How much a sound stem is worth keeping, by its code."""


class Step(NamedTuple):
    """One tree of the order in which trees would be taken: its place in the map, and why it comes next."""

    tree: int
    reason: str


class Marking(NamedTuple):
    """Trees to take.

    Attributes
    ----------
    taken
        Place in the map of each tree taken, in the order of taking, (taken,).
    reasons
        Why, in words, for each.
    """

    taken: IntArray
    reasons: list[str]


def taking_order(stems: StemMap, crown_radius_ft: FloatArray) -> list[Step]:
    """Order in which every tree of a map would be taken.

    Parameters
    ----------
    stems
        The map.
    crown_radius_ft
        Radius that each crown would have if it stood free [ft], (trees,): two trees crowd one another as far as
        these reach into each other.

    Returns
    -------
    list of Step
        Culls and defective stems, worst and smallest first; then, again and again, the poorer of the two sound
        trees that crowd most; then, once no crowns would touch, the smallest.

    References
    ----------
    Quality, then spacing, then size: common practice of marking, no single source. Crowding as distance over
    the sum of free crown radii is this project's own.
    """
    order = _defects(stems)
    gone = {step.tree for step in order}
    order += _crowding(stems, crown_radius_ft, gone)
    gone |= {step.tree for step in order}
    left = sorted((i for i in range(len(stems.tree)) if i not in gone), key=lambda i: _worth(stems, i))
    return order + [Step(i, "smallest of those that stand free") for i in left]


def _defects(stems: StemMap) -> list[Step]:
    poor = [i for i, code in enumerate(stems.code) if code in DEFECT_RANK]
    poor.sort(key=lambda i: (DEFECT_RANK[stems.code[i]], stems.dbh_in[i]))
    words = {"cull": "cull", "pulpwood": "fit for pulpwood only"}
    return [Step(i, words[stems.code[i]]) for i in poor]


def _worth(stems: StemMap, i: int) -> tuple[int, float]:
    return KEEP_RANK[stems.code[i]], float(stems.dbh_in[i])


def _crowding(stems: StemMap, radius_ft: FloatArray, gone: set[int]) -> list[Step]:
    """Take the poorer of the most crowded pair until no two crowns would touch.

    Parameters
    ----------
    stems
        The map.
    radius_ft
        Radius that each crown would have if it stood free [ft], (trees,).
    gone
        Places of trees that are taken already.

    Returns
    -------
    list of Step
        In order of taking.

    References
    ----------
    Distance over the sum of free crown radii: this project's own.
    """
    places = np.column_stack([stems.x_ft, stems.y_ft])
    pairs = cKDTree(places).query_pairs(2.0 * float(radius_ft.max()), output_type="ndarray")
    apart = np.hypot(*(places[pairs[:, 0]] - places[pairs[:, 1]]).T)
    room = apart / (radius_ft[pairs[:, 0]] + radius_ft[pairs[:, 1]])
    touching = room < 1.0
    heap = [
        (float(share), float(feet), int(one), int(other))
        for share, feet, (one, other) in zip(room[touching], apart[touching], pairs[touching], strict=True)
    ]
    heapq.heapify(heap)
    standing, order = [i not in gone for i in range(len(stems.tree))], list[Step]()
    while heap:
        _, feet, one, other = heapq.heappop(heap)
        if not (standing[one] and standing[other]):
            continue
        poorer, better = sorted((one, other), key=lambda i: (*_worth(stems, i), i))
        standing[poorer] = False
        why = "smaller" if _worth(stems, poorer)[0] == _worth(stems, better)[0] else "poorer"
        order.append(Step(poorer, f"crowds tree {stems.tree[better]}, {feet:.0f} ft off, and is the {why}"))
    return order


def marked_to_trees(order: list[Step], leave: int) -> Marking:
    """Take trees until so many stand.

    Parameters
    ----------
    order
        From :func:`taking_order`.
    leave
        Trees to leave on the map, 0 or more.

    Returns
    -------
    Marking
        Nothing where fewer stand already.
    """
    return _first(order, max(len(order) - leave, 0))


def marked_to_basal_area(order: list[Step], stems: StemMap, leave_ft2: float) -> Marking:
    """Take trees until no more than a basal area stands.

    Parameters
    ----------
    order
        From :func:`taking_order`.
    stems
        The map.
    leave_ft2
        Basal area to leave on the map [ft2].

    Returns
    -------
    Marking
        The least cut that leaves no more than that.
    """
    area = BASAL_AREA_FT2_PER_IN2 * stems.dbh_in**2
    left = float(area.sum()) - np.concatenate([[0.0], np.cumsum(area[[step.tree for step in order]])])
    return _first(order, int(np.argmax(left <= leave_ft2 + 1e-9)))


def marked_to_light(order: list[Step], light_without: Callable[[IntArray], float], least_light: float) -> Marking:
    """Take the fewest trees that let so much light through.

    Parameters
    ----------
    order
        From :func:`taking_order`.
    light_without
        Mean light on the ground with these trees gone [1]; rises with every tree taken.
    least_light
        Light wanted [1], 0 to 1.

    Returns
    -------
    Marking
        Everything where even open ground is not bright enough.
    """
    low, high = 0, len(order)
    while low < high:
        middle = (low + high) // 2
        enough = light_without(np.array([step.tree for step in order[:middle]], np.int64)) >= least_light
        low, high = (low, middle) if enough else (middle + 1, high)
    return _first(order, low)


def _first(order: list[Step], count: int) -> Marking:
    taken = order[:count]
    return Marking(np.array([step.tree for step in taken], np.int64), [step.reason for step in taken])


def clark_evans_index(x_ft: FloatArray, y_ft: FloatArray, box_ft: tuple[float, float]) -> float:
    """How evenly trees are spaced: 1 at random, below in clumps, up to 2.149 on a triangular grid.

    Parameters
    ----------
    x_ft, y_ft
        Places [ft], (trees,); at least two.
    box_ft
        Width and depth of the map, which is taken to repeat [ft].

    Returns
    -------
    float
        Mean distance to the nearest neighbour over that of trees placed at random.

    References
    ----------
    Clark & Evans 1954, Ecology 35:445-453; edge correction by repeating the map (common practice).
    """
    places = np.column_stack([np.mod(x_ft - np.min(x_ft), box_ft[0]), np.mod(y_ft - np.min(y_ft), box_ft[1])])
    distances, _ = cKDTree(places, boxsize=np.array(box_ft)).query(places, k=2)
    nearest = np.asarray(distances)[:, 1]
    density = len(x_ft) / (box_ft[0] * box_ft[1])
    return float(np.mean(nearest) * 2.0 * density**0.5)
