"""Words that every output shares: names of the systems, amounts as said aloud, plans in a line, cautions."""

from collections.abc import Mapping

from simulator.result import Outcome
from simulator.scenario.model import Scenario
from simulator.scenario.rows import row_removal
from simulator.scenario.stand import FoundStand
from simulator.scenario.trees import Thinning
from workbench.beside import beside_the_plan
from workbench.grass_words import grass_cautions, grass_plan

NAMES = {
    "silvopasture": "both together",
    "plantation": "trees alone",
    "pasture": "grass alone",
    "kept_up": "the plan kept up",
}
NAME_OF_A_SINGLE_USE = "the plan"
STAND_NAMES = {
    "silvopasture": "open it now",
    "plantation": "keep it as a plantation",
    "pasture": "clear it for pasture",
    "open_later": "open it in {years} years",
    "kept_up": "the plan kept up",
}
"""Names where a stand is there already; ``plantation`` is the stand kept for wood, natural or planted."""
ENTERPRISE_WORDS = {"land": "tax and administration", "help": "cost-share", "straw": "pine straw"}
"""Enterprises of the ledger whose key is not how people call them."""
UNITS = {
    "$/ton": "a ton",
    "$/lb": "a pound",
    "$/ac": "an acre",
    "$/h": "an hour",
    "$/bale": "a bale",
    "$/animal-unit month": "an animal-unit month",
    "$/head": "a head",
    "$/tree": "a tree",
    "$/ft": "a foot",
    "$/sale": "a sale",
    "$/strip ac": "a strip acre",
    "$/1000": "a thousand",
    "$/1000 lb": "a thousand pounds",
    "$/ton/mile": "a ton and mile",
}
"""Units of prices as said after an amount."""
NEAR_TIE = 4.0
"""Incomes closer than this [$/ac/yr] are within what no one can foresee."""


def names_of(systems: Mapping[str, Outcome]) -> dict[str, str]:
    """Names of the systems of a comparison; a plan that is itself a single use is not called both together."""
    return {system: name_of(system, outcome.scenario) for system, outcome in systems.items()}


def name_of(system: str, scenario: Scenario) -> str:
    """Name of one system of a comparison, by what its scenario really holds."""
    grass_used = uses_grass(scenario)
    if scenario.stand is not None and (grass_used or system != "silvopasture"):
        return _name_with_stand(system, scenario.stand)
    if system == "silvopasture" and not (scenario.trees is not None and grass_used):
        return NAME_OF_A_SINGLE_USE
    return NAMES[system]


def uses_grass(scenario: Scenario) -> bool:
    """Whether a plan grazes or mows."""
    return scenario.use.first_grazing_year is not None or scenario.use.hay_years is not None


def _name_with_stand(system: str, stand: FoundStand) -> str:
    if system == "plantation" and stand.origin == "natural":
        return "keep it as woods"
    return STAND_NAMES[system].format(years=stand.open_later_years)


def spoken_names_of(systems: Mapping[str, Outcome]) -> dict[str, str]:
    """Names as the subject of a sentence: opening it now, keeping it as a plantation."""
    return {system: spoken(name) for system, name in names_of(systems).items()}


def spoken(name: str) -> str:
    """A name as the subject of a sentence."""
    verb, _, rest = name.partition(" it ")
    spoken_verb = {"open": "opening", "keep": "keeping", "clear": "clearing"}.get(verb)
    return f"{spoken_verb} it {rest}" if spoken_verb and rest else name


def dollars(amount: float, *, yearly: bool = False) -> str:
    """An amount as said aloud: $38, $160, $2,100, never $163.27.

    Parameters
    ----------
    amount
        Dollars.
    yearly
        A yearly income an acre, said in whole dollars whatever its size.
    """
    size = abs(amount)
    step = 1 if yearly or size < 100 else 10 if size < 1000 else 100
    rounded = round(size / step) * step
    return f"-${rounded:,}" if amount < 0 and rounded else f"${rounded:,}"


