"""The command `halfshade calibrate`: adjust a scenario to what was measured later."""

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from simulator.errors import found_in
from workbench.output import json_text, prepare_folder, print_json, print_note, print_table, print_text
from workbench.recipe import leave_recipe
from workbench.scenario_argument import read_scenario

if TYPE_CHECKING:
    from simulator.inventory.calibrate import Adjusted, Calibration
    from simulator.inventory.readings import Readings

FEET_FROM: Final = 10.0
"""Adjusted numbers from here on are feet, said to a tenth; those below are multipliers, said to a hundredth."""
NOTE: Final = (
    "Nothing is changed in your file: write the lines below into it if you believe them. The standard errors assume "
    "that the plan was carried out as the file says, and know nothing of faults in the model itself."
)


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("measured", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the fit, the readings and adjusted.toml.")
def calibrate(file: Path, measured: Path, as_json: bool, out: Path | None) -> None:
    """Adjust site index, site culture, crowns and forage of the scenario FILE to what was MEASURED.

    MEASURED is a comma-separated table with the columns year (since the scenario's start), quantity and value, and
    optionally standard_error. Quantities: dominant_height_ft, quadratic_mean_dbh_in, basal_area_ft2_ac, trees_per_ac,
    light_warm, light_cool, canopy_cover, forage_lb_ac, hay_ton_ac. Stands are as before the year's cut, per acre of
    the whole field.
    """
    from simulator.inventory.calibrate import calibrated  # noqa: PLC0415 - numpy and scipy are slow to import
    from simulator.inventory.readings import read_readings  # noqa: PLC0415

    scenario, beside = read_scenario(file)
    readings = read_readings(measured, scenario.money.horizon_years)
    with found_in(measured):
        result = calibrated(scenario, readings, beside)
    document = calibration_document(result, readings)
    if out is not None:
        _write(prepare_folder(out), document)
        leave_recipe(out, file, measured)
    if as_json:
        print_json(document)
    else:
        _print(result, document, str(measured))


def calibration_document(result: "Calibration", readings: "Readings") -> dict[str, Any]:
    """The fit as one JSON document."""
    return {
        "adjusted": [each._asdict() for each in result.adjusted],
        "left_alone": list(result.left_alone),
        "readings": [
            {
                "year": int(year),
                "quantity": name,
                "measured": float(value),
                "standard_error": float(error),
                "predicted_before": float(was),
                "predicted_after": float(now),
            }
            for year, name, value, error, was, now in zip(
                readings.year,
                readings.quantity,
                readings.value,
                readings.standard_error,
                result.before,
                result.after,
                strict=True,
            )
        ],
        "scenario_lines": scenario_lines(result),
    }


def scenario_lines(result: "Calibration") -> str:
    """The adjusted numbers as they would stand in the scenario file."""
    tables: dict[str, list[str]] = {}
    for each in result.adjusted:
        after, error = _said(each, each.after), _said(each, each.standard_error)
        line = f"{each.field} = {after}  # was {each.before:g}; standard error {error}"
        tables.setdefault(each.table, []).append(line)
    return "\n\n".join(f"[{table}]\n" + "\n".join(lines) for table, lines in tables.items()) + "\n"


def _said(each: "Adjusted", value: float) -> str:
    """A number of the scenario as its size allows: feet to a tenth, multipliers to a hundredth."""
    return f"{value:.1f}" if each.before >= FEET_FROM else f"{value:.2f}"


def _write(folder: Path, document: dict[str, Any]) -> None:
    import pandas as pd  # noqa: PLC0415 - heavy; only who asks for files pays for it

    from workbench.files import csv_text, write_all  # noqa: PLC0415

    texts = {
        "calibration.json": json_text(document),
        "readings.csv": csv_text(pd.DataFrame(document["readings"])),
        "adjusted.toml": document["scenario_lines"],
    }
    for path in write_all(folder, texts):
        print_note(f"wrote {path}")


def _print(result: "Calibration", document: dict[str, Any], name: str) -> None:
    rows = [
        [
            f"{each.table}.{each.field}",
            f"{each.before:g}",
            _said(each, each.after),
            _said(each, each.standard_error),
            f"{round(100.0 * (each.after / each.before - 1.0)):+d}%",
        ]
        for each in result.adjusted
    ]
    print_table(f"{name}: what the measurements say", ["", "before", "after", "standard\nerror", "change"], rows)
    for field in result.left_alone:
        print_text(f"  {field} is left alone: nothing that was measured changes with it.\n")
    print_text("\n")
    rows = [
        [
            reading["quantity"],
            str(reading["year"]),
            f"{reading['measured']:,.2f}",
            f"{reading['standard_error']:,.2f}",
            f"{reading['predicted_before']:,.2f}",
            f"{reading['predicted_after']:,.2f}",
            f"{(reading['measured'] - reading['predicted_after']) / reading['standard_error']:+.1f}",
        ]
        for reading in document["readings"]
    ]
    headings = [
        "quantity",
        "year",
        "measured",
        "standard\nerror",
        "predicted\nbefore",
        "after",
        "left over, in\nstandard errors",
    ]
    print_table("Predicted against measured", headings, rows)
    print_text(f"\n{NOTE}\n\n{document['scenario_lines']}")
