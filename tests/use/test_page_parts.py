"""What the landowner's page is made of: memory, pictures, timeline, forms, words; without a server."""

import asyncio
import json
import re
import time
from dataclasses import replace
from typing import Any

import pytest
from starlette.exceptions import HTTPException

from paging import echo, gone
from plans import changed, compared, example
from simulator.comparison import compare
from simulator.errors import InputError
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from simulator.scenario.owner import CostShare
from simulator.scenario.trees import Thinning
from workbench.documents import comparison_document
from workbench.examples import example_text, stand_example_text
from workbench.look import ENTERPRISE_COLOR, SYSTEM_INK, css_variables
from workbench.page.computing import Computing
from workbench.page.form import form_document, labels, scalar_fields
from workbench.page.guard import Rules
from workbench.page.jobs import Jobs
from workbench.page.long_work import Order
from workbench.page.memory import Memory
from workbench.page.messages import Asked, Reply, Settings, spliced
from workbench.page.opened_first import First
from workbench.page.plans import opened_tables, opened_text
from workbench.page.repriced import may_be_repriced
from workbench.page.sample_titles import SAMPLE_TITLES
from workbench.page.samples import SAMPLES, sample_text
from workbench.page.scene import scene_document
from workbench.page.sun_path import sun_document
from workbench.page.timeline import timeline_document
from workbench.page.why import answer_words, income_by_enterprise
from workbench.plan_file import plan_text
from workbench.words import dollars

HERE = Settings()


def _thinned_in(plan: Scenario, year: int) -> Scenario:
    first, *others = plan.thinning
    moved = first.model_copy(update={"year": year})
    return plan.model_copy(update={"thinning": (moved, *others)})


# Memory


MONEY = {"prices": {"calf": 2.8, "sawtimber": 21.0, "wage": 11.0}, "discount_rate": 0.04}
"""Other prices and another rate, which grow nothing."""


def _alike(memory: Memory, plan: Scenario) -> bool:
    return comparison_document(memory.compare(plan)) == comparison_document(compare(plan))


def test_what_is_remembered_is_what_would_be_grown() -> None:
    """The comparison of a page is that of `halfshade compare`, whatever was changed before."""
    memory, plan = Memory(None), example()
    memory.compare(plan)
    assert _alike(memory, _thinned_in(plan, 18))
    assert _alike(memory, changed(plan, "money", **MONEY))
    assert memory.compare(plan.model_copy(update={"title": "Another"})).systems["silvopasture"].scenario.title


def test_what_follows_a_stand_is_remembered_too() -> None:
    memory, plan = Memory(None), load_text(stand_example_text(), "stand")
    memory.compare(plan)
    assert _alike(memory, _thinned_in(plan, plan.thinning[0].year + 1))
    assert _alike(memory, changed(plan, "money", **MONEY))


def test_other_prices_grow_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    memory, plan = Memory(None), example()
    memory.compare(plan)
    monkeypatch.setattr("workbench.page.memory.run_with", lambda *_: pytest.fail("something was grown again"))
    assert memory.compare(changed(plan, "money", **MONEY)).systems["pasture"].rate == 0.04


def test_prices_that_decide_quantities_make_a_plan_grow_again() -> None:
    """Whether the mill bids, help meets its cap, what hours are worth, and an orchard's years to come."""
    helped = CostShare(line="planting", share=0.5, cap_per_ac=20.0)
    pecan = example().model_copy(update={"trees": changed(example(), "trees", species="pecan").trees})
    plans = {
        "mill": changed(example(), "sale", pricing="delivered"),
        "help": example().model_copy(update={"cost_share": (helped,)}),
        "hours": changed(example(), "money", pay_labour=False),
    }
    grown = compared().systems["silvopasture"]
    for plan in plans.values():
        dearer = changed(plan, "money", prices={"seedlings": 230.0})
        assert not may_be_repriced(replace(grown, scenario=plan), dearer)
    assert may_be_repriced(grown, changed(example(), "money", prices={"seedlings": 230.0}))
    assert not may_be_repriced(replace(grown, scenario=pecan), changed(pecan, "money", discount_rate=0.03))
    memory, delivered = Memory(None), plans["mill"]
    memory.compare(delivered)
    assert _alike(memory, changed(delivered, "money", prices={"delivered_pulpwood": 17.0}))


