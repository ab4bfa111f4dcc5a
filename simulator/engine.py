"""The yearly loop: the order of events on the land, and nothing else."""

from dataclasses import replace

import numpy as np

from simulator.enterprises import establishment, meadow, nuts, sprays, straw, sward, turf
from simulator.enterprises.forage_use import Stores, use_grass
from simulator.enterprises.harvest import Due, EndOf, book_end_values, cut_of_year
from simulator.enterprises.herd import displaced_herd, sell_breeding_herd, stocked
from simulator.enterprises.killed_wood import book_killed_wood
from simulator.enterprises.other_income import grass_left_share
from simulator.enterprises.setting import Setting, planted, terms_of
from simulator.enterprises.sold_early import YearEnd
from simulator.enterprises.tree_inputs import book_inputs, book_replanting
from simulator.enterprises.wood import standing_merchantable_ton_ac
from simulator.enterprises.year_terms import setting_of_year
from simulator.events.damage import Ground, damage_of_year, drought_forage_share, sod_kept_share
from simulator.events.found import as_found
from simulator.events.growth import grown
from simulator.events.inputs import fertilised, replanted, site_of_year
from simulator.events.light import Lit, Precision, light_of_year, skies_of
from simulator.events.planting import on_planting_day, pruned, seeded
from simulator.events.site import site_of
from simulator.events.use import Floor, Uses, nobody_uses, tree_loss_share, uses_of_year, without_care
from simulator.herd_accounts import COWS
from simulator.history import History
from simulator.ledger import Book
from simulator.parameters.tables import Tables
from simulator.plan import Plan
from simulator.sale_accounts import delivered_lines
from simulator.simulation import Land, Season, Simulation
from simulator.state import Stand, bare, select
from simulator.units import BoolArray


def simulate(plan: Plan, tables: Tables, precision: Precision = "exact") -> Simulation:
    """Grow a batch of scenarios from year 0 to its last year.

    Parameters
    ----------
    plan
        The batch.
    tables
        Numbers of its species, grass and animals.
    precision
        Light path: exact, or fast within .01 of it.

    Returns
    -------
    Simulation
        Quantities per acre in ``setting.book`` and states in ``history``, rows 0 to the plan's last year.
    """
    run = prepared(plan, tables, precision, plan.last_year)
    continued(run, started(run), 1, plan.last_year)
    return run


def prepared(plan: Plan, tables: Tables, precision: Precision, last_year: int) -> Simulation:
    """A simulation with empty records that has not begun, with room for rows 0 to ``last_year``."""
    return Simulation(
        setting=Setting(plan, tables, terms_of(plan, tables), _book(plan, tables, last_year)),
        site=site_of(plan, tables.tree),
        skies=skies_of(plan, tables),
        precision=precision,
        history=History(plan.geometry.rows_share, last_year),
    )


def continued(run: Simulation, land: Land, first: int, last: int) -> Land:
    """Grow from the state before year ``first`` through year ``last``, and hand on the state after it."""
    for year in range(first, last + 1):
        land = _one_year(run, land, year)
    return land


def _book(plan: Plan, tables: Tables, last_year: int) -> Book:
    items = sorted({treatment.item for scenario in plan.scenarios for treatment in scenario.treatment})
    words = tables.animals.words if tables.animals is not None else COWS
    return Book(plan.geometry.rows_share, last_year, tuple(items), words, delivered_lines(plan.scenarios))


def _new_stand(run: Simulation) -> Stand:
    geometry, tables = run.setting.plan.geometry, run.setting.tables
    young = on_planting_day(geometry, run.site.survival, tables.tree, tables.quality)
    return select(planted(run.setting.plan), seeded(young, run.site, tables.tree), bare(geometry))


def started(run: Simulation) -> Land:
    """The land after row 0, which is written: planted that day, found as it stands, or open."""
    plan, setting = run.setting.plan, run.setting
    nobody = np.zeros(plan.candidates)
    new = planted(plan) & ~plan.standing
    establishment.book_planting(setting, 0, new, plan.flags("land", "former_use", equals="pasture"))
    establishment.book_treatments(setting, 0, plan.start_age)
    establishment.book_sward(setting, 0)
    stand, lit = _first_stand(run)
    run.history.record_start(stand, lit)
    never = np.full(plan.candidates, np.inf)
    grass, stores, none = turf.turf_at_start(plan), Stores(displaced_herd(setting), nobody), nobody.astype(np.int64)
    land = Land(stand, grass, stores, never, nobody, never, nobody > 0, nobody, waiting=none, ruined=nobody > 0)
    if not plan.standing.any():
        return land
    run.history.record_standing(0, standing_merchantable_ton_ac(stand, setting.tables.wood))
    return _close_year(run, land, nobody_uses(plan), 0)


