"""Rows on a field: from an outline to stakes. The only place for plane geometry and map projections."""

from simulator.ground.document import layout_document, magnetic_deg
from simulator.ground.elevation import read_heights
from simulator.ground.features import features_of, read_features
from simulator.ground.field import Field, field_of, read_field
from simulator.ground.layout import Layout, lay_out
from simulator.ground.options import Options

__all__ = [
    "Field",
    "Layout",
    "Options",
    "features_of",
    "field_of",
    "lay_out",
    "layout_document",
    "magnetic_deg",
    "read_features",
    "read_field",
    "read_heights",
]
