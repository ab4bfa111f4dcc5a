"""What the tool does not know, warnings, and cautions for work that can hurt somebody."""

from collections.abc import Sequence
from typing import Final

from workbench.dangers import DRY, FIRE, STORM, TIMBER_SALE, dangers
from workbench.report.blocks import Section, Table, Text, listed, section
from workbench.report.gather import Gathered
from workbench.reports import warning_lines
from workbench.words import cautions

UNKNOWN: Final = (
    "The weather of any one year: every year is an ordinary one, unless the plan enters a drought or a storm.",
    "Your ground: soil, wetness and slope are in it only through the site index and what the pasture is said to grow.",
    (
        "Your market: whether a logger comes, what a mill takes, who rents pasture, and what any of it will fetch in "
        "thirty years. Prices stay as they are."
    ),
    (
        "Trees far apart: little was ever measured of pines standing as wide as here beside grass; how they grow, "
        "branch and are graded is mostly reckoned from closer stands."
    ),
    "Grass under pines: how this grass answers to shade was measured for few grasses, in few places.",
    "What you like and what you can do: game, shade for animals, a view, or work that nobody has time for.",
    "The law: zoning, burning rules, water rules, what a lease or a contract for help with costs asks of you.",
)
HERBICIDE: Final = (
    "The label is the law: it says who may spray what where, how long animals stay out, and how long no hay may be cut "
    "or fed, sold or spread as manure or compost after it. Some products kill pines, and some pass through hay and "
    "manure and kill gardens. Call a licensed applicator."
)
ANIMALS: Final = (
    "Keep animals out until the trees are tall enough, and look for poisonous plants before they come in; give water "
    "and shade. A bull, a cow with a calf and a loose animal on a road can kill. Ask a veterinarian."
)
TAX: Final = (
    "Timber, cost-share and cattle are taxed each by rules of their own, and a change of use may call back property "
    "tax. Amounts here are before income tax unless they say otherwise. Ask a tax adviser before you plant and before "
    "you sell."
)
INVESTMENT: Final = (
    "Money in trees is tied up for decades and can burn, blow down or go out of fashion. Put in only what you can "
    "leave there, and have land, title and timber appraised by those licensed to."
)


def the_warnings(of: Gathered) -> Section:
    """What this run warned of."""
    return section("warnings", "Warnings", listed(warning_lines(of.comparison)))


def the_limits(_: Sequence[Gathered]) -> Section:
    """What the tool does not know, whatever the plan."""
    return section("limits", "What this tool does not know", listed(UNKNOWN))


def the_cautions(reports: Sequence[Gathered]) -> Section:
    """Cautions for the work in the plans, each with who decides."""
    rows = (
        ("felling and selling timber", TIMBER_SALE),
        ("storm-damaged trees", STORM),
        ("herbicide, grazing and haying after it", HERBICIDE),
        ("fire", FIRE),
        ("animals and poisonous plants", ANIMALS),
        ("nitrate in grass and hay", DRY),
        ("tax", TAX),
        ("investment", INVESTMENT),
    )
    told = {words for _, words in rows}
    said = dict.fromkeys(line for each in reports for line in (*cautions(each.scenario), *dangers(each.scenario)))
    return section(
        "cautions",
        "Cautions",
        listed([line for line in said if line not in told]),
        Table(
            "cautions", "Work that can hurt somebody, or cost dearly", ("what", "before you do it"), rows, words=(0, 1)
        ),
        Text("Local codes, the product's label and licensed practice stand above everything in this report."),
    )
