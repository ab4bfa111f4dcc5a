"""The landowner's page in a browser, as a person uses it: with a mouse, with keys alone, on a phone, in print."""

import hashlib
import os
import re
import signal
import tomllib
import zipfile
from collections.abc import Callable, Iterator
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import pytest

from browser import violations
from hardship import SMALL_GRID
from paging import Served, command_of, family_of, served
from reliability import keeps
from simulator.comparison import compare
from simulator.scenario.file import load
from visiting import PHONE, VIEWS, Visit, visiting
from workbench.examples import example_text
from workbench.words import dollars

if TYPE_CHECKING:
    from playwright.sync_api import Browser

FIRST = "thinning.0.year"
FIRST_HANDLE = f'.handle[data-path="{FIRST}"]'


@pytest.fixture(scope="module")
def field(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The packaged example with a small search grid."""
    path = tmp_path_factory.mktemp("field") / "field.toml"
    path.write_text(example_text() + SMALL_GRID, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def server(field: Path) -> Iterator[Served]:
    with served(str(field)) as started:
        yield started


@pytest.fixture
def visit(browser: "Browser", server: Served) -> Iterator[Visit]:
    """A visit at a desk, which must end without a word on the console and without a request to anybody else."""
    address = str(server.client.base_url).rstrip("/")
    with visiting(browser, address) as started:
        yield started
        assert started.complaints == []
        assert [url for url in started.asked if not url.startswith((address, f"blob:{address}", "about:"))] == []


def _crowns(visit: Visit) -> list[tuple[float, float, float, float]]:
    """Middle and half axes of each crown in the picture [ft]: across, up, half width, half height."""
    found = visit.page.eval_on_selector_all("#slice .feet use", "all => all.map(use => use.getAttribute('transform'))")
    numbers = [[float(number) for number in re.findall(r"-?[\d.]+", text)] for text in found]
    return [(across, up, abs(wide), high) for across, up, wide, high in numbers]


def test_the_picture_is_true_to_scale(visit: Visit, server: Served) -> None:
    visit.open("#view=land&year=15")
    year = server.start["version"]["scene"]["systems"]["silvopasture"]["years"][15]
    crowns = _crowns(visit)
    assert len(crowns) >= 4
    for _, up, wide, high in crowns:
        assert up + high == pytest.approx(max(year["height_ft"]), abs=0.06)
        assert up - high == pytest.approx(min(year["crown_base_ft"]), abs=0.06)
        assert 2.0 * wide == pytest.approx(max(year["crown_width_ft"]), abs=0.06)
    matrix = visit.page.eval_on_selector("#slice .feet", "g => [g.getCTM().a, g.getCTM().d]")
    assert matrix[0] == pytest.approx(-matrix[1])  # a foot across is a foot up
    cow, person = (
        visit.page.eval_on_selector(f"#slice .{what}", "it => it.getBoundingClientRect().height") / matrix[0]
        for what in ("cow", "person")
    )
    assert cow == pytest.approx(4.5, abs=0.9)  # common practice: 4.5 ft at the shoulder, the head a little higher
    assert person == pytest.approx(6.0, abs=0.1)


def test_the_year_moves_with_mouse_and_keys(visit: Visit) -> None:
    visit.open("#view=land&year=15")
    page = visit.page
    assert page.inner_text("h1") == "North field"
    assert page.inner_text("#caption").startswith("Year 15: ")
    box = page.locator("#year").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + 0.9 * box["width"], box["y"] + box["height"] / 2)
    assert int(page.input_value("#year")) > 30
    page.fill("#year", "15")
    page.focus("#year")
    page.keyboard.press("ArrowRight")
    assert "before thinning to" in page.inner_text("#caption")
    assert page.locator("#cut-side").is_enabled()
    before = len(_crowns(visit))
    assert page.locator("#above .stump").count() == 0
    page.check("input[name=cut-side][value=after]", force=True)
    assert "after thinning to" in page.inner_text("#caption")
    assert page.locator("#above .stump").count() > 5
    assert len(_crowns(visit)) == before
    page.check("input[name=use][value=pasture]", force=True)
    assert _crowns(visit) == []
    assert "use=pasture" in page.url


def test_it_plays_and_stops(browser: "Browser", server: Served) -> None:
    with visiting(browser, str(server.client.base_url).rstrip("/"), calm=False) as visit:
        visit.open("#view=land&year=2")
        visit.page.click("#play")
        visit.page.locator("#year-out", has_text=re.compile("^5$")).wait_for()
        visit.page.click("#play")
        stopped = visit.page.input_value("#year")
        visit.page.wait_for_timeout(900)
        assert visit.page.input_value("#year") == stopped
        assert visit.complaints == []


def test_a_thinning_is_dragged_and_its_worth_is_said(visit: Visit, field: Path) -> None:
    visit.open("#view=land&year=15")
    page = visit.page
    track = page.locator(".lane-track.trees").bounding_box()
    here = page.locator(FIRST_HANDLE).bounding_box()
    assert track is not None
    assert here is not None
    across = here["x"] + here["width"] / 2
    page.mouse.move(across, here["y"] + 10)
    page.mouse.down()
    page.mouse.move(across + 2.0 * track["width"] / 40, here["y"] + 10, steps=4)
    page.mouse.up()
    visit.wait_for_handle(FIRST, 18)
    assert page.locator("#against b").first.inner_text() == _gain(field, 18)
    assert "thinning.0.year%3D18" in page.url


def test_a_thinning_is_moved_by_keys_and_typed_and_undone_and_kept(visit: Visit) -> None:
    visit.open("#view=land&year=15")
    page = visit.page
    page.locator(FIRST_HANDLE).focus()
    page.keyboard.press("ArrowRight")
    visit.wait_for_handle(FIRST, 17)
    page.locator("#undo:enabled").wait_for()
    assert page.evaluate("document.activeElement.dataset.path") == FIRST
    page.locator("#timeline-typed").get_by_label("First thinning", exact=True).fill("14")
    page.keyboard.press("Tab")
    visit.wait_for_handle(FIRST, 14)
    page.click("#undo")
    assert visit.handle(FIRST) == 17
    page.click("#redo")
    assert visit.handle(FIRST) == 14
    page.click("#keep")
    assert "the plan you keep" in page.inner_text("#against")
    visit.go("versions")
    assert "Kept 1 (in hand)" in page.inner_text("#versions-table")


def _gain(field: Path, year: int) -> str:
    """What moving the first thinning is worth, by the simulator itself and not by way of the page."""
    kept = load(field)
    moved = kept.model_copy(
        update={"thinning": (kept.thinning[0].model_copy(update={"year": year}), *kept.thinning[1:])}
    )
    worth = [compare(plan).systems["silvopasture"].measures.npv for plan in (kept, moved)]
    gain = worth[1] - worth[0]
    return f"{'+' if gain > 0 else '−'}{dollars(abs(gain))} an acre"


def test_the_search_is_run_and_opened_as_a_version(visit: Visit) -> None:
    visit.open("#view=best")
    page = visit.page
    page.click("#best-job .main-button")
    page.locator("#best-result").wait_for(timeout=180_000)
    assert violations(page) == []
    assert page.inner_text("#best-sentence").startswith("Most by land expectation value")
    assert "of the file" not in page.inner_text("#best-sentence")
    page.reload()
    page.locator("#best-result").wait_for()  # it is still there, and for the plan in hand
    assert page.locator("#best-job .stale").is_hidden()
    page.click("#best-open")
    assert page.locator("#best-job .stale").get_attribute("hidden") is None
    assert page.locator("#view-land").is_visible()
    visit.go("versions")
    versions = page.inner_text("#versions-table")
    assert "Best plan found (in hand)" in versions
    assert "Year of the thinning (1)" in versions
    assert not re.search(r"market|residual|Baseline", versions)
    assert violations(page) == []


def test_a_search_is_cancelled_and_keys_keep_their_place(visit: Visit) -> None:
    visit.open("#view=best")
    page = visit.page
    page.select_option("#examples", "double-rows")  # whose grid takes minutes
    page.locator("body", has_text="The example is open.").wait_for()
    visit.go("best")
    page.click("#best-job .main-button")
    page.get_by_role("button", name="Cancel").click()
    page.locator("#best-job .job-words", has_text="Cancelled").wait_for()
    assert page.evaluate("document.activeElement.innerText") == "Find the best plan"  # keys go on from there
    assert page.locator("#best-result").is_hidden()


def test_odds_and_waiting_show_their_answers(visit: Visit) -> None:
    visit.open("#view=odds")
    page = visit.page
    page.fill("#draws", "50")
    page.click("#odds-job .main-button")
    page.locator("#odds-result").wait_for()
    assert page.locator("#chart-fan canvas").count() == 1
    assert "--" not in page.inner_text("#odds-notes")
    assert violations(page) == []
    visit.go("wait")
    page.get_by_role("button", name="Open the example with standing pines").click()
    page.get_by_role("button", name="Weigh it").click()
    page.locator("#wait-result").wait_for()
    assert page.locator("#wait-sentence").inner_text()
    assert page.locator("#chart-wait-numbers tbody tr").count() > 5
    assert violations(page) == []


def test_the_address_brings_everything_back(visit: Visit) -> None:
    visit.open("#view=plan&year=21&month=12&units=metric")
    page = visit.page
    alley = page.locator('[data-path="trees.layout.alley_ft"]')
    alley.fill("15")  # metres
    alley.blur()
    page.locator('#against:has-text("against your last kept plan")').wait_for(state="attached")
    visit.settle()
    address = page.url
    page.reload()
    visit.settle()
    assert page.url == address
    assert page.input_value('[data-path="trees.layout.alley_ft"]') == "15"
    assert page.locator("input[name=units][value=metric]").is_checked()
    visit.go("land")
    assert page.input_value("#month") == "12"
    assert page.input_value("#year") == "21"


def test_a_plan_is_saved_as_a_file_and_opened_again(visit: Visit, tmp_path: Path) -> None:
    visit.open("#view=land&set=trees.layout.alley_ft%3D50")
    page = visit.page
    with page.expect_download() as download:
        page.click("#save-file")
    saved = tmp_path / download.value.suggested_filename
    download.value.save_as(saved)
    trees = load(saved).trees
    assert trees is not None
    assert trees.layout.alley_ft == 50.0
    page.set_input_files("#open-file", saved)
    page.locator("#said", has_text=f"{saved.name} is open").wait_for(state="attached")
    visit.go("plan")
    assert page.input_value('[data-path="trees.layout.alley_ft"]') == "50"
    page.reload()
    visit.settle()
    assert page.input_value('[data-path="trees.layout.alley_ft"]') == "50"


def test_a_bad_file_is_refused_with_its_lines(visit: Visit, tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    text = example_text().replace("acres = 40", "acres = -4").replace("row_azimuth_deg = 0", "row_azimuth_deg = 400")
    bad.write_text(text, encoding="utf-8")
    lines = [place for place, line in enumerate(text.splitlines(), 1) if line.startswith(("acres = -4", "row_azimuth"))]
    visit.open("#view=land&year=15")
    page = visit.page
    page.set_input_files("#open-file", bad)
    page.locator("#trouble").wait_for()
    said = page.inner_text("#trouble")
    assert [f"Line {line}," in said for line in lines] == [True, True]
    assert violations(page) == []
    assert page.inner_text("h1") == "North field"
    visit.complaints.clear()  # the browser itself notes that an answer was 422


def test_an_error_stands_at_its_field_and_in_the_summary(visit: Visit) -> None:
    visit.open("#view=plan")
    page = visit.page
    site = page.locator('[data-path="land.site_index_ft"]')
    site.fill("900")
    site.blur()
    page.locator("#problems").wait_for()
    assert site.get_attribute("aria-invalid") == "true"
    said = (site.get_attribute("aria-describedby") or "").split()
    assert "110" in page.inner_text(f"#{said[-1]}")
    assert violations(page) == []
    page.locator("#problems a").click()
    assert page.evaluate("document.activeElement.dataset.path") == "land.site_index_ft"
    page.get_by_role("button", name="Take these changes back").click()
    assert site.input_value() == "68"
    assert page.locator("#problems").is_hidden()
    visit.complaints.clear()  # the browser itself notes that an answer was 422


def test_no_view_overflows_a_phone_and_none_offends_the_checker(browser: "Browser", server: Served) -> None:
    with visiting(browser, str(server.client.base_url).rstrip("/"), PHONE) as visit:
        visit.open()
        for view in VIEWS:
            visit.go(view)
            visit.page.wait_for_timeout(150)
            assert (view, visit.wide()) == (view, PHONE["width"])
            assert violations(visit.page) == []
        visit.page.set_viewport_size({"width": 1920, "height": 1080})
        for view in VIEWS:
            visit.go(view)
            assert (view, visit.wide()) == (view, 1920)
            assert violations(visit.page) == []
        assert visit.complaints == []


def test_keys_alone_move_the_years_and_keep_a_plan(visit: Visit) -> None:
    visit.open("#view=land&year=15")
    page = visit.page
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    _tab_to(visit, "#year")
    page.keyboard.press("End")
    assert page.inner_text("#year-out") == "40"
    _tab_to(visit, FIRST_HANDLE)
    page.keyboard.press("PageUp")
    visit.wait_for_handle(FIRST, 21)
    page.locator("#keep:enabled").wait_for()
    _tab_to(visit, "#keep")
    page.keyboard.press("Enter")
    assert "the plan you keep" in page.inner_text("#against")
    page.keyboard.press("Control+z")
    visit.wait_for_handle(FIRST, 16)


def test_keys_alone_reach_a_field_of_the_plan(visit: Visit) -> None:
    visit.open("#view=land")
    page = visit.page
    _tab_to(visit, "a[data-view=plan]")
    page.keyboard.press("Enter")
    page.locator("#view-plan").wait_for()
    _tab_to(visit, '[data-path="land.acres"]')
    page.keyboard.press("Control+a")
    page.keyboard.type("80")
    page.keyboard.press("Tab")
    page.locator("#plan-against", has_text="on 80 acres").wait_for()


def _tab_to(visit: Visit, selector: str) -> None:
    for _ in range(80):
        visit.page.keyboard.press("Tab")
        if visit.page.evaluate("wanted => document.activeElement.matches(wanted)", selector):
            return
    raise AssertionError(f"{selector} cannot be reached with the Tab key")


def test_the_page_says_when_its_server_is_gone_and_keeps_the_plan(visit: Visit) -> None:
    visit.open("#view=land&year=15")
    page = visit.page
    page.context.set_offline(True)
    page.locator(FIRST_HANDLE).focus()
    page.keyboard.press("ArrowRight")
    page.locator("#trouble", has_text="does not answer").wait_for()
    visit.wait_for_handle(FIRST, 16)
    page.context.set_offline(False)
    page.locator(FIRST_HANDLE).focus()
    page.keyboard.press("ArrowRight")
    visit.wait_for_handle(FIRST, 17)
    page.locator("#trouble").wait_for(state="hidden")
    visit.complaints.clear()  # the browser itself notes that a request failed


@keeps("A process that dies is said")
def test_a_computing_process_that_is_killed_is_said_and_the_page_lives(
    visit: Visit, server: Served, absent: Callable[[str], NoReturn]
) -> None:
    if not Path("/proc").is_dir():
        absent("there is no /proc here to find a process in")
    visit.open("#view=land&year=15")
    page = visit.page
    year = page.locator("#timeline-typed").get_by_label("Final harvest", exact=True)
    year.fill("39")
    with page.expect_request("**/api/plan"):
        year.blur()
    for process_id in family_of(server.process.pid):
        if "spawn_main" in command_of(process_id):
            os.kill(process_id, signal.SIGKILL)
    page.locator("#trouble", has_text="computing process").wait_for()
    page.locator("body:not(.busy)").wait_for()
    page.locator("#timeline-typed").get_by_label("Final harvest", exact=True).fill("38")
    page.keyboard.press("Tab")
    visit.wait_for_handle("harvest.year", 38)
    visit.complaints.clear()  # the browser itself notes that an answer was 503


@pytest.mark.parametrize(("kind", "ending"), [("csv", "-csv.zip"), ("workbook", ".xlsx")], ids=str)
def test_what_can_be_taken_along_is_saved_by_the_browser(visit: Visit, tmp_path: Path, kind: str, ending: str) -> None:
    visit.open("#view=land&year=15")
    page = visit.page
    page.click("#take summary")
    with page.expect_download() as download:
        page.click(f"[data-take={kind}]")
    assert download.value.suggested_filename == f"north-field{ending}"
    saved = tmp_path / "saved"
    download.value.save_as(saved)
    assert zipfile.is_zipfile(saved)


def test_an_address_of_another_file_changes_nothing_until_that_file_is_opened(
    visit: Visit, field: Path, tmp_path: Path
) -> None:
    visit.open("#view=land&year=15&file=other.toml&set=thinning.0.year%3D18")
    page = visit.page
    page.locator("#trouble", has_text="other.toml").wait_for()
    assert visit.handle(FIRST) == 16
    other = tmp_path / "other.toml"
    other.write_bytes(field.read_bytes())
    page.set_input_files("#open-file", other)
    visit.wait_for_handle(FIRST, 18)
    assert "file=other.toml" in page.url


def test_it_prints_what_is_shown_and_not_what_is_clicked(visit: Visit) -> None:
    visit.open("#view=land&year=20")
    page = visit.page
    page.locator("#chart-wood + img[src]").wait_for(state="attached")
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 700, "height": 900})
    assert (
        page.eval_on_selector_all(".on-paper", "all => all.map(one => one.width <= one.parentElement.clientWidth)")
        == [True] * 4
    )
    shown = {
        what: page.locator(what).first.is_visible()
        for what in ("#slice svg", "#answer", "#chart-income + img", "nav", "#play")
    }
    assert shown == {"#slice svg": True, "#answer": True, "#chart-income + img": True, "nav": False, "#play": False}
    assert page.pdf(format="Letter").startswith(b"%PDF")


def test_the_charts_library_is_the_one_that_was_published() -> None:
    """The hash of version 6.1.0 as its package holds it; its licence and notice stand beside it."""
    folder = resources.files("workbench.page").joinpath("static/vendor/echarts")
    stated = tomllib.loads(folder.joinpath("vendored.toml").read_text(encoding="utf-8"))
    content = folder.joinpath(stated["file"]).read_bytes()
    assert hashlib.sha256(content).hexdigest() == stated["sha256"]
    assert f'version="{stated["version"]}"'.encode() in content
    assert all(folder.joinpath(name).is_file() for name in ("LICENSE", "LICENSE-d3", "NOTICE"))


def test_no_file_of_the_page_styles_from_html_or_asks_elsewhere() -> None:
    """What the strict policy would refuse is not written in the first place."""
    folder = Path(str(resources.files("workbench.page")))
    own = [path for path in folder.rglob("*") if path.suffix in {".html", ".js", ".css"} and "vendor" not in path.parts]
    assert len(own) > 20
    for path in own:
        text = path.read_text(encoding="utf-8")
        assert not re.search(r'style="|\bon\w+="|https?://(?!www\.w3\.org)|@import|eval\(', text), path.name
        assert len(text.splitlines()) <= 300, path.name
