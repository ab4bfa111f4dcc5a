"""The factors file: what is varied, how it is sampled, and what is kept of each scenario."""

from typing import Annotated, Final, Literal

from pydantic import ConfigDict, Field

from simulator.scenario.base import Section

GRID: Final = "grid"
ONE_AT_A_TIME: Final = "one at a time"
LATIN_HYPERCUBE: Final = "latin hypercube"
SOBOL_SEQUENCE: Final = "sobol sequence"
MORRIS: Final = "morris"
SOBOL_INDICES: Final = "sobol indices"
SCENARIO: Final = "scenario"
FAILED: Final = "failed"
"""Columns of the results beside factors and outputs."""
PATTERN: Final = "*"
"""What makes the name of a price or number stand for many."""
Design = Literal["grid", "one at a time", "latin hypercube", "sobol sequence", "morris", "sobol indices"]
Distribution = Literal["uniform", "normal", "triangular", "log-normal", "log-uniform"]
Value = float | bool | str
FactorName = Annotated[str, Field(min_length=1, max_length=60, pattern=r"^[\w.\[\]-]+$")]


class Linked(Section):
    """Another field or price that a factor moves: the factor times one number plus another."""

    field: str | None = Field(default=None, description='dotted field of the scenario, such as "harvest.year"')
    price: str | None = Field(default=None, description='item of the price table, such as "chip_and_saw"')
    times: float = Field(default=1.0, description="the factor is multiplied by this [1]")
    plus: float = Field(default=0.0, description="and this is added, in the unit of the field")


class Factor(Section):
    """One thing that is varied; exactly one of ``field``, ``price`` and ``number`` says what."""

    field: str | None = Field(default=None, description='dotted field of the scenario, such as "trees.layout.alley_ft"')
    price: str | None = Field(
        default=None, description='item of the price table; with * every item of that pattern that has a range: "*"'
    )
    number: str | None = Field(
        default=None,
        description='sourced number of the model as `compare --band` names it; with * every one: "tree.crown.*"',
    )
    provisional: bool = Field(
        default=False, description="of a pattern of numbers, only those without a published value"
    )
    name: FactorName | None = Field(default=None, description="column of the results; default: what is varied")
    values: Annotated[tuple[Value, ...], Field(strict=False, min_length=1)] | None = Field(
        default=None, description="values tried, all alike likely"
    )
    low: float | None = Field(default=None, description="lowest value, in the unit of the field")
    high: float | None = Field(default=None, description="highest value, in the unit of the field")
    levels: int = Field(default=3, ge=2, le=1000, description="of a range in a grid: values tried")
    distribution: Distribution = Field(default="uniform", description="how likely values are")
    mean: float | None = Field(default=None, description="of a normal distribution")
    standard_deviation: float | None = Field(default=None, gt=0.0, description="of a normal distribution")
    most_likely: float | None = Field(default=None, description="of a triangular distribution")
    median: float | None = Field(default=None, gt=0.0, description="of a log-normal distribution")
    spread: float | None = Field(
        default=None, gt=1.0, description="of a log-normal distribution: two in three lie within this many times [1]"
    )
    linked: Annotated[tuple[Linked, ...], Field(strict=False)] = Field(
        default=(), description="other fields and prices that move with this one"
    )


class FactorsFile(Section):
    """The tables of a factors file."""

    model_config = ConfigDict(title="a factors file")

    format: Literal[1] = Field(description="version of this file's layout")
    title: str = Field(default="", description="what is asked")
    design: Design = Field(description="how the factors are sampled")
    samples: int | None = Field(
        default=None,
        ge=2,
        le=100_000_000,
        description="scenarios of a hypercube or Sobol sequence; base samples of Sobol indices; trajectories of Morris",
    )
    seed: int = Field(default=1, ge=0, le=2_000_000_000, description="the same seed draws the same scenarios")
    systems: Literal["plan", "all"] = Field(
        default="plan", description="plan: the scenario alone; all: trees alone and grass alone beside it"
    )
    outputs: Annotated[tuple[str, ...], Field(strict=False, min_length=1)] = Field(
        default=("npv", "land expectation", "equal annual income"), description="what is kept of each scenario"
    )
    factor: Annotated[tuple[Factor, ...], Field(strict=False, min_length=1)] = Field(
        description="one table [[factor]] for each thing that is varied"
    )