# Pictures


def test_the_picture_is_that_of_the_outcome() -> None:
    comparison = compared()
    outcome, scene = comparison.systems["silvopasture"], scene_document(comparison)
    picture = scene["systems"]["silvopasture"]
    assert picture["rows"] == outcome.drawing["offset_ft"].tolist()
    assert picture["cell_ft"] == float(outcome.drawing["cell_ft"])
    for year in (0, 5, 16, 17, 35, 36):
        drawn = picture["years"][year]
        assert drawn["height_ft"] == pytest.approx(outcome.drawing["height_ft"][year], abs=0.051)
        assert drawn["crown_width_ft"] == pytest.approx(2.0 * outcome.drawing["across_ft"][year], abs=0.051)
        assert drawn["light"] == pytest.approx(outcome.profile_warm[year], abs=0.0051)
        assert len(drawn["light"]) == len(picture["points_ft"])
    assert [year for year, drawn in enumerate(picture["years"]) if "thinned" in str(drawn["events"])] == [16, 24]
    assert picture["years"][2]["use"] == "hay"
    assert picture["years"][20]["animals_word"] == "cows"
    assert {drawn["use"] for drawn in scene["systems"]["plantation"]["years"]} == {"none"}


def test_bales_are_those_of_the_hay_made() -> None:
    """A round bale of 1,000 lb, as the price item for baling counts; 2,000 lb to the ton."""
    outcome = compared().systems["silvopasture"]
    drawn = scene_document(compared())["systems"]["silvopasture"]["years"][2]
    assert drawn["bales"] == pytest.approx(outcome.states["hay_ton_ac"][2] * 40.0 * 2000.0 / 1000.0, abs=0.5)


def test_a_stand_lives_twice_and_its_years_say_which_rows_are_theirs() -> None:
    comparison = compare(load_text(stand_example_text(), "stand"), precision="fast")
    for name, outcome in comparison.systems.items():
        picture = scene_document(comparison)["systems"][name]
        first, second = picture["lives"]
        cut = outcome.flows.leading_yr
        assert (first["from_year"], second["from_year"]) == (0, cut)
        for year, drawn in enumerate(picture["years"]):
            assert drawn["life"] == int(year > cut)
            assert len(drawn["alive"]) == len(picture["lives"][drawn["life"]]["rows"])


def test_the_sun_stands_where_the_tables_have_it() -> None:
    """Noon altitude is 90 degrees less the latitude plus the declination.

    Declinations of the months' mean days, 23.1 on 11 June and -23.0 on 10 December: Klein 1977, Solar Energy 19:325,
    as tabled in handbooks of solar engineering (from memory); the series used here differs from it by up to .2 degrees.
    """
    months = sun_document(31.3)
    for month, declination in (("6", 23.1), ("12", -23.0)):
        path = months[month]
        noon = path["hour"].index(12.0)
        assert path["altitude_deg"][noon] == pytest.approx(90.0 - 31.3 + declination, abs=0.25)
        assert path["azimuth_deg"][noon] == pytest.approx(180.0, abs=0.1)
        assert min(path["altitude_deg"]) >= 0.0
    assert months["6"]["azimuth_deg"][0] < 90.0 < months["12"]["azimuth_deg"][0]


# Timeline


def _moved(document: dict[str, Any], path: str, year: int) -> dict[str, Any]:
    copy = json.loads(json.dumps(document))
    node = copy
    *parts, last = [int(part) if part.isdigit() else part for part in path.split(".")]
    for part in parts:
        node = node[part]
    node[last] = year
    return dict(copy)


