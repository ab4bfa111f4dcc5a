"""What the theme leaves undone: parts that come later, and names for whoever hears a page instead of seeing it."""

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pygments.lexers.special import TextLexer

if TYPE_CHECKING:
    from sphinx.application import Sphinx

OPTIONAL: Final = ("numerics", "performance", "reliability", "security")
SPOKEN: Final = {
    'role="heading">': 'role="heading" aria-level="2">',
    '<aside class="sidebar-drawer">': '<aside class="sidebar-drawer" aria-label="Chapters">',
    '<aside class="toc-drawer': '<aside aria-label="On this page" class="toc-drawer',
    "<pre>": '<pre tabindex="0">',
    '<div class="table-wrapper': '<div tabindex="0" role="group" aria-label="table" class="table-wrapper',
}
"""What the theme writes, and what it should: a level, landmarks with names, tables and print that a key can scroll."""


def _without_absent(app: "Sphinx", docname: str, source: list[str]) -> None:
    if docname == app.config.root_doc:
        lines = source[0].splitlines(keepends=True)
        gone = {name for name in OPTIONAL if name not in app.env.found_docs}
        source[0] = "".join(line for line in lines if line.strip() not in gone)


def _speak(app: "Sphinx", failure: Exception | None) -> None:
    if failure is None:
        for path in Path(app.outdir).rglob("*.html"):
            text = path.read_text(encoding="utf-8")
            for written, meant in SPOKEN.items():
                text = text.replace(written, meant)
            path.write_text(text, encoding="utf-8")


def setup(app: "Sphinx") -> dict[str, Any]:
    """Tell Sphinx when to do it.

    Parameters
    ----------
    app
        The build.
    """
    app.add_lexer("csv", TextLexer)
    app.connect("source-read", _without_absent)
    app.connect("build-finished", _speak)
    return {"version": "1", "parallel_read_safe": True}
