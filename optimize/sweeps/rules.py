"""Rules of a factors file beyond its schema. Each docstring is the rule."""

from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np

from optimize.sweeps.designs import NEEDS_POWER_OF_TWO, NEEDS_SAMPLES
from optimize.sweeps.distributions import quantile_of
from optimize.sweeps.model import PATTERN, Factor, FactorsFile
from optimize.sweeps.outputs import output_named
from simulator.scenario.lines import FieldPath
from simulator.scenario.messages import shown
from simulator.scenario.model import Scenario

NUMBERS_OF: Final = {
    "normal": ("mean", "standard_deviation"),
    "log-normal": ("median", "spread"),
    "triangular": ("low", "high", "most_likely"),
}
"""What a distribution has; others have low and high, which also cut off the ends of the first two."""
ENDS: Final = ("low", "high")


class Fault(NamedTuple):
    """What is wrong at a place of the file."""

    path: FieldPath
    rule: str
    received: str = ""
    remedy: str = ""


def faults_of(file: FactorsFile, scenario: Scenario) -> Iterator[Fault]:
    """Everything wrong with a factors file that can be told without spelling out its factors."""
    yield from _samples(file)
    yield from _outputs(file, scenario)
    for number, factor in enumerate(file.factor):
        here: FieldPath = ("factor", number)
        faults = [*_names_one_thing(factor), *_is_complete(factor)]
        yield from (fault._replace(path=(*here, *fault.path)) for fault in faults)


def _samples(file: FactorsFile) -> Iterator[Fault]:
    """Designs that are drawn say how many; Sobol's sequence is balanced only at powers of two."""
    if file.design in NEEDS_SAMPLES and file.samples is None:
        yield Fault(("samples",), f'is missing for design = "{file.design}"', "", "Add samples = 1024.")
    if file.samples is None or file.design not in NEEDS_POWER_OF_TWO or not file.samples & (file.samples - 1):
        return
    lower = 1 << (file.samples.bit_length() - 1)
    rule = "must be a power of two for a Sobol design, which is balanced only there"
    yield Fault(("samples",), rule, str(file.samples), f"Write {lower} or {2 * lower}.")


def _outputs(file: FactorsFile, scenario: Scenario) -> Iterator[Fault]:
    """Outputs are known, each once, and their years lie within the horizon."""
    columns: dict[str, str] = {}
    for number, name in enumerate(file.outputs):
        here: FieldPath = ("outputs", number)
        try:
            output = output_named(name)
        except ValueError as error:
            yield Fault(here, "is not an output", shown(name), str(error))
            continue
        horizon = scenario.money.horizon_years
        if output.take == "at" and output.number > horizon:
            rule = f"asks for a year beyond the horizon of {horizon} years"
            yield Fault(here, rule, shown(name), "Name an earlier one.")
        if output.column in columns:
            rule = f"asks for the same as {shown(columns[output.column])}"
            yield Fault(here, rule, shown(name), "Keep one of the two.")
        columns[output.column] = name


def _names_one_thing(factor: Factor) -> Iterator[Fault]:
    """A factor is one of field, price and number; others are linked to a field or to one price."""
    if _said(factor) != 1:
        received = "none of them" if not _said(factor) else f"{_said(factor)} of them"
        yield Fault((), "must have exactly one of field, price and number", received, "Say what is varied.")
    if factor.linked and (factor.number is not None or PATTERN in str(factor.price)):
        yield Fault(("linked",), "goes only with one field or one price", "", "Name one, without *.")
    for number, other in enumerate(factor.linked):
        if (other.field is None) == (other.price is None):
            yield Fault(("linked", number), "must have exactly one of field and price", "", "Say what moves along.")
    if factor.linked and factor.values is not None and any(isinstance(value, str | bool) for value in factor.values):
        rule = "needs a factor whose values are numbers"
        yield Fault(("linked",), rule, "", "Words and true or false cannot be multiplied.")
    if factor.provisional and factor.number is None:
        yield Fault(("provisional",), "goes only with number", "", 'Write number = "tree.*", for example.')


def _said(factor: Factor) -> int:
    return sum(getattr(factor, key) is not None for key in ("field", "price", "number"))


def _is_complete(factor: Factor) -> Iterator[Fault]:
    """A factor has values, or a range or distribution with all its numbers; prices and numbers may leave theirs out."""
    ends = factor.low is not None, factor.high is not None
    if _said(factor) != 1:
        return
    if factor.values is not None:
        extra = [key for key in _all_numbers() if getattr(factor, key) is not None]
        if extra:
            yield Fault((extra[0],), "cannot stand beside values", "", "Keep one of the two.")
        return
    if ends == (True, True) and factor.low >= factor.high:  # type: ignore[operator]
        rule = f"must be above low, which is {factor.low:g}"
        yield Fault(("high",), rule, f"{factor.high:g}", "Change one of the two.")
        return
    wanted = NUMBERS_OF.get(factor.distribution, ENDS)
    if strange := list(_of_another_distribution(factor, wanted)):
        yield from strange
        return
    of_a_range = factor.distribution == "uniform" and factor.field is None and not any(ends)
    lacking = [key for key in wanted if getattr(factor, key) is None and not of_a_range]
    if lacking:
        rule = f"is missing: a {factor.distribution} distribution has {' and '.join(wanted)}"
        remedy = "Add it, or write values = [...]."
        yield Fault((lacking[0],), rule, "", remedy)
        return
    yield from _numbers_fit(factor, of_a_range=of_a_range)


def _all_numbers() -> list[str]:
    """Every key that is a number of some distribution."""
    return list(dict.fromkeys((*ENDS, *(key for keys in NUMBERS_OF.values() for key in keys))))


def _of_another_distribution(factor: Factor, wanted: tuple[str, ...]) -> Iterator[Fault]:
    """No number stands there that the distribution does not read."""
    for key in _all_numbers():
        if getattr(factor, key) is not None and key not in {*wanted, *ENDS}:
            owner = next(name for name, keys in NUMBERS_OF.items() if key in keys)
            rule = f"is no number of a {factor.distribution} distribution"
            remedy = f'Write distribution = "{owner}", or leave it out.'
            yield Fault((key,), rule, f"{getattr(factor, key):g}", remedy)


def _numbers_fit(factor: Factor, *, of_a_range: bool) -> Iterator[Fault]:
    """The most likely value lies between the ends; logarithms are of amounts above 0; every value is finite."""
    if factor.distribution == "triangular" and factor.low is not None and factor.high is not None:
        top = factor.most_likely
        if top is not None and not factor.low <= top <= factor.high:
            rule = f"must lie from low to high, {factor.low:g} to {factor.high:g}"
            yield Fault(("most_likely",), rule, f"{top:g}", "Change it.")
            return
    wrong = [key for key in ENDS if (end := getattr(factor, key)) is not None and end <= 0.0]
    if factor.distribution in {"log-normal", "log-uniform"} and wrong:
        rule = f"must be above 0 in a {factor.distribution} distribution"
        yield Fault((wrong[0],), rule, f"{getattr(factor, wrong[0]):g}", "Raise it.")
        return
    with np.errstate(all="ignore"):
        values = np.zeros(1) if of_a_range else quantile_of(factor)(np.array([0.0, 0.5, 1.0]))
    if not np.isfinite(values).all():
        rule = f"makes no numbers of its {factor.distribution} distribution: its ends lie too far out, or too far apart"
        yield Fault((), rule, "", "Look for a slip of the pen in its numbers.")
