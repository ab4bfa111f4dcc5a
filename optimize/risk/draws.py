"""What strikes the land over the years, from numbers drawn: how often, how hard, and in which year."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np

from optimize.risk.lots import Lots
from simulator.agenda import Agenda
from simulator.chances import Chances
from simulator.parameters.odds import HAZARDS, Frequencies, load_frequencies
from simulator.scenario.risk import Risk
from simulator.units import BoolArray, FloatArray

BY_CALENDAR: Final = ("ice", "wind", "drought", "hogs", "seedling loss")
"""Hazards that come over the land whatever stands on it; the others hang on the stand."""
MOST_CERTAIN: Final = 1.0


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
        """Probability of a hazard of the calendar in a year.

        Parameters
        ----------
        kind
            Hazard.

        Returns
        -------
        float
            Probability [1/yr], at most 1.

        References
        ----------
        Frequencies by zone: assumed, see the numbers.
        """
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


def severity_of(lot: FloatArray, spread: float) -> FloatArray:
    """Severity of a strike: a symmetric triangle round 1 from a number drawn evenly.

    Parameters
    ----------
    lot
        0 to 1 [1], any shape.
    spread
        Half the width of the triangle [1], 0 to 1.

    Returns
    -------
    FloatArray
        1 - spread to 1 + spread [1], same shape; its mean is 1.

    References
    ----------
    Inverse of a triangular distribution; derived. Its width is assumed.
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

    References
    ----------
    A chain of two states; its chances are assumed for this project.
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
        With severities [1] that are expectations. Losses add up evenly and nothing is ever planted again because of
        them.

    References
    ----------
    After Reed 1984 (from memory): a hazard as a steady loss.
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
    """The chances of beetles and wildfire as the owner judges them."""
    beetles, fire = terms.numbers.beetles, terms.numbers.wildfire
    bitten, burned = terms.times_of("beetles"), terms.times_of("wildfire")
    likely = beetles._replace(
        sparse=beetles.sparse * bitten, middle=beetles.middle * bitten, dense=beetles.dense * bitten
    )
    return replace(
        chances, beetles=likely, wildfire=fire._replace(rough=fire.rough * burned, tamed=fire.tamed * burned)
    )
