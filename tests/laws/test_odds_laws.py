"""What must hold of any draws of hazards: nothing drawn is the plan itself, same seed same bytes, shared strikes."""

from pathlib import Path

import numpy as np
import pytest

from drawing import SEED, drawn, no_strikes, only, portion, single, struck, system, terms
from optimize.risk import growth
from optimize.risk.draws import drawn_agenda
from optimize.risk.found import Asked
from optimize.risk.growth import Lives, grown, lives_of
from optimize.risk.lots import CHUNK, lots_between, lots_of
from optimize.risk.odds import odds_of
from optimize.risk.outlook import worth_later
from optimize.risk.portions import earned
from optimize.risk.summary import spread
from plans import changed, example, fast
from simulator.agenda import agenda_of
from simulator.interest import discount_factor
from simulator.parameters.odds import HAZARDS
from simulator.scenario.file import load
from simulator.scenario.model import Scenario
from simulator.scenario.risk import Risk
from simulator.simulation import Simulation
from simulator.units import FloatArray

EXAMPLES = Path(__file__).parents[2] / "examples"
SYSTEMS = ("silvopasture", "plantation", "pasture")
HORIZON = 40
NOTHING = terms(off=list(HAZARDS))


def horizon_worth(cash: FloatArray, sold: FloatArray) -> FloatArray:
    """Present value of the horizon with end values [$/ac]."""
    factor = discount_factor(0.05, np.arange(cash.shape[1]))
    return np.asarray((cash * factor).sum(axis=1) + sold * factor[-1])


def mean_worth(name: str, kind: str, times: float, draws: int = 60) -> float:
    result = drawn(name, only(kind, times={kind: times}), draws)
    return float(horizon_worth(result.cash, result.end.sold).mean())


@pytest.mark.parametrize("name", SYSTEMS)
def test_with_no_chance_of_anything_every_draw_is_the_plan_itself(name: str) -> None:
    plan, result, alone = fast(system(name)), drawn(name, NOTHING, 3), single(name, NOTHING)
    assert (result.cash == alone.cash[0]).all()
    assert (result.end.sold == alone.end.sold[0]).all()
    assert result.cash[0] == pytest.approx(plan.cash_per_ac, abs=1e-9)
    assert result.end.sold[0] == pytest.approx(plan.end_value_per_ac, abs=1e-9)
    assert not result.replanted.any()


@pytest.mark.parametrize("name", ["plantation", "pasture"])
def test_where_nothing_strikes_the_land_is_worth_what_compare_says(name: str) -> None:
    """The horizon and what follows it add up to the cycle that is repeated for ever.

    A silvopasture differs a little: inside the horizon its fence outlives the harvest, in the repeated cycle not.
    """
    alone, plan = single(name, NOTHING), fast(system(name))
    factor = discount_factor(0.05, np.arange(HORIZON + 1))
    worth = (alone.cash[0] * factor).sum() + worth_later(alone.end, alone.outlooks[0])[0] * factor[-1]
    assert worth == pytest.approx(plan.measures.land_expectation, abs=1e-6)


def test_a_stand_that_was_found_is_worth_what_compare_says_where_nothing_strikes() -> None:
    scenario = load(Path(__file__).parents[2] / "examples" / "standing-pines.toml")
    off = scenario.model_copy(update={"risk": Risk(off=HAZARDS)})  # type: ignore[arg-type]
    odds = odds_of(off, Asked(2, SEED))
    for name, found in odds.systems.items():
        assert found.untouched == pytest.approx(fast(found.plan).measures.equal_annual_income, abs=1e-6), name
        assert found.income == pytest.approx(found.untouched, abs=1e-6)


def test_same_seed_same_bytes_whatever_the_workers() -> None:
    few = example().model_copy(update={"risk": Risk(off=("ice", "wildfire", "hogs", "seedling loss"))})
    one, two = (odds_of(few, Asked(CHUNK + 20, SEED, prices=True, workers=workers)) for workers in (1, 2))
    other = odds_of(few, Asked(20, SEED + 1))
    for name in SYSTEMS:
        first, second = one.systems[name], two.systems[name]
        for field in ("income", "worth", "cash", "replanted", "largest_share"):
            assert getattr(first, field).tobytes() == getattr(second, field).tobytes(), (name, field)
        assert not (first.income[:20] == other.systems[name].income).all()
    assert one.alone == two.alone
    assert one.complete
    assert len(one.systems["pasture"].income) == CHUNK + 20


