"""Packaged plans that the page can open; the property and its owner are invented."""

from collections.abc import Mapping
from typing import Final

from workbench.examples import scenario_text
from workbench.starts import Choices

SAMPLES: Final[Mapping[str, Choices]] = {
    "double-rows": Choices(),
    "single-rows": Choices(layout="single"),
    "standing-pines": Choices(route="stand"),
    "longleaf": Choices("longleaf", "native-mix", layout="wide"),
    "sheep": Choices("slash", animals="sheep", layout="double"),
    "pecan": Choices("pecan", "bermudagrass"),
}


def sample_text(name: str) -> str:
    """Text of a packaged plan as a scenario file."""
    return scenario_text(SAMPLES[name])
