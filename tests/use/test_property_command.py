"""`halfshade property`: the example, its files, and what is said of a file that is wrong."""

import csv
import json
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from reliability import keeps
from workbench.examples import example_text
from workbench.property_words import no_less, share

EXAMPLES = Path(__file__).parents[2] / "examples"
FOLDER = EXAMPLES / "property"
Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]


@pytest.fixture
def home_place(tmp_path: Path) -> Path:
    """The example's folder, to be changed."""
    shutil.copytree(EXAMPLES, tmp_path / "examples")
    return tmp_path / "examples" / "property" / "home-place.toml"


def changed(path: Path, old: str, new: str) -> int:
    """Put other words into a file; return the line where they stand."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return text[: text.index(old)].count("\n") + 1


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.toml")), ids=lambda path: path.name)
def test_the_example_carries_the_cautions(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for words in ("invented", "can hurt or kill", "licensed", "not an appraisal"):
        assert words in text
    assert f"`property/{path.name}`" in (EXAMPLES / "README.md").read_text(encoding="utf-8")


def test_the_example_is_planned_and_written(halfshade: Halfshade, tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = halfshade("property", FOLDER / "home-place.toml", "--out", out, "--json")
    assert done.returncode == 0, done.stderr
    document = json.loads(done.stdout)
    assert document == json.loads((out / "property.json").read_text(encoding="utf-8"))
    assert document["ending"] == "proven"
    assert any("registered forester" in line for line in document["cautions"])
    assert document["searched"]["proven_gap"] <= 0.001
    assert [tract["name"] for tract in document["tracts"]] == [
        "North block", "East field", "South field", "Mill tract", "Old pines",
    ]  # fmt: skip
    assert document["value"] == pytest.approx(sum(tract["value"] for tract in document["tracts"]))
    limits = document["couplings"]
    assert min(document["balance"]) >= -limits["budget"]["credit"] - 0.01
    assert min(document["flows"]["grazed"][limits["grazing"]["from_year"] :]) >= limits["grazing"]["least_acres"]
    rows = list(csv.DictReader((out / "calendar.csv").read_text(encoding="utf-8").splitlines()))
    cuts = {row["tract"]: int(row["year"]) for row in rows if row["job"] == "harvested"}
    for tract in document["tracts"]:
        assert tract["years"]["harvested"] == ([cuts[tract["name"]]] if tract["name"] in cuts else [])
    flows = list(csv.DictReader((out / "flows.csv").read_text(encoding="utf-8").splitlines()))
    assert len(flows) == 41
    assert float(flows[15]["wood_ton"]) == pytest.approx(document["flows"]["wood_ton"][15], rel=1e-5)
    assert (out / "calendar.png").read_bytes().startswith(b"\x89PNG")
    prices = document["shadow_prices"]["prices"]
    assert any(price["words"].startswith("another $1,000 in year") for price in prices)


def test_without_couplings_it_says_what_each_tract_does_and_what_is_proven(
    halfshade: Halfshade, home_place: Path
) -> None:
    text = home_place.read_text(encoding="utf-8")
    home_place.write_text(text[: text.index("[couplings.budget]")], encoding="utf-8")
    done = halfshade("property", home_place)
    assert done.returncode == 0, done.stderr
    assert "is worth more" in done.stdout
    assert "optimal" not in done.stdout.lower()
    for words in ("North block", "Calendar", "Cautions", "registered forester"):
        assert words in done.stdout


@keeps("A solver that is late or finds nothing")
def test_where_there_is_no_plan_it_says_what_would_have_to_give(halfshade: Halfshade, home_place: Path) -> None:
    changed(home_place, "start = 15000 ", "start = 0 ")
    changed(home_place, "least_acres = 25 ", "least_acres = 250 ")
    done = halfshade("property", home_place)
    assert done.returncode == 0, done.stderr
    assert "There is no plan that keeps within all limits." in done.stdout
    assert "If land grazed may give, there is a plan; it misses land grazed in year" in done.stdout
    assert "acres" in done.stdout


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"mill-tract.toml"', '"no-such.toml"', 'tract[4].scenario: does not exist (received "no-such.toml")'),
        ("acres = 25 ", "acres = 0 ", "tract[2].acres: must be a number from 0.01 to 100,000 ac (received 0)"),
        ("acres = 25 ", "acers = 25 ", 'tract[2].acers: is not a field of [[tract]] (received 25)'),
        ('"East field"', '"North block"', "tract[2].name: is the name of tract 1 too"),
        ("start = 15000", "start = -1", "couplings.budget.start: must be a number from 0 to"),
        ("least_ton = 400", "least_ton = -4", "couplings.load.least_ton: must be a number above 0"),
        ("least_acres = 25 ", "least_acres = 900 ", "couplings.grazing.least_acres: must be at most the 250 acres"),
        ("[couplings.load]", "[couplings.lode]", "couplings.lode: is not a field of [couplings]"),
        ("seed = 1", "seed = 1\nspeed = 2", "solver.speed: is not a field of [solver]"),
        ("format = 1", "format = 2", "format: must be 1 (received 2)"),
    ],
)  # fmt: skip
def test_what_is_wrong_stands_at_its_line(
    old: str, new: str, said: str, halfshade: Halfshade, home_place: Path
) -> None:
    line = changed(home_place, old, new) + new.count("\n")
    done = halfshade("property", home_place, "--out", "never")
    assert done.returncode == 2
    assert f"home-place.toml:{line}: {said}" in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


HERD_THAT_SELLS_DEAR = """[couplings.herd]
start_head = 10
need_aum_per_head = 16
margin_per_head = 400
bought_price = 1500
sold_price = 1700
feed_price_per_aum = 40
"""


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("[couplings.even_wood]\nperiod_years = 30\nwithin = 0.2\n", "even_wood.period_years: must leave room for two"),
        (
            HERD_THAT_SELLS_DEAR,
            "couplings.herd.sold_price: must be at most bought_price, which is 1500 (received 1700)",
        ),
    ],
)  # fmt: skip
def test_limits_that_contradict_are_refused(table: str, said: str, halfshade: Halfshade, home_place: Path) -> None:
    changed(home_place, "[solver]", f"{table}\n[solver]")
    done = halfshade("property", home_place)
    assert done.returncode == 2
    assert said in done.stderr


def test_tracts_of_other_rates_are_refused_and_a_faulty_scenario_speaks_for_itself(
    halfshade: Halfshade, home_place: Path
) -> None:
    mill = home_place.parent / "mill-tract.toml"
    changed(mill, "discount_rate = 0.05", "discount_rate = 0.06")
    done = halfshade("property", home_place)
    assert done.returncode == 2
    assert "must be discounted at 0.05 a year" in done.stderr
    line = changed(mill, "acres = 65", "acers = 65")
    done = halfshade("property", home_place)
    assert done.returncode == 2
    assert f"mill-tract.toml:{line}: land.acers" in done.stderr


def test_no_such_file_is_said(halfshade: Halfshade) -> None:
    done = halfshade("property", "absent.toml")
    assert done.returncode == 2
    assert "absent.toml: does not exist" in done.stderr


HARD = """
import sys, threading, os, signal
sys.path.insert(0, {tests!r})
from made_tracts import RATE, large_tracts
from optimize.property.couplings import Budget, Couplings, Even
from optimize.property.plan import best_plan
made = large_tracts(20, 400)
acres = sum(tract.acres for tract in made)
told = []
def tell(words):
    print(words, flush=True)
    if "a plan worth" in words:
        threading.Timer(1.0, lambda: os.kill(os.getpid(), signal.SIGINT)).start()
