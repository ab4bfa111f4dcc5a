"""The terms of one year: months closed after a cut, for a burn or by a spray, and what a drought does to the herd."""

import numpy as np

from simulator.enterprises.meadow import Forage
from simulator.enterprises.setting import Setting, Terms
from simulator.enterprises.sprays import waits_of_year
from simulator.plan import Plan
from simulator.state import Stand
from simulator.units import BoolArray, FloatArray


def burning(setting: Setting, stand: Stand) -> BoolArray:
    """Where a prescribed burn is due before the season of the stand's next year, (candidates,)."""
    return np.asarray(setting.plan.agenda.burn[np.arange(setting.plan.candidates), stand.age + 1])


def setting_of_year(setting: Setting, year: int, stand: Stand, since_cut: FloatArray) -> Setting:
    """The batch with this year's terms of grazing.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    stand
        At the start of the year.
    since_cut
        Years since the last cut; 0 in the year after it.

    Returns
    -------
    Setting
        A drought leaves an own herd as it is, fed on bought hay, or sells it down to the grass at once.
    """
    plan, terms, tables = setting.plan, setting.terms, setting.tables
    after_cut = np.where(since_cut == 0.0, tables.practice.ground.months_without_grazing_after_cut, 0.0)
    rest = np.where(burning(setting, stand), tables.events.burn.rest_months, 0.0)
    change, severity = terms.change_share, _drought(plan, year)
    if severity is not None:
        sold = plan.agenda.destock.get(year, np.zeros(plan.candidates, bool))
        change = np.where(severity > 0, np.where(sold, 1.0, 0.0), change)
    waits = waits_of_year(setting, stand.age + 1)
    closed = np.maximum(np.maximum(after_cut, rest), waits.grazing_months)
    terms = terms._replace(
        change_share=change,
        closed_months=closed,
        hay_wait_months=waits.hay_months,
        hay_wait_share=waits.hay_share,
    )
    return setting._replace(terms=terms)


def months_open(terms: Terms, monthly_lb_ac: FloatArray) -> FloatArray:
    """Share of each month in which the ground is open: closed from the start of the growth on.

    Parameters
    ----------
    terms
        How many months of the growing season the ground is closed.
    monthly_lb_ac
        Growth by month [lb/ac], (candidates, 12).

    Returns
    -------
    FloatArray
        Share [1], (candidates, 12).

    References
    ----------
    That rest falls at the start of the growth: assumed for this project.
    """
    grows = monthly_lb_ac > 0
    shut = np.clip(terms.closed_months[:, None] - (np.cumsum(grows, axis=1) - 1), 0.0, 1.0)
    return np.where(grows, 1.0 - shut, 1.0)


def tenants_open_share(setting: Setting, grass: Forage) -> FloatArray:
    """Share of a tenant's own season in which the ground is open.

    Parameters
    ----------
    setting
        The batch with this year's terms.
    grass
        Forage of the year.

    Returns
    -------
    FloatArray
        Share [1], (candidates,). The season is as long as that which the herd is sized to.

    References
    ----------
    Assumed for this project.
    """
    shut = (grass.stay.months * (1.0 - months_open(setting.terms, grass.monthly_lb_ac))).sum(axis=1)
    stay = setting.tables.practice.stocking.tenant_months_a_growing_month * grass.stay.months.sum(axis=1)
    return np.asarray(np.clip(1.0 - shut / np.maximum(stay, 1e-9), 0.0, 1.0))


def book_drought(setting: Setting, year: int, before: FloatArray, after: FloatArray) -> None:
    """Book what breeding females sold in a drought bring less than at other times [head], (candidates,)."""
    severity, animals = _drought(setting.plan, year), setting.tables.animals
    if severity is not None and animals is not None and animals.herd is not None:
        sold = np.maximum(before - after, 0.0) / setting.terms.acres
        setting.book.post(year, "drought_discount", sold, severity > 0)


def _drought(plan: Plan, year: int) -> FloatArray | None:
    """Severity of the drought of a year; none where losses are as expected: a little every year binds no herd."""
    return None if plan.agenda.chances.expected else plan.agenda.strikes("drought", year)
