"""The accountant's workbook: its stored values, what its formulas come to elsewhere, and what text may do in it."""

import io
import itertools
import re
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple, NoReturn

import openpyxl
import pytest
from openpyxl import Workbook

from plans import changed, compared, example
from recalculating import computed, without_values
from simulator.alternatives import systems_of
from simulator.comparison import Comparison, compare
from simulator.errors import InputError
from simulator.events.light import Precision
from simulator.measures import Measures, measure, real_discount_rate
from simulator.result import run
from simulator.scenario.file import load, load_text
from simulator.scenario.model import Scenario
from workbench.charts.style import SYSTEM_INK
from workbench.documents import comparison_document
from workbench.examples import Choices, example_text, scenario_text
from workbench.words import enterprise_words
from workbench.workbook import workbook_bytes, write_workbook

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("own-herd", "standing-pines", "single-rows-straw", "let-go")
CHANGED_RATE = 0.04
DEARER_SAWTIMBER = 1.2
CENT = 0.005
MEASURES = {
    "Equal annual income": "equal_annual_income_per_ac",
    "before tax and administration": "equal_annual_margin_before_overhead_per_ac",
    "Net present value, end values in it": "npv_per_ac",
    "left at the end, in that year's dollars": "end_value_per_ac",
    "Benefit / cost, discounted": "benefit_cost",
    "Deepest cash since the start": "deepest_cash_per_ac",
}
"""Labels of the summary and the keys of the comparison's document."""


@cache
def plan(name: str) -> Scenario:
    """An example; the first with each commented line made to count: loans, help, wood at the mill; an orchard."""
    if name == "everything":
        return load_text(re.sub(r"^# (?=\[|\w+ = )", "", example_text(), flags=re.MULTILINE), "mine.toml")
    if name == "pecan":
        return load_text(scenario_text(Choices(trees="pecan")), "pecan.toml")
    return load(EXAMPLES / f"{name}.toml")


@cache
def of(name: str) -> Comparison:
    """Its comparison."""
    return compared() if name == "north-field" else compare(plan(name), EXAMPLES, "fast")


@cache
def content(name: str) -> bytes:
    return workbook_bytes([of(name)])


def opened(made: bytes, *, values: bool) -> Workbook:
    return openpyxl.load_workbook(io.BytesIO(made), data_only=values)


@cache
def stored(name: str) -> Workbook:
    return opened(content(name), values=True)


@cache
def formulas(name: str) -> Workbook:
    return opened(content(name), values=False)


class Summary(NamedTuple):
    """Figures of a summary by label, in the order of the systems."""

    names: list[str]
    figures: dict[str, list[Any]]

    @classmethod
    def of(cls, book: Workbook) -> "Summary":
        """The first summary of a workbook."""
        rows = list(book["Summary"].iter_rows(values_only=True))
        start = next(i for i, row in enumerate(rows) if row[0] == "Measure")
        names = [name for name in rows[start][2:-1] if name]
        figures: dict[str, list[Any]] = {}
        for row in rows[start + 1 :]:
            if row[0]:
                figures.setdefault(row[0], list(row[2 : 2 + len(names)]))
        return cls(names, figures)


@pytest.fixture(scope="module")
def recalculated(tmp_path_factory: pytest.TempPathFactory, absent: Callable[[str], NoReturn]) -> dict[str, Workbook]:
    """Every workbook of these tests computed anew, as it is and with other prices and another rate."""
    files = {name: without_values(content(name)) for name in ALL}
    files |= {
        f"{name} changed": without_values(content(name), {**dearer(name), rate_cell(name): rate_put(name)})
        for name in CHANGED
    }
    files["haul"] = without_values(content("everything"), {"price_haul": 2.0})
    files["several"] = without_values(several())
    return computed(files, tmp_path_factory.mktemp("workbooks"), absent)


ALL = ("north-field", *NAMES, "everything", "pecan")
CHANGED = tuple(name for name in ALL if name != "single-rows-straw")


@cache
def several() -> bytes:
    return workbook_bytes([of("single-rows-straw"), of("standing-pines")])


def dearer(name: str) -> dict[str, float]:
    """Prices moved: sawtimber, standing or at the mill, and nuts of an orchard, by a fifth."""
    items = {"everything": "delivered_sawtimber", "pecan": "nuts"}
    item = items.get(name, "sawtimber")
    return {f"price_{item}": of(name).systems["silvopasture"].prices[item] * DEARER_SAWTIMBER}


