"""Draws of what strikes the land over the years: the same bytes from the same seed, in portions of fixed borders."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np

from simulator.agenda import Agenda
from simulator.chances import Chances
from simulator.parameters.odds import HAZARDS, Frequencies, load_frequencies
from simulator.scenario.risk import Risk
from simulator.units import BoolArray, FloatArray

CHUNK: Final = 250
"""Draws that share a seed of their own; never a matter of memory or workers, or results would change with them."""
STREAM: Final = 1
"""Keeps these numbers apart from those of the price draws of the same seed."""
BY_CALENDAR: Final = ("ice", "wind", "drought", "hogs", "seedling loss")
"""Hazards that come over the land whatever stands on it; the others hang on the stand."""
MOST_CERTAIN: Final = 1.0


class Lots(NamedTuple):
    """Numbers drawn evenly from 0 to 1 for the rows of one chunk; row 0 is year 1.

    Attributes
    ----------
    strikes, severity
        By year and hazard [1], (years, hazards, draws).
    outbreak
        By year [1], (years, draws).
    """

    strikes: FloatArray
    severity: FloatArray
    outbreak: FloatArray


class Terms(NamedTuple):
    """How often hazards strike this land and how hard, as the owner judges them.

    Attributes
    ----------
    numbers
        The sourced frequencies.
    zone
        Where the land lies.
    times
        Factor on the probability of each hazard, in the order of ``HAZARDS``; 0 where it is left out [1].
    spread
        How far a severity lies from 1 at most [1].
    ruin_share
        Trees lost in a year above which the land is planted again [1]; infinite for never.
    """

    numbers: Frequencies
    zone: str
    times: tuple[float, ...]
    spread: float
    ruin_share: float

    def among(self, kinds: Collection[str]) -> "Terms":
        """The same terms with no other hazards than these."""
        return self._replace(
            times=tuple(times * (name in kinds) for name, times in zip(HAZARDS, self.times, strict=True))
        )

    def yearly(self, kind: str) -> float:
        """Probability of a hazard of the calendar in a year [1/yr]."""
        by_zone = {"ice": self.numbers.ice, "wind": self.numbers.wind}
        if kind in by_zone:
            base = by_zone[kind].of(self.zone)
        else:
            base = float(getattr(self.numbers.anywhere, kind.replace(" ", "_")))
        return min(base * self.times_of(kind), MOST_CERTAIN)

    def times_of(self, kind: str) -> float:
        """Factor on the probability of a hazard [1]."""
        return self.times[HAZARDS.index(kind)]

    def at_most(self, kind: str) -> float:
        """Highest probability that a hazard can have in a year, whatever stands [1/yr]."""
        if kind == "wildfire":
            return max(self.numbers.wildfire) * self.times_of(kind)
        if kind == "beetles":
            chance = self.numbers.beetles
            most = max(chance.sparse, chance.middle, chance.dense) * max(self.numbers.outbreak.times, 1.0)
            return most * self.times_of(kind)
        return self.yearly(kind)


def terms_of(risk: Risk) -> Terms:
    """Read what a scenario says of its hazards.

    Parameters
    ----------
    risk
        Its table ``[risk]``.

    Returns
    -------
    Terms
    """
    numbers = load_frequencies()
    ruin = numbers.ruin.lost_share if risk.ruin_share is None else risk.ruin_share
    return Terms(
        numbers=numbers,
        zone=risk.zone,
        times=tuple(0.0 if kind in risk.off else risk.times.get(kind, 1.0) for kind in HAZARDS),
        spread=numbers.severity.spread if risk.severity_spread is None else risk.severity_spread,
        ruin_share=ruin if ruin < 1.0 else float("inf"),
    )


def lots_between(seed: int, first: int, draws: int, years: int) -> Lots:
    """Draw the numbers of so many draws from the beginning of a chunk on, over the borders of further chunks.

    Parameters
    ----------
    seed
        Any whole number from 0 on.
    first
        Place of the first chunk.
    draws
        Draws wanted.
    years
        Years after year 0 [yr].

    Returns
    -------
    Lots
    """
    chunks = [lots_of(seed, number, years) for number in range(first, first - (-draws // CHUNK))]
    return Lots(*(np.concatenate(parts, axis=-1)[..., :draws] for parts in zip(*chunks, strict=True)))


def lots_of(seed: int, number: int, years: int) -> Lots:
    """Draw the numbers of one chunk.

    Parameters
    ----------
    seed
        Any whole number from 0 on.
    number
        Place of the chunk: draws number * CHUNK to (number + 1) * CHUNK - 1.
    years
        Years after year 0 [yr]; more years begin with the same numbers.

    Returns
    -------
    Lots
    """
    generator = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(STREAM, number)))
    kinds = len(HAZARDS)
    drawn = generator.random((years, 2 * kinds + 1, CHUNK))
    return Lots(drawn[:, :kinds], drawn[:, kinds : 2 * kinds], drawn[:, -1])


def severity_of(lot: FloatArray, spread: float) -> FloatArray:
    """Severity of a strike: a symmetric triangle round 1 from a number drawn evenly [1].

    Parameters
    ----------
    lot
        0 to 1 [1], any shape.
    spread
        Half the width of the triangle [1], 0 to 1.

    Returns
    -------
    FloatArray
        1 - spread to 1 + spread, same shape; its mean is 1.
    """
    rising, falling = np.sqrt(2.0 * lot) - 1.0, 1.0 - np.sqrt(2.0 * (1.0 - lot))
    return np.asarray(1.0 + spread * np.where(lot < 0.5, rising, falling))


def outbreaks(lot: FloatArray, terms: Terms) -> BoolArray:
    """Years of a beetle outbreak: each goes on, or begins, by chance; the first year as in the long run.

    Parameters
    ----------
    lot
        Numbers drawn evenly [1], (years, draws).
    terms
        How often.

    Returns
    -------
    BoolArray
        (years, draws).
    """
    numbers, many = terms.numbers.outbreak, np.zeros(lot.shape, bool)
    likely = np.full(lot.shape[1], numbers.usual_share)
    for year in range(len(lot)):
        many[year] = lot[year] < likely
        likely = np.where(many[year], numbers.stays, numbers.starts)
    return many


def drawn_agenda(agenda: Agenda, lots: Lots, terms: Terms, first: int = 0) -> Agenda:
    """The agenda of a batch of draws: storms and droughts entered, beetles and fires left to what stands.

    Parameters
    ----------
    agenda
        Of the plan, one candidate for each draw; what it holds already strikes in every draw.
    lots
        Their numbers, with as many draws.
    terms
        How often and how hard.
    first
        Row of the lots' calendar in which this plan has its year 0.

    Returns
    -------
    Agenda
    """
    severity = severity_of(lots.severity, terms.spread)
    times = np.where(outbreaks(lots.outbreak, terms), terms.numbers.outbreak.times, 1.0)
    lot_by, hard_by = {}, {}
    for row in range(first, len(lots.strikes)):
        year = row - first + 1
        for place, kind in enumerate(HAZARDS):
            lot, hard = lots.strikes[row, place], severity[row, place]
            struck = lot < terms.at_most(kind)
            if not struck.any():
                continue
            if kind in BY_CALENDAR:
                agenda = agenda.with_severity(kind, year, np.where(struck, hard, 0.0))
            else:
                lot_by[kind, year], hard_by[kind, year] = lot, hard
    by_year = {row - first + 1: times[row] for row in range(first, len(times))}
    return replace(agenda, chances=_chances(terms, Chances(lot_by, hard_by, by_year, ruin_share=terms.ruin_share)))


def expected_agenda(agenda: Agenda, each: Sequence[Terms], years: int) -> Agenda:
    """The agenda in which every year brings its probability times the loss.

    Parameters
    ----------
    agenda
        Of the plan, one candidate for each of the terms.
    each
        How often, by candidate; the mean severity is 1.
    years
        Years after year 0 [yr].

    Returns
    -------
    Agenda
        Losses add up evenly and nothing is ever planted again because of them.
    """
    outbreak, rows = each[0].numbers.outbreak, range(1, years + 1)
    usual = np.full(len(each), 1.0 + (outbreak.times - 1.0) * outbreak.usual_share)
    for kind in BY_CALENDAR:
        likely = np.array([terms.yearly(kind) for terms in each])
        if likely.any():
            for year in rows:
                agenda = agenda.with_severity(kind, year, likely)
    stands = [kind for kind in HAZARDS if kind not in BY_CALENDAR]
    # the factor on the probability is a factor on the expectation
    hard = {(kind, year): np.array([terms.times_of(kind) for terms in each]) for kind in stands for year in rows}
    numbers = each[0].numbers
    chances = Chances(hard, hard, dict.fromkeys(rows, usual), numbers.beetles, numbers.wildfire, expected=True)
    return replace(agenda, chances=chances)


def _chances(terms: Terms, chances: Chances) -> Chances:
    beetles, fire = terms.numbers.beetles, terms.numbers.wildfire
    bitten, burned = terms.times_of("beetles"), terms.times_of("wildfire")
    likely = beetles._replace(
        sparse=beetles.sparse * bitten, middle=beetles.middle * bitten, dense=beetles.dense * bitten
    )
    return replace(
        chances, beetles=likely, wildfire=fire._replace(rough=fire.rough * burned, tamed=fire.tamed * burned)
    )
