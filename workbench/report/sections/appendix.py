"""The plan's yearly table, every year."""

from workbench.report.blocks import Section, Table, section
from workbench.report.gather import Gathered
from workbench.reports import year_rows


def the_years(of: Gathered) -> Section:
    """Trees, light, grass, wood and cash of every year."""
    outcome = of.comparison.systems["silvopasture"]
    headings, rows = year_rows(outcome, range(len(outcome.cash_per_ac)))
    note = (
        "Stands as they were before the year's cut. dbh: diameter at breast height; BA: basal area, the area of all "
        "stems at breast height; good stems: share that could make sawtimber; AUM: animal-unit months grazed; stand: "
        f"green tons standing; pulp, c+saw (chip-and-saw), saw and pole: green tons sold. End value in the last year: "
        f"${outcome.end_value_per_ac:,.0f} an acre (trees, herd and fence, less the way back to pasture)."
    ).replace("$-", "-$")
    return section(
        "years",
        "Appendix: the plan in every year",
        Table(
            "years",
            "Yearly table, per acre of the whole field",
            tuple(heading.replace("\n", " ").strip() for heading in headings),
            tuple(tuple(row) for row in rows),
            note,
            wide=True,
        ),
    )
