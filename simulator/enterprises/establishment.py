"""Putting trees in the ground, fences round the grass, and the yearly dues of the land."""

import numpy as np

from simulator.enterprises.setting import Setting, has_alley, planted
from simulator.enterprises.stock import book_stock
from simulator.events.inputs import ripped_of
from simulator.events.site import weeded_of
from simulator.events.use import Uses
from simulator.plan import Plan
from simulator.scenario.rows import period_ft
from simulator.schedule import NEVER
from simulator.units import SQUARE_FEET_PER_ACRE, BoolArray, FloatArray, IntArray


def prepared_share(setting: Setting) -> FloatArray:
    """Share of the land ripped and sprayed for the trees: strips, or all between close rows.

    Parameters
    ----------
    setting
        The batch.

    Returns
    -------
    FloatArray
        Share [1], (candidates,); 0 without trees, 1 where rows stand close.

    References
    ----------
    Definition.
    """
    plan, width = setting.plan, setting.tables.tree.planting.strip_width_ft
    close = ~has_alley(setting)
    layouts = [scenario.trees.layout if scenario.trees else None for scenario in plan.scenarios]
    rows = np.array([layout.rows_in_set if layout else 0 for layout in layouts])
    gaps = np.array([min(layout.row_gap_ft, width) if layout else 0 for layout in layouts])
    period = np.array([_period(plan, i) for i in range(plan.candidates)])
    strips = (width + (rows - 1) * gaps) / period
    return np.where(planted(plan), np.where(close, 1.0, np.minimum(strips, 1.0)), 0.0)


def _period(plan: Plan, i: int) -> float:
    trees = plan.scenarios[i].trees
    if trees is None:
        return 1.0
    return period_ft(trees.layout.rows_in_set, trees.layout.row_gap_ft, trees.layout.alley_ft)


def book_planting(setting: Setting, year: int, due: BoolArray, sod: BoolArray) -> None:
    """Book what planting costs: ground, seedlings, planting, hours.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    due
        Where trees are planted, (candidates,).
    sod
        Where they are planted into grass; elsewhere stumps and slash are cleared first.
    """
    book, plan, tables = setting.book, setting.plan, setting.tables
    trees = np.where(due, (plan.geometry.planted * plan.geometry.spots_per_ac[:, None]).sum(axis=1), 0.0)
    strip = np.where(due, prepared_share(setting), 0.0)
    alley = has_alley(setting)
    pines = book_stock(setting, year, trees)
    book.post(year, "planting_alley", pines, alley)
    book.post(year, "planting_plantation", pines, ~alley)
    book.post(year, "rip_and_strip", strip, sod & ripped_of(plan))
    book.post(year, "cutover_preparation", strip, ~sod)
    book.post(year, "herbicide", strip, weeded_of(plan))
    book.post(year, "tree_labour", tables.practice.hours.planting_h_ac, due)


def book_tree_care(setting: Setting, year: int, age: IntArray) -> None:
    """Book the later weed control of the first year and the yearly walk through the trees.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    age
        Years since planting at the end of the year, (candidates,).
    """
    book, tables = setting.book, setting.tables
    trees = planted(setting.plan) & (age < setting.plan.agenda.let_go_from)
    passes = tables.practice.ground.weed_control_passes - 1.0
    book.post(year, "herbicide", passes * prepared_share(setting), trees & (age == 1) & weeded_of(setting.plan))
    book.post(year, "tree_labour", tables.practice.hours.tree_care_h_ac_yr, trees)


def book_fence(setting: Setting, year: int, grazing: BoolArray, fence_age: FloatArray) -> FloatArray:
    """Build or renew cross-fence and water (and a missing perimeter) where animals graze.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    grazing
        Where animals graze this year, (candidates,).
    fence_age
        Years since it was built, infinite where there is none, (candidates,).

    Returns
    -------
    FloatArray
        Age of the fence a year later.
    """
    book, plan, tables = setting.book, setting.plan, setting.tables
    due = grazing & (fence_age >= fence_life_yr(setting))
    divided = ~plan.flags("use", "system", equals="continuous")
    book.post(year, "cross_fence_and_water", plan.geometry.usable, due & divided)
    book.post(year, "perimeter_fence", perimeter_ft_ac(plan), due & ~plan.flags("land", "fenced"))
    owned = plan.flags("use", "tenure", equals="owned")
    hours = tables.practice.hours.fence_h_ac_yr * plan.geometry.usable
    book.post(year, "herd_labour", hours, grazing & owned)
    return np.where(due, 0.0, fence_age) + 1.0


