"""What grows: the land equivalent ratio, light and grass, slices to scale, cuts and products."""

from typing import Final

from simulator.land_equivalent import tree_product
from simulator.sales import SaleRow, sales_of
from workbench.charts.cross_section import cross_section_figure
from workbench.charts.light import light_and_forage_figure
from workbench.report.alt import cross_section_alt, light_alt
from workbench.report.amounts import quantity
from workbench.report.blocks import Picture, Section, Table, Text, listed, section
from workbench.report.gather import Gathered
from workbench.report.sections.plan import last_year_told
from workbench.sale_words import HEADINGS, shown_sales
from workbench.sentences import findings_about
from workbench.words import dollars, names_of, spoken_names_of, uses_grass

STEP_YR: Final = 5
PRODUCTS: Final = {
    **HEADINGS,
    "pulpwood": "pulpwood",
    "chip_and_saw": "chip-and-saw",
    "sawtimber": "sawtimber",
    "pole": "poles",
}
WITH_TREES: Final = ("silvopasture", "kept_up", "open_later", "plantation")


def the_ratio(of: Gathered) -> Section | None:
    """The land equivalent ratio, explained; nothing for a plan without both."""
    comparison, ratio = of.comparison, of.comparison.land_equivalent
    if of.scenario.trees is None or not uses_grass(of.scenario) or ratio.total <= 0:
        return None
    product, names = tree_product(comparison.systems), spoken_names_of(comparison.systems)
    rows = (
        (f"{product}, against an acre of {names['plantation']}", f"{ratio.wood:.2f}"),
        (f"forage, against an acre of {names['pasture']}", f"{ratio.forage:.2f}"),
        ("land equivalent ratio", f"{ratio.total:.2f}"),
    )
    return section(
        "ratio",
        "What an acre of both replaces: the land equivalent ratio",
        listed(findings_about(comparison, "land")),
        Table("land-equivalent", "Acres of single uses that one acre of the plan replaces", ("what", "acres"), rows),
        Text(
            "Read it so: to grow the same tons and the same forage on two pieces of land, one in trees and one in "
            f"grass, you would need {ratio.total:.2f} acres for each acre of the plan. Above 1 the two together use "
            "light and ground better than side by side. It counts growth, not money: forage that nobody eats counts "
            "too, so a ratio above 1 does not yet make the plan the better business."
        ),
    )


def light_and_grass(of: Gathered) -> Section:
    """Light and grass through time, and the slices to scale."""
    comparison = of.comparison
    return section(
        "light",
        "Light and grass through time",
        listed(findings_about(comparison, "grass")),
        _grass_table(of),
        Picture("light", light_alt(comparison), lambda: light_and_forage_figure(comparison)),
        Picture("cross-section", cross_section_alt(comparison), lambda: cross_section_figure(comparison)),
    )


def _grass_table(of: Gathered) -> Table:
    outcome = of.comparison.systems["silvopasture"]
    states, acres = outcome.states, of.scenario.land.acres
    last = last_year_told(outcome)
    cuts = [year for year in range(last + 1) if states["trees_cut_per_ac"][year] > 0]
    after = [year + 1 for year in cuts if year < last]
    years = sorted({*range(STEP_YR, last + 1, STEP_YR), 1, last, *cuts, *after} - {0})
    rows = tuple(
        (
            f"{year}",
            f"{states['light_warm'][year]:.0%}",
            quantity(float(states["forage_lb_ac"][year])),
            quantity(float(states["hay_ton_ac"][year]) * acres),
            quantity(float(states["animal_unit_months_ac"][year]) * acres),
        )
        for year in years
    )
    columns = ("year", "summer light", "forage, lb/ac", "hay, tons", "grazing, animal-unit months")
    note = (
        "Before the year's cut; forage is dry matter grown. An animal-unit month feeds a cow with her calf for a month."
    )
    return Table(
        "grass", "The plan: light on the grass, and the grass; hay and grazing of the whole field", columns, rows, note
    )


def the_wood(of: Gathered) -> Section | None:
    """Every cut with its products and what is left for the owner."""
    names, acres = names_of(of.comparison.systems), of.scenario.land.acres
    lots = [
        (names[name], sale)
        for name in WITH_TREES
        if name in of.comparison.systems
        for sale in shown_sales(sales_of(of.comparison.systems[name]))
    ]
    if not lots:
        return None
    products = [product for product in HEADINGS if any(product in sale.ton_ac for _, sale in lots)]
    columns = (
        "use and cut",
        "year",
        *(f"{PRODUCTS[product]}, tons/ac" for product in products),
        "truckloads",
        "left for you, $/ton",
        "$/ac",
        "whole field",
    )
    rows = tuple(_lot(name, sale, products, acres) for name, sale in lots)
    refused = [f"{name}, year {sale.year}: {sale.reason}." for name, sale in lots if sale.reason]
    few = "Few loads: few loggers will bid." if any(sale.small for _, sale in lots) else ""
    note = f"Left for you: what the standing wood brings, before fees and clean-up. Truckloads of the whole sale. {few}"
    return section(
        "wood",
        "Thinnings and products",
        listed(findings_about(of.comparison, "wood")),
        Table("cuts", "Every cut of wood, green tons", columns, rows, note.strip(), wide=True),
        listed(refused),
    )


def _lot(name: str, sale: SaleRow, products: list[str], acres: float) -> tuple[str, ...]:
    tons = [f"{sale.ton_ac[product]:.1f}" if product in sale.ton_ac else "-" for product in products]
    loads = f"{sale.loads:.0f}{' (few)' if sale.small else ''}"
    left = (f"{sale.left_per_ton:.0f}", f"{sale.left_per_ac:,.0f}", dollars(sale.left_per_ac * acres))
    return (f"{name}: {sale.cut}", f"{sale.year}", *tons, loads, *left)
