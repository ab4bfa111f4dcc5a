"""What must hold whatever strikes a plan: accounts, death counted, no event without effect, none that helps."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans import changed, example, grown_fast, pasture, plantation
from simulator.baselines import systems_of
from simulator.parameters.ranges import moved
from simulator.parameters.tables import load_tables
from simulator.result import Outcome, run_batch
from simulator.scenario.events import Event, Fertiliser, Fire, Market, Neglect
from simulator.scenario.grass import Straw
from simulator.scenario.lapses import as_done
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Pruning, Treatment

FELLING = ("ice", "wind", "wildfire", "beetles")
SEEDLINGS = ("hogs", "deer and rodents", "seedling loss")
KINDS = (*FELLING, *SEEDLINGS, "drought")


def struck(plan: Scenario, **event: object) -> Scenario:
    return plan.model_copy(update={"event": (Event.model_validate(event),)})


def owned(plan: Scenario) -> Scenario:
    return changed(plan, "use", tenure="owned")


def year_of(kind: str) -> int:
    return 2 if kind in SEEDLINGS else 20


@cache
def _standing_unstruck(title: str) -> dict[str, np.ndarray]:
    plan = plantation(example()) if title.endswith("plantation") else example()
    return grown_fast(plan)[0].states


def before_storm(plan: Scenario) -> np.ndarray:
    """Merchantable wood of the same plan that nothing struck [ton/ac], by year."""
    return _standing_unstruck(plan.title)["standing_ton_ac"]


def balanced(outcome: Outcome) -> bool:
    """Trees planted = standing + cut + dead, to the end of the first cycle."""
    states, harvest = outcome.states, outcome.scenario.harvest
    assert harvest is not None
    rows = slice(0, harvest.year + 1)
    planted = states["trees_per_ac"][0] + states["trees_replanted_per_ac"][rows].sum()
    gone = states["trees_cut_per_ac"][rows].sum() + states["trees_dead_per_ac"][rows].sum()
    return bool(planted == pytest.approx(gone, rel=1e-9))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("plan", [example(), plantation(example())], ids=["both", "plantation"])
def test_accounts_balance_with_every_kind_of_event(plan: Scenario, kind: str) -> None:
    outcome = grown_fast(struck(plan, year=year_of(kind), kind=kind))[0]
    assert balanced(outcome)
    ledger = outcome.ledger()
    by_year = ledger[ledger["account"] != "end value"].groupby("year")["amount"].sum()
    assert by_year.reindex(range(41), fill_value=0.0).to_numpy() == pytest.approx(outcome.cash_per_ac, abs=1e-9)
    sales = [line.enterprise == "wood" and line.account == "sale" for line in outcome.flows.lines]
    assert outcome.flows.quantity[:, sales].sum(axis=1) == pytest.approx(outcome.wood_ton_ac.sum(axis=1), abs=1e-9)
    killed = np.where(outcome.states["trees_lost_to_events_per_ac"] > 0, before_storm(plan), 0.0)
    assert (outcome.wood_ton_ac.sum(axis=1) <= np.maximum(outcome.states["standing_ton_ac"], killed) + 1e-9).all()


@pytest.mark.parametrize("kind", KINDS)
def test_an_event_of_no_severity_changes_nothing(kind: str) -> None:
    plain, calm = grown_fast(example(), struck(example(), year=year_of(kind), kind=kind, severity=0.0))
    assert np.array_equal(plain.flows.quantity, calm.flows.quantity)
    for name, values in plain.states.items():
        assert np.array_equal(values, calm.states[name]), name


@pytest.mark.parametrize("kind", KINDS)
def test_an_event_shows_in_its_year_and_in_no_earlier_one(kind: str) -> None:
    year = year_of(kind)
    plain, hit = grown_fast(example(), struck(example(), year=year, kind=kind))
    column = "forage_lb_ac" if kind == "drought" else "trees_per_ac"
    assert hit.states[column][year] < plain.states[column][year]
    assert np.array_equal(hit.states[column][:year], plain.states[column][:year])
    assert np.array_equal(hit.cash_per_ac[:year], plain.cash_per_ac[:year])


@given(kind=st.sampled_from([*FELLING, *SEEDLINGS]), mild=st.floats(0.0, 3.0), more=st.floats(0.0, 3.0))
@settings(max_examples=25)
def test_a_worse_event_never_leaves_more_trees(kind: str, mild: float, more: float) -> None:
    year, low, high = year_of(kind), min(mild, more), max(mild, more)
    plans = [struck(example(), year=year, kind=kind, severity=severity) for severity in (low, high)]
    one, other = grown_fast(*plans)
    assert other.states["trees_per_ac"][year] <= one.states["trees_per_ac"][year] + 1e-9
    assert other.states["light_warm"][year + 1] >= one.states["light_warm"][year + 1] - 1e-9


def test_an_event_of_one_plan_leaves_the_others_of_its_batch_alone() -> None:
    storms = [
        struck(example(), year=20, kind="wind", trees_lost_share=0.5, stems_damaged_share=0.5),
        struck(example(), year=20, kind="drought", drought_response="destock"),
        example().model_copy(update={"fire": Fire(first_year=9), "neglect": Neglect(from_year=14)}),
    ]
    together = grown_fast(example(), *storms)
    for plan, outcome in zip([example(), *storms], together, strict=True):
        alone = grown_fast(plan)[0]
        assert outcome.flows.quantity == pytest.approx(alone.flows.quantity, rel=1e-6, abs=1e-6)


def test_a_stated_loss_is_what_is_lost() -> None:
    plain, hit = grown_fast(example(), struck(example(), year=20, kind="ice", trees_lost_share=0.4))
    assert hit.states["trees_per_ac"][20] == pytest.approx(0.6 * plain.states["trees_per_ac"][20])
    assert hit.states["trees_lost_to_events_per_ac"][20] == pytest.approx(0.4 * plain.states["trees_per_ac"][20])


def test_nothing_salvaged_sells_nothing_and_all_salvaged_no_more_than_was_killed() -> None:
    shares = (0.0, 0.5, 1.0)
    plans = [struck(example(), year=30, kind="wind", trees_lost_share=0.5, salvaged_share=share) for share in shares]
    sold = [float(outcome.wood_ton_ac[30].sum()) for outcome in grown_fast(*plans)]
    standing = grown_fast(example())[0].states["standing_ton_ac"][30]
    assert sold[0] == 0.0
    assert 0.0 < sold[1] < sold[2] <= 0.5 * standing * (1 + 1e-9)
    # storm wood is cheap: a ton brings the regional factor of its price, less the fee
    outcome = grown_fast(plans[2])[0]
    booked = outcome.ledger().query("year == 30 and item == 'sawtimber_salvage_regional'")
    assert float(booked["price"].iloc[0]) == pytest.approx(0.35 * 27.0)


def test_damaged_stems_make_less_sawtimber() -> None:
    whole, bent = grown_fast(
        *(struck(example(), year=30, kind="ice", trees_lost_share=0.0, stems_damaged_share=s) for s in (0.0, 0.5))
    )
    assert bent.states["trees_per_ac"][30] == pytest.approx(whole.states["trees_per_ac"][30])
    assert bent.wood_ton_ac[35, 2] == pytest.approx(0.5 * whole.wood_ton_ac[35, 2], rel=0.05)
    assert bent.wood_ton_ac[35].sum() == pytest.approx(whole.wood_ton_ac[35].sum(), rel=0.02)


def test_grazed_and_burned_ground_tames_a_wildfire() -> None:
    ungrazed = changed(example(), "use", animals="none", first_grazing_year=None)
    burned = ungrazed.model_copy(update={"fire": Fire(first_year=12, interval_years=20)})
    plans = [struck(plan, year=13, kind="wildfire") for plan in (example(), ungrazed, burned)]
    grazed_lost, rough_lost, burned_lost = (
        outcome.states["trees_lost_to_events_per_ac"][13] for outcome in grown_fast(*plans)
    )
    assert grazed_lost < 0.5 * rough_lost
    assert burned_lost < 0.5 * rough_lost


def test_storms_leave_open_pasture_alone_and_drought_does_not() -> None:
    open_land = pasture(example())
    plain, storm, dry, rooted = grown_fast(
        open_land,
        struck(open_land, year=20, kind="wind"),
        struck(open_land, year=20, kind="drought"),
        struck(open_land, year=20, kind="hogs"),
    )
    assert np.array_equal(plain.flows.quantity, storm.flows.quantity)
    assert dry.states["forage_lb_ac"][20] == pytest.approx(0.6 * plain.states["forage_lb_ac"][20])
    assert np.array_equal(dry.states["forage_lb_ac"][21:], plain.states["forage_lb_ac"][21:])
    # torn sod grows back over some years
    after = rooted.states["forage_lb_ac"][20:25] / plain.states["forage_lb_ac"][20:25]
    assert after[0] == 1.0
    assert after[1] == pytest.approx(0.70, abs=0.01)
    assert (np.diff(after[1:]) > 0).any()
    assert after[-1] == pytest.approx(1.0)


def test_the_same_events_meet_every_use_of_the_land() -> None:
    systems = systems_of(struck(example(), year=20, kind="drought"))
    assert len({plan.event for plan in systems.values()}) == 1


def test_an_own_herd_is_fed_through_a_drought_or_sold_down() -> None:
    herd = pasture(owned(example()))
    plain, fed, sold = grown_fast(
        herd, *(struck(herd, year=20, kind="drought", drought_response=way) for way in ("feed", "destock"))
    )
    assert fed.states["head"][20] >= plain.states["head"][19] - 1.0
    assert sold.states["head"][20] < 0.75 * plain.states["head"][19]
    hay = {name: outcome.ledger().query("year == 20 and item == 'bought_hay'")["quantity"].sum()
           for name, outcome in (("plain", plain), ("fed", fed), ("sold", sold))}  # fmt: skip
    assert hay["fed"] > hay["plain"]
    assert hay["fed"] > hay["sold"]
    lost = sold.ledger().query("item == 'drought_discount'")
    assert lost["year"].tolist() == [20]
    assert fed.cash_per_ac[20] < plain.cash_per_ac[20]


def test_gaps_are_filled_back_to_the_planned_survival() -> None:
    hit = struck(example(), year=1, kind="seedling loss", trees_lost_share=0.5)
    plain, left, filled = grown_fast(example(), hit, changed(hit, "trees", replant_below=0.6))
    assert left.states["trees_per_ac"][2] < 0.6 * plain.states["trees_per_ac"][2]
    assert filled.states["trees_per_ac"][2] == pytest.approx(plain.states["trees_per_ac"][1], rel=0.02)
    assert balanced(filled)
    seedlings = filled.states["trees_replanted_per_ac"]
    assert np.flatnonzero(seedlings).tolist() == [2]
    booked = filled.ledger().query("year == 2 and item == 'planting_alley'")["quantity"].sum()
    assert booked == pytest.approx(seedlings[2])
    # enough seedlings alive: nobody replants
    calm = grown_fast(changed(example(), "trees", replant_below=0.6))[0]
    assert calm.flows.quantity == pytest.approx(plain.flows.quantity, rel=1e-6, abs=1e-6)


def test_volunteers_crowd_where_nobody_cuts_them() -> None:
    many = changed(example(), "trees", volunteers_per_ac=600.0)
    plain, cut, left = grown_fast(example(), many, changed(many, "trees", control_volunteers=False))
    assert np.array_equal(plain.states["basal_area_ft2_ac"], cut.states["basal_area_ft2_ac"])
    assert cut.ledger().query("item == 'volunteer_control'")["year"].tolist() == [3, 38]
    assert "volunteer_control" not in set(left.ledger()["item"])
    assert 0.6 < left.states["basal_area_ft2_ac"][15] / plain.states["basal_area_ft2_ac"][15] < 0.9


def test_unripped_pasture_costs_less_and_grows_less() -> None:
    plain, hard = grown_fast(example(), changed(example(), "trees", rip=False))
    assert "rip_and_strip" not in set(hard.ledger()["item"])
    assert hard.cash_per_ac[0] > plain.cash_per_ac[0]
    for column in ("trees_per_ac", "basal_area_ft2_ac"):
        assert hard.states[column][10] < plain.states[column][10]


def test_nitrogen_on_the_grass_feeds_the_trees_a_little_and_only_while_it_is_spread() -> None:
    bare = changed(example(), "pasture", nitrogen_lb_ac=0.0)
    tables = load_tables("loblolly", "bahiagrass", "cattle")
    off = moved(tables, ("events", "pasture_nitrogen", "most_gain"), 0.0)
    fed, unfed = grown_fast(example(), bare)
    untaken, none_given = (run_batch([plan], tables=off)[0] for plan in (example(), bare))
    gain = fed.states["quadratic_mean_dbh_in"][15] / untaken.states["quadratic_mean_dbh_in"][15]
    assert 1.002 < gain < 1.03
    assert np.array_equal(unfed.states["basal_area_ft2_ac"], none_given.states["basal_area_ft2_ac"])
    # the derived plantation's grass is not fertilised, so its trees gain nothing
    trees = plantation(example())
    assert np.array_equal(
        grown_fast(trees)[0].states["basal_area_ft2_ac"],
        run_batch([trees], tables=off)[0].states["basal_area_ft2_ac"],
    )


def test_fertiliser_for_trees_is_paid_and_seen_and_its_basal_area_fades() -> None:
    dose = Fertiliser(year=17, nitrogen_lb_ac=200.0, phosphorus_lb_ac=25.0)
    plain, fed = grown_fast(example(), example().model_copy(update={"fertiliser": (dose,)}))
    booked = fed.ledger().query("year == 17 and item in ['tree_nitrogen', 'tree_phosphate']")
    # 25 lb of elemental phosphorus is 57 lb of phosphate
    assert booked["quantity"].tolist() == pytest.approx([200.0, 57.3], abs=0.1)
    more = fed.states["basal_area_ft2_ac"] - plain.states["basal_area_ft2_ac"]
    assert (more[:17] == 0).all()
    assert more[20] > 2.0
    assert more[20] > more[24]
    assert fed.states["dominant_height_ft"][24] > plain.states["dominant_height_ft"][24] + 0.5


def test_grazing_rests_after_a_cut() -> None:
    off = moved(
        load_tables("loblolly", "bahiagrass", "cattle"), ("practice", "ground", "months_without_grazing_after_cut"), 0.0
    )
    now, before = run_batch([example()])[0], run_batch([example()], tables=off)[0]
    months = now.states["animal_unit_months_ac"] / np.maximum(before.states["animal_unit_months_ac"], 1e-9)
    assert 0.7 < months[17] < 0.97
    assert 0.7 < months[25] < 0.97
    assert months[18] == pytest.approx(1.0)
    assert now.cash_per_ac[17] < before.cash_per_ac[17]


def test_fire_and_grazing_take_turns() -> None:
    fire = Fire(first_year=12, interval_years=4)
    plain, burned = grown_fast(example(), example().model_copy(update={"fire": fire}))
    charged = burned.ledger().query("item == 'burn' and year <= 35")
    assert charged["year"].tolist() == [12, 16, 20, 24, 28, 32]
    assert charged["quantity"].to_numpy() == pytest.approx(1.0)  # forty acres are more than the least charge
    assert burned.states["animal_unit_months_ac"][12] < plain.states["animal_unit_months_ac"][12]
    assert burned.states["forage_lb_ac"][12] > plain.states["forage_lb_ac"][12]  # no litter that year
    assert burned.states["trees_per_ac"][12] <= plain.states["trees_per_ac"][12]
    small = changed(example().model_copy(update={"fire": fire}), "land", acres=10.0)
    assert grown_fast(small)[0].ledger().query("item == 'burn'")["quantity"].iloc[0] == pytest.approx(3.0)
    assert balanced(burned)


def test_let_go_has_more_trees_less_light_and_less_forage_than_kept_up() -> None:
    systems = systems_of(example().model_copy(update={"neglect": Neglect(from_year=14)}))
    assert set(systems) == {"silvopasture", "plantation", "pasture", "kept_up"}
    gone, kept = grown_fast(systems["silvopasture"], systems["kept_up"])
    assert kept.flows.quantity == pytest.approx(grown_fast(example())[0].flows.quantity, rel=1e-6, abs=1e-6)
    for year in (18, 26, 34):
        assert gone.states["basal_area_ft2_ac"][year] > 1.2 * kept.states["basal_area_ft2_ac"][year]
        assert gone.states["light_warm"][year] < kept.states["light_warm"][year]
        assert gone.states["forage_lb_ac"][year] < kept.states["forage_lb_ac"][year]
    # the fence of year 5 is worn out after twenty years and nobody renews it
    assert gone.states["animal_unit_months_ac"][24] > 0
    assert (gone.states["animal_unit_months_ac"][25:36] == 0).all()
    assert {"first_thinning", "later_thinning"}.isdisjoint(item.partition("_")[2] for item in gone.ledger()["item"])
    assert gone.states["trees_cut_per_ac"][35] > 0
    assert balanced(gone)


def test_an_own_herd_is_sold_when_the_fence_of_a_neglected_field_is_worn_out() -> None:
    gone = grown_fast(owned(example()).model_copy(update={"neglect": Neglect(from_year=10)}))[0]
    head = gone.states["head"]
    assert head[20] > 0
    assert (head[26:36] == 0).all()
    assert "displaced_herd_rent" not in set(gone.ledger()["item"])


def test_lapses_are_carried_out_once() -> None:
    plan = example().model_copy(
        update={"neglect": Neglect(missed_thinnings=(1,), thinnings_late_years=3, no_fertiliser_from_year=6)}
    )
    done = as_done(plan)
    assert [cut.year for cut in done.thinning] == [27]
    assert done.pasture.nitrogen_lb_ac == {"1": 80.0, "6": 0.0}
    assert as_done(done) == done
    assert as_done(example()) is example()
    late = grown_fast(plan)[0]
    assert np.flatnonzero(late.states["trees_cut_per_ac"]).tolist() == [27, 35]


def test_what_nobody_does_is_neither_done_nor_paid() -> None:
    plan = example().model_copy(
        update={
            "pruning": (Pruning(year=6, height_ft=6.0),),
            "treatment": (Treatment(year=3, item="burn"), Treatment(year=20, item="burn")),
            "fertiliser": (Fertiliser(year=18, nitrogen_lb_ac=200.0),),
            "fire": Fire(first_year=9, interval_years=4),
            "straw": Straw(market=True, first_rake_year=8, interval_years=2, most_rakes=6),
        }
    )
    gone, unpruned = grown_fast(
        *(plan.model_copy(update={"neglect": neglect}) for neglect in (Neglect(from_year=12), Neglect(no_pruning=True)))
    )
    first_cycle = gone.ledger().query("year <= 34")
    assert first_cycle.query("year >= 12 and account != 'overhead'")["item"].isin(["grazing_lease"]).all()
    assert first_cycle.query("item == 'treatment_burn'")["year"].tolist() == [3]
    assert first_cycle.query("item == 'burn'")["year"].tolist() == [9]
    assert set(first_cycle.query("item == 'straw'")["year"]) == {8, 10}
    assert "pruning" in set(first_cycle["item"])
    assert "pruning" not in set(unpruned.ledger()["item"])
    assert {"tree_nitrogen", "burn"} <= set(unpruned.ledger()["item"])


def test_without_a_pulpwood_bid_a_thinning_waits_or_is_paid_for() -> None:
    def market(**terms: object) -> Scenario:
        return example().model_copy(update={"market": Market.model_validate({"pulpwood_bid": False, **terms})})

    plain, wait, pay, impatient = grown_fast(
        example(), market(), market(unsold_thinning="pay"), market(give_up_years=0)
    )
    assert plain.states["trees_cut_per_ac"][16] > 0
    assert (wait.states["thinning_waits"][16], wait.states["trees_cut_per_ac"][16]) == (1.0, 0.0)
    done = np.flatnonzero(wait.states["trees_cut_per_ac"])[0]
    assert 16 < done < 24
    assert wait.states["light_warm"][18] < plain.states["light_warm"][18]
    assert np.flatnonzero(impatient.states["trees_cut_per_ac"]).tolist() == [24, 35]
    assert pay.states["trees_cut_per_ac"][16] == pytest.approx(plain.states["trees_cut_per_ac"][16])
    assert pay.ledger().query("item == 'precommercial_thinning'")["year"].tolist() == [16]
    for outcome in (wait, pay, impatient):
        assert (outcome.wood_ton_ac[:, 0] == 0).all()
        assert balanced(outcome)
    assert plain.wood_ton_ac[35, 0] > 0


def test_classes_stay_as_they_are_in_a_storm() -> None:
    """A storm takes all sizes alike, so the mean diameter of its year does not move."""
    plain, hit = grown_fast(example(), struck(example(), year=20, kind="wind"))
    assert hit.states["quadratic_mean_dbh_in"][20] == pytest.approx(plain.states["quadratic_mean_dbh_in"][20])
