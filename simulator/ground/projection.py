"""Where a field lies: the file's coordinate system, and a flat map in feet around the field's middle."""

from typing import Any, Final, NamedTuple

import numpy as np
import pyproj
import shapely

from simulator.csv_rows import shown
from simulator.errors import InputError, Problem
from simulator.ground.features import FieldFile
from simulator.units import FEET_PER_METRE, SQUARE_FEET_PER_ACRE, FloatArray

LON_LAT: Final = "OGC:CRS84"
SQUARE_METRES_PER_ACRE: Final = SQUARE_FEET_PER_ACRE / FEET_PER_METRE**2
NEAR_DEG: Final = 2.0
"""Latitudes this near to the plan's are its own: a field that fits only with its numbers swapped was written so."""
ELSEWHERE_DEG: Final = 20.0
"""Farther from the plan's latitude than this is another continent."""
HALF_WAY_ROUND_DEG: Final = 180.0
GLOBE: Final = pyproj.Geod(ellps="WGS84")


class Projection(NamedTuple):
    """A flat map in international feet, true north up, origin in the field's middle.

    Attributes
    ----------
    name
        The file's coordinate system in words.
    lon_deg, lat_deg
        The origin [degrees].
    from_file, from_lonlat
        To the map.
    """

    name: str
    lon_deg: float
    lat_deg: float
    from_file: pyproj.Transformer
    from_lonlat: pyproj.Transformer

    def flat(self, geometry: Any) -> Any:  # noqa: ANN401 - a shape of shapely
        """A shape of the file on the map [ft]."""
        return shapely.transform(geometry, lambda xy: np.column_stack(self.from_file.transform(xy[:, 0], xy[:, 1])))

    def lonlat(self, xy_ft: FloatArray) -> FloatArray:
        """Longitude and latitude [degrees] of points of the map [ft], (points, 2)."""
        points = np.atleast_2d(np.asarray(xy_ft, float))
        lon, lat = self.from_lonlat.transform(points[:, 0], points[:, 1], direction="INVERSE")
        return np.column_stack([lon, lat])


def project(source: FieldFile, stated: str | None, latitude_deg: float) -> Projection:
    """Find a file's coordinate system and lay a map around its fields.

    Parameters
    ----------
    source
        The file as read.
    stated
        The coordinate system a person names, or None: the file's own ``crs`` member, else longitude and latitude.
    latitude_deg
        The plan's latitude, by which swapped numbers are found [degrees].

    Returns
    -------
    Projection
        Azimuthal and equidistant on WGS 84: directions and distances from the middle are true, and areas of a field
        hold to better than one in ten thousand.

    Raises
    ------
    InputError
        Where the coordinate system is missing or unknown, latitude stands before longitude, or a place cannot be
        on the globe.
    """
    system = _system(stated or source.system or LON_LAT, source.file)
    xy = shapely.get_coordinates([feature.geometry for feature in source.features])
    if system.is_geographic:
        _check_degrees(source, xy, latitude_deg)
    elif not system.is_projected:
        _refuse(source.file, "crs", "is no system of the ground", "Name a projected one or longitude and latitude.")
    lonlat = np.column_stack(_transformer(system, pyproj.CRS(LON_LAT)).transform(xy[:, 0], xy[:, 1]))
    if not np.isfinite(lonlat).all():
        place = _text(xy[~np.isfinite(lonlat).all(axis=1)][0])
        _refuse(source.file, "coordinates", f"do not fit {system.name}", "Name another with --crs.", place)
    off = float(lonlat[np.abs(lonlat[:, 1] - latitude_deg).argmax(), 1])
    if abs(off - latitude_deg) > ELSEWHERE_DEG:
        rule = f"lie at latitude {off:.1f} in {system.name}, the plan at {latitude_deg:g} north"
        remedy = "Check --crs, and that east comes before north; or correct land.latitude_deg."
        _refuse(source.file, "coordinates", rule, remedy, _text(xy[0]))
    fields = [feature.geometry for feature in source.features if feature.use == "field"]
    middle = shapely.get_coordinates(shapely.envelope(shapely.geometrycollections(fields)).centroid)[0]
    lon, lat = (float(each) for each in _transformer(system, pyproj.CRS(LON_LAT)).transform(*middle))
    flat = pyproj.CRS(f"+proj=aeqd +lat_0={lat!r} +lon_0={lon!r} +datum=WGS84 +units=ft +type=crs")
    name = "longitude and latitude" if system.is_geographic else system.name
    return Projection(name, lon, lat, _transformer(system, flat), _transformer(pyproj.CRS(LON_LAT), flat))


