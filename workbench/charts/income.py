"""Chart of the money: what each enterprise brings in by year, and what has come in altogether."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from simulator.comparison import Comparison
from simulator.result import Outcome
from simulator.units import BoolArray, FloatArray
from workbench.charts.cuts import cuts_of, mark_cuts, write_above
from workbench.charts.style import (
    ENTERPRISE_COLOR,
    ENTERPRISE_NAME,
    INK,
    PAPER,
    SMALL_PT,
    SYSTEM_INK,
    house_style,
    label_line_ends,
    letter_figure,
    system_name,
    write_finding,
    write_side_note,
    write_small_print,
    year_axis,
    year_words,
)
from workbench.enterprise_cash import net_by_enterprise

ROOM_ABOVE_ORDINARY_YEARS = 1.35
LINE_PT = 8.5


def income_figure(comparison: Comparison) -> Figure:
    """Draw yearly cash by enterprise, cumulative cash and lean years of three systems, and their equal annual income.

    Parameters
    ----------
    comparison
        Three systems on one piece of land.

    Returns
    -------
    Figure
        Four panels; every amount in real dollars per acre of the whole field.
    """
    with house_style():
        figure = letter_figure(8.6)
        yearly, altogether, lean, equal = figure.subplots(4, 1, gridspec_kw={"height_ratios": [3.2, 2.6, 0.75, 0.9]})
        write_finding(figure, _finding(comparison))
        _draw_yearly(yearly, comparison)
        total = {name: np.cumsum(outcome.cash_per_ac) for name, outcome in comparison.systems.items()}
        _draw_altogether(altogether, comparison, total)
        _draw_lean_years(lean, comparison, total)
        _draw_equal_income(equal, comparison)
        write_small_print(figure, *_small_print(comparison))
    return figure


def cash_figure(comparison: Comparison) -> Figure:
    """Draw the panels of the cash alone: by enterprise and year, added up, and the lean years."""
    total = {name: np.cumsum(outcome.cash_per_ac) for name, outcome in comparison.systems.items()}
    with house_style():
        figure = letter_figure(6.9)
        yearly, altogether, lean = figure.subplots(3, 1, gridspec_kw={"height_ratios": [3.0, 2.4, 0.75]})
        deepest = [f"{system_name(comparison, name)} {_money(-min(cash.min(), 0.0))}" for name, cash in total.items()]
        write_finding(figure, f"Most money out at any time, an acre: {', '.join(deepest)}")
        _draw_yearly(yearly, comparison)
        _draw_altogether(altogether, comparison, total)
        _draw_lean_years(lean, comparison, total)
        write_small_print(figure, *_small_print(comparison))
    return figure


def equal_income_figure(comparison: Comparison) -> Figure:
    """Draw the equal annual income of each system alone: one bar each."""
    with house_style():
        figure = letter_figure(0.95 + 0.25 * len(comparison.systems))
        write_finding(figure, _finding(comparison))
        _draw_equal_income(figure.subplots(), comparison)
    return figure


def _money(amount: float) -> str:
    rounded = round(amount)
    return f"−${-rounded:,}" if rounded < 0 else f"${rounded:,}"


def _tick(value: float, _: int) -> str:
    """Money on a scale; never a mark that is not where its number says."""
    return _money(value) if abs(value - round(value)) < 1e-9 else f"{'−' if value < 0 else ''}${abs(value):,.2f}"


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def _finding(comparison: Comparison) -> str:
    parts = [
        f"{system_name(comparison, name)} {_money(comparison.systems[name].measures.equal_annual_income)}"
        for name in comparison.ranking
    ]
    return f"Equal annual income an acre: {', '.join(parts)}"


def _small_print(comparison: Comparison) -> tuple[str, str]:
    first = comparison.systems["silvopasture"]
    left = ", ".join(
        f"{system_name(comparison, name)} {_money(outcome.end_value_per_ac)}"
        for name, outcome in comparison.systems.items()
    )
    hours = "the owner's hours charged" if first.prices.get("wage") else "the owner's hours free"
    basis = (
        f"Real {first.price_table.currency_year} dollars per acre of the whole field, before income tax, {hours}. "
        f"Dotted: cuts of {system_name(comparison, 'silvopasture')}."
    )
    end = (
        f"Left out of the cash, as it is not sold: what is there in year {first.scenario.money.horizon_years} (trees, "
        f"herd and fence, less the way back to pasture), an acre: {left}."
    )
    return basis, end


def _draw_yearly(axes: Axes, comparison: Comparison) -> None:
    outcome = comparison.systems["silvopasture"]
    net = net_by_enterprise(outcome)
    years = np.arange(len(outcome.cash_per_ac))
    above, below = np.zeros(len(years)), np.zeros(len(years))
    for name, amount in net.items():
        bottom = np.where(amount >= 0, above, below)
        axes.bar(
            years, amount, 0.8, bottom, color=ENTERPRISE_COLOR.get(name, INK), label=ENTERPRISE_NAME.get(name, name)
        )
        above, below = above + np.maximum(amount, 0.0), below + np.minimum(amount, 0.0)
    axes.axhline(0.0, color=INK, linewidth=0.6)
    high = _top_of_scale(outcome, above, below)
    axes.set_ylim(min(1.12 * below.min(), -0.08 * high), high)
    year_axis(axes, len(years) - 1, label=False)
    axes.grid(axis="y")
    axes.set_ylabel("net cash in the year [$/ac]")
    axes.yaxis.set_major_formatter(FuncFormatter(_tick))
    torn = _tear_long_bars(axes, above, high)
    pad = _label_cuts(axes, outcome, net, torn)
    axes.set_title(f"{_capital(system_name(comparison, 'silvopasture'))}: sales less costs by enterprise", pad=pad)
    if torn:
        write_side_note(axes, "torn bars go on; their size stands above", pad=pad)
    if net:
        axes.legend(
            loc="upper left", bbox_to_anchor=(0.0, -0.09), ncols=len(net), handlelength=0.9, columnspacing=1.2,
            borderaxespad=0.0,
        )  # fmt: skip


def _top_of_scale(outcome: Outcome, above: FloatArray, below: FloatArray) -> float:
    """Height of the scale: wood money of a few years would flatten the bars of all others."""
    wood_sold = outcome.wood_ton_ac.sum(axis=1) > 0
    if outcome.scenario.money.timber_sale == "lump sum":  # paid the year before
        wood_sold = wood_sold | np.append(wood_sold[1:], False)
    ordinary = max(float(np.where(wood_sold, 0.0, above).max()), float(-below.min()))
    highest = float(above.max())
    if ordinary <= 0.0 or highest <= 2.0 * ordinary:
        return 1.2 * highest if highest > 0 else 1.0
    return ROOM_ABOVE_ORDINARY_YEARS * ordinary


def _label_cuts(axes: Axes, outcome: Outcome, net: dict[str, FloatArray], torn: list[int]) -> float:
    """Write what each cut brings, and all parts of a torn bar; say how much room that takes [pt]."""
    labels = []
    if outcome.scenario.money.timber_sale == "lump sum" and "wood" in net:  # the label stands at the cut, not its cash
        net = net | {"wood": net["wood"] + np.append(0.0, net["wood"][:-1])}
    for cut in cuts_of(outcome):
        parts = [name for name in net if name == "wood" or (cut.year in torn and net[name][cut.year] >= 0.5)]
        labels.append((cut.year, "\n".join([cut.text, *(f"{name} {_money(net[name][cut.year])}" for name in parts)])))
    rows = max((text.count("\n") + 1 for _, text in labels), default=0)
    used = write_above(axes, labels, ENTERPRISE_COLOR["wood"], 3.0, rows=rows)
    return 6.0 + LINE_PT * rows * used


def _tear_long_bars(axes: Axes, above: FloatArray, high: float) -> list[int]:
    """Draw a white tear through bars that go on beyond the frame; return their years."""
    low = axes.get_ylim()[0]
    torn = [int(year) for year in np.flatnonzero(above > high)]
    for year in torn:
        across = np.linspace(-0.55, 0.55, 5)
        tear = high - (high - low) * (0.07 + 0.012 * np.array([0, 1, 0, 1, 0]))
        axes.plot(year + across, tear, color=PAPER, linewidth=2.4, zorder=4)
    return torn


def _draw_altogether(axes: Axes, comparison: Comparison, total: dict[str, FloatArray]) -> None:
    years = np.arange(len(total["silvopasture"]))
    for name, cash in total.items():
        ink = SYSTEM_INK[name]
        axes.plot(
            years, cash, drawstyle="steps-mid", color=ink.color, linestyle=ink.dash, gid=f"cumulative-{name}"
        )  # fmt: skip
        axes.fill_between(years, np.minimum(cash, 0.0), step="mid", color=ink.color, alpha=0.13, linewidth=0)
    axes.axhline(0.0, color=INK, linewidth=0.6)
    year_axis(axes, len(years) - 1, label=False, numbers=False)
    axes.grid(axis="y")
    axes.set_ylabel("cumulative cash [$/ac]")
    axes.yaxis.set_major_formatter(FuncFormatter(_tick))
    axes.set_title("Cash since the start, undiscounted")
    mark_cuts(axes, {"silvopasture": comparison.systems["silvopasture"]}, labels=False)
    ends = [(float(cash[-1]), system_name(comparison, name), SYSTEM_INK[name].words) for name, cash in total.items()]
    label_line_ends(axes, ends)


def _draw_lean_years(axes: Axes, comparison: Comparison, total: dict[str, FloatArray]) -> None:
    """One strip a system, filled in the years when more has gone out than come in."""
    for place, (name, cash) in enumerate(total.items()):
        spells = _spells(cash < 0)
        axes.broken_barh(spells, (place - 0.4, 0.8), color=SYSTEM_INK[name].color, gid=f"lean-{name}")
        long = bool(spells) and spells[0][1] > 0.5 * len(cash)
        axes.annotate(
            _lean_words(cash), (spells[0][0] if long else sum(spells[-1]) if spells else 0.0, place), (3, 0),
            textcoords="offset points", va="center_baseline", fontsize=SMALL_PT - 0.5,
            color=PAPER if long and name != "pasture" else INK,
        )  # fmt: skip
    axes.set_ylim(len(total) - 0.5, -0.5)
    axes.set_yticks(range(len(total)), [system_name(comparison, name) for name in total])
    year_axis(axes, len(total["silvopasture"]) - 1, label=True, words=year_words(comparison))
    axes.tick_params(axis="y", length=0)
    axes.set_title("Lean years: more has gone out than come in")


def _lean_words(cash: FloatArray) -> str:
    count = int((cash < 0).sum())
    if count == 0:
        return "none"
    return f"{count} year{'' if count == 1 else 's'}, deepest {_money(cash.min())} in year {int(cash.argmin())}"


def _spells(flag: BoolArray) -> list[tuple[float, float]]:
    """Start and length of runs of true years, each year reaching half a year to both sides."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], flag, [False])).astype(int)))
    return [(float(first) - 0.5, float(end - first)) for first, end in zip(edges[::2], edges[1::2], strict=True)]


def _draw_equal_income(axes: Axes, comparison: Comparison) -> None:
    names = comparison.ranking
    values = [comparison.systems[name].measures.equal_annual_income for name in names]
    axes.barh(range(len(names)), values, 0.7, color=[SYSTEM_INK[name].color for name in names])
    for place, value in enumerate(values):
        offset, side = (3, "left") if value >= 0 else (-3, "right")
        axes.annotate(
            f"{_money(value)}", (value, place), (offset, 0), textcoords="offset points", va="center", ha=side,
        )  # fmt: skip
    axes.set_yticks(range(len(names)), [system_name(comparison, name) for name in names])
    axes.invert_yaxis()
    axes.axvline(0.0, color=INK, linewidth=0.6)
    axes.margins(x=0.12)
    axes.xaxis.set_major_locator(MaxNLocator(nbins=7, steps=[1, 2, 5, 10], integer=True))
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel("[$/ac a year]")
    axes.xaxis.set_major_formatter(FuncFormatter(_tick))
    first = comparison.systems["silvopasture"]
    rate = first.rate
    ever = "the stand, then what follows it for ever" if first.lives else "each cycle repeated for ever"
    axes.set_title(f"Equal annual income at {100.0 * rate:.3g} % real, {ever}")
