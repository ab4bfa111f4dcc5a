"""Charts as files: one PNG and one SVG of each, the same bytes for the same comparison."""

import warnings
from collections.abc import Callable, Mapping
from io import BytesIO
from pathlib import Path
from typing import Final

from matplotlib.figure import Figure

from optimize.whole_files import write_atomically
from simulator.comparison import Comparison
from workbench.charts.cross_section import cross_section_figure
from workbench.charts.income import income_figure
from workbench.charts.light import light_and_forage_figure
from workbench.charts.stand import stand_figure
from workbench.charts.style import house_style

FIGURES: Final[Mapping[str, Callable[[Comparison], Figure]]] = {
    "income": income_figure,
    "light_and_forage": light_and_forage_figure,
    "stand": stand_figure,
    "cross_section": cross_section_figure,
}
PNG_DOTS_PER_INCH: Final = 160
# without dates and versions the same chart is the same file
_METADATA: Final[Mapping[str, dict[str, str | None]]] = {
    "png": {"Software": None},
    "svg": {"Date": None, "Creator": None},
}


def image(figure: Figure, kind: str, dots_per_inch: float = PNG_DOTS_PER_INCH) -> bytes:
    """Content of a picture file.

    Parameters
    ----------
    figure
        A chart of this package.
    kind
        ``png`` or ``svg``; text stays text in SVG, so that it can be searched and read aloud.
    dots_per_inch
        Sharpness of a PNG [1/in].

    Returns
    -------
    bytes
        Without date and version, so that equal charts are equal files.
    """
    content = BytesIO()
    metadata = _METADATA[kind] | {"Title": figure.get_suptitle().replace("\n", " ")}
    with house_style(), warnings.catch_warnings():
        # a letter that the font lacks becomes a box; the words of the picture and the SVG still hold it
        warnings.filterwarnings("ignore", message="Glyph .* missing from font", category=UserWarning)
        figure.savefig(content, format=kind, dpi=dots_per_inch, metadata=metadata)
    return content.getvalue()


def write_figures(comparison: Comparison, folder: Path) -> list[Path]:
    """Draw every chart into a folder, each as PNG for people and as SVG for print and screen readers.

    Parameters
    ----------
    comparison
        Three systems on one piece of land.
    folder
        Exists; files of the same names are replaced.

    Returns
    -------
    list of Path
        Files written: income, light_and_forage, stand and cross_section, each .png and .svg.

    Raises
    ------
    InputError
        Where a file cannot be written.
    """
    return write_charts({name: draw(comparison) for name, draw in FIGURES.items()}, folder)


def write_charts(figures: Mapping[str, Figure | None], folder: Path) -> list[Path]:
    """Write figures into a folder, each as PNG and as SVG, by the names given; return the files written."""
    written = []
    for name, figure in figures.items():
        if figure is None:
            continue
        for kind in _METADATA:
            path = folder / f"{name}.{kind}"
            write_atomically(path, image(figure, kind))
            written.append(path)
    return written
