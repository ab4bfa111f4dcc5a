"""A layout as files: lines and stakes for map programs and receivers, tables, the map and the planting card."""

import csv
import io
import json
from importlib import resources
from pathlib import Path
from typing import Any, Final
from xml.etree import ElementTree as ET

from simulator.ground.document import magnetic_deg
from simulator.ground.layout import Layout
from simulator.ground.outlines import lines_of, points_of
from simulator.units import FloatArray
from workbench.files import write_all
from workbench.ground_words import (
    CAUTIONS,
    acres,
    degrees,
    feet,
    first_row_words,
    needle_words,
    passes_words,
)
from workbench.output import json_text

GPX: Final = "http://www.topografix.com/GPX/1/1"
KML: Final = "http://www.opengis.net/kml/2.2"
DIGITS: Final = 7
"""Decimals of a degree: within half an inch."""
ROWS_ON_CARD: Final = 40


def write_layout(layout: Layout, document: dict[str, Any], folder: Path) -> list[Path]:
    """Write rows and stakes as GeoJSON, GPX, KML and CSV, the layout as JSON, the map, and the planting card.

    Parameters
    ----------
    layout
        Rows on a field.
    document
        Its JSON document.
    folder
        An existing folder; files of the same names are replaced.

    Returns
    -------
    list of Path
    """
    from workbench.charts.files import write_charts  # noqa: PLC0415 - matplotlib is slow to import
    from workbench.ground_map import map_figure  # noqa: PLC0415

    return write_all(folder, layout_texts(layout, document)) + write_charts({"map": map_figure(layout)}, folder)


def layout_texts(layout: Layout, document: dict[str, Any]) -> dict[str, str]:
    """Every file of a layout but its map, by name."""
    return {
        "layout.json": json_text(document),
        "rows.geojson": rows_geojson(layout),
        "rows.csv": rows_csv(layout),
        "order.csv": order_csv(layout),
        "stakes.gpx": stakes_gpx(layout),
        "rows.kml": rows_kml(layout),
        "card.html": card_html(layout),
    }


def _ends(layout: Layout) -> list[FloatArray]:
    """Start and end of every row as longitude and latitude, rounded."""
    lonlat = layout.field.projection.lonlat
    return [lonlat(line).round(DIGITS) for line in lines_of(layout.rows.lines_on_map)]


def _facts(layout: Layout) -> list[dict[str, Any]]:
    rows = layout.rows
    return [
        {"row": number + 1, "set": int(each) + 1, "length_ft": round(float(length), 1), "trees": int(trees)}
        for number, (each, length, trees) in enumerate(zip(rows.set_number, rows.length_ft, rows.trees, strict=True))
    ]


def stakes_of(layout: Layout) -> list[tuple[str, float, float, str]]:
    """Every point to find on the ground: name, longitude, latitude and what it is."""
    stakes = []
    for facts, (start, end) in zip(_facts(layout), _ends(layout), strict=True):
        name = f"row {facts['row']}"
        stakes.append((f"{name} start", float(start[0]), float(start[1]), f"first of {facts['trees']} trees"))
        stakes.append((f"{name} end", float(end[0]), float(end[1]), "end of the row"))
    lonlat = layout.field.projection.lonlat
    paddocks = layout.paddocks
    points = [("water", xy) for xy in paddocks.water_ft] + [("gate", xy) for xy in points_of(layout.field.gates)]
    for number, (what, xy) in enumerate(points, 1):
        lon, lat = lonlat(xy)[0].round(DIGITS)
        stakes.append((f"{what} {number}", float(lon), float(lat), what))
    return stakes


def _fences(layout: Layout) -> list[FloatArray]:
    lonlat = layout.field.projection.lonlat
    return [lonlat(line).round(DIGITS) for fence in layout.paddocks.fences for line in lines_of(fence)]


def rows_geojson(layout: Layout) -> str:
    """Rows, cross-fences and stakes as a FeatureCollection (RFC 7946)."""
    features = [
        _feature("LineString", ends.tolist(), {"use": "row", **facts})
        for facts, ends in zip(_facts(layout), _ends(layout), strict=True)
    ]
    features += [_feature("LineString", line.tolist(), {"use": "cross-fence"}) for line in _fences(layout)]
    features += [
        _feature("Point", [lon, lat], {"use": "stake", "name": name, "what": what})
        for name, lon, lat, what in stakes_of(layout)
    ]
    body = ",\n".join(json.dumps(feature) for feature in features)
    return f'{{"type": "FeatureCollection", "features": [\n{body}\n]}}\n'


def _feature(kind: str, coordinates: Any, properties: dict[str, Any]) -> dict[str, Any]:  # noqa: ANN401 - GeoJSON
    return {"type": "Feature", "properties": properties, "geometry": {"type": kind, "coordinates": coordinates}}


