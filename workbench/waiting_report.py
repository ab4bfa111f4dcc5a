"""Terminal report of a question of waiting."""

import math
from typing import Any

from optimize.waiting.answer import Answer
from optimize.waiting.moving import ALL_WOOD
from optimize.waiting.stages import CLEAR, HOLD, THIN
from workbench.dangers import dangers
from workbench.output import print_table, print_text
from workbench.waiting_prices import ACTIONS, flexible, item_words, price_words
from workbench.waiting_words import conditions, lighter, reasons, what, years
from workbench.words import cautions, uses_grass


def print_answer(found: Answer, document: dict[str, Any]) -> None:
    """Print the answer, the table of waiting, the price to act at, and what to be careful about.

    Parameters
    ----------
    found
        The answer.
    document
        Its JSON document.
    """
    scenario = found.question.scenario
    print_text(f"{document['sentence']}{lighter(found)}\n\n")
    _print_choices(found, document)
    _print_lines("Why", [*reasons(found)])
    print_text("\n")
    _print_ground(found, document)
    print_text(f"\nThe price to act at, for the thinning of the file: {document['reservation_sentence']}\n\n")
    _print_prices(document)
    item = document["reservation_price"]["item"]
    _print_lines("Deciding year by year", [*flexible(found, item)])
    _print_lines("What is compared", [*conditions(found)])
    _print_lines("Cautions", [*cautions(scenario), *dangers(scenario)])


def _print_lines(heading: str, lines: list[str]) -> None:
    print_text(f"\n{heading}\n" + "".join(f"  - {line}\n" for line in lines))


def _entries(document: dict[str, Any]) -> list[tuple[str, dict[str, Any]]]:
    waits = [(f"wait {years(entry['years'])}", entry) for entry in document["wait"]]
    return [("thin now", document["now"]), *waits]


def _print_choices(found: Answer, document: dict[str, Any]) -> None:
    """Worth of each answer, with what follows in it."""
    grass = uses_grass(found.question.scenario)
    others = [("clearcut now", document["clearcut_now"]), ("never thin", document["hold"])]
    choices = [*found.thinned, found.clearcut, found.hold]
    rows = []
    for (name, entry), choice in zip([*_entries(document), *others], choices, strict=True):
        row = [name, what(choice, found), _whole(entry["present_value_per_ac"]), _signed(entry["against_now_per_ac"])]
        row += [_signed(entry["of_grass_per_ac"])] if grass else []
        rows.append([*row, _percent(entry.get("value_growth")), _one(entry.get("likely_loss_per_ac_yr"))])
    columns = ["", "then", "present value,\n$/ac", "against\nthinning now"]
    columns += ["of it\ngrass"] if grass else []
    columns += ["value growth\nin the next year", "likely loss,\n$/ac/yr"]
    note = (
        f"Real rate {found.grown.rate:.1%} a year. Value growth: of stand and land left unthinned after that wait; "
        "hold it against the rate.\nLikely loss, illustrative: mean of the years waited unthinned; thinned now, of the "
        f"first {years(found.question.longest_wait)}; never thinned, of all to the cut. A dash: does not apply."
    )
    title = f"{found.question.scenario.title or 'Stand'}: thin now or wait, land and stand, per acre"
    print_table(title, columns, rows, note=note, words=2)


def _print_ground(found: Answer, document: dict[str, Any]) -> None:
    """What waiting does to the wood and the grass."""
    grass = uses_grass(found.question.scenario)
    rows = []
    for name, entry in _entries(document):
        cut, all_of_it = entry.get("thinning_ton_ac"), entry.get("wood_ton_ac")
        row = [name, *_products(cut), *_products(all_of_it), _percent(_larger(all_of_it))]
        row += [_whole(entry["forage_lost_lb_ac"]), _one(entry["animal_unit_months_lost_ac"])] if grass else []
        rows.append(row)
    columns = [
        "",
        "thinning:\npulp",
        "\nc+saw",
        "\nlarger",
        "to harvest:\npulp",
        "\nc+saw",
        "\nlarger",
        "above\npulpwood",
    ]
    columns += ["forage lost,\nlb", "animal-unit\nmonths lost"] if grass else []
    note = "Tons an acre sold in the first thinning, and in all from now to the harvest."
    note += " Grass lost: against thinning now, until the grass of that answer is in use." if grass else ""
    print_table("What waiting changes on the ground, per acre", columns, rows, note=note)


def _products(wood: dict[str, float] | None) -> list[str]:
    """Pulpwood, chip-and-saw, and sawtimber with poles."""
    if wood is None:
        return ["-", "-", "-"]
    larger = wood["sawtimber"] + wood["pole"]
    return [f"{tons:.0f}" for tons in (wood["pulpwood"], wood["chip_and_saw"], larger)]


def _larger(wood: dict[str, float] | None) -> float | None:
    total = sum(wood.values()) if wood else 0.0
    return None if wood is None or total <= 0 else 1.0 - wood["pulpwood"] / total


def _whole(value: float | None) -> str:
    return "-" if value is None or not math.isfinite(value) else f"{round(value) + 0:,}"


def _signed(value: float | None) -> str:
    if value is None or not math.isfinite(value):
        return "-"
    return f"{round(value):+,}" if round(value) else "0"


def _one(value: float | None) -> str:
    return "-" if value is None or not math.isfinite(value) else f"{value + 0.0:.1f}"


def _percent(value: float | None) -> str:
    return "-" if value is None or not math.isfinite(value) else f"{value:.0%}"


def _print_prices(document: dict[str, Any]) -> None:
    rows = []
    for program in document["reservation_prices"]:
        item, unit = program["item"], program["unit"]
        cells = {ACTIONS[action]: _spans(program, action, item, unit) for action in (HOLD, THIN, CLEAR)}
        today = price_words(item, program["today"], unit)
        rows.append(
            [
                item_words(item) if item != ALL_WOOD else "all wood, of today's",
                "" if item == ALL_WOOD else unit,
                today,
                *cells.values(),
                _whole(program["flexible_value_per_ac"]),
                _whole(program["option_value_per_ac"]),
            ]
        )
    columns = [
        "if this moves alone",
        "unit",
        "today",
        "leave it",
        "thin",
        "clearcut",
        "worth,\n$/ac",
        "of it for\nwaiting",
    ]
    print_table("What to do this year at which price", columns, rows, words=2)


def _spans(program: dict[str, Any], action: int, item: str, unit: str) -> str:
    said = []
    key = {HOLD: "leave", THIN: "thin", CLEAR: "clearcut"}[action]
    for each in program["years"][0]["ranges"]:
        if each["do"] != key:
            continue
        low, high = each["from"], each["to"]
        if low == 0.0 and high is None:
            said.append("any")
        elif low == 0.0:
            said.append(f"below {price_words(item, high, unit)}")
        elif high is None:
            said.append(f"from {price_words(item, low, unit)}")
        else:
            said.append(f"{price_words(item, low, unit)}-{price_words(item, high, unit)}")
    return ", ".join(said) or "-"
