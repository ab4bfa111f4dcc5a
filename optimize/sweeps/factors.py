"""The factors of a sweep once the scenario is known: patterns spelled out, values by share, what each one moves."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import Any, Literal, NamedTuple

import numpy as np

from optimize.sweeps.distributions import COVERED, Quantile, has_ends, quantile_of
from optimize.sweeps.model import PATTERN, Factor, Value
from simulator.band import ids_of
from simulator.parameters.prices import PriceTable
from simulator.parameters.ranges import Range, ranges_of
from simulator.parameters.tables import load_tables
from simulator.scenario.fields import FieldError, path_of, value_now
from simulator.scenario.lines import FieldPath
from simulator.scenario.messages import nearest
from simulator.scenario.model import Scenario
from simulator.units import FloatArray

Kind = Literal["field", "price", "number"]


class Move(NamedTuple):
    """A field of the scenario's tables that is set to the factor, times one number plus another.

    Attributes
    ----------
    path
        The field; a price is ``("money", "prices", item)``.
    times, plus
        The two numbers.
    whole
        Whether it takes whole numbers only.
    now
        Its value in the scenario as it is.
    """

    path: FieldPath
    times: float
    plus: float
    whole: bool
    now: Any


@dataclass(frozen=True)
class Varied:
    """One factor, as it is carried to the processes.

    Attributes
    ----------
    name
        Column of the results.
    kind, target
        What is varied: a field, a price item, or a sourced number by its dotted name.
    unit
        Unit of prices and sourced numbers, else empty.
    values
        Values tried, or ``None`` for a range or distribution.
    moves
        Fields that are set; none for sourced numbers.
    now
        Value in the scenario as it is.
    """

    name: str
    kind: Kind
    target: str
    unit: str
    values: tuple[Value, ...] | None
    moves: tuple[Move, ...]
    now: Any

    @property
    def whole(self) -> bool:
        """Whether it takes whole numbers only."""
        return bool(self.moves) and self.moves[0].whole

    @property
    def numeric(self) -> bool:
        """Whether its values are numbers, not words and not true or false."""
        return self.values is None or all(type(value) in {int, float} for value in self.values)

    def decoded(self, code: float) -> Value:
        """Value that stands for a code: itself, or the value of that place."""
        if self.values is not None:
            return self.values[int(code)]
        return round(code) if self.whole else float(code)


class Sampled(NamedTuple):
    """A factor, and how shares of all cases become codes of its values."""

    varied: Varied
    quantile: Quantile | None
    levels: int
    ends: tuple[float, float]

    def codes(self, share: FloatArray) -> FloatArray:
        """Codes of the values at shares of all cases, any shape."""
        values = self.varied.values
        if values is not None:
            return np.minimum(np.floor(share * len(values)), len(values) - 1)
        if self.quantile is None:
            raise ValueError(f"factor {self.varied.name} has neither values nor a distribution")
        found = self.quantile(share)
        return np.round(found) if self.varied.whole else found

    def steps(self) -> FloatArray:
        """Codes tried one by one in a grid."""
        if self.varied.values is not None:
            return np.arange(len(self.varied.values), dtype=np.float64)
        return np.unique(self.codes(np.linspace(*self.ends, self.levels)))

    def two_ends(self) -> FloatArray:
        """Codes tried one at a time: every listed value, or both ends of a range."""
        return self.steps() if self.varied.values is not None else self.codes(np.array(self.ends))


def spelled_out(factor: Factor, scenario: Scenario, prices: PriceTable) -> list[Sampled]:
    """The factors that one table of the file stands for.

    Parameters
    ----------
    factor
        The table, complete in itself.
    scenario
        What is varied.
    prices
        Its price table.

    Returns
    -------
    list of Sampled
        One, or as many as a pattern names.

    Raises
    ------
    FieldError
        Where it names nothing that can be varied.
    """
    if factor.field is not None:
        return [_of_field(factor, factor.field, scenario, prices)]
    if factor.price is not None:
        return list(_of_prices(factor, factor.price, scenario, prices))
    return list(_of_numbers(factor, str(factor.number), scenario))


def _of_field(factor: Factor, field: str, scenario: Scenario, prices: PriceTable) -> Sampled:
    if field.startswith("money.prices."):
        raise FieldError("is a price", f'Write price = "{field.rpartition(".")[2]}" instead.')
    first = _move(field, scenario)
    moves = first, *_linked(factor, scenario, prices)
    return _sampled(factor, Varied(factor.name or field, "field", field, "", factor.values, moves, first.now))


def _move(field: str, scenario: Scenario, times: float = 1.0, plus: float = 0.0) -> Move:
    path = path_of(field)
    now = value_now(scenario, path)
    return Move(path, times, plus, type(now) is int, now)


def _price_move(item: str, in_force: Mapping[str, float], times: float = 1.0, plus: float = 0.0) -> Move:
    if item not in in_force:
        raise FieldError(f"names {item}, which is not an item of the price table", _nearest_price(item, in_force))
    return Move(("money", "prices", item), times, plus, whole=False, now=in_force[item])


def _nearest_price(item: str, known: Iterable[str]) -> str:
    """The likely name, or all of them: no command prints the list of prices."""
    return nearest(item, known) or f"Known: {', '.join(known)}."


def _linked(factor: Factor, scenario: Scenario, prices: PriceTable) -> Iterator[Move]:
    in_force = _in_force(scenario, prices)
    for other in factor.linked:
        if other.price is not None:
            yield _price_move(other.price, in_force, other.times, other.plus)
        else:
            yield _move(str(other.field), scenario, other.times, other.plus)


def _in_force(scenario: Scenario, prices: PriceTable) -> dict[str, float]:
    return {name: prices.value(name) for name in prices.items} | dict(scenario.money.prices)


def _sampled(factor: Factor, varied: Varied) -> Sampled:
    quantile = None if varied.values is not None else quantile_of(factor)
    ends = (0.0, 1.0) if has_ends(factor) else (COVERED, 1.0 - COVERED)
    return Sampled(varied, quantile, factor.levels, ends)


def _of_prices(factor: Factor, item: str, scenario: Scenario, prices: PriceTable) -> Iterator[Sampled]:
    """Prices that an item or a pattern names, their ranges moved in proportion to the prices in force."""
    in_force = _in_force(scenario, prices)
    ranged = {name: entry for name, entry in prices.items.items() if entry.low is not None and entry.high is not None}
    names = [name for name in ranged if fnmatchcase(name, item)] if PATTERN in item else [item]
    if not names:
        raise FieldError("matches no price that has a range", f"Known: {', '.join(ranged)}.")
    if names[0] not in prices.items:
        raise FieldError("is not an item of the price table", _nearest_price(item, prices.items))
    for name in names:
        alone = factor
        if _says_nothing(factor):
            if name not in ranged:
                raise FieldError("has no range in the price table", "Write low and high, or values.")
            scale = in_force[name] / prices.value(name) if prices.value(name) > 0 else 1.0
            entry = ranged[name]
            alone = factor.model_copy(update={"low": (entry.low or 0.0) * scale, "high": (entry.high or 0.0) * scale})
        moves = _price_move(name, in_force), *_linked(factor, scenario, prices)
        column = factor.name if factor.name and len(names) == 1 else name
        unit = prices.items[name].unit
        yield _sampled(alone, Varied(column, "price", name, unit, factor.values, moves, in_force[name]))


def _of_numbers(factor: Factor, pattern: str, scenario: Scenario) -> Iterator[Sampled]:
    ids = ids_of(scenario, scenario)
    known = {".".join(found.path): found for found in ranges_of(load_tables(*ids.values()), ids)}
    names = [name for name in known if fnmatchcase(name, pattern)]
    if factor.provisional:
        names = [name for name in names if known[name].provisional]
    if not names:
        remedy = nearest(pattern, known) or "'halfshade compare --band --json' lists them."
        raise FieldError("names no number of the model that has a range", remedy)
    for name in names:
        yield _sampled(*_number(factor, name, known[name], alone=len(names) == 1))


def _number(factor: Factor, name: str, found: Range, *, alone: bool) -> tuple[Factor, Varied]:
    own = factor.model_copy(update={"low": found.low, "high": found.high}) if _says_nothing(factor) else factor
    column = factor.name if factor.name and alone else name
    return own, Varied(column, "number", name, found.unit, factor.values, (), found.value)


def _says_nothing(factor: Factor) -> bool:
    """Whether values are left to the range of the price or number."""
    said = (factor.values, factor.low, factor.high, factor.mean, factor.median)
    return all(part is None for part in said)
