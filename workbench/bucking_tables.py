"""What `halfshade stem` shows of a bucked stem: tables for people and keys for programs."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from workbench.output import print_table, print_text

if TYPE_CHECKING:
    from simulator.enterprises.bucked_stem import BuckedPiece, BuckedStem, Cutting, Measures, PoleMade, Prices, Tree
    from simulator.enterprises.bucking import Way
    from simulator.enterprises.sawlogs import BoardFeet
    from simulator.enterprises.wood_quality import PrunedWood

WAYS = {"priority": "by the fixed order", "best": "worth most"}
METHODS = {"tree_length": "Tree-length", "cut_to_length": "Logs cut to length"}
CAUTION = (
    "What a defect bars is a rule of thumb; the buyer's scaler decides. Prices are yours or invented: ask buyers.\n"
    "Felling and bucking kill: leave them to trained crews with the gear that law and good practice ask for."
)
RULES = {
    "doyle": "Doyle",
    "scribner": "Scribner, formula",
    "scribner_decimal_c": "Scribner Decimal C, from memory",
    "international_quarter_inch": "International 1/4-inch",
}


def bucking_document(stem: "BuckedStem", tree: "Tree", prices: "Prices") -> dict[str, Any]:
    """JSON keys of a bucked stem.

    Parameters
    ----------
    stem
        The stem cut in every way.
    tree
        The tree and its defects.
    prices
        What pieces bring.

    Returns
    -------
    dict
        ``defects``, ``prices_per_ton`` and ``bucking``.
    """
    pole = stem.with_pole
    return {
        "defects": [defect._asdict() for defect in tree.defects],
        "prices_per_ton": {
            "tree_length": dict(prices.tree_length),
            "cut_to_length": dict(prices.cut_to_length),
            "pole": prices.poles.per_ton,
        },
        "bucking": {
            **{
                method: {way: _cutting(cutting) for way, cutting in getattr(stem, method).items()} for method in METHODS
            },
            "with_pole": None
            if pole is None
            else {"pole": {"length_ft": pole[0].length_ft, "class": pole[0].number}, **_cutting(pole[1])},
        },
    }


def _cutting(cutting: "Cutting") -> dict[str, Any]:
    pieces = [piece._asdict() | {"board_feet": piece.board_feet._asdict()} for piece in cutting.pieces]
    return {"value": cutting.value, "pieces": pieces}


def poles_document(poles: "Sequence[PoleMade]") -> list[dict[str, Any]]:
    """JSON list of the poles that a sound stem makes."""
    return [
        {"length_ft": made.pole.length_ft, "class": made.pole.number, "green_ton": made.green_ton, "value": made.value}
        for made in poles
    ]


def measures_document(measures: "Measures") -> dict[str, Any]:
    """JSON object of the same pieces in every measure."""
    return measures._asdict() | {"board_feet": measures.board_feet._asdict()}


def print_bucking(stem: "BuckedStem", tree: "Tree", prices_from: str) -> None:
    """Print every way of cutting the stem, then what each brings.

    Parameters
    ----------
    stem
        The stem cut in every way.
    tree
        The tree and its defects.
    prices_from
        Where the prices come from.
    """
    wrong = ", ".join(f"{defect.kind.replace('_', ' ')} at {defect.at_ft:g} ft" for defect in tree.defects)
    print_text(f"Bucking, {f'with {wrong}' if wrong else 'sound stem'}. Prices: {prices_from}.\n\n")
    ways = [way for method in METHODS for way in _ways(METHODS[method], getattr(stem, method))]
    if stem.with_pole is not None:
        pole, cutting = stem.with_pole
        ways.append((f"Pole of {pole.length_ft:.0f} ft, class {pole.number}, and tree-length above", cutting))
    for title, cutting in ways:
        _print_cutting(title, cutting.pieces)
    rows = [(title, f"{cutting.value:.2f}") for title, cutting in ways]
    print_table("What the stem brings, less the cost of cuts", ["way of cutting", "$"], rows)
    print_text(f"{CAUTION}\n\n")


def _ways(method: str, cuttings: "dict[Way, Cutting]") -> "Iterator[tuple[str, Cutting]]":
    """Title and pieces of each way of cutting; one where the fixed order is already the best."""
    order, best = cuttings["priority"], cuttings["best"]
    if order.pieces == best.pieces:
        yield f"{method}, {WAYS['priority']}, which is {WAYS['best']}", best
    else:
        yield f"{method}, {WAYS['priority']}", order
        yield f"{method}, {WAYS['best']}", best


def _print_cutting(title: str, pieces: "Sequence[BuckedPiece]") -> None:
    rows = [
        (
            piece.product.replace("_", "-"),
            f"{piece.from_ft:.1f}",
            f"{piece.to_ft:.1f}",
            f"{piece.length_ft:.1f}",
            f"{piece.small_end_in:.1f}",
            f"{piece.green_ton:.3f}",
            *(f"{feet:.0f}" if feet > 0.0 else "-" for feet in piece.board_feet),
            f"{piece.value:.2f}",
        )
        for piece in pieces
    ]
    columns = ["product", "from\nft", "to\nft", "net\nft", "top dib\nin", "green\ntons"]
    columns += ["Doyle\nbd ft", "Scribner\nbd ft", "Decimal C\nbd ft", "Int. 1/4\nbd ft", "\n$"]
    print_table(title, columns, rows or [("nothing to sell", *["-"] * (len(columns) - 1))])


def print_poles(poles: "Sequence[PoleMade]") -> None:
    """Print the poles that a sound stem makes, one line a length."""
    if not poles:
        return
    lengths = dict.fromkeys(made.pole.length_ft for made in poles)
    rows = []
    for length in lengths:
        classes = [made for made in poles if made.pole.length_ft == length]
        best = max(classes, key=lambda made: made.value)
        numbers = ", ".join(str(made.pole.number) for made in classes)
        rows.append(
            (f"{length:.0f}", numbers, f"{classes[0].green_ton:.3f}", str(best.pole.number), f"{best.value:.2f}")
        )
    columns = ["length, ft", "classes", "green tons", "sold as class", "$"]
    print_table("Poles that the sound stem makes", columns, rows)
    print_text("\n")


def print_measures(measures: "Measures", whole: "BoardFeet", top_in: float) -> None:
    """Print board feet of the whole stem and of the sound tree-length pieces side by side, by log rule.

    Parameters
    ----------
    measures
        The sound tree-length pieces in every measure.
    whole
        Board feet of the stem to its saw-log top.
    top_in
        That top inside bark [in].
    """
    stem = whole._asdict()
    rows = [
        (
            RULES[rule],
            f"{float(stem[rule]):.0f}" if rule in stem else "-",
            f"{feet:.0f}",
            "-" if heavy is None else f"{heavy:.1f}",
        )
        for (rule, heavy), feet in zip(measures.tons_per_mbf.items(), measures.board_feet, strict=True)
    ]
    note = (
        f"The pieces weigh {measures.green_ton:.3f} green tons, as much as {measures.cords:.2f} cords of pulpwood.\n"
        "Pieces are scaled as 16-ft logs and what is left of 8 ft or more; a piece too short for two logs whole. "
        "Buyers pay\nfor the pieces; the whole stem is what a volume table shows.\n"
    )
    title = "Board feet of the sound stem by log rule"
    columns = ["rule", f"whole stem to\na {top_in:g}-in top", "sawtimber and chip-\nand-saw as cut"]
    print_table(title, [*columns, "tons of these pieces\nper 1,000 board feet"], rows, note=note)


def print_quality(clear: "PrunedWood | None", juvenile: float | None) -> None:
    """Print clear wood and juvenile core, where they were asked for."""
    if clear is not None:
        print_text(
            f"Clear wood of the pruned length: {clear.shell_in:.1f} in on the radius, {clear.volume_ft3:.2f} ft3, "
            f"{clear.share:.0%} of its wood.\n"
        )
    if juvenile is not None:
        print_text(f"Juvenile core at breast height: {juvenile:.0%} of the cross-section.\n")
