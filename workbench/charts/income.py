"""Chart of the money: what each enterprise brings in by year, and what has come in altogether."""

from itertools import pairwise

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from simulator.comparison import Comparison
from simulator.measures import END_VALUE
from simulator.result import Outcome
from simulator.units import FloatArray
from workbench.charts.cuts import cuts_of, mark_cuts, write_above
from workbench.charts.style import (
    ENTERPRISE_COLOR,
    ENTERPRISE_NAME,
    FAINT,
    INK,
    LETTER_WIDTH_IN,
    PAPER,
    SMALL_PT,
    SYSTEM_INK,
    house_style,
    label_line_ends,
    system_name,
    year_axis,
)

ROOM_ABOVE_ORDINARY_YEARS = 1.35
TITLE_LINE_CHARACTERS = 78


def net_by_enterprise(outcome: Outcome) -> dict[str, FloatArray]:
    """Sales less costs of each enterprise by year [$/ac], end values left out.

    Parameters
    ----------
    outcome
        A system.

    Returns
    -------
    dict
        Enterprises that have any money, in the order of the ledger; they add up to the system's cash.
    """
    lines, amount = outcome.flows.lines, outcome.amount
    found = {}
    for name in ENTERPRISE_COLOR:
        mine = np.array([line.enterprise == name and line.account != END_VALUE for line in lines])
        if amount[:, mine].any():
            found[name] = np.asarray(amount[:, mine].sum(axis=1))
    return found


def income_figure(comparison: Comparison) -> Figure:
    """Draw yearly cash by enterprise, cumulative cash of three systems, and their equal annual income.

    Parameters
    ----------
    comparison
        Three systems on one piece of land.

    Returns
    -------
    Figure
        Three panels; every amount in real dollars per acre of the whole field.
    """
    with house_style():
        figure = Figure(figsize=(LETTER_WIDTH_IN, 8.0), layout="constrained")
        figure.get_layout_engine().set(hspace=0.03, h_pad=0.06, w_pad=0.06)  # type: ignore[union-attr]
        yearly, altogether, equal = figure.subplots(3, 1, gridspec_kw={"height_ratios": [3.2, 3.0, 1.0]})
        figure.suptitle(_finding(comparison), x=0.01, ha="left")
        _draw_yearly(yearly, comparison)
        _draw_altogether(altogether, comparison)
        _draw_equal_income(equal, comparison)
        figure.supxlabel(_small_print(comparison), x=0.01, ha="left", fontsize=SMALL_PT, color=FAINT)
    return figure


def _money(amount: float) -> str:
    rounded = round(amount)
    return f"−${-rounded:,}" if rounded < 0 else f"${rounded:,}"


def _finding(comparison: Comparison) -> str:
    parts = [
        f"{system_name(comparison, name)} {_money(comparison.systems[name].measures.equal_annual_income)}"
        for name in comparison.ranking
    ]
    return f"Equal annual income an acre: {', '.join(parts)}"


def _small_print(comparison: Comparison) -> str:
    first = comparison.systems["silvopasture"]
    left = ", ".join(
        f"{system_name(comparison, name)} {_money(outcome.end_value_per_ac)}"
        for name, outcome in comparison.systems.items()
    )
    return (
        f"Real {first.price_table.currency_year} dollars per acre of the whole field, before income tax. "
        f"{'Hours are charged' if first.prices.get('wage') else 'The own hours are free'}.\n"
        f"Not in the cash above: what is left in year {first.scenario.money.horizon_years} (standing trees, herd, "
        f"fence, less the way back to pasture), $/ac: {left}."
    )


def _draw_yearly(axes: Axes, comparison: Comparison) -> None:
    outcome = comparison.systems["silvopasture"]
    net = net_by_enterprise(outcome)
    years = np.arange(len(outcome.cash_per_ac))
    above, below = np.zeros(len(years)), np.zeros(len(years))
    for name, amount in net.items():
        bottom = np.where(amount >= 0, above, below)
        axes.bar(years, amount, 0.8, bottom, color=ENTERPRISE_COLOR[name], label=ENTERPRISE_NAME.get(name, name))
        above, below = above + np.maximum(amount, 0.0), below + np.minimum(amount, 0.0)
    axes.axhline(0.0, color=INK, linewidth=0.6)
    high = _top_of_scale(outcome, above, below)
    axes.set_ylim(min(1.12 * below.min(), -0.08 * high), high)
    year_axis(axes, len(years) - 1, label=False)
    axes.grid(axis="y")
    axes.set_ylabel("net cash in the year [$/ac]")
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: _money(value)))
    lanes = _label_cuts(axes, outcome, net.get("wood", np.zeros(len(years))))
    torn = _tear_long_bars(axes, above, high)
    cut_off = "; torn bars leave the scale, their size stands above" if torn else ""
    title = f"{system_name(comparison, 'silvopasture')}: sales less costs by enterprise{cut_off}"
    axes.set_title(title[0].upper() + title[1:], pad=6.0 + 17.0 * lanes)
    if net:
        axes.legend(loc="upper left", ncols=len(net), handlelength=0.9, columnspacing=1.2, borderaxespad=0.2)


