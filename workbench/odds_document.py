"""Draws of hazards as one JSON document."""

from typing import Any

from optimize.risk.draws import BY_CALENDAR, Terms
from optimize.risk.found import Drawn, Odds
from optimize.risk.summary import Spread, summary_of
from simulator.measures import real_discount_rate
from workbench.odds_words import costliest, notes, odds_names, sentence
from workbench.words import cautions


def odds_document(odds: Odds, limit: float | None) -> dict[str, Any]:
    """Every system through the draws, the odds among them, and what each hazard costs.

    Parameters
    ----------
    odds
        What was drawn.
    limit
        Most money that may be out at any time [$/ac]; None where nobody asks.

    Returns
    -------
    dict
        Ready for JSON; amounts in real dollars per acre of the whole tract.
    """
    money, names = odds.scenario.money, odds_names(odds)
    return {
        "title": odds.scenario.title,
        "sentence": sentence(odds),
        "draws": odds.draws,
        "draws_asked": odds.asked.draws,
        "complete": odds.complete,
        "seed": odds.asked.seed,
        "prices_drawn": odds.asked.prices,
        "discount_rate": real_discount_rate(money),
        "horizon_years": money.horizon_years,
        "limit_per_ac": limit,
        "zone": odds.terms.zone,
        "yearly_probability": {kind: _probability(odds.terms, kind) for kind in odds.hazards},
        "severity_spread": odds.terms.spread,
        "ruin_share": odds.terms.ruin_share,
        "systems": {
            system: {"name": names[system]} | _system(odds, drawn, limit) for system, drawn in odds.systems.items()
        },
        "earns_most": odds.leads,
        "beats": {
            one: {other: odds.beats(one, other) for other in odds.systems if other != one} for one in odds.systems
        },
        "hazards_alone": {
            kind: {
                system: {"mean_loss_per_ac_yr": cost.mean, "standard_error": cost.error}
                for system, cost in by_system.items()
            }
            for kind, by_system in odds.alone.items()
        },
        "costliest_hazard": costliest(odds),
        "notes": list(notes(odds)),
        "warnings": [{"code": "caution", "message": message} for message in cautions(odds.scenario)],
    }


def _probability(terms: Terms, kind: str) -> dict[str, float]:
    """Yearly probability of a hazard [1/yr], lowest and highest where it hangs on what stands."""
    if kind in BY_CALENDAR:
        return {"lowest": terms.yearly(kind), "highest": terms.yearly(kind)}
    chance = terms.numbers.wildfire if kind == "wildfire" else terms.numbers.beetles[:3]
    return {"lowest": min(chance) * terms.times_of(kind), "highest": terms.at_most(kind)}


def _system(odds: Odds, drawn: Drawn, limit: float | None) -> dict[str, Any]:
    found = summary_of(drawn, limit)
    return {
        "income_if_nothing_strikes_per_ac": drawn.untouched,
        "income_with_losses_as_expected_per_ac": drawn.expected,
        "equal_annual_income_per_ac": _spread(found.income),
        "income_at_risk_5_percent_per_ac": found.income_at_risk,
        "land_expectation_at_risk_5_percent_per_ac": found.worth_at_risk if odds.without_end else None,
        "deepest_cash_per_ac": _spread(found.deepest),
        "chance_below_limit": found.below_limit,
        "chance_below_discount_rate": found.loses,
        "chance_stand_lost": found.replanted,
        "years_with_income_share": found.years_with_income,
        "largest_enterprise_share": found.largest_share,
    }


def _spread(spread: Spread) -> dict[str, float]:
    return {
        "mean": spread.mean,
        "standard_error": spread.error,
        "p10": spread.low,
        "p50": spread.median,
        "p90": spread.high,
    }
