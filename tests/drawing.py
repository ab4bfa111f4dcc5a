"""Plans of the example through draws of hazards, for whichever test needs some."""

from functools import cache

import numpy as np

from optimize.risk.draws import Terms, terms_of
from optimize.risk.growth import SINGLE, Portion
from optimize.risk.lots import Lots
from optimize.risk.portions import Earned, earned
from plans import example
from simulator.alternatives import systems_of
from simulator.parameters.odds import HAZARDS
from simulator.scenario.model import Scenario
from simulator.scenario.risk import Risk

SEED = 3
RATE = 0.05


def terms(**risk: object) -> Terms:
    """How often hazards strike where an owner says no more than this."""
    return terms_of(Risk.model_validate(risk))


def only(*kinds: str, **risk: object) -> Terms:
    """The same with no other hazards."""
    return terms(**risk).among(kinds)


def system(name: str) -> Scenario:
    """A system of the example."""
    return systems_of(example())[name]


def portion(plan: Scenario, how: Terms, draws: int, number: int = 0) -> Portion:
    """Some draws of a plan."""
    return Portion(plan, None, SEED, number, draws, (how,))


@cache
def drawn(name: str, how: Terms, draws: int) -> Earned:
    """A system of the example through its first draws."""
    return earned(portion(system(name), how, draws))


@cache
def single(name: str, *how: Terms) -> Earned:
    """A system of the example without draws: under each of the terms losses are as expected."""
    return earned(Portion(system(name), None, SEED, SINGLE, len(how), how))


def no_strikes(years: int, draws: int = 1) -> Lots:
    """Numbers of draws in which nothing strikes: 1 lies above every probability; severities are ordinary."""
    strikes, hard = np.ones((years, len(HAZARDS), draws)), np.full((years, len(HAZARDS), draws), 0.5)
    return Lots(strikes, hard, np.ones((years, draws)))


def struck(lots: Lots, kind: str, year: int) -> Lots:
    """The same draws with one hazard that strikes all of them in one year."""
    strikes = lots.strikes.copy()
    strikes[year - 1, HAZARDS.index(kind)] = 0.0
    return lots._replace(strikes=strikes)
