"""Laws of bucking that hold for every stem, every market and every defect."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans import compared
from simulator.enterprises.bucked_stem import Prices, Tree, bucked_stem
from simulator.enterprises.bucking import CUT_PRODUCTS, Felled, Market, buck, cut_from, felled_stems, tons_of
from simulator.enterprises.defects import Defect, barred_stretches
from simulator.enterprises.last_log import Standing, harvest_yield
from simulator.enterprises.pole_table import PolePrices, best_pole_cut, pole_classes
from simulator.enterprises.poles import best_pole
from simulator.enterprises.products import PRODUCTS, merchantable_ton
from simulator.enterprises.scaling import log_lengths_ft
from simulator.enterprises.stems import diameter_inside_bark_in, diameter_outside_bark_in, measured_stems
from simulator.enterprises.wood_quality import juvenile_share, pruned_wood
from simulator.harvest_logs import harvest_logs, harvest_values
from simulator.parameters.bucking import DEFECT_KINDS, CutSpecs, load_bucking
from simulator.parameters.wood import load_wood
from simulator.physics.stem import volume_inside_bark_ft3

WOOD = load_wood("loblolly", natural=False)
RULES = load_bucking(WOOD.specs)
FREE = RULES._replace(work=RULES.work._replace(cut_cost=0.0))
SIZE = st.tuples(st.floats(5.0, 25.0), st.floats(3.5, 8.0)).map(lambda size: (size[0], min(size[0] * size[1], 130.0)))
SPECS = st.sampled_from([RULES.tree_length, RULES.cut_to_length])
PRICE = st.floats(0.0, 60.0)
PRICES = st.fixed_dictionaries(dict.fromkeys(CUT_PRODUCTS, PRICE))
DEFECT = st.builds(Defect, st.sampled_from(DEFECT_KINDS), st.floats(0.0, 100.0))
DEFECTS = st.lists(DEFECT, max_size=3)


def worth(felled: Felled, market: Market, defects: list[Defect], way: str = "best") -> float:
    return float(buck(felled, market, defects, way).cuts.value[0, 0])


@given(SIZE, SPECS, PRICES, DEFECTS)
def test_best_is_never_worth_less_than_the_fixed_order(
    size: tuple[float, float], specs: CutSpecs, prices: dict[str, float], defects: list[Defect]
) -> None:
    felled, market = felled_stems(*size, WOOD, RULES), Market(specs, prices, RULES)
    best, order = (buck(felled, market, defects, way).cuts.value[0] for way in ("best", "priority"))
    assert np.all(best >= order - 1e-9)
    assert best[0] >= 0.0


@given(SIZE, PRICE)
def test_at_one_price_and_without_trim_all_the_wood_is_sold(size: tuple[float, float], price: float) -> None:
    """With one price the best is the whole merchantable stem, known without searching; so is the fixed order's.

    Only a top too short for a piece of pulpwood keeps the fixed order from it.
    """
    felled = felled_stems(*size, WOOD, RULES)
    market = Market(RULES.tree_length, dict.fromkeys(CUT_PRODUCTS, price), FREE)
    stems, spec = measured_stems(*size, WOOD.stem), RULES.tree_length.pulpwood
    good = np.flatnonzero(diameter_outside_bark_in(felled.height_ft, stems) >= spec.minimum_top_in)
    top = int(good.max(initial=0)) if felled.height_ft[good.max(initial=0)] >= spec.minimum_length_ft + 0.5 else 0
    whole = price * float(felled.ton_below[0, top] - felled.ton_below[0, 0])
    assert worth(felled, market, []) == pytest.approx(whole, abs=1e-9)
    order = buck(felled, market, [], "priority")
    here, _ = cut_from(order)
    reached = int(np.where(here[0], order.cuts.end[0], 0).max())
    if reached == top:
        assert order.cuts.value[0, 0] == pytest.approx(whole, abs=1e-9)
    else:
        assert felled.height_ft[top] - felled.height_ft[reached] < spec.minimum_length_ft


@given(SIZE, SPECS, PRICES, DEFECTS, st.sampled_from(CUT_PRODUCTS), st.floats(0.01, 30.0))
def test_a_dearer_product_is_never_cut_less(
    size: tuple[float, float],
    specs: CutSpecs,
    prices: dict[str, float],
    defects: list[Defect],
    product: str,
    more: float,
) -> None:
    felled, place = felled_stems(*size, WOOD, RULES), PRODUCTS.index(product)
    dearer = prices | {product: prices[product] + more}
    before, after = (tons_of(buck(felled, Market(specs, at, RULES), defects))[0, place] for at in (prices, dearer))
    assert after >= before - 1e-9 / more


@given(SIZE, SPECS, PRICES, DEFECTS, DEFECT)
def test_one_defect_more_never_raises_the_value(
    size: tuple[float, float], specs: CutSpecs, prices: dict[str, float], defects: list[Defect], one_more: Defect
) -> None:
    felled, market = felled_stems(*size, WOOD, RULES), Market(specs, prices, RULES)
    assert worth(felled, market, [*defects, one_more]) <= worth(felled, market, defects) + 1e-9


@given(SIZE, PRICES, st.sampled_from(["fork", "broken_top", "large_knots"]), st.floats(0.0, 60.0), st.floats(0.0, 30.0))
def test_a_fault_that_begins_higher_never_costs_more(
    size: tuple[float, float], prices: dict[str, float], kind: str, low: float, up: float
) -> None:
    felled, market = felled_stems(*size, WOOD, RULES), Market(RULES.tree_length, prices, RULES)
    assert worth(felled, market, [Defect(kind, low)]) <= worth(felled, market, [Defect(kind, low + up)]) + 1e-9


@given(SIZE, SPECS, PRICES, DEFECTS, st.sampled_from(["best", "priority"]))
def test_every_piece_is_one_that_may_be_sold(
    size: tuple[float, float], specs: CutSpecs, prices: dict[str, float], defects: list[Defect], way: str
) -> None:
    felled = felled_stems(*size, WOOD, RULES)
    bucked = buck(felled, Market(specs, prices, RULES), defects, way)
    stems, (here, ton) = measured_stems(*size, WOOD.stem), cut_from(bucked)
    below, paid = felled.height_ft[0], 0.0
    for node in np.flatnonzero(here[0]):
        product = CUT_PRODUCTS[bucked.cuts.product[0, node]]
        low, high = felled.height_ft[node], felled.height_ft[bucked.cuts.end[0, node]]
        spec = getattr(specs, product)
        assert low >= below, "pieces overlap"
        length, wide = high - low - spec.trim_ft, diameter_inside_bark_in if spec.inside_bark else None
        top = float((wide or diameter_outside_bark_in)(high, stems))
        assert size[0] >= spec.minimum_dbh_in
        assert top >= spec.minimum_top_in - 1e-3
        assert spec.minimum_length_ft <= length <= spec.maximum_length_ft
        assert spec.length_multiple_ft == 0.0 or length % spec.length_multiple_ft == 0.0
        for stretch in barred_stretches(PRODUCTS.index(product), defects, RULES.defects):
            assert high <= stretch.from_ft + 1e-6 or low >= stretch.to_ft - 1e-6
        below, paid = high, paid + prices[product] * ton[0, node] - RULES.work.cut_cost
    assert paid == pytest.approx(bucked.cuts.value[0, 0], abs=1e-9)
    assert tons_of(bucked).sum() <= float(merchantable_ton(*size, WOOD)) + 1e-9


@settings(max_examples=40)  # each example searches many stems
@given(st.lists(SIZE, min_size=2, max_size=4), SPECS, PRICES, DEFECTS)
def test_many_trees_are_each_tree(
    sizes: list[tuple[float, float]], specs: CutSpecs, prices: dict[str, float], defects: list[Defect]
) -> None:
    market = Market(specs, prices, RULES)
    many = felled_stems(*np.array(sizes).T, WOOD, RULES)
    for way in ("best", "priority"):
        together = buck(many, market, defects, way).cuts.value[:, 0]
        alone = [worth(felled_stems(*size, WOOD, RULES), market, defects, way) for size in sizes]
        np.testing.assert_allclose(together, alone, atol=1e-9)


def test_the_fixed_order_cuts_a_fault_out_of_the_butt() -> None:
    prices = {"sawtimber": 27.0, "chip_and_saw": 18.0, "pulpwood": 8.0}
    felled = felled_stems(14.0, 75.0, WOOD, RULES)
    bucked = buck(felled, Market(RULES.tree_length, prices, RULES), [Defect("canker", 3.0)], "priority")
    here, _ = cut_from(bucked)
    first = int(np.flatnonzero(here[0])[0])
    assert (felled.height_ft[first], CUT_PRODUCTS[bucked.cuts.product[0, first]]) == (5.0, "sawtimber")


@given(SIZE)
def test_the_longest_pole_is_the_same_whoever_looks(size: tuple[float, float]) -> None:
    stems = measured_stems(np.array([size[0]]), size[1], WOOD.stem)
    classes, pole = pole_classes(stems, WOOD.specs)[0], best_pole(*size, WOOD)
    made = [(length, number) for length, number in zip(WOOD.specs.poles.length_ft, classes, strict=True) if number]
    assert (made[-1] if made else None) == (pole and (pole.length_ft, pole.number))
    assert np.all(np.diff([number for _, number in made]) >= 0), "a shorter pole is of no worse class"


@given(SIZE, PRICES, PRICE, st.integers(1, 7), st.floats(0.0, 60.0), DEFECTS)
def test_poles_pay_or_are_not_cut(
    size: tuple[float, float],
    prices: dict[str, float],
    pole: float,
    number: int,
    premium: float,
    defects: list[Defect],
) -> None:
    bucked = buck(felled_stems(*size, WOOD, RULES), Market(RULES.tree_length, prices, RULES), defects)
    plain, graded = (
        best_pole_cut(bucked, WOOD.specs, PolePrices(pole, by_class, {}), RULES, defects)
        for by_class in ({}, {number: pole + premium})
    )
    assert bucked.cuts.value[0, 0] - 1e-9 <= plain.value[0] <= graded.value[0] + 1e-9
    if plain.top_node[0]:
        assert not any(defect.at_ft < plain.length_ft[0] for defect in defects if defect.kind == "fork")


def test_a_dear_class_is_worth_a_shorter_pole() -> None:
    felled = felled_stems(14.0, 75.0, WOOD, RULES)
    bucked = buck(felled, Market(RULES.tree_length, dict.fromkeys(CUT_PRODUCTS, 8.0), RULES))
    long, short = (
        best_pole_cut(bucked, WOOD.specs, PolePrices(42.0, by_class, {}), RULES) for by_class in ({}, {4: 60.0})
    )
    assert (long.length_ft[0], long.number[0]) == (55.0, 6)
    assert (short.length_ft[0], short.number[0]) == (45.0, 4)


@pytest.mark.parametrize(("fork_ft", "length_ft"), [(80.0, 55.0), (41.0, 40.0), (40.9, 35.0), (35.9, 0.0)])
def test_a_pole_with_its_trim_ends_below_the_fork(fork_ft: float, length_ft: float) -> None:
    felled, fork = felled_stems(14.0, 75.0, WOOD, RULES), [Defect("fork", fork_ft)]
    bucked = buck(felled, Market(RULES.tree_length, dict.fromkeys(CUT_PRODUCTS, 1.0), RULES), fork)
    assert best_pole_cut(bucked, WOOD.specs, PolePrices(42.0, {}, {}), RULES, fork).length_ft[0] == length_ft


@settings(max_examples=40)  # each example searches many stems
@given(st.lists(SIZE, min_size=1, max_size=4), PRICES, st.floats(0.0, 1.0))
def test_failing_stems_of_a_harvest_split_in_halves(
    sizes: list[tuple[float, float]], prices: dict[str, float], grade: float
) -> None:
    dbh, height = np.array(sizes).T
    every = np.ones(len(dbh))
    found = harvest_yield(Standing(dbh, height, every, grade * every, 0.0 * every), WOOD, prices | {"pole": 99.0}).ton
    felled = felled_stems(dbh, height, WOOD, RULES)
    good, second, last = (
        tons_of(buck(felled, Market(RULES.tree_length, {name: prices[name] for name in sold}, RULES)))
        for sold in (CUT_PRODUCTS, ("chip_and_saw", "pulpwood"), ("pulpwood",))
    )
    np.testing.assert_allclose(found, grade * good + 0.5 * (1.0 - grade) * (second + last), atol=1e-12)


def test_only_stems_that_pass_twice_are_sold_as_poles() -> None:
    """A stem that fails as sawtimber makes no pole, however many are said to pass as poles."""
    size = np.array([14.0]), np.array([75.0]), np.array([1.0])
    prices = {"sawtimber": 27.0, "chip_and_saw": 18.0, "pulpwood": 8.0, "pole": 42.0}
    all_pass, half, none = (
        harvest_yield(Standing(*size, np.array([grade]), np.array([0.6])), WOOD, prices).pieces[0, 3]
        for grade in (1.0, 0.5, 0.0)
    )
    assert (all_pass, half, none) == (0.6, 0.5, 0.0)


@given(st.floats(0.0, 120.0))
def test_scaled_logs_never_exceed_the_piece(length: float) -> None:
    logs = log_lengths_ft(length, RULES.scaling)
    assert sum(logs) <= length
    assert all(log >= RULES.scaling.least_log_ft for log in logs)
    assert length < RULES.scaling.least_log_ft or logs


@given(SIZE, st.floats(0.05, 1.0), st.floats(0.1, 1.0), st.floats(0.1, 1.0))
def test_clear_wood_and_juvenile_core_lie_within_the_stem(
    size: tuple[float, float], pruned: float, then: float, earlier: float
) -> None:
    dbh, height = size
    clear = pruned_wood(size, pruned * height, then * dbh, WOOD, RULES.occlusion)
    assert 0.0 <= clear.share <= 1.0
    assert 0.0 <= clear.volume_ft3 <= volume_inside_bark_ft3(dbh, height, WOOD.stem)
    sooner = pruned_wood(size, pruned * height, earlier * then * dbh, WOOD, RULES.occlusion)
    assert sooner.volume_ft3 >= clear.volume_ft3, "pruned thinner, more clear wood"
    assert juvenile_share(dbh, height, then * dbh, WOOD) == pytest.approx(then**2)


def test_the_last_log_sells_the_trees_of_the_ledger() -> None:
    for outcome in compared().systems.values():
        logs = harvest_logs(outcome)
        values = harvest_values(outcome, logs)
        if outcome.scenario.trees is None:
            assert logs.empty
            assert values.empty
            continue
        assert outcome.scenario.harvest is not None
        year = outcome.scenario.harvest.year
        assert values["year"].tolist() == [year]
        by_product = logs.groupby("product")["priority_ton_per_ac"].sum()
        sold = dict(zip(("pulpwood", "chip_and_saw", "sawtimber", "pole"), outcome.wood_ton_ac[year], strict=True))
        assert by_product.to_dict() == pytest.approx({name: ton for name, ton in sold.items() if ton > 0.0})
        assert values["ledger_value_per_ac"][0] == pytest.approx(logs["priority_value_per_ac"].sum())
        # the half-foot grid may lose what a cut between two nodes would still sell
        assert logs["value_per_ac"].sum() >= 0.997 * values["ledger_value_per_ac"][0]
        assert logs["ton_per_ac"].sum() <= outcome.states["standing_ton_ac"][year] + 1e-9
        trees = logs.groupby(["dbh_class_in"])["trees_per_ac"].first().sum()
        assert trees == pytest.approx(outcome.states["trees_cut_per_ac"][year])


def test_the_fixed_order_is_hardest_on_small_sawtimber() -> None:
    """What docs/method.md says of the packaged example."""
    lost = {}
    for name in ("silvopasture", "plantation"):
        outcome = compared().systems[name]
        values = harvest_values(outcome, harvest_logs(outcome)).iloc[0]
        lost[name] = values["difference_per_ac"] / values["best_value_per_ac"]
    assert 0.0 < lost["silvopasture"] < 0.01
    assert 0.02 < lost["plantation"] < 0.04


def test_a_sound_stem_has_no_pole_among_its_best_where_poles_bring_nothing() -> None:
    prices = {"sawtimber": 27.0, "chip_and_saw": 18.0, "pulpwood": 8.0}
    cut = bucked_stem(Tree(14.0, 75.0, WOOD), Prices(prices, prices, PolePrices(0.0, {}, {})))
    assert cut.with_pole is None