@pytest.mark.parametrize(
    "text", [example_text(), stand_example_text(), sample_text("pecan")], ids=["field", "stand", "pecan"]
)
def test_handles_go_as_far_as_the_rules_let_them(text: str) -> None:
    """Both ends of every handle are plans that `halfshade check` accepts, one year further is not."""
    opened = opened_text(text + ("\n[straw]\nmarket = true\n" if "[straw]" not in text else ""), HERE)
    handles = timeline_document(opened.scenario)
    assert {"harvest.year"} < {handle["path"] for handle in handles}
    for handle in handles:
        assert handle["min"] <= handle["year"] <= handle["max"]
        for year in (handle["min"], handle["max"]):
            opened_tables(_moved(opened.document, handle["path"], year), HERE)
        for year in (handle["min"] - 1, handle["max"] + 1):
            with pytest.raises(InputError):
                opened_tables(_moved(opened.document, handle["path"], year), HERE)


# Forms

ELSEWHERE = ("land.ground.", "report.")
"""Tables that the schema may have or not; words without a field are not shown."""


def test_every_scalar_field_has_a_word_or_is_left_to_the_file() -> None:
    fields, left = set(scalar_fields()), set(labels()["left_to_the_file"])
    labelled = {path for group in labels()["group"] if not group.get("prices") for path in group["label"]}
    assert labelled & left == set()
    assert fields <= labelled | left
    assert {path for path in (labelled | left) - fields if not path.startswith(ELSEWHERE)} == set()
    said = [label for group in labels()["group"] for label in group["label"].values()]
    assert all(label and label[0].isupper() and not label.endswith(".") for label in said)


def test_words_of_choices_and_sources_belong_to_fields() -> None:
    fields = scalar_fields()
    assert set(labels()["source"]) <= set(fields)
    for key in labels()["choice"]:
        path = next(path for path in fields if key.startswith(f"{path}."))
        assert key.removeprefix(f"{path}.") in fields[path]["enum"]


def test_a_field_says_what_its_schema_says() -> None:
    groups = {group["id"]: group for group in form_document(HERE)}
    alley = next(field for field in groups["rows"]["fields"] if field["path"] == "trees.layout.alley_ft")
    assert (alley["kind"], alley["unit"], alley["min"], alley["max"]) == ("number", "ft", 5.0, 200.0)
    assert alley["metric"]["unit"] == "m"
    species = next(field for field in groups["rows"]["fields"] if field["path"] == "trees.species")
    assert {"value": "loblolly", "label": "Loblolly pine (Pinus taeda)"} in species["choices"]
    assert groups["thinning"]["list"] == "thinning"
    assert all("*" in field["path"] for field in groups["thinning"]["fields"])
    hay = [field for field in groups["use"]["fields"] if field.get("pair") == "use.hay_years"]
    assert [field["path"] for field in hay] == ["use.hay_years.0", "use.hay_years.1"]
    kinds = {field["kind"] for group in groups.values() for field in group["fields"]}
    assert kinds == {"number", "integer", "choice", "boolean", "text"}


def test_every_default_is_what_the_program_takes() -> None:
    """A field that is left out is what the form says it is."""
    plan = example().model_dump(by_alias=True)
    for path in ("use.hay_storage", "straw.first_rake_year", "sale.haul_miles", "market.give_up_years"):
        table, name = path.split(".")
        field = next(each for group in form_document(HERE) for each in group["fields"] if each["path"] == path)
        assert field["default"] == plan[table][name]


