"""Words that every output shares: names of the systems, amounts as said aloud, plans in a line, cautions."""

from collections.abc import Mapping

from simulator.result import Outcome
from simulator.scenario.model import Scenario
from simulator.scenario.rows import row_removal
from simulator.scenario.trees import Thinning
from workbench.beside import beside_the_plan

NAMES = {
    "silvopasture": "both together",
    "plantation": "trees alone",
    "pasture": "grass alone",
    "kept_up": "the plan kept up",
}
NAME_OF_A_SINGLE_USE = "the plan"


def names_of(systems: Mapping[str, Outcome]) -> dict[str, str]:
    """Names of the systems of a comparison; a plan that is itself a single use is not called both together."""
    return {system: name_of(system, outcome.scenario) for system, outcome in systems.items()}


def name_of(system: str, scenario: Scenario) -> str:
    """Name of one system of a comparison, by what its scenario really holds."""
    grass_used = scenario.use.first_grazing_year is not None or scenario.use.hay_years is not None
    if system == "silvopasture" and not (scenario.trees is not None and grass_used):
        return NAME_OF_A_SINGLE_USE
    return NAMES[system]


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


def cautions() -> tuple[str, ...]:
    """What every printed result carries."""
    danger = (
        "Felling, herbicide, fire and animals can hurt or kill: local codes, the product's label and licensed "
        "practice decide what is done on the ground."
    )
    return "A comparison of plans, not an appraisal and not financial, tax or legal advice.", danger


def describe(outcome: Outcome) -> str:
    """The plan of one system in a line: trees, thinnings, harvest, use of the grass."""
    scenario = outcome.scenario
    parts = []
    if scenario.trees is not None:
        layout = scenario.trees.layout
        rows = "single rows" if layout.rows_in_set == 1 else f"sets of {layout.rows_in_set} rows"
        parts.append(f"{rows}, {layout.in_row_ft:g} ft in the row, {layout.alley_ft:g} ft between")
        parts += [f"thin {cut.year} {cut.method}{_residual(cut, layout.rows_in_set)}" for cut in scenario.thinning]
        parts.append(f"cut {scenario.harvest.year}" if scenario.harvest else "never cut")
    use = scenario.use
    if use.hay_years:
        parts.append(f"hay years {use.hay_years[0]}-{use.hay_years[1]}")
    if use.first_grazing_year is not None:
        parts.append(f"{use.animals} from year {use.first_grazing_year}, {use.system}, {use.tenure}")
    if use.hay_years or use.first_grazing_year is not None:
        parts.append(_nitrogen(scenario.pasture.nitrogen_lb_ac))
    return "; ".join(parts + beside_the_plan(scenario)) or "nothing is done"


def _residual(cut: Thinning, rows_in_set: int) -> str:
    if cut.residual_trees_per_ac is not None:
        return f" to {cut.residual_trees_per_ac:g} trees/ac"
    if cut.residual_basal_area_ft2_ac is not None:
        return f" to {cut.residual_basal_area_ft2_ac:g} ft2/ac"
    return f", one in {row_removal(rows_in_set, cut.remove_every_row)}"


def _nitrogen(rate: float | dict[str, float]) -> str:
    if isinstance(rate, dict):
        return ", ".join(f"{pounds:g} lb nitrogen from year {year}" for year, pounds in rate.items())
    return f"{rate:g} lb nitrogen"
