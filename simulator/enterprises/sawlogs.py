"""Board feet of standing trees: sawlogs of one length cut from the stem and scaled by three log rules."""

from typing import NamedTuple

import numpy as np

from simulator.enterprises.stems import diameter_inside_bark_in, height_to_top_diameter_ft, measured_stems
from simulator.parameters.wood import Wood
from simulator.physics.logs import doyle_board_feet, international_board_feet, scribner_board_feet
from simulator.units import FloatArray, Floats


class BoardFeet(NamedTuple):
    """Board feet of the same stems by three log rules."""

    doyle: FloatArray
    scribner: FloatArray
    international_quarter_inch: FloatArray


def board_feet(dbh_in: Floats, height_ft: Floats, wood: Wood) -> BoardFeet:
    """Board feet of sawtimber-size trees, cut into sawlogs of one length to the sawlog top.

    Parameters
    ----------
    dbh_in
        Diameter outside bark at 4.5 ft [in], any shape.
    height_ft
        Total height [ft], broadcastable.
    wood
        Stem, weight and product specifications.

    Returns
    -------
    BoardFeet
        By each rule [board foot], broadcast shape; 0 where the tree is smaller than sawtimber.

    References
    ----------
    Doyle, Scribner formula and International 1/4-inch rules; whole logs only, no half logs.
    """
    specs = wood.specs
    sawlogs, rules = specs.sawlogs, specs.log_rules
    stems = measured_stems(dbh_in, height_ft, wood.stem)
    step = sawlogs.log_length_ft + sawlogs.trim_ft
    reach = height_to_top_diameter_ft(sawlogs.minimum_top_in, stems, inside_bark=True)
    big = stems.dbh_in >= specs.sawtimber.minimum_dbh_in
    logs = np.where(big, np.floor((reach - specs.stump_ft) / step + 1e-9), 0.0)
    rule_of = (doyle_board_feet, scribner_board_feet, international_board_feet)
    totals = np.zeros((len(rule_of), *stems.dbh_in.shape))
    for number in range(1, int(logs.max(initial=0.0)) + 1):
        small_end = diameter_inside_bark_in(specs.stump_ft + number * step, stems)
        counted = number <= logs
        totals += [np.where(counted, rule(small_end, sawlogs.log_length_ft, rules), 0.0) for rule in rule_of]
    return BoardFeet(*totals)