def geodesic_acres(outline: Any, projection: Projection) -> float:  # noqa: ANN401 - a shape of shapely
    """Area of a shape of the map on the ellipsoid itself [ac].

    References
    ----------
    Karney, C.F.F. (2013), Journal of Geodesy 87:43, as pyproj's ``Geod`` computes it.
    """
    round_ = shapely.transform(outline, projection.lonlat)
    square_metres = sum(abs(GLOBE.geometry_area_perimeter(part)[0]) for part in shapely.get_parts(round_))
    return float(square_metres) / SQUARE_METRES_PER_ACRE


def _system(name: str, file: str) -> pyproj.CRS:
    try:
        return pyproj.CRS.from_user_input(name)
    except pyproj.exceptions.CRSError:
        remedy = "Name it by its EPSG number, such as --crs EPSG:26916."
        _refuse(file, "crs", "is a coordinate system that is not known", remedy, shown(name))
        raise  # unreachable: the line above raises


def _transformer(system: pyproj.CRS, to: pyproj.CRS) -> pyproj.Transformer:
    return pyproj.Transformer.from_crs(system, to, always_xy=True)


def _check_degrees(source: FieldFile, xy: FloatArray, latitude_deg: float) -> None:
    x, y = xy[:, 0], xy[:, 1]
    swapped = bool((np.abs(x) <= 90.0).all() and (np.abs(y) <= 180.0).all())
    fits = np.abs(y - latitude_deg).max() <= NEAR_DEG
    fits_swapped = swapped and np.abs(x - latitude_deg).max() <= NEAR_DEG
    if swapped and ((np.abs(y) > 90.0).any() or (fits_swapped and not fits)):
        rule = "stand with latitude first; GeoJSON has longitude first, then latitude"
        _refuse(source.file, "coordinates", rule, "Swap the two numbers of every point.", _text(xy[0]))
    other = float(y[np.abs(y - latitude_deg).argmax()])
    if swapped and abs(other - latitude_deg) > ELSEWHERE_DEG:
        rule = f"lie at latitude {other:.1f}, the plan at {latitude_deg:g} north"
        remedy = "GeoJSON has longitude first, then latitude: swap them, or correct land.latitude_deg."
        _refuse(source.file, "coordinates", rule, remedy, _text(xy[0]))
    if np.ptp(x) > HALF_WAY_ROUND_DEG and (np.abs(x) <= HALF_WAY_ROUND_DEG).all():
        rule = "reach over more than half the globe: the field lies across the 180th meridian, or a number is a slip"
        remedy = "Name a projected system with --crs there, or correct the longitude."
        _refuse(source.file, "coordinates", rule, remedy, f"{x.min():g} to {x.max():g}")
    far = (np.abs(x) > HALF_WAY_ROUND_DEG) | (np.abs(y) > 90.0)
    if far.any():
        rule = "are no longitude and latitude, and no coordinate system is named"
        remedy = "Say which with --crs, such as --crs EPSG:26916 for metres or EPSG:2238 for feet, or export in WGS 84."
        _refuse(source.file, "coordinates", rule, remedy, _text(xy[far][0]))


def _text(xy: FloatArray) -> str:
    return ", ".join(f"{value:.7g}" for value in xy)


def _refuse(file: str, field: str, rule: str, remedy: str, received: str = "") -> None:
    raise InputError([Problem(field, rule, received, remedy, file)])
