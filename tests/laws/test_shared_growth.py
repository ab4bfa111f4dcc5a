"""Plans that share their first years are grown once until they part, and come out as if each had been grown alone."""

from itertools import product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans import changed, example
from simulator import load, shared_growth
from simulator.batch import grow
from simulator.candidates import taken
from simulator.geometry import rows_of_cell
from simulator.parameters.prices import load_prices
from simulator.scenario.events import Event, Fertiliser, Fire
from simulator.scenario.grass import Straw, Switch
from simulator.scenario.model import Scenario
from simulator.scenario.owner import Herbicide
from simulator.scenario.trees import Harvest, Pruning, Thinning
from simulator.shared_growth import grow_sharing, stages_of, years_grown
from standing import pines

EXAMPLES = Path(__file__).parents[2] / "examples"
CLOSE = 1e-12
"""Sums of one year's work are added in the order of those who share it."""


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
    _same_as_alone(plans())  # type: ignore[operator]


def _same_as_alone(members: list[Scenario]) -> None:
    prices = {name: load_prices(name, None) for name in {member.money.price_table for member in members}}
    alone, shared = grow(members, "fast", None, prices), grow_sharing(members, prices)
    for name in ("quantity", "replanting"):
        one, other = getattr(alone.setting.book, name), getattr(shared.setting.book, name)
        np.testing.assert_allclose(other, one, rtol=CLOSE, atol=CLOSE)
    for name, values in alone.history.column.items():
        np.testing.assert_allclose(shared.history.column[name], values, rtol=CLOSE, atol=CLOSE, err_msg=name)
    np.testing.assert_allclose(shared.history.wood_ton_ac, alone.history.wood_ton_ac, rtol=CLOSE, atol=CLOSE)


EVENTS = (
    Event(year=9, kind="ice"),
    Event(year=13, kind="drought", drought_response="destock"),
    Event(year=19, kind="wind"),
)
FED = (Fertiliser(year=8, nitrogen_lb_ac=100.0, phosphorus_lb_ac=25.0), Fertiliser(year=17, nitrogen_lb_ac=200.0))
SPRAYED = (Herbicide(year=6, product_class="triclopyr", ground="grass"),)
FEATURES = {
    "north-field": {},
    "own herd boarded": {"use": {"displaced_herd": "rented pasture", "hay_use": "fed"}},
    "own herd in bad years": {"event": EVENTS},
    "overseeded": {"pasture": {"overseeded": "ryegrass", "overseeded_from_year": 3}},
    "another grass by light": {"pasture": {"switch": Switch(grass="tall-fescue", below_light=0.6)}},
    "another grass by year": {"pasture": {"switch": Switch(grass="tall-fescue", year=7)}},
    "no bid on pulpwood": {"market": {"pulpwood_bid": False, "give_up_years": 4}},
    "far from the mill": {"land": {"acres": 12.0}, "sale": {"pricing": "delivered", "haul_miles": 90.0}},
    "fed, sprayed and burnt": {"fertiliser": FED, "herbicide": SPRAYED, "fire": Fire(first_year=10, interval_years=3)},
    "standing pines": {},
    "standing pines without a bid": {"market": {"pulpwood_bid": False}, "event": EVENTS},
}


def _featured(feature: str) -> Scenario:
    start = {"own": "own-herd", "sta": "standing-pines"}.get(feature[:3], "north-field")
    plan = changed(_named(start), "money", horizon_years=30)
    for part, said in FEATURES[feature].items():
        plan = changed(plan, part, **said) if isinstance(said, dict) else plan.model_copy(update={part: said})
    return plan


def _choices(base: Scenario) -> st.SearchStrategy[Scenario]:
    """Plans of one piece of land whose decisions are drawn from few values, so that many share their first years."""
    early = 0 if base.stand else 11
    cut = st.builds(
        Thinning,
        year=st.sampled_from((early, early + 3)),
        method=st.sampled_from(("from below", "marked", "rows then below")),
        residual_trees_per_ac=st.sampled_from((90.0, 130.0)),
    )
    later = st.builds(Thinning, year=st.sampled_from((early + 5, early + 7)), residual_basal_area_ft2_ac=st.just(45.0))
    uses = st.sampled_from(
        [(4, (1, 3)), (7, (1, 5)), (7, (2, 3)), (13, (1, 12)), (5, None), (None, (2, 6)), (None, None)]
    )
    straw = st.builds(
        Straw,
        market=st.booleans(),
        first_rake_year=st.sampled_from((8, 10)),
        interval_years=st.sampled_from((1, 3)),
        temporary_fence=st.booleans(),
    )
    lifts = ((), (Pruning(year=6, height_ft=9.0),), (Pruning(year=6, height_ft=9.0), Pruning(year=9, height_ft=15.0)))

    def plan(
        first: Thinning | None, second: Thinning | None, harvest: int, use: object, rakes: Straw, lift: object
    ) -> Scenario:
        grazing, hay = use  # type: ignore[misc]
        decided = {
            "thinning": tuple(each for each in (first, second) if each is not None),
            "harvest": Harvest(year=harvest),
            "use": base.use.model_copy(update={"first_grazing_year": grazing, "hay_years": hay}),
            "straw": rakes,
            "pruning": () if base.stand else lift,
        }
        return base.model_copy(update=decided)

    harvests = st.sampled_from((early + 9, early + 10, early + 13))
    return st.builds(
        plan, st.none() | cut, st.none() | later, harvests, uses, st.just(Straw()) | straw, st.sampled_from(lifts)
    )


PARTS = ("thinning", "harvest", "use", "straw", "pruning")


@pytest.mark.parametrize("feature", FEATURES)
@given(data=st.data())
@settings(max_examples=2)
def test_whatever_plans_decide_sharing_changes_no_quantity(feature: str, data: st.DataObject) -> None:
    """Law: nothing is read of a decision before its year but what `_known_ahead` names; stages cost nothing here."""
    base = _featured(feature)
    one, other = (data.draw(_choices(base)) for _ in range(2))
    idle = base.use.model_copy(update={"first_grazing_year": None, "hay_years": None})
    mixed = [one.model_copy(update={part: getattr(other, part)}) for part in PARTS]
    unused = [plan.model_copy(update={"use": idle}) for plan in (one, other)]
    uncut = [plan.model_copy(update={"thinning": plan.thinning[1:]}) for plan in (one, other)]
    cells: dict[int, list[Scenario]] = {}
    for plan in (one, other, *mixed, *unused, *uncut):
        cells.setdefault(rows_of_cell(plan), []).append(plan)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(shared_growth, "STAGE_COST", 0)
        for members in cells.values():
            _same_as_alone(members)


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
