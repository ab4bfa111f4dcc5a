"""Kinds of work by the lines of the ledger that pay for them, each with whom to call."""

from fnmatch import fnmatch
from typing import Final, NamedTuple

from simulator.accounts import Line

FORESTER: Final = "consulting or registered forester"
APPLICATOR: Final = "licensed pesticide applicator"
AGENT: Final = "extension agent"
ADVISER: Final = "tax adviser"


class Job(NamedTuple):
    """A kind of work.

    Attributes
    ----------
    words
        What is done.
    whom
        Whom to call.
    lines
        Patterns of the ledger's lines that belong to it.
    counted
        Patterns of those whose quantities are told, first match first.
    """

    words: str
    whom: str
    lines: tuple[str, ...]
    counted: tuple[str, ...] = ()


_HERDS: Final = ("cows", "ewes", "does")
_BOUGHT: Final = tuple(f"{females}_bought" for females in _HERDS)
_SOLD: Final = tuple(f"{females}_{what}" for what in ("sold", "selling") for females in _HERDS)
JOBS: Final = (
    Job("Help with costs", f"{AGENT}; {ADVISER}", ("cost_share*",)),
    Job("First thinning", f"{FORESTER} to mark and sell; logger", ("*_first_thinning*",), ("*_first_thinning",)),
    Job("Later thinning", f"{FORESTER} to mark and sell; logger", ("*_later_thinning*",), ("*_later_thinning",)),
    Job(
        "Final harvest",
        f"{FORESTER} to cruise and sell; logger; {ADVISER}",
        ("*_final_harvest*",),
        ("*_final_harvest",),
    ),
    Job(
        "Sell wood at the mill's gate",
        f"{FORESTER}; logger; {ADVISER}",
        ("*_delivered*", "cut_and_load*", "haul*", "move_in*"),
        ("*_delivered",),
    ),
    Job(
        "Sell wood of killed or worn-out trees",
        f"{FORESTER}; trained and equipped logger",
        ("*salvage*",),
        ("*_salvage_local", "*_salvage_regional", "salvage_wood"),
    ),
    Job(
        "Clean up what loggers or storms leave lying",
        f"{FORESTER}; contractor",
        ("logging_cleanup",),
        ("logging_cleanup",),
    ),
    Job(
        "Prepare the ground: rip the rows, clear what stands",
        f"{FORESTER}; contractor with a ripper",
        ("rip_and_strip", "cutover_preparation", "land_clearing"),
        ("land_clearing", "cutover_preparation", "rip_and_strip"),
    ),
    Job("Spray weeds where the trees stand", APPLICATOR, ("herbicide",), ("herbicide",)),
    Job("Spray weeds in the field", APPLICATOR, ("spray_*", "treatment_herbicide"), ("spray_*", "treatment_herbicide")),
    Job(
        "Order and plant the trees",
        f"{FORESTER}; nursery (order a year ahead); planting crew",
        ("seedlings*", "container_stock", "grafted_trees", "planting_*"),
        ("planting_*",),
    ),
    Job(
        "Look after trees: fertilise",
        f"{FORESTER} (soil or needle test first)",
        ("tree_nitrogen", "tree_phosphate", "tree_fertiliser*"),
        ("tree_nitrogen",),
    ),
    Job("Prune", FORESTER, ("pruning",), ("pruning",)),
    Job(
        "Cut out spare young trees",
        FORESTER,
        ("precommercial_thinning", "volunteer_control"),
        ("precommercial_thinning", "volunteer_control"),
    ),
    Job("Burn under the trees", "certified burn manager; local fire service for the permit", ("burn",), ("burn",)),
    Job(
        "Sow grass",
        f"{AGENT}; seed dealer",
        ("sward_establishment", "ryegrass_seeding", "clover_seeding"),
        ("sward_establishment", "ryegrass_seeding", "clover_seeding"),
    ),
    Job("Sow bare ground after logging", AGENT, ("overseeding",), ("overseeding",)),
    Job(
        "Fertilise, cut and bale hay",
        f"{AGENT} (soil test); hay crew",
        ("nitrogen_hay", "hay", "bale_work", "phosphate", "potash", "lime"),
        ("hay", "bale_work"),
    ),
    Job("Fertilise the grazing", f"{AGENT} (soil test)", ("nitrogen_grazing",), ("nitrogen_grazing",)),
    Job("Build or renew fence and water", f"{AGENT}; fence contractor", ("*fence*",), ("cross_fence*", "*fence*")),
    Job("Let the grazing", f"{AGENT} for a lease; the tenant's veterinarian", ("grazing_lease*",), ("grazing_lease*",)),
    Job(
        "Rake and sell pine straw",
        f"{FORESTER}; straw contractor",
        ("straw*",),
        ("straw", "straw_slash", "straw_longleaf"),
    ),
    Job("Gather and sell nuts", AGENT, ("nuts", "nut_harvest", "orchard_care"), ("nuts",)),
    Job("Your own hours and hired hours", "yourself", ("*labour*", "*_hours*", "hired*"), ("*labour*",)),
    Job("Pay tax, rent and administration", ADVISER, ("tax_and_administration", "property_tax", "rent_paid")),
    Job("Spread lime", f"{AGENT} (soil test); spreader", ("treatment_lime*",), ("treatment_lime*",)),
    Job("Move out the herd that is there", f"livestock market; {ADVISER}", ("displaced_herd*",), ("displaced_herd",)),
    Job("Buy breeding animals", f"veterinarian; {AGENT}", _BOUGHT, _BOUGHT),
    Job("Sell breeding animals that the grass no longer feeds", "livestock market", _SOLD, _SOLD),
    Job("Hunting lease", ADVISER, ("hunting_lease*",), ("hunting_lease*",)),
)
"""The ledger's lines by the work they belong to; the first match counts."""
HERD: Final = Job(
    "Keep and feed the animals, sell their young and culls", f"veterinarian; {AGENT}", (), ("*_cash_cost",)
)


def job_of(line: Line) -> Job:
    """The work that a line of the ledger belongs to."""
    for job in JOBS:
        if any(fnmatch(line.key, pattern) for pattern in job.lines):
            return job
    if line.enterprise == "grazing":
        return HERD
    name = line.key.removeprefix("treatment_") if line.enterprise == "land" else line.enterprise
    whom = ADVISER if line.account == "overhead" else AGENT
    return Job(name.replace("_", " ").capitalize(), whom, (), (line.key,) if line.enterprise == "land" else ())