def _top_of_scale(outcome: Outcome, above: FloatArray, below: FloatArray) -> float:
    """Height of the scale: wood money of a few years would flatten the bars of all others."""
    wood_sold = outcome.wood_ton_ac.sum(axis=1) > 0
    ordinary = max(float(np.where(wood_sold, 0.0, above).max()), float(-below.min()))
    highest = float(above.max())
    if ordinary <= 0.0 or highest <= 2.0 * ordinary:
        return 1.2 * highest if highest > 0 else 1.0
    return ROOM_ABOVE_ORDINARY_YEARS * ordinary


def _label_cuts(axes: Axes, outcome: Outcome, wood: FloatArray) -> int:
    labels = [(cut.year, f"{cut.text}\nwood {_money(wood[cut.year])}") for cut in cuts_of(outcome)]
    return write_above(axes, labels, ENTERPRISE_COLOR["wood"], 3.0, rows=2)


def _tear_long_bars(axes: Axes, above: FloatArray, high: float) -> bool:
    """Draw a white tear through bars that go on beyond the frame."""
    low = axes.get_ylim()[0]
    torn = np.flatnonzero(above > high)
    for year in torn:
        across = np.linspace(-0.55, 0.55, 5)
        tear = high - (high - low) * (0.07 + 0.012 * np.array([0, 1, 0, 1, 0]))
        axes.plot(year + across, tear, color=PAPER, linewidth=2.4, zorder=4)
    return bool(len(torn))


def _draw_altogether(axes: Axes, comparison: Comparison) -> None:
    total = {name: np.cumsum(outcome.cash_per_ac) for name, outcome in comparison.systems.items()}
    years = np.arange(len(total["silvopasture"]))
    for name, cash in total.items():
        ink = SYSTEM_INK[name]
        axes.plot(years, cash, color=ink.color, linestyle=ink.dash, label=system_name(comparison, name))
    axes.axhline(0.0, color=INK, linewidth=0.6)
    _shade_lean_years(axes, comparison, total)
    year_axis(axes, len(years) - 1, label=True)
    axes.grid(axis="y")
    axes.set_ylabel("cumulative cash [$/ac]")
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: _money(value)))
    axes.set_title("Cash since the start, undiscounted; strips at the foot: lean years, when more went out than came in")
    mark_cuts(axes, {"silvopasture": comparison.systems["silvopasture"]}, labels=False)
    ends = [(float(cash[-1]), system_name(comparison, name), SYSTEM_INK[name].color) for name, cash in total.items()]
    label_line_ends(axes, ends)


def _shade_lean_years(axes: Axes, comparison: Comparison, total: dict[str, FloatArray]) -> None:
    lowest, highest = min(cash.min() for cash in total.values()), max(cash.max() for cash in total.values())
    span = max(highest - lowest, 1.0)
    strip = 0.035 * span
    floor = min(lowest, 0.0) - 0.05 * span
    for place, (name, cash) in enumerate(total.items()):
        ink = SYSTEM_INK[name]
        years = np.arange(len(cash))
        axes.fill_between(years, cash, 0.0, where=cash < 0, interpolate=True, color=ink.color, alpha=0.13, linewidth=0)
        spells = [(start, end - start) for start, end in _spells(cash < 0)]
        foot = floor - 1.25 * strip * (place + 1)
        axes.broken_barh(spells, (foot, strip), color=ink.color, gid=f"lean-{name}")
        if spells:
            words = f"{_lean_words(cash)} ({system_name(comparison, name)})"
            end = spells[-1][0] + spells[-1][1]
            inside = end > 0.6 * len(cash)
            axes.annotate(
                words, (spells[0][0] if inside else end, foot + strip / 2.0), (3, 0), textcoords="offset points",
                va="center_baseline", fontsize=SMALL_PT - 1.5, color=_readable(name) if inside else ink.color,
            )  # fmt: skip
    axes.set_ylim(floor - 1.25 * strip * 3.6, highest + 0.06 * span)


def _readable(name: str) -> str:
    return INK if name == "pasture" else PAPER


def _lean_words(cash: FloatArray) -> str:
    count = int((cash < 0).sum())
    return f"{count} lean year{'' if count == 1 else 's'}, deepest {_money(cash.min())} in year {int(cash.argmin())}"


def _spells(flag: FloatArray) -> list[tuple[float, float]]:
    """Runs of true years, each year reaching half a year to both sides."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], flag, [False])).astype(int)))
    bounds = [(float(first) - 0.5, float(last) - 0.5) for first, last in pairwise(edges)]
    return bounds[::2]


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
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel("[$/ac a year]")
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: _money(value)))
    rate = comparison.systems["silvopasture"].rate
    axes.set_title(f"Equal annual income at {100.0 * rate:.3g} % real: each system's own cycle repeated for ever")
