"""What a person may ask of a layout, and the margins that hold where nothing is said."""

from typing import Final, NamedTuple

from simulator.errors import InputError, Problem
from simulator.ground.elevation import Heights
from simulator.parameters.field_work import load_field_layout
from simulator.scenario.model import Scenario

LIMITS: Final = {
    "headland_ft": (0.0, 300.0),
    "setback_ft": (0.0, 300.0),
    "stream_buffer_ft": (0.0, 1000.0),
    "end_margin_ft": (0.0, 100.0),
    "least_row_ft": (0.0, 2000.0),
    "equipment_ft": (2.0, 120.0),
    "paddocks": (1, 60),
    "declination_deg": (-90.0, 90.0),
    "survival": (0.01, 1.0),
    "replant_share": (0.0, 1.0),
    "azimuth_deg": (0.0, 360.0),
}
LONGEST: Final = 1e15
"""Numbers beyond this are not repeated in a message."""


class Options(NamedTuple):
    """What is asked; None leaves it to the scenario or to habit.

    Attributes
    ----------
    azimuth_deg
        Direction of the rows, clockwise from true north [degrees].
    best_azimuth
        Look for a better direction.
    headland_ft, setback_ft, stream_buffer_ft, end_margin_ft, least_row_ft
        As in :class:`simulator.parameters.field_work.FieldLayout` [ft].
    equipment_ft
        Working width of the machine that has to fit the alleys [ft].
    machine
        What it is: ``mower``, ``baler`` or ``sprayer``.
    fit_alley
        Make the alley a whole number of its passes.
    paddocks
        Into how many the field is fenced.
    paddock_lines
        Cross-fences ``along`` the rows, in the alleys, or ``across`` them.
    declination_deg
        Of the compass here and now, east positive [degrees].
    survival
        Share of planted trees alive after establishment.
    replant_share
        Share of planting spots for which seedlings are ordered again.
    heights
        Measured elevations.
    """

    azimuth_deg: float | None = None
    best_azimuth: bool = False
    headland_ft: float | None = None
    setback_ft: float | None = None
    stream_buffer_ft: float | None = None
    end_margin_ft: float | None = None
    least_row_ft: float | None = None
    equipment_ft: float | None = None
    machine: str = "mower"
    fit_alley: bool = False
    paddocks: int = 1
    paddock_lines: str = "along"
    declination_deg: float | None = None
    survival: float | None = None
    replant_share: float | None = None
    heights: Heights | None = None


class Margins(NamedTuple):
    """What is kept free of trees, all [ft]."""

    headland_ft: float
    setback_ft: float
    stream_buffer_ft: float
    end_margin_ft: float
    least_row_ft: float


def check_options(options: Options) -> None:
    """Refuse what no field can have.

    Raises
    ------
    InputError
        With every option out of range.
    """
    problems = []
    for name, (low, high) in LIMITS.items():
        value = getattr(options, name)
        if value is not None and not low <= value <= high:  # nan lies nowhere
            option = "--" + name.removesuffix("_deg").replace("_", "-")
            received = "a huge number" if abs(value) >= LONGEST else f"{value:g}"
            problems.append(Problem(option, f"must lie between {low:g} and {high:g}", received, "Correct it."))
    if options.azimuth_deg is not None and options.best_azimuth:
        problems.append(Problem("--best-azimuth", "looks for what --azimuth states", "", "Give one of the two."))
    if problems:
        raise InputError(problems)


def margins_of(options: Options, scenario: Scenario) -> Margins:
    """Margins as asked, else by habit; a wide machine has a wider headland."""
    habits = load_field_layout()
    widths = [width for _, width in machines_of(options, scenario)]
    turning = max(habits.headland_ft, habits.headland_machine_widths * max(widths, default=0.0))

    def said(value: float | None, else_: float) -> float:
        return else_ if value is None else float(value)

    return Margins(
        said(options.headland_ft, turning),
        said(options.setback_ft, habits.setback_ft),
        said(options.stream_buffer_ft, habits.stream_buffer_ft),
        said(options.end_margin_ft, habits.end_margin_ft),
        said(options.least_row_ft, habits.least_row_ft),
    )


def machines_of(options: Options, scenario: Scenario) -> list[tuple[str, float]]:
    """Machines and their widths [ft]: the one asked for, else the plan's."""
    if options.equipment_ft is not None:
        return [(options.machine, float(options.equipment_ft))]
    plan = scenario.equipment
    widths = (("mower", plan.mower_ft), ("baler", plan.baler_ft), ("sprayer", plan.sprayer_ft))
    return [(name, width) for name, width in widths if width is not None]
