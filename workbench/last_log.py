"""What the last log is worth, in a sentence for each final harvest."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd


def last_log_sentences(values: "pd.DataFrame") -> Iterator[str]:
    """Say what each harvest brings cut at its best, and what the ledger books for it.

    Parameters
    ----------
    values
        From :func:`simulator.harvest_logs.harvest_values`.

    Yields
    ------
    str
        One sentence a harvest.
    """
    for year, best, ledger, difference in values.to_numpy().tolist():
        than_best = "less" if difference >= 0.0 else "more"
        yield (
            f"harvest of year {year:.0f}: cut into the pieces worth most, ${best:,.0f} an acre before the cost of "
            f"selling; the ledger keeps the fixed order, ${ledger:,.0f}, ${abs(difference):,.0f} {than_best}."
        )
