"""Names of the packaged plans that the page can open."""

from collections.abc import Mapping
from typing import Final

SAMPLE_TITLES: Final[Mapping[str, str]] = {
    "double-rows": "Double rows of loblolly over bahiagrass, cattle",
    "single-rows": "Single rows of loblolly over bahiagrass, cattle",
    "standing-pines": "Loblolly that stands already, to be opened to grass",
    "longleaf": "Wide sets of longleaf over a native mixture, cattle",
    "sheep": "Double rows of slash pine over bahiagrass, sheep",
    "pecan": "Pecan over bermudagrass, cattle",
}
