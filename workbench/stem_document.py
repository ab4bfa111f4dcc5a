"""All that `halfshade stem` has to say of one tree, for people and for programs."""

from typing import Any, NamedTuple

from simulator.enterprises.bucked_stem import (
    BuckedStem,
    Measures,
    PoleMade,
    Prices,
    Tree,
    bucked_stem,
    measured,
    poles_made,
)
from simulator.enterprises.products import StemReport, stem_report
from simulator.enterprises.wood_quality import PrunedWood, juvenile_share, pruned_wood
from simulator.parameters.bucking import load_bucking
from simulator.parameters.wood import Wood
from workbench.bucking_tables import (
    bucking_document,
    measures_document,
    poles_document,
    print_bucking,
    print_measures,
    print_poles,
    print_quality,
)
from workbench.stem_options import StemWords, Then, read_defects, read_prices


class StemFacts(NamedTuple):
    """One tree: the sound stem, its poles and measures, and, where asked for, its bucking and the quality of its wood.

    Attributes
    ----------
    tree
        The tree and its defects.
    sound
        Sizes, pieces by the fixed order, board feet and longest pole of the sound stem.
    poles
        Every pole of the sound stem.
    measures
        Its tree-length pieces by the fixed order in every measure.
    prices, prices_from
        What pieces bring, and where that comes from.
    bucked
        The stem cut in every way, None unless asked for.
    clear, juvenile
        Clear wood of the pruned length, and share of juvenile core; None unless asked for.
    """

    tree: Tree
    sound: StemReport
    poles: list[PoleMade]
    measures: Measures
    prices: Prices
    prices_from: str
    bucked: BuckedStem | None
    clear: PrunedWood | None
    juvenile: float | None

    def document(self) -> dict[str, Any]:
        """One JSON document; keys of bucking and quality are there only where asked for."""
        sound = self.sound
        document: dict[str, Any] = sound._asdict()
        document["pieces"] = [piece._asdict() for piece in sound.pieces]
        document["board_feet"] = sound.board_feet._asdict()
        if sound.pole is not None:
            document["pole"] = {"length_ft": sound.pole.length_ft, "class": sound.pole.number}
        document["poles"] = poles_document(self.poles)
        document["measures"] = measures_document(self.measures)
        if self.bucked is not None:
            document |= bucking_document(self.bucked, self.tree, self.prices)
        if self.clear is not None:
            document["clear_wood"] = self.clear._asdict()
        if self.juvenile is not None:
            document["juvenile_core_share"] = self.juvenile
        return document

    def show(self) -> None:
        """Print what follows the tables of the sound stem."""
        top_in = self.tree.wood.specs.sawlogs.minimum_top_in
        print_measures(self.measures, self.sound.board_feet, top_in)
        print_poles(self.poles)
        if self.bucked is not None:
            print_bucking(self.bucked, self.tree, self.prices_from)
        print_quality(self.clear, self.juvenile)


def read_stem(size: tuple[float, float, Wood], words: StemWords, then: Then) -> StemFacts:
    """Measure a tree and, where asked for, buck it and look into its wood.

    Parameters
    ----------
    size
        Dbh [in], height [ft] and wood of the species.
    words
        What was typed about prices and defects.
    then
        What the tree was earlier.

    Returns
    -------
    StemFacts

    Raises
    ------
    InputError
        Where a price or a defect cannot be read.
    """
    dbh, height, wood = size
    prices, prices_from = read_prices(words.prices)
    tree = Tree(dbh, height, wood, read_defects(words.defects, height))
    rules = load_bucking(wood.specs)
    sound = bucked_stem(tree._replace(defects=()), prices)
    clear, juvenile = None, None
    if then.pruned_ft is not None and then.pruned_dbh_in is not None:
        clear = pruned_wood((dbh, height), then.pruned_ft, then.pruned_dbh_in, wood, rules.occlusion)
    if then.young_dbh_in is not None:
        juvenile = float(juvenile_share(dbh, height, then.young_dbh_in, wood))
    return StemFacts(
        tree,
        stem_report(dbh, height, wood),
        poles_made(tree, prices.poles),
        measured(sound.tree_length["priority"].pieces, rules),
        prices,
        prices_from,
        bucked_stem(tree, prices) if words.bucked else None,
        clear,
        juvenile,
    )
