"""Units: every public quantity states one, and the conversions are those of general libraries.

Stated is a unit by the ending of a name, in brackets in the docstring, in a word of it that is a unit (share, years,
months, a count), or, for coefficients read from the packaged tables, in the table, where tests/test_parameter_audit.py
looks for it.
"""

import dataclasses
import importlib
import inspect
import math
import pkgutil
import re
from collections.abc import Iterator

import numpy as np
import pint
import pytest
import scipy.constants

import optimize
import simulator
from every_physics import coefficients
from simulator import units
from simulator.ground.field import FEET_PER_MILE
from simulator.ground.projection import FEET_PER_METRE
from simulator.parameters.growth import load_tree
from simulator.parameters.wood import load_wood
from simulator.physics.diameter import local_trees_per_ac, stand_density_index
from simulator.physics.light import Cell, RowCrowns, canopy_cover
from simulator.physics.light.crowns import INCHES_PER_FOOT
from simulator.physics.logs import doyle_board_feet
from simulator.physics.stem import volume_inside_bark_ft3
from simulator.units import FloatArray, Floats

QUANTITIES = (float, Floats, FloatArray, float | None, FloatArray | None)
ENDING = re.compile(
    r"(?:^|_)(?:ft2?3?|in2?|ac|acres|mile|lb|tons?|yr|years?|months?|days?|day|h|hours|s|deg|rad|f|thi|head|sds|cm2?|m2?"
    r"|share|rates?|factor|multiplier|ratio|age|points|trees|pieces|passes|feet|loads|count|probability|power|exponent)"
    r"(?:$|_(?:per|at|of|in|on|a)_|_(?:ac|yr|ft|in|day|month|head|h|year|limit|before|after)\b)|(?:^|_)per_"
)
WORD = re.compile(
    r"\[|\b(?:shares?|years?|months?|unit|degrees|feet|inches|tons|trees|animals|loads|truckloads|passes|rakes|seasons"
    r"|exponents?|1 where|per acre|crown radii|number of|standard deviations?)\b",
    re.IGNORECASE,
)
NO_UNIT = {
    "simulator.band.Swing": "in the unit of the entry that it moves",
    "simulator.parameters.ranges.": "in the unit of the entry that it moves",
    "simulator.inventory.calibrate.": "in the unit of the field or reading that it stands beside",
    "simulator.inventory.readings.": "in the unit that the name of the reading ends in",
    "simulator.inventory.sampling.": "in the unit of the plots' values",
    "simulator.price_changes.": "in the unit of the price table's item",
    "simulator.plan.Plan": "mill prices, in the unit of each quantity of a sale",
    "optimize.prices.": "in the unit of the price table's items",
    "optimize.sell_or_wait.": "in the unit of the price table's item",
    "optimize.least_squares.": "in the unit of the price table's items",
    "optimize.decisions.": "in the unit of the price table's items",
    "optimize.waiting.program.": "in the unit of the price table's item",
    "optimize.waiting.stages.": "dollars and dollars to each dollar of price, as its docstring says",
    "optimize.basis.": "whatever a feature is measured in",
    "optimize.sensitivity.": "in the unit of the output or of the factor, which the study names",
    "optimize.sweeps.": "in the unit of the factor or output, which the file names",
    "optimize.risk.summary.": "in the unit of what was drawn",
    "optimize.around.": "in the unit of the objective",
    "optimize.best.": "in the unit of the objective",
    "optimize.space.": "in the unit of the objective",
    "optimize.property.": "rows of a linear program, each in its own unit",
    "simulator.physics.light.kernel.": "pure numbers of the kernel",
    "simulator.physics.bucking.priority_cuts": "as for best_cuts, where they are stated",
    "simulator.physics.fertiliser.": "as for height_response_ft, where they are stated",
}
"""What has no unit of its own, and why."""
UREG = pint.UnitRegistry()


def _public() -> Iterator[tuple[str, object]]:
    for package in (simulator, optimize):
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            for name, member in vars(importlib.import_module(found.name)).items():
                if not name.startswith("_") and getattr(member, "__module__", None) == found.name:
                    yield f"{found.name}.{name}", member


def _quantities(member: object) -> list[str]:
    """Names of parameters or fields that carry a quantity."""
    if inspect.isfunction(member):
        return [each.name for each in inspect.signature(member).parameters.values() if each.annotation in QUANTITIES]
    if isinstance(member, type) and (hasattr(member, "_fields") or dataclasses.is_dataclass(member)):
        return [name for name, kind in member.__annotations__.items() if kind in QUANTITIES]
    return []


def _said_of(name: str, text: str) -> str:
    """What a docstring says of one name: its entry, or all of it where there is no entry."""
    entry = re.search(rf"^(?:\w+, )*{name}(?:, \w+)*\n((?:    .*\n?)+)", text, re.MULTILINE)
    return entry.group(1) if entry else text


def unstated() -> list[str]:
    """Quantities without a unit."""
    from_tables = set(coefficients())
    found = []
    for place, member in _public():
        if member in from_tables or place.startswith(tuple(NO_UNIT)):
            continue
        text = inspect.getdoc(member) or ""
        found += [
            f"{place}: {name}"
            for name in _quantities(member)
            if not ENDING.search(name) and not WORD.search(_said_of(name, text))
        ]
    return found


