"""``halfshade report``: what a client reads agrees with what was computed, prints whole, asks nobody for anything."""

import json
import re
import sys
import unicodedata
from collections.abc import Callable, Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import numpy as np
import pytest
from click.testing import CliRunner, Result

from browser import violations
from reading import Page, read_page
from reliability import keeps
from simulator.accounts import LINES
from simulator.errors import MissingExtraError
from simulator.measures import END_VALUE
from simulator.scenario.file import load, load_text
from workbench.commands.report import report as report_command
from workbench.examples import example_text, stand_example_text
from workbench.report import Gathered, gather, report_html, report_pdf
from workbench.report.jobs import jobs_of, runs_of
from workbench.report.page import css_text
from workbench.report.work import JOBS, job_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser
    from playwright.sync_api import Page as Tab

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
Halfshade = Callable[..., Any]
PAPERS = {"Letter": (8.5, 11.0), "A4": (8.27, 11.69)}
MARGINS_IN = 1.4
PIXELS_PER_INCH = 96
SMALL_SEARCH = """
[search]
most_thinnings = 1
first_thinning_years = [16]
first_residuals_trees_per_ac = [100]
harvest_years = [35]
hay_until_years = [4]
first_grazing_years = [4]
pasture_nitrogen_lb_ac = [80]
[baseline.plantation.search]
most_thinnings = 1
first_thinning_years = [15]
first_residuals_trees_per_ac = [260]
harvest_years = [33]
"""


@cache
def gathered() -> Gathered:
    """The packaged example, computed once."""
    return gather(load_text(example_text(), "example"))


@cache
def html() -> str:
    return report_html([gathered()])


@cache
def page() -> Page:
    return read_page(html())


@cache
def document() -> dict[str, Any]:
    return json.loads(json.dumps(gathered().document, default=lambda value: value.tolist()))


def pdf_of(text: str, absent: Callable[[str], NoReturn]) -> bytes:
    try:
        return report_pdf(text)
    except MissingExtraError as error:
        absent(f"no PDF can be made here: {error}")


def tables(said: dict[str, Any]) -> Iterator[dict[str, Any]]:
    for section in said["sections"]:
        yield from (block for block in section["blocks"] if block["kind"] == "table")


def whole(amount: float) -> str:
    """Whole dollars as a table says them, written anew for the test."""
    return format(int(np.floor(abs(amount) + 0.5)) * (-1 if amount <= -0.5 else 1), ",")


def test_tables_on_the_page_are_those_of_the_document() -> None:
    for table in tables(document()):
        assert page().tables[f"table-{table['key']}"] == [table["columns"], *table["rows"]]
        assert all(len(row) == len(table["columns"]) for row in table["rows"])


def test_measures_on_the_page_are_the_computed_ones_rounded() -> None:
    rows = {row[0]: row[1:] for row in page().tables["table-measures"]}
    systems = document()["comparison"]["systems"]
    names = ("silvopasture", "plantation", "pasture")
    for label, key in (
        ("Equal annual income, $/ac/yr", "equal_annual_income_per_ac"),
        ("Equal annual income before tax and administration, $/ac/yr", "equal_annual_margin_before_overhead_per_ac"),
        ("Land expectation value, $/ac", "land_expectation_per_ac"),
        ("Net present value with end values, $/ac", "npv_per_ac"),
        ("Deepest cumulative cash, $/ac", "deepest_cash_per_ac"),
    ):
        assert rows[label] == [whole(systems[name][key]) for name in names]
    assert rows["Paid back in year"] == [str(systems[name]["payback_year"]) for name in names]
    ratio = document()["comparison"]["land_equivalent_ratio"]
    land = {row[0]: row[1] for row in page().tables["table-land-equivalent"]}
    assert land["land equivalent ratio"] == f"{ratio['total']:.2f}"


@pytest.mark.parametrize("name", ["north-field", "own-herd", "let-go", "standing-pines"])
def test_a_client_reads_no_word_of_a_file_or_a_command(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.modules["workbench.report.gather"], "LONGEST_WAIT_YR", 2)
    text = read_page(report_html([gather(load(EXAMPLES / f"{name}.toml"))])).text
    found = re.findall(
        r"\b[a-z]+(?:_[a-z]+)+\b|\[\[?[a-z_]+\]\]?|(?<!\w)--[a-z][a-z-]+|\b[a-z]+\.(?:md|toml|csv)\b", text
    )
    assert found == []


