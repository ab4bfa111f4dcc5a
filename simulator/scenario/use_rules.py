"""Rules for hay, animals, fertiliser and straw. Each docstring is the rule."""

from collections.abc import Callable
from typing import Any, Final, TypeAlias

from simulator.errors import Problem
from simulator.parameters.catalogue import NO_ANIMALS, animal_names
from simulator.parameters.pasture import load_animals
from simulator.scenario.draft import Draft
from simulator.scenario.messages import shown

Rule: TypeAlias = Callable[[Draft], list[Problem]]

LAST_YEAR: Final = 120
MOST_NITROGEN_LB_AC: Final = 500.0
"""Beyond any rate a warm-season grass is given; assumed for this project, only to catch slips of the pen."""


def hay_years_run_forward(draft: Draft) -> list[Problem]:
    """Hay years are the first and the last year, both after planting, the first before the harvest."""
    years = draft.get("use", "hay_years")
    if years is None or None in years:
        return []
    first, last = years
    path = ("use", "hay_years")
    if first > last:
        return [draft.problem(path, "runs backwards", remedy=f"Write [{last}, {first}].")]
    if first < 1 or last > LAST_YEAR:
        rule = f"must lie within years 1 to {LAST_YEAR}"
        return [draft.problem(path, rule, remedy="Years count from planting; year 0 is the planting itself.")]
    harvest = draft.get("harvest", "year")
    if harvest is not None and first > harvest:
        return [draft.problem(path, f"begins after the harvest in year {harvest}", remedy="Name earlier years.")]
    return []


def grazing_goes_with_animals(draft: Draft) -> list[Problem]:
    """Animals come with a first grazing year, a first grazing year with animals, before the harvest."""
    animals, first = draft.get("use", "animals"), draft.get("use", "first_grazing_year")
    if animals is None:
        return []
    path = ("use", "first_grazing_year")
    if draft.get("use", "never_grazed"):
        remedy = "Take the year out, or never_grazed."
        return [draft.problem(path, "is stated, but never_grazed = true", remedy=remedy)] if first is not None else []
    if first is not None and animals == NO_ANIMALS:
        return [
            draft.problem(path, 'is stated, but animals = "none"', remedy="Name the animals, or take the year out.")
        ]
    if first is None and animals != NO_ANIMALS and not draft.written("use", "first_grazing_year"):
        remedy = "Add the earliest year of grazing; animals still wait until the trees are safe."
        return [draft.problem(path, f'is missing beside animals = "{animals}"', remedy=remedy)]
    harvest = draft.get("harvest", "year")
    if first is not None and harvest is not None and first > harvest:
        rule = f"must not be later than the harvest in year {harvest}"
        return [draft.problem(path, rule, remedy='Name an earlier year, or write animals = "none".')]
    return []


def herd_bounds_in_order(draft: Draft) -> list[Problem]:
    """The fewest animals are not more than the most."""
    least, most = draft.get("use", "least_head"), draft.get("use", "most_head")
    if least is None or most is None or least <= most:
        return []
    rule = f"must not be below least_head = {least}"
    return [draft.problem(("use", "most_head"), rule, remedy="Raise it, or lower least_head.")]


def nitrogen_is_a_rate_or_a_table_of_years(draft: Draft) -> list[Problem]:
    """Nitrogen is a rate that grass can bear, or a table whose keys are years."""
    nitrogen = draft.get("pasture", "nitrogen_lb_ac")
    table = nitrogen if isinstance(nitrogen, dict) else {None: nitrogen}
    problems = []
    for key, rate in table.items():
        path = ("pasture", "nitrogen_lb_ac") if key is None else ("pasture", "nitrogen_lb_ac", key)
        if key is not None and not _is_year(key):
            rule = f"must have years from 0 to {LAST_YEAR} as keys"
            remedy = "Write for example nitrogen_lb_ac = { 1 = 80, 16 = 40 }: 80 lb/ac from year 1, 40 from year 16."
            problems.append(draft.problem(path, rule, received=shown(key), remedy=remedy))
        if rate is not None and not 0.0 <= rate <= MOST_NITROGEN_LB_AC:
            rule = f"must be a number from 0 to {MOST_NITROGEN_LB_AC:g} lb/ac"
            problems.append(draft.problem(path, rule, remedy="State pounds of nitrogen an acre and year."))
    return problems


