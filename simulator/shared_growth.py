"""Plans that begin alike, grown together until they part: every distinct past is grown once."""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from simulator.batch import plan_of, tables_of
from simulator.candidates import taken
from simulator.engine import continued, prepared, started
from simulator.enterprises.setting import Setting
from simulator.events.light import Precision, skies_of
from simulator.history import History
from simulator.parameters.prices import PriceTable
from simulator.parameters.tables import Tables
from simulator.plan import Plan
from simulator.scenario.grass import Straw
from simulator.scenario.lapses import is_let_go
from simulator.scenario.model import Scenario
from simulator.scenario.rows import takes_rows
from simulator.simulation import Land, Simulation
from simulator.units import IntArray

STAGE_COST = 60
"""What one more stage costs, in years grown of one plan; measured, and it only moves the time taken."""


UNDATED = {"year": 1, "residual_trees_per_ac": None, "residual_basal_area_ft2_ac": None}
"""Of a thinning by rows the layout knows which rows go, not when nor how many trees stay."""


class Stage(NamedTuple):
    """Years in which the same pasts are told apart.

    Attributes
    ----------
    first, last
        Rows of the stage.
    grown
        Place in the batch of the plan that is grown for each distinct past, (pasts,).
    past
        Which of these every plan shares, (candidates,).
    """

    first: int
    last: int
    grown: IntArray
    past: IntArray


def grow_sharing(
    members: Sequence[Scenario],
    prices: Mapping[str, PriceTable],
    tables: Tables | None = None,
    precision: Precision = "fast",
) -> Simulation:
    """Grow a batch of one kind, years that plans have in common only once.

    Parameters
    ----------
    members
        Plans of one batch; those that differ late share the most.
    prices
        Price tables by name.
    tables
        Numbers to use instead of the packaged ones.
    precision
        Light path.

    Returns
    -------
    Simulation
        Book and yearly states as if each had been grown alone; without the drawings and profiles of a year.
    """
    numbers = tables_of(members, tables)
    whole = plan_of(members, numbers, precision, prices)
    return grown_in_stages(whole, numbers, stages_of(members, whole.last_year), precision)


def grown_in_stages(whole: Plan, numbers: Tables, stages: Sequence[Stage], precision: Precision = "fast") -> Simulation:
    """Grow a batch, in each stage only the plans that differ by then.

    Parameters
    ----------
    whole
        The batch.
    numbers
        Its numbers.
    stages
        Years without a gap from row 0 to its last, and which pasts they tell apart.
    precision
        Light path, as the batch was laid out for.

    Returns
    -------
    Simulation
        As `grow_sharing` returns it.
    """
    result = prepared(whole, numbers, precision, whole.last_year)
    land: Land | None = None
    before: Stage | None = None
    for stage in stages:
        run = _for(stage.grown, result)
        land = started(run) if land is None or before is None else taken(land, before.past[stage.grown])
        land = continued(run, land, max(stage.first, 1), stage.last)
        _keep(result, run, stage)
        before = stage
    return result


def stages_of(members: Sequence[Scenario], last_year: int) -> tuple[Stage, ...]:
    """Part the years into stages so that little is grown twice and few batches are set up.

    Parameters
    ----------
    members
        Plans of one batch.
    last_year
        Last row grown.

    Returns
    -------
    tuple of Stage
        From row 0 on, without a gap.
    """
    return stages_between(_pasts_by_year(members, last_year))


def stages_between(pasts: Sequence[IntArray]) -> tuple[Stage, ...]:
    """Part the years into stages.

    Parameters
    ----------
    pasts
        Number of the past that each plan has had by the end of each row, by row; each (candidates,).

    Returns
    -------
    tuple of Stage
    """
    last_year, count = len(pasts) - 1, [int(past.max()) + 1 for past in pasts]
    cost, cut = [0.0], [0]
    for last in range(last_year + 1):
        ways = [cost[first] + STAGE_COST + count[last] * (last + 1 - first) for first in range(last + 1)]
        cut.append(int(np.argmin(ways)))
        cost.append(min(ways))
    stages: list[Stage] = []
    end = last_year + 1
    while end > 0:
        past = pasts[end - 1]
        grown = np.unique(past, return_index=True)[1]
        stages.append(Stage(cut[end], end - 1, grown, past))
        end = cut[end]
    return tuple(reversed(stages))


