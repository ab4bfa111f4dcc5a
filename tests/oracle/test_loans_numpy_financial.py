"""Loan schedules a second way: numpy-financial's payment, interest and principal, and plain sums."""

import numpy as np
import numpy_financial as npf
import pytest

from plans import changed, example, fast
from simulator.enterprises.loans import loan_years
from simulator.scenario.owner import Loan

ROWS = 41


@pytest.mark.parametrize("rate", [0.0, 0.03, 0.085, 0.4])
@pytest.mark.parametrize(("years", "first"), [(1, 0), (7, 3), (30, 0)])
def test_level_payments_are_those_of_numpy_financial(rate: float, years: int, first: int) -> None:
    loan = Loan(amount_per_ac=200.0, rate=rate, years=years, first_year=first)
    found = loan_years(loan, 40.0, 0.0, ROWS)
    due = np.arange(first + 1, first + years + 1)
    assert found.drawn.nonzero()[0].tolist() == [first]
    assert found.drawn.sum() == 200.0
    paid = found.interest + found.principal
    assert paid[due] == pytest.approx(-npf.pmt(rate, years, 200.0), rel=1e-12)
    assert np.delete(paid, due) == pytest.approx(0.0, abs=1e-12)
    if rate > 0:
        per = np.arange(1, years + 1)
        assert found.interest[due] == pytest.approx(-npf.ipmt(rate, per, years, 200.0), rel=1e-9)
        assert found.principal[due] == pytest.approx(-npf.ppmt(rate, per, years, 200.0), rel=1e-9)
        owed = npf.fv(rate, per, -npf.pmt(rate, years, 200.0) * -1.0, 200.0) * -1.0
        assert found.owed[due] == pytest.approx(owed, abs=1e-8)


def test_interest_only_pays_the_whole_back_at_the_end() -> None:
    loan = Loan(amount=8000.0, rate=0.06, years=5, first_year=2, kind="interest only then principal")
    found = loan_years(loan, 40.0, 0.0, ROWS)
    assert found.interest[3:8] == pytest.approx([12.0] * 5)
    assert found.principal[3:8] == pytest.approx([0.0, 0.0, 0.0, 0.0, 200.0])
    assert found.owed[2:8] == pytest.approx([200.0] * 5 + [0.0])


@pytest.mark.parametrize("kind", ["level payments", "interest only then principal"])
@pytest.mark.parametrize("inflation", [0.0, 0.025])
def test_what_is_paid_is_worth_what_was_drawn(kind: str, inflation: float) -> None:
    """At the loan's own rate, inflation taken out, a loan is worth nothing to either side."""
    loan = Loan.model_validate({"amount_per_ac": 150.0, "rate": 0.07, "years": 12, "first_year": 1, "kind": kind})
    found = loan_years(loan, 40.0, inflation, ROWS)
    real = 1.07 / (1.0 + inflation) - 1.0
    assert npf.npv(real, found.drawn - found.interest - found.principal) == pytest.approx(0.0, abs=1e-9)


def test_a_loan_moves_the_cash_after_loans_and_no_measure() -> None:
    plain = fast(example())
    loan = Loan(amount_per_ac=200.0, rate=0.07, years=60, first_year=0)
    borrowed = fast(example().model_copy(update={"loan": (loan,)}))
    assert borrowed.measures == plain.measures
    assert borrowed.cash_per_ac == pytest.approx(plain.cash_per_ac)
    payment = -npf.pmt(0.07, 60, 200.0)
    assert borrowed.cash_after_loans_per_ac - plain.cash_per_ac == pytest.approx([200.0] + [-payment] * 40)
    ledger = borrowed.ledger()
    apart = ledger[ledger["account"] == "loan"]
    assert apart.groupby("year")["amount"].sum().to_numpy() == pytest.approx([200.0] + [-payment] * 40)
    assert ledger[ledger["account"] != "loan"]["amount"].sum() == pytest.approx(plain.ledger()["amount"].sum())


def test_a_loan_for_the_tract_is_spread_over_its_acres() -> None:
    whole = example().model_copy(update={"loan": (Loan(amount=4000.0, rate=0.05, years=3),)})
    assert fast(whole).cash_after_loans_per_ac[0] == pytest.approx(fast(example()).cash_per_ac[0] + 100.0)
    assert fast(changed(whole, "land", acres=80.0)).ledger().query("account == 'loan'")["quantity"].iloc[0] == 50.0
