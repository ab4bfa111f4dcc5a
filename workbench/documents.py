"""JSON documents that other programs may rely on: keys are added, never renamed or taken away."""

from collections.abc import Callable
from importlib import metadata
from typing import Any

from simulator.accounts import WOOD_PRODUCTS
from simulator.comparison import Comparison
from simulator.findings.warnings import Warning_
from simulator.geometry import shares_of_field
from simulator.result import Outcome
from simulator.sales import mix_of, sale_document, sales_of
from workbench.after_tax import after_tax_document
from workbench.dangers import dangers
from workbench.owner_documents import owner_document, owner_year
from workbench.row_direction import row_direction_document
from workbench.sentences import findings
from workbench.words import cautions, names_of

YEAR_COLUMNS = (
    "trees_per_ac",
    "quadratic_mean_dbh_in",
    "dominant_height_ft",
    "basal_area_ft2_ac",
    "sawtimber_grade_share",
    "light_warm",
    "light_cool",
    "canopy_cover",
    "forage_lb_ac",
    "forage_share_of_open",
    "winter_forage_lb_ac",
    "light_grass",
    "later_grass",
    "hay_ton_ac",
    "forage_eaten_lb_ac",
    "browse_eaten_lb_ac",
    "animal_unit_months_ac",
    "head",
    "straw_bales_ac",
    "nuts_lb_ac",
    "standing_ton_ac",
    "trees_cut_per_ac",
    "basal_area_cut_ft2_ac",
    "trees_dead_per_ac",
    "trees_lost_to_events_per_ac",
    "trees_lost_to_use_per_ac",
    "trees_lost_early_per_ac",
    "trees_replanted_per_ac",
)


NOT_OF_THE_PLAN = {"report", "baseline", "money", "land", "format", "tax", "price_path", "price_link"}


def comparison_document(
    comparison: Comparison, of_system: Callable[[Outcome], dict[str, Any]] | None = None
) -> dict[str, Any]:
    """The comparison as one JSON document, per acre of the whole tract.

    Parameters
    ----------
    comparison
        What was compared.
    of_system
        Gives the document of one system, where somebody remembers them; else `system_document`.

    Returns
    -------
    dict
    """
    of_system = of_system or system_document
    any_one = comparison.systems["silvopasture"]
    scenario, names = any_one.scenario, names_of(comparison.systems)
    return {
        "program_version": program_version(),
        "title": scenario.title,
        "discount_rate": any_one.rate,
        "currency_year": any_one.price_table.currency_year,
        "price_table": any_one.price_table.title,
        "area_ac": scenario.land.acres,
        "horizon_years": scenario.money.horizon_years,
        "systems": {name: {"name": names[name], **of_system(outcome)} for name, outcome in comparison.systems.items()},
        "ranking": comparison.ranking,
        "land_equivalent_ratio": comparison.land_equivalent._asdict(),
        "price_sets": {price_set.name: dict(price_set.equal_annual_income) for price_set in comparison.price_sets},
        "labour_free_equal_annual_income_per_ac": dict(comparison.labour_free),
        "switch_prices": [switch._asdict() for switch in comparison.switches],
        "better_pasture": _better_pasture(comparison),
        "row_direction": row_direction_document(comparison.row_direction),
        "findings": findings(comparison),
        "warnings": [warning._asdict() for warning in comparison.warnings],
        "cautions": [*cautions(scenario), *dangers(scenario)],
    }


def program_version() -> str | None:
    """Version of the installed program; none where it runs from its source folder."""
    try:
        return metadata.version("halfshade")
    except metadata.PackageNotFoundError:
        return None


def _better_pasture(comparison: Comparison) -> dict[str, Any] | None:
    better = comparison.better_pasture
    if better is None:
        return None
    return {
        "equal_annual_income_per_ac": better.equal_annual_income,
        "nitrogen_lb_ac": better.plan.pasture.nitrogen_lb_ac,
        "tenure": better.plan.use.tenure,
        "overseeded": better.plan.pasture.overseeded,
    }


def system_document(outcome: Outcome) -> dict[str, Any]:
    """One system: its measures, its schedule and its years."""
    measures = outcome.measures
    only_root = measures.irr_all[0] if len(measures.irr_all) == 1 else None
    field = shares_of_field(outcome.scenario)
    return {
        "planted_share": field.rows if outcome.scenario.trees is not None else 0.0,
        "headland_share": field.headland,
        "npv_per_ac": measures.npv,
        "irr": only_root,
        "irr_all": list(measures.irr_all),
        "irr_one_cycle": list(measures.irr_cycle),
        "land_expectation_per_ac": measures.land_expectation,
        "equal_annual_income_per_ac": measures.equal_annual_income,
        "equal_annual_margin_before_overhead_per_ac": measures.equal_annual_margin,
        "cycle_years": outcome.flows.cycle_yr,
        "years_before_cycle": outcome.flows.leading_yr,
        "benefit_cost": measures.benefit_cost,
        "end_value_per_ac": outcome.end_value_per_ac,
        "payback_year": measures.payback_year,
        "deepest_cash_per_ac": measures.deepest_cash,
        "income_by_enterprise_per_ac": dict(measures.by_enterprise),
        "cash_by_decade_per_ac": dict(measures.by_decade),
        **owner_document(outcome),
        "sales": [sale_document(sale) for sale in sales_of(outcome)],
        "wood_mix": mix._asdict() if (mix := mix_of(outcome)) else None,
        "after_tax": after_tax_document(outcome),
        "schedule": _schedule(outcome),
        "schedule_after_harvest": _schedule(outcome.lives[-1]) if outcome.lives else None,
        "years": _years(outcome),
    }


def _schedule(outcome: Outcome) -> dict[str, Any]:
    return outcome.scenario.model_dump(mode="json", by_alias=True, exclude=NOT_OF_THE_PLAN)


def _years(outcome: Outcome) -> list[dict[str, Any]]:
    cash, last = outcome.cash_per_ac, len(outcome.cash_per_ac) - 1
    years: list[dict[str, Any]] = []
    for year in range(last + 1):
        row: dict[str, Any] = {"year": year, "age": int(outcome.states["age"][year])}
        row |= {name: float(outcome.states[name][year]) for name in YEAR_COLUMNS}
        row["wood_ton_ac"] = dict(zip(WOOD_PRODUCTS, outcome.wood_ton_ac[year].tolist(), strict=True))
        row["cash_per_ac"] = float(cash[year])
        row |= owner_year(outcome, year)
        years.append(row)
    years[last]["end_value_per_ac"] = outcome.end_value_per_ac
    return years


def run_document(outcome: Outcome, warnings: list[Warning_]) -> dict[str, Any]:
    """One plan by itself as one JSON document."""
    return {
        "program_version": program_version(),
        "title": outcome.scenario.title,
        "discount_rate": outcome.rate,
        "currency_year": outcome.price_table.currency_year,
        "area_ac": outcome.scenario.land.acres,
        "horizon_years": outcome.scenario.money.horizon_years,
        **system_document(outcome),
        "warnings": [warning._asdict() for warning in warnings],
        "cautions": [*cautions(outcome.scenario), *dangers(outcome.scenario)],
    }
