"""Every public function of `simulator.physics`, and arguments for it: names of parameters say what they are.

A new function finds its arguments here by itself where its names and types are known; where not, the tests that walk
this list say so.
"""

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import Any, Final

import numpy as np

from simulator import physics
from simulator.parameters.bucking import load_bucking
from simulator.parameters.catalogue import NO_ANIMALS, animal_names, grass_names, tree_names
from simulator.parameters.climate import load_climate
from simulator.parameters.hazards import load_events
from simulator.parameters.odds import load_frequencies
from simulator.parameters.tables import NOTHING, load_tables
from simulator.parameters.wood import load_products, load_wood

CANDIDATES: Final = 9

RANGES: Final[Mapping[str, tuple[float, float]]] = {
    "acres": (5.0, 200.0),
    "afternoon_thi": (70.0, 92.0),
    "age": (1.0, 45.0),
    "age_yr": (1.0, 45.0),
    "animal_units": (1.0, 60.0),
    "at_ft": (1.0, 38.0),
    "basal_area_ft2_ac": (5.0, 150.0),
    "canopy_cover": (0.0, 1.0),
    "clearness": (0.2, 0.75),
    "core_in": (1.0, 5.0),
    "crown_base_ft": (1.0, 20.0),
    "daily_swing_thi": (8.0, 20.0),
    "day_of_year": (1.0, 365.0),
    "days": (60.0, 200.0),
    "dbh_after_in": (7.0, 18.0),
    "dbh_before_in": (4.0, 7.0),
    "dbh_in": (2.0, 20.0),
    "demand_lb_head_month": (300.0, 900.0),
    "depth": (0.01, 60.0),
    "diameter_in": (1.0, 6.0),
    "feeding_loss": (0.0, 0.4),
    "females": (1.0, 60.0),
    "forage_lb_ac": (100.0, 9000.0),
    "gain_lb_day": (0.5, 3.0),
    "grass_lb_ac": (100.0, 9000.0),
    "grazing_months": (4.0, 12.0),
    "growth_share": (0.0, 1.0),
    "head": (0.0, 80.0),
    "height_ft": (40.0, 95.0),
    "height_growth_ft": (0.0, 4.0),
    "hour_angle_rad": (-1.5, 1.5),
    "infected_share": (0.0, 0.8),
    "kept_share": (0.3, 0.95),
    "latitude_deg": (26.0, 40.0),
    "length_ft": (8.0, 20.0),
    "light_share": (0.0, 1.0),
    "load": (0.0, 1.0),
    "maximum": (50.0, 90.0),
    "mean_dbh_in": (0.5, 8.0),
    "mean_height_ft": (2.0, 40.0),
    "mean_light": (0.0, 1.0),
    "mean_wood_in": (5.0, 16.0),
    "minimum": (1.0, 10.0),
    "most_change_share": (0.05, 0.5),
    "most_lost": (0.0, 1.0),
    "multiplier": (0.7, 1.3),
    "needlefall_lb_ac": (0.0, 6000.0),
    "nitrogen_lb_ac": (0.0, 250.0),
    "overlap": (0.01, 8.0),
    "phosphorus_given": (0.0, 1.0),
    "piece_ton": (0.01, 2.0),
    "place": (0.0, 0.99),
    "previous_head": (0.0, 80.0),
    "pruned_dbh_in": (3.0, 6.0),
    "rakes_done": (0.0, 8.0),
    "relative_dbh": (0.3, 1.8),
    "relative_density": (0.0, 1.0),
    "relative_humidity": (0.2, 1.0),
    "room": (0.0, 60.0),
    "safe_height_ft": (5.0, 30.0),
    "sdi_share_of_maximum": (0.0, 1.0),
    "site_culture": (0.7, 1.1),
    "site_index_ft": (50.0, 90.0),
    "small_end_in": (6.0, 24.0),
    "sown": (0.0, 1.0),
    "species_factor": (0.5, 2.0),
    "stand_share": (0.0, 1.0),
    "standing_lb": (0.0, 800.0),
    "start_shift": (-2.0, 2.0),
    "storage_loss": (0.0, 0.4),
    "straw_lb_ac": (0.0, 4000.0),
    "strip_basal_area_ft2_ac": (5.0, 150.0),
    "sunset_rad": (1.0, 2.0),
    "target_head": (0.0, 90.0),
    "temperature_f": (60.0, 105.0),
    "transport_loss": (0.0, 0.2),
    "trees_per_ac": (20.0, 700.0),
    "usable_lb_ac_year": (200.0, 5000.0),
    "utilisation": (0.2, 0.7),
    "value": (0.0, 9.0),
    "variation": (0.08, 0.3),
    "volunteers_per_ac": (0.0, 3000.0),
    "wood_in": (6.0, 18.0),
    "yearly_lb": (500.0, 9000.0),
    "years_since": (0.0, 12.0),
    "years_since_planting": (0.0, 30.0),
    "years_since_sown": (0.0, 5.0),
    "years_since_thinning": (0.0, 15.0),
    **dict.fromkeys(("along_ft", "left_ft", "right_ft"), (4.0, 60.0)),
    "reach_ft": (5.0, 25.0),
    "keep": (0.0, 1.0),
}
"""Parameters that vary from candidate to candidate, and where they may lie."""
BY_MONTH: Final = {"growth_lb": (0.0, 900.0), "demand_lb": (0.0, 700.0), "monthly_lb": (0.0, 900.0)}
YES_OR_NO: Final = {"passed_gate", "weeded", "thinning", "reseeded"}
WHOLE: Final = {"age", "rakes_done", "females", "head", "years_since_thinning"}
FIXED: Final = {
    "alert_thi": 79.0,
    "alpha": 2.1,
    "bale_lb": 15.0,
    "beta": 1.4,
    "classes": 5,
    "loss_per_rake": 0.03,
    "most_loss": 0.2,
    "series": (0.3, 0.1, -0.2, 0.05, 0.01),
    "smallest_sds": 2.5,
}
"""Parameters that all candidates share."""