def fence_life_yr(setting: Setting) -> FloatArray:
    """Years until fence and water are renewed, as the owner states or as practice has it [yr], (candidates,)."""
    stated = setting.plan.column("land", "fence_life_years")
    return np.where(np.isnan(stated), setting.tables.practice.ground.fence_life_yr, stated)


def perimeter_ft_ac(plan: Plan) -> FloatArray:
    """Fence round a square field, for each acre that its rows take.

    Parameters
    ----------
    plan
        The batch.

    Returns
    -------
    FloatArray
        Fence [ft/ac], (candidates,).

    References
    ----------
    Definition; that a field is square: assumed, for the file states acres and no outline.
    """
    acres = plan.column("land", "acres")
    return np.asarray(4.0 * np.sqrt(acres * SQUARE_FEET_PER_ACRE) / acres * plan.geometry.whole_field)


def book_treatments(setting: Setting, year: int, age: IntArray) -> None:
    """Book the extra treatments that scenarios list for this age of the cycle."""
    shares: dict[str, FloatArray] = {}
    since_start = age - setting.plan.start_age
    for i, scenario in enumerate(setting.plan.scenarios):
        for treatment in scenario.treatment:
            if treatment.year == since_start[i]:
                shares.setdefault(treatment.item, np.zeros(setting.plan.candidates))[i] += treatment.share
    for item, share in shares.items():
        setting.book.post(year, f"treatment_{item}", share * setting.plan.geometry.usable)


def grass_wanted(plan: Plan) -> BoolArray:
    """Where the plan uses grass at any time, (candidates,)."""
    return np.asarray((plan.calendar.graze_from < NEVER) | plan.calendar.hay.any(axis=1))


def book_sward(setting: Setting, year: int) -> None:
    """Book the sward that is sown this year, and first the stumps that are cleared where forest stood.

    In a stand that stands grass is sown between the stems, and no stump is cleared.
    """
    plan, ground = setting.plan, setting.plan.geometry.grass_ground
    due = grass_wanted(plan) & plan.flags("pasture", "sown_year", equals=year)
    cutover = plan.flags("land", "former_use", equals="cutover") & ~plan.standing
    perennial = not setting.tables.grass.habit.sown_every_year  # an annual's sowing is paid every year instead
    setting.book.post(year, "sward_establishment", ground, due & ~plan.flags("pasture", "established") & perennial)
    setting.book.post(year, "land_clearing", ground, due & cutover)


def opened(plan: Plan, year: int) -> BoolArray:
    """Where a stand is thinned this year so that grass can be sown in it afterwards, (candidates,)."""
    sown = plan.column("pasture", "sown_year")
    return plan.standing & grass_wanted(plan) & ~plan.flags("pasture", "established") & (year <= sown)


def nitrogen_applied(plan: Plan, age: IntArray, uses: Uses) -> FloatArray:
    """Nitrogen of the year on the grass ground [lb/ac], (candidates,): nobody fertilises grass that nobody uses."""
    due = plan.calendar.nitrogen_lb_ac[np.arange(plan.candidates), age]
    return np.where(uses.grazing | uses.cutting, due, 0.0)


def book_nitrogen(setting: Setting, year: int, pounds_ac: FloatArray, uses: Uses) -> None:
    """Book the year's nitrogen [lb/ac of land] where the owner pays: a tenant by the acre brings his own."""
    pays = setting.terms.owned | setting.terms.by_month
    setting.book.post(year, "nitrogen_hay", pounds_ac, uses.cutting)
    setting.book.post(year, "nitrogen_grazing", pounds_ac, uses.grazing & pays)