def test_a_herd_is_bought_kept_and_sold_by_the_head() -> None:
    """Heads and dollars of the field against the ledger's lines; prices and field are of the example."""
    of = gather(load(EXAMPLES / "own-herd.toml"))
    outcome = of.comparison.systems["silvopasture"]
    jobs = {(job.job.words, job.first): job for job in jobs_of(outcome)}
    place = [line.key for line in outcome.flows.lines].index("cows_bought")
    bought = jobs["Buy breeding animals", 5]
    assert bought.amount == f"{outcome.flows.quantity[5, place] * 40:.0f} head"
    assert bought.costs == pytest.approx([-outcome.amount[5, place] * 40])
    assert jobs["Move out the herd that is there", 0].amount.endswith(" head")
    kept = next(job for (words, _), job in jobs.items() if words.startswith("Keep and feed"))
    assert kept.amount.endswith(" head a year")
    assert max(kept.costs) < bought.costs[0]


def test_dollars_an_acre_of_a_job_are_those_of_the_field() -> None:
    rows = {(row[1], row[0]): row for row in page().tables["table-jobs"][1:]}
    acres = gathered().scenario.land.acres
    planting = rows["Order and plant the trees", "0"]
    assert planting[5] == f"-{float(planting[3].strip('$').replace(',', '')) / acres:.0f}"


def test_income_by_enterprise_adds_up_and_lean_years_are_those_of_the_cash() -> None:
    plan = document()["comparison"]["systems"]["silvopasture"]
    rows = page().tables["table-by-enterprise"]
    assert rows[-1][1:-1] == [whole(amount) for amount in plan["cash_by_decade_per_ac"].values()]
    parts = np.array([[int(cell.replace(",", "")) for cell in row[1:]] for row in rows[1:]])
    assert np.abs(parts[:-1].sum(axis=0) - parts[-1]).max() <= 0.5 * len(parts)
    cash = np.cumsum([year["cash_per_ac"] for year in plan["years"]])
    lean = {row[0]: row[1:] for row in page().tables["table-lean"]}["both together"]
    assert lean[0] == str(int((cash < 0).sum()))
    assert lean[2] == f"-${whole(-cash.min())}"
    assert lean[4] == str(int(cash.argmin()))


def test_the_yearly_appendix_is_the_yearly_table() -> None:
    years = document()["comparison"]["systems"]["silvopasture"]["years"]
    heads, *rows = page().tables["table-years"]
    assert len(rows) == len(years)
    for head, key, form in (("trees /ac", "trees_per_ac", ".0f"), ("forage lb", "forage_lb_ac", ",.0f")):
        assert [row[heads.index(head)] for row in rows] == [format(year[key], form) for year in years]
    assert [row[-1] for row in rows] == [whole(year["cash_per_ac"]) for year in years]


def test_cuts_are_the_sales_of_the_document() -> None:
    heads, *rows = page().tables["table-cuts"]
    sales = [
        sale for name in ("silvopasture", "plantation") for sale in document()["comparison"]["systems"][name]["sales"]
    ]
    assert [row[1] for row in rows] == [str(sale["year"]) for sale in sales]
    pulp = heads.index("pulpwood, tons/ac")
    assert [row[pulp] for row in rows] == [f"{sale['ton_ac']['pulpwood']:.1f}" for sale in sales]


def test_jobs_add_up_to_the_cash_of_the_plan_and_every_line_has_somebody_to_call() -> None:
    outcome = gathered().comparison.systems["silvopasture"]
    jobs = jobs_of(outcome)
    total = sum(sum(job.brings) - sum(job.costs) for job in jobs)
    assert total == pytest.approx(float(outcome.cash_per_ac.sum()) * 40.0)
    shown = " ".join(cell for row in page().tables["table-jobs"] for cell in row)
    for whom in ("registered forester", "licensed pesticide applicator", "logger", "extension agent", "tax adviser"):
        assert whom in shown
    for line in LINES:
        job = job_of(line)
        assert job.whom, line.key
        assert line.account == END_VALUE or job in JOBS or line.enterprise == "grazing", line.key


@pytest.mark.parametrize(
    ("years", "runs"),
    [
        ([], []),
        ([0, 1, 2], [[0, 1, 2]]),
        ([5, 25], [[5], [25]]),
        ([8, 10, 12, 14], [[8, 10, 12, 14]]),
        ([7, 27, 47], [[7], [27], [47]]),
        ([0, 1, 16, 24, 35], [[0, 1], [16], [24], [35]]),
    ],
)
def test_years_are_parted_into_runs(years: list[int], runs: list[list[int]]) -> None:
    assert runs_of(years) == runs


