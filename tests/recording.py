"""Comparisons with the world outside, made and written down in one step: what a test compares is what the book shows.

``agree``, ``between`` and ``same`` take the place of a bare ``assert`` in ``tests/published``. Each keeps the figure
of the source, ours and what is allowed. A plain run holds them against ``docs/checks.csv``. With ``--record FILE``
pytest writes such a file instead, and ``python docs/refresh.py`` makes the page of it.
"""

import csv
import math
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from book.checks import Row as Comparison

Source = Mapping[str, Any] | str

FEW = 8
"""Figures of one comparison that are shown one by one; of more only the one that comes nearest to failing."""


_running: list[tuple[str, list[Comparison]]] = []


@contextmanager
def comparisons_of(test: str) -> Iterator[list[Comparison]]:
    """Gather what a test compares while it runs."""
    made: list[Comparison] = []
    _running.append((test, made))
    try:
        yield made
    finally:
        _running.pop()


def agree(
    quantity: str, ours: ArrayLike, published: ArrayLike, source: Source, *, within: ArrayLike = 0.0, share: float = 0.0
) -> None:
    """Assert that ours lies as near to what was published as allowed, and keep it for the book.

    Parameters
    ----------
    quantity
        What is compared, in the trade's words, with its unit in brackets.
    ours, published
        Numbers or arrays of one shape.
    source
        Where the published figure stands: text, or a table of the checks' TOML with a ``source``.
    within
        Difference allowed, in the unit of the quantity; an array where it differs by place.
    share
        Difference allowed as a share of the published figure; added to ``within``.
    """
    got, said = np.broadcast_arrays(np.asarray(ours, float), np.asarray(published, float))
    allowed = np.broadcast_to(np.asarray(within, float) + share * np.abs(said), said.shape)
    off = np.abs(got - said)
    holds = bool(np.all(off <= allowed * (1.0 + 1e-12) + 1e-12 * np.abs(said)))
    worst = int(np.argmax(_strain(off, allowed, said)))
    shown = slice(None) if got.size <= FEW else slice(worst, worst + 1)
    said_there, got_there = said.ravel()[shown], got.ravel()[shown]
    _keep(
        quantity if got.size <= FEW else f"{quantity}, worst of {got.size}",
        source,
        ", ".join(_plain(number) for number in said_there),
        ", ".join(_as_fine(number, near) for number, near in zip(got_there, said_there, strict=True)),
        _small(float(off.ravel()[worst]), float(np.abs(said).max())),
        "exact" if not allowed.any() else f"{allowed.ravel()[worst]:.2g}",
        holds=holds,
    )
    assert holds, f"{quantity}: ours {got.tolist()}, published {said.tolist()}, allowed {allowed.tolist()}"


def same(quantity: str, ours: object, published: object, source: Source) -> None:
    """Assert that ours is what was published, word for word or number for number, and keep it for the book.

    Parameters
    ----------
    quantity
        What is compared, in the trade's words.
    ours, published
        Words, numbers, or lists of them.
    source
        As for :func:`agree`.
    """
    holds = bool(ours == published)
    _keep(quantity, source, _said(published), _said(ours), "0" if holds else "differs", "exact", holds=holds)
    assert holds, f"{quantity}: ours {ours}, published {published}"


def between(quantity: str, ours: ArrayLike, low: ArrayLike | None, high: ArrayLike | None, source: Source) -> None:
    """Assert that ours lies in a published band, ends included, and keep it for the book.

    Parameters
    ----------
    quantity
        What is compared, in the trade's words, with its unit in brackets.
    ours
        Number or array; all of it has to lie in the band.
    low, high
        Ends of the band, or arrays of ends; an end that is None is open.
    source
        As for :func:`agree`.
    """
    got = np.atleast_1d(np.asarray(ours, float))
    lows = np.broadcast_to(np.asarray(-math.inf if low is None else low, float), got.shape)
    highs = np.broadcast_to(np.asarray(math.inf if high is None else high, float), got.shape)
    beyond = np.maximum(lows - got, got - highs)
    holds = bool(np.all(beyond <= 0.0))
    shown = range(got.size) if got.size <= FEW else [int(beyond.argmax())]
    bands = list(dict.fromkeys(_band(lows.ravel()[at], highs.ravel()[at]) for at in shown))
    _keep(
        quantity if got.size <= FEW else f"{quantity}, worst of {got.size}",
        source,
        ", ".join(bands),
        ", ".join(f"{got.ravel()[at]:.4g}" for at in shown),
        "0" if holds else f"{beyond.max():.2g}",
        "in the band",
        holds=holds,
    )
    assert holds, f"{quantity}: ours {got.tolist()}, band {lows.tolist()} to {highs.tolist()}"


def _strain(off: NDArray[Any], allowed: NDArray[Any], said: NDArray[Any]) -> NDArray[Any]:
    """Difference / what is allowed; where nothing is allowed, against the figure itself."""
    scale = np.where(allowed > 0.0, allowed, np.maximum(1e-12 * np.abs(said), 1e-300))
    return (off / scale).ravel()


def _keep(quantity: str, source: Source, *texts: str, holds: bool) -> None:
    where = source if isinstance(source, str) else str(source["source"])
    if _running:
        test, made = _running[-1]
        made.append(Comparison(test, quantity, where, *texts, "yes" if holds else "no"))


def _said(thing: object) -> str:
    if isinstance(thing, list | tuple):
        return ", ".join(map(_said, thing))
    return "none" if thing is None else str(thing).replace("_", " ")


def _plain(number: float) -> str:
    return f"{number:.8g}"


def _as_fine(number: float, published: float) -> str:
    """Ours with one digit more than the published figure shows, so that a difference can be seen."""
    text = _plain(published)
    if "e" in text:
        return f"{number:.6g}"
    decimals = len(text.partition(".")[2]) + 1
    return f"{number + 0.0:.{decimals}f}"


def _small(off: float, size: float) -> str:
    return "0" if off <= 1e-9 * max(size, 1.0) else f"{off:.2g}"


def _band(low: float, high: float) -> str:
    if math.isinf(high):
        return f"{low:.6g} or more"
    if math.isinf(low):
        return f"{high:.6g} or less"
    return f"{low:.6g} to {high:.6g}"


def write(path: Path, made: Iterable[Comparison]) -> None:
    """Add comparisons to a CSV, with its head where it is new."""
    new = not path.exists()
    with path.open("a", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        if new:
            writer.writerow(Comparison._fields)
        writer.writerows(made)


def alike(one: Comparison, other: Comparison) -> bool:
    """Whether two say the same but for a last printed digit, which another processor or numpy may round otherwise."""
    if one._replace(ours="", difference="") != other._replace(ours="", difference=""):
        return False
    pairs = list(zip(one.ours.split(", "), other.ours.split(", "), strict=False))
    return one.ours.count(",") == other.ours.count(",") and all(_near(a, b) for a, b in pairs)


def _near(one: str, other: str) -> bool:
    if one == other:
        return True
    digits = len(one.partition(".")[2]) if "e" not in one else 0
    step = 10.0**-digits if digits else 1e-3 * abs(float(one))
    return abs(float(one) - float(other)) <= 1.01 * step
