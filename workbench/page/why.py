"""What pays on this land and why, in two sentences."""

import numpy as np

from simulator.comparison import Comparison
from simulator.measures import annual_income
from simulator.result import Outcome
from workbench.sentences import findings, listed
from workbench.words import dollars, enterprise_words

LEAST = 1.0
"""Parts of an income smaller than this [$/ac/yr] are not worth a word."""


def answer_words(comparison: Comparison) -> tuple[str, list[str]]:
    """The answer, and the findings that go on from it.

    Parameters
    ----------
    comparison
        The plan beside the single uses of its land.

    Returns
    -------
    tuple
        What earns most and what its income is made of; then every other finding.
    """
    first, *others = findings(comparison)
    return f"{first} {_made_of(comparison)}".strip(), others


def _made_of(comparison: Comparison) -> str:
    """What brings the income of the best system, and what takes from it."""
    parts = income_by_enterprise(comparison.systems[comparison.ranking[0]])
    brings = [f"{_yearly(amount)} from {enterprise_words(key)}" for key, amount in parts.items() if amount >= LEAST]
    takes = [f"{_yearly(-amount)} for {enterprise_words(key)}" for key, amount in parts.items() if amount <= -LEAST]
    if not brings:
        return ""
    return f"That is {listed(brings)}{f', less {listed(takes)}' if takes else ''}."


def _yearly(amount: float) -> str:
    return dollars(amount, yearly=True)


def income_by_enterprise(outcome: Outcome) -> dict[str, float]:
    """Equal annual income of each enterprise by itself [$/ac/yr], largest first; together they are the whole."""
    keys = dict.fromkeys(line.enterprise for line in outcome.flows.lines)
    found = {
        key: annual_income(
            outcome.flows.kept(np.array([line.enterprise == key for line in outcome.flows.lines])),
            outcome.prices,
            outcome.rate,
        )
        for key in keys
    }
    return dict(sorted(found.items(), key=lambda item: -item[1]))
