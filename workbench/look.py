"""The one palette of charts, report and page, and sizes that drawings share; nothing heavy is imported here."""

from collections.abc import Mapping
from typing import Final, NamedTuple

INK: Final = "#22282c"
FAINT: Final = "#79838a"
GRID: Final = "#dfe3e5"
PAPER: Final = "#ffffff"
STRIP_COLOR: Final = "#c9b8a6"
GRASS_COLOR: Final = "#6d8b3c"
LIGHT_RAMP: Final = ("#1f2b3a", "#4f6472", "#a9a878", "#f7e48f")
"""Ground from no light to open light: dark to bright in lightness as well as in hue, so that it reads in grey."""
TALLEST_GRASS_FT: Final = 1.8
"""How tall grass in the open is drawn; it only hints at growth, no height of grass is modelled."""


class Ink(NamedTuple):
    """How one system is drawn: colour and, for those who see no colour, dash and lightness; darker for words."""

    color: str
    dash: str
    words: str


# Chosen to differ in lightness (dark, middle, light) as well as in hue, so they survive red-green blindness and a
# photocopier.
SYSTEM_INK: Final[Mapping[str, Ink]] = {
    "silvopasture": Ink("#14707c", "-", "#0f5a64"),
    "plantation": Ink("#5a3a22", "--", "#5a3a22"),
    "pasture": Ink("#d39a1f", "-", "#86600a"),
    "kept_up": Ink("#6fb3ba", ":", "#2f7a82"),
    "open_later": Ink("#7fb7a6", "-.", "#3f7a68"),
}
# wood, straw, grazing, nuts, hay, land from dark to light, ten steps of lightness apart: told apart on a grey print
ENTERPRISE_COLOR: Final[Mapping[str, str]] = {
    "wood": "#5f432b",
    "hay": "#d9aa35",
    "grazing": "#4d7fb3",
    "straw": "#a04565",
    "nuts": "#7f9a4e",
    "land": "#d3d8db",
}
ENTERPRISE_NAME: Final[Mapping[str, str]] = {"land": "tax and administration", "straw": "pine straw"}
SCENERY: Final[Mapping[str, str]] = {
    "person": "#a3352b",
    "cow": "#3c2a24",
    "sheep": "#8d8576",
    "goat": "#7a4a2b",
    "bale": "#d8b45a",
    "bale-edge": "#8a6d28",
    "straw-bale": "#b98a5a",
    "straw-bale-edge": "#6e4d2a",
    "crown": "#2f6b4f",
    "crown-edge": "#1d4633",
    "stem": "#6b4a2e",
}
"""Things that stand in a picture of the land."""


def css_variables() -> str:
    """The palette as the declarations of a style sheet's root, one custom property a colour."""
    colors: dict[str, str] = {"ink": INK, "faint": FAINT, "paper": PAPER, "strip": STRIP_COLOR, "grass": GRASS_COLOR}
    colors |= {f"light-{number}": color for number, color in enumerate(LIGHT_RAMP)}
    colors |= {f"system-{_css(name)}": ink.color for name, ink in SYSTEM_INK.items()}
    colors |= {f"system-{_css(name)}-words": ink.words for name, ink in SYSTEM_INK.items()}
    colors |= SCENERY
    colors |= {f"enterprise-{_css(name)}": color for name, color in ENTERPRISE_COLOR.items()}
    return "\n".join(f"--{name}: {color};" for name, color in colors.items())


def _css(name: str) -> str:
    return name.replace("_", "-")
