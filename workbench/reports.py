"""Terminal tables of one system or of three side by side."""

import math
from collections.abc import Callable, Mapping, Sequence

from simulator.accounts import WOOD_PRODUCTS
from simulator.band import Band
from simulator.comparison import Comparison
from simulator.geometry import shares_of_field
from simulator.land_equivalent import tree_product
from simulator.measures import Measures
from simulator.parameters.pasture import load_grass
from simulator.parameters.species import load_species
from simulator.parameters.tables import NOTHING
from simulator.result import Outcome
from simulator.scenario.model import Scenario
from workbench.after_tax import after_tax_lines
from workbench.band_words import number_in_words
from workbench.dangers import dangers
from workbench.output import print_table, print_text
from workbench.sale_words import print_sales
from workbench.sentences import findings
from workbench.words import NAMES, cautions, describe, enterprise_words, names_of, spoken

STEP_YR = 5
SWINGS_SHOWN = 15
WITH_TREES = ("silvopasture", "kept_up", "open_later", "plantation")

YEAR_COLUMNS: Sequence[tuple[str, str, str]] = (
    ("trees\n/ac", "trees_per_ac", ".0f"),
    ("dbh\nin", "quadratic_mean_dbh_in", ".1f"),
    ("height\nft", "dominant_height_ft", ".0f"),
    ("BA\nft2", "basal_area_ft2_ac", ".0f"),
    ("good\nstems", "sawtimber_grade_share", ".0%"),
    ("summer\nlight", "light_warm", ".2f"),
    ("winter\nlight", "light_cool", ".2f"),
    ("grass\nlight", "light_grass", ".2f"),
    ("forage\nlb", "forage_lb_ac", ",.0f"),
    ("hay\nton", "hay_ton_ac", ".1f"),
    ("AUM\n", "animal_unit_months_ac", ".1f"),
    ("own\nhead", "head", ".0f"),
    ("straw\nbale", "straw_bales_ac", ".0f"),
    ("nuts\nlb", "nuts_lb_ac", ".0f"),
    ("stand\nton", "standing_ton_ac", ".0f"),
    ("lost\ntrees", "trees_lost_to_events_per_ac", ".0f"),
)
WOOD_HEADINGS = {"pulpwood": "pulp\nton", "chip_and_saw": "c+saw\nton", "sawtimber": "saw\nton", "pole": "pole\nton"}

MEASURE_ROWS: Sequence[tuple[str, Callable[[Measures], str]]] = (
    ("Equal annual income, $/ac/yr", lambda m: whole(m.equal_annual_income)),
    ("  before tax and administration", lambda m: whole(m.equal_annual_margin)),
    ("Land expectation value, $/ac", lambda m: "-" if m.land_expectation is None else whole(m.land_expectation)),
    ("Net present value with end values, $/ac", lambda m: whole(m.npv)),
    ("Internal rate of return, one cycle", lambda m: ", ".join(f"{root:.1%}" for root in m.irr_cycle) or "none"),
    ("Benefit / cost", lambda m: f"{m.benefit_cost:.2f}" if math.isfinite(m.benefit_cost) else "-"),
    ("Paid back in year", lambda m: "never" if m.payback_year is None else str(m.payback_year)),
    ("Deepest cumulative cash, $/ac", lambda m: whole(m.deepest_cash)),
)
LABELS_WITH_STAND = {"Land expectation value, $/ac": "Land and stand value, $/ac"}
WITHOUT_MEANING_FOR_A_STAND = ("Internal rate of return, one cycle", "Paid back in year")


def print_comparison(comparison: Comparison) -> None:
    """Print the three systems side by side, their plans, the years and the findings."""
    first = comparison.systems["silvopasture"]
    title = f"{first.scenario.title or 'Scenario'}: {first.scenario.land.acres:g} acres, per acre of the whole field"
    names = names_of(comparison.systems)
    note = f"{money_note(first)} {horizon_note(first)}".strip()
    print_table(title, ["", *names.values()], measure_rows(comparison), note=note)
    _print_after_tax(comparison.systems)
    print_text("\nThe plans\n")
    for name, outcome in comparison.systems.items():
        print_text(f"  {names[name]}: {describe(outcome)}\n")
    print_text("\n")
    for name in (name for name in WITH_TREES if name in comparison.systems):
        heading = names[name].capitalize()
        print_years(f"{heading}, every {STEP_YR} years (before the year's cut)", comparison.systems[name])
        print_text("\n")
    print_text(f"{_steady_year(comparison)}\n")
    _print_lines("Findings", findings(comparison))
    _print_warnings(comparison)
    _print_lines("Cautions", (*cautions(first.scenario), *dangers(first.scenario)))


def _print_after_tax(systems: Mapping[str, Outcome]) -> None:
    for line in after_tax_lines(systems):
        print_text(f"{line}\n")


