"""A field's own acres in searches: shared growth, sweeps, waiting, odds, a property, and light beyond the last row."""

from pathlib import Path

import numpy as np
import pytest

from drawing import only, portion
from optimize.property.file import load_property
from optimize.risk.portions import earned
from optimize.space import bases_of, plans_of
from optimize.sweeps.file import load_question
from optimize.sweeps.job import job_of
from optimize.waiting.answer import Draw, answer
from plans import changed, example, fast, laid_out, plantation
from simulator.batch import grow, plan_of, tables_of
from simulator.engine import continued, prepared, started
from simulator.events.light import crowns_at_mid_year
from simulator.parameters.prices import load_prices
from simulator.physics.light import Cell, OverRows, RowCrowns, light_profile
from simulator.result import run_batch
from simulator.scenario.ground import Ground
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest, Thinning
from simulator.shared_growth import grow_sharing
from simulator.units import FloatArray
from standing import pines
from sweeping import factors_text, written
from workbench.examples import example_text

GROUND = "\n[land.ground]\nalley_ac = 26.1\ntree_strip_ac = 9.2\nheadland_ac = 3.1\nunusable_ac = 1.6\n"
EDGE = """
[[factor]]
field = "land.ground.edge_row_share"
values = [0.0, 0.1, 0.3]
"""
RATE = """
[[factor]]
field = "money.discount_rate"
values = [0.04, 0.06]
"""


def field(plan: Scenario, headland: float, unusable: float, edge: float) -> Scenario:
    """The plan on a field with such shares of headlands, idle ground and outermost rows."""
    acres = plan.land.acres
    parts = {"headland_ac": headland * acres, "unusable_ac": unusable * acres, "edge_row_share": edge}
    ground = Ground(alley_ac=acres * (1.0 - headland - unusable), tree_strip_ac=0.0, **parts)
    return changed(plan, "land", ground=ground)


def test_plans_on_different_fields_share_no_growth() -> None:
    cuts = [(Thinning(year=year, residual_trees_per_ac=90.0),) for year in (14, 17)]
    single = laid_out(example(), alley_ft=14.0)  # so close that an outermost row differs from the others
    plans = [
        field(single, headland, 0.04, edge).model_copy(update={"thinning": cut, "harvest": Harvest(year=30)})
        for headland, edge in ((0.0, 0.0), (0.1, 0.0), (0.1, 0.2), (0.3, 0.2))
        for cut in cuts
    ]
    prices = {"demo-2025": load_prices("demo-2025", None)}
    together, apart = grow_sharing(plans, prices), grow(plans, "fast", None, prices)
    ours, theirs = together.setting.book.quantity, apart.setting.book.quantity
    np.testing.assert_allclose(ours, theirs, rtol=1e-5, atol=1e-5)
    for name, column in apart.history.column.items():
        np.testing.assert_allclose(together.history.column[name], column, rtol=1e-5, atol=1e-5, err_msg=name)
    assert len({round(float(row.sum()), 3) for row in ours}) == len(plans)


def test_a_sweep_grows_every_field_anew(tmp_path: Path) -> None:
    files = written(tmp_path, factors_text(EDGE, RATE), example_text() + GROUND)
    job = job_of(load_question(*files))
    assert (job.physical, job.monetary) == ((0,), (1,))


def test_trees_alone_planted_wider_keep_the_length_of_their_edge() -> None:
    base = bases_of(field(example(), 0.08, 0.04, 0.09))["plantation"]
    plans, _, _ = plans_of("plantation", base, base)
    feet = {
        round(plan.land.ground.edge_row_share / plan.trees.layout.alley_ft, 9)
        for plan in plans
        if plan.land.ground is not None and plan.trees is not None
    }
    assert len(feet) == 1
    assert len({plan.trees.layout.alley_ft for plan in plans if plan.trees is not None}) == 3


def test_a_part_of_a_farm_is_the_same_field_smaller(tmp_path: Path) -> None:
    (tmp_path / "field.toml").write_text(example_text() + GROUND, encoding="utf-8")
    tracts = "".join(
        f'[[tract]]\nname = "{name}"\nscenario = "field.toml"\nacres = {acres}\n'
        for name, acres in (("north", 20), ("south", 60))
    )
    (tmp_path / "farm.toml").write_text(f'format = 1\ntitle = "Farm"\n{tracts}', encoding="utf-8")
    farm = load_property(tmp_path / "farm.toml")
    for tract, acres in zip(farm.tracts, (20.0, 60.0), strict=True):
        ground = tract.scenario.land.ground
        assert ground is not None
        assert ground.total_ac == pytest.approx(acres)
        assert ground.headland_ac / acres == pytest.approx(3.1 / 40.0)


