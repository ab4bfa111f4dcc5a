"""Equations of the book as MathML, made while it is built, so that a page asks nothing from outside."""

import re
from typing import TYPE_CHECKING, Any

from docutils import nodes
from latex2mathml.converter import convert

if TYPE_CHECKING:
    from sphinx.application import Sphinx


NAMED = re.compile(r"<mi>((?:arc)?(?:sin|cos|tan)|ln)</mi>(?!<mo|<mrow)")
"""Functions whose argument follows without a bracket; browsers set nothing between the two."""


def _set(tex: str, display: str = "inline") -> str:
    """An equation as MathML, with a thin space around functions written without brackets."""
    return NAMED.sub(r'<mspace width="0.17em" /><mi>\1</mi><mspace width="0.17em" />', convert(tex, display=display))


def _inline(translator: Any, node: nodes.math) -> None:  # noqa: ANN401 - the writer is whatever the builder uses
    translator.body.append(_set(node.astext()))
    raise nodes.SkipNode


def _display(translator: Any, node: nodes.math_block) -> None:  # noqa: ANN401
    # A long equation scrolls by itself on a narrow screen; what scrolls must be reachable from the keyboard.
    translator.body.append('<div class="equation" tabindex="0" role="group" aria-label="equation">')
    translator.body.append(_set(node.astext(), "block"))
    translator.body.append("</div>\n")
    raise nodes.SkipNode


def setup(app: "Sphinx") -> dict[str, Any]:
    """Tell Sphinx of the renderer.

    Parameters
    ----------
    app
        The build.
    """
    app.add_html_math_renderer("mathml", inline_renderers=(_inline, None), block_renderers=(_display, None))
    return {"version": "1", "parallel_read_safe": True, "parallel_write_safe": True}