def test_every_quantity_states_its_unit() -> None:
    assert unstated() == []


def test_the_walk_sees_the_quantities() -> None:
    assert sum(len(_quantities(member)) for _, member in _public()) > 1200


def test_no_exemption_is_idle() -> None:
    places = [place for place, member in _public() if _quantities(member)]
    assert [prefix for prefix in NO_UNIT if not any(place.startswith(prefix) for place in places)] == []


def _per(amount: str, of: str) -> float:
    """How many of one unit make another, by pint."""
    return float(UREG.Quantity(1.0, of).to(amount).magnitude)


CONVERSIONS = [
    (units.SQUARE_FEET_PER_ACRE, _per("foot**2", "mile**2") / 640.0),  # the international acre, as pint's own is survey
    (units.FEET_PER_METRE, _per("foot", "metre")),
    (units.FEET_PER_METRE, 1.0 / scipy.constants.foot),
    (FEET_PER_METRE, _per("foot", "metre")),
    (FEET_PER_MILE, _per("foot", "mile")),
    (FEET_PER_MILE, scipy.constants.mile / scipy.constants.foot),
    (INCHES_PER_FOOT, _per("inch", "foot")),
    (units.CENTIMETRES_PER_INCH, _per("centimetre", "inch")),
    (units.CENTIMETRES_PER_INCH, scipy.constants.inch * 100.0),
    (units.POUNDS_PER_TON, _per("pound", "short_ton")),
    (units.POUNDS_PER_TON, scipy.constants.short_ton / scipy.constants.pound),
    (units.FT2_AC_PER_M2_HA, _per("foot**2", "metre**2") / (_per("foot**2", "hectare") / 43560.0)),
]  # fmt: skip


def test_conversions_are_those_of_pint_and_scipy() -> None:
    for ours, theirs in CONVERSIONS:
        assert ours == pytest.approx(theirs, rel=1e-14)


def test_basal_area_of_a_tree_is_a_circle_to_the_digits_printed() -> None:
    circle = (math.pi / 4.0 * UREG.Quantity(1.0, "inch") ** 2).to("foot**2").magnitude
    assert pytest.approx(circle, abs=5e-10) == units.BASAL_AREA_FT2_PER_IN2


def test_equations_published_in_metric_are_converted_once() -> None:
    """Stand density index of Reineke: stems a hectare at 25.4 cm become stems an acre at 10 in, whatever the way."""
    tree = load_tree("loblolly").diameter
    per_ha, dbh_cm = 1000.0, 22.0
    by_hectare = per_ha * (dbh_cm / 25.4) ** tree.sdi_power
    per_ac = UREG.Quantity(per_ha, "1/hectare").to("1/acre").magnitude
    dbh_in = UREG.Quantity(dbh_cm, "cm").to("inch").magnitude
    ours = UREG.Quantity(float(stand_density_index(per_ac, dbh_in, tree)), "1/acre").to("1/hectare").magnitude
    assert ours == pytest.approx(by_hectare, rel=1e-12)


@pytest.mark.parametrize("scale", [0.3048, 3.0, 100.0])
def test_geometry_does_not_know_what_a_foot_is(scale: float) -> None:
    """Lengths in any other unit: cover stays as it is, trees an area fall with the square of the length."""
    draw = np.random.default_rng(2)
    length = draw.uniform(3.0, 20.0, (5, 5, 2))
    others = np.full((5, 2), 300.0), np.full((5, 2), 0.8), np.ones((5, 2)), np.ones((5, 2))
    crowns = RowCrowns(*length, *others)
    cell = Cell(draw.uniform(30.0, 60.0, 5), draw.uniform(6.0, 12.0, 5))
    larger = RowCrowns(*(scale * field for field in crowns[:5]), *crowns[5:])
    assert canopy_cover(larger, Cell(*(scale * field for field in cell))) == pytest.approx(
        canopy_cover(crowns, cell), rel=1e-9
    )
    space = length[:4, :, 0]
    assert local_trees_per_ac(*(scale * space)) == pytest.approx(local_trees_per_ac(*space) / scale**2, rel=1e-12)


def test_a_stem_holds_no_more_than_the_cylinder_around_it() -> None:
    """Dimension and size of a volume: inches and feet in, cubic feet out, by pint."""
    stem = load_wood("loblolly", natural=False).stem
    for dbh, height in ((6.0, 45.0), (12.0, 70.0), (20.0, 95.0)):
        around = math.pi / 4.0 * UREG.Quantity(dbh, "inch") ** 2 * UREG.Quantity(height, "foot")
        form = float(volume_inside_bark_ft3(dbh, height, stem)) / around.to("foot**3").magnitude
        assert 0.25 < form < 0.55


def test_board_feet_are_a_volume() -> None:
    """No rule finds more board feet, of a twelfth of a cubic foot each, than the log's small cylinder holds."""
    rules = load_wood("loblolly", natural=False).specs.log_rules
    for small_end, length in ((8.0, 16.0), (16.0, 12.0), (30.0, 16.0)):
        cylinder = math.pi / 4.0 * UREG.Quantity(small_end, "inch") ** 2 * UREG.Quantity(length, "foot")
        assert doyle_board_feet(small_end, length, rules) < 12.0 * cylinder.to("foot**3").magnitude
