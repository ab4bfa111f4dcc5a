"""Charts of a comparison: money, light and forage, stand, and the slice of land to scale."""

from workbench.charts.cross_section import cross_section_figure
from workbench.charts.files import image, write_figures
from workbench.charts.income import income_figure
from workbench.charts.light import light_and_forage_figure
from workbench.charts.stand import stand_figure

__all__ = [
    "cross_section_figure",
    "image",
    "income_figure",
    "light_and_forage_figure",
    "stand_figure",
    "write_figures",
]
