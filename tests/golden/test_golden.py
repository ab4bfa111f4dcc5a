"""The packaged example's whole ledger, line by line, as it was when somebody last meant it to change."""

import importlib.util
from pathlib import Path

import pandas as pd
import pytest

HERE = Path(__file__).parent
COMMAND = "python -P tests/golden/regenerate.py"
KEYS = ["scenario", "year", "account", "enterprise", "item", "unit"]


def ledger_as_the_command_would_write_it() -> pd.DataFrame:
    spec = importlib.util.spec_from_file_location("regenerate", HERE / "regenerate.py")
    assert spec is not None
    assert spec.loader is not None
    regenerate = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(regenerate)
    ledger: pd.DataFrame = regenerate.ledger_of_the_example()
    return ledger


def test_the_ledger_of_the_example_has_not_moved() -> None:
    golden, now = pd.read_csv(HERE / "north-field-ledger.csv"), ledger_as_the_command_would_write_it()
    message = f"the example's ledger has changed; if it was meant to, run: {COMMAND}"
    pd.testing.assert_frame_equal(golden[KEYS], now[KEYS], check_dtype=False, obj=message)
    for column in ("quantity", "price", "amount"):
        # six digits are written; other machines may round the last one otherwise
        assert now[column].to_numpy() == pytest.approx(golden[column].to_numpy(), rel=2e-5, abs=1e-6), message
