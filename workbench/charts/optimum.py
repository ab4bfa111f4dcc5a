"""Charts of a search: value by first thinning, value by start of grazing, and the best plan as a line of time."""

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator, StrMethodFormatter

from optimize.around import by_grazing_start, thinning_surface
from optimize.best import BestPlan, Member
from simulator.units import FloatArray
from workbench.charts.style import (
    ENTERPRISE_COLOR,
    FAINT,
    INK,
    SMALL_PT,
    SYSTEM_INK,
    YEARS_OF_A_PLANTING,
    YEARS_OF_A_STAND,
    house_style,
    letter_figure,
    write_finding,
    write_side_note,
    write_small_print,
    year_axis,
)
from workbench.optimum_words import amount, member_name, plan_in_short

LEVELS = 8
LEAST_CHOICES = 2
LANES = (("straw", "straw_bales_ac"), ("grazing", "animal_unit_months_ac"), ("hay", "hay_ton_ac"))
"""Uses of the ground from the foot of the picture up, and their yearly states."""


def thinning_figure(found: BestPlan) -> Figure | None:
    """Draw the best value that each first thinning allows, by its year and by the trees it leaves.

    Parameters
    ----------
    found
        A search that is done.

    Returns
    -------
    Figure or None
        None where fewer than two years or two densities were tried, or for rates of return, which are reckoned for
        the leading plans only.
    """
    surface = thinning_surface(found.spaces["silvopasture"])
    if min(surface.value.shape) < LEAST_CHOICES or not np.isfinite(surface.value).any():
        return None
    best = np.unravel_index(np.nanargmax(surface.value), surface.value.shape)
    none = [
        value
        for plan, value in zip(found.spaces["silvopasture"].plans, found.spaces["silvopasture"].value, strict=True)
        if not plan.thinning and np.isfinite(value)
    ]
    with house_style():
        figure = letter_figure(4.2)
        panel = figure.subplots()
        year, trees = surface.across[best[1]], surface.up[best[0]]
        said = f"Of all first thinnings, one in year {year:.0f} that leaves {trees:g} trees an acre is worth most"
        edge = year in {surface.across[0], surface.across[-1]} or trees in {surface.up[0], surface.up[-1]}
        versus = f"; none at all is worth {amount(found, max(none))}" if none else ""
        write_finding(figure, f"{said}: {amount(found, float(surface.value[best]))}{versus}")
        _contours(panel, surface.across, surface.up, surface.value)
        panel.plot(year, trees, marker="o", markersize=9, markerfacecolor="none", markeredgecolor=INK)
        panel.set_xlabel(_year_words(found, "year of the first thinning"))
        panel.set_ylabel("trees it leaves [1/ac]")
        write_side_note(panel, "$/ac; everything else chosen anew at each point; dots are the grid, the ring the best")
        if edge:
            write_small_print(
                figure, "The best stands at the edge of the grid: a wider [search] may find a better one."
            )
    return figure


def _contours(panel: Axes, years: tuple[float, ...], trees: tuple[float, ...], value: FloatArray) -> None:
    """Contours where the whole rectangle has values; numbers at the points of the grid in any case."""
    known = np.isfinite(value)
    # the file's own thinning may stand alone in its row and column: numbered, but no part of the rectangle
    up, across = (np.flatnonzero(known.sum(axis=axis) > 1) for axis in (1, 0))
    inner = value[np.ix_(up, across)]
    if min(inner.shape) >= LEAST_CHOICES and np.isfinite(inner).all() and np.ptp(inner) > 0:
        place = np.array(years)[across], np.array(trees)[up]
        panel.contourf(*place, inner, levels=LEVELS, cmap="YlGnBu", alpha=0.55)
        panel.contour(*place, inner, levels=LEVELS, colors=FAINT, linewidths=0.5)
    panel.xaxis.set_major_locator(MaxNLocator(integer=True))
    for row, left in enumerate(trees):
        for column, year in enumerate(years):
            if np.isfinite(value[row, column]):
                panel.plot(year, left, marker=".", markersize=3, color=INK)
                label = f"{value[row, column]:,.0f}"
                panel.annotate(label, (year, left), (0, 6), textcoords="offset points", ha="center", fontsize=SMALL_PT)
    panel.use_sticky_edges = False
    panel.margins(0.07, 0.14)


