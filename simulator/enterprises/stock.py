"""What is bought to be planted: bareroot by genetic grade, container seedlings, grafted orchard trees."""

import numpy as np

from simulator.enterprises.setting import Setting
from simulator.units import FloatArray


def book_stock(setting: Setting, year: int, trees: FloatArray) -> FloatArray:
    """Book the planting stock, and the planting of grafted trees.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    trees
        Trees planted [1/ac], (candidates,).

    Returns
    -------
    FloatArray
        Seedlings still to be planted by the usual crew [1/ac], (candidates,).
    """
    book, stock = setting.book, setting.tables.tree.species.stock
    grafted = trees * stock.grafted_share
    seedlings = trees - grafted
    plants = [scenario.trees for scenario in setting.plan.scenarios]
    grades = np.array([plant.genetics if plant else "unimproved" for plant in plants])
    for grade in dict.fromkeys(grades):
        key = "seedlings" if grade == "unimproved" else f"seedlings_{grade.replace(' ', '_')}"
        book.post(year, key, seedlings / 1000.0, grades == grade)
    book.post(year, "container_stock", trees * stock.container_share / 1000.0)
    book.post(year, "grafted_trees", grafted)
    book.post(year, "planting_grafted", grafted)
    return seedlings