def _first_stand(run: Simulation) -> tuple[Stand, Lit]:
    """What stands in year 0 and the light under it: planted that day, or found; one batch holds one kind."""
    plan, tables = run.setting.plan, run.setting.tables
    open_light = np.ones(plan.geometry.points_ft.shape)
    if not plan.standing.any():
        return _new_stand(run), Lit(open_light, open_light, np.zeros(plan.candidates))
    found = as_found(plan, run.site, tables)
    return found, light_of_year(found, found, plan.geometry, run.skies, tables, run.precision)


def _one_year(run: Simulation, land: Land, year: int) -> Land:
    run = replace(run, setting=setting_of_year(run.setting, year, land.stand, land.since_cut))
    setting, plan, tables = run.setting, run.setting.plan, run.setting.tables
    land = replace(land, turf=sprays.after_sprays(setting, land.turf, land.stand.age + 1))
    before = _tended(run, land.stand, year)
    site = site_of_year(run.site, plan, tables, before, land.grass_nitrogen_lb_ac)
    after = fertilised(before, grown(before, plan.geometry, site, tables.tree), plan, tables)
    lit = light_of_year(before, after, plan.geometry, run.skies, tables, run.precision)
    season = Season(year, after, lit, sward.needles(after, plan.geometry, tables.straw))
    uses = uses_of_year(plan, tables, before, after, Floor(land.rakes, land.since_cut))
    uses = without_care(plan, tables, uses, after.age, land.fence_age)
    uses, grass = _grass_of_year(run, land, season, uses)
    result = use_grass(setting, year, uses, grass, land.stores, lit.cover / plan.geometry.usable)
    bales = straw.rake(setting, year, season.fall, straw.Rakes(uses.raking, land.rakes, uses.grazing))
    setting.book.post(year, "tax_and_administration", plan.geometry.whole_field)
    run.history.record_nuts(year, nuts.gather(setting, year, after))
    establishment.book_sward(setting, year)
    after, ruined = _struck(run, land, season, uses)
    run.history.record(year, before, after, lit, grass)
    run.history.record_use(year, result.grazed, result.hay_ton_ac, bales)
    run.history.record_standing(year, standing_merchantable_ton_ac(after, tables.wood))
    kept = turf.Kept(sod_kept_share(plan, tables, year), land.reseeded)
    moved = Land(
        stand=after,
        turf=turf.switched(
            setting, year, turf.next_turf(setting, land.turf, season.lit, kept), (after.age, grass.light, uses)
        ),
        stores=result.stores,
        fence_age=establishment.book_fence(setting, year, uses.grazing, land.fence_age),
        rakes=land.rakes + uses.raking,
        since_cut=land.since_cut + 1.0,
        reseeded=np.zeros(plan.candidates, bool),
        grass_nitrogen_lb_ac=establishment.nitrogen_applied(plan, after.age, uses),
        waiting=land.waiting,
        ruined=ruined,
    )
    return _close_year(run, moved, uses, year)


def _tended(run: Simulation, stand: Stand, year: int) -> Stand:
    """Do what is due at the start of the year: replanting, treatments, weed control, pruning."""
    setting = run.setting
    stand, seedlings, living = replanted(stand, setting.plan, setting.plan.geometry)
    book_replanting(setting, year, seedlings)
    run.history.record_replanting(year, seedlings, living)
    book_inputs(setting, year, stand)
    calendar, here, age = setting.plan.calendar, np.arange(setting.plan.candidates), stand.age + 1
    establishment.book_treatments(setting, year, age)
    establishment.book_tree_care(setting, year, age)
    height, asked = calendar.prune_ft[here, age], calendar.prune_trees[here, age]
    living = stand.trees.sum(axis=1)
    count = np.where(np.isnan(asked), living, np.minimum(asked, living))
    setting.book.post(year, "pruning", count, height > 0)
    return pruned(stand, setting.plan.geometry, height, asked, setting.tables.quality)


