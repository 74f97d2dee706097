"""Which places on the ground does sunlight reach, and what ground a sight line meets: by rays."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.castshadow import shadow_reach_m
from backbearing.models.gridframe import cells_at, grid_frame, height_at
from backbearing.models.skyline import drop_per_m

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from backbearing.models.gridframe import GridFrame
    from backbearing.records import Floats, Grid

_FARTHER = 100.0  # beyond so many steps, the ground is read every distance / 100
_LOCAL_CELLS = 10.0  # over which a grid's cells are measured on the ground
_STEEPEST_DEG = 89.99


def ray_distances_m(step_m: float, reach_m: float) -> Floats:
    """Distances [m] along a ray from one step to its reach: even at first, then growing apart."""
    even = step_m * np.arange(1.0, _FARTHER)
    growing = max(0, math.ceil(math.log(max(reach_m / (step_m * _FARTHER), 1.0)) * _FARTHER))
    farther = step_m * _FARTHER * np.exp(np.arange(growing + 1) / _FARTHER)
    distance: Floats = np.concatenate((even, farther))
    return distance[distance <= reach_m]


def heights_along(
    grids: Sequence[Grid],
    latitude_deg: Floats,
    longitude_deg: Floats,
    azimuth_deg: float,
    distance_m: Floats,
) -> Floats:
    """The ground's height [m] along rays of one true azimuth from places that lie together.

    grids: finest first. latitude_deg, longitude_deg: (n,). distance_m: (m,). Returns (m, n), nan
    where no grid knows. The azimuth is met where the places' middle is, and taken as one.
    Raises BadInput where a projection is not known.
    """
    if not grids:
        return np.full((distance_m.size, latitude_deg.size), np.nan)
    return heights_from(ray_starts(grids, latitude_deg, longitude_deg), azimuth_deg, distance_m)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RayStart:
    """Where rays begin in a grid, and how its cells lie about their middle."""

    grid: Grid
    frame: GridFrame
    column: Floats
    row: Floats


def ray_starts(
    grids: Sequence[Grid], latitude_deg: Floats, longitude_deg: Floats
) -> tuple[RayStart, ...]:
    """Where rays from places (n,) that lie together begin in each grid, for many azimuths.

    Raises BadInput where a projection is not known.
    """
    middle = float(np.mean(latitude_deg)), float(np.mean(longitude_deg))
    found = []
    for grid in grids:
        frame = grid_frame(grid, *middle, reach_m=_LOCAL_CELLS * grid.cell_m)
        column, row = cells_at(grid, latitude_deg, longitude_deg)
        found.append(RayStart(grid=grid, frame=frame, column=column, row=row))
    return tuple(found)


def heights_from(starts: Sequence[RayStart], azimuth_deg: float, distance_m: Floats) -> Floats:
    """`heights_along` for rays whose beginnings are known, in one grid at least."""
    height: Floats = np.full((distance_m.size, starts[0].column.size), np.nan)
    for start in starts:
        cells = start.frame.along(np.array([azimuth_deg]))
        step = [each[0, 0] / start.frame.reach_m for each in cells]
        begun = start.column, start.row
        column, row = (s + distance_m[:, None] * t for s, t in zip(begun, step, strict=True))
        height = np.where(np.isnan(height), height_at(start.grid, column, row), height)
    return height


def places_in_sun(
    grids: Sequence[Grid],
    latitude_deg: Floats,
    longitude_deg: Floats,
    sun_azimuth_deg: float,
    sun_altitude_deg: float,
) -> NDArray[np.bool_]:
    """Which places on the ground (n,) does sunlight reach?

    grids: finest first, as far as ground can shade. sun_altitude_deg: apparent, of the part of
    the disc that counts. A place of which no grid knows the height is not in sun.
    Method: one ray from each towards the sun, from half a cell on, over the Earth's curve with
    the bending of light (k = 0.13); `castshadow.in_sun` does the same for whole areas.
    Raises BadInput where a projection is not known.
    """
    here = heights_along(grids, latitude_deg, longitude_deg, sun_azimuth_deg, np.zeros(1))[0]
    known = ~np.isnan(here)
    if not known.any() or sun_altitude_deg <= -_STEEPEST_DEG:
        return np.zeros(here.shape, dtype=np.bool_)
    highest = max(float(np.fmax.reduce(grid.height_m, axis=None)) for grid in grids)
    rise_m = max(0.0, highest - float(here[known].min()))
    distance = ray_distances_m(0.5 * grids[0].cell_m, shadow_reach_m(rise_m, sun_altitude_deg))
    slope = math.tan(math.radians(min(sun_altitude_deg, _STEEPEST_DEG)))
    ground = heights_along(grids, latitude_deg, longitude_deg, sun_azimuth_deg, distance)
    light = here + (distance * (slope + drop_per_m() * distance))[:, None]
    lit: NDArray[np.bool_] = ~(ground > light).any(axis=0) & known
    return lit


def first_met_m(ground_m: Floats, distance_m: Floats, eye_m: float, altitude_deg: Floats) -> Floats:
    """How far off does a sight line at each altitude meet the ground [m]? nan where it does not.

    ground_m: heights along one azimuth at distance_m (m,), nan where none is known. eye_m: above
    the sea. altitude_deg: (k,), apparent. Returns (k,). Over the curved Earth, k = 0.13.
    """
    rise = (ground_m - drop_per_m() * distance_m**2 - eye_m) / distance_m
    over = np.fmax.accumulate(np.where(np.isnan(rise), -np.inf, rise))
    index = np.searchsorted(over, np.tan(np.radians(altitude_deg)))
    met: Floats = np.append(distance_m, np.nan)[index]
    return met
