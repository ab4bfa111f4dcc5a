"""A short look at what matters: prices, rate, site and grass moved low and high, and another year of thinning."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final, NamedTuple

from optimize.grid import LEAST_YEARS_BEFORE_HARVEST
from simulator.band import Swing, price_swings
from simulator.measures import annual_income
from simulator.orientation import RowDirection, both_directions, row_direction_of
from simulator.parameters.doubts import load_doubts
from simulator.result import Outcome, run_batch
from simulator.scenario.model import Scenario

RATE: Final = "discount_rate"
SITE: Final = "site_index_ft"
GRASS: Final = "grass_yield"
OWN: Final = "silvopasture"
TURNED: Final = "rows turned"
LEAST_SITE_FT, MOST_SITE_FT = 40.0, 110.0
LEAST_YIELD, MOST_YIELD = 0.3, 2.0
Variant = tuple[str, str]
"""A system, and what is otherwise in it."""


class OtherThinning(NamedTuple):
    """The plan with its first thinning at another time, everything else standing.

    Attributes
    ----------
    year
        Of the first thinning; None where it is never thinned.
    gain
        What the plan as it stands earns more [$/ac/yr].
    wood_ton_ac
        Green tons that the first cycle sells [ton/ac].
    """

    year: int | None
    gain: float
    wood_ton_ac: float


class WhatIf(NamedTuple):
    """What a short look found.

    Attributes
    ----------
    swings
        What moves the plan's yearly income, the widest first.
    thinnings
        The plan never thinned, thinned sooner and later; empty where it plants no trees or thins none.
    direction
        Of `row_direction` for the plan, grown along with the rest.
    """

    swings: tuple[Swing, ...]
    thinnings: tuple[OtherThinning, ...]
    direction: RowDirection | None


def what_if(systems: Mapping[str, Outcome], beside: Path | None = None) -> WhatIf:
    """Move what usually matters most, one at a time.

    Parameters
    ----------
    systems
        Outcomes of a comparison by name, the plan among them.
    beside
        Folder of the scenario file, for its own price table.

    Returns
    -------
    WhatIf
        Prices by their sourced ranges; the rate, the site index and what the ground grows by `load_doubts`. What has
        to be grown anew is grown with fast light, and only the difference that it makes there is added.
    """
    variants = dict(_variants(systems))
    grown = _grown(systems, variants, beside)
    swings = [*price_swings(systems), *_rate(systems), *_of_growth(systems, grown)]
    moving = [swing for swing in swings if swing.width(OWN) > 0.0]
    return WhatIf(
        tuple(sorted(moving, key=lambda swing: -swing.width(OWN))),
        tuple(_thinnings(systems[OWN], variants, grown)),
        row_direction_of([grown[OWN, ""], grown[OWN, TURNED]]) if (OWN, TURNED) in grown else None,
    )


def _grown(
    systems: Mapping[str, Outcome], variants: Mapping[Variant, Scenario], beside: Path | None
) -> dict[Variant, Outcome]:
    """Every variant and, where a system has any, the system itself, all with fast light."""
    plans = dict(variants) | {(name, ""): systems[name].scenario for name, _ in variants}
    return dict(zip(plans, run_batch(list(plans.values()), beside), strict=True))


def _variants(systems: Mapping[str, Outcome]) -> Iterator[tuple[Variant, Scenario]]:
    step = load_doubts()
    for name, outcome in systems.items():
        plan = outcome.scenario
        # a stand that was found is as tall as it is, whatever its site index is called
        if plan.stand is None and plan.trees is not None:
            for end, way in (("low", -1.0), ("high", 1.0)):
                moved = min(max(plan.land.site_index_ft + way * step.site_index_ft, LEAST_SITE_FT), MOST_SITE_FT)
                land = plan.land.model_copy(update={"site_index_ft": moved})
                yield (name, f"{SITE} {end}"), plan.model_copy(update={"land": land})
        if plan.use.first_grazing_year is not None or plan.use.hay_years is not None:
            for end, way in (("low", -1.0), ("high", 1.0)):
                moved = plan.pasture.yield_multiplier * (1.0 + way * step.grass_yield)
                ground = {"yield_multiplier": min(max(moved, LEAST_YIELD), MOST_YIELD)}
                yield (
                    (name, f"{GRASS} {end}"),
                    plan.model_copy(update={"pasture": plan.pasture.model_copy(update=ground)}),
                )
    yield from _other_thinnings(systems[OWN].scenario)
    yield from (((OWN, TURNED), turned) for turned in both_directions(systems[OWN].scenario)[1:])


def _other_thinnings(plan: Scenario) -> Iterator[tuple[Variant, Scenario]]:
    if not plan.thinning or plan.stand is not None or plan.harvest is None:
        return
    yield (OWN, "thinning never"), plan.model_copy(update={"thinning": ()})
    first, *others = plan.thinning
    latest = min([cut.year for cut in others], default=plan.harvest.year - LEAST_YEARS_BEFORE_HARVEST + 1)
    for way in (-1, 1):
        year = first.year + way * round(load_doubts().thinning_yr)
        if 0 < year < latest:
            moved = first.model_copy(update={"year": year})
            yield (OWN, f"thinning {year}"), plan.model_copy(update={"thinning": (moved, *others)})


def _rate(systems: Mapping[str, Outcome]) -> Iterator[Swing]:
    rate, step = systems[OWN].rate, load_doubts().discount_rate
    low, high = max(rate - step, 0.0), rate + step
    ends = [
        {name: annual_income(each.flows, each.prices, end) for name, each in systems.items()} for end in (low, high)
    ]
    yield Swing(RATE, "1", low, rate, high, ends[0], ends[1])


def _of_growth(systems: Mapping[str, Outcome], grown: Mapping[Variant, Outcome]) -> Iterator[Swing]:
    plan = systems[OWN].scenario
    base = {SITE: plan.land.site_index_ft, GRASS: plan.pasture.yield_multiplier}
    for name, unit in ((SITE, "ft"), (GRASS, "1")):
        if (OWN, f"{name} low") not in grown:
            continue
        ends = [_incomes(systems, grown, f"{name} {end}") for end in ("low", "high")]
        values = [_value(name, grown[OWN, f"{name} {end}"].scenario) for end in ("low", "high")]
        yield Swing(name, unit, values[0], base[name], values[1], ends[0], ends[1])


def _value(name: str, plan: Scenario) -> float:
    return plan.land.site_index_ft if name == SITE else plan.pasture.yield_multiplier


def _incomes(systems: Mapping[str, Outcome], grown: Mapping[Variant, Outcome], what: str) -> dict[str, float]:
    return {name: _income(outcome) + _moved(grown, name, what) for name, outcome in systems.items()}


def _moved(grown: Mapping[Variant, Outcome], name: str, what: str) -> float:
    """How far a variant lies from its system, both with fast light [$/ac/yr]; nothing where it is no variant."""
    if (name, what) not in grown:
        return 0.0
    return _income(grown[name, what]) - _income(grown[name, ""])


def _income(outcome: Outcome) -> float:
    return outcome.measures.equal_annual_income


def _thinnings(
    own: Outcome, variants: Mapping[Variant, Scenario], grown: Mapping[Variant, Outcome]
) -> Iterator[OtherThinning]:
    for (name, what), plan in variants.items():
        if not what.startswith("thinning "):
            continue
        last = own.flows.cycle_yr
        year = plan.thinning[0].year if plan.thinning else None
        wood = float(grown[name, what].wood_ton_ac[: last + 1].sum())
        yield OtherThinning(year, -_moved(grown, name, what), wood)
