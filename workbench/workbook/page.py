"""One sheet: text that stays text, numbers, formulas with the value they have, and how it is printed."""

import math
import textwrap
from collections.abc import Collection, Sequence
from typing import Any, Final

from xlsxwriter.utility import xl_range_abs, xl_rowcol_to_cell

from workbench.workbook.styles import Styles
from workbench.workbook.text import may_be_taken_for_a_formula, plain_text, quoted

LETTER: Final = 1
"""Number of the paper in the file format."""
LINE_PT: Final = 13.5
LETTER_PT, MARGIN_PT = 5.8, 4.2
"""Width of a letter of the widths of columns, and of a cell's margins; a tenth more than the file format asks [pt]."""
ROW_PT: Final = 15.0
"""Height of an ordinary row."""
PAGE_WIDTH_PT: Final = 720.0
PAGE_HEIGHT_PT: Final = 510.0
LEAST_SCALE: Final = 0.55
Value = float | int | str | None


class Page:
    """A sheet that is being written; rows and columns count from 0.

    Parameters
    ----------
    sheet
        The library's worksheet.
    book
        Its workbook.
    styles
        Looks of the workbook's cells.
    """

    def __init__(self, sheet: Any, book: Any, styles: Styles) -> None:  # noqa: ANN401 - xlsxwriter has no types
        self.sheet, self.book, self.styles = sheet, book, styles
        self.name = str(sheet.get_name())
        self._widths: Sequence[float] = ()

    def define(self, name: str, row: int, col: int) -> None:
        """Give a cell a name that formulas of every sheet may use."""
        self.book.define_name(name, f"={self.at(row, col)}")

    def text(self, row: int, col: int, text: str, style: str = "text") -> None:
        """Write text that no spreadsheet computes, whatever it begins with."""
        plain = plain_text(text)
        look = self.styles.get(style, text_mark=may_be_taken_for_a_formula(plain))
        self.sheet.write_string(row, col, plain, look)

    def number(self, row: int, col: int, value: float, style: str) -> None:
        """Write a number as it is."""
        self.sheet.write_number(row, col, float(value) + 0.0, self.styles.get(style))

    def formula(self, row: int, col: int, formula: str, value: Value, style: str) -> None:
        """Write a formula with the value it has, for viewers that do not recalculate."""
        self.sheet.write_formula(row, col, f"={formula}", self.styles.get(style), _stored(value))

    def widths(self, *widths: float) -> None:
        """Set the width of each column from the left [letters]; heights of headings and paragraphs follow from them."""
        self._widths = widths
        for col, width in enumerate(widths):
            self.sheet.set_column(col, col, width)

    def row_of_heads(self, row: int, heads: Sequence[str], words: Collection[int] = (0,)) -> None:
        """Write column headings, as high as the longest needs; those of columns of words stand left."""
        for col, head in enumerate(heads):
            look = ("head said" if col else "head") if col in words else "head right"
            self.text(row, col, head, look)
        lines = max(_lines(head, width) for head, width in zip(heads, self._widths, strict=False))
        self.sheet.set_row(row, LINE_PT * lines + 2.0)

    def title(self, title: str, *notes: str, last_col: int) -> int:
        """Write the heading of the sheet and paragraphs below it; return the next free row, after an empty one."""
        self.text(0, 0, title, "title")
        self.sheet.set_row(0, 21.0)
        for row, note in enumerate(notes, start=1):
            self.paragraph(row, note, (0, last_col))
        return len(notes) + 2

    def paragraph(self, row: int, text: str, cols: tuple[int, int], style: str = "note") -> None:
        """Write a text across columns, first to last, as high as it needs."""
        plain = plain_text(text)
        look = self.styles.get(style, text_mark=may_be_taken_for_a_formula(plain))
        self.sheet.merge_range(row, cols[0], row, cols[1], "", look)
        self.sheet.write_string(row, cols[0], plain, look)
        lines = math.ceil(len(plain) / (1.1 * sum(self._widths[cols[0] : cols[1] + 1])))
        self.sheet.set_row(row, LINE_PT * max(lines, 1))

    def local(self, row: int, col: int) -> str:
        """Address of a cell as its own sheet writes it."""
        return str(xl_rowcol_to_cell(row, col))

    def at(self, row: int, col: int) -> str:
        """Address of a cell as other sheets write it."""
        return f"{quoted(self.name)}!{xl_rowcol_to_cell(row, col, row_abs=True, col_abs=True)}"

    def column(self, first: int, last: int, col: int) -> str:
        """Address of a part of a column as other sheets write it."""
        return f"{quoted(self.name)}!{xl_range_abs(first, col, last, col)}"

    def area(self, first: int, last: int, first_col: int, last_col: int) -> str:
        """Address of a block of cells as other sheets write it."""
        return f"{quoted(self.name)}!{xl_range_abs(first, first_col, last, last_col)}"

    def printed(self, last_row: int, last_col: int, heads: tuple[int, int] | None = None, pages_wide: int = 1) -> None:
        """Set Letter paper across, the part that is printed, the rows on every page, and the foot of a page.

        Parameters
        ----------
        last_row, last_col
            End of what is printed.
        heads
            First and last row repeated on each page, and kept in sight on the screen.
        pages_wide
            Pages beside each other.
        """
        self.sheet.set_landscape()
        self.sheet.set_paper(LETTER)
        self.sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
        self.sheet.print_area(0, 0, last_row, last_col)
        self.sheet.fit_to_pages(pages_wide, 0)
        self.sheet.set_footer("&L&9&A&R&9page &P of &N")
        self.sheet.hide_gridlines(2)
        if heads is not None:
            self.sheet.repeat_rows(*heads)

    def printed_in_blocks(self, last_row: int, last_col: int, breaks: Sequence[int], highest: float) -> None:
        """Set printing with a new page for each block, scaled so that a block and the columns fit on one.

        Parameters
        ----------
        last_row, last_col
            End of what is printed.
        breaks
            Rows before which a page ends.
        highest
            Height of the highest block [pt].
        """
        self.printed(last_row, last_col)
        self.sheet.set_h_pagebreaks(list(breaks))
        wide = PAGE_WIDTH_PT / sum(LETTER_PT * width + MARGIN_PT for width in self._widths[: last_col + 1])
        # a page that fits by itself ignores breaks between blocks, so the scale is reckoned here
        scale = min(1.0, wide, max(PAGE_HEIGHT_PT / highest, LEAST_SCALE))
        self.sheet.set_print_scale(int(100.0 * scale))


def _lines(text: str, width: float) -> int:
    """Lines that a heading takes in a column, broken between words."""
    return len(textwrap.wrap(text, max(int(width), 1), break_long_words=False)) or 1


def _stored(value: Value) -> float | int | str:
    """The value beside a formula; empty where there is none."""
    if value is None or (isinstance(value, float) and not math.isfinite(value)):
        return ""
    return value if isinstance(value, str) else value + 0
