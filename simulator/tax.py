"""Income tax on land and timber at rates that the owner states, as arithmetic; what the law of a year says is not here.

Years are the last axis, one tax year each, candidates before it. Money is real; amounts fixed in dollars of an
earlier year, such as a basis, grow lighter with inflation. An estimate, not tax advice: law changes, and whether an
owner counts as a hobbyist, an investor or a business decides what he may deduct.
"""

from typing import Final

import numpy as np

from simulator.interest import real_rate
from simulator.units import FloatArray, Floats

HALF_YEAR: Final = 0.5
"""The months of amortisation begin in the middle of the year of the cost, wherever in it the cost fell."""


def depletion_unit(basis: Floats, volume: Floats) -> FloatArray:
    """Return the basis that each unit of timber sold recovers.

    Parameters
    ----------
    basis
        What was paid for the timber, or its value when it was inherited, as far as it is not recovered [$].
    volume
        Timber in the same account [ton], positive, any shape.

    Returns
    -------
    FloatArray
        Depletion unit [$/ton].

    References
    ----------
    Agriculture Handbook 731, Greene, Siegel, Hoover & Koontz 2013 (second-hand, from lecture notes on timber sales).
    """
    return np.asarray(basis / np.asarray(volume, dtype=np.float64))


def basis_recovered(basis: float, volume: float, sold: FloatArray, closing: int, inflation: float = 0.0) -> FloatArray:
    """Return the basis used against the sales of each year: a thinning its share, the clearcut all that is left.

    Parameters
    ----------
    basis
        Basis of the timber in year 0 [$], 0 or more.
    volume
        Timber to which it belongs [ton], positive. Growth is not added to it, so that early sales recover their share
        at the unit of year 0: a simplification.
    sold
        Timber sold by year [ton], shape (..., years).
    closing
        Year of the clearcut, in which all that is left is recovered [yr].
    inflation
        Yearly rise of prices, which a basis does not share [1/yr].

    Returns
    -------
    FloatArray
        Basis used [$, real], shape (..., years); never more than there is.

    References
    ----------
    As for :func:`depletion_unit`.
    """
    used = np.minimum(np.cumsum(depletion_unit(basis, volume) * sold, axis=-1), basis)
    used[..., closing:] = basis
    by_year = np.diff(used, prepend=0.0)
    return np.asarray(by_year * (1.0 + inflation) ** -np.arange(sold.shape[-1], dtype=np.float64))


def gain_on_sale(proceeds: Floats, selling_expense: Floats, basis: Floats) -> FloatArray:
    """Return what of a sale is taxed.

    Parameters
    ----------
    proceeds
        Price received [$], any shape.
    selling_expense
        Cruise, marking, consultant's fee, commission [$].
    basis
        Basis used [$].

    Returns
    -------
    FloatArray
        Gain [$]; below 0 a loss.

    References
    ----------
    As for :func:`depletion_unit`.
    """
    return np.asarray(proceeds - np.asarray(selling_expense) - basis)


def reforestation_deductions(cost: FloatArray, cap: float, years: int, inflation: float = 0.0) -> FloatArray:
    """Return what of planting is deducted year by year: up to a cap at once, the rest in equal monthly parts.

    Parameters
    ----------
    cost
        Cost of planting by year [$], shape (..., rows).
    cap
        Most that is deducted at once in a year [$], 0 or more.
    years
        Years over which the rest is amortised [yr], at least 1; 7 for 84 months.
    inflation
        Yearly rise of prices, which the parts do not share [1/yr].

    Returns
    -------
    FloatArray
        Deductions [$, real], shape (..., rows + years): half a part in the year of the cost, half a part at the end,
        as long as they may run on after the last cost.

    References
    ----------
    84 months: read in a state's table of tax expenditures on section 194; cap and half-year start from memory.
    """
    at_once = np.minimum(cost, cap)
    part = np.full(years + 1, 1.0 / years)
    part[[0, -1]] = HALF_YEAR / years
    deducted = spread_out(cost - at_once, part, inflation)
    deducted[..., : cost.shape[-1]] += at_once
    return deducted


def straight_line(cost: FloatArray, years: int, inflation: float = 0.0) -> FloatArray:
    """Return the yearly deductions for what wears out: equal parts in the years after it was bought.

    Parameters
    ----------
    cost
        Cost by year [$], shape (..., rows).
    years
        Years that it lasts [yr], at least 1.
    inflation
        Yearly rise of prices, which the parts do not share [1/yr].

    Returns
    -------
    FloatArray
        Deductions [$, real], shape (..., rows + years).

    References
    ----------
    Common practice; faster methods of the law are left out.
    """
    return spread_out(cost, np.append(0.0, np.full(years, 1.0 / years)), inflation)


def spread_out(cost: FloatArray, part: FloatArray, inflation: float = 0.0) -> FloatArray:
    """Return costs deducted in parts over the years that follow.

    Parameters
    ----------
    cost
        Cost by year [$], shape (..., rows).
    part
        Share deducted in the year of the cost and each one after it [1], (n,).
    inflation
        Yearly rise of prices, which the parts do not share [1/yr].

    Returns
    -------
    FloatArray
        Deductions [$, real], shape (..., rows + n - 1).
    """
    rows = cost.shape[-1]
    deducted = np.zeros((*cost.shape[:-1], rows + len(part) - 1))
    for later, share in enumerate(part):
        deducted[..., later : later + rows] += cost * share * (1.0 + inflation) ** -later
    return deducted


def herd_basis_used(bought: FloatArray, paid: FloatArray, sold: FloatArray, inflation: float = 0.0) -> FloatArray:
    """Return the basis of animals sold: the mean price paid for those on hand, each year's purchases before its sales.

    Parameters
    ----------
    bought, sold
        Animals bought and sold by year [head], shape (..., years).
    paid
        What was paid for those bought [$], shape (..., years).
    inflation
        Yearly rise of prices, which a basis does not share [1/yr].

    Returns
    -------
    FloatArray
        Basis used [$, real], shape (..., years). Animals raised or owned before have none; they are sold last.

    References
    ----------
    Mean cost of those on hand: assumed for this project; ask an adviser how yours is kept.
    """
    used = np.zeros_like(paid)
    head, basis = np.zeros(paid.shape[:-1]), np.zeros(paid.shape[:-1])
    for year in range(paid.shape[-1]):
        head = head + bought[..., year]
        basis = basis / (1.0 + inflation) * (year > 0) + paid[..., year]
        share = np.divide(np.minimum(sold[..., year], head), head, out=np.zeros_like(head), where=head > 0)
        used[..., year] = share * basis
        head, basis = head * (1.0 - share), basis * (1.0 - share)
    return used


def after_tax_rate(rate: Floats, tax_rate: Floats, inflation: Floats = 0.0) -> FloatArray:
    """Return the real rate that is left of a real rate when its interest, inflation in it too, is taxed.

    Parameters
    ----------
    rate
        Real rate before tax [1/yr], above -1.
    tax_rate
        Share of interest that goes in tax [1].
    inflation
        Yearly rise of prices [1/yr]; interest is taxed in money of the day.

    Returns
    -------
    FloatArray
        Real rate after tax [1/yr]: i (1 - t) of the nominal rate, inflation taken out again.

    References
    ----------
    Common practice of investment analysis after tax; Fisher 1930 for inflation (from memory).
    """
    nominal = (1.0 + np.asarray(rate)) * (1.0 + np.asarray(inflation)) - 1.0
    return real_rate(nominal * (1.0 - np.asarray(tax_rate)), inflation)
