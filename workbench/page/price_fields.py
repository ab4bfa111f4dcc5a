"""Fields for the prices that people change most: value, range and source are the price table's own."""

from collections.abc import Mapping
from typing import Any, Final

from simulator.errors import InputError
from simulator.parameters.prices import PriceTable, load_prices, price_table_names
from workbench.page.messages import Settings

DEAREST: Final = 5.0
"""Prices are taken up to so many times the table's, as in the search for switch prices."""


def price_fields(
    labels: Mapping[str, str], metric: Mapping[str, Mapping[str, Any]], settings: Settings
) -> list[dict[str, Any]]:
    """One field for each price named.

    Parameters
    ----------
    labels
        Label by path ``money.prices.ITEM``.
    metric
        Metric units by unit.
    settings
        Whose price table is shown: the one beside the file, or the packaged one.

    Returns
    -------
    list of dict
        Items that the table does not hold are left out.
    """
    table = _table(settings)
    paths = {path: path.rpartition(".")[2] for path in labels}
    return [_field(path, labels[path], item, table, metric) for path, item in paths.items() if item in table.items]


def _table(settings: Settings) -> PriceTable:
    try:
        return load_prices(settings.own_table or price_table_names()[0], settings.beside)
    except InputError:  # gone since the page started; the plan itself will say so
        return load_prices(price_table_names()[0])


def _field(
    path: str, label: str, item: str, table: PriceTable, metric: Mapping[str, Mapping[str, Any]]
) -> dict[str, Any]:
    entry, value = table.items[item], table.value(item)
    limits = [limit for limit in (entry.low, entry.high) if limit is not None]
    usual = f" Usual range {limits[0]:g} to {limits[1]:g}." if len(limits) == 2 else ""
    return {
        "path": path,
        "label": label,
        "unit": entry.unit,
        "metric": metric.get(entry.unit),
        "kind": "number",
        "min": 0.0,
        "max": round(DEAREST * max(value, *limits, 0.0), 2),
        "above": False,
        "below": False,
        "choices": None,
        "help": f"In place of the price table's.{usual}",
        "default": value,
        "needed": False,
        "source": f"{table.title}: {table.sources.get(entry.source, entry.source)}",
        "usual": limits if len(limits) == 2 else None,
    }
