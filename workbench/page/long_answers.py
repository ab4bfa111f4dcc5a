"""What long work answers: the document of the command of the same name, and the version of the plan it found."""

import json
import os
import tomllib
from typing import Any, Final

from simulator.scenario.model import Scenario
from workbench.output import plain
from workbench.page.long_work import Order, Step, Teller
from workbench.page.memory import Memory
from workbench.page.plans import opened_tables
from workbench.page.version import version_document

NICE: Final = 5
"""Long work steps back a little, so that the page answers while it goes on."""
SEED: Final = 1
LONGEST_WAIT_YR: Final = 8
WAIT_DRAWS: Final = 4096
"""Seed, longest wait and draws are those that the commands take unless told."""


def optimize_step(order: Order, tell: Teller) -> Step:
    """Search for the best plan; its version is the best plan with the other uses each at their own best."""
    from optimize.around import flatness, marginals, refined  # noqa: PLC0415 - each kind of work imports its own
    from optimize.best import best_plan, compared  # noqa: PLC0415
    from optimize.objective import Objective  # noqa: PLC0415
    from workbench.optimum_document import optimum_document  # noqa: PLC0415
    from workbench.optimum_plan import best_text  # noqa: PLC0415
    from workbench.why_no_thinning import why_no_thinning  # noqa: PLC0415

    scenario, beside = _begun(order), order.settings.beside
    tell.at("Trying every plan of the grid")
    found = best_plan(
        scenario, Objective("land-expectation"), beside, workers=_workers(), tell=lambda now: tell(now.done, now.of)
    )
    tell.at("Running the best ones exactly")
    flat, worth, near = flatness(found, beside), marginals(found), refined(found, beside)
    document = optimum_document(found, compared(found, beside), flat, worth, near)
    document |= {"why_no_thinning": why_no_thinning(found, beside)}
    best = tomllib.loads(best_text(found))
    best["money"]["price_table"] = scenario.money.price_table
    return _done(document, _version(best, order))


def odds_step(order: Order, tell: Teller) -> Step:
    """Draw what may strike the land; the version is the plan itself."""
    from optimize.risk.found import Asked  # noqa: PLC0415 - each kind of work imports its own
    from optimize.risk.odds import odds_of  # noqa: PLC0415
    from workbench.odds_document import odds_document  # noqa: PLC0415
    from workbench.page.fan import fan_document  # noqa: PLC0415

    scenario = _begun(order)
    tell.at("Drawing storms, fires and droughts")
    asked = Asked(order.draws, SEED, prices=False, workers=_workers())
    found = odds_of(scenario, asked, order.settings.beside, tell)
    return _done(odds_document(found, None) | {"fan": fan_document(found)}, None)


def wait_step(order: Order, tell: Teller) -> Step:
    """Thin now or wait; the version is the plan with its thinning in the best year."""
    from optimize.waiting.answer import Draw, answer  # noqa: PLC0415 - each kind of work imports its own
    from workbench.plan_file import plan_text  # noqa: PLC0415
    from workbench.waiting_document import waiting_document  # noqa: PLC0415
    from workbench.waiting_words import plan_of  # noqa: PLC0415

    scenario, beside = _begun(order), order.settings.beside
    tell.at("Growing the stand in every way it can be treated")
    found = answer(scenario, LONGEST_WAIT_YR, Draw(WAIT_DRAWS, SEED), beside)
    document = waiting_document(found, "wood", beside)
    if found.best_wait is None:
        return _done(document, None)
    best = plan_of(found.thinned[found.best_wait], found).model_copy(update={"baseline": scenario.baseline})
    return _done(document, _version(tomllib.loads(plan_text(best, "")), order))


def _begun(order: Order) -> Scenario:
    if hasattr(os, "nice"):
        os.nice(NICE)
    return opened_tables(order.plan, order.settings).scenario


def _workers() -> int:
    from optimize.processes import cores  # noqa: PLC0415 - beside the imports of the work itself

    return cores()


def _version(tables: dict[str, Any], order: Order) -> dict[str, Any]:
    return version_document(opened_tables(tables, order.settings), Memory(order.settings.beside))


def _done(document: dict[str, Any], version: dict[str, Any] | None) -> Step:
    result, found = (json.dumps(plain(each), separators=(",", ":")).encode() for each in (document, version))
    return Step(ends="done", message="Done.", result=result, version=found)
