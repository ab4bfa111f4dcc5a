"""Write the golden ledger of the packaged example anew: ``python -P tests/golden/regenerate.py``.

Run it only after a change that is meant to move results, and say in the changelog which way they moved.
"""

from pathlib import Path

import pandas as pd

from simulator.comparison import compare
from simulator.scenario.file import load_text
from workbench.examples import EXAMPLE_NAME, example_text

LEDGER = Path(__file__).with_name("north-field-ledger.csv")
DIGITS = "%.6g"


def ledger_of_the_example() -> pd.DataFrame:
    """Every line of the three systems of the example, on the exact light path."""
    systems = compare(load_text(example_text(), EXAMPLE_NAME)).systems
    return pd.concat([outcome.ledger(name) for name, outcome in systems.items()], ignore_index=True)


def main() -> None:
    ledger_of_the_example().to_csv(LEDGER, index=False, float_format=DIGITS, lineterminator="\n")


if __name__ == "__main__":
    main()
