"""From a property file to its tracts and couplings, or to everything that is wrong with it."""

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Final, Literal, NamedTuple

from pydantic import ConfigDict, Field, ValidationError

from optimize.property.couplings import Couplings
from optimize.tracts import Objective
from simulator import named_files
from simulator.alternatives import check_overrides
from simulator.errors import InputError, Problem
from simulator.measures import real_discount_rate
from simulator.scenario.base import Name, Section
from simulator.scenario.file import load, text_of
from simulator.scenario.lines import FieldPath
from simulator.scenario.messages import field_name, schema_findings, shown
from simulator.scenario.model import Scenario
from simulator.scenario.syntax import Reading, read_toml

HOW_TO_BEGIN: Final = "'halfshade property --help' shows how such a file is written."


class TractEntry(Section):
    """One tract: a name and the scenario that describes it."""

    name: Name = Field(description="name of the tract, each once")
    scenario: str = Field(description="scenario file of the tract, relative to this file")
    acres: float | None = Field(
        default=None, ge=0.01, le=100_000.0, description="tract area in place of the scenario's [ac]"
    )
    group: Name | None = Field(default=None, description="tracts of one group are neighbours and can be cut together")


class SolverSettings(Section):
    """How long and how near to search."""

    time_limit_s: float = Field(default=120.0, ge=1.0, le=86_400.0, description="longest search [s]")
    gap: float = Field(default=0.001, ge=0.0, le=0.5, description="stop this near to the proven bound, as a share")
    seed: int = Field(default=1, ge=0, le=2_000_000_000, description="seed of the solver")


class PropertyFile(Section):
    """The tables of a property file."""

    model_config = ConfigDict(title="a property file")

    format: Literal[1] = Field(description="version of this file's layout")
    title: str = Field(default="", description="name of the property")
    maximise: Objective = Field(
        default="land-expectation",
        description="worth of the land under each cycle repeated for ever, or net present value over the horizon",
    )
    tract: Annotated[tuple[TractEntry, ...], Field(strict=False, min_length=1)] = Field(
        description="one table [[tract]] for each tract, with name and scenario"
    )
    couplings: Couplings = Field(default=Couplings(), description="what ties the tracts together")
    solver: SolverSettings = Field(default=SolverSettings(), description="how long and how near to search")


class Tract(NamedTuple):
    """A tract with its scenario read.

    Attributes
    ----------
    name, group
        Of the tract; without a group it is cut by itself.
    scenario
        Its own plan, with the acres of the property file.
    beside
        Folder of the scenario file.
    """

    name: str
    group: str
    scenario: Scenario
    beside: Path


class Property(NamedTuple):
    """A property file, read and sound.

    Attributes
    ----------
    file
        Its tables.
    tracts
        In the order of the file; all share horizon and rate.
    """

    file: PropertyFile
    tracts: tuple[Tract, ...]

    @property
    def horizon(self) -> int:
        """Last year [yr]."""
        return self.tracts[0].scenario.money.horizon_years

    @property
    def over_the_horizon(self) -> bool:
        """Whether worth is that of the horizon; at a rate of 0 income without end has no sum."""
        return self.file.maximise == "npv" or self.rate <= 0.0

    @property
    def rate(self) -> float:
        """Real yearly discount rate."""
        return real_discount_rate(self.tracts[0].scenario.money)


def load_property(path: str | Path) -> Property:
    """Read a property file and the scenarios it names.

    Parameters
    ----------
    path
        A TOML file in UTF-8.

    Returns
    -------
    Property

    Raises
    ------
    InputError
        With every problem, each with file, line, field, value received and remedy.
    """
    path = Path(path)
    name = str(path)
    reading = read_toml(text_of(path, HOW_TO_BEGIN), name)
    if not reading.document and not reading.problems:
        raise InputError([Problem("", "is empty", "", HOW_TO_BEGIN, name)])
    try:
        file = PropertyFile.model_validate(reading.document)
    except ValidationError as error:
        findings = schema_findings(error, reading.document, PropertyFile)
        problems = [
            _problem(reading, name, found.path, found.rule, received=found.received, remedy=found.remedy)
            for found in findings
            if found.path not in reading.unread
        ]
        raise InputError(_in_order([*reading.problems, *problems])) from error
    if reading.problems:
        raise InputError(_in_order(reading.problems))
    return _sound(file, reading, path)


def _sound(file: PropertyFile, reading: Reading, path: Path) -> Property:
    def problem(where: FieldPath, rule: str, received: str = "", remedy: str = "") -> Problem:
        return _problem(reading, str(path), where, rule, received=received, remedy=remedy)

    problems = [problem(*found) for found in _same_names(file)]
    tracts: list[Tract] = []
    for number, entry in enumerate(file.tract):
        scenario_path = path.parent / entry.scenario
        if not named_files.is_file(scenario_path):
            remedy = "Name a scenario file; a relative name counts from the folder of this file."
            problems.append(problem(("tract", number, "scenario"), "does not exist", shown(entry.scenario), remedy))
            continue
        try:
            tracts.append(_tract(entry, scenario_path))
        except InputError as error:
            problems += error.problems
    if not problems:
        property_ = Property(file, tuple(tracts))
        problems += [problem(*found) for found in (*_unlike(property_), *_contradictions(property_))]
        if not problems:
            return property_
    raise InputError(_in_order(problems))