def _struck(run: Simulation, land: Land, season: Season, uses: Uses) -> tuple[Stand, BoolArray]:
    """The stand once cows, mowers and the events of the year have taken theirs, what they killed sold, and its ruin."""
    setting, plan, tables = run.setting, run.setting.plan, run.setting.tables
    lost = tree_loss_share(plan, tables, uses, season.stand.age, setting.terms.utilisation)
    within_reach = uses.grazing & ~uses.out_of_reach
    run.history.record_lost_to_use(season.year, season.stand.trees.sum(axis=1) * lost, within_reach)
    stand = replace(season.stand, trees=season.stand.trees * (1.0 - lost[:, None]))
    ground = Ground(uses.grazing, land.since_cut, land.stand.height_ft)
    damage = damage_of_year(plan, tables, season.year, stand, ground)
    tons = book_killed_wood(setting, season.year, stand, damage, uses.grazing | uses.cutting)
    run.history.record_events(season.year, damage.lost_share * stand.trees.sum(axis=1), tons)
    return damage.stand, damage.ruined


def _grass_of_year(run: Simulation, land: Land, season: Season, uses: Uses) -> tuple[Uses, meadow.Forage]:
    """Grow the grass; where it does not carry one whole animal of the owner's, nobody fertilises or grazes it."""
    plan, setting = run.setting.plan, run.setting
    land = replace(land, turf=turf.untended(setting, land.turf, season.stand.age))
    uses = turf.rested(setting, land.turf, uses)
    grass = _grass(run, land, season, uses)
    idle = uses.grazing & ~stocked(setting, grass, uses.grazing, land.stores.head)
    if idle.any():
        uses = uses._replace(grazing=uses.grazing & ~idle)
        grass = _grass(run, land, season, uses)
    nitrogen = establishment.nitrogen_applied(plan, season.stand.age, uses)
    ground = plan.geometry.grass_ground * grass_left_share(setting, season.stand.age)
    establishment.book_nitrogen(setting, season.year, nitrogen * ground, uses)
    turf.book_sowing(setting, season.year, land.turf, season.stand.age, uses)
    return uses, grass


def _grass(run: Simulation, land: Land, season: Season, uses: Uses) -> meadow.Forage:
    plan, tables = run.setting.plan, run.setting.tables
    age, here = season.stand.age, np.arange(plan.candidates)
    litter = np.where(uses.cutting | uses.raking | plan.agenda.burn[here, age], 0.0, season.fall.per_ac_lb)
    nitrogen = establishment.nitrogen_applied(plan, age, uses) + plan.agenda.nitrogen_lb_ac[here, age]
    dry = drought_forage_share(plan, tables, season.year)
    around = meadow.Around(season.stand, season.lit, litter, nitrogen, dry)
    return meadow.forage_of_year(run.setting, land.turf, around, uses)


def _close_year(run: Simulation, land: Land, uses: Uses, year: int) -> Land:
    """Thin or harvest at the end of the year; after a harvest inside the horizon the next cycle is planted."""
    due = Due(land.waiting, land.ruined)
    felling, cleared = cut_of_year(run.setting, year, land.stand, uses, due), due.seedlings(land.stand)
    run.history.record_cut(year, felling)
    worked = felling.trees_cut > 0
    land = replace(
        land,
        stand=felling.stand,
        since_cut=np.where(worked, 0.0, land.since_cut),
        reseeded=worked & (uses.grazing | uses.cutting),
        waiting=felling.waiting,
    )
    if felling.harvested.any():
        land = _after_harvest(run, land, felling.harvested, cleared, year)
    left = land.stand, land.stores.head, land.fence_age
    if run.precision == "exact":  # a search on the fast path asks for no such value
        run.history.record_exit(year, YearEnd(run.setting, *left))
    if year == run.setting.plan.horizon:
        book_end_values(run.setting, EndOf(year, run.setting.plan.flags("money", "value_at_end")), *left)
    return land


def _after_harvest(run: Simulation, land: Land, harvested: BoolArray, cleared: BoolArray, year: int) -> Land:
    setting, plan = run.setting, run.setting.plan
    sell_breeding_herd(setting, year, np.where(harvested, land.stores.head / setting.terms.acres, 0.0))
    # what follows a stand that was found is a plan of its own: simulator.succession
    renewed = harvested & ~plan.standing
    again, first = renewed & (year < plan.horizon), year == plan.calendar.harvest_age
    before = setting.book.quantity[:, year].copy()
    establishment.book_planting(setting, year, renewed, cleared)
    establishment.book_treatments(setting, year, np.where(renewed, 0, -1))
    grass = turf.first_grass_again(setting, year, land.turf, renewed)
    setting.book.keep_replanting(year, before, noted=renewed & first, booked=again)
    return replace(
        land,
        stand=select(again, _new_stand(run), land.stand),
        turf=grass,
        stores=Stores(np.where(harvested, 0.0, land.stores.head), land.stores.hay_ton_ac),
        rakes=np.where(harvested, 0.0, land.rakes),
    )
