"""Every number of the scenario model with its bounds, walked out of the schema, and a sound file that holds it."""

import math
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, Final, NamedTuple

import tomlkit

from seeds import FULL, STAND
from simulator.scenario.messages import schema_of
from simulator.scenario.model import Scenario

Path_ = tuple[str | int, ...]
SENTINEL: Final = 987654321
"""Stands in the place of the number while its line is looked for."""
LEFT_OUT: Final[Mapping[str, tuple[Path_, ...]]] = {
    "thinning[1].strip_rows_removed": (),
    "loan[1].amount": (("loan", 0, "amount_per_ac"),),
    "pasture.switch.below_light": (("pasture", "switch", "year"),),
    "thinning[1].residual_basal_area_ft2_ac": (("thinning", 0, "residual_trees_per_ac"),),
    "thinning[2].residual_trees_per_ac": (("thinning", 1, "residual_basal_area_ft2_ac"),),
}
"""What has to go so that a number can stand where a file has the other of two."""


class Number(NamedTuple):
    """A number of the scenario file.

    Attributes
    ----------
    path
        Where it stands in the file.
    whole
        Whether it counts something.
    low, high
        Its bounds, None where the schema has none.
    low_is_in, high_is_in
        Whether the bound itself is allowed.
    """

    path: Path_
    whole: bool
    low: float | None
    high: float | None
    low_is_in: bool
    high_is_in: bool

    @property
    def name(self) -> str:
        """As a message writes it."""
        text = ""
        for part in self.path:
            text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else part
        return text

    def inside(self) -> list[float]:
        """The outermost values that the schema allows."""
        ends = ((self.low, self.low_is_in, math.inf), (self.high, self.high_is_in, -math.inf))
        return [end if is_in else self._next(end, way) for end, is_in, way in ends if end is not None]

    def outside(self) -> list[float]:
        """The first values that it does not."""
        ends = ((self.low, self.low_is_in, -math.inf), (self.high, self.high_is_in, math.inf))
        return [self._next(end, way) if is_in else end for end, is_in, way in ends if end is not None]

    def _next(self, end: float, way: float) -> float:
        return end + math.copysign(1.0, way) if self.whole else math.nextafter(end, way)

    def written(self, value: float) -> str:
        """A value as the file has it."""
        return str(int(value)) if self.whole else repr(float(value))


@cache
def numbers() -> tuple[Number, ...]:
    """Every number of the model, in the order of its fields."""
    return tuple(_numbers(schema_of(Scenario), ()))


def _numbers(node: Mapping[str, Any], path: Path_) -> Iterator[Number]:
    for branch in node.get("anyOf", [node]):
        kind = branch.get("type")
        if kind in {"integer", "number"} and "const" not in branch:
            yield _number(branch, path, whole=kind == "integer")
        for key, inner in branch.get("properties", {}).items():
            yield from _numbers(inner, (*path, key))
        if isinstance(branch.get("items"), Mapping):
            yield from _numbers(branch["items"], (*path, 0))
        for place, inner in enumerate(branch.get("prefixItems", ())):
            yield from _numbers(inner, (*path, place))
        rest = branch.get("additionalProperties")
        if isinstance(rest, Mapping) and path in KEYS:
            yield from _numbers(rest, (*path, KEYS[path]))


KEYS: Final[Mapping[Path_, str]] = {
    ("money", "prices"): "calf",
    ("risk", "times"): "ice",
    ("pasture", "nitrogen_lb_ac"): "3",
}
"""A key of each table whose keys are names."""


def _number(node: Mapping[str, Any], path: Path_, *, whole: bool) -> Number:
    low, high = (node.get(key, node.get(f"exclusive{key.title()}")) for key in ("minimum", "maximum"))
    return Number(path, whole, low, high, "minimum" in node, "maximum" in node)


OF_A_STAND: Final = ("stand.", "strip_rows", "basis", "season_months")
NEEDED: Final = ("format", "land", "money", "trees", "harvest", "pasture", "use")


def text_with(number: Number, value: str, *, bare: bool = False) -> tuple[str, int]:
    """A sound file but for one number, and the line on which that stands.

    Parameters
    ----------
    number
        Which.
    value
        What is written for it.
    bare
        Whether only the tables are there that every plan needs, and the number's own.
    """
    document: dict[str, Any] = tomllib.loads(STAND if any(each in number.name for each in OF_A_STAND) else FULL)
    if bare:
        kept = (*NEEDED, number.path[0], *(("stand",) if "stand" in document else ()))
        document = {key: entry for key, entry in document.items() if key in kept}
        if number.path[:2] != ("land", "ground"):
            document["land"].pop("ground", None)
    for gone in LEFT_OUT.get(number.name, ()):
        node: Any = document
        for part in gone[:-1]:
            node = node[part]
        del node[gone[-1]]
    node = document
    for place, part in enumerate(number.path[:-1]):
        if isinstance(part, str) and (part not in node or not isinstance(node[part], dict | list)):
            node[part] = [] if isinstance(number.path[place + 1], int) else {}
        node = node[part]
    last = number.path[-1]
    if isinstance(last, int) and last >= len(node):
        node.append(SENTINEL)
    node[last] = SENTINEL
    text = tomlkit.dumps(document)
    line = text[: text.index(str(SENTINEL))].count("\n") + 1
    return text.replace(str(SENTINEL), value, 1), line