def test_the_page_begins_with_who_asked_what_and_tells_every_part() -> None:
    order = [
        "property and the question", "answer", "side by side", "year by year", "lean years", "land equivalent ratio",
        "Light and grass", "Thinnings and products", "first thinning", "moves the result most", "Assumptions",
        "does not know", "Cautions", "Appendix",
    ]  # fmt: skip
    heads = [text for _, text in page().headings]
    places = [next(i for i, head in enumerate(heads) if words in head) for words in order]
    assert places == sorted(places)
    for words in ("Orla Quillfern", "Ansel Tarrow", "March 3, 2025", "Should I plant pines"):
        assert words in page().text
    for words in ("label is the law", "no hay may be cut", "Prescribed fire", "nitrate", "Storm-damaged", "tax adviser",
                  "can burn, blow down", "poisonous plants", "Local codes"):  # fmt: skip
        assert words in page().text


def test_headings_descend_by_one_and_pictures_say_what_they_show_with_numbers() -> None:
    levels = [level for level, _ in page().headings]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(later - before <= 1 for before, later in pairwise(levels))
    assert len(page().pictures) == 5
    for words, address in page().pictures:
        assert address.startswith("data:image/svg+xml;base64,")
        assert len(re.findall(r"\d", words)) >= 3
    incomes = document()["comparison"]["systems"]
    for name in ("silvopasture", "plantation", "pasture"):
        assert f"${whole(incomes[name]['equal_annual_income_per_ac'])}" in page().pictures[0][0]


def test_the_page_asks_nobody_is_accessible_and_fits_both_papers(browser: "Browser", tmp_path: Path) -> None:
    file = tmp_path / "report.html"
    file.write_text(html(), encoding="utf-8")
    asked: list[str] = []
    with browser.new_context(viewport={"width": 1000, "height": 1200}) as context:
        tab = context.new_page()
        tab.on("request", lambda request: asked.append(request.url))
        tab.goto(file.as_uri())
        assert violations(tab) == []
        assert [url for url in asked if not url.startswith("data:")] == [file.as_uri()]
        tab.set_viewport_size({"width": 390, "height": 800})  # a telephone: tables scroll inside, the page does not
        assert tab.evaluate("document.documentElement.scrollWidth") <= 390
        for name, paper in PAPERS.items():
            assert_prints_whole(tab, name, paper)


def assert_prints_whole(tab: "Tab", name: str, paper: tuple[float, float]) -> None:
    """Nothing is wider than what the margins leave, and every cell is in the print."""
    from io import BytesIO  # noqa: PLC0415

    from pypdf import PdfReader  # noqa: PLC0415

    width = int((paper[0] - MARGINS_IN) * PIXELS_PER_INCH)
    tab.emulate_media(media="print")
    tab.set_viewport_size({"width": width, "height": 900})
    wide = tab.evaluate(
        "width => [...document.body.querySelectorAll('*')].filter(e => e.getBoundingClientRect().right > width + 1)"
        ".map(e => e.tagName + ' ' + e.textContent.slice(0, 40))",
        width,
    )
    assert wide == [], name
    printed = PdfReader(BytesIO(tab.pdf(format=name, prefer_css_page_size=False)))
    box = printed.pages[0].mediabox
    assert (float(box.width) / 72, float(box.height) / 72) == pytest.approx(paper, abs=0.02)
    text = squeezed(" ".join(sheet.extract_text() for sheet in printed.pages))
    for table in tables(document()):
        for row in table["rows"]:
            assert all(squeezed(cell) in text for cell in row)
    tab.emulate_media(media="screen")


def squeezed(text: str) -> str:
    """Text without spaces and soft line ends, which printing moves, and without joined letters."""
    return re.sub(r"[\s\u00ad\u200b]+", "", unicodedata.normalize("NFKC", text))


