"""Charts that spreadsheets draw themselves from the cells, so that they follow a changed price."""

from collections.abc import Iterator, Mapping
from typing import Any, Final

import numpy as np
from xlsxwriter.chart_line import ChartLine

from workbench.charts.style import ENTERPRISE_COLOR, FAINT, GRID, INK, SYSTEM_INK, year_words
from workbench.words import uses_grass
from workbench.workbook import cash
from workbench.workbook.block import Block
from workbench.workbook.case import Case
from workbench.workbook.labels import label_years
from workbench.workbook.measures import Sheets
from workbench.workbook.page import ROW_PT, Page
from workbench.workbook.summary import SummaryCells

DASH: Final = {"-": "solid", "--": "dash", ":": "round_dot", "-.": "dash_dot"}
OTHER_COLORS: Final = ("#8a6f9e", "#c98a6b", "#5f8f8a", "#9a9a5a")
"""For enterprises a person named."""
WOOD: Final = "wood"
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
    page.widths(*(10 for _ in range(13)))
    row = page.title(f"Charts: {case.title}", *NOTES, last_col=12)
    breaks = []
    for chart, said in _charts(case, sheets, summary, page):
        chart.set_size(SIZE)
        page.sheet.insert_chart(row, 0, chart, {"description": said, "object_position": 2, "y_offset": 6})
        row += ROWS_OF_A_CHART
        breaks.append(row)
    page.printed_in_blocks(row, 12, breaks[1:-1:2], ROW_PT * (2 * ROWS_OF_A_CHART + 4))


def _charts(case: Case, sheets: Sheets, summary: SummaryCells, page: Page) -> Iterator[tuple[Any, str]]:
    yield _cumulative(case, sheets, page), "Lines of cash since the start by system, $ per acre, undiscounted, by year."
    names = list(sheets.enterprises[PLAN].col)
    said = f"Columns of cash of each year by enterprise of {case.names[PLAN]}, $ per acre, end values left out."
    title = f"Cash of each year by enterprise: {case.names[PLAN]}"
    yield _enterprises(case, sheets, page, names, title), said
    if WOOD in names and len(names) > 1:
        beside = [name for name in names if name != WOOD]
        yield _enterprises(case, sheets, page, beside, f"{title}, without wood"), f"The same without wood. {said}"
    if any(_has_light(case, system) for system in case.systems):
        yield _light(case, sheets, page), "Lines of summer light on the grass ground by system, share of open sky."
    yield _income(summary, page), "Bars of equal annual income by system, $ per acre a year."


FONT: Final = {"name": "Calibri", "size": 9, "color": INK, "bold": False}
DOLLARS: Final = '"$"#,##0;-"$"#,##0'


def _head(chart: Any, title: str) -> None:  # noqa: ANN401 - xlsxwriter has no types
    chart.set_title({"name": title, "name_font": {**FONT, "size": 12, "bold": True}, "overlay": False})
    chart.set_legend({"position": "bottom", "font": FONT})


def _amounts(name: str, num_format: str) -> dict[str, Any]:
    """Look of the axis of amounts."""
    grid = {"visible": True, "line": {"color": GRID, "width": 0.5}}
    return {"name": name, "name_font": FONT, "num_font": FONT, "num_format": num_format, "major_gridlines": grid}


def _by_year(chart: Any, case: Case, title: str, amounts: dict[str, Any]) -> None:  # noqa: ANN401
    _head(chart, title)
    chart.set_y_axis(amounts)
    chart.set_x_axis(
        {
            "name": year_words(case.comparison),
            "name_font": FONT,
            "num_font": FONT,
            "label_position": "low",
            "line": {"color": FAINT},
            "interval_unit": 5,
            "interval_tick": 5,
            "position_axis": "on_tick" if isinstance(chart, ChartLine) else "between",
        }
    )


def _cells(block: Block, col: int) -> list[Any]:
    return [block.page.name, block.first, col, block.last, col]


def _lines(chart: Any, case: Case, lines: Mapping[str, tuple[Block, int, int]], years: Mapping[str, int]) -> None:  # noqa: ANN401
    """Draw a line for each system in its colour and dash, its name beside it instead of a legend."""
    for system, (block, year, col) in lines.items():
        ink, said = SYSTEM_INK[system], years[system]
        labels = {
            "series_name": True,
            "value": False,
            "position": "above",
            "font": {"name": "Calibri", "size": 9, "bold": True, "color": ink.words},
            "custom": [{} if place == said else {"delete": True} for place in range(block.last - block.first + 1)],
        }
        chart.add_series(
            {
                "name": case.names[system],
                "categories": _cells(block, year),
                "values": _cells(block, col),
                "line": {"color": ink.color, "width": 2.25, "dash_type": DASH[ink.dash]},
                "data_labels": labels,
            }
        )
    chart.set_legend({"none": True})


def _cumulative(case: Case, sheets: Sheets, page: Page) -> Any:  # noqa: ANN401
    chart = page.book.add_chart({"type": "line"})
    since = {system: np.cumsum(outcome.cash_per_ac) for system, outcome in case.systems.items()}
    lines = {system: (block, cash.YEAR, cash.SINCE) for system, block in sheets.cash.items()}
    title = "Cash since the start, undiscounted, end values left out"
    _by_year(chart, case, title, _amounts("$ per acre", DOLLARS))
    _lines(chart, case, lines, label_years(since))
    return chart


def _enterprises(case: Case, sheets: Sheets, page: Page, names: list[str], title: str) -> Any:  # noqa: ANN401
    chart = page.book.add_chart({"type": "column", "subtype": "stacked"})
    cells = sheets.enterprises[PLAN]
    spare = iter(OTHER_COLORS * (len(names) + 1))
    for name in names:
        color = ENTERPRISE_COLOR.get(name) or next(spare)
        chart.add_series(
            {
                "name": [cells.block.page.name, cells.block.first - 2, cells.col[name]],
                "categories": _cells(cells.block, 0),
                "values": _cells(cells.block, cells.col[name]),
                "fill": {"color": color},
                "gap": 30,
            }
        )
    _by_year(chart, case, title, _amounts("$ per acre in the year", DOLLARS))
    return chart


def _has_light(case: Case, system: str) -> bool:
    scenario = case.systems[system].scenario
    return scenario.trees is not None and (uses_grass(scenario) or system == "plantation")


def _light(case: Case, sheets: Sheets, page: Page) -> Any:  # noqa: ANN401
    chart, col = page.book.add_chart({"type": "line"}), sheets.years.col["light_warm"]
    light = {system: case.systems[system].states["light_warm"] for system in case.systems if _has_light(case, system)}
    amounts = {**_amounts("light, share of open sky", "0%"), "min": 0, "max": 1}
    _by_year(chart, case, "Summer light that reaches the grass ground", amounts)
    _lines(chart, case, {system: (sheets.years[system], 1, col) for system in light}, label_years(light, top=1.0))
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
            "data_labels": {"value": True, "num_format": DOLLARS, "font": FONT},
        }
    )
    _head(chart, "Equal annual income, each cycle repeated for ever")
    chart.set_x_axis(_amounts("$ per acre a year", DOLLARS))
    chart.set_y_axis(
        {
            "reverse": True,
            "crossing": "max",
            "num_font": FONT,
            "label_position": "low",
            "major_gridlines": {"visible": False},
        }
    )
    chart.set_legend({"none": True})
    return chart
