"""The terms of one year: months closed to animals after a cut or for a burn, and what a drought does to the herd."""

import numpy as np

from simulator.enterprises.setting import Setting, Terms
from simulator.parameters.tables import Tables
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
    change, severity = terms.change_share, plan.agenda.strikes("drought", year)
    if severity is not None:
        sold = plan.agenda.destock.get(year, np.zeros(plan.candidates, bool))
        change = np.where(severity > 0, np.where(sold, 1.0, 0.0), change)
    return setting._replace(terms=terms._replace(change_share=change, closed_months=np.maximum(after_cut, rest)))


def months_open(terms: Terms, tables: Tables) -> FloatArray:
    """Share of each month in which the ground is open, (candidates, 12): closed from the start of the growth on."""
    grows = _growing(tables)
    shut = np.clip(terms.closed_months[:, None] - (np.cumsum(grows) - 1), 0.0, 1.0)
    return np.where(grows, 1.0 - shut, 1.0)


def tenants_open_share(terms: Terms, tables: Tables) -> FloatArray:
    """Share of a tenant's own season in which the ground is open [1], (candidates,).

    A season that the plan names counts by its length against the months in which grass grows.
    """
    shut = (terms.months * (1.0 - months_open(terms, tables))).sum(axis=1)
    stay = tables.practice.stocking.tenant_months * terms.months.sum(axis=1) / _growing(tables).sum()
    return np.asarray(np.clip(1.0 - shut / np.maximum(stay, 1e-9), 0.0, 1.0))


def _growing(tables: Tables) -> BoolArray:
    return np.asarray(np.array(tables.grass.season.monthly_share) > 0)


def book_drought(setting: Setting, year: int, before: FloatArray, after: FloatArray) -> None:
    """Book what breeding females sold in a drought bring less than at other times [head], (candidates,)."""
    severity, animals = setting.plan.agenda.strikes("drought", year), setting.tables.animals
    if severity is not None and animals is not None and animals.herd is not None:
        sold = np.maximum(before - after, 0.0) / setting.terms.acres
        setting.book.post(year, "drought_discount", sold, severity > 0)
