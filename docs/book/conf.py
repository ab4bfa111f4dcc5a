"""Settings of the method book: ``sphinx-build -n -W -c docs/book docs FOLDER``."""

import sys
from pathlib import Path

BOOK = Path(__file__).parent
ROOT = BOOK.parents[1]
sys.path[:0] = [str(BOOK.parent), str(ROOT)]

from workbench import look  # noqa: E402 - the packages are beside this folder, installed or not

project = "Halfshade"
html_title = "Halfshade: the method book"
copyright = "Apache-2.0"  # noqa: A001 - the name that Sphinx reads
extensions = ["myst_parser", "book.mathml", "book.pages"]
exclude_patterns = ["book"]

myst_enable_extensions = ["deflist", "dollarmath"]
myst_heading_anchors = 4
myst_dmath_allow_space = False  # so that two sums of money in a line are no equation
myst_dmath_allow_digits = False
nitpicky = True

html_theme = "furo"
html_math_renderer = "mathml"
html_static_path = [str(BOOK / "static")]
html_css_files = ["book.css"]
html_show_sphinx = False
html_copy_source = False
html_show_sourcelink = False
html_last_updated_fmt = None
pygments_style = "friendly"
_LINES = {
    "color-brand-primary": look.SYSTEM_INK["silvopasture"].words,
    "color-brand-content": look.SYSTEM_INK["silvopasture"].words,
    "color-foreground-primary": look.INK,
    "color-background-primary": look.PAPER,
    "font-stack": "system-ui, sans-serif",
    "font-stack--monospace": "ui-monospace, monospace",
}
# One look, on paper as on the screen: figures of the book are drawn for a light page.
html_theme_options = {
    "light_css_variables": _LINES,
    "dark_css_variables": _LINES,
    "sidebar_hide_name": False,
    "navigation_with_keys": True,
}
