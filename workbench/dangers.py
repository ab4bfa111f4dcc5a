"""Cautions for work that a plan asks for or an event brings: storm-damaged trees, fire, dry grass, hogs."""

from simulator.parameters.species import load_species
from simulator.scenario.model import Scenario

STORM = (
    "Storm-damaged trees kill: bent, hung-up and uprooted stems are under tension. Keep people and animals out and "
    "leave the felling to trained and equipped crews."
)
FIRE = (
    "Prescribed fire is for a licensed burner with a permit, a plan, the right weather and informed neighbours; local "
    "rules and liability decide. Smoke on roads kills."
)
WILDFIRE = "Burned trees drop limbs and fall without warning for years; call the fire service first, salvage later."
BEETLES = (
    "Have a forester confirm bark beetles; infested wood is not moved about, and a buffer is cut as the state advises."
)
DRY = (
    "After a drought, fertilised or shaded grass and hay can hold nitrate that kills cattle: have it tested before it "
    "is fed. Hungry animals eat poisonous plants; cows late in calf are kept off pine slash and needles."
)
TIMBER_SALE = (
    "Before timber is thinned or sold, have a registered forester cruise and mark it; the sale contract says how trees "
    "that stay, ground and people are kept safe. Logging safety rules decide how trees are felled."
)
HOGS = "Wild hogs are dangerous and carry diseases; trapping and shooting follow state law."
BY_KIND = {"ice": STORM, "wind": STORM, "wildfire": WILDFIRE, "beetles": BEETLES, "drought": DRY, "hogs": HOGS}


def dangers(scenario: Scenario) -> tuple[str, ...]:
    """Cautions that this plan needs beside those of every result."""
    kinds = [event.kind for event in scenario.event if event.severity > 0]
    said = [BY_KIND[kind] for kind in kinds if kind in BY_KIND]
    if _sells_timber(scenario):
        said.append(TIMBER_SALE)
    if scenario.fire is not None:
        said.append(FIRE)
    return tuple(dict.fromkeys(said))


def _sells_timber(scenario: Scenario) -> bool:
    """Whether timber of the plan is ever cut; orchard trees are none."""
    if scenario.trees is None or load_species(scenario.trees.species).orchard is not None:
        return False
    return bool(scenario.thinning) or scenario.harvest is not None
