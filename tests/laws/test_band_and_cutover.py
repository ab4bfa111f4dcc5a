"""Laws of the band and of land without a sward: each system moves by its own numbers, and pays for its own start."""

import pytest

from plans import changed, example, fast, grown_fast, pasture, plantation, used
from simulator import band
from simulator.errors import InputError
from simulator.parameters.ranges import ranges_of
from simulator.result import Outcome
from simulator.scenario.file import load_text
from simulator.scenario.grass import Straw
from simulator.scenario.model import Baseline, Scenario
from workbench.examples import example_text


def booked(outcome: Outcome, key: str) -> float:
    lines = [line.key for line in outcome.flows.lines]
    return float(outcome.flows.quantity[:, lines.index(key)].sum())


def test_pasture_with_other_animals_than_the_plan_is_moved_by_its_own_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    grazed = {"use": {"animals": "cattle", "first_grazing_year": 1}}
    plan = used(example(), animals="none").model_copy(update={"baseline": Baseline(pasture=grazed)})
    wanted = {("tree", "diameter", "lateral_reach"), ("animals", "herd", "weaned_share")}
    monkeypatch.setattr(band, "ranges_of", lambda *of: [each for each in ranges_of(*of) if each.path in wanted])
    found = band.income_band(plan)
    swings = {swing.name: swing for swing in found.swings}
    reach, weaned = swings["tree.diameter.lateral_reach"], swings["animals.herd.weaned_share"]
    assert reach.width("silvopasture") > 0.1
    assert reach.at_low["pasture"] == reach.at_high["pasture"] == found.income["pasture"]
    assert weaned.width("pasture") > 0.1
    assert weaned.width("silvopasture") == 0.0


def test_the_band_moves_prices_in_force_and_no_uncharged_wage(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(band, "ranges_of", lambda *_: [])
    found = band.income_band(changed(example(), "money", prices={"sawtimber": 90.0}, pay_labour=False))
    swings = {swing.name: swing for swing in found.swings}
    assert "wage" not in swings
    assert swings["sawtimber"].low == pytest.approx(90.0 * 20.0 / 27.0)
    for swing in swings.values():
        assert swing.low <= swing.value <= swing.high


def test_cutover_land_has_neither_sward_nor_herd() -> None:
    cleared = changed(changed(example(), "land", former_use="cutover"), "pasture", established=False)
    cleared = changed(cleared, "use", tenure="owned")
    for outcome in grown_fast(cleared, plantation(cleared)):
        assert booked(outcome, "displaced_herd") == 0.0
    trees_only = used(changed(example(), "land", former_use="cutover"), animals="none")
    grass = fast(pasture(trees_only))
    assert booked(grass, "sward_establishment") == booked(grass, "land_clearing") == 1.0


def test_open_pasture_is_sown_once_and_not_in_every_cycle() -> None:
    sown = fast(pasture(changed(example(), "pasture", established=False)))
    lines = [line.key for line in sown.flows.lines]
    column = sown.flows.cycle_quantity[:, lines.index("sward_establishment")]
    assert column[0] == 1.0
    assert column.sum() == 0.0


@pytest.mark.parametrize("plan", [plantation(example()), example()], ids=["never grazed", "grazed later"])
def test_a_straw_fence_is_paid_only_where_animals_graze(plan: Scenario) -> None:
    straw = Straw(market=True, first_rake_year=8, temporary_fence=True)
    outcome = fast(changed(plan.model_copy(update={"straw": straw}), "use", first_grazing_year=None))
    assert outcome.states["straw_bales_ac"].sum() > 0.0
    assert booked(outcome, "straw_fence") == 0.0


@pytest.mark.parametrize("price", ["1e308", "2e6"])
def test_a_price_beyond_reason_is_the_persons_slip(price: str) -> None:
    text = example_text().replace("# calf = 2.10 ", f"calf = {price} ")
    assert text != example_text()
    with pytest.raises(InputError, match="must not be above"):
        load_text(text, "slip.toml")
