"""What a half-year step would change: an experiment beside the model, which steps by years."""

import math
from typing import NamedTuple

import numpy as np

from book.tables import table
from simulator.enterprises.products import product_tons
from simulator.interest import discount_factor
from simulator.parameters.growth import load_tree
from simulator.parameters.prices import load_prices
from simulator.parameters.wood import load_wood
from simulator.physics.diameter import BREAST_HEIGHT_FT, dbh_increment_in, stand_density_index
from simulator.physics.height import dominant_height_ft
from simulator.physics.survival import surviving_share
from simulator.units import BASAL_AREA_FT2_PER_IN2


class EvenAged(NamedTuple):
    """An even-aged stand of one mean tree at an age: height [ft], dbh [in], trees [1/ac]."""

    height_ft: float
    dbh_in: float
    trees_per_ac: float


def grown(steps_a_year: int, years: int, trees_per_ac: float, site_index_ft: float = 68.0) -> EvenAged:
    """Grow an even-aged stand with the equations of the physics, a year in so many steps.

    Height is read from its curve. What an equation adds for a whole year at every call - age in the increment of
    diameter, the background loss of survival - is given to each step in its part.
    """
    tree = load_tree("loblolly")
    part = tree.diameter._replace(age_slope_in_yr=tree.diameter.age_slope_in_yr / steps_a_year)
    height, dbh, trees = 0.0, 0.0, trees_per_ac
    for step in range(1, years * steps_a_year + 1):
        before, was = height, dbh
        height = float(dominant_height_ft(site_index_ft, step / steps_a_year, tree.height))
        density = float(stand_density_index(trees, dbh, tree.diameter)) / tree.diameter.sdi_maximum
        if was > 0.0:
            dbh += float(dbh_increment_in(height - before, density, tree.site_culture.pasture, part))
        elif height > BREAST_HEIGHT_FT:
            dbh = tree.diameter.start_in_ft * max(1.0, height - BREAST_HEIGHT_FT)
        share = float(surviving_share(density, was, dbh, tree.survival))
        trees *= share * math.exp(tree.survival.background_per_yr * (1.0 - 1.0 / steps_a_year))
    return EvenAged(height, dbh, trees)


def worth(stand: EvenAged, years: int) -> float:
    """Present value of its wood at the demonstration's prices and 5 % [$/ac]; every stem sound."""
    tons = product_tons(stand.dbh_in, stand.height_ft, 1.0, 0.0, load_wood("loblolly", natural=False))
    table_of = load_prices("demo-2025", None)
    price = np.array([table_of.value(item) for item in ("pulpwood", "chip_and_saw", "sawtimber", "pole")])
    return float(stand.trees_per_ac * (tons * price).sum() * discount_factor(0.05, years))


def steps() -> str:
    """What a half-year step changes."""
    rows = []
    for trees in (200.0, 600.0):
        for years in (15, 25, 35):
            whole, half, fine = (grown(number, years, trees) for number in (1, 2, 16))
            area = [BASAL_AREA_FT2_PER_IN2 * s.dbh_in**2 * s.trees_per_ac for s in (whole, half, fine)]
            money = [worth(stand, years) for stand in (whole, half, fine)]
            rows.append(
                [
                    f"{trees:.0f}, {years}",
                    f"{whole.height_ft - half.height_ft:+.2f}",
                    *(
                        f"{pair[0]:.2f}, {pair[1] - pair[0]:+.2f}, {pair[2] - pair[0]:+.2f}"
                        for pair in (
                            (whole.dbh_in, half.dbh_in, fine.dbh_in),
                            area,
                        )
                    ),
                    f"{money[0]:.0f}, {money[1] - money[0]:+.0f}, {money[2] - money[0]:+.0f}",
                ]
            )
    return (
        "\n## A year in one step or in two\n\nThe equations of the physics for one even-aged stand of loblolly pine,"
        " site index 68 ft, without thinning: in yearly steps as the model takes them, what half-year steps add, and"
        " steps of a sixteenth. An experiment, no mode of the model. Height, height by diameter, needlefall, hay,"
        " hazards and nuts are read from curves of age and know no step. Not so diameter: its growth is held back by"
        " the density at its beginning, so shorter steps crowd a little sooner; and the first diameter, given in"
        " the step in which the top passes breast height, comes sooner in a sixteenth, which gives a part of that"
        " back. The equations are fitted to, or judged by, yearly steps; the step is part of them, and its effect"
        " is far inside what is not known of growth. Wood is"
        " priced by the packaged, invented table, every stem sound, at 5 %. In a cell: yearly steps; what half-years"
        " add; what sixteenths add.\n\n"
        + table(
            ["planted trees/ac, years", "height ft, half less whole", "dbh in", "basal area ft2/ac", "worth $/ac"], rows
        )
    )