def test_metric_factors_are_those_of_the_exact_pound_and_inch() -> None:
    """The international yard and pound agreement of 1959: 0.3048 m to the foot, 0.45359237 kg to the pound.

    The acre is 43,560 square feet, the mile 5,280 ft; all by definition.
    """
    foot, pound = 0.3048, 0.45359237
    acre_ha = 43_560.0 * foot**2 / 10_000.0
    expected = {
        "ac": acre_ha, "ft": foot, "in": foot / 12.0 * 100.0, "1/ac": 1.0 / acre_ha, "ft2/ac": foot**2 / acre_ha,
        "lb/ac": pound / acre_ha, "$/ac": 1.0 / acre_ha, "$/ac/yr": 1.0 / acre_ha, "h/ac": 1.0 / acre_ha,
        "miles": 5280.0 * foot / 1000.0, "ton": 2000.0 * pound / 1000.0, "$/ton": 1000.0 / (2000.0 * pound),
        "$/lb": 1.0 / pound,
    }  # fmt: skip
    assert {unit: metric["factor"] for unit, metric in labels()["metric"].items()} == pytest.approx(expected, rel=1e-9)


# Plans and words


@pytest.mark.parametrize("name", SAMPLES)
def test_samples_are_plans_and_have_titles(name: str) -> None:
    opened = opened_text(sample_text(name), HERE)
    assert SAMPLE_TITLES[name]
    assert opened_tables(json.loads(json.dumps(opened.document)), HERE).scenario == opened.scenario
    assert load_text(plan_text(opened.scenario, "kept"), "kept") == opened.scenario


def test_samples_and_titles_are_of_the_same_plans() -> None:
    assert list(SAMPLES) == list(SAMPLE_TITLES)


def test_the_answer_says_what_the_best_income_is_made_of() -> None:
    comparison = compared()
    answer, others = answer_words(comparison)
    best = comparison.systems[comparison.ranking[0]]
    parts = income_by_enterprise(best)
    assert sum(parts.values()) == pytest.approx(best.measures.equal_annual_income)
    assert dollars(max(parts.values()), yearly=True) in answer.partition("That is")[2]
    assert others
    assert others[0] not in answer


def test_the_palette_of_the_page_is_that_of_the_charts() -> None:
    said = css_variables()
    for ink in SYSTEM_INK.values():
        assert f": {ink.color};" in said
        assert f": {ink.words};" in said
    for name, color in ENTERPRISE_COLOR.items():
        assert f"--enterprise-{name}: {color};" in said


def test_a_plan_put_off_reads_back_though_its_overseeding_moved() -> None:
    plan = changed(example(), "pasture", overseeded_from_year=4)
    assert load_text(plan_text(plan, "put off"), "put off").pasture.overseeded_from_year == 1


# The process beside the server


def test_the_process_rests_when_nobody_asks_and_comes_back_when_somebody_does() -> None:
    async def asked() -> tuple[int | None, Reply]:
        computing = Computing(HERE, idle_s=0.2, work=echo)
        resting = asyncio.create_task(computing.rest_when_idle())
        await computing.ask(Asked("one"))
        deadline = time.monotonic() + 20.0
        while computing.process_id is not None and time.monotonic() < deadline:
            await asyncio.sleep(0.05)
        rested = computing.process_id
        reply = await computing.ask(Asked("two"))
        resting.cancel()
        computing.stop()
        return rested, reply

    rested, reply = asyncio.run(asked())
    assert rested is None
    assert json.loads(reply.body) == {"what": "two", "form": []}  # without a notice: nothing was wrong


def test_questions_wait_in_a_short_queue_and_a_death_is_told() -> None:
    async def asked() -> tuple[list[int], Reply, Reply]:
        computing = Computing(HERE, work=echo)
        many = await asyncio.gather(*(computing.ask(Asked("dawdle", 0.05)) for _ in range(9)))
        died = await computing.ask(Asked("die"))
        after = await computing.ask(Asked("after"))
        computing.stop()
        return [reply.status for reply in many], died, after

    codes, died, after = asyncio.run(asked())
    assert codes == [200] * 5 + [429] * 4
    assert died.status == 503
    assert json.loads(after.body) == {"what": "after", "form": []}


