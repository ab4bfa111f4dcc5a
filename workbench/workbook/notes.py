"""What of a plan does not follow a changed price or rate, said at the line and once for the whole."""

import re
from typing import Final

from simulator.accounts import Line
from simulator.enterprises.orchard_value import REST_OF_THE_PLAN, WAY_BACK
from simulator.result import Outcome
from simulator.scenario.income import slug
from simulator.scenario.sale import DELIVERED
from workbench.workbook.orchard import is_orchard, rest_of

SUM_OF_DOLLARS: Final = "stated sum: follows no price"
AT_THE_CAP: Final = "help at its cap: stated sum"
HELD_BY_A_CAP: Final = "help below its cap as given"
WORTH_ITS_HOURS: Final = "worked in years that paid as given"
OF_THE_RATE: Final = "discounted at the rate given"
BID: Final = "if its bid holds: see Checks"
_HELP: Final = re.compile(r"cost_share(?:_repaid)?_(\d+)(_.+)?")


def note_on(line: Line, outcome: Outcome) -> str:
    """What a reader must know of one line; empty where it simply follows its prices."""
    scenario = outcome.scenario
    helped = _HELP.fullmatch(line.key)
    if helped is not None:
        if not line.prices:
            return AT_THE_CAP
        return HELD_BY_A_CAP if scenario.cost_share[int(helped[1]) - 1].cap_per_ac is not None else ""
    if line.key in {f"other_{slug(each.name)}{end}" for each in scenario.other for end in ("", "_labour")}:
        return WORTH_ITS_HOURS if line.prices else f"{SUM_OF_DOLLARS}; {WORTH_ITS_HOURS}"
    if not line.prices:
        return SUM_OF_DOLLARS
    if follows_no_rate(line, outcome):
        return OF_THE_RATE
    delivered = scenario.sale.pricing == DELIVERED and line.enterprise == "wood"
    return BID if delivered and any("delivered" in item or item == "move_in" for item in line.prices) else ""


def follows_no_rate(line: Line, outcome: Outcome) -> bool:
    """Whether a line's quantity was discounted in a way that no formula here repeats."""
    if not is_orchard(outcome) or line.key not in (*REST_OF_THE_PLAN, WAY_BACK):
        return False
    return line not in [outcome.flows.lines[place] for place in rest_of(outcome)]