def rate_cell(name: str) -> str:
    nominal = of(name).systems["silvopasture"].scenario.money.rate_basis == "nominal"
    return "nominal_discount_rate" if nominal else "discount_rate"


def rate_put(name: str) -> float:
    return CHANGED_RATE + 0.02 * (rate_cell(name) != "discount_rate")


def formula_cells(book: Workbook) -> Iterator[tuple[str, str]]:
    for sheet in book:
        for cell in itertools.chain.from_iterable(sheet.iter_rows()):
            if cell.data_type == "f":
                yield sheet.title, cell.coordinate


def values_of(book: Workbook) -> dict[str, dict[str, Any]]:
    """Values by sheet and address."""
    filled = {
        sheet.title: (cell for row in sheet.iter_rows() for cell in row if cell.value is not None) for sheet in book
    }
    return {title: {cell.coordinate: cell.value for cell in cells} for title, cells in filled.items()}


def same(one: object, other: object) -> bool:
    if isinstance(one, int | float) and isinstance(other, int | float):
        return other == pytest.approx(one, rel=1e-7, abs=1e-7)
    return (one or None) == (other or None)


# Stored values ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ALL)
def test_stored_values_are_those_of_the_document(name: str) -> None:
    document, summary = comparison_document(of(name)), Summary.of(stored(name))
    systems = list(document["systems"].values())
    assert summary.names == [system["name"] for system in systems]
    for label, key in MEASURES.items():
        assert summary.figures[label] == pytest.approx([system[key] for system in systems]), label
    paid = ["never" if system["payback_year"] is None else system["payback_year"] for system in systems]
    assert summary.figures["Paid back in year"] == paid
    land = "Land and stand value" if name == "standing-pines" else "Land expectation value"
    assert summary.figures[land] == pytest.approx([system["land_expectation_per_ac"] for system in systems])
    rates = summary.figures["Internal rate of return of the horizon"]
    highest = [system["irr_all"][-1] if system["irr_all"] else "none" for system in systems]
    assert rates == [pytest.approx(rate) if isinstance(rate, float) else rate for rate in highest]
    ratio = document["land_equivalent_ratio"]["total"]
    assert summary.figures["Land equivalent ratio"][0] == pytest.approx(ratio)


@pytest.mark.parametrize("name", ALL)
def test_cash_flows_and_years_are_those_of_the_document(name: str) -> None:
    systems = comparison_document(of(name))["systems"].values()
    rows = [row for row in stored(name)["Cash flows"].iter_rows(values_only=True) if isinstance(row[0], int)]
    years = [year for system in systems for year in system["years"]]
    assert [row[0] for row in rows] == [year["year"] for year in years]
    assert [row[4] for row in rows] == pytest.approx([year["cash_per_ac"] for year in years])
    assert sum(row[5] for row in rows) == pytest.approx(sum(year.get("end_value_per_ac", 0.0) for year in years))
    head, *states = itertools.dropwhile(
        lambda row: row[0] != "System", stored(name)["Years"].iter_rows(values_only=True)
    )
    forage = head.index("forage [lb/ac]")
    assert [row[forage] for row in states] == pytest.approx([year["forage_lb_ac"] for year in years])


def test_the_ledger_is_the_ledger() -> None:
    outcome = of("everything").systems["silvopasture"]
    name = Summary.of(stored("everything")).names[0]
    rows = [row for row in stored("everything")["Ledger"].iter_rows(values_only=True) if row[0] == name]
    ours = outcome.ledger()
    assert len(rows) == len(ours)
    assert sum(row[9] for row in rows) == pytest.approx(ours["amount"].sum())
    for account, amount in ours.groupby("account")["amount"].sum().items():
        assert sum(row[9] for row in rows if row[3] == account) == pytest.approx(amount), account
    assert {row[2] for row in rows} == {"cash", "end value", "loan"}


# Recalculation ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [*ALL, "several"])
def test_a_spreadsheet_computes_every_stored_value_again(name: str, recalculated: dict[str, Workbook]) -> None:
    ours, plain = (
        (opened(several(), values=True), opened(several(), values=False))
        if name == "several"
        else (stored(name), formulas(name))
    )
    theirs, count = values_of(recalculated[name]), 0
    for sheet, cell in formula_cells(plain):
        count += 1
        one, other = ours[sheet][cell].value, theirs[sheet].get(cell)
        assert same(one, other), f"{sheet} {cell}: stored {one}, computed {other}, {plain[sheet][cell].value}"
    assert count > 1000


