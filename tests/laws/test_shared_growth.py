"""Plans that share their first years are grown once until they part, and come out as if each had been grown alone."""

from itertools import product
from pathlib import Path

import numpy as np
import pytest

from plans import example
from simulator import load
from simulator.batch import grow
from simulator.candidates import taken
from simulator.parameters.prices import load_prices
from simulator.scenario.grass import Straw
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest, Pruning, Thinning
from simulator.shared_growth import grow_sharing, stages_of, years_grown
from standing import pines

EXAMPLES = Path(__file__).parents[2] / "examples"
CLOSE = 1e-6
"""Single-precision exponentials of the fast light path round by the size of a batch."""


def _named(name: str) -> Scenario:
    return load(EXAMPLES / f"{name}.toml")


def _plans(base: Scenario, first: tuple[int, ...], harvests: tuple[int, ...]) -> list[Scenario]:
    thinnings = [
        (Thinning(year=year, residual_trees_per_ac=left), Thinning(year=year + gap, residual_trees_per_ac=45.0))
        for year, left, gap in product(first, (70.0, 90.0), (5, 8))
    ]
    uses = [
        base.use.model_copy(update={"first_grazing_year": grazing, "hay_years": hay})
        for grazing, hay in ((4, (1, 3)), (7, (1, 5)), (None, (2, 6)), (5, None), (None, None))
    ]
    return [
        base.model_copy(update={"thinning": cuts, "use": use, "harvest": Harvest(year=harvest)})
        for cuts, use, harvest in product(thinnings, uses, harvests)
    ]


def _plain() -> list[Scenario]:
    return _plans(example(), (13, 17), (28, 33, 44))


def _with_straw_and_pruning() -> list[Scenario]:
    base = _named("single-rows-straw")
    lifts = (), (Pruning(year=6, height_ft=9.0), Pruning(year=9, height_ft=15.0))
    straws = Straw(), Straw(market=True, first_rake_year=9, interval_years=3, most_rakes=2)
    return [
        plan.model_copy(update={"pruning": lift, "straw": straw})
        for plan, lift, straw in product(_plans(base, (14,), (30,))[:4], lifts, straws)
    ]


def _standing() -> list[Scenario]:
    base = pines()
    cuts = [(Thinning(year=year, residual_trees_per_ac=left),) for year, left in product((0, 3, 6), (60.0, 80.0))]
    return [base.model_copy(update={"thinning": cut, "harvest": Harvest(year=15)}) for cut in cuts]


def _own_herd() -> list[Scenario]:
    return _plans(_named("own-herd"), (15,), (32,))


@pytest.mark.parametrize("plans", [_plain, _with_straw_and_pruning, _standing, _own_herd])
def test_sharing_years_changes_no_quantity(plans: object) -> None:
    """Every line of every year as when each plan is grown from its beginning."""
    members = plans()  # type: ignore[operator]
    prices = {name: load_prices(name, None) for name in {member.money.price_table for member in members}}
    alone, shared = grow(members, "fast", None, prices), grow_sharing(members, prices)
    for name in ("quantity", "replanting"):
        one, other = getattr(alone.setting.book, name), getattr(shared.setting.book, name)
        np.testing.assert_allclose(other, one, rtol=CLOSE, atol=CLOSE)
    for name, values in alone.history.column.items():
        np.testing.assert_allclose(shared.history.column[name], values, rtol=CLOSE, atol=CLOSE, err_msg=name)
    np.testing.assert_allclose(shared.history.wood_ton_ac, alone.history.wood_ton_ac, rtol=CLOSE, atol=CLOSE)


def test_stages_follow_one_another_and_leave_most_years_out() -> None:
    """No gap, no overlap, every plan with its own past at the end; far fewer years than plans times years."""
    members = _plain()
    stages = stages_of(members, 44)
    assert [stage.first for stage in stages] == [0, *(stage.last + 1 for stage in stages[:-1])]
    assert stages[-1].last == 44
    assert len(stages[-1].grown) == len(members)
    assert years_grown(stages) < 0.5 * len(members) * 45


def test_a_plan_let_go_shares_with_nobody() -> None:
    """What neglect leaves undone is not read from the dates of the file."""
    base = _named("let-go")
    members = [base, base.model_copy(update={"harvest": Harvest(year=base.harvest.year + 1)})]  # type: ignore[union-attr]
    assert len(stages_of(members, 40)[0].grown) == 2


def test_taking_candidates_reaches_every_array() -> None:
    """Nested states are taken along the first axis, plain numbers stay."""
    state = {"a": np.arange(3), "b": (np.eye(3), 2.0)}
    taken_state = taken(state, np.array([2, 0]))
    assert taken_state["a"].tolist() == [2, 0]  # type: ignore[union-attr]
    assert taken_state["b"][1] == 2.0  # type: ignore[index]
    with pytest.raises(TypeError, match="holds arrays only"):
        taken("text", np.array([0]))