plan = best_plan(
    made,
    Couplings(
        budget=Budget(start=30 * acres, added_per_year=2 * acres, credit=10 * acres),
        even_wood=Even(period_years=8, within=0.15),
    ),
    groups=[t.name for t in made], rate=RATE, search_for=(300.0, 0.0, 1), tell=tell,
)
print(plan.ending, plan.interrupted, len(plan.tracts), plan.bound >= plan.value)
"""


@keeps("Stopping is clean")
@pytest.mark.skipif(sys.platform == "win32", reason="interrupts are sent otherwise there")
def test_an_interrupt_keeps_the_best_plan_so_far() -> None:
    tests = str(Path(__file__).parents[1])
    start, before = time.monotonic(), signal.getsignal(signal.SIGINT)
    done = subprocess.run(
        [sys.executable, "-c", HARD.format(tests=tests)],
        capture_output=True,
        encoding="utf-8",
        timeout=280,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "stopped True 20 True"
    assert time.monotonic() - start < 200.0
    assert signal.getsignal(signal.SIGINT) == before


def test_at_a_rate_of_0_worth_is_that_of_the_horizon(halfshade: Halfshade, tmp_path: Path) -> None:
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        text = example_text().replace("discount_rate = 0.05", "discount_rate = 0.0")
        (tmp_path / name / "field.toml").write_text(f"# {name}\n{text}", encoding="utf-8")
    tracts = "".join(f'[[tract]]\nname = "{name}"\nscenario = "{name}/field.toml"\n' for name in ("one", "two"))
    (tmp_path / "place.toml").write_text(f"format = 1\n{tracts}", encoding="utf-8")
    done = halfshade("property", "place.toml", "--out", "out")
    assert done.returncode == 0, done.stderr
    assert "net present value at 0 % real" in done.stdout
    assert json.loads((tmp_path / "out" / "property.json").read_text(encoding="utf-8"))["maximise"] == "npv"
    inputs = json.loads((tmp_path / "out" / "made-with.json").read_text(encoding="utf-8"))["inputs"]
    assert list(inputs) == ["place.toml", "field.toml", "two/field.toml"]
    assert [inputs[name]["text"][:5] for name in list(inputs)[1:]] == ["# one", "# two"]


@pytest.mark.parametrize(
    ("part", "said"),
    [(0.0, "0 %"), (0.00141, "0.15 %"), (0.0014, "0.14 %"), (0.0299, "3 %"), (1.6123, "170 %"), (12.0, "1,200 %")],
)
def test_a_gap_is_never_said_smaller_than_it_is(part: float, said: str) -> None:
    assert share(part) == said


@pytest.mark.parametrize(("bound", "said"), [(11_904.2, "$11,905"), (-13_324.9, "-$13,324"), (7.0, "$7")])
def test_a_bound_is_rounded_up(bound: float, said: str) -> None:
    assert no_less(bound) == said
