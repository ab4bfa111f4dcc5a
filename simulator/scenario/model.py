"""The scenario: the only input of the simulator, frozen and strict, every field with unit and range."""

from typing import Annotated, Any, Literal

from pydantic import Field

from simulator.scenario.base import Section
from simulator.scenario.events import Event, Fertiliser, Fire, Market, Neglect
from simulator.scenario.grass import Pasture, Straw, Use
from simulator.scenario.income import Income, Other, Payment
from simulator.scenario.land import Climate, Land, Money
from simulator.scenario.owner import CostShare, Equipment, Herbicide, Labour, Loan
from simulator.scenario.price_path import PriceLink, PriceProcess
from simulator.scenario.report import Line, Report
from simulator.scenario.risk import Risk
from simulator.scenario.sale import Sale
from simulator.scenario.search import Search
from simulator.scenario.stand import FoundStand
from simulator.scenario.tax import Tax
from simulator.scenario.trees import Harvest, Pruning, Thinning, Treatment, Trees


class Baseline(Section):
    """Overrides of the two derived single uses, written with the keys of the scenario itself."""

    plantation: dict[str, Any] = Field(default_factory=dict, description="tables that replace the derived plantation's")
    pasture: dict[str, Any] = Field(default_factory=dict, description="tables that replace the derived pasture's")
    open_later: dict[str, Any] = Field(
        default_factory=dict, description="with [stand]: tables that replace those of the plan carried out later"
    )


class Scenario(Section):
    """One piece of land under one plan."""

    format: Literal[1] = Field(description="version of this file's layout")
    title: Line = Field(default="", description="name of the field, one line of up to 200 letters")
    report: Report = Report()
    land: Land
    money: Money
    climate: Climate | None = Field(default=None, description="absent: the packaged climate at this latitude")
    trees: Trees | None = Field(default=None, description="absent: open pasture")
    stand: FoundStand | None = Field(default=None, description="trees that stand today, instead of planting")
    thinning: Annotated[tuple[Thinning, ...], Field(strict=False)] = ()
    pruning: Annotated[tuple[Pruning, ...], Field(strict=False)] = ()
    harvest: Harvest | None = Field(default=None, description="needed when there are trees")
    treatment: Annotated[tuple[Treatment, ...], Field(strict=False)] = ()
    pasture: Pasture = Pasture()
    use: Use = Use()
    straw: Straw = Straw()
    income: Income = Income()
    other: Annotated[tuple[Other, ...], Field(strict=False)] = ()
    payment: Annotated[tuple[Payment, ...], Field(strict=False)] = ()
    cost_share: Annotated[tuple[CostShare, ...], Field(strict=False)] = ()
    loan: Annotated[tuple[Loan, ...], Field(strict=False)] = ()
    labour: Labour = Labour()
    equipment: Equipment = Equipment()
    herbicide: Annotated[tuple[Herbicide, ...], Field(strict=False)] = ()
    event: Annotated[tuple[Event, ...], Field(strict=False)] = ()
    fertiliser: Annotated[tuple[Fertiliser, ...], Field(strict=False)] = ()
    fire: Fire | None = Field(default=None, description="absent: no prescribed fire")
    neglect: Neglect = Neglect()
    price_path: Annotated[tuple[PriceProcess, ...], Field(strict=False)] = ()
    price_link: Annotated[tuple[PriceLink, ...], Field(strict=False)] = ()
    market: Market = Market()
    sale: Sale = Sale()
    risk: Risk = Risk()
    search: Search = Search()
    tax: Tax | None = Field(default=None, description="absent: everything before income tax")
    baseline: Baseline = Baseline()
