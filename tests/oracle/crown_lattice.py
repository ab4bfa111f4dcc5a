"""Light traced crown by crown: every ellipsoid and stem of the stand, ray by ray, point by point.

Shares nothing with the model but its input: chords come from the quadratic of a line and an ellipsoid, rows
stand in step, missing trees count by their probability, stems are upright cylinders.
"""

import numpy as np

from simulator.physics.light import Cell, LightCoefficients, RowCrowns, Sky
from simulator.units import BoolArray, FloatArray

PLACES = 16


def lattice_profile(
    rows: RowCrowns,
    cell: Cell,
    points_ft: FloatArray,
    sky: Sky,
    row_azimuth_deg: float,
    coefficients: LightCoefficients,
) -> FloatArray:
    """Transmitted share (points,) of one stand, averaged over places along the row."""
    along_ft = (np.arange(PLACES) + 0.5) / PLACES * float(cell.in_row_ft)
    ground = np.stack(np.meshgrid(points_ft, along_ft, indexing="ij"), axis=-1)
    turn = np.radians(row_azimuth_deg)
    light = np.zeros(len(points_ft))
    for east, north, up, weight in zip(*sky, strict=True):
        ray = np.array([east * np.cos(turn) - north * np.sin(turn), east * np.sin(turn) + north * np.cos(turn), up])
        share = np.ones(ground.shape[:2])
        for number in range(len(rows.offset_ft)):
            share *= _through_row(RowCrowns(*(float(f[number]) for f in rows)), cell, ground, ray, coefficients)
        light += weight * share.mean(axis=1)
    return light


def _through_row(
    tree: RowCrowns, cell: Cell, ground: FloatArray, ray: FloatArray, coefficients: LightCoefficients
) -> FloatArray:
    share = np.ones(ground.shape[:2])
    slope = ray[:2] / ray[2]
    radii = np.array([tree.half_width_across_ft, tree.half_width_along_ft, tree.half_length_ft])
    extinction = coefficients.projection * min(
        tree.leaf_area_ft2 / (4.0 / 3.0 * np.pi * radii.prod()), coefficients.leaf_area_density_cap_per_ft
    )
    pitch = np.array([float(cell.width_ft), float(cell.in_row_ft)])
    top = tree.center_height_ft + radii[2]
    corners = ground.reshape(-1, 2) - [tree.offset_ft, 0.0]
    low = np.minimum(corners.min(axis=0), (corners + top * slope).min(axis=0)) - radii[:2]
    high = np.maximum(corners.max(axis=0), (corners + top * slope).max(axis=0)) + radii[:2]
    first, last = np.ceil(low / pitch).astype(int), np.floor(high / pitch).astype(int)
    middle_shadow = np.linalg.norm(radii[:2]) + radii[2] * np.linalg.norm(slope)
    for row in range(first[0], last[0] + 1):
        for spot in range(first[1], last[1] + 1):
            stem = np.array([tree.offset_ft, 0.0]) + pitch * [row, spot]
            gone = _chord(ground, ray, np.append(stem, tree.center_height_ft), radii, middle_shadow)
            seen = np.exp(-extinction * gone)
            if tree.dbh_in > 0.0:
                seen *= ~_behind_stem(ground, slope, stem, tree)
            share *= 1.0 - tree.keep_share + tree.keep_share * seen
    return share


def _chord(ground: FloatArray, ray: FloatArray, center: FloatArray, radii: FloatArray, reach: float) -> FloatArray:
    """Length of each ray inside one ellipsoid."""
    start = np.concatenate([ground, np.zeros((*ground.shape[:2], 1))], axis=-1) - center
    near = np.linalg.norm(start[..., :2] + center[2] * ray[:2] / ray[2], axis=-1).min()
    size = np.linalg.norm(np.ptp(ground.reshape(-1, 2), axis=0))
    if near > reach + size:
        return np.zeros(ground.shape[:2])
    direction, origin = ray / radii, start / radii
    square = direction @ direction
    cross = origin @ direction
    rest = (origin**2).sum(axis=-1) - 1.0
    return 2.0 * np.sqrt(np.maximum(cross**2 - square * rest, 0.0)) / square


def _behind_stem(ground: FloatArray, slope: FloatArray, stem: FloatArray, tree: RowCrowns) -> BoolArray:
    """Whether each ray meets the stem, a cylinder, below the crowns."""
    run = np.linalg.norm(slope)
    if run == 0.0:
        return np.zeros(ground.shape[:2], dtype=bool)
    away = stem - ground
    forward = away @ slope / run
    aside = np.abs(away[..., 0] * slope[1] - away[..., 1] * slope[0]) / run
    return (aside < tree.dbh_in / 24.0) & (forward > 0.0) & (forward < tree.crown_base_ft * run)