def years_grown(stages: Sequence[Stage]) -> int:
    """Years grown of all distinct pasts together: what sharing leaves to be done."""
    return sum(len(stage.grown) * (stage.last + 1 - stage.first) for stage in stages)


def _pasts_by_year(members: Sequence[Scenario], last_year: int) -> list[IntArray]:
    """Number of the past that each plan has had by the end of each row."""
    past, happens = _beginnings(members), np.zeros((len(members), last_year + 1), np.int64)
    codes: dict[Hashable, int] = {}
    for i, scenario in enumerate(members):
        for year, what in _decisions(scenario):
            if year <= last_year:
                happens[i, year] = codes.setdefault((int(happens[i, year]), what), len(codes) + 1)
    pasts = []
    for year in range(last_year + 1):
        if happens[:, year].any():
            past = np.unique(past * (len(codes) + 1) + happens[:, year], return_inverse=True)[1]
        pasts.append(past)
    return pasts


def _beginnings(members: Sequence[Scenario]) -> IntArray:
    """Number of what each plan is before anything is decided: the land, and what the loop knows ahead of time."""
    frames: list[tuple[Scenario, Hashable]] = []
    numbers = []
    for i, scenario in enumerate(members):
        frame = without_decisions(scenario), _known_ahead(scenario, i)
        if frame not in frames:
            frames.append(frame)
        numbers.append(frames.index(frame))
    return np.array(numbers, np.int64)


def without_decisions(scenario: Scenario) -> Scenario:
    """The land and the terms of a plan, without what it decides year by year."""
    idle = {"hay_years": None, "first_grazing_year": None, "never_grazed": False}
    use = scenario.use.model_copy(update=idle)
    nothing = {"title": "", "thinning": (), "pruning": (), "harvest": None, "straw": Straw(), "use": use}
    return scenario.model_copy(update=nothing)


def _known_ahead(scenario: Scenario, i: int) -> Hashable:
    """What shapes the land from the first year though it is dated later: rows that will go, whether grass is used.

    A plan that is let go is told apart from all others.
    """
    rows = tuple(cut.model_copy(update=UNDATED) for cut in scenario.thinning if takes_rows(cut.method))
    harvest = scenario.harvest if scenario.pasture.switch else None
    use = scenario.use
    return use.first_grazing_year is None, use.hay_years is None, rows, harvest, i if is_let_go(scenario) else -1


def _decisions(scenario: Scenario) -> Iterator[tuple[int, Hashable]]:
    """What a plan decides, each with the row from which on it matters; years of a later cycle only come after."""
    for cut in scenario.thinning:
        yield cut.year, cut
    for lift in scenario.pruning:
        yield lift.year, lift
    if scenario.harvest is not None:
        yield scenario.harvest.year, "harvest"
    if scenario.use.first_grazing_year is not None:
        yield scenario.use.first_grazing_year, "grazing"
    if scenario.use.hay_years is not None:
        first, last = scenario.use.hay_years
        yield first, "hay"
        yield last + 1, "no hay"
    if scenario.straw.market:
        yield scenario.straw.first_rake_year, scenario.straw


def _for(index: IntArray, whole: Simulation) -> Simulation:
    """A simulation of some plans of a batch with empty records."""
    setting, last_year = whole.setting, whole.setting.book.quantity.shape[1] - 1
    plan, book = setting.plan.of(index), setting.book
    book = book.empty_copy(plan.geometry.rows_share, last_year + 1)
    return Simulation(
        setting=Setting(plan, setting.tables, taken(setting.terms, index), book),
        site=taken(whole.site, index),
        skies=skies_of(plan, setting.tables),
        precision=whole.precision,
        history=History(plan.geometry.rows_share, last_year),
    )


def _keep(result: Simulation, run: Simulation, stage: Stage) -> None:
    """Copy the rows of a stage to every plan that shares the past grown in it."""
    rows, past = slice(stage.first, stage.last + 1), stage.past
    book, history = result.setting.book, result.history
    book.quantity[:, rows] = run.setting.book.quantity[past, rows]
    book.replanting += run.setting.book.replanting[past]
    history.wood_ton_ac[:, rows] = run.history.wood_ton_ac[past, rows]
    for name, values in run.history.column.items():
        history.column[name][:, rows] = values[past, rows]