def test_the_page_itself_does_not_wait_for_the_first_comparison() -> None:
    """The shell needs the form alone, however long the comparison takes that was begun before anybody asked."""

    async def asked() -> tuple[bool, bytes | None, Reply]:
        computing = Computing(HERE, work=echo)
        first = First(computing)
        fetching = asyncio.create_task(first.fetch())
        await first.form()
        await asyncio.sleep(0.1)  # the comparison is under way
        await first.form()
        early, version = not fetching.done(), first.version_if_ready()
        start = await first.start()
        computing.stop()
        return early, version, start

    early, version, start = asyncio.run(asked())
    assert early
    assert version is None
    assert json.loads(start.body)["version"]["what"] == "first"


def test_a_computing_process_that_never_starts_is_told_and_not_tried_for_ever() -> None:
    async def asked() -> int:
        computing = Computing(HERE, work=gone)
        try:
            with pytest.raises(HTTPException) as refused:
                await First(computing).form()
            return refused.value.status_code
        finally:
            computing.stop()

    assert asyncio.run(asked()) == 503


def _order() -> Order:
    return Order("odds", {}, 100, HERE)


def test_work_that_nobody_asks_about_is_stopped_and_says_so() -> None:
    """Its tab is closed; what waits behind it must have its turn."""

    async def followed() -> tuple[str, str, str]:
        jobs = Jobs(HERE, forgotten_s=0.5)
        left, followed = (json.loads(jobs.add(_order()).body)["job"] for _ in range(2))
        forgetting = asyncio.create_task(jobs.forget())
        for _ in range(12):
            await asyncio.sleep(0.1)
            state = json.loads(jobs.told(followed).body)["state"]
        told = json.loads(jobs.told(left).body)
        forgetting.cancel()
        return state, told["state"], told["message"]

    state, left, message = asyncio.run(followed())
    assert (state, left) == ("queued", "cancelled")
    assert message.startswith("Stopped, because")


def test_a_process_that_makes_files_ends_with_each() -> None:
    async def asked() -> tuple[int, int | None, int]:
        computing = Computing(HERE, work=echo, lasting=False)
        first = await computing.ask(Asked("file"))
        left = computing.process_id
        died = await computing.ask(Asked("die"))
        return first.status, left, died.status

    assert asyncio.run(asked()) == (200, None, 503)


def test_the_page_answers_on_the_webs_own_port_too() -> None:
    """RFC 9110, section 7.2: a Host header leaves out the port where it is the scheme's own."""
    assert Rules(80, "token").knows("127.0.0.1")
    assert Rules(80, "token").knows("localhost:80")
    assert not Rules(80, "token").knows("example.test")
    assert not Rules(8421, "token").knows("127.0.0.1")


NOT_FOR_A_PAGE = re.compile(r"--\w|\[|\bids?\b|catalogue|\w_\w|\bdefault\b|halfshade")


def test_no_help_of_the_form_speaks_of_ids_or_options() -> None:
    fields = [field for group in form_document(HERE) for field in group["fields"]]
    assert [field["path"] for field in fields if NOT_FOR_A_PAGE.search(field["help"])] == []
    assert set(labels()["help"]) <= {path for group in labels()["group"] for path in group["label"]}


def test_keys_are_put_in_front_of_a_json_object_without_reading_it() -> None:
    assert json.loads(spliced({"a": 1}, b'{"b":2}')) == {"a": 1, "b": 2}
    assert json.loads(spliced({"a": 1}, b"{}")) == {"a": 1}
    assert json.loads(spliced({}, b'{"b":2}')) == {"b": 2}


def test_thinnings_in_the_picture_say_what_they_leave() -> None:
    plan = example().model_copy(update={"thinning": (Thinning(year=16, residual_trees_per_ac=80.0),)})
    scene = scene_document(compare(plan, precision="fast"))
    assert scene["systems"]["silvopasture"]["years"][16]["events"] == ["thinned to 80 trees/ac"]
