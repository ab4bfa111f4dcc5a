"""Storms, missing bids and neglect where they meet nut trees, flocks, lump sums, seed and the owner's other work."""

import numpy as np
import pytest

from plans import changed, example, fast, grown_fast
from simulator.alternatives import systems_of
from simulator.findings.warnings import warnings_of
from simulator.harvest_logs import harvest_logs, harvest_values
from simulator.result import Outcome, run
from simulator.scenario.events import Event, Fertiliser, Fire, Market, Neglect
from simulator.scenario.file import load_text
from simulator.scenario.grass import Switch
from simulator.scenario.income import Other
from simulator.scenario.model import Scenario
from simulator.scenario.owner import Herbicide
from standing import pines
from workbench.examples import Choices, scenario_text


def orchard() -> Scenario:
    plan = load_text(scenario_text(Choices(trees="pecan", layout="square")), "orchard")
    return changed(changed(plan, "land", acres=400.0), "money", horizon_years=40)


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


# A stand that is there already ----------------------------------------------------------------------------------


def test_events_of_the_calendar_meet_a_stand_and_what_follows_it() -> None:
    """Harvest in year 17: ice in year 6 strikes the stand, a drought in year 20 what grows on its stumps."""
    ice = Event(year=6, kind="ice", trees_lost_share=0.3)
    dry = Event(year=20, kind="drought", grass_lost_share=0.5)
    calm, hit = (systems_of(plan) for plan in (pines(), with_(pines(), event=(ice, dry))))
    for name in ("silvopasture", "plantation"):
        plain, struck = grown_fast(calm[name], hit[name])
        assert struck.states["trees_per_ac"][6] == pytest.approx(0.7 * plain.states["trees_per_ac"][6])
        assert np.array_equal(struck.states["trees_per_ac"][:6], plain.states["trees_per_ac"][:6])
    plain, struck = grown_fast(calm["pasture"], hit["pasture"])
    forage = [outcome.states["forage_lb_ac"] for outcome in (struck, plain)]
    assert forage[0][20] == pytest.approx(0.5 * forage[1][20])
    np.testing.assert_array_equal(np.delete(forage[0], 20), np.delete(forage[1], 20))
    cleared_later = pines().stand.model_copy(update={"after_harvest": "pasture"})  # type: ignore[union-attr]
    plain, struck = grown_fast(
        with_(pines(), stand=cleared_later), with_(pines(), stand=cleared_later, event=(ice, dry))
    )
    assert struck.states["forage_lb_ac"][20] == pytest.approx(0.5 * plain.states["forage_lb_ac"][20])
    assert posted(struck, "grazing_lease")[20] == pytest.approx(0.5 * posted(plain, "grazing_lease")[20])


def test_inputs_of_a_stand_count_from_today() -> None:
    dose = Fertiliser(year=3, nitrogen_lb_ac=200.0, phosphorus_lb_ac=25.0)
    plain, fed = grown_fast(pines(), with_(pines(), fertiliser=(dose,), fire=Fire(first_year=2, interval_years=4)))
    assert np.flatnonzero(posted(fed, "tree_nitrogen")).tolist() == [3]
    assert np.flatnonzero(posted(fed, "burn")).tolist() == [2, 6, 10, 14]
    assert np.array_equal(fed.states["dominant_height_ft"][:3], plain.states["dominant_height_ft"][:3])
    assert fed.states["dominant_height_ft"][8] > plain.states["dominant_height_ft"][8] + 1.0
    later = grown_fast(systems_of(fed.scenario)["open_later"])[0]
    assert np.flatnonzero(posted(later, "tree_nitrogen")).tolist() == [8]
    assert np.flatnonzero(posted(later, "burn"))[0] == 7


def test_a_stand_let_go_stands_beside_the_same_stand_kept_up() -> None:
    systems = systems_of(with_(pines(), neglect=Neglect(from_year=4)))
    assert set(systems) == {"silvopasture", "plantation", "pasture", "open_later", "kept_up"}
    gone, kept = grown_fast(systems["silvopasture"], systems["kept_up"])
    assert kept.states["trees_cut_per_ac"][5] > 0
    assert not gone.states["trees_cut_per_ac"][1:17].any()
    assert gone.states["basal_area_ft2_ac"][17] > kept.states["basal_area_ft2_ac"][17]
    assert np.array_equal(gone.cash_per_ac[:4], kept.cash_per_ac[:4])
    for name in ("plantation", "pasture"):
        assert systems[name].neglect == Neglect(), name


def test_nobody_sows_grass_under_a_stand_that_was_let_go_before() -> None:
    gone = grown_fast(with_(pines(), neglect=Neglect(from_year=1)))[0]
    assert not posted(gone, "sward_establishment")[:17].any()
    assert not gone.states["forage_lb_ac"][1:18].any()
    assert not posted(gone, "grazing_lease")[:18].any()


# Other grasses --------------------------------------------------------------------------------------------------


def test_a_drought_takes_its_share_of_winter_grass_too() -> None:
    plan = changed(example(), "pasture", overseeded="ryegrass")
    dry = (Event(year=12, kind="drought", grass_lost_share=0.4),)
    plain, hit = grown_fast(plan, with_(plan, event=dry))
    assert hit.states["forage_lb_ac"][12] == pytest.approx(0.6 * plain.states["forage_lb_ac"][12])
    assert posted(hit, "grazing_lease")[12] == pytest.approx(0.6 * posted(plain, "grazing_lease")[12])


@pytest.mark.parametrize("fields", [{"overseeded": "ryegrass"}, {"grass": "ryegrass", "nitrogen_lb_ac": 100.0}])
def test_nobody_sows_an_annual_on_a_field_let_go(fields: dict[str, object]) -> None:
    plan = changed(example(), "pasture", **fields)
    kept, gone = grown_fast(plan, with_(plan, neglect=Neglect(from_year=12)))
    assert (posted(kept, "ryegrass_seeding")[12:17] > 0).all()
    assert not posted(gone, "ryegrass_seeding")[12:35].any()
    assert np.array_equal(posted(gone, "ryegrass_seeding")[:12], posted(kept, "ryegrass_seeding")[:12])
    if "grass" in fields:
        assert not gone.states["forage_lb_ac"][12:35].any()


def test_nobody_changes_the_grass_of_a_field_let_go() -> None:
    plan = changed(example(), "pasture", switch=Switch(grass="tall-fescue", year=14))
    kept, gone = grown_fast(plan, with_(plan, neglect=Neglect(from_year=12)))
    assert posted(kept, "sward_establishment")[14] > 0
    assert not posted(gone, "sward_establishment")[14]


def test_a_fence_of_a_stated_life_ends_grazing_where_nobody_renews_it() -> None:
    plan = with_(changed(example(), "land", fence_life_years=10), neglect=Neglect(from_year=12))
    grazed = grown_fast(plan)[0].states["animal_unit_months_ac"][:34] > 0
    years = np.flatnonzero(grazed)
    assert years.tolist() == list(range(years[0], years[0] + 10))
