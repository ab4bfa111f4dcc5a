"""Compound interest: single sums, series of payments, and inflation.

Conventions of the whole project: year index 0..T, end-of-year flows, year 0 undiscounted, real rates unless told,
a yearly series begins in year 1. Every function broadcasts; a rate is a share (0.05, not 5) above -1.
"""

import numpy as np

from simulator.units import FloatArray, Floats


def discount_factor(rate: Floats, years: Floats) -> FloatArray:
    """Return what one unit of money due after some years is worth today.

    Parameters
    ----------
    rate
        Discount rate [1/yr], above -1, any shape.
    years
        Years until it is due [yr], same shape or broadcasting; infinity gives 0 for a positive rate.

    Returns
    -------
    FloatArray
        (1 + rate) ** -years [1], broadcast shape.

    Raises
    ------
    ValueError
        Where a rate is -1 or less, or not a number.

    References
    ----------
    Straka & Bullard 2016, Basic Concepts in Forest Valuation and Investment Analysis, review problems 1-4.
    """
    growth = 1.0 + np.asarray(rate, dtype=np.float64)
    if not np.all(growth > 0.0):
        raise ValueError(f"a rate must be above -1, received {rate}")
    return np.asarray(growth ** -np.asarray(years, dtype=np.float64))


def growth_rate(present: Floats, future: Floats, years: Floats) -> FloatArray:
    """Return the yearly rate at which one value grows into another.

    Parameters
    ----------
    present, future
        Value now and at the end [$], both positive, any shape. For the forest-value growth of stand and land
        together, add the land value to both.
    years
        Years between them [yr], positive.

    Returns
    -------
    FloatArray
        Rate [1/yr], broadcast shape.

    References
    ----------
    Straka & Bullard 2016, review problem 4; land rent in financial maturity: Gaffney 1957, Agricultural
    Information Series 62, North Carolina State College (second-hand).
    """
    return np.asarray((np.asarray(future) / present) ** (1.0 / np.asarray(years)) - 1.0)


def years_to_grow(present: Floats, future: Floats, rate: Floats) -> FloatArray:
    """Return the years in which one value grows into another at a given rate.

    Parameters
    ----------
    present, future
        Value now and at the end [$], both positive, any shape.
    rate
        Growth rate [1/yr], above -1 and not 0.

    Returns
    -------
    FloatArray
        Years [yr], broadcast shape.

    References
    ----------
    Straka & Bullard 2016, review problem 3.
    """
    return np.asarray(np.log(np.asarray(future) / present) / np.log1p(rate))


def real_rate(nominal: Floats, inflation: Floats) -> FloatArray:
    """Return the rate above inflation that a nominal rate contains.

    Parameters
    ----------
    nominal
        Rate in current money [1/yr], any shape.
    inflation
        Yearly rise of the general price level [1/yr], above -1.

    Returns
    -------
    FloatArray
        Real rate [1/yr]: (1 + nominal) = (1 + real) (1 + inflation).

    References
    ----------
    Fisher 1930, The Theory of Interest (from memory).
    """
    return np.asarray((1.0 + np.asarray(nominal)) * discount_factor(inflation, 1.0) - 1.0)


def present_value_annuity(payment: Floats, rate: Floats, years: Floats, first_year: Floats = 1.0) -> FloatArray:
    """Return today's worth of equal payments at the end of consecutive years.

    Parameters
    ----------
    payment
        Payment of each year [$/yr], any shape.
    rate
        Discount rate [1/yr], above -1; 0 gives the plain sum.
    years
        Number of payments [1].
    first_year
        Year of the first payment [yr]; 1 unless told.

    Returns
    -------
    FloatArray
        Present value [$], broadcast shape.

    References
    ----------
    Common practice; the terminating annual series of every forest valuation text.
    """
    at_start = payment / capital_recovery(1.0, rate, years)
    return np.asarray(at_start * discount_factor(rate, np.asarray(first_year) - 1.0))


def present_value_growing_annuity(payment: Floats, rate: Floats, growth: Floats, years: Floats) -> FloatArray:
    """Return today's worth of yearly payments that grow at a steady rate from the first one, paid in year 1.

    Parameters
    ----------
    payment
        Payment of year 1 [$/yr], any shape.
    rate
        Discount rate [1/yr], above -1; may equal the growth.
    growth
        Growth of the payment [1/yr], above -1.
    years
        Number of payments [1].

    Returns
    -------
    FloatArray
        Present value [$], broadcast shape.

    References
    ----------
    Common practice: an annuity of payment/(1 + growth) at the rate net of growth.
    """
    return present_value_annuity(payment / (1.0 + np.asarray(growth)), real_rate(rate, growth), years)


def present_value_periodic(payment: Floats, rate: Floats, period: Floats, times: Floats) -> FloatArray:
    """Return today's worth of equal payments every few years, the first after one period.

    Parameters
    ----------
    payment
        Each payment [$], any shape.
    rate
        Discount rate [1/yr], positive.
    period
        Years from one payment to the next [yr], positive.
    times
        Number of payments [1]; infinity for payments without end.

    Returns
    -------
    FloatArray
        Present value [$], broadcast shape.

    References
    ----------
    Common practice; with endless payments, Faustmann's 1849 series (from memory).
    """
    growth = np.asarray(period) * np.log1p(rate)
    return np.asarray(payment * -np.expm1(-growth * times) / np.expm1(growth))


def present_value_perpetual_periodic(payment: Floats, rate: Floats, period: Floats = 1.0) -> FloatArray:
    """Return today's worth of equal payments every few years without end, the first after one period.

    Parameters
    ----------
    payment
        Each payment [$], any shape.
    rate
        Discount rate [1/yr], positive.
    period
        Years from one payment to the next [yr]; 1 is the plain perpetuity, payment / rate.

    Returns
    -------
    FloatArray
        Present value [$], broadcast shape.

    References
    ----------
    Faustmann 1849 (from memory).
    """
    return present_value_periodic(payment, rate, period, np.inf)


def capital_recovery(present: Floats, rate: Floats, years: Floats) -> FloatArray:
    """Return the equal yearly payment, years 1 to n, that is worth a given sum today.

    Parameters
    ----------
    present
        Sum today [$], any shape.
    rate
        Discount rate [1/yr], above -1; 0 gives present / years.
    years
        Number of payments [1], positive.

    Returns
    -------
    FloatArray
        Payment [$/yr], broadcast shape.

    References
    ----------
    Common practice.
    """
    # written with expm1: the plain form loses every digit where real_rate leaves a rate of 1e-17 for none
    rate, years = np.asarray(rate, dtype=np.float64), np.asarray(years, dtype=np.float64)
    none = rate == 0.0
    some = np.where(none, 1.0, rate)
    return np.asarray(present * np.where(none, 1.0 / years, some / -np.expm1(-years * np.log1p(some))))


def sinking_fund(future: Floats, rate: Floats, years: Floats) -> FloatArray:
    """Return the equal yearly deposit, years 1 to n, that grows into a given sum in year n.

    Parameters
    ----------
    future
        Sum wanted in year n [$], any shape.
    rate
        Interest rate [1/yr], above -1; 0 gives future / years.
    years
        Number of deposits [1], positive.

    Returns
    -------
    FloatArray
        Deposit [$/yr], broadcast shape.

    References
    ----------
    Common practice.
    """
    return capital_recovery(future * discount_factor(rate, years), rate, years)
