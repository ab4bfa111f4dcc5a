"""A layout as JSON, which other programs may rely on: keys are added, never renamed."""

from typing import Any

import numpy as np

from simulator.ground.layout import Layout
from simulator.ground.rows import short_rows
from simulator.ground.sides import Corner


def layout_document(layout: Layout) -> dict[str, Any]:
    """Return a layout as JSON.

    Parameters
    ----------
    layout
        Rows on a field.

    Returns
    -------
    dict
        Acres add up: tree strip, alley, headland and unusable are the field, holes included.
    """
    rows, areas = layout.rows, layout.areas
    pattern = layout.trees.layout
    return {
        "field_ac": layout.field.acres,
        **areas._asdict(),
        "net_ac": areas.tree_strip_ac + areas.alley_ac,
        "rows": len(rows.trees),
        "row_length_ft": float(rows.length_ft.sum()),
        "trees": int(rows.trees.sum()),
        "trees_per_ac": float(rows.trees.sum()) / layout.field.acres,
        "sets": int(rows.set_number.max()) + 1,
        "mean_row_ft": float(rows.length_ft.mean()),
        "short_rows": short_rows(rows),
        "edge_row_share": layout.edge_row_share,
        "interior_row_share": 1.0 - layout.edge_row_share,
        "azimuth": _azimuth(layout),
        "pattern": pattern.model_dump(),
        "margins": layout.margins._asdict(),
        "first_row": _first_row(layout),
        "order": layout.order._asdict() | {"total": layout.order.total},
        "equipment": [each._asdict() for each in layout.passes],
        "fence": _fence(layout),
        "paddocks": _paddocks(layout),
        "slope": None if layout.slope is None else layout.slope._asdict(),
        "coordinates": layout.field.projection.name,
        "warnings": [{"code": code, "message": message} for code, message in layout.notes],
    }


def magnetic_deg(true_deg: float, declination_deg: float) -> float:
    """Compass bearing of a true direction.

    Parameters
    ----------
    true_deg
        Clockwise from true north [degrees].
    declination_deg
        Declination of the compass, east positive [degrees].

    Returns
    -------
    float
        True less declination, 0 to below 360 [degrees]: where the needle points east of north, a bearing reads that
        much
        less.

    References
    ----------
    Definition of the declination.
    """
    return (true_deg - declination_deg) % 360.0


def _azimuth(layout: Layout) -> dict[str, Any]:
    true, declination = layout.rows.azimuth_deg, layout.options.declination_deg
    choice = layout.choice
    return {
        "true_deg": true,
        "declination_deg": declination,
        "magnetic_deg": None if declination is None else magnetic_deg(true, declination),
        "reason": None if choice is None else choice.reason,
        "looked_at": None if choice is None else [each._asdict() for each in choice.looked_at],
    }


def _first_row(layout: Layout) -> dict[str, Any]:
    first = layout.first
    return {
        "corner": _corner(layout, first.corner),
        "across_ft": first.across_ft,
        "across_deg": first.across_deg,
        "along_ft": first.along_ft,
        "along_deg": first.along_deg,
    }


def _corner(layout: Layout, corner: Corner) -> dict[str, Any]:
    lon, lat = layout.field.projection.lonlat(corner.xy_ft)[0]
    return {"name": corner.name, "lon": round(float(lon), 7), "lat": round(float(lat), 7)}


def _fence(layout: Layout) -> dict[str, Any]:
    sides, paddocks = layout.sides, layout.paddocks
    return {
        "perimeter_ft": sum(side.length_ft for side in sides),
        "standing_ft": sum(side.fenced_ft for side in sides),
        "cross_fence_ft": float(sum(fence.length for fence in paddocks.fences)),
        "gates": paddocks.gates,
        "sides": [{key: value for key, value in side._asdict().items() if key != "middle_ft"} for side in sides],
    }


def _paddocks(layout: Layout) -> dict[str, Any]:
    paddocks = layout.paddocks
    water = layout.field.projection.lonlat(paddocks.water_ft).round(7)
    return {
        "lines": paddocks.lines,
        "count": len(paddocks.paddocks),
        "acres": [each.acres for each in paddocks.paddocks],
        "farthest_walk_ft": float(np.max([each.walk_ft for each in paddocks.paddocks])),
        "walk_ft": [each.walk_ft for each in paddocks.paddocks],
        "water_points": water.tolist(),
        "water_points_proposed": paddocks.proposed,
    }
