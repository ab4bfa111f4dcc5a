"""`halfshade value`: what a table of yearly cash flows is worth."""

import math
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeAlias

import click

from optimize.whole_files import write_atomically
from simulator.csv_rows import NUMBER, shown
from simulator.errors import InputError, Problem
from workbench.cash_flows import CashFlows, read_cash_flows
from workbench.output import json_text, prepare_folder, print_json, print_note, print_table
from workbench.recipe import leave_recipe

if TYPE_CHECKING:
    from simulator.units import FloatArray

CAUTION: Final = "An estimate from the figures given; not investment or tax advice."

Document: TypeAlias = dict[str, object]


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--rate", required=True, help="Discount rate as a share: 0.05 is 5 %.")
@click.option(
    "--rotation",
    is_flag=True,
    help="The flows are one rotation, ended by their last year and repeated without end on the same land.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder in which to write value.json.")
def value(file: Path, rate: str, rotation: bool, as_json: bool, out: Path | None) -> None:
    """Work out what the yearly cash flows in FILE are worth.

    FILE is a comma-separated table whose first line names the columns year and amount. Costs are negative. Years
    count from the start, 0 first and undiscounted; a year may have several rows, and years left out have no
    cash. Amounts and rate must both be real (without inflation) or both nominal.

    \b
        year,amount
        0,-310
        15,332
        30,2455
    """  # noqa: D301 - click's mark for a block that keeps its lines
    share, flows = _read_input(file, rate, rotation=rotation)
    document = appraise(flows, share, rotation=rotation)
    if out is not None:
        write_atomically(prepare_folder(out) / "value.json", json_text(document))
        leave_recipe(out, file)
    if flows.unused_columns:
        print_note(f"columns of {file} that were not used: {', '.join(flows.unused_columns)}.")
    if as_json:
        print_json(document)
    else:
        _print_for_people(document, f"{file} at {share * 100.0:g} % a year, years 0 to {max(flows.years)}")


def _read_input(file: Path, rate: str, *, rotation: bool) -> tuple[float, CashFlows]:
    share, flows = math.nan, CashFlows([], [], [])
    problems: list[Problem] = []
    try:
        share = _read_rate(rate)
    except InputError as error:
        problems += error.problems
    try:
        flows = read_cash_flows(file)
    except InputError as error:
        problems += error.problems
    if rotation and flows.years and max(flows.years) == 0:
        rule, remedy = "a rotation must last at least one year", "Add the year in which it ends."
        problems.append(Problem("year", rule, "0 as the last year", remedy, str(file)))
    if problems:
        raise InputError(problems)
    return share, flows


def appraise(flows: CashFlows, rate: float, *, rotation: bool) -> Document:
    """Return the measures of a cash flow as the command's JSON document.

    Parameters
    ----------
    flows
        At least one row, any order; positive amounts are benefits, negative ones costs, and neither is netted
        against the other within a year.
    rate
        Discount rate [1/yr], 0 or more.
    rotation
        Whether the flows are one cycle, as long as the last year, repeated without end.

    Returns
    -------
    dict
        ``npv``, ``irr`` (every real root, ascending), ``land_expectation`` (``None`` unless a rotation),
        ``equal_annual_income``, ``benefit_cost``, ``payback_year`` and ``warnings``.
    """
    import numpy as np  # noqa: PLC0415 - numpy and scipy cost more than the whole of --help

    from simulator import finance  # noqa: PLC0415

    last = max(flows.years)
    amounts = np.asarray(flows.amounts)
    benefits = np.asarray(np.bincount(flows.years, np.maximum(amounts, 0.0)), dtype=np.float64)
    costs = np.asarray(np.bincount(flows.years, np.maximum(-amounts, 0.0)), dtype=np.float64)
    cash = benefits - costs
    land = finance.land_expectation_value(cash, rate, last) if rotation else None
    document: Document = {
        "npv": _number(finance.net_present_value(cash, rate)),
        "irr": finance.every_real_irr(cash),
        "land_expectation": _number(land),
        "equal_annual_income": _number(finance.equal_annual_income(cash, rate, last) if last else None),
        "benefit_cost": _number(finance.benefit_cost(benefits, costs, rate)),
        "payback_year": finance.payback_year(cash),
    }
    found = _warnings(document, finance.sign_changes(cash), rotation=rotation)
    document["warnings"] = [{"code": code, "message": message} for code, message in found]
    return document


def _number(measure: "FloatArray | None") -> float | None:
    return None if measure is None or not math.isfinite(measure) else float(measure)


def _warnings(document: Mapping[str, object], turns: int, *, rotation: bool) -> Iterator[tuple[str, str]]:
    roots = document["irr"]
    several = isinstance(roots, list) and len(roots) > 1
    if turns > 1:
        message = f"Cash turns from paying to earning or back {turns} times, so that an internal rate of return can"
        yield "several_sign_changes", f"{message} mislead; go by the net present value."
    if several:
        yield "several_irr", f"There are several internal rates of return: {_percents(roots)}."
    if not roots:
        yield "no_irr", "There is no internal rate of return: no rate brings the net present value to zero."
    if document["benefit_cost"] is None:
        yield "no_cost", "There is no benefit/cost ratio, because there is no cost."
    if rotation and document["land_expectation"] is None:
        yield "no_land_expectation", "There is no land expectation value at a rate of 0."
    if document["equal_annual_income"] is None:
        yield "no_equal_annual_income", "There is no equal annual income, because all cash is in year 0."


def _print_for_people(document: Mapping[str, object], title: str) -> None:
    payback = document["payback_year"]
    rows = [
        ("Net present value", _money(document["npv"])),
        ("Equal annual income", _money(document["equal_annual_income"])),
        ("Internal rate of return", _percents(document["irr"])),
        ("Benefit/cost ratio", _money(document["benefit_cost"])),
        ("Payback year, undiscounted", "never" if payback is None else str(payback)),
    ]
    if document["land_expectation"] is not None:
        rows.insert(2, ("Land expectation value", _money(document["land_expectation"])))
    print_table(title, ("Measure", "Value"), rows, note=CAUTION)
    warnings = document["warnings"]
    for warning in warnings if isinstance(warnings, list) else ():
        print_note(warning["message"])


def _money(amount: object) -> str:
    return f"{round(amount, 2) + 0.0:,.2f}" if isinstance(amount, float) else "-"


def _percents(roots: object) -> str:
    texts = [f"{root * 100.0:.2f} %" for root in roots] if isinstance(roots, list) else []
    return ", ".join(texts) or "none"


def _read_rate(text: str) -> float:
    rate = float(text) if NUMBER.fullmatch(text) else math.nan
    if not 0.0 <= rate < 1.0:
        raise InputError([Problem("--rate", "must be a share from 0 to below 1", shown(text), "Write 0.05 for 5 %.")])
    return rate
