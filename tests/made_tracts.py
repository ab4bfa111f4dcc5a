"""Invented tracts for tests of the property's plan: numbers of the right size, none of them from anywhere."""

from typing import TypeAlias

import numpy as np

from optimize.tracts import FLOWS, TractColumns
from simulator.units import FloatArray

Part: TypeAlias = dict[str, FloatArray]

RATE = 0.05
"""Real yearly rate that the worth of an invented pathway is reckoned with."""


def small_tracts(seed: int, tracts: int = 5, pathways: int = 8, last_year: int = 12) -> list[TractColumns]:
    """A few pathways that plant, thin, cut and graze in years drawn at random."""
    order = np.random.default_rng(seed)
    made = []
    for number in range(tracts):
        flows = {name: np.zeros((pathways, last_year + 1)) for name in FLOWS}
        for pathway in range(pathways):
            flows["cash"][pathway] = order.uniform(-10.0, 25.0, last_year + 1)
            flows["cash"][pathway, 0] = -order.uniform(0.0, 300.0)
            for year in order.choice(np.arange(1, last_year + 1), 3, replace=False):
                tons = order.uniform(5.0, 60.0)
                flows["wood_ton"][pathway, year] = tons
                flows["cash"][pathway, year] += 15.0 * tons
            flows["harvested"][pathway, year] = 1.0
            first = int(order.integers(1, last_year))
            flows["grazed"][pathway, first:] = 1.0
            flows["forage_aum"][pathway, first:] = order.uniform(0.5, 3.0, last_year + 1 - first)
            flows["labour_h"][pathway] = order.uniform(0.0, 2.0, last_year + 1)
        acres = float(order.integers(20, 120))
        made.append(_tract(f"tract {number + 1}", acres, flows))
    return made


def _tract(name: str, acres: float, flows: Part) -> TractColumns:
    cash = flows["cash"]
    worth = cash @ (1.0 + RATE) ** -np.arange(cash.shape[1])
    return TractColumns(name, acres, tuple(f"pathway {i + 1}" for i in range(len(cash))), worth, flows)


def large_tracts(tracts: int, pathways: int, seed: int = 1, last_year: int = 40) -> list[TractColumns]:
    """Many pathways of stands of all ages, and of old pasture planted or kept, over forty years."""
    order = np.random.default_rng(seed)
    made = []
    for number in range(tracts):
        site, age = order.uniform(0.8, 1.2), int(order.integers(0, 31)) * int(order.random() > 0.3)
        flows = {name: np.zeros((pathways, last_year + 1)) for name in FLOWS}
        for pathway in range(pathways):
            part = {name: flow[pathway] for name, flow in flows.items()}
            part["cash"][1:] -= 8.0
            if age or order.random() > 0.1:
                _pines(part, site, age, order)
            else:
                part["grazed"][1:] = 1.0
                part["forage_aum"][1:] = 3.0
                part["cash"][1:] += 14.0 + order.normal(0.0, 4.0)
        made.append(_tract(f"tract {number + 1}", float(order.integers(20, 160)), flows))
    return made


def _pines(  # noqa: PLR0915 - one life after another, told in a row
    part: Part, site: float, age: int, order: np.random.Generator
) -> None:
    """Thinned twice, cut and planted again; a stand that is there is as far on as its age."""
    last = len(part["cash"]) - 1
    dense = order.uniform(0.5, 1.0)
    planting = 100.0 + 180.0 * dense
    if age == 0:
        part["cash"][0] -= planting
    start = -age
    while start < last:
        cut = int(order.integers(24, 41))
        thin = int(order.integers(12, 19))
        again = int(order.integers(thin + 5, max(thin + 6, cut - 3) + 1))
        cut = max(cut, 1 - start)
        final = site * (40.0 + 30.0 * dense) * cut / 30.0
        for since, tons in ((thin, 9.0 * (1.0 + dense)), (again, 14.0 * (1.0 + dense)), (cut, final)):
            if 0 < start + since <= last and since <= cut:
                part["wood_ton"][start + since] += tons
                part["cash"][start + since] += tons * (9.0 + 0.8 * since)
        grazed = start + int(order.integers(4, 20))
        years = slice(max(grazed, 1), max(min(start + cut, last + 1), 1))
        part["grazed"][years] = 1.0
        part["forage_aum"][years] = 1.5 * (1.0 - 0.5 * dense)
        part["cash"][years] += 8.0 * (1.0 - 0.5 * dense)
        part["labour_h"][:] = 0.2
        start += cut
        if start <= last:
            part["harvested"][start] = 1.0
            part["cash"][start] -= planting
