"""Each species alone, started from, and found standing, by its own years; cruises made into scenarios."""

import json
import re
import subprocess
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from optimize.coarse import plantation_schedules
from plans import changed
from simulator.alternatives import kept
from simulator.baselines import plantation_of, usual_cuts
from simulator.comparison import compare
from simulator.parameters.catalogue import tree_names
from simulator.parameters.growth import load_tree
from simulator.parameters.species import load_species
from simulator.physics.crown import open_grown_width_ft
from simulator.result import run
from simulator.scenario.advice import advice_of
from simulator.scenario.file import load, load_text
from simulator.scenario.model import Scenario
from workbench.catalog import trees
from workbench.examples import scenario_text
from workbench.stand_start import invented_stand
from workbench.starts import Choices, numbers_of, resolved

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]
PINES = [name for name in tree_names() if name != "pecan"]
MOST_GIVEN_AWAY_AC_YR = 1.5
"""The band of the loblolly check in tests/published/demonstration.toml, judged for this project."""


def started(**choices: str) -> Scenario:
    return load_text(scenario_text(Choices(**choices)), "start")


@pytest.mark.parametrize("species", PINES)
def test_a_block_of_init_is_the_plantation_of_a_comparison(species: str) -> None:
    block = started(trees=species, layout="block")
    derived = plantation_of(started(trees=species))
    assert block.trees is not None
    assert derived.trees is not None
    assert block.trees.layout.model_copy(update={"row_gap_ft": derived.trees.layout.row_gap_ft}) == derived.trees.layout
    assert (block.thinning, block.harvest) == (derived.thinning, derived.harvest)


def test_loblolly_keeps_its_years_and_slow_species_wait() -> None:
    years = {name: [*(cut.year for cut in usual_cuts(name)[0]), usual_cuts(name)[1].year] for name in tree_names()}
    assert years["loblolly"] == years["slash"] == [15, 22, 33]
    assert years["pecan"] == [30, 42, 60]
    for slow in ("longleaf", "shortleaf"):
        assert all(late > early for late, early in zip(years[slow], years["loblolly"], strict=True))


@pytest.mark.parametrize("species", ["slash", "shortleaf", "longleaf"])
def test_the_derived_plantation_is_near_the_best_of_its_kind(species: str) -> None:
    land = started(trees=species)
    grid = plantation_schedules(land, rotations=(28, 30, 33, 35, 38, 40, 43), first_thinnings=(12, 14, 16, 18, 20))
    ours = run(plantation_of(land), precision="fast").measures.equal_annual_income
    assert grid[0].equal_annual_income - ours <= MOST_GIVEN_AWAY_AC_YR


@pytest.mark.parametrize("species", tree_names())
def test_the_horizon_reaches_the_harvest(species: str) -> None:
    for route in ("pasture", "stand") if species != "pecan" else ("pasture",):
        plan = started(trees=species, route=route)
        assert plan.harvest is not None
        assert plan.money.horizon_years == max(40, plan.harvest.year + 1)
        assert "cut_beyond_horizon" not in dict(advice_of(plan))


def test_a_cut_after_the_last_year_is_told(halfshade: Halfshade, tmp_path: Path) -> None:
    path = tmp_path / "short.toml"
    path.write_text(re.sub(r"(?m)^horizon_years = 40", "horizon_years = 30", scenario_text(Choices())), "utf-8")
    said = halfshade("check", path).stdout
    assert "The final cut of year 35 lies beyond the horizon of 30 years" in said
    level = changed(started(), "money", horizon_years=35)
    assert "cut_beyond_horizon" not in dict(advice_of(level))


@pytest.mark.parametrize("species", [name for name in PINES if name != "loblolly"])
def test_a_stand_to_start_from_is_of_its_species(species: str) -> None:
    start, plan = invented_stand(species), started(trees=species, route="stand")
    # second way: the species' own plantation, never thinned, in the year of the stand's age
    alone = plantation_of(started(trees=species)).model_copy(update={"thinning": ()})
    grown = run(alone, precision="fast").states
    assert start.trees_per_ac == pytest.approx(float(grown["trees_per_ac"][start.age]), rel=0.01)
    assert start.basal_area_ft2_ac == pytest.approx(float(grown["basal_area_ft2_ac"][start.age]), rel=0.04)
    assert plan.stand is not None
    assert plan.harvest is not None
    # cut at the age at which the same trees in double rows are
    assert plan.stand.age + plan.harvest.year == numbers_of(resolved(Choices(trees=species)))["harvest_year"]
    assert plan.trees is not None
    own = plan.trees.site_index_ft or plan.land.site_index_ft
    assert own == pytest.approx(plan.land.site_index_ft * load_species(species).site_index.per_loblolly_ft, abs=0.05)


def test_keeping_a_stand_follows_its_species() -> None:
    plan = started(trees="longleaf", route="stand")
    stand, keep = plan.stand, kept(plan)
    assert stand is not None
    assert keep.harvest is not None
    assert stand.age + keep.harvest.year == usual_cuts("longleaf")[1].year