def test_the_pdf_is_tagged_named_and_says_the_same_numbers(absent: Callable[[str], NoReturn]) -> None:
    from io import BytesIO  # noqa: PLC0415

    import pikepdf  # noqa: PLC0415
    from pypdf import PdfReader  # noqa: PLC0415

    content = pdf_of(html(), absent)
    with pikepdf.open(BytesIO(content)) as file:
        assert str(file.Root.Lang) == "en-US"
        assert file.Root.MarkInfo.Marked
        assert str(file.docinfo["/Title"]) == "North field: trees, grass or both"
        assert str(file.docinfo["/CreationDate"]).startswith("D:20250303")
        with file.open_metadata() as meta:
            assert meta["pdfuaid:part"] == "1"
        parts = list(tagged(file.Root.StructTreeRoot.K))
    kinds = [kind for kind, _ in parts]
    assert [words for kind, words in parts if kind == "/Figure"] == [words for words, _ in page().pictures]
    assert kinds.count("/H1") == 1
    assert kinds.count("/Table") >= len(page().tables)
    assert kinds.count("/TH") > 0
    reader = PdfReader(BytesIO(content))
    assert {tuple(round(float(side) / 72, 2) for side in sheet.mediabox[2:]) for sheet in reader.pages} == {(8.5, 11.0)}
    text = squeezed(" ".join(sheet.extract_text() for sheet in reader.pages))
    for table in tables(document()):
        for row in table["rows"]:
            assert all(squeezed(cell) in text for cell in row), (table["key"], row)
    assert f"page1of{len(reader.pages)}" in text


def tagged(node: object) -> Iterator[tuple[str, str]]:
    """Kind and words of every element of a PDF's tree, in order."""
    import pikepdf  # noqa: PLC0415

    if isinstance(node, pikepdf.Array):
        for child in node:
            yield from tagged(child)
    elif isinstance(node, pikepdf.Dictionary) and "/S" in node:
        yield str(node.S), str(node.get("/Alt", ""))
        if "/K" in node:
            yield from tagged(node.K)


def test_the_same_plan_makes_the_same_bytes(absent: Callable[[str], NoReturn]) -> None:
    again = report_html([gather(load_text(example_text(), "example"))])
    assert again == html()
    short = '<!DOCTYPE html><html lang="en"><head><title>a</title></head><body><h1>a</h1></body></html>'
    assert pdf_of(short, absent) == pdf_of(short, absent)


def test_what_a_person_wrote_is_shown_and_never_read_as_a_page(tmp_path: Path, browser: "Browser") -> None:
    title = "<script>alert(1)</script></style>\\\"'{{ 7*7 }}"
    text = example_text().replace('title = "North field"', f"title = '''{title}'''")
    text = text.replace('client = "Orla Quillfern, Quillfern Farm"', "client = '<b onmouseover=x>Orla</b>'")
    base = gathered()
    made = report_html([Gathered(load_text(text, "x"), None, base.comparison, base.what_if)])
    assert "<script" not in made
    assert "<b " not in made
    assert made.count("</style>") == 1
    read = read_page(made)
    assert read.headings[0] == (1, title)
    assert "<b onmouseover=x>Orla</b>" in read.text
    file = tmp_path / "report.html"
    file.write_text(made, encoding="utf-8")
    with browser.new_context() as context:
        tab = context.new_page()
        tab.goto(file.as_uri())
        assert tab.locator("h1").inner_text() == title


@pytest.mark.parametrize("text", ['a"b', "a\\b", "a</style>b", "a\nb", "Ünï"])
def test_text_in_a_style_sheet_holds_nothing_that_could_end_it(text: str) -> None:
    assert not set(css_text(text)) & set("\"\n<>'{};")


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(report_command, [str(each) for each in arguments])


def test_files_are_written_and_the_document_is_printed(halfshade: Halfshade, tmp_path: Path) -> None:
    (tmp_path / "field.toml").write_text(example_text(), encoding="utf-8")
    done = halfshade("report", "field.toml", "--no-pdf", "--json", "--out", "out")
    assert done.returncode == 0, done.stderr
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        "made-with.json",
        "report.html",
        "report.json",
    ]
    assert (tmp_path / "out" / "report.json").read_text(encoding="utf-8") == done.stdout
    assert (tmp_path / "out" / "report.html").read_text(encoding="utf-8") == html()
    assert str(tmp_path) not in "".join(path.read_text(encoding="utf-8") for path in (tmp_path / "out").iterdir())
    assert json.loads(done.stdout)["plans"][0]["client"] == "Orla Quillfern, Quillfern Farm"


