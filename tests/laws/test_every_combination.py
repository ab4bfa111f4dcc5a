"""Every plan that ``halfshade init`` can print, run for sixty years: no warning, and trees, wood, light, money balance.

What there is to choose is read from the catalogue and from the command, so that a new tree, grass, animal, layout or
route is run here without a word added.
"""

from functools import cache

import numpy as np
import pytest
from click.testing import CliRunner

from simulator.baselines import systems_of
from simulator.errors import InputError
from simulator.parameters.catalogue import NO_ANIMALS, animal_names, grass_names, tree_names
from simulator.result import Outcome, run_batch
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from workbench.commands.init import LAYOUTS, ROUTES, init

YEARS = 60


@cache
def printed(*options: str) -> Scenario | None:
    """What the command prints, with a horizon of sixty years; None where it refuses."""
    done = CliRunner().invoke(init, options)
    if isinstance(done.exception, InputError):
        return None
    assert done.exit_code == 0, (options, done.output, done.exception)
    plan = load_text(done.stdout, " ".join(options))
    return plan.model_copy(update={"money": plan.money.model_copy(update={"horizon_years": YEARS})})


def plans(*choices: tuple[str, ...]) -> list[Scenario]:
    return [plan for options in choices if (plan := printed(*options)) is not None]


KINDS = [
    (species, route)
    for species in tree_names()
    for route in ROUTES
    if plans(*(("--trees", species, "--layout", layout, "--route", route) for layout in LAYOUTS))
]


def grown(batch: list[Scenario]) -> list[Outcome]:
    # light behind two thousand layers of leaves is rightly nothing
    with np.errstate(all="raise", under="ignore"):
        return run_batch(batch, precision="fast")


@pytest.mark.parametrize(("species", "route"), KINDS)
def test_every_tree_layout_and_route_grows_for_sixty_years(species: str, route: str) -> None:
    batch = plans(*(("--trees", species, "--layout", layout, "--route", route) for layout in LAYOUTS))
    assert {plan.trees.species for plan in batch if plan.trees} == {species}
    for outcome in grown(batch):
        balances(outcome)
        assert outcome.states["trees_per_ac"][0] > 0.0
        # every stand of these layouts shades the ground one day
        assert outcome.states["light_warm"].min() < 0.9
        # the land is felled at least once in sixty years, or the trees still stand
        assert outcome.wood_ton_ac.sum() > 0.0 or outcome.states["trees_per_ac"][-1] > 0.0


@pytest.mark.parametrize(("species", "route"), KINDS)
def test_what_a_plan_is_compared_with_grows_for_sixty_years_too(species: str, route: str) -> None:
    plan = next(iter(plans(*(("--trees", species, "--layout", layout, "--route", route) for layout in LAYOUTS))))
    systems = systems_of(plan)
    for name, outcome in zip(systems, grown(list(systems.values())), strict=True):
        balances(outcome)
        assert (outcome.wood_ton_ac.sum() > 0.0) or name not in {"silvopasture", "plantation"}


@pytest.mark.parametrize("tenure", ["leased", "owned"])
def test_every_grass_and_animal_lives_for_sixty_years_under_trees(tenure: str) -> None:
    by_grass = plans(*(("--grass", grass) for grass in grass_names()))
    by_animal = plans(*(("--animals", animals) for animals in animal_names()))
    assert [plan.pasture.grass for plan in by_grass] == grass_names()
    assert [plan.use.animals for plan in by_animal] == animal_names()
    batch = [
        plan.model_copy(update={"use": plan.use.model_copy(update={"tenure": tenure})})
        for plan in (*by_grass, *by_animal)
    ]
    for outcome in grown(batch):
        balances(outcome)
        assert outcome.states["forage_lb_ac"].sum() > 0.0
        grazed = outcome.states["animal_unit_months_ac"].sum() > 0.0
        assert grazed == (outcome.scenario.use.animals != NO_ANIMALS)


def test_there_is_something_to_choose() -> None:
    assert {species for species, _ in KINDS} == set(tree_names())
    assert {route for _, route in KINDS} >= {"pasture"}


def balances(outcome: Outcome) -> None:
    where = outcome.scenario.title, outcome.scenario.trees
    for name, column in outcome.states.items():
        assert np.isfinite(column).all(), (name, where)
    assert np.isfinite(outcome.flows.quantity).all(), where
    trees_balance(outcome)
    wood_balances(outcome)
    light_is_a_share(outcome)
    cash = outcome.ledger().groupby("year")["amount"].sum().reindex(range(YEARS + 1), fill_value=0.0).to_numpy()
    expected = outcome.cash_per_ac.copy()
    expected[-1] += outcome.end_value_per_ac
    assert cash == pytest.approx(expected, abs=1e-9), where


def trees_balance(outcome: Outcome) -> None:
    """Planted = standing + cut + dead: a year begins with what the last one left, or with a new planting."""
    states = outcome.states
    standing, cut, dead = (states[f"trees{part}_per_ac"] for part in ("", "_cut", "_dead"))
    for column in (standing, cut, dead):
        assert (column >= 0.0).all()
    begun, left = standing[1:] + dead[1:], (standing - cut)[:-1]
    replanted = states["age"][1:] < states["age"][:-1] + 1
    assert begun[~replanted] == pytest.approx(left[~replanted], rel=1e-9, abs=1e-9)
    # nobody plants among trees
    assert left[replanted] == pytest.approx(0.0, abs=1e-9)
    assert (cut <= standing + 1e-9).all()


def wood_balances(outcome: Outcome) -> None:
    """Wood sold is no more than stood, and none without a cut."""
    states, sold = outcome.states, outcome.wood_ton_ac.sum(axis=1)
    assert (outcome.wood_ton_ac >= 0.0).all()
    assert (sold <= states["standing_ton_ac"] + 1e-9).all()
    assert (sold[states["trees_cut_per_ac"] == 0.0] == 0.0).all()


def light_is_a_share(outcome: Outcome) -> None:
    states = outcome.states
    for name in ("light_warm", "light_cool", "canopy_cover"):
        assert ((states[name] >= 0.0) & (states[name] <= 1.0)).all(), name
    assert ((outcome.profile_warm >= 0.0) & (outcome.profile_warm <= 1.0)).all()
    assert (states["light_warm"][states["trees_per_ac"] == 0.0] == 1.0).all()
