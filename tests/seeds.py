"""A sound file of every kind that a command reads, as full as it can be, and the commands that read it.

Everything in them is invented. Tests damage these files and hold each command to what it promises about bad input.
"""

import re
import tomllib
from importlib import resources
from pathlib import Path
from typing import NamedTuple

from workbench.examples import example_text, stand_example_text

MAIN = "field.toml"
"""Scenario beside the other files."""

SOUND = Path(__file__).parent / "faults" / "sound"


def _sound(name: str) -> str:
    return (SOUND / name).read_text(encoding="utf-8")


FULL = _sound("planted.toml")
"""Every table that a planted field can have, one key a line."""
STAND = _sound("standing.toml")
PROPERTY = _sound("property.toml")
FACTORS = _sound("factors.toml")
PRICES = _sound("prices.toml")
CRUISE = _sound("cruise.csv")
READINGS = _sound("readings.csv")
STEMS = _sound("stems.csv")
FLOWS = _sound("flows.csv")
HEIGHTS = _sound("heights.csv")
OUTLINE = resources.files("workbench.scenarios").joinpath("north-field.geojson").read_text(encoding="utf-8")


def _short() -> str:
    """The packaged example over twenty years, with its cuts in half the time: what searches it is over in a second."""
    text = example_text()
    for line, sooner in (("horizon_years = 40", 20), ("\nyear = 16\n", 8), ("\nyear = 24\n", 12), ("\nyear = 35", 16)):
        assert text.count(line) == 1, line
        text = text.replace(line, re.sub(r"\d+", str(sooner), line))
    return text


SHORT = _short()


class Seed(NamedTuple):
    """A sound file and how it is read.

    Attributes
    ----------
    name
        Of the file that is damaged.
    text
        What stands in it.
    form
        "toml", "csv" or "json": how it can be damaged knowingly.
    commands
        Arguments of commands that read it, cheapest first; the cheapest takes most of the inputs.
    told_in
        Whether messages name this file; a price table's stand at the scenario that names it.
    """

    name: str
    text: str
    form: str
    commands: tuple[tuple[str, ...], ...]
    told_in: bool = True


WORK_UP = ("cruise", "tally.csv", "--plot-acres", "0.1", "--age", "20", "--json")
LAY_OUT = ("layout", "--elevation", "heights.csv", "--json")
MARK = ("mark", "stems.csv", "--leave-trees", "100", "--json")
VALUE = ("value", "flows.csv", "--rate", "0.05", "--rotation", "--json")
ROWS = ("layout", "--field", "outline.geojson", "--json")
PAGE = ("page", "--port", "0", "--no-browser")
SEEDS = {
    "planted": Seed("full.toml", FULL, "toml", (("check", "full.toml", "--json"), ("run", "full.toml", "--json"))),
    "example": Seed(
        "ex.toml", example_text(), "toml",
        (("check", "ex.toml"), ("run", "ex.toml", "--out", "o"), ("compare", "ex.toml", "--out", "o")),
    ),
    "standing": Seed("st.toml", STAND, "toml", (("check", "st.toml", "--json"), ("run", "st.toml", "--json"))),
    "stand example": Seed("pines.toml", stand_example_text(), "toml", (("check", "pines.toml"),)),
    "property": Seed("property.toml", PROPERTY, "toml", (("property", "property.toml", "--out", "o", "--json"),)),
    "factors": Seed("factors.toml", FACTORS, "toml", (("sweep", MAIN, "factors.toml", "--out", "o", "--json"),)),
    "prices": Seed(
        "own.toml", PRICES, "toml",
        (("check", "priced.toml"), ("stem", "--dbh", "9", "--height", "60", "--prices", "own.toml", "--json")),
        told_in=False,
    ),
    "cruise": Seed("tally.csv", CRUISE, "csv", (WORK_UP, (*WORK_UP, "--out", "o"))),
    "stem map": Seed("stems.csv", STEMS, "csv", (MARK, (*MARK, "--out", "o"))),
    "readings": Seed("read.csv", READINGS, "csv", (("calibrate", MAIN, "read.csv", "--out", "o", "--json"),)),
    "flows": Seed("flows.csv", FLOWS, "csv", (VALUE, (*VALUE, "--out", "o"))),
    "elevation": Seed("heights.csv", HEIGHTS, "csv", (LAY_OUT, (*LAY_OUT, "--best-azimuth"))),
    "outline": Seed("outline.geojson", OUTLINE, "json", (ROWS, (*ROWS, "--out", "o"))),
    "page": Seed("page.toml", SHORT, "toml", ((*PAGE, "page.toml"),)),
    "page full": Seed("full-page.toml", FULL, "toml", ((*PAGE, "full-page.toml"),)),
    "page of a stand": Seed("stand-page.toml", STAND, "toml", ((*PAGE, "stand-page.toml"),)),
    "page prices": Seed("own.toml", PRICES, "toml", ((*PAGE, "priced.toml"),), told_in=False),
}  # fmt: skip

SEARCHES = ("property", "factors", "readings")
"""Files of commands that work for minutes on a real one."""
PAGES = ("page", "page full", "page of a stand", "page prices")
BESIDE = {
    MAIN: SHORT,
    "priced.toml": FULL.replace('"demo-2025"', '"own.toml"'),
}
"""Sound files that the damaged ones name or stand beside."""


def one_key_a_line(text: str) -> bool:
    """Whether every value of a TOML text ends on the line it begins on, so that a line can be damaged by itself."""
    tomllib.loads(text)
    return not re.search(r"=\s*(?:\[[^\]]*$|\"\"\"|''')", text, re.MULTILINE)
