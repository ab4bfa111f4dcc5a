"""Words of sweeps and their sensitivity: outputs, values and ties as a person says them."""

from collections.abc import Iterator, Mapping, Sequence

from optimize.sensitivity.break_even import Tie
from optimize.sensitivity.one_item import ItemTies
from optimize.sensitivity.study import Study
from workbench.output import print_text
from workbench.words import NAMES

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
    unit = study.units.get(name, "")
    return f"${value:,.4g}" if unit.startswith("$") else f"{value:,.4g}"


def tie_sentences(
    name: str, unit: str, now: float | None, ties: Sequence[Tie], names: Mapping[str, str] = NAMES
) -> Iterator[str]:
    """Say where systems earn the same along one factor, one sentence a pair."""
    said = f" {unit}" if unit and unit != "1" else ""
    if all(tie.value is None for tie in ties):
        yield f"{name}: the order of the systems stays the same over its whole range"
    for tie in ties:
        if tie.value is None:
            continue
        one, other, below, above = (
            names.get(key, key.replace("_", " ")) for key in (tie.one, tie.other, tie.better_below, tie.better_above)
        )
        in_force = "" if now is None else f" (now {now:,.4g})"
        yield (
            f"{name}: {one} and {other} earn the same at {tie.value:,.4g}{said}{in_force}; "
            f"below it {below} earns more, above it {above}"
        )


def print_ties(found: ItemTies, names: Mapping[str, str]) -> None:
    """Print where the systems of a comparison tie along one item."""
    unit = f" {found.unit}" if found.unit else ""
    print_text(
        f"\nWhere two systems earn the same a year, {found.item} from {found.low:,.4g} to {found.high:,.4g}{unit}\n"
    )
    for sentence in tie_sentences(found.item, found.unit, found.now, found.ties, names):
        print_text(f"  - {sentence}\n")