def rerun(name: str) -> list[Measures]:
    """The program's own figures with the price and the rate that the cells were given."""
    (cell, price), money = next(iter(dearer(name).items())), plan(name).money
    item = cell.removeprefix("price_")
    moved = changed(plan(name), "money", prices={**money.prices, item: price}, discount_rate=rate_put(name))
    precision: Precision = "exact" if name == "north-field" else "fast"
    if name != "everything":
        return [run(each, EXAMPLES, precision).measures for each in systems_of(moved, EXAMPLES).values()]
    # a cap of help binds in dollars and bids may flip, which the workbook says it does not follow: quantities stay
    rate = real_discount_rate(moved.money)
    return [measure(outcome.flows, outcome.prices | {item: price}, rate) for outcome in of(name).systems.values()]


@pytest.mark.parametrize("name", CHANGED)
def test_a_changed_price_and_rate_give_what_the_program_gives(name: str, recalculated: dict[str, Workbook]) -> None:
    summary, ours = Summary.of(recalculated[f"{name} changed"]), rerun(name)
    figures = summary.figures
    land = "Land and stand value" if name == "standing-pines" else "Land expectation value"
    expected = {
        "Equal annual income": [m.equal_annual_income for m in ours],
        "before tax and administration": [m.equal_annual_margin for m in ours],
        "Net present value, end values in it": [m.npv for m in ours],
        land: [m.land_expectation for m in ours],
        "Deepest cash since the start": [m.deepest_cash for m in ours],
    }
    for label, values in expected.items():
        assert figures[label] == pytest.approx(values, abs=CENT), label
    assert figures["Benefit / cost, discounted"] == pytest.approx([m.benefit_cost for m in ours], abs=1e-6)
    assert figures["Paid back in year"] == ["never" if m.payback_year is None else m.payback_year for m in ours]
    for found, m in zip(figures["Internal rate of return of the horizon"], ours, strict=True):
        assert found == (pytest.approx(m.irr_all[-1], abs=1e-6) if m.irr_all else "none")
    for place, m in enumerate(ours):
        for key, value in m.by_enterprise.items():
            words = enterprise_words(key)
            assert figures[f"{words[0].upper()}{words[1:]}"][place] == pytest.approx(value, abs=CENT)
    changes = [
        abs(now - then)
        for now, then in zip(
            figures["Equal annual income"], Summary.of(stored(name)).figures["Equal annual income"], strict=True
        )
    ]
    assert max(changes) > 1.0


def test_checks_tell_a_bid_that_changes(recalculated: dict[str, Workbook]) -> None:
    def said(book: Workbook) -> set[str]:
        cells = itertools.chain.from_iterable(book["Checks"].iter_rows(values_only=True))
        return {value for value in cells if value in {"bid holds", "bid changes"}}

    assert said(recalculated["everything"]) == {"bid holds"}
    assert "bid changes" in said(recalculated["haul"])
    texts = [row[0] for row in recalculated["haul"]["Summary"].iter_rows(values_only=True) if row[0]]
    assert "At these prices a bid changes: run the program anew; see Checks." in texts


def test_differences_are_nothing_until_something_is_changed(recalculated: dict[str, Workbook]) -> None:
    def differences(book: Workbook) -> list[tuple[str, float]]:
        rows = book["Checks"].iter_rows(values_only=True)
        return [(row[0], row[4]) for row in rows if row[1] and isinstance(row[4], int | float)]

    assert {value for _, value in differences(recalculated["own-herd"])} == {0}
    moved = differences(recalculated["own-herd changed"])
    assert {value for label, value in moved if label.startswith("Sum:")} == {0}
    assert any(value for label, value in moved if not label.startswith("Sum:"))


# What does not follow is said -----------------------------------------------------------------------------------


def test_stated_sums_look_otherwise_and_are_named() -> None:
    sheet = formulas("everything")["Ledger"]
    looks: dict[str, set[Any]] = {}
    for row in sheet.iter_rows():
        if row[7].value == "$":
            looks.setdefault("stated", set()).add(row[6].fill.patternType)
        elif isinstance(row[1].value, int):
            looks.setdefault("priced", set()).add(row[6].fill.patternType)
    assert looks["stated"].isdisjoint(looks["priced"])
    text = " ".join(str(row[0]) for row in stored("everything")["Summary"].iter_rows(values_only=True) if row[0])
    for word in ("follow no price", "Loans are stated", "after tax", "at the mill"):
        assert word in text