def measure_rows(comparison: Comparison) -> list[list[str]]:
    """The measures of the systems side by side: words and one ready amount a system."""
    measures = {name: outcome.measures for name, outcome in comparison.systems.items()}
    rows = [
        [label, *(show(each) for each in measures.values())]
        for label, show in _rows_of_measures(comparison.systems["silvopasture"])
    ]
    enterprises = dict.fromkeys(key for m in measures.values() for key in m.by_enterprise)
    rows += [
        [
            f"Present value of {enterprise_words(key)}, $/ac",
            *(whole(each.by_enterprise.get(key, 0.0)) for each in measures.values()),
        ]
        for key in enterprises
    ]
    rows += [
        [f"Cash of years {decade}, $/ac", *(whole(each.by_decade[decade]) for each in measures.values())]
        for decade in measures["silvopasture"].by_decade
    ]
    ratio, product = comparison.land_equivalent, tree_product(comparison.systems)
    mine = f"{ratio.total:.2f} ({ratio.wood:.2f} {product} + {ratio.forage:.2f} forage)"
    shown = {"silvopasture": mine, "plantation": "1", "pasture": "1"}
    rows.append(["Land equivalent ratio", *(shown.get(name, "") for name in comparison.systems)])
    return rows


def _rows_of_measures(outcome: Outcome) -> list[tuple[str, Callable[[Measures], str]]]:
    """Measures to show; a stand that was found was not paid for, so that nothing is paid back."""
    if not outcome.lives:
        return list(MEASURE_ROWS)
    return [
        (LABELS_WITH_STAND.get(label, label), show)
        for label, show in MEASURE_ROWS
        if label not in WITHOUT_MEANING_FOR_A_STAND
    ]


def money_note(outcome: Outcome) -> str:
    """The rate and the prices behind every dollar, in a line."""
    table = outcome.price_table
    labour = "hours paid" if outcome.scenario.money.pay_labour else "hours free"
    all_ = "all alternatives" if outcome.lives else "all three"
    return f"Real rate {outcome.rate:.1%} a year; {table.title}; {labour}; land value left out of {all_} alike."


def horizon_note(outcome: Outcome) -> str:
    """What the horizon does to the present value, where it cuts a tree cycle."""
    horizon, cycle = outcome.scenario.money.horizon_years, outcome.flows.cycle_yr
    if outcome.lives:
        return "Year 0 is today; the yearly income is of the stand to its harvest and of what follows it for ever."
    if outcome.scenario.trees is None or horizon == cycle:
        return ""
    if horizon < cycle:
        return f"The yearly income is of the whole cycle to year {cycle}; the present value stops in year {horizon}."
    return f"The present value stops in year {horizon}, inside a second cycle; the yearly income does not."


def _steady_year(comparison: Comparison) -> str:
    """The pasture's last year in a line: most years are like it, but for fence and herd."""
    outcome = comparison.systems["pasture"]
    name = "The pasture after clearing" if outcome.lives else "Grass alone"
    states, last = outcome.states, len(outcome.cash_per_ac) - 1
    parts = [f"{states['forage_lb_ac'][last]:,.0f} lb of forage"]
    for column, form, unit in (
        ("hay_ton_ac", ".1f", "tons of hay"),
        ("animal_unit_months_ac", ".1f", "animal-unit months"),
    ):
        if states[column][last] > 0:
            parts.append(f"{states[column][last]:{form}} {unit}")
    head = f"; {states['head'][last]:.0f} head on the field" if states["head"][last] > 0 else ""
    return f"{name}, in year {last}, an acre: {', '.join(parts)}{head}; ${whole(outcome.cash_per_ac[last])} cash."


def print_years(title: str, outcome: Outcome) -> None:
    """Print the yearly table at five-year steps, with the years of every cut."""
    last = len(outcome.cash_per_ac) - 1
    cuts = [int(year) for year in range(last + 1) if outcome.states["trees_cut_per_ac"][year] > 0]
    years = sorted({*range(0, last + 1, STEP_YR), last, *cuts, *_turning_years(outcome)})
    headings, rows = year_rows(outcome, years)
    trees = "nuts of the years left" if outcome.states["nuts_lb_ac"].any() else "trees"
    end = f"End value in year {last}: {outcome.end_value_per_ac:,.0f} $/ac ({trees}, herd, fence, way back to pasture)."
    if (rows_share := shares_of_field(outcome.scenario).rows) < 1.0 and outcome.scenario.trees is not None:
        end += (
            f" Per acre of the whole field; trees and basal area among the rows are {1.0 / rows_share:.2f} times these."
        )
    print_table(title, headings, rows, note=end)


