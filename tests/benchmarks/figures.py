"""What a benchmark says: a time beside a baseline of the same run, or a curve of times, and what was expected of it."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from benchmarks.stopwatch import Kind, Pair


class Kept(BaseModel):
    """What is written down: only these fields, none of them made up by a reader."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class Figure(Kept):
    """One thing timed beside its baseline; every triple is median, least and most of its turns."""

    name: str = Field(pattern=r"^[a-z0-9-]+$", description="as --only takes it")
    what: str = Field(description="what was timed, in words")
    baseline: str = Field(description="what it is held against, in words")
    kind: Kind = Field(description="time by the clock, or processor time of all cores together")
    seconds: float = Field(gt=0, description="what it took [s]")
    baseline_seconds: float = Field(gt=0, description="what the baseline took [s]")
    ratio: float = Field(gt=0, description="it / baseline [1]")
    least_ratio: float = Field(gt=0, description="of the turns")
    most_ratio: float = Field(gt=0, description="of the turns")
    turns: int = Field(ge=1, description="how often each was timed")
    allowed_ratio: float | None = Field(description="most that is allowed [1]; null where the figure is only told")
    allowed_s: float | None = Field(description="most that is allowed [s]; null where the figure is only told")
    note: str = Field(default="", description="what else was seen")
    missed: str = Field(default="", description="what else was asked and not kept")

    @property
    def held(self) -> bool:
        """Whether it keeps what is asked of it."""
        within = self.allowed_ratio is None or self.ratio <= self.allowed_ratio
        return not self.missed and within and (self.allowed_s is None or self.seconds <= self.allowed_s)


class Curve(Kept):
    """How a time grows with a size: a straight line through the logarithms of both."""

    name: str = Field(pattern=r"^[a-z0-9-]+$", description="as --only takes it")
    what: str = Field(description="what was timed, in words")
    size: str = Field(description="what grows, in words")
    sizes: tuple[int, ...] = Field(min_length=3, strict=False)
    seconds: tuple[float, ...] = Field(min_length=3, strict=False, description="least of the turns [s of processor]")
    exponent: float = Field(description="slope of the line [1]")
    expected: float = Field(description="what it should be [1]")
    within: float = Field(gt=0, description="how far from that it may lie [1]")
    because: str = Field(description="why it should be that")

    @property
    def held(self) -> bool:
        """Whether the time grows as expected."""
        return abs(self.exponent - self.expected) <= self.within


class Said(NamedTuple):
    """Words of a figure, and what is asked of it."""

    name: str
    what: str
    baseline: str
    allowed_ratio: float | None = None
    allowed_s: float | None = None


Benchmark = Callable[[bool], Iterator[Figure | Curve]]
"""Measures; given whether it is only a quick look, with small sizes."""


def figure(said: Said, pair: Pair, turns: int, kind: Kind = "work", note: str = "", missed: str = "") -> Figure:
    """A pair of timings with its words."""
    return Figure(
        **said._asdict(),
        kind=kind,
        seconds=pair.ours.median,
        baseline_seconds=pair.baseline.median,
        ratio=pair.ratio.median,
        least_ratio=pair.ratio.least,
        most_ratio=pair.ratio.most,
        turns=turns,
        note=note,
        missed=missed,
    )


def projected(pair: Pair, ours: float = 1.0, baseline: float = 1.0) -> Pair:
    """A pair of which only a share was timed: each times what is missing."""
    return Pair(pair.ours.times(ours), pair.baseline.times(baseline), pair.ratio.times(ours / baseline))


class Expected(NamedTuple):
    """Words of a curve, and the exponent it should have."""

    name: str
    what: str
    size: str
    exponent: float
    within: float
    because: str


def curve(expected: Expected, sizes: tuple[int, ...], seconds: tuple[float, ...]) -> Curve:
    """Times of growing sizes with the exponent that fits them."""
    return Curve(
        name=expected.name,
        what=expected.what,
        size=expected.size,
        sizes=sizes,
        seconds=seconds,
        exponent=exponent_of(sizes, seconds),
        expected=expected.exponent,
        within=expected.within,
        because=expected.because,
    )


def exponent_of(sizes: tuple[int, ...], seconds: tuple[float, ...]) -> float:
    """Slope of the straight line through the logarithms, by least squares [1]."""
    return float(np.polyfit(np.log(sizes), np.log(seconds), 1)[0])
