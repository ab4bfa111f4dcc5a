"""Equations of the book as MathML, made while it is built, so that a page asks nothing from outside."""

import re
from typing import TYPE_CHECKING, Any

from docutils import nodes
from latex2mathml.converter import convert

if TYPE_CHECKING:
    from sphinx.application import Sphinx


NAMED = re.compile(r"<mi>((?:arc)?(?:sin|cos|tan)|ln)</mi>(?!<mo|<mrow)")
"""Functions whose argument follows without a bracket; browsers set nothing between the two."""


PLAIN = (
    (NAMED, r'<mspace width="0.17em" /><mi>\1</mi><mspace width="0.17em" />'),
    (re.compile(r"<msup>(<mi>[^<]*</mi>)<mi>&#x02032;</mi></msup>"), r"<mrow>\1<mo>&#x02032;</mo></mrow>"),
    (
        re.compile(r"<msubsup>(<mi>[^<]*</mi>)((?:(?!<msubsup>).)*?)<mi>&#x02032;</mi></msubsup>"),
        r"<msub><mrow>\1<mo>&#x02032;</mo></mrow>\2</msub>",
    ),
    (
        re.compile(r"<mover>((?:(?!<mover>).)*?)<mo [a-z]+=\"true\">&#x0(?:00AF|2015);</mo></mover>"),
        r'<mrow class="bar">\1</mrow>',
    ),
)
"""What fonts without a table for mathematics leave too small to be seen: primes and bars."""
LONG, VERY_LONG = 90, 125
"""Letters of TeX from which an equation of several parts is set one part a line, and parts of it too."""
NESTED = re.compile(r"\\(?:begin|end)\{(?:cases)\}|\\left|\\right|[{}]")


def _set(tex: str, display: str = "inline") -> str:
    """An equation as MathML, with a thin space around functions written without brackets."""
    set_ = convert(tex, display=display)
    for written, meant in PLAIN:
        set_ = written.sub(meant, set_)
    return set_


def _parts(tex: str, space: str) -> list[str]:
    """An equation parted at a space, but never inside brackets."""
    parts: list[str] = []
    for piece in re.split(re.escape(space) + r"(?![a-z])", tex):
        if parts and _open(parts[-1]):
            parts[-1] += space + piece
        else:
            parts.append(piece)
    return [part.strip() for part in parts]


def _open(tex: str) -> bool:
    found = [bracket for bracket in NESTED.findall(tex) if bracket]
    opening = sum(bracket in ("{", r"\left", r"\begin{cases}") for bracket in found)
    return opening * 2 != len(found)


def _lines(tex: str) -> list[str]:
    """An equation as the lines on which it is set."""
    if len(tex) <= LONG:
        return [tex]
    lines = _parts(tex, r"\qquad")
    return [part for line in lines for part in (_parts(line, r"\quad") if len(line) > VERY_LONG else [line])]


def _inline(translator: Any, node: nodes.math) -> None:  # noqa: ANN401 - the writer is whatever the builder uses
    translator.body.append(_set(node.astext()))
    raise nodes.SkipNode


def _display(translator: Any, node: nodes.math_block) -> None:  # noqa: ANN401
    # A long equation scrolls by itself on a narrow screen; what scrolls must be reachable from the keyboard.
    translator.body.append('<div class="equation" tabindex="0" role="group" aria-label="equation">')
    translator.body.extend(_set(line, "block") for line in _lines(node.astext()))
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