def test_fewer_draws_and_fewer_years_are_the_beginning_of_more() -> None:
    more, fewer = lots_between(SEED, 0, CHUNK + 10, 40), lots_between(SEED, 0, 30, 25)
    for much, little in zip(more, fewer, strict=True):
        assert (much[:25, ..., :30] == little).all()
    assert (lots_of(SEED, 1, 40).strikes[..., :10] == more.strikes[..., CHUNK:]).all()


@pytest.mark.parametrize(
    ("name", "kind"),
    [("plantation", "wind"), ("plantation", "wildfire"), ("silvopasture", "seedling loss"), ("pasture", "drought")],
)
def test_a_higher_probability_never_raises_the_mean(name: str, kind: str) -> None:
    """Strikes of a low probability strike at a higher one too, so the means do not even need luck."""
    worth = [mean_worth(name, kind, times) for times in (0.0, 1.0, 4.0)]
    assert worth[0] > worth[1] > worth[2]


@pytest.mark.parametrize("times", [1.0, 3.0])
def test_the_mean_of_the_draws_is_the_expectation_where_losses_add_up(times: float) -> None:
    """Grass let by the month brings money in a straight line of a year's growth; four standard errors.

    Hogs do not pass: sod that is torn up twice is torn up once.
    """
    by_month = changed(system("pasture"), "use", lease_basis="animal-unit month")
    how = only("drought", times={"drought": times})
    result = earned(portion(by_month, how, CHUNK))
    expected = earned(portion(by_month, how, 1)._replace(number=growth.SINGLE))
    mean = spread(horizon_worth(result.cash, result.end.sold))
    wanted = float(horizon_worth(expected.cash, expected.end.sold)[0])
    assert mean.error > 0
    assert abs(mean.mean - wanted) < 4 * mean.error
    untouched = earned(portion(by_month, NOTHING, 1))
    assert float(horizon_worth(untouched.cash, untouched.end.sold)[0]) > mean.mean


def test_systems_meet_the_same_storms_droughts_and_lots() -> None:
    lots, how = lots_between(SEED, 0, 50, HORIZON), terms()
    one, two = (drawn_agenda(agenda_of([system(name)] * 50), lots, how) for name in ("silvopasture", "plantation"))
    assert set(one.severity) == set(two.severity)
    assert {kind for kind, _ in one.severity} >= {"drought", "hogs", "seedling loss"}
    for key, severity in one.severity.items():
        assert (severity == two.severity[key]).all()
    assert set(one.chances.lot) == set(two.chances.lot)
    for key, lot in one.chances.lot.items():
        assert (lot == two.chances.lot[key]).all()
        assert (lot == lots.strikes[key[1] - 1, HAZARDS.index(key[0])]).all()


def test_growing_common_pasts_once_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    how = terms(times={"wildfire": 5.0, "wind": 3.0})
    shared = earned(portion(system("plantation"), how, 40))
    alone = [np.arange(40)] * (HORIZON + 1)
    monkeypatch.setattr(growth, "pasts_of", lambda *_: alone)
    each = earned(portion(system("plantation"), how, 40))
    assert shared.cash == pytest.approx(each.cash, abs=1e-5)
    assert (shared.replanted == each.replanted).all()
    assert shared.replanted.any()


def _lost(plan: Scenario, kind: str, year: int, spread_: float = 0.0) -> tuple[Simulation, Lives]:
    how = only(kind, severity_spread=spread_)
    lots = struck(no_strikes(HORIZON), kind, year)
    return grown(portion(plan, how, 1), plan, lots, 0), lives_of(portion(plan, how, 1), lots)