def test_a_layout_of_a_stand_is_refused(halfshade: Halfshade) -> None:
    done = halfshade("init", "--route", "stand", "--layout", "block")
    assert (done.returncode, done.stdout) == (2, "")
    assert "does not go with --route stand" in done.stderr


def test_crowns_of_the_catalogue_are_those_of_the_strain() -> None:
    wide, narrow = (
        next(row["crown_width_10in_ft"] for row in trees() if row["id"] == name)
        for name in ("loblolly", "loblolly-narrow")
    )
    for kind, width in wide.items():
        assert narrow[kind] == pytest.approx(load_tree("loblolly-narrow").crown.width_share * width)
    assert wide["open_grown"] == pytest.approx(float(open_grown_width_ft(10.0, load_tree("loblolly").crown)))


def test_the_later_grass_of_a_template_is_another_and_lasts_there() -> None:
    for species in tree_names():
        for grass in ("bahiagrass", "bermudagrass", "tall-fescue", "crimson-clover"):
            text = scenario_text(Choices(trees=species, grass=grass))
            (later,) = re.findall(r'(?m)^# grass = "(.+?)"', text)
            assert later not in (grass, "tall-fescue")
    text = re.sub(r"(?m)^# (\[pasture\.switch\]|grass = |below_light = )", r"\1", scenario_text(Choices()))
    outcome = run(load_text(text, "later grass"), precision="fast")
    assert outcome.scenario.pasture.switch is not None
    assert outcome.scenario.pasture.switch.grass == "native-mix"


def test_longleaf_is_raked_later_and_longer() -> None:
    """Common practice, no source."""
    loblolly, longleaf = (numbers_of(resolved(Choices(trees=name))) for name in ("loblolly", "longleaf"))
    assert longleaf["first_rake_year"] > loblolly["first_rake_year"]
    assert longleaf["most_rakes"] > loblolly["most_rakes"]
    assert longleaf["first_rake_year"] + 2 * (longleaf["most_rakes"] - 1) < longleaf["harvest_year"]


PLOTS = "plot,species,dbh_in,height_ft\n" + "".join(
    f"{plot},SPECIES,{dbh},{height}\n" for plot in (1, 2) for dbh, height in ((6.1, 44), (7.4, 48), (9.2, 54))
)


@pytest.mark.parametrize(
    ("species", "options", "acres"),
    [
        ("longleaf", (), "0.005"),
        ("loblolly", ("--natural",), "0.1"),
        ("loblolly", ("--natural",), "0.004"),
        ("loblolly", ("--site-index", "60"), "0.1"),
    ],
)
def test_a_cruise_becomes_a_scenario_that_runs(
    halfshade: Halfshade, tmp_path: Path, species: str, options: tuple[str, ...], acres: str
) -> None:
    plots, out = tmp_path / "plots.csv", tmp_path / "out"
    plots.write_text(PLOTS.replace("SPECIES", species), encoding="utf-8")
    halfshade("cruise", plots, "--plot-acres", acres, "--age", "22", *options, "--out", out)
    path, found = out / "stand-scenario.toml", json.loads((out / "cruise.json").read_text())
    checked = halfshade("check", path, "--json")
    assert checked.returncode == 0
    summary = json.loads(checked.stdout)["summary"]
    assert summary["trees"]["species"] == species
    assert summary["stand"]["age"] == 22
    assert summary["stand"]["trees_per_ac"] == pytest.approx(found["trees_per_ac"], abs=0.06)
    document = tomllib.loads(path.read_text(encoding="utf-8"))
    own = document["trees"].get("site_index_ft", document["land"]["site_index_ft"])
    assert own == pytest.approx(found["site_index_ft"], abs=0.06)
    assert document["stand"]["class"][0]["height_ft"] == found["stand_table"][0]["mean_height_ft"]
    # the command's own way, without its bands, which take long
    systems = compare(load(path), precision="fast").systems
    assert {"silvopasture", "plantation", "pasture", "open_later"} == set(systems)


def test_a_cruise_without_an_age_writes_the_block_and_says_so(halfshade: Halfshade, tmp_path: Path) -> None:
    plots, out = tmp_path / "plots.csv", tmp_path / "out"
    plots.write_text(PLOTS.replace("SPECIES", "loblolly"), encoding="utf-8")
    done = halfshade("cruise", plots, "--plot-acres", "0.1", "--out", out)
    assert done.returncode == 0
    assert "no stand-scenario.toml: it needs --age" in done.stderr
    assert (out / "stand.toml").exists()
    assert not (out / "stand-scenario.toml").exists()
    old = halfshade("cruise", plots, "--plot-acres", "0.1", "--age", "90", "--site-index", "60", "--out", out)
    assert "no stand-scenario.toml" in old.stderr
    assert not (out / "stand-scenario.toml").exists()


def test_help_of_marking_says_that_heights_are_needed(halfshade: Halfshade) -> None:
    said = " ".join(halfshade("mark", "--help").stdout.split())
    assert "height_ft, which some of the trees must have" in said
