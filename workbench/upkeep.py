"""A field let go beside the same field kept up, in sentences."""

from collections.abc import Iterator

from simulator.comparison import Comparison
from workbench.words import dollars


def upkeep(comparison: Comparison) -> Iterator[str]:
    """Say what neglect does to the stand, the light, the grass and the money."""
    kept = comparison.systems.get("kept_up")
    if kept is None:
        return
    gone = comparison.systems["silvopasture"]
    last = len(gone.cash_per_ac) - 1
    year = min(gone.scenario.harvest.year if gone.scenario.harvest else last, last)
    pairs = {
        name: (gone.states[name][year], kept.states[name][year])
        for name in ("basal_area_ft2_ac", "light_warm", "forage_lb_ac")
    }
    (area, light, forage) = pairs.values()
    grown = [f"{round(float(pounds), -2):,.0f}" for pounds in forage]
    yield (
        f"Let go, the field holds {area[0]:.0f} ft2 of basal area an acre in year {year}, kept up {area[1]:.0f}; "
        f"{light[0]:.0%} of the light reaches the grass against {light[1]:.0%}, and {grown[0]} lb of forage grow "
        f"against {grown[1]}."
    )
    months = [float(outcome.states["animal_unit_months_ac"][: year + 1].sum()) for outcome in (gone, kept)]
    money = [outcome.measures.equal_annual_income for outcome in (gone, kept)]
    said = (
        f"Up to then it is grazed {months[0]:.0f} animal-unit months an acre against {months[1]:.0f}, and it makes "
        f"{dollars(money[0], yearly=True)} an acre a year against {dollars(money[1], yearly=True)}."
    )
    if money[0] > money[1]:
        said += (
            " That neglect earns more is wood left standing to the end at these prices; the beetles, ice and fire that "
            "a crowded, ungrazed stand invites are not counted unless the file lists them as events."
        )
    yield said