def rows_csv(layout: Layout) -> str:
    """One line a row: number, set, length, trees, where it starts and ends."""
    head = ["row", "set", "length_ft", "trees", "start_lon", "start_lat", "end_lon", "end_lat"]
    lines = [
        [*facts.values(), *(f"{value:.{DIGITS}f}" for value in ends.ravel())]
        for facts, ends in zip(_facts(layout), _ends(layout), strict=True)
    ]
    return _csv([head, *lines])


def order_csv(layout: Layout) -> str:
    """What to order and to build, one line an item."""
    order, paddocks = layout.order, layout.paddocks
    around = sum(side.length_ft - side.fenced_ft for side in layout.sides)
    cross = sum(fence.length for fence in paddocks.fences)
    return _csv(
        [
            ["item", "quantity", "unit"],
            ["seedlings this winter", order.first_order, "trees"],
            ["seedlings for gaps next winter", order.replant_order, "trees"],
            ["perimeter without a fence in the file", round(around), "ft"],
            ["cross-fence", round(cross), "ft"],
            ["gates", paddocks.gates, "1"],
            ["water points to build", paddocks.proposed, "1"],
        ]
    )


def _csv(lines: list[list[Any]]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(lines)
    return text.getvalue()


def stakes_gpx(layout: Layout) -> str:
    """Stakes as waypoints and rows as routes, GPX 1.1."""
    root = ET.Element("gpx", {"xmlns": GPX, "version": "1.1", "creator": "halfshade"})
    for name, lon, lat, what in stakes_of(layout):
        point = ET.SubElement(root, "wpt", _place(lat, lon))
        ET.SubElement(point, "name").text = name
        ET.SubElement(point, "desc").text = what
    for facts, ends in zip(_facts(layout), _ends(layout), strict=True):
        route = ET.SubElement(root, "rte")
        ET.SubElement(route, "name").text = f"row {facts['row']}"
        ET.SubElement(route, "desc").text = f"{facts['length_ft']} ft, {facts['trees']} trees"
        for lon, lat in ends:
            ET.SubElement(route, "rtept", _place(lat, lon))
    return _xml(root)


def _place(lat: float, lon: float) -> dict[str, str]:
    return {"lat": f"{lat:.{DIGITS}f}", "lon": f"{lon:.{DIGITS}f}"}


def rows_kml(layout: Layout) -> str:
    """Rows, cross-fences and stakes, KML 2.2."""
    root = ET.Element("kml", {"xmlns": KML})
    document = ET.SubElement(root, "Document")
    ET.SubElement(document, "name").text = layout.scenario.title or "Layout"
    for facts, ends in zip(_facts(layout), _ends(layout), strict=True):
        words = f"set {facts['set']}, {facts['length_ft']} ft, {facts['trees']} trees"
        _placemark(document, f"row {facts['row']}", words, ("LineString", ends.tolist()))
    for number, line in enumerate(_fences(layout), 1):
        _placemark(document, f"cross-fence {number}", "", ("LineString", line.tolist()))
    for name, lon, lat, what in stakes_of(layout):
        _placemark(document, name, what, ("Point", [[lon, lat]]))
    return _xml(root)


def _placemark(parent: ET.Element, name: str, words: str, shape: tuple[str, list[list[float]]]) -> None:
    mark = ET.SubElement(parent, "Placemark")
    ET.SubElement(mark, "name").text = name
    if words:
        ET.SubElement(mark, "description").text = words
    drawn = ET.SubElement(mark, shape[0])
    ET.SubElement(drawn, "coordinates").text = " ".join(f"{x:.{DIGITS}f},{y:.{DIGITS}f}" for x, y in shape[1])


def _xml(root: ET.Element) -> str:
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"


def card_html(layout: Layout) -> str:
    """The planting card: what a crew needs in the field, on one page or two."""
    import jinja2  # noqa: PLC0415 - only who writes a card pays for it

    text = resources.files("workbench.templates").joinpath("planting_card.html").read_text(encoding="utf-8")
    page = jinja2.Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(text)
    declination = layout.options.declination_deg
    true = layout.rows.azimuth_deg
    facts = _facts(layout)
    return page.render(
        title=layout.scenario.title or "Layout",
        acres=acres(layout.field.acres),
        bearing=degrees(true),
        magnetic=None if declination is None else degrees(magnetic_deg(true, declination)),
        needle=None if declination is None else needle_words(declination),
        pattern=layout.trees.layout,
        sets=int(layout.rows.set_number.max()) + 1,
        rows=len(facts),
        total=feet(float(layout.rows.length_ft.sum())),
        first=first_row_words(layout),
        margins=layout.margins,
        order=layout.order,
        species=layout.trees.species,
        stock=layout.trees.stock,
        machines=[passes_words(each) for each in layout.passes],
        facts=facts,
        shown=ROWS_ON_CARD,
        notes=[message for _, message in layout.notes],
        cautions=CAUTIONS,
    )