WINTER: Final = {"ryegrass", "crimson-clover"}
"""Grasses that are sown over others."""


def public_functions() -> Iterator[tuple[str, Callable[..., Any]]]:
    """Name, as ``crown.crown_ratio``, and function of everything public in the physics."""
    for found in pkgutil.walk_packages(physics.__path__, "simulator.physics."):
        module = importlib.import_module(found.name)
        for name, member in vars(module).items():
            here = getattr(member, "__module__", None) == found.name
            if here and not name.startswith("_") and callable(member) and not isinstance(member, type):
                yield f"{found.name.removeprefix('simulator.physics.')}.{name}", member


@cache
def coefficients() -> Mapping[type, list[Any]]:
    """Every tuple of coefficients that the packaged files fill, by its type: of each species, grass and animal."""
    found: dict[type, list[Any]] = {}
    grasses, animals = grass_names(), [name for name in animal_names() if name != NO_ANIMALS]
    for number, species in enumerate(tree_names()):
        _collect(load_tables(species, "bahiagrass", "cattle"), found)
        _collect(load_wood(species, natural=bool(number % 2)), found)
    for grass in grasses:
        _collect(load_tables("loblolly", grass, "cattle", grass if grass in WINTER else NOTHING), found)
    for animal in animals:
        _collect(load_tables("loblolly", "bahiagrass", animal), found)
    for more in (load_climate(), load_events(), load_frequencies(), load_bucking(load_products())):
        _collect(more, found)
    return found


def _collect(value: object, found: dict[type, list[Any]]) -> None:
    """Put a tuple and every tuple inside it on the list of its type, once."""
    if isinstance(value, tuple) and hasattr(value, "_fields"):
        alike = found.setdefault(type(value), [])
        if not any(other is value or repr(other) == repr(value) for other in alike):
            alike.append(value)
    if isinstance(value, Mapping):
        value = tuple(value.values())
    if isinstance(value, tuple):
        for part in value:
            _collect(part, found)


def argument(name: str, annotation: object, draw: np.random.Generator, turn: int) -> object:
    """An argument for all candidates, the candidate as first axis; coefficients in turn from the packaged files.

    Raises
    ------
    LookupError
        Where neither its name nor its type is known.
    """
    if name in FIXED:
        return FIXED[name]
    if name in YES_OR_NO:
        return draw.random(CANDIDATES) < 0.5
    if name in BY_MONTH:
        return draw.uniform(*BY_MONTH[name], (CANDIDATES, 12))
    if name in RANGES:
        if annotation is float:
            return float(draw.uniform(*RANGES[name]))
        drawn = draw.uniform(*RANGES[name], CANDIDATES)
        return np.rint(drawn).astype(np.int64) if name in WHOLE else drawn
    if isinstance(annotation, type) and annotation in coefficients():
        alike = coefficients()[annotation]
        return alike[turn % len(alike)]
    raise LookupError(f"{name}: {annotation}")


def arguments(function: Callable[..., Any], draw: np.random.Generator, turn: int) -> dict[str, Any]:
    """Arguments of a function by name."""
    parameters = inspect.signature(function).parameters.values()
    return {each.name: argument(each.name, each.annotation, draw, turn) for each in parameters}