@keeps("Extras that are not installed")
@pytest.mark.parametrize(
    ("fault", "words"), [("raise ImportError('gone')", "halfshade[pdf]"), ("raise OSError('no libpango')", "Pango")]
)
def test_without_what_draws_a_pdf_the_page_is_there_and_the_message_names_the_extra(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: str, words: str
) -> None:
    monkeypatch.setattr(sys.modules["workbench.report.gather"], "gather", lambda *_, **__: gathered())
    monkeypatch.setattr("workbench.report.page.report_html", lambda _: html())
    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    (tmp_path / "weasyprint.py").write_text(f"{fault}\n", encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    out = tmp_path / "out"
    done = run("--out", out)
    assert done.exit_code == 0, done.output
    for said in (words, "[pdf]", "report.html was written"):
        assert said in done.stderr
    (out / "report.pdf").write_bytes(b"%PDF-old")
    (out / "report.html").unlink()
    asked = run("--out", out, "--pdf")
    assert isinstance(asked.exception, MissingExtraError)  # which leaves with 2 and its words, see workbench.main
    assert words in str(asked.exception)
    assert "is of an earlier run" in str(asked.exception)
    assert (out / "report.html").is_file()


def test_a_folder_that_is_a_file_and_a_title_without_end_are_refused(halfshade: Halfshade, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("", encoding="utf-8")
    done = halfshade("report", "--out", "taken")
    assert done.returncode == 2
    assert "is a file, not a folder" in done.stderr
    long = tmp_path / "long.toml"
    long.write_text(
        example_text().replace("North field", "N" * 10_000, 1).replace('"North field"', f'"{"N" * 10_000}"')
    )
    done = halfshade("report", long, "--out", "out")
    assert done.returncode == 2
    assert "title: must be text in quotes of at most 200 letters" in done.stderr
    assert len(done.stderr) < 500
    assert not (tmp_path / "out").exists()


def test_several_plans_stand_side_by_side_and_say_in_what_they_differ(browser: "Browser", tmp_path: Path) -> None:
    other = example_text().replace("acres = 40", "acres = 60").replace("# calf = 2.10", "hay = 150").replace(
        'title = "North field"', 'title = "South field"'
    )  # fmt: skip
    several = [gathered(), gather(load_text(other, "other"))]
    made = report_html(several)
    read = read_page(made)
    assert read.headings[0] == (1, "North field / South field")
    rows = {row[0]: row[1:] for row in read.tables["table-plans"]}
    for title, of in zip(("North field", "South field"), several, strict=True):
        mine = of.comparison.systems["silvopasture"].measures
        assert rows[title][:2] == [f"{of.scenario.land.acres:g}", whole(mine.equal_annual_income)]
    assert "not of one size (40, 60 acres)" in read.text
    assert "do not rest on the same prices" in read.text
    assert [text for level, text in read.headings if level == 2][1:3] == ["North field", "South field"]
    assert {"plan-1-table-measures", "plan-2-table-measures"} <= set(read.tables)
    assert read.text.count("The label is the law") == 1
    file = tmp_path / "report.html"
    file.write_text(made, encoding="utf-8")
    with browser.new_context() as context:
        tab = context.new_page()
        tab.goto(file.as_uri())
        assert violations(tab) == []


def test_a_standing_stand_is_asked_whether_to_wait(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.modules["workbench.report.gather"], "LONGEST_WAIT_YR", 2)  # a quarter of the time
    of = gather(load_text(stand_example_text(), "stand"))
    read = read_page(report_html([of]))
    assert "Thin now, or wait?" in [text for _, text in read.headings]
    answers = of.document["wait"]
    assert answers["sentence"] in read.text
    assert len(read.pictures) == 6


def test_the_best_plan_and_the_odds_come_where_they_are_asked_for(tmp_path: Path) -> None:
    """The slowest test here: the smallest search there is, and four draws."""
    file = tmp_path / "field.toml"
    file.write_text(example_text() + SMALL_SEARCH, encoding="utf-8")
    done = run(file, "--optimize", "--odds", "4", "--no-pdf", "--out", tmp_path / "out")
    assert done.exit_code == 0, done.output
    said = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))["plans"][0]
    read = read_page((tmp_path / "out" / "report.html").read_text(encoding="utf-8"))
    assert said["odds"]["draws"] == 4
    assert "Illustrative, no forecast" in read.text
    best = said["optimum"]["best"]
    rows = {row[0]: row[1:] for row in read.tables["table-best-plans"]}
    assert whole(best["land_expectation_per_ac"]) in rows["Land expectation value, $/ac"]
    assert "table-odds" in read.tables
    assert json.loads((tmp_path / "out" / "made-with.json").read_text(encoding="utf-8"))["options"]["odds"] == 4


@pytest.mark.parametrize("option", ["--pdf", "--xlsx"])
def test_a_file_without_a_folder_is_refused(option: str, halfshade: Halfshade) -> None:
    done = halfshade("report", "--json", option)
    assert (done.returncode, done.stdout) == (2, "")
    said = "has no folder: --json alone writes no files. Name one with --out."
    assert done.stderr.strip() == f"halfshade: {option}: {said}"
