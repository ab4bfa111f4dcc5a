"""Charts that spreadsheets draw themselves from the cells, so that they follow a changed price."""

from collections.abc import Iterator
from typing import Any, Final

from workbench.charts.style import ENTERPRISE_COLOR, FAINT, INK, SYSTEM_INK, year_words
from workbench.words import uses_grass
from workbench.workbook import cash
from workbench.workbook.block import Block
from workbench.workbook.case import Case
from workbench.workbook.measures import Sheets
from workbench.workbook.page import Page
from workbench.workbook.summary import SummaryCells

DASH: Final = {"-": "solid", "--": "dash", ":": "round_dot", "-.": "dash_dot"}
OTHER_COLORS: Final = ("#8a6f9e", "#c98a6b", "#5f8f8a", "#9a9a5a")
"""For enterprises a person named."""
SIZE: Final = {"width": 900, "height": 400}
ROWS_OF_A_CHART: Final = 21
PLAN: Final = "silvopasture"
NOTES: Final = ("Drawn from the cells: they follow a changed price or rate where the cells do.",)


def write_charts(case: Case, sheets: Sheets, summary: SummaryCells, page: Page) -> None:
    """Write the sheet of charts of one comparison.

    Parameters
    ----------
    case
        The comparison.
    sheets, summary
        What the charts draw.
    page
        The sheet.
    """
    row = page.title(f"Charts: {case.title}", *NOTES)
    breaks = []
    for chart, said in _charts(case, sheets, summary, page):
        chart.set_size(SIZE)
        page.sheet.insert_chart(row, 0, chart, {"description": said, "object_position": 2})
        row += ROWS_OF_A_CHART
        breaks.append(row)
    page.widths(*(10 for _ in range(13)))
    page.sheet.set_h_pagebreaks(breaks[:-1])
    page.printed(row, 12)


def _charts(case: Case, sheets: Sheets, summary: SummaryCells, page: Page) -> Iterator[tuple[Any, str]]:
    yield _cumulative(case, sheets, page), "Lines of cash since the start by system, $ per acre, undiscounted, by year."
    yield (
        _enterprises(case, sheets, page),
        f"Columns of cash of each year by enterprise of {case.names[PLAN]}, $ per acre, end values left out.",
    )
    if any(_has_light(case, system) for system in case.systems):
        yield _light(case, sheets, page), "Lines of summer light on the grass ground by system, share of open sky."
    yield _income(summary, page), "Bars of equal annual income by system, $ per acre a year."


def _axes(chart: Any, title: str, x: str, y: str, y_format: str) -> None:  # noqa: ANN401 - xlsxwriter has no types
    font = {"name": "Calibri", "size": 9, "color": INK}
    plain = {**font, "bold": False}
    chart.set_title({"name": title, "name_font": {**font, "size": 12, "bold": True}, "overlay": False})
    chart.set_x_axis(
        {"name": x, "name_font": plain, "num_font": plain, "label_position": "low", "line": {"color": FAINT}}
    )
    grid = {"visible": True, "line": {"color": "#dfe3e5", "width": 0.5}}
    chart.set_y_axis(
        {"name": y, "name_font": plain, "num_font": plain, "num_format": y_format, "major_gridlines": grid}
    )
    chart.set_legend({"position": "bottom", "font": plain})


def _years_on(chart: Any, case: Case, title: str, y: str, y_format: str) -> None:  # noqa: ANN401
    _axes(chart, title, year_words(case.comparison), y, y_format)
    chart.x_axis.update({"interval_unit": 5, "interval_tick": 5})


def _cells(block: Block, col: int) -> list[Any]:
    return [block.page.name, block.first, col, block.last, col]


def _line(case: Case, system: str, block: Block, cols: tuple[int, int]) -> dict[str, Any]:
    """A line of one system in its colour and dash, its name at its end."""
    ink, ends = SYSTEM_INK[system], block.last - block.first
    font = {"name": "Calibri", "size": 9, "bold": True, "color": ink.words}
    return {
        "name": case.names[system],
        "categories": _cells(block, cols[0]),
        "values": _cells(block, cols[1]),
        "line": {"color": ink.color, "width": 2.25, "dash_type": DASH[ink.dash]},
        "data_labels": {
            "series_name": True,
            "value": False,
            "position": "right",
            "font": font,
            "custom": [*({"delete": True} for _ in range(ends)), {}],
        },
    }


def _cumulative(case: Case, sheets: Sheets, page: Page) -> Any:  # noqa: ANN401
    chart = page.book.add_chart({"type": "line"})
    for system, block in sheets.cash.items():
        chart.add_series(_line(case, system, block, (cash.YEAR, cash.SINCE)))
    _years_on(chart, case, "Cash since the start, undiscounted, end values left out", "$ per acre", '"$"#,##0;-"$"#,##0')
    return chart


def _enterprises(case: Case, sheets: Sheets, page: Page) -> Any:  # noqa: ANN401
    chart = page.book.add_chart({"type": "column", "subtype": "stacked"})
    cells = sheets.enterprises[PLAN]
    spare = iter(OTHER_COLORS * (len(cells.col) + 1))
    for name, col in cells.col.items():
        color = ENTERPRISE_COLOR.get(name) or next(spare)
        chart.add_series(
            {
                "name": [cells.block.page.name, cells.block.first - 2, col],
                "categories": _cells(cells.block, 0),
                "values": _cells(cells.block, col),
                "fill": {"color": color},
                "border": {"color": INK, "width": 0.25},
                "gap": 30,
            }
        )
    title = f"Cash of each year by enterprise: {case.names[PLAN]}"
    _years_on(chart, case, title, "$ per acre in the year", '"$"#,##0;-"$"#,##0')
    return chart


def _has_light(case: Case, system: str) -> bool:
    scenario = case.systems[system].scenario
    return scenario.trees is not None and (uses_grass(scenario) or system == "plantation")


def _light(case: Case, sheets: Sheets, page: Page) -> Any:  # noqa: ANN401
    chart = page.book.add_chart({"type": "line"})
    for system in case.systems:
        if _has_light(case, system):
            chart.add_series(_line(case, system, sheets.years[system], (1, sheets.years.col["light_warm"])))
    _years_on(chart, case, "Summer light that reaches the grass ground", "share of open sky", "0%")
    chart.y_axis.update({"min": 0, "max": 1})
    return chart


def _income(summary: SummaryCells, page: Page) -> Any:  # noqa: ANN401
    chart, row = page.book.add_chart({"type": "bar"}), summary.row["Equal annual income"]
    cols = list(summary.col.values())
    points = [{"fill": {"color": SYSTEM_INK[system].color}} for system in summary.col]
    chart.add_series(
        {
            "name": "Equal annual income",
            "categories": [summary.page.name, summary.names, cols[0], summary.names, cols[-1]],
            "values": [summary.page.name, row, cols[0], row, cols[-1]],
            "points": points,
            "gap": 60,
            "data_labels": {"value": True, "num_format": '"$"#,##0;-"$"#,##0'},
        }
    )
    _axes(chart, "Equal annual income, each cycle repeated for ever", "", "$ per acre a year", '"$"#,##0;-"$"#,##0')
    chart.set_legend({"none": True})
    return chart
