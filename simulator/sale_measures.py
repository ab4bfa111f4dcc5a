"""The wood of a sale in the trade's other measures: cords of pulpwood and chip-and-saw, board feet of sawtimber."""

from typing import NamedTuple

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises.offers import Offer
from simulator.enterprises.products import pieces, product_tons
from simulator.enterprises.scaling import LogTables, Scaled, cords, scaled_piece
from simulator.enterprises.stems import measured_stems
from simulator.enterprises.wood import pole_share
from simulator.events.planting import open_side_share
from simulator.parameters.bucking import load_bucking
from simulator.parameters.tables import Tables, load_tables
from simulator.parameters.wood import load_wood
from simulator.plan import compile_plan
from simulator.scenario.model import Scenario
from simulator.units import FloatArray

SAWTIMBER = WOOD_PRODUCTS.index("sawtimber")
GROUND_POINTS = 2
"""Rows alone are asked for."""


class SaleMeasures(NamedTuple):
    """Cords by product, and thousands of board feet of the sawtimber by each rule, per acre; of the same pieces."""

    pulpwood_cords_ac: float
    chip_and_saw_cords_ac: float
    sawtimber_mbf_ac: Scaled


def tables_of(scenario: Scenario) -> Tables:
    """Packaged numbers of the species, grass and animals of a plan."""
    species = scenario.trees.species if scenario.trees else ""
    tables = load_tables(species, scenario.pasture.grass, scenario.use.animals)
    if scenario.stand is not None and scenario.stand.origin == "natural":
        return tables._replace(wood=load_wood(species, natural=True))
    return tables


def pole_shares(scenario: Scenario, tables: Tables, grade: FloatArray) -> FloatArray:
    """Share of the stems of each row and class that make poles [1], shape of their grade (rows, classes)."""
    plan = compile_plan([scenario], strip_width_ft=tables.tree.planting.strip_width_ft, points=GROUND_POINTS)
    return pole_share(grade, open_side_share(plan.geometry)[0], tables.quality)


def measures_of(offer: Offer) -> SaleMeasures:
    """Say the wood of a lot in cords and board feet.

    Parameters
    ----------
    offer
        The lot.

    Returns
    -------
    SaleMeasures
        From the tons and the pieces that were counted as sold, never beside them [cord/ac], [1,000 board feet/ac].

    References
    ----------
    As for :mod:`simulator.enterprises.scaling`.
    """
    tables = tables_of(offer.scenario)
    rules = load_bucking(tables.wood.specs)
    poles = pole_shares(offer.scenario, tables, offer.grade)
    here = offer.trees > 0.0
    dbh, height, trees = offer.dbh_in[here], offer.height_ft[here], offer.trees[here]
    tons = trees * product_tons(dbh, height, offer.grade[here], poles[here], tables.wood)[:, SAWTIMBER]
    scale = LogTables(rules.scaling, tables.wood.specs.log_rules, rules.decimal_c)
    feet = np.zeros(len(Scaled._fields))
    for place in np.flatnonzero(tons > 0.0):
        size = float(dbh[place]), float(height[place])
        butt = pieces(*size, tables.wood)[0]  # sawtimber comes first up the stem
        stems = measured_stems(np.array([size[0]]), size[1], tables.wood.stem)
        each = scaled_piece(butt.from_ft, butt.to_ft - butt.from_ft, stems, scale)
        feet += tons[place] / butt.green_ton * np.array(each)
    pulp, small = (float(cords(ton, rules.scaling)) for ton in offer.ton_ac[:2])
    return SaleMeasures(pulp, small, Scaled(*(feet / 1000.0).tolist()))
