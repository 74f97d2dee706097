"""The skyline of a spot: the highest angle of the ground in each true azimuth.

                             ╱╲        tan α = (h − h₀) / d − (1 − k) d / 2R
        α  .  ·  ˙  ˉ  ˉ   ╱    ╲
eye ● ˉ ˉ ˉ ˉ ˉ ˉ ˉ ˉ ˉ ˉ ˉ ˉ ˉ ˉ ˉ    h₀ the eye's height, h the ground's at distance d,
    │_______________ ╱                 k the bending of light, R the Earth's radius
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.arguments import within
from backbearing.models.gridframe import grid_frame, height_at
from backbearing.models.rays import Finer, cast
from backbearing.records import Skyline
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.models.gridframe import GridFrame
    from backbearing.records import Floats, Grid

EARTH_RADIUS_M = 6_371_000.0
REFRACTION_K = 0.13  # surveying's usual figure: common practice, no source
_WORDS = {"bare ground": phrase("bare ground"), "surface": phrase("tree-tops and roofs in it")}


def drop_per_m(refraction_k: float = REFRACTION_K) -> float:
    """How fast does the ground drop away [m per m²]: (1 − k) / 2R."""
    return (1.0 - refraction_k) / (2.0 * EARTH_RADIUS_M)


def ground_height_m(grids: Sequence[Grid], latitude_deg: float, longitude_deg: float) -> float:
    """How high is the ground at the very spot, on the finest grid that knows it (nan: none)?

    grids: finest first. Bilinear between the four cells around. Raises BadInput as `skyline`.
    """
    for grid in grids:
        frame = grid_frame(grid, latitude_deg, longitude_deg, reach_m=grid.cell_m)
        height = float(height_at(grid, np.array(frame.column), np.array(frame.row)))
        if not math.isnan(height):
            return height
    return math.nan


def lowest_ground_m(
    grids: Sequence[Grid], latitude_deg: float, longitude_deg: float, *, within_m: float
) -> float:
    """How high is the lowest ground within so many metres of a spot (nan where none is known)?

    For a spot known to be at the water, whose position is not so well known: the finest grid
    that knows any ground there, read on rings half a cell apart. Raises BadInput as `skyline`.
    """
    radius = float(within("within_m", within_m, 0.0, 10_000.0))
    for grid in grids:
        outermost = max(radius, grid.cell_m)  # of the frame; a cell at least
        frame = grid_frame(grid, latitude_deg, longitude_deg, reach_m=outermost)
        rings = np.linspace(0.0, radius, 2 + math.ceil(2 * radius / grid.cell_m)) / outermost
        columns, rows = (
            start + sum(term[:, None] * rings ** (i + 1) for i, term in enumerate(terms))
            for start, terms in zip(
                (frame.column, frame.row), frame.along(np.arange(0.0, 360.0, 5.0)), strict=True
            )
        )
        heights = height_at(grid, columns, rows)
        if not np.isnan(heights).all():
            return float(np.nanmin(heights))
    return math.nan


def skyline(
    grids: Sequence[Grid],
    latitude_deg: float,
    longitude_deg: float,
    *,
    height_m: float | None = None,
    eye_height_m: float = 1.5,
    step_deg: float = 0.5,
    reach_m: float = 50_000.0,
    refraction_k: float = REFRACTION_K,
) -> Skyline:
    """How high does the ground stand in each true azimuth, as seen from a spot?

    grids: finest first; a coarser one answers only where no finer one knows the ground.
    height_m: of the ground at the spot [m]; else bilinear from the finest grid that knows it.
    Returns altitudes without the air's refraction of the sun but with the bending of light
    over the ground (refraction_k), the distance of what blocks, how far the data go, and what
    is unknown before that. Beyond the data the ground is taken to be no higher than a sea's
    horizon, which no altitude goes below; distance is nan where that rules.
    Near 0.01° of a fine ray over the same cells in the middle, 0.1° at the 95th percentile;
    what the cells themselves are worth is in cell_m and vertical_error_m.
    Raises BadInput for arguments out of range, no grids, grids without a known projection or of
    fewer than 2 × 2 cells, and a spot whose ground no grid knows where height_m is not given.
    """
    latitude = float(within("latitude_deg", latitude_deg, -90.0, 90.0))
    longitude = float(within("longitude_deg", longitude_deg, -180.0, 180.0))
    within("step_deg", step_deg, 0.01, 90.0)
    within("reach_m", reach_m, 1.0, 500_000.0)
    within("refraction_k", refraction_k, -1.0, 1.0)
    within("eye_height_m", eye_height_m, 0.0, 1000.0)
    if not grids:
        raise BadInput("there is no terrain to work a skyline out from", where="terrain")
    for grid in grids:
        if grid.height_m.ndim != 2 or min(grid.height_m.shape) < 2:
            raise BadInput("a grid must have 2 × 2 cells at least", where=grid.name or "terrain")
    frames = [grid_frame(grid, latitude, longitude, reach_m=reach_m) for grid in grids]
    pairs = list(zip(grids, frames, strict=True))
    foot = _foot_m(pairs, latitude, longitude) if height_m is None else height_m
    eye = float(within("height_m", foot, -12_000.0, 100_000.0)) + eye_height_m

    drop = drop_per_m(refraction_k)
    azimuth = np.arange(0.0, 360.0, step_deg)
    sea = -2.0 * math.sqrt(max(eye, 0.0) * max(drop, 0.0))  # tangent of the dip of its horizon
    tangent = np.full(azimuth.shape, sea)
    distance = np.full(azimuth.shape, np.nan)
    cell, error = distance.copy(), distance.copy()
    reach, void, known_to = (np.zeros(azimuth.shape) for _ in range(3))
    for index, (grid, frame) in enumerate(pairs):
        sights = cast(
            grid,
            frame,
            azimuth,
            eye_height_m=eye,
            drop_per_m=drop,
            finer=Finer(grids=pairs[:index], known_to_m=known_to, reach_m=reach),
        )
        blocks = sights.tangent > tangent
        tangent[blocks] = sights.tangent[blocks]
        distance[blocks] = sights.distance_m[blocks]
        cell[blocks] = grid.cell_m
        error[blocks] = grid.vertical_error_m
        known_to, void = sights.known_to_m, sights.void_m
        reach = np.maximum(reach, sights.reach_m)
    return Skyline(
        azimuth_deg=azimuth,
        altitude_deg=np.degrees(np.arctan(tangent)),
        distance_m=distance,
        reach_m=reach,
        basis=_basis(grids, reach, void),
        eye_height_m=eye,
        cell_m=cell,
        vertical_error_m=error,
        void_m=void,
    )


def _foot_m(pairs: Sequence[tuple[Grid, GridFrame]], latitude: float, longitude: float) -> float:
    for grid, frame in pairs:
        height = float(height_at(grid, np.array(frame.column), np.array(frame.row)))
        if not math.isnan(height):
            return height
    raise BadInput(
        f"no terrain has a height for {latitude:.5f}, {longitude:.5f}: it lies outside, or in a "
        "void",
        where="terrain",
        remedy="add terrain that covers the spot",
    )


def _basis(grids: Sequence[Grid], reach: Floats, void: Floats) -> str:
    """What a skyline rests on, in a few words."""
    kinds = [
        say(
            "{cell_m:.0f} m cells ({words})",
            cell_m=grid.cell_m,
            words=say(_WORDS[grid.ground])
            if grid.ground in _WORDS
            else say("ground or tree-tops not known"),
        )
        for grid in grids
    ]
    words = say("terrain of ") + say(", then ").join(dict.fromkeys(kinds))
    low, high = reach.min() / 1000, reach.max() / 1000
    span = f"{low:.1f}" if high - low < 0.1 else say("{low:.1f} to {high:.1f}", low=low, high=high)
    words += say(", reaching {span} km", span=span)
    if (void > 0).any():
        words += say(", with ground unknown in {mean:.0%} of the azimuths", mean=np.mean(void > 0))
    return words
