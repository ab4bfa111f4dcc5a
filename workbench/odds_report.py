"""Terminal tables of draws of hazards."""

from collections.abc import Callable

from optimize.risk.found import Odds
from optimize.risk.summary import Summary, summary_of
from simulator.measures import real_discount_rate
from workbench.odds_words import costliest, in_words, notes, odds_names, sentence, tenths_in_words
from workbench.output import print_table, print_text
from workbench.words import cautions, dollars

Cell = Callable[[Summary], str]


def print_odds(odds: Odds, limit: float | None) -> None:
    """Print the sentence, the systems side by side, and what each hazard costs.

    Parameters
    ----------
    odds
        What was drawn.
    limit
        Most money that may be out at any time [$/ac]; None where nobody asks.
    """
    print_text(f"{sentence(odds)}\n\n")
    years, seed = odds.scenario.money.horizon_years, odds.asked.seed
    title = (
        f"{odds.scenario.title}: {odds.draws:,} draws of what may strike in {years} years, seed {seed}, "
        f"zone: {odds.terms.zone}; illustrative"
    )
    columns = ("per acre of the whole field", *odds_names(odds).values())
    print_table(title, columns, odds_rows(odds, limit))
    _print_hazards(odds)
    print_text("\n".join((*notes(odds), *cautions(odds.scenario))) + "\n")


def odds_rows(odds: Odds, limit: float | None) -> list[tuple[str, ...]]:
    """What the draws bring, the systems side by side: words and one ready amount a system."""
    found = {system: summary_of(drawn, limit) for system, drawn in odds.systems.items()}
    single = [
        ("Equal annual income, $/ac/yr", *("" for _ in found)),
        ("  nothing strikes", *(_yearly(drawn.untouched) for drawn in odds.systems.values())),
        ("  losses as expected", *(_yearly(drawn.expected) for drawn in odds.systems.values())),
    ]
    rows = [
        (words, *(cell(summary) for summary in found.values()))
        for words, cell in _cells(limit, real_discount_rate(odds.scenario.money))
    ]
    leads = ("Earns most in", *(in_words(share) for share in odds.leads.values()))
    return [*single, *rows[:4], leads, *rows[4:]]


def _cells(limit: float | None, rate: float) -> list[tuple[str, Cell]]:
    """Rows of the table: words, and what they say of a system."""
    rows: list[tuple[str, Cell]] = [
        ("  mean of the draws", lambda each: _yearly(each.income.mean)),
        ("  half the draws earn more than", lambda each: _yearly(each.income.median)),
        (f"  {tenths_in_words()}", lambda each: f"{_yearly(each.income.low)} to {_yearly(each.income.high)}"),
        ("  5 of 100 draws earn less than", lambda each: _yearly(each.income_at_risk)),
        (f"Earns less than {rate:.1%} a year in", lambda each: in_words(each.loses)),
        ("Stand lost and begun again in", lambda each: in_words(each.replanted)),
        ("Deepest cumulative cash, $/ac", lambda _: ""),
        ("  half the draws deeper than", lambda each: dollars(each.deepest.median)),
        ("  1 of 10 draws deeper than", lambda each: dollars(each.deepest.low)),
        ("Years that bring more than they cost", lambda each: f"{each.years_with_income:.0%}"),
        ("Largest enterprise's share of receipts", lambda each: _percent(each.largest_share)),
    ]
    if limit is not None:
        rows.append((f"More than {dollars(limit)} out at some time in", lambda each: in_words(each.below_limit or 0.0)))
    return rows


def _print_hazards(odds: Odds) -> None:
    if not odds.alone:
        return
    order = sorted(odds.alone, key=lambda kind: -max(cost.mean for cost in odds.alone[kind].values()))
    rows = [(kind, *(_cost(cost.mean) for cost in odds.alone[kind].values())) for kind in order]
    worst, own = costliest(odds), next(iter(odds_names(odds).values()))
    title = "What each hazard takes from the yearly income by itself, mean of the draws, $/ac/yr"
    note = f"Costliest for {own}: {worst}." if worst else "No hazard takes anything on average."
    print_table(title, ("hazard", *odds_names(odds).values()), rows, note=note)


def _yearly(amount: float) -> str:
    return f"{round(amount) + 0:,}"


def _cost(amount: float) -> str:
    return f"{amount:.1f}" if abs(amount) >= 0.05 else "0"


def _percent(share: float) -> str:
    return f"{share:.0%}" if share == share else "-"  # noqa: PLR0124 - NaN without receipts