def _tract(entry: TractEntry, path: Path) -> Tract:
    scenario = load(path)
    check_overrides(scenario, path)
    if entry.acres is not None:
        scenario = scenario.model_copy(update={"land": scenario.land.of_acres(entry.acres)})
    return Tract(entry.name, entry.group or entry.name, scenario, path.parent)


def _problem(reading: Reading, name: str, where: FieldPath, rule: str, *, received: str, remedy: str) -> Problem:
    return Problem(field_name(where), rule, received, remedy, name, reading.lines.locate(where))


def _in_order(problems: list[Problem]) -> list[Problem]:
    return sorted(dict.fromkeys(problems), key=lambda problem: problem.line or 0)


def _same_names(file: PropertyFile) -> Iterator[tuple[FieldPath, str, str, str]]:
    """A tract's name stands once, and no group is called as a tract outside it."""
    names = [entry.name for entry in file.tract]
    for number, entry in enumerate(file.tract):
        first = names.index(entry.name)
        if first < number:
            rule = f"is the name of tract {first + 1} too"
            yield ("tract", number, "name"), rule, shown(entry.name), "Give each tract a name of its own."
        if entry.group in names and file.tract[names.index(entry.group)].group != entry.group:
            rule = "is the name of a tract that is not in this group"
            yield ("tract", number, "group"), rule, shown(entry.group), "Give the group another name."


def _unlike(property_: Property) -> Iterator[tuple[FieldPath, str, str, str]]:
    """All tracts share the horizon and the discount rate, and animals are there where a herd is to graze."""
    for number, tract in enumerate(property_.tracts):
        money = tract.scenario.money
        where: FieldPath = ("tract", number, "scenario")
        if money.horizon_years != property_.horizon:
            rule = f"must run {property_.horizon} years, as the first tract does"
            yield where, rule, f"horizon_years = {money.horizon_years}", "Give all tracts one horizon."
        if abs(real_discount_rate(money) - property_.rate) > SAME_RATE:
            rule = f"must be discounted at {property_.rate:.4g} a year, as the first tract is"
            yield where, rule, f"{real_discount_rate(money):.4g}", "Give all tracts one rate."


SAME_RATE: Final = 1e-9


def _contradictions(property_: Property) -> Iterator[tuple[FieldPath, str, str, str]]:
    """Limits leave room: what is asked for is no more than there is, and no price pays for going in circles."""
    couplings, horizon = property_.file.couplings, property_.horizon
    acres = sum(tract.scenario.land.acres for tract in property_.tracts)
    grazing = couplings.grazing
    if grazing is not None and grazing.least_acres > acres:
        rule = f"must be at most the {acres:,.6g} acres of all tracts"
        yield ("couplings", "grazing", "least_acres"), rule, f"{grazing.least_acres:g}", "Ask for less."
    if grazing is not None and grazing.from_year > horizon:
        rule = f"must be a year up to the horizon of {horizon}"
        yield ("couplings", "grazing", "from_year"), rule, str(grazing.from_year), "Name an earlier year."
    for name in ("even_income", "even_wood"):
        even = getattr(couplings, name)
        if even is not None and even.from_year + 2 * even.period_years - 1 > horizon:
            rule = f"must leave room for two periods from year {even.from_year} to {horizon}"
            yield ("couplings", name, "period_years"), rule, str(even.period_years), "Take shorter periods."
    yield from _herd_contradictions(property_)


def _herd_contradictions(property_: Property) -> Iterator[tuple[FieldPath, str, str, str]]:
    herd = property_.file.couplings.herd
    if herd is None:
        return
    if property_.file.maximise != "npv":
        rule = 'goes only with maximise = "npv": a herd is reckoned over the horizon, not for ever'
        yield ("couplings", "herd"), rule, "", 'Write maximise = "npv" above the first table.'
    if herd.most_head is not None and herd.least_head > herd.most_head:
        rule = f"must be at most most_head, which is {herd.most_head:g}"
        yield ("couplings", "herd", "least_head"), rule, f"{herd.least_head:g}", "Change one of the two."
    if herd.sold_price > herd.bought_price:
        rule = f"must be at most bought_price, which is {herd.bought_price:g}"
        yield ("couplings", "herd", "sold_price"), rule, f"{herd.sold_price:g}", "Nobody sells dearer than they buy."
    if not any(tract.scenario.use.animals != "none" for tract in property_.tracts) and not herd.open_pasture_aum:
        rule = "has nothing to graze: no tract names animals and there is no open pasture"
        yield ("couplings", "herd"), rule, "", "Name animals in a tract's [use], or give open_pasture_aum."
