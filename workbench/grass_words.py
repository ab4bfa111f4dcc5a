"""Cautions that go with a grass: what in it can harm animals."""

from typing import Final

from simulator.findings.grass import name_of_grass
from simulator.parameters.tables import NOTHING
from simulator.scenario.grass import Pasture
from simulator.scenario.model import Scenario

NITRATE: Final = (
    "drought, shade and much nitrogen can load it with nitrate, and hay keeps it: have doubtful grass or hay tested "
    "before feeding"
)
HAZARDS: Final[dict[str, str]] = {
    "bahiagrass": "",
    "bermudagrass": f"{NITRATE}; after frost or drought some stands hold a little prussic acid",
    "hybrid-bermudagrass": f"{NITRATE}; after frost or drought some kinds hold prussic acid",
    "native-mix": (
        "young or frosted indiangrass can hold prussic acid: wait a week after a killing frost; switchgrass can "
        "poison horses, sheep and goats"
    ),
    "eastern-gamagrass": NITRATE,
    "tall-fescue": (
        "with its common endophyte it lowers gain and breeding, worst in heat: ask for a harmless endophyte, keep "
        f"pregnant mares off; {NITRATE}; lush spring growth can bring on grass tetany: feed magnesium"
    ),
    "ryegrass": f"lush growth in late winter can bring on grass tetany: feed magnesium; {NITRATE}",
    "crimson-clover": (
        "it can bloat cattle, most when hungry animals meet it wet or frosted: fill them first; ripe heads have "
        "hurt horses"
    ),
}
"""By grass id. Common practice and from memory, no source; empty where no caution beyond the usual is known."""


def grass_cautions(scenario: Scenario) -> tuple[str, ...]:
    """Cautions of every grass that a plan lets animals eat or bales.

    Parameters
    ----------
    scenario
        The plan.

    Returns
    -------
    tuple of str
        One sentence a grass; a veterinarian and the local extension office decide, not this program.
    """
    pasture, use = scenario.pasture, scenario.use
    if use.first_grazing_year is None and use.hay_years is None:
        return ()
    names = dict.fromkeys((pasture.grass, pasture.overseeded, pasture.later_grass))
    said = {name: HAZARDS.get(name, "") for name in names if name != NOTHING}
    return tuple(
        f"{name_of_grass(name)}: {hazard}. Ask a veterinarian or the local extension office."
        for name, hazard in said.items()
        if hazard
    )


def grass_plan(pasture: Pasture) -> list[str]:
    """What is sown into the grass and what takes its place, in words for the plan's line."""
    parts = []
    if pasture.overseeded != NOTHING:
        parts.append(f"{pasture.overseeded} sown every autumn from year {pasture.overseeded_from_year}")
    if pasture.switch is not None:
        year, light = pasture.switch.year, pasture.switch.below_light
        when = f"under {light:.0%} light" if year is None else f"at the end of year {year}"
        parts.append(f"{pasture.switch.grass} {when}")
    return parts