def year_rows(outcome: Outcome, years: Sequence[int]) -> tuple[list[str], list[list[str]]]:
    """The yearly table: headings with units, and a row of ready text for each year asked for."""
    unasked = _unasked_light(outcome) | _unasked_grade(outcome)
    shown = [column for column in YEAR_COLUMNS if outcome.states[column[1]].any() and column[1] not in unasked]
    wood = [product for i, product in enumerate(WOOD_PRODUCTS) if outcome.wood_ton_ac[:, i].any()]
    headings = ["year", *(heading for heading, _, _ in shown), *(WOOD_HEADINGS[product] for product in wood), "cash\n$"]
    loans = outcome.cash_after_loans_per_ac if outcome.scenario.loan else None
    headings += [] if loans is None else ["after\nloans"]
    rows = []
    for year in years:
        row = [str(year), *(format(outcome.states[name][year], form) for _, name, form in shown)]
        row += [f"{outcome.wood_ton_ac[year, WOOD_PRODUCTS.index(product)]:.1f}" for product in wood]
        money = [outcome.cash_per_ac[year], *([] if loans is None else [loans[year]])]
        rows.append([*row, *map(whole, money)])
    return headings, rows


def _unasked_light(outcome: Outcome) -> set[str]:
    """Light that no grass of the plan lives by: winter's without winter grass, a cool grass's own without one."""
    pasture = outcome.scenario.pasture
    summer = all(load_grass(name).habit.warm_season for name in (pasture.grass, pasture.later_grass) if name != NOTHING)
    return ({"light_cool"} if pasture.overseeded == NOTHING else set()) | ({"light_grass"} if summer else set())


def _unasked_grade(outcome: Outcome) -> set[str]:
    """Sawtimber grade of orchard trees, which are no timber."""
    trees = outcome.scenario.trees
    return set() if trees is None or load_species(trees.species).orchard is None else {"sawtimber_grade_share"}


def _turning_years(outcome: Outcome) -> set[int]:
    """First and last year of the first hay, and the first year of grazing: what five-year steps would miss."""
    found = set()
    for column in ("hay_ton_ac", "animal_unit_months_ac"):
        years = [year for year, amount in enumerate(outcome.states[column]) if amount > 0]
        found |= set(years[:1])
        found |= {year for year in years[:-1] if year + 1 not in years and column == "hay_ton_ac"}
    return found


def whole(amount: float) -> str:
    """Whole dollars, without a minus before nothing; a dash where there is no such amount."""
    return f"{round(amount) + 0:,}" if math.isfinite(amount) else "-"


def _print_lines(heading: str, lines: Sequence[str]) -> None:
    print_text(f"\n{heading}\n")
    for line in lines:
        print_text(f"  - {line}\n")


def _print_warnings(comparison: Comparison) -> None:
    _print_lines("Warnings", warning_lines(comparison))


def warning_lines(comparison: Comparison) -> list[str]:
    """Warnings, each once, with the systems they are about unless they are about all."""
    said: dict[str, list[str]] = {}
    for warning in comparison.warnings:
        said.setdefault(warning.message, []).append(names_of(comparison.systems)[warning.system])
    everyone = len(comparison.systems)
    return [message if len(names) == everyone else f"{', '.join(names)}: {message}" for message, names in said.items()]


def print_outcome(outcome: Outcome, warnings: Sequence[str]) -> None:
    """Print one system: its plan, measures, years and warnings."""
    title = f"{outcome.scenario.title or 'Scenario'}: {outcome.scenario.land.acres:g} acres, per acre"
    measures = outcome.measures
    rows = [[label, show(measures)] for label, show in _rows_of_measures(outcome)]
    rows += [
        [f"Present value of {enterprise_words(key)}, $/ac", f"{value:,.0f}"]
        for key, value in measures.by_enterprise.items()
    ]
    print_table(title, ["", "value"], rows, note=money_note(outcome))
    _print_after_tax({"silvopasture": outcome})
    print_text(f"\nThe plan: {describe(outcome)}\n\n")
    print_years("Years (before the year's cut)", outcome)
    print_sales(outcome)
    _print_lines("Warnings", warnings)
    _print_lines("Cautions", (*cautions(outcome.scenario), *dangers(outcome.scenario)))


def print_band(band: Band, scenario: Scenario, names: Mapping[str, str] = NAMES) -> None:
    """Print how far each income may lie off, and the numbers that move it most."""
    rows = [
        [names[name], f"{income:,.0f}", *(f"{limit:,.0f}" for limit in band.limits(name))]
        for name, income in band.income.items()
    ]
    note = "Single ranges taken as independent, added by their squares; they are beliefs, not confidence limits."
    print_table("Band of equal annual income, $/ac/yr", ["", "as shipped", "low", "high"], rows, note=note)
    print_text("\n")
    rows = [
        [
            number_in_words(swing.name, swing.unit, scenario),
            f"{swing.low:g} .. {swing.value:g} .. {swing.high:g}",
            *(f"{swing.at_low[name]:,.0f} .. {swing.at_high[name]:,.0f}" for name in band.income),
        ]
        for swing in band.swings[:SWINGS_SHOWN]
    ]
    title = f"The {len(rows)} numbers that move {spoken(names['silvopasture'])} most, one at a time"
    print_table(title, ["number", "low .. value .. high", *(names[name] for name in band.income)], rows)