def test_waiting_is_worth_its_share_of_the_field() -> None:
    """Stumpage and grass go with the acres that bear them; only dues of the whole field do not shrink."""
    plan = changed(changed(pines(), "land", acres=4000.0), "money", prices={"tax_and_administration": 0.0})
    whole, holed = (answer(each, 2, Draw(100, 1)) for each in (plan, field(plan, 0.0, 0.2, 0.0)))
    assert holed.best_wait == whole.best_wait
    for ours, theirs in zip(holed.thinned, whole.thinned, strict=True):
        assert ours.present_value == pytest.approx(0.8 * theirs.present_value, rel=1e-6)
    # how likely beetles are hangs on the stand among the rows, not on its mean over the pond
    np.testing.assert_allclose(holed.unthinned.value, 0.8 * whole.unthinned.value, rtol=1e-6)
    np.testing.assert_allclose(holed.unthinned.likely_loss, 0.8 * whole.unthinned.likely_loss, rtol=1e-6, atol=1e-9)


def test_hazards_strike_the_stand_among_the_rows() -> None:
    """Beetles come to a crowded stand; a pond in the field thins no stand."""
    how = only("beetles", times={"beetles": 20.0})
    plan = changed(plantation(example()), "land", acres=4000.0)
    whole, holed = (earned(portion(each, how, 20)) for each in (plan, field(plan, 0.0, 0.2, 0.0)))
    lost, ours = (each.cash.sum(axis=1) for each in (whole, holed))
    dues = 6.0 * 0.2 * (whole.cash.shape[1] - 1)
    np.testing.assert_allclose(ours, 0.8 * lost - dues, rtol=1e-6, atol=1e-6)


def test_many_fields_in_one_batch_are_as_single_runs() -> None:
    plans = [field(example(), headland, 0.05, 2.0 * headland) for headland in (0.0, 0.05, 0.2)]
    for plan, together in zip(plans, run_batch(plans), strict=True):
        assert together.measures.npv == pytest.approx(fast(plan).measures.npv, abs=0.02)


# Light beyond the last row -----------------------------------------------------------------------------------------


def _shade(plan: Scenario, year: int, sets: int, open_ft: float) -> tuple[float, float]:
    """Shade of a field of some sets with open ground beyond: as it falls, and as an endless pattern would have it."""
    numbers, prices = tables_of([plan]), {plan.money.price_table: load_prices(plan.money.price_table, None)}
    laid = plan_of([plan], numbers, "exact", prices)
    run = prepared(laid, numbers, "exact", laid.last_year)
    before = continued(run, started(run), 1, year - 1)
    after = continued(run, before, year, year)
    geometry = laid.geometry
    crowns = crowns_at_mid_year(before.stand, after.stand, geometry, numbers.tree, numbers.tree.crown.warm_share)
    width = float(geometry.cell_ft[0])

    def light(rows: RowCrowns, cell_ft: float) -> FloatArray:
        points = (np.arange(int(cell_ft)) + 0.5)[None, :]
        cell = Cell(width_ft=np.array([cell_ft]), in_row_ft=geometry.in_row_ft)
        sky = OverRows(run.skies[0].warm, run.skies[0].azimuth_deg)
        return light_profile(rows, cell, points, sky, numbers.light, precision="exact")[0]

    tiled = RowCrowns(
        *(
            np.concatenate([values + (k * width if name == "offset_ft" else 0.0) for k in range(sets)], axis=1)
            for name, values in zip(RowCrowns._fields, crowns, strict=True)
        )
    )
    real = (1.0 - light(tiled, sets * width + open_ft)).sum()
    return float(real), float((1.0 - light(crowns, width)).sum() * sets)


@pytest.mark.parametrize("year", [10, 16, 30])
def test_the_shade_left_out_beyond_the_last_row_is_small(year: int) -> None:
    """Oracle: ten sets of rows with 600 ft of open ground beyond, lit as they stand, against an endless pattern.

    What outermost rows throw on the headland, rows that are not there do not throw between the rows: the two nearly
    cancel, and the field as a whole is at most so much too light.
    """
    real, endless = _shade(example(), year, 10, 600.0)
    assert 0.0 <= real / endless - 1.0 < 0.03