def test_a_stand_that_loses_most_of_its_trees_is_felled_and_planted_again() -> None:
    """A wildfire takes nearly all pines of three years; the next cycle runs its full length from there."""
    plan = system("plantation")
    simulation, lives = _lost(plan, "wildfire", 3)
    column = {name: values[0] for name, values in simulation.history.column.items()}
    assert plan.harvest is not None
    assert column["age"][3:6].tolist() == [3, 1, 2]
    assert column["trees_lost_to_events_per_ac"][3] > 0.9 * (column["trees_per_ac"][3])
    assert column["trees_cut_per_ac"][3] > 0
    assert column["trees_per_ac"][4] == pytest.approx(column["trees_per_ac"][1])
    last = 3 + plan.harvest.year
    assert column["trees_cut_per_ac"][last] == pytest.approx(column["trees_per_ac"][last])
    assert column["age"][last + 1] == 1
    book = simulation.setting.book
    assert book.of("seedlings")[0, 3] == pytest.approx(book.of("seedlings")[0, 0])
    # burnt seedlings need no logger and leave no slash
    assert book.of("logging_cleanup")[0, 3] == book.of("cutover_preparation")[0, 3] == 0
    assert [growth.early_cuts(simulation, last)[0] for last in (2, 3, HORIZON)] == [0, 1, 1]
    assert lives.early[0] == 1
    assert lives.age[0] == HORIZON - 3 - plan.harvest.year


def test_a_lost_stand_of_big_trees_is_sold_and_its_stumps_are_cleared() -> None:
    plan = system("plantation").model_copy(update={"risk": Risk(ruin_share=0.2)})
    how = only("wildfire", severity_spread=0.0, ruin_share=0.2)
    lots = struck(no_strikes(HORIZON), "wildfire", 28)
    simulation = grown(portion(plan, how, 1), plan, lots, 0)
    book, history = simulation.setting.book, simulation.history
    assert history.column["age"][0, 29] == 1
    assert history.wood_ton_ac[0, 28].sum() > 40
    assert book.of("cutover_preparation")[0, 28] > 0
    assert book.of("logging_cleanup")[0, 28] > 0
    # at a share that is never reached the plan goes on with what is left
    never = grown(portion(plan, only("wildfire", severity_spread=0.0, ruin_share=1.0), 1), plan, lots, 0)
    assert never.history.column["age"][0, 29] == 29


def test_a_stand_lost_after_a_found_one_was_cut_counts_as_lost() -> None:
    """The fire of year 20 meets the seedlings planted after the pines of the file, which are cut in year 17."""
    plan = load(EXAMPLES / "standing-pines.toml")
    how = only("wildfire", severity_spread=0.0)
    for year, times in ((None, 0), (20, 1)):
        lots = no_strikes(HORIZON) if year is None else struck(no_strikes(HORIZON), "wildfire", year)
        lives = lives_of(portion(plan, how, 1), lots)
        assert lives.early[0] == times
        assert lives.life[0] == growth.FOLLOWER
        assert lives.age[0] == HORIZON - (year or 17)


def test_what_the_file_says_strikes_in_every_draw() -> None:
    storm = {"year": 20, "kind": "wind", "severity": 1.0}
    plan = Scenario.model_validate(example().model_dump() | {"event": [storm]})
    hit = earned(portion(plan, NOTHING, 2))
    assert hit.cash[0] == pytest.approx(fast(plan).cash_per_ac, abs=1e-9)
    assert hit.cash[0, 20] != drawn("silvopasture", NOTHING, 3).cash[0, 20]


def test_a_hazard_that_cannot_matter_is_not_drawn() -> None:
    """Open land has no trees to lose, and the drought of grass that nobody uses costs nothing."""
    assert (drawn("pasture", only("wind", times={"wind": 50.0}), 5).cash == single("pasture", NOTHING).cash).all()
    idle = system("plantation")
    dry = Scenario.model_validate(idle.model_dump() | {"event": [{"year": 9, "kind": "drought"}]})
    assert fast(dry).cash_per_ac == pytest.approx(fast(idle).cash_per_ac, abs=1e-9)
