"""Small sweeps for whichever test needs one: a factors file beside the packaged example."""

from pathlib import Path

from optimize.sweeps.run import Sweep, sweep
from workbench.examples import example_text

HEAD = """
format = 1
design = "{design}"
systems = "{systems}"
outputs = ["npv", "equal annual income", "land expectation", "light at 20", "tons of sawtimber"]
"""
ALLEY = """
[[factor]]
name = "alley_ft"
field = "trees.layout.alley_ft"
low = 30
high = 60
"""
THINNING = """
[[factor]]
name = "first_thinning"
field = "thinning[1].year"
values = [15, 17]
linked = [{ field = "thinning[2].year", plus = 8 }, { field = "harvest.year", plus = 19 }]
"""
RATE = """
[[factor]]
field = "money.discount_rate"
low = 0.03
high = 0.07
"""
SAWTIMBER = """
[[factor]]
price = "sawtimber"
linked = [{ price = "chip_and_saw", times = 0.6 }]
"""


def factors_text(*factors: str, design: str = "grid", systems: str = "plan", more: str = "") -> str:
    """A factors file."""
    return HEAD.format(design=design, systems=systems) + more + "".join(factors)


def written(folder: Path, factors: str, scenario: str | None = None) -> tuple[Path, Path]:
    """A scenario file, the packaged example unless told, and a factors file in a folder."""
    folder.mkdir(exist_ok=True)
    files = folder / "field.toml", folder / "factors.toml"
    files[0].write_text(example_text() if scenario is None else scenario, encoding="utf-8")
    files[1].write_text(factors, encoding="utf-8")
    return files


def swept(folder: Path, factors: str, scenario: str | None = None) -> Sweep:
    """A sweep in this process."""
    return sweep(*written(folder, factors, scenario), folder / "out")