def grazing_figure(found: BestPlan) -> Figure | None:
    """Draw the best value that each start of grazing allows; None where fewer than two were tried."""
    starts = by_grazing_start(found.spaces["silvopasture"])
    if len(starts) < LEAST_CHOICES:
        return None
    values = np.array([value for _, value in starts])
    places, best = np.arange(len(starts)), int(np.argmax(values))
    with house_style():
        figure = letter_figure(3.2)
        panel = figure.subplots()
        first = starts[best][0]
        when = "never letting animals in" if first is None else f"letting animals in from year {first}"
        write_finding(
            figure, f"With everything else chosen for it, {when} is worth most: {amount(found, float(values[best]))}"
        )
        colors = [SYSTEM_INK["silvopasture"].color if place == best else "#b9c4c8" for place in places]
        panel.bar(places, values, color=colors, width=0.62)
        for place, value in zip(places, values, strict=True):
            panel.annotate(
                f"{value:,.0f}", (place, value), (0, 3), textcoords="offset points", ha="center", fontsize=SMALL_PT
            )
        panel.set_xticks(places, ["never" if start is None else str(start) for start, _ in starts])
        panel.tick_params(axis="x", length=0)
        panel.axhline(0.0, color=INK, linewidth=0.6)
        panel.set_xlabel(_year_words(found, "first year of grazing"))
        panel.set_ylabel("value [$/ac]")
        panel.yaxis.set_major_formatter(StrMethodFormatter("{x:,.0f}"))
        panel.margins(y=0.12)
    return figure


def timeline_figure(found: BestPlan) -> Figure:
    """Draw the best plan as a line of time: cuts with what they sell, hay, grazing, straw, and the light on the grass.

    Parameters
    ----------
    found
        A search that is done.
    """
    member = found.best
    outcome = member.outcome
    last = min(outcome.flows.leading_yr or outcome.flows.cycle_yr, len(outcome.cash_per_ac) - 1)
    with house_style():
        figure = letter_figure(3.0)
        panel = figure.subplots()
        write_finding(figure, f"The best plan: {member_name(member)}; {plan_in_short(outcome.scenario)}")
        names = _bars(panel, member, last)
        _cuts(panel, member, last, len(names))
        words = YEARS_OF_A_STAND if outcome.scenario.stand else YEARS_OF_A_PLANTING
        year_axis(panel, last, label=True, words=words)
        panel.set_xlim(-0.6, last + 0.05 * last)
        panel.set_ylim(-0.6, len(names) + 1.1)
        panel.set_yticks(range(len(names) + 1), [*names, "wood"])
        panel.tick_params(axis="y", length=0)
        write_small_print(figure, "One cycle. Bars are years of use; numbers at cuts are green tons sold an acre.")
    return figure


def _bars(panel: Axes, member: Member, last: int) -> list[str]:
    """Draw a lane of years for the light and for each use that the plan has; return the lanes' names."""
    states = member.outcome.states
    light = states["light_warm"][: last + 1]
    for year in range(1, last + 1):
        panel.bar(year - 0.5, 0.55, width=1.0, bottom=-0.27, color=str(0.25 + 0.7 * float(light[year])))
    for year in range(5, last + 1, 5):
        panel.text(year - 0.5, 0.33, f"{light[year]:.0%}", ha="center", fontsize=SMALL_PT, color=INK)
    names = ["light on\nthe grass"]
    for name, column in LANES:
        years = np.flatnonzero(states[column][: last + 1] > 0)
        if not len(years):
            continue
        lane = len(names)
        height = np.full(len(years), 0.55)
        panel.bar(years - 0.5, height, width=1.0, bottom=lane - 0.27, color=ENTERPRISE_COLOR[name], edgecolor="white")
        panel.text(years[0] - 0.9, lane + 0.33, _from_to(years.tolist()), fontsize=SMALL_PT, color=INK)
        names.append(name)
    return names


def _from_to(years: Sequence[int]) -> str:
    first, end = years[0], years[-1]
    return f"year {first}" if first == end else f"years {first}-{end}"


def _cuts(panel: Axes, member: Member, last: int, lane: int) -> None:
    outcome = member.outcome
    tons = outcome.wood_ton_ac.sum(axis=1)
    for year in range(last + 1):
        if outcome.states["trees_cut_per_ac"][year] > 0:
            panel.plot([year, year], [-0.3, lane], color=FAINT, linewidth=0.6, linestyle=":")
            panel.plot(year, lane, marker="v", markersize=8, color=ENTERPRISE_COLOR["wood"])
            panel.text(year, lane + 0.35, f"{tons[year]:.0f} tons", ha="center", fontsize=SMALL_PT, color=INK)
    panel.plot([0, last], [lane, lane], color=ENTERPRISE_COLOR["wood"], linewidth=0.8)


def _year_words(found: BestPlan, what: str) -> str:
    since = "from now" if found.best.outcome.scenario.stand else "since planting"
    return f"{what} [years {since}]"
