"""The JSON document of a question of waiting."""

import math
from pathlib import Path
from typing import Any

from optimize.waiting.answer import Answer, Choice
from optimize.waiting.moving import ALL_WOOD
from optimize.waiting.program import Program
from optimize.waiting.stages import CLEAR, HOLD, THIN
from simulator.accounts import WOOD_PRODUCTS
from simulator.parameters.prices import load_prices
from simulator.price_changes import WOOD
from workbench.waiting_prices import KEYS, reservation
from workbench.waiting_words import conditions, plan_of, sentence, verdict

INDEX_UNIT = "times the prices in force"


def waiting_document(found: Answer, item: str, beside: Path | None = None) -> dict[str, Any]:
    """Lay an answer out as JSON.

    Parameters
    ----------
    found
        The answer.
    item
        Price whose reservation price is shown first.
    beside
        Folder of the scenario file, for its own price table.

    Returns
    -------
    dict
        Present values in $/ac of land and stand; null where a choice cannot be done. ``reservation_price.value`` is
        null where no price makes thinning right, or only a low one; ``ranges`` then says what to do.
    """
    units = _units(found, beside)
    said = verdict(found)
    return {
        "title": found.question.scenario.title,
        "sentence": sentence(found),
        "best": said.kind,
        "best_wait_years": found.best_wait,
        "ahead_per_ac": said.ahead,
        "discount_rate": found.grown.rate,
        "now": _choice(found, found.thinned[0]) | _waited(found, 0),
        "clearcut_now": _choice(found, found.clearcut),
        "hold": _choice(found, found.hold) | {"likely_loss_per_ac_yr": loss_left_alone(found)},
        "kept_for_wood": None if found.kept is None else {"present_value_per_ac": found.kept.measures.land_expectation},
        "wait": [
            {"years": wait} | _choice(found, choice) | _waited(found, wait)
            for wait, choice in enumerate(found.thinned)
            if wait
        ],
        "unthinned_years": [_year(found, year) for year in range(len(found.unthinned.value))],
        "reservation_price": _program(found, item, units),
        "reservation_sentence": reservation(found, item, units[item]),
        "reservation_prices": [_program(found, each, units) for each in found.programs],
        "several_prices": _several(found),
        "notes": list(conditions(found)),
    }


def _units(found: Answer, beside: Path | None) -> dict[str, str]:
    table = load_prices(found.question.scenario.money.price_table, beside)
    return {item: INDEX_UNIT if item == ALL_WOOD else table.items[item].unit for item in found.programs}


def _choice(found: Answer, choice: Choice) -> dict[str, Any]:
    document: dict[str, Any] = {
        "present_value_per_ac": choice.present_value,
        "against_now_per_ac": choice.present_value - found.thinned[0].present_value,
        "of_grass_per_ac": choice.of_grass,
        "cannot": choice.reason or None,
        "plan": None,
    }
    if choice.way is not None:
        plan, way = plan_of(choice, found), choice.way
        document["plan"] = {
            "thinnings": [
                {
                    "year": cut.year,
                    "method": cut.method,
                    "residual_trees_per_ac": cut.residual_trees_per_ac,
                    "residual_basal_area_ft2_ac": cut.residual_basal_area_ft2_ac,
                }
                for cut in plan.thinning
            ],
            "harvest_year": way.harvest,
            "first_grazing_year": plan.use.first_grazing_year,
        }
        wood = found.grown.wood_ton_ac[way]
        document["wood_ton_ac"] = dict(zip(WOOD_PRODUCTS, wood.sum(axis=0), strict=True))
        if way.thinned:
            document["thinning_ton_ac"] = dict(zip(WOOD_PRODUCTS, wood[way.first], strict=True))
    return document


def _waited(found: Answer, wait: int) -> dict[str, Any]:
    """What waiting gives up and puts at risk."""
    lost = grass_lost(found, wait)
    return {
        "value_growth": found.unthinned.growth(wait, wait + 1) if wait < found.question.last else None,
        "forage_lost_lb_ac": lost[0],
        "animal_unit_months_lost_ac": lost[1],
        "likely_loss_per_ac_yr": loss_while_waiting(found, wait),
    }


