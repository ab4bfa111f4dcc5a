"""How fast the landowner's page follows a hand, in a real browser: a year, a moved thinning, and opening it."""

from collections.abc import Callable, Iterator
from importlib import resources
from typing import Final, NoReturn

from benchmarks.figures import Figure, Said, figure
from benchmarks.stopwatch import Pair, middle, paired, spent
from browser import chromium
from paging import Served, served
from plans import example
from simulator.comparison import compare
from simulator.ground import Options, features_of, field_of, lay_out
from visiting import Visit, visiting

MOVED_TO: Final = (15, 17, 18, 14, 13)
TURNS: Final = 3
THROUGH_THE_YEARS: Final = """async () => {
  const slider = document.getElementById("year");
  const took = [];
  for (let year = 1; year <= Number(slider.max); year += 1) {
    const begun = performance.now();
    slider.value = String(year);
    slider.dispatchEvent(new Event("input", { bubbles: true }));
    document.getElementById("slice").getBoundingClientRect();
    took.push(performance.now() - begun);
    await new Promise(requestAnimationFrame);
  }
  return took;
}"""
A_FRAME: Final = """async () => {
  await new Promise(requestAnimationFrame);
  const begun = performance.now();
  for (let frame = 0; frame < 20; frame += 1) await new Promise(requestAnimationFrame);
  return (performance.now() - begun) / 20;
}"""
THINNING_MOVED: Final = """async (year) => {
  const begun = performance.now();
  const labels = [...document.querySelectorAll("#timeline-typed label")];
  const input = labels.find((label) => label.textContent.startsWith("First thinning")).querySelector("input");
  input.value = String(year);
  input.dispatchEvent(new Event("change", { bubbles: true }));
  await new Promise((done, fail) => {
    const moved = `.handle[data-path="thinning.0.year"][aria-valuenow="${year}"]`;
    const look = () => {
      if (performance.now() - begun > 20000) fail(new Error("nothing moved"));
      else if (document.querySelector(`body:not(.busy) ${moved}`)) done();
      else requestAnimationFrame(look);
    };
    look();
  });
  return performance.now() - begun;
}"""
REDRAWN: Final = Said(
    "page-year", "the page: another year drawn, longest of 40", "one frame of the same browser", None, 0.05
)
MOVED: Final = Said(
    "page-thinning",
    "the page: a thinning moved, until the new plan is drawn",
    "a comparison in a running process",
    1.5,
    0.7,
)
OPENED: Final = Said(
    "page-first", "the page: opened anew, until its first picture", "its answer to the first question alone", None, 1.5
)
TURNED: Final = Said(
    "page-turned",
    "the page: rows turned on a field of forty acres, until it is answered",
    "laying them in a running process",
    None,
    0.3,
)
AZIMUTHS_DEG: Final = range(3, 48, 5)


def page(absent: Callable[[str], NoReturn]) -> Iterator[Figure]:
    """The page in a headless browser; `absent` is told where there is none."""
    with chromium(absent) as browser, served() as server:
        assert server.start  # the first comparison is there
        with visiting(browser, str(server.client.base_url).rstrip("/"), calm=False) as visit:
            visit.open("#view=land&year=15")
            yield figure(REDRAWN, _redrawn(visit), TURNS, "clock")
            yield figure(MOVED, _moved(visit), len(MOVED_TO), "clock")
            yield figure(OPENED, _opened(visit, server), TURNS, "clock")
        yield figure(TURNED, _turned(server), len(AZIMUTHS_DEG), "clock")


def _redrawn(visit: Visit) -> Pair:
    """Each year counts with the fastest of three passes: what else the machine does is no part of it."""
    passes, frames = [], []
    for _ in range(TURNS):
        frames.append(visit.page.evaluate(A_FRAME) / 1e3)
        passes.append(visit.page.evaluate(THROUGH_THE_YEARS))
    longest = max(min(each) for each in zip(*passes, strict=True)) / 1e3
    return paired([longest] * TURNS, [middle(frames).median] * TURNS)


def _moved(visit: Visit) -> Pair:
    compare(example())
    ours, theirs = [], []
    for year in MOVED_TO:
        ours.append(visit.page.evaluate(THINNING_MOVED, year) / 1e3)
        theirs.append(spent(lambda: compare(example())).clock_s)
    return paired(ours, theirs)


def _opened(visit: Visit, server: Served) -> Pair:
    ours, theirs = [], []
    for _ in range(TURNS):
        visit.page.reload()
        visit.page.locator("#slice svg").wait_for()
        ours.append(visit.page.evaluate("performance.now()") / 1e3)
        theirs.append(spent(lambda: server.start).clock_s)
    return paired(ours, theirs)


def _turned(server: Served) -> Pair:
    text = resources.files("workbench.scenarios").joinpath("north-field.geojson").read_text(encoding="utf-8")
    ground = field_of(features_of(text, "field"), None, example().land.latitude_deg)
    plan = {"plan": server.plan, "field": None, "options": {}}
    ours, theirs = [], []
    for azimuth in (0, *AZIMUTHS_DEG):  # the first of each reads what is kept afterwards
        ours.append(spent(lambda: server.client.post("/api/layout", json={**plan, "azimuth": azimuth})).clock_s)  # noqa: B023
        theirs.append(spent(lambda: lay_out(ground, example(), Options(azimuth_deg=float(azimuth)))).clock_s)  # noqa: B023
    return paired(ours[1:], theirs[1:])
