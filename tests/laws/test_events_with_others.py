"""Storms, missing bids and neglect where they meet nut trees, flocks, lump sums, seed and the owner's other work."""

import numpy as np
import pytest

from plans import changed, example, fast, grown_fast
from simulator.findings import warnings_of
from simulator.harvest_logs import harvest_logs, harvest_values
from simulator.result import Outcome, run
from simulator.scenario.events import Event, Market, Neglect
from simulator.scenario.file import load_text
from simulator.scenario.income import Other
from simulator.scenario.model import Scenario
from simulator.scenario.owner import Herbicide
from workbench.examples import Choices, scenario_text


def orchard() -> Scenario:
    return changed(load_text(scenario_text(Choices(trees="pecan", layout="square")), "orchard"), "land", acres=400.0)


def with_(plan: Scenario, **parts: object) -> Scenario:
    return plan.model_copy(update=parts)


def storm(year: int, **more: object) -> tuple[Event, ...]:
    stated = {"trees_lost_share": 0.5, "salvaged_share": 1.0} | more
    return (Event.model_validate({"year": year, "kind": "wind"} | stated),)


def posted(outcome: Outcome, key: str) -> np.ndarray:
    place = next(i for i, line in enumerate(outcome.flows.lines) if line.key == key)
    return outcome.flows.quantity[:, place]


def test_wood_of_nut_trees_that_a_storm_fells_is_salvage_like_all_their_wood() -> None:
    calm, hit = grown_fast(orchard(), with_(orchard(), event=storm(26)))
    assert not posted(calm, "salvage_wood")[26]
    tons = posted(hit, "salvage_wood")[26]
    assert 0 < tons < hit.states["standing_ton_ac"][25]
    assert tons == pytest.approx(hit.states["salvaged_after_events_ton_ac"][26])
    assert tons == pytest.approx(hit.wood_ton_ac[26].sum())
    sold = hit.ledger().query("enterprise == 'wood' and account == 'sale'")
    assert set(sold["item"]) == {"salvage_wood"}
    said = [warning.message for warning in warnings_of("silvopasture", hit) if warning.code == "event"]
    assert "are salvaged" in said[0]


def test_salvage_of_nut_trees_does_not_hang_on_a_bid_for_pulpwood() -> None:
    no_bid = with_(orchard(), market=Market(pulpwood_bid=False))
    sold, same = grown_fast(orchard(), no_bid)
    assert posted(sold, "salvage_wood").any()
    np.testing.assert_array_equal(sold.flows.quantity, same.flows.quantity)
    assert not {"no_pulpwood_bid", "thinning_waits"} & {warning.code for warning in warnings_of("silvopasture", same)}


def test_nobody_gathers_nuts_in_an_orchard_let_go() -> None:
    kept, gone = grown_fast(orchard(), with_(orchard(), neglect=Neglect(from_year=15)))
    for key in ("nuts", "nut_harvest", "orchard_care", "nut_labour"):
        np.testing.assert_array_equal(posted(gone, key)[:15], posted(kept, key)[:15])
        assert posted(kept, key)[15:].any()
        assert not posted(gone, key)[15:].any()


def test_sprays_and_small_enterprises_end_with_the_care() -> None:
    spray = tuple(Herbicide(year=year, product_class="triclopyr", share=0.5) for year in (4, 9))
    flowers = Other(name="flowers", area_share=0.05, margin_per_ac=500.0, first_year=1, last_year=12)
    plan = with_(example(), herbicide=spray, other=(flowers,))
    kept, gone = grown_fast(plan, with_(plan, neglect=Neglect(from_year=8)))
    for words in ("triclopyr", "flowers"):
        ends = [
            max(year for year, item in zip(*frame[["year", "item"]].to_numpy().T, strict=True) if words in item)
            for frame in (outcome.ledger().query("year <= 30") for outcome in (kept, gone))
        ]
        assert ends[0] >= 9, words
        assert ends[1] < 8, words


def test_gaps_are_filled_with_the_same_seed() -> None:
    seed = changed(example(), "trees", genetics="elite family", replant_below=0.8)
    plan = with_(seed, event=(Event(year=1, kind="seedling loss", trees_lost_share=0.5),))
    outcome = fast(plan)
    dearer = posted(outcome, "seedlings_elite_family")
    assert dearer[2] * 1000 == pytest.approx(outcome.states["trees_replanted_per_ac"][2])
    assert dearer[2] > 0
    assert not posted(outcome, "seedlings").any()


def test_storm_wood_is_paid_in_its_year_though_timber_is_sold_for_a_lump_sum() -> None:
    plan = changed(with_(example(), event=storm(28)), "money", timber_sale="lump sum")
    ledger = fast(plan).ledger().query("enterprise == 'wood' and account == 'sale'")
    storms = ledger[ledger["item"].str.contains("_salvage_")]
    assert set(storms["year"]) == {28}
    assert not storms["item"].str.contains("lump_sum").any()
    assert (ledger.loc[ledger["item"].str.contains("final_harvest"), "year"] == 34).all()


def test_ewes_sold_in_a_drought_bring_less_than_ewes_at_other_times() -> None:
    dry = (Event(year=12, kind="drought", drought_response="destock", grass_lost_share=0.6),)
    plan = with_(changed(example(), "use", animals="sheep", tenure="owned", hay_years=None), event=dry)
    outcome = fast(plan)
    discount = outcome.ledger().query("item == 'drought_discount'")
    assert discount["year"].tolist() == [12]
    assert discount["price"].tolist() == pytest.approx(
        [outcome.prices["bred_ewe"] * outcome.prices["drought_discount"]]
    )
    assert discount["quantity"].tolist() == pytest.approx([posted(outcome, "ewes_sold")[12]])


def test_the_last_log_knows_that_nobody_buys_pulpwood() -> None:
    outcome = run(with_(example(), market=Market(pulpwood_bid=False)))
    logs = harvest_logs(outcome)
    pulp = logs[logs["product"] == "pulpwood"]
    assert (pulp["value_per_ac"] == 0).all()
    assert (pulp["priority_value_per_ac"] == 0).all()
    values = harvest_values(outcome, logs)
    assert values["ledger_value_per_ac"].to_numpy() == pytest.approx(logs["priority_value_per_ac"].sum(), rel=1e-6)