def test_every_priced_entry_points_to_named_price_cells() -> None:
    book = formulas("north-field")
    names = {name for name in book.defined_names if name.startswith("price_")}
    for row in book["Ledger"].iter_rows(min_row=6):
        if isinstance(row[1].value, int):
            used = set(re.findall(r"price_\w+", row[8].value))
            assert used
            assert used <= names
            assert row[9].value == f"=G{row[0].row}*I{row[0].row}"
    for name in names:
        sheet, _, cell = book.defined_names[name].attr_text.rpartition("!")
        assert isinstance(book[sheet.strip("'")][cell.replace("$", "")].value, int | float)


# Text, names, bytes -----------------------------------------------------------------------------------------------

EVIL = '=HYPERLINK("http://example.invalid","click")'


@pytest.fixture(scope="module")
def evil(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A workbook of a file and a price table whose every text looks like a formula."""
    tmp_path = tmp_path_factory.mktemp("evil")
    (tmp_path / "mine.toml").write_text(
        'title = "@SUM(A1)"\ncurrency_year = 2025\nextends = "demo-2025"\n[sources]\nme = "+1+1 invented"\n'
        '[sale]\n"=x y" = { value = 3.0, unit = "$/ac", source = "me" }\n'
        'sawtimber = { value = 30.0, unit = "$/ton", source = "me" }\n',
        encoding="utf-8",
    )
    text = example_text().replace('title = "North field"', f"title = '{EVIL}'")
    text = text.replace('"sandy loam"', '"-2+3\\u0001\\u001b[31m"').replace('"demo-2025"', '"mine.toml"')
    text += '\n[[other]]\nname = "1e5"\narea_share = 0.02\nitem = "=x y"\n'
    (tmp_path / "evil.toml").write_text(text, encoding="utf-8")
    return workbook_bytes([compare(load(tmp_path / "evil.toml"), tmp_path, "fast")])


def test_text_of_a_person_never_becomes_a_formula(evil: bytes) -> None:
    plain = opened(evil, values=False)
    kinds: dict[str, set[str]] = {}
    for sheet in plain:
        for cell in itertools.chain.from_iterable(sheet.iter_rows()):
            if isinstance(cell.value, str):
                assert not re.search(r"[\x00-\x08\x0b-\x1f]", cell.value)
                if "HYPERLINK" in cell.value or cell.value in {"@SUM(A1)", "+1+1 invented", "=x y"}:
                    kinds.setdefault(cell.value, set()).add(cell.data_type)
                if cell.value.startswith(("=", "+", "-", "@")) and cell.data_type == "s":
                    assert cell.quotePrefix, cell.coordinate
    assert {"@SUM(A1)", "+1+1 invented", "=x y"} <= set(kinds)
    # openpyxl reads a text that begins with = as a formula, so the file itself is asked
    with zipfile.ZipFile(io.BytesIO(evil)) as book:
        sheets = [book.read(name).decode() for name in book.namelist() if name.startswith("xl/worksheets/sheet")]
        charts = [book.read(name).decode() for name in book.namelist() if name.startswith("xl/charts/")]
    assert not any("HYPERLINK" in formula for page in sheets for formula in re.findall(r"<f>[^<]*</f>", page))
    assert not any("HYPERLINK" in formula for page in charts for formula in re.findall(r"<c:f>[^<]*</c:f>", page))
    assert all("hyperlink" not in page for page in sheets)


def test_an_item_that_no_name_can_hold_gets_one_that_works(
    evil: bytes, tmp_path: Path, absent: Callable[[str], NoReturn]
) -> None:
    again = values_of(computed({"evil": without_values(evil)}, tmp_path, absent)["evil"])
    ours = opened(evil, values=True)
    for sheet, cell in formula_cells(opened(evil, values=False)):
        text = str(ours[sheet][cell].value)
        # openpyxl takes our texts that begin with = for formulas
        assert text.startswith("=") or same(ours[sheet][cell].value, again[sheet].get(cell)), (sheet, cell)


def retitled(title: str) -> Comparison:
    """The example under another title."""
    systems = dict(compared().systems)
    plan = systems["silvopasture"]
    systems["silvopasture"] = replace(plan, scenario=plan.scenario.model_copy(update={"title": title}))
    return replace(compared(), systems=systems)


@pytest.mark.parametrize(
    "titles",
    [
        ("a/b:c*d?e[f]g\\h", "a b c d e f g h"),
        ("x" * 10_000, "x" * 10_000),
        ("History", "'quoted'", "", ""),
        ("Feld Ä 東 & Söhne", "feld ä 東 & söhne"),
    ],
)
def test_sheets_have_short_names_of_their_own(titles: tuple[str, ...]) -> None:
    made = io.BytesIO(workbook_bytes([retitled(title) for title in titles]))
    book = openpyxl.load_workbook(made, read_only=True, data_only=True)
    names = book.sheetnames
    assert names[0] == "Summary"
    assert len({name.casefold() for name in names}) == len(names) == 5 + 8 * len(titles)
    for name in names:
        assert 0 < len(name) <= 31
        assert not re.search(r"[\[\]:*?/\\']", name)
    rows = [row[0] for row in book["Summary"].iter_rows(values_only=True)]
    files = rows[rows.index("File") + 1 :][: len(titles)]
    assert len({text.casefold() for text in files}) == len(titles)
    assert max(len(text) for text in files) <= 60


def test_the_same_comparison_gives_the_same_bytes() -> None:
    again = workbook_bytes([of("north-field")])
    assert again == content("north-field")
    with zipfile.ZipFile(io.BytesIO(again)) as book:
        assert "2025-01-01T00:00:00Z" in book.read("docProps/core.xml").decode()
        assert {entry.date_time for entry in book.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_a_place_where_nothing_can_be_written_is_named_and_left_alone(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        write_workbook([of("north-field")], tmp_path / "missing" / "book.xlsx")
    (tmp_path / "taken.xlsx").mkdir()
    with pytest.raises(InputError, match="cannot be written"):
        write_workbook([of("north-field")], tmp_path / "taken.xlsx")
    assert [path.name for path in tmp_path.iterdir()] == ["taken.xlsx"]
    assert write_workbook([of("north-field")], tmp_path / "book.xlsx").read_bytes() == content("north-field")


def test_no_comparison_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a comparison"):
        workbook_bytes([])


@pytest.mark.parametrize("horizon", [1, 100])
def test_short_and_long_horizons_fit(horizon: int) -> None:
    comparison = compare(changed(example(), "money", horizon_years=horizon), precision="fast")
    made = io.BytesIO(workbook_bytes([comparison]))
    book = openpyxl.load_workbook(made, read_only=True, data_only=True)
    rows = [row for row in book["Cash flows"].iter_rows(values_only=True) if isinstance(row[0], int)]
    assert len(rows) == 3 * (horizon + 1)
    npv = Summary.of(book).figures["Net present value, end values in it"]
    assert npv == pytest.approx([outcome.measures.npv for outcome in comparison.systems.values()])


def test_without_a_rate_there_is_no_land_expectation(tmp_path: Path, absent: Callable[[str], NoReturn]) -> None:
    comparison = compare(changed(example(), "money", discount_rate=0.0), precision="fast")
    made = workbook_bytes([comparison])
    again = Summary.of(computed({"free": without_values(made)}, tmp_path, absent)["free"]).figures
    assert again["Land expectation value"] == ["none at rate 0"] * 3
    incomes = [outcome.measures.equal_annual_income for outcome in comparison.systems.values()]
    assert again["Equal annual income"] == pytest.approx(incomes)


# Print and charts -------------------------------------------------------------------------------------------------


def test_every_sheet_prints_across_letter_paper_with_its_heads() -> None:
    for sheet in formulas("standing-pines"):
        assert sheet.page_setup.orientation == "landscape"
        assert sheet.page_setup.paperSize == str(sheet.PAPERSIZE_LETTER) or int(sheet.page_setup.paperSize) == 1
        assert sheet.print_area
        assert "&P" in sheet.oddFooter.right.text
    for name in ("Ledger", "Cycle ledger", "Prices", "Assumptions", "Quantities", "Years"):
        assert formulas("standing-pines")[name].print_title_rows
        assert formulas("standing-pines")[name].freeze_panes


def test_charts_say_what_they_show() -> None:
    with zipfile.ZipFile(io.BytesIO(content("north-field"))) as book:
        charts = [book.read(name).decode() for name in book.namelist() if name.startswith("xl/charts/chart")]
        drawings = "".join(book.read(n).decode() for n in book.namelist() if n.startswith("xl/drawings/drawing"))
    assert len(charts) == 5
    for chart in charts:
        title, *axes = re.findall(r"<a:t>([^<]*)</a:t>", chart)
        assert title
        assert any("$" in text or "share" in text for text in axes), "an axis with its unit"
    said = re.findall(r'descr="([^"]+)"', drawings)
    assert len(set(said)) == len(charts)
    lines = next(chart for chart in charts if "Cash since the start" in chart)
    for ink in (SYSTEM_INK[system] for system in of("north-field").systems):
        assert ink.color.removeprefix("#").upper() in lines.upper()