def _is_year(key: Any) -> bool:  # noqa: ANN401 - a key as it stands in the file
    return key.isascii() and key.isdecimal() and len(key) < 4 and str(int(key)) == key and int(key) <= LAST_YEAR


def straw_years_fit(draft: Draft) -> list[Problem]:
    """Where straw has a market, it is raked at least once, before the harvest."""
    straw = draft.get("straw") or {}
    first, most = straw.get("first_rake_year"), straw.get("most_rakes")
    if not straw.get("market") or first is None or most is None:
        return []
    if most == 0:
        remedy = "Allow one rake or more, or write market = false."
        return [draft.problem(("straw", "most_rakes"), "is 0 although there is a market", remedy=remedy)]
    harvest = draft.get("harvest", "year")
    if harvest is not None and first >= harvest:
        rule = f"must be earlier than the harvest in year {harvest}"
        return [draft.problem(("straw", "first_rake_year"), rule, remedy="Rake earlier, or write market = false.")]
    return []


def cutover_has_no_sward(draft: Draft) -> list[Problem]:
    """Grass that is used on cutover land must be sown first."""
    used = draft.get("use", "hay_years") is not None or draft.get("use", "first_grazing_year") is not None
    if (
        draft.written("stand")
        or draft.get("land", "former_use") != "cutover"
        or not used
        or draft.get("pasture", "established") is False
    ):
        return []
    rule = "must be false on cutover land whose grass is grazed or cut: there is no sward yet"
    remedy = "Write established = false (sowing and clearing are then paid for), or take hay and grazing out."
    return [draft.problem(("pasture", "established"), rule, remedy=remedy)]


def inflation_comes_with_a_nominal_rate(draft: Draft) -> list[Problem]:
    """A nominal rate says how much of it is inflation."""
    if draft.get("money", "rate_basis") != "nominal" or draft.written("money", "inflation"):
        return []
    remedy = 'Add inflation = 0.02 or what you expect, or write rate_basis = "real".'
    return [draft.problem(("money", "inflation"), "is missing beside a nominal rate", remedy=remedy, received="")]


def a_breeding_herd_stays_all_year(draft: Draft) -> list[Problem]:
    """Only bought animals and a tenant's have a season; a breeding herd of the owner's is fed in winter."""
    animals = draft.get("use", "animals")
    if draft.get("use", "season_months") is None or draft.get("use", "tenure") != "owned":
        return []
    if animals in (None, NO_ANIMALS) or animals not in animal_names() or load_animals(animals).herd is None:
        return []
    rule = f"is stated, but {animals} of your own stay all year"
    remedy = 'Take it out, keep stockers, or write tenure = "leased".'
    return [draft.problem(("use", "season_months"), rule, remedy=remedy)]


def hay_is_fed_to_a_herd_of_ones_own(draft: Draft) -> list[Problem]:
    """Hay is kept only for a herd of the owner's: a tenant brings his own, and no animals eat none."""
    if draft.get("use", "hay_use") != "fed" or draft.get("use", "hay_years") is None:
        return []
    animals, leased = draft.get("use", "animals"), draft.get("use", "tenure") == "leased"
    if animals is None or not (leased or animals == NO_ANIMALS):
        return []
    why = "grazing is leased" if leased and animals != NO_ANIMALS else "no animals are kept"
    remedy = 'Write hay_use = "sold", or keep animals of your own (tenure = "owned").'
    return [draft.problem(("use", "hay_use"), f"can only be fed to your own herd, and {why}", remedy=remedy)]


USE_RULES: Final[tuple[Rule, ...]] = (
    cutover_has_no_sward,
    inflation_comes_with_a_nominal_rate,
    hay_years_run_forward,
    grazing_goes_with_animals,
    herd_bounds_in_order,
    a_breeding_herd_stays_all_year,
    hay_is_fed_to_a_herd_of_ones_own,
    nitrogen_is_a_rate_or_a_table_of_years,
    straw_years_fit,
)
