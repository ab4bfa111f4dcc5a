"""Words of sweeps and their sensitivity: outputs, values and ties as a person says them."""

from collections.abc import Iterator, Mapping, Sequence

from optimize.sensitivity.break_even import Tie
from optimize.sensitivity.one_item import ItemTies
from optimize.sensitivity.study import Study
from optimize.sweeps.model import ONE_AT_A_TIME
from workbench.output import print_text
from workbench.words import NAMES, UNITS

OUTPUT_WORDS = {
    "npv_per_ac": "net present value",
    "irr": "rate of return",
    "irr_of_one_cycle": "rate of return of one cycle",
    "land_expectation_per_ac": "land expectation",
    "equal_annual_income_per_ac": "equal annual income",
    "payback_year": "payback year",
    "deepest_cash_per_ac": "deepest cash",
}
RATE_UNIT = "1/yr"
PLURAL = {"both together", "trees alone"}
CENTS_BELOW = 100.0
"""Dollars below which a price is said with its cents."""

HOW_TO_READ = (
    "Low and high: ends of the factor, means of its lowest and highest tenth where it was sampled (each value where "
    "there are few). At low and at high: the mean output there, everything else varying too."
)
HOW_TO_READ_ALONE = "At low and at high: the output with this factor there and everything else as in the scenario."
HOW_TO_READ_SHARES = (
    "By itself: the part of the spread that would go if this factor were known. With others too: the part that would "
    "be left if it alone were unknown. The gap between them is what it does only together with others. Below zero, "
    "or by itself above with others too: too few samples; take more."
)
HOW_TO_READ_EFFECTS = (
    "Each effect: what moving the factor over its whole range does, measured at several settings of the others. Its "
    "mean size says how much it matters, its mean which way; a spread as large as the mean size says that it depends "
    "on others or bends."
)
FEW_IN_A_TENTH = 30
"""Scenarios in a tenth below which its mean is called rough; a rule of thumb, no source."""


def how_to_read(study: Study) -> str:
    """What the ends of a swing are, and how rough."""
    return HOW_TO_READ_ALONE if study.design == ONE_AT_A_TIME else HOW_TO_READ + _roughness(study)


def _roughness(study: Study) -> str:
    """A warning where a tenth of the scenarios is too few to average the other factors out."""
    tenth = study.scenarios // 10
    if tenth >= FEW_IN_A_TENTH:
        return ""
    in_a_tenth = f"{tenth} scenarios" if tenth > 1 else "a single scenario"
    return f" With {in_a_tenth} in a tenth these means are rough: small swings may be chance; take more samples."


SENSITIVITY_CAUTIONS = (
    (
        "All of it holds for the ranges and distributions of this sweep and for no others: one in ten is of its "
        "scenarios, no odds of what will come. What was not varied counts for nothing here."
    ),
    "A comparison of plans, not an appraisal and not financial, tax or legal advice.",
    (
        "Felling, herbicide, fire and animals can hurt or kill: local codes, the product's label and licensed practice "
        "decide what is done on the ground."
    ),
)
"""What a sweep does not say."""


def output_words(study: Study, *, capital: bool = False) -> str:
    """What was studied, in words."""
    parts = [_column_words(part) for part in study.column.split(" less ")]
    text = f"{parts[0]} less that of {parts[1].rpartition(' of ')[2]}" if len(parts) > 1 else parts[0]
    return text[:1].upper() + text[1:] if capital else text


def _column_words(column: str) -> str:
    for system, name in NAMES.items():
        if column.startswith(f"{system}_"):
            return f"{_words(column.removeprefix(f'{system}_'))} of {name}"
    return _words(column)


def _words(column: str) -> str:
    return OUTPUT_WORDS.get(column, column.replace("_", " "))


def figure_of(study: Study, value: float) -> str:
    """A value of the output as said aloud."""
    if study.unit.startswith("$"):
        return f"{'-' if round(value) < 0 else ''}${abs(value):,.0f}"
    return f"{100 * value:.1f} %" if study.unit == RATE_UNIT else f"{value:,.3g} {_unit(study.unit)}".strip()


def _unit(unit: str) -> str:
    return "" if unit == "1" else unit


def factor_value(study: Study, name: str, value: float) -> str:
    """A value of a factor, short enough to stand beside a bar."""
    return value_said(name, study.units.get(name, ""), value)


def value_said(name: str, unit: str, value: float) -> str:
    """A value of a price, field or number as said aloud, without the unit that follows it."""
    if unit.startswith("$"):
        return f"${value:,.2f}".removesuffix(".00") if abs(value) < CENTS_BELOW else f"${value:,.0f}"
    if name.endswith("_rate"):
        return f"{100 * value:.3g} %"
    return f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.3g}"


def tie_sentences(
    name: str, unit: str, now: float | None, ties: Sequence[Tie], names: Mapping[str, str] = NAMES
) -> Iterator[str]:
    """Say where systems earn the same along one factor, one sentence a pair."""
    if all(tie.value is None for tie in ties):
        yield f"{name}: the order of the systems stays the same over its whole range"
    for tie in ties:
        if tie.value is None:
            continue
        one, other, below, above = (
            names.get(key, key.replace("_", " ")) for key in (tie.one, tie.other, tie.better_below, tie.better_above)
        )
        in_force = "" if now is None else f" (now {value_said(name, unit, now)})"
        yield (
            f"{name}: {one} and {other} earn the same at {value_said(name, unit, tie.value)}{_per(unit)}{in_force}; "
            f"below that {below} {'earn' if below in PLURAL else 'earns'} more, above it {above}"
        )


def _per(unit: str) -> str:
    """What follows a value: the unit, of money only what it is per."""
    if unit.startswith("$"):
        return f" {UNITS.get(unit, unit[2:])}"
    return f" {unit}" if _unit(unit) else ""


def print_ties(found: ItemTies, names: Mapping[str, str]) -> None:
    """Print where the systems of a comparison tie along one item."""
    low, high = (value_said(found.item, found.unit, end) for end in (found.low, found.high))
    print_text(f"\nWhere two systems earn the same a year, {found.item} from {low} to {high}{_per(found.unit)}\n")
    for sentence in tie_sentences(found.item, found.unit, found.now, found.ties, names):
        print_text(f"  - {sentence}\n")
