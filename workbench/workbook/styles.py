"""How cells look: what a person may change, what a formula gives, and what is stated and does not follow."""

from collections.abc import Mapping
from typing import Any, Final

from workbench.charts.style import FAINT, INK

GROUND: Final = {
    "input": "#fff6d6",
    "stated": "#e7e3ea",
    "head": "#e4ecec",
}
"""Light grounds that stay apart in grey print, where the pattern of a stated cell tells it too."""
MONEY: Final = '"$"#,##0;-"$"#,##0;"$"0'
CENTS: Final = "#,##0.00;-#,##0.00;0.00"
PRICE: Final = "#,##0.00##;-#,##0.00##;0.00"
QUANTITY: Final = "#,##0.00##;-#,##0.00##;0"

_BASE: Final[dict[str, Any]] = {"font_name": "Calibri", "font_size": 10, "font_color": INK, "valign": "vcenter"}
_INPUT: Final[dict[str, Any]] = {"bg_color": GROUND["input"], "font_color": "#1b3f8b", "border": 1, "locked": False}
_STATED: Final[dict[str, Any]] = {
    "bg_color": GROUND["stated"],
    "fg_color": "#b9b2c0",
    "pattern": 17,
    "italic": True,
}
_HEAD: Final[dict[str, Any]] = {
    "bold": True,
    "text_wrap": True,
    "bg_color": GROUND["head"],
    "bottom": 1,
    "valign": "bottom",
}
_STYLES: Final[Mapping[str, dict[str, Any]]] = {
    "text": {},
    "wrapped": {"text_wrap": True},
    "indent": {"align": "left", "indent": 1},
    "unit": {"align": "left", "indent": 1, "font_color": FAINT, "font_size": 9},
    "said": {"align": "left", "indent": 1},
    "said wrapped": {"align": "left", "indent": 1, "text_wrap": True},
    "strong": {"bold": True},
    "title": {"bold": True, "font_size": 14},
    "section": {"bold": True, "font_size": 11, "bottom": 1},
    "small": {"font_color": FAINT, "font_size": 9},
    "note": {"font_color": INK, "font_size": 9, "text_wrap": True},
    "warning line": {"bold": True, "font_size": 10},
    "warning": {"bold": True, "font_size": 9, "text_wrap": True},
    "head": {**_HEAD, "align": "left"},
    "head said": {**_HEAD, "align": "left", "indent": 1},
    "head right": {**_HEAD, "align": "right"},
    "head year": {**_HEAD, "align": "right", "num_format": "0"},
    "year": {"num_format": "0", "align": "right"},
    "whole": {"num_format": "#,##0", "align": "right"},
    "money": {"num_format": MONEY, "align": "right"},
    "cents": {"num_format": CENTS},
    "total": {"num_format": CENTS, "bold": True, "top": 1},
    "price": {"num_format": PRICE},
    "quantity": {"num_format": QUANTITY},
    "state": {"num_format": "#,##0.00;-#,##0.00;0"},
    "factor": {"num_format": "0.0000"},
    "ratio": {"num_format": "0.00", "align": "right"},
    "rate": {"num_format": "0.00%"},
    "percent two": {"num_format": "0.00%", "align": "right"},
    "percent": {"num_format": "0.0%", "align": "right"},
    "input price": {**_INPUT, "num_format": PRICE},
    "input percent": {**_INPUT, "num_format": "0.00%"},
    "input number": {**_INPUT, "num_format": "#,##0.##"},
    "stated number": {**_STATED, "num_format": QUANTITY},
    "stated fact": {**_STATED, "num_format": "0.##", "align": "left"},
    "stated whole": {**_STATED, "num_format": "0"},
    "stated cents": {**_STATED, "num_format": CENTS},
    "stated money": {**_STATED, "num_format": MONEY, "align": "right"},
    "stated percent": {**_STATED, "num_format": "0.0%", "align": "right"},
    "stated text": {**_STATED, "text_wrap": True},
}


class Styles:
    """Formats of one workbook by name, made when first asked for.

    Parameters
    ----------
    book
        The workbook that is written.
    """

    def __init__(self, book: Any) -> None:  # noqa: ANN401 - xlsxwriter has no types
        self._book = book
        self._made: dict[tuple[str, bool], Any] = {}

    def get(self, name: str, *, text_mark: bool = False) -> Any:  # noqa: ANN401
        """The format of that name; with the mark that keeps a text a text when somebody edits the cell."""
        if (name, text_mark) not in self._made:
            look = {**_BASE, **_STYLES[name], **({"quote_prefix": True} if text_mark else {})}
            self._made[name, text_mark] = self._book.add_format(look)
        return self._made[name, text_mark]