def loss_while_waiting(found: Answer, wait: int) -> float:
    """What storms, fire and beetles may take in the mean of some years [$/ac/yr]; not a number where none apply.

    Parameters
    ----------
    found
        The answer.
    wait
        Years unthinned, which are the years counted; for 0, thinned now, the years to the longest wait are.
    """
    longest = found.question.longest_wait
    risk = found.unthinned.likely_loss[:wait] if wait else found.thinned_now.likely_loss[1 : longest + 1]
    none = len(risk) == 0 or (wait == 0 and found.thinned[0].way is None)
    return math.nan if none else float(risk.mean())


def loss_left_alone(found: Answer) -> float:
    """What a stand that is never thinned may lose in the mean of its years [$/ac/yr]."""
    cut = found.hold.way.harvest if found.hold.way else 0
    return float(found.unthinned.likely_loss[:cut].mean()) if cut else math.nan


def grass_lost(found: Answer, wait: int) -> tuple[float, float]:
    """Forage [lb/ac] and animal-unit months [1/ac] that waiting gives up, until its own grass is in use."""
    now, later = found.thinned[0].way, found.thinned[wait].way
    if now is None or later is None:
        return math.nan, math.nan
    until = min(wait + found.question.until_grass, now.harvest, later.harvest)
    rows = slice(1, max(until, 1))
    states = [found.grown.states[way] for way in (now, later)]
    forage, months = (
        float(states[0][name][rows].sum() - states[1][name][rows].sum())
        for name in ("forage_lb_ac", "animal_unit_months_ac")
    )
    return forage, months


def _year(found: Answer, year: int) -> dict[str, Any]:
    stand = found.unthinned
    return {
        "year": year,
        "clearcut_value_per_ac": stand.value[year],
        "value_growth": stand.growth(year, year + 1) if year < len(stand.value) - 1 else None,
        "standing_ton_ac": dict(zip(WOOD_PRODUCTS, stand.wood_ton_ac[year], strict=True)),
        "likely_loss_per_ac": stand.likely_loss[year],
    }


def _program(found: Answer, item: str, units: dict[str, str]) -> dict[str, Any]:
    program = found.programs[item]
    return {
        "item": item,
        "unit": units[item],
        "today": float(program.market.today[0]),
        "value": _finite(program.from_price(THIN)),
        "prices_at_value": _prices_at(found, item, program.from_price(THIN)),
        "clearcut_from": _finite(program.from_price(CLEAR)),
        "this_year": KEYS[program.action_at(float(program.market.today[0]))],
        "years": [_ranges(program, year) for year in range(len(program.ranges))],
        "flexible_value_per_ac": program.best,
        "best_fixed_plan_per_ac": program.fixed.value,
        "option_value_per_ac": program.option_value,
    }


def _prices_at(found: Answer, item: str, index: float) -> dict[str, float] | None:
    """Prices of each product where all wood stands at an index."""
    if item != ALL_WOOD or not math.isfinite(index):
        return None
    return {each: found.grown.prices[each] * index for each in found.several.items if each in WOOD}


def _ranges(program: Program, year: int) -> dict[str, Any]:
    return {
        "year": year,
        "thin_from": _finite(program.from_price(THIN, year)),
        "ranges": [
            {"do": KEYS[each.action], "from": each.low, "to": _finite(each.high)} for each in program.ranges[year]
        ],
    }


def _several(found: Answer) -> dict[str, Any]:
    several = found.several
    return {
        "items": list(several.items),
        "value_per_ac": several.best,
        "rule_value_per_ac": several.mean,
        "standard_error": several.standard_error,
        "best_fixed_plan_per_ac": several.fixed.value,
        "option_value_per_ac": several.best - several.fixed.value,
        "this_year": {HOLD: "leave", THIN: "thin", CLEAR: "clearcut"}[several.action],
        "draws": several.draws,
    }


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