def nearly_tied(one: float, other: float) -> bool:
    """Whether two yearly incomes, as they are printed, lie closer than anyone can foresee."""
    return abs(round(one) - round(other)) < NEAR_TIE


def enterprise_words(enterprise: str) -> str:
    """An enterprise of the ledger as people call it."""
    return ENTERPRISE_WORDS.get(enterprise, enterprise)


def cautions(scenario: Scenario) -> tuple[str, ...]:
    """What every printed result carries, and what goes with the grasses of the plan."""
    danger = (
        "Felling, herbicide, fire and animals can hurt or kill: local codes, the product's label and licensed "
        "practice decide what is done on the ground."
    )
    return (
        "A comparison of plans, not an appraisal and not financial, tax or legal advice.",
        danger,
        *grass_cautions(scenario),
    )


def describe(outcome: Outcome) -> str:
    """The plan of one system in a line: trees, thinnings, harvest, use of the grass."""
    scenario = outcome.scenario
    parts = []
    if scenario.trees is not None:
        layout = scenario.trees.layout
        rows = "single rows" if layout.rows_in_set == 1 else f"sets of {layout.rows_in_set} rows"
        spacing = f"{rows}, {layout.in_row_ft:g} ft in the row, {layout.alley_ft:g} ft between"
        parts.append(stand_in_words(scenario.stand) if scenario.stand else spacing)
        parts += [
            f"thin {_when(cut.year)}{cut.method}{_residual(cut, layout.rows_in_set)}" for cut in scenario.thinning
        ]
        parts.append(_felled(scenario.harvest.year) if scenario.harvest else "never cut")
        if scenario.stand is not None:
            parts.append(f"then {scenario.stand.after_harvest}")
        if scenario.stand is not None and uses_grass(scenario) and not scenario.pasture.established:
            parts.append(f"grass sown in year {scenario.pasture.sown_year}")
    use = scenario.use
    if use.hay_years:
        parts.append(f"hay years {use.hay_years[0]}-{use.hay_years[1]}")
    if use.first_grazing_year is not None:
        parts.append(f"{use.animals} from year {use.first_grazing_year}, {use.system}, {use.tenure}")
    if use.hay_years or use.first_grazing_year is not None:
        parts.append(_nitrogen(scenario.pasture.nitrogen_lb_ac))
        parts += grass_plan(scenario.pasture)
    return "; ".join(parts + beside_the_plan(scenario)) or "nothing is done"


def stand_in_words(stand: FoundStand) -> str:
    """A stand that is there already: its age, trees and mean diameter."""
    square = sum(line.trees_per_ac * line.dbh_in**2 for line in stand.dbh_class) / stand.trees_per_ac
    return f"{stand.origin} trees {stand.age} years old, {stand.trees_per_ac:.0f} an acre of {square**0.5:.1f} in"


def _felled(year: int) -> str:
    return f"cut in year {year}" if year else "cut now"


def _when(year: int) -> str:
    return f"in year {year} " if year else "now, "


def _residual(cut: Thinning, rows_in_set: int) -> str:
    if cut.residual_trees_per_ac is not None:
        return f" to {cut.residual_trees_per_ac:g} trees/ac"
    if cut.residual_basal_area_ft2_ac is not None:
        return f" to {cut.residual_basal_area_ft2_ac:g} ft2/ac"
    if cut.strip_rows_removed is not None and cut.strip_rows_left is not None:
        return f", {cut.strip_rows_removed} rows out and {cut.strip_rows_left} left"
    return f", one in {row_removal(rows_in_set, cut.remove_every_row)}"


def _nitrogen(rate: float | dict[str, float]) -> str:
    if isinstance(rate, dict):
        return ", ".join(f"{pounds:g} lb nitrogen an acre from year {year}" for year, pounds in rate.items())
    return f"{rate:g} lb nitrogen an acre"
