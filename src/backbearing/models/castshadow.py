"""Which ground is in sun: the shadow that the ground throws, over an area at one instant.

      ☼                          A row at a time, walking away from the sun, the height that
        ` .  S                   sunlight has sunk to is carried along:
    ╱╲    ` .                        S = max(ground, S) of the row before, less the ray's fall
   ╱  ╲       ` .  ______        Ground under S is in shade.
 _╱    ╲__________╱

The ray crosses the row before between two cells, so S is carried twice a cell and shifted by
interpolation. The ground is bent down with the Earth about the area's middle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.arguments import within
from backbearing.models.gridframe import (
    cells_at,
    centre_deg,
    grid_frame,
    height_at,
    places_at,
)
from backbearing.models.skyline import drop_per_m

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from numpy.typing import NDArray

    from backbearing.records import Floats, Grid

    Singles = NDArray[np.float32]
    Flags = NDArray[np.bool_]
    _Side = tuple[bool, tuple[bool, bool]]  # of the grid, where sunlight enters
    _Border = list[tuple[Floats, Floats]]  # its columns and rows in each grid around

_NO_GROUND_M = np.float32(-1e6)  # not -inf, which interpolation would turn into nan
_WIDER = 2  # places a cell at which S is carried
_ROWS_AT_ONCE = 16  # for what needs no order; they stay in the cache
_OWN_SLOPE_CELLS = 0.1  # how near a cell's own slope can shade it
_LOCAL_CELLS = 10.0  # about the grid's middle, over which its cells are measured on the ground
_STEEPEST_DEG = 89.99
_FARTHER = 200.0  # beyond so many cells, outside ground is read every distance / 200
_AT_ONCE = 32  # distances


def shadow_reach_m(rise_m: float, sun_altitude_deg: float) -> float:
    """How far away can ground so much higher still shade a place [m]?

    The distance in which a ray at this apparent altitude climbs rise_m over the curved Earth.
    """
    slope = math.tan(math.radians(min(sun_altitude_deg, _STEEPEST_DEG)))
    drop = drop_per_m()
    root = math.sqrt(slope * slope + 4.0 * drop * max(rise_m, 0.0))
    # the form of the root that loses no digits, whichever sign the slope has
    if slope > 0.0:
        return 2.0 * max(rise_m, 0.0) / (root + slope)
    return (root - slope) / (2.0 * drop)


def in_sun(
    grid: Grid,
    sun_azimuth_deg: float,
    sun_altitude_deg: float,
    *,
    around: Sequence[Grid] = (),
) -> Flags:
    """Which cells of an area does sunlight reach?

    sun_azimuth_deg: true. sun_altitude_deg: apparent, at the area's centre, of the part of the
    disc that is to count: the upper limb (centre + 0.27°) agrees with first and last sun, the
    centre gives the middle of the shadow's soft edge.
    around: ground outside the area, finest first; it shades as far as it can reach towards the
    sun (`shadow_reach_m`). Without it nothing outside shades.
    Returns (rows, columns) of bool; voids are False and shade nothing: tell them by isnan.

    Method: running maximum along the sun's direction, which is one for the whole area in the
    grid's own projection, as for rays that are parallel. The Earth's curvature and the bending
    of light (k = 0.13) are in it, each cell's horizontal tilting with its distance from the
    centre. Against rays of a tenth of a cell on the bilinear surface less than 1.5 % of cells
    differ, all but 0.05 % of them within 1.5 cells of the shadow's edge.

    Raises BadInput for a grid of fewer than 2 × 2 cells or an unknown projection, and angles
    outside −360 … 360 and −90 … 90.
    """
    (lit,) = in_each_sun(grid, [(sun_azimuth_deg, sun_altitude_deg)], around=around)
    return lit


def in_each_sun(
    grid: Grid, suns: Iterable[tuple[float, float]], *, around: Sequence[Grid] = ()
) -> Iterator[Flags]:
    """`in_sun` for each of many suns, azimuth and altitude [deg], one after the other.

    Where the grid's borders lie in the ground around is worked out once for all of them. Raises
    BadInput as `in_sun`, when the first is asked for.
    """
    for each in (grid, *around):
        if each.height_m.ndim != 2 or min(each.height_m.shape) < 2:
            raise BadInput("a grid must have 2 × 2 cells at least", where=each.name or "terrain")
    borders: dict[_Side, _Border] = {}
    for sun_azimuth_deg, sun_altitude_deg in suns:
        azimuth = float(within("sun_azimuth_deg", sun_azimuth_deg, -360.0, 360.0))
        altitude = float(within("sun_altitude_deg", sun_altitude_deg, -90.0, 90.0))
        yield _lit(grid, around, _way(grid, azimuth, altitude), altitude, borders)


def _lit(
    grid: Grid,
    around: Sequence[Grid],
    way: _Way,
    altitude_deg: float,
    borders: dict[_Side, _Border],
) -> Flags:
    void = np.isnan(grid.height_m)
    lit = ~void
    if altitude_deg < 0.0:
        # the Earth itself, level with the lowest ground, shades what does not stand high above it
        lowest = np.fmin.reduce(grid.height_m, axis=None)
        lit &= grid.height_m >= lowest + way.slope**2 / (4.0 * drop_per_m())
    if not lit.any():
        return lit
    height = np.where(void, _NO_GROUND_M, grid.height_m)
    first, side = _sunk_at_borders(grid, around, way, borders)
    turned = np.ascontiguousarray(_turned(height, way), dtype=np.float32)
    _turned(lit, way)[:] &= _walk(turned, way, first, side)
    return lit


@dataclass(frozen=True, slots=True, kw_only=True)
class _Way:
    """How sunlight runs through a grid.

    'Turned' is a grid laid so that the sun stands beyond its first row, at most 45° of cells
    aside from square to it, and beyond the first column rather than the last.
    """

    latitude_deg: float  # of the grid's middle
    longitude_deg: float
    azimuth_deg: float
    slope: float  # of the ray, in the middle
    across: bool  # rows and columns change places when turned
    beyond_last: tuple[bool, bool]  # column, row: where the sun stands, not turned
    nearer_m: tuple[float, float]  # to the sun, per column and per row, turned
    shift: float  # columns a row along the ray, 0 … 1, turned
    step_m: float  # along the ray from row to row, turned


def _way(grid: Grid, azimuth_deg: float, altitude_deg: float) -> _Way:
    latitude, longitude = centre_deg(grid)
    frame = grid_frame(grid, latitude, longitude, reach_m=_LOCAL_CELLS * grid.cell_m)
    columns, rows = frame.along(np.array([0.0, 90.0, azimuth_deg]))
    towards = np.array((columns[0], rows[0])) / frame.reach_m  # cells a metre: north, east, sun
    angle = math.radians(azimuth_deg)
    nearer = np.linalg.solve(towards[:, :2].T, (math.cos(angle), math.sin(angle)))
    beyond = towards[:, 2] > 0.0
    nearer *= np.where(beyond, -1.0, 1.0)
    aside, along = (float(cells) for cells in np.abs(towards[:, 2]))
    across = aside > along
    if across:
        aside, along, nearer = along, aside, nearer[::-1]
    return _Way(
        latitude_deg=latitude,
        longitude_deg=longitude,
        azimuth_deg=azimuth_deg,
        slope=math.tan(math.radians(min(altitude_deg, _STEEPEST_DEG))),
        across=across,
        beyond_last=(bool(beyond[0]), bool(beyond[1])),
        nearer_m=(float(nearer[0]), float(nearer[1])),
        shift=aside / along,
        step_m=1.0 / along,
    )


def _turned(cells: NDArray[Any], way: _Way) -> NDArray[Any]:
    """A view of cells (rows, columns) of the grid as it lies, turned."""
    columns, rows = (slice(None, None, -1 if last else 1) for last in way.beyond_last)
    view = cells[rows, columns]
    return view.T if way.across else view


def _walk(height: Singles, way: _Way, first: Singles, side: Singles) -> Flags:
    """Which cells are lit, all of it turned.

    first (columns,), side (rows,): the height to which sunlight from beyond the grid has sunk
    over the first row and the first column.
    """
    rows, columns = height.shape
    wide = _WIDER * (columns - 1) + 1
    shift = way.shift * _WIDER
    whole, part = int(shift), np.float32(shift % 1.0)
    # the carried height, with room on the left for what enters from the side
    carried = np.full(wide + whole + 1, _NO_GROUND_M)
    entering, here = carried[: whole + 1], carried[whole + 1 :]
    left, right = carried[:wide], carried[1 : wide + 1]
    level = _Level.along(way, rows, columns)
    entered = side + level.of(slice(None), slice(1))[:, 0]
    enters = bool((side > _NO_GROUND_M).any())

    lit = np.empty(height.shape, dtype=bool)
    ground, sunk = (np.empty((_ROWS_AT_ONCE, wide), dtype=np.float32) for _ in range(2))
    lit[:1] = height[:1] >= first
    _widen(np.maximum(height[:1], first) + level.of(slice(1)), here[None, :])
    for start in range(1, rows, _ROWS_AT_ONCE):
        stop = min(start + _ROWS_AT_ONCE, rows)
        block = level.of(slice(start - 1, stop))
        block += height[start - 1 : stop]
        count = stop - start
        _widen(block[1:], ground[:count])
        if enters:
            np.maximum(ground[:count, 0], entered[start:stop], out=ground[:count, 0])
        for number in range(count):
            if enters:
                entering[:] = entered[start + number - 1]
            light = sunk[number]
            np.subtract(left, right, out=light)
            light *= part
            light += right
            np.maximum(ground[number], light, out=here)
        if enters:
            np.maximum(sunk[:count, 0], entered[start:stop], out=sunk[:count, 0])
        np.greater_equal(block[1:], sunk[:count, ::_WIDER], out=lit[start:stop])
        lit[start:stop] &= _own_slope_lit(block, way.shift)
    return lit


def _own_slope_lit(block: Singles, shift: float) -> Flags:
    """Which cells of a levelled block, but for its first row, their own slope leaves in sun.

    That is the bilinear surface a tenth of a cell towards the sun, t of a row and t · shift of
    a column from here. There it stands higher than here by t times
    (up − here) − shift · ((1 − t) (here − left) + t (up − up left)).
    """
    near = np.float32(_OWN_SLOPE_CELLS / math.hypot(1.0, shift))
    across = np.diff(block, axis=1)
    across *= np.float32(shift)
    rise = block[:-1] - block[1:]
    rise[:, 1:] -= near * across[:-1]
    across *= np.float32(1.0) - near
    rise[:, 1:] -= across[1:]
    lit: Flags = rise <= 0.0
    if shift > 0.0:
        lit[:, 0] = True  # what lies there is not known
    return lit


def _widen(cells: Singles, out: Singles) -> None:
    """Rows of heights, with the middles between their cells."""
    out[:, ::2] = cells
    middles = out[:, 1::2]
    np.add(cells[:, :-1], cells[:, 1:], out=middles)
    middles *= np.float32(0.5)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Level:
    """What to raise turned ground by, so that the ray runs level over it.

    step · slope for each row it falls, less drop · u² for the Earth, curved about the middle; u
    is the distance nearer the sun than that, and a sum of a column's part and a row's.
    """

    fall_m: Singles  # (rows,) of the ray, and the row's part of the curve
    bend_m: Singles  # (columns,) the column's part
    column_m: Singles  # (columns,) u by column
    row_twist: Singles  # (rows,) times u by column: what the product of both parts takes

    @classmethod
    def along(cls, way: _Way, rows: int, columns: int) -> _Level:
        column_m = way.nearer_m[0] * (np.arange(columns) - (columns - 1) / 2)
        row_m = way.nearer_m[1] * (np.arange(rows) - (rows - 1) / 2)
        drop = drop_per_m()
        return cls(
            fall_m=(way.step_m * way.slope * np.arange(rows) - drop * row_m**2).astype(np.float32),
            bend_m=(-drop * column_m**2).astype(np.float32),
            column_m=column_m.astype(np.float32),
            row_twist=(-2.0 * drop * row_m).astype(np.float32),
        )

    def of(self, rows: slice, columns: slice = slice(None)) -> Singles:
        """The metres for some rows and columns."""
        raised: Singles = np.multiply.outer(self.row_twist[rows], self.column_m[columns])
        raised += self.fall_m[rows, None]
        raised += self.bend_m[columns]
        return raised


def _sunk_at_borders(
    grid: Grid, around: Sequence[Grid], way: _Way, borders: dict[_Side, _Border]
) -> tuple[Singles, Singles]:
    """To what height has sunlight over the ground outside sunk where it enters the grid?

    Returns it for the first row and the first column, turned; very low where nothing shades.
    """
    shape = grid.height_m.shape
    column = _turned(np.broadcast_to(np.arange(shape[1]), shape), way)
    row = _turned(np.broadcast_to(np.arange(shape[0])[:, None], shape), way)
    across, down = column.shape[1], column.shape[0]
    if not around:
        return np.full(across, _NO_GROUND_M), np.full(down, _NO_GROUND_M)
    # no nearer together than the cells outside lie; between them the light sinks evenly
    every = max(1, int(min(each.cell_m for each in around) / grid.cell_m))
    tops, sides = (_some(count, every) for count in (across, down))
    column, row = (np.concatenate((cells[0, tops], cells[sides, 0])) for cells in (column, row))
    column_m, row_m = way.nearer_m
    middle_m = column_m * (across - 1) / 2 + row_m * (down - 1) / 2
    nearer_m = np.concatenate((tops * column_m, sides * row_m)) - middle_m
    side = (way.across, way.beyond_last)
    if side not in borders:
        latitude, longitude = places_at(grid, column, row)
        borders[side] = [cells_at(each, latitude, longitude) for each in around]
    lowest_m = float(np.fmin.reduce(grid.height_m, axis=None))
    sunk = _sunk(around, way, borders[side], nearer_m, lowest_m)
    first, second = np.split(sunk, [tops.size])
    return (
        np.interp(np.arange(across), tops, first).astype(np.float32),
        np.interp(np.arange(down), sides, second).astype(np.float32),
    )


def _some(count: int, every: int) -> NDArray[np.int64]:
    """Every so many of a row of cells, and the last."""
    return np.unique(np.append(np.arange(0, count, every), count - 1))


def _sunk(
    around: Sequence[Grid],
    way: _Way,
    starts: _Border,
    nearer_m: Floats,
    lowest_m: float,
) -> Floats:
    """The height to which sunlight over these grids has sunk at some places (n,).

    starts: the columns and rows of the places in each grid.
    Read along a ray from each place towards the sun, farther apart the farther away, as far as
    ground so high can shade; the nearest cell of a grid is left out, as too coarse to be beside.
    """
    highest_m = max(float(np.fmax.reduce(grid.height_m, axis=None)) for grid in around)
    sunk = np.full(nearer_m.shape, float(_NO_GROUND_M))
    if not highest_m > lowest_m:  # all void, too
        return sunk
    slopes = way.slope + 2.0 * drop_per_m() * nearer_m
    reach_m = shadow_reach_m(highest_m - lowest_m, math.degrees(math.atan(slopes.min())))
    steps = []
    for grid in around:
        local_m = _LOCAL_CELLS * grid.cell_m
        frame = grid_frame(grid, way.latitude_deg, way.longitude_deg, reach_m=local_m)
        steps.append([cells[0] / local_m for cells in frame.along(np.array([way.azimuth_deg]))])
    drop = drop_per_m()
    for distance_m in _distances(min(grid.cell_m for grid in around), reach_m):
        nearest_m = distance_m[0]
        rising = slopes + 2.0 * drop * nearest_m > 0.0
        # where the ray has risen over all ground that could still lift it, nothing more is read
        left = np.flatnonzero(
            ~rising | (highest_m - nearest_m * (slopes + drop * nearest_m) > sunk)
        )
        if not left.size:
            break
        height = np.full((distance_m.size, left.size), np.nan)
        for grid, start, step in zip(around, starts, steps, strict=True):
            far, near = np.nonzero(np.isnan(height) & (distance_m >= grid.cell_m)[:, None])
            column, row = (
                s[left[near]] + distance_m[far] * t for s, t in zip(start, step, strict=True)
            )
            height[far, near] = height_at(grid, column, row)
        height -= distance_m[:, None] * (slopes[left] + drop * distance_m[:, None])
        sunk[left] = np.fmax(sunk[left], np.fmax.reduce(height, axis=0))
    return sunk


def _distances(step_m: float, reach_m: float) -> Iterator[Floats]:
    """Distances [m] from one step to the reach, growing apart, some at a time."""
    even = step_m * np.arange(1.0, _FARTHER)
    growing = max(0, math.ceil(math.log(max(reach_m / (step_m * _FARTHER), 1.0)) * _FARTHER))
    farther = step_m * _FARTHER * np.exp(np.arange(growing + 1) / _FARTHER)
    distance = np.concatenate((even, farther))
    distance = distance[distance <= reach_m]
    for first in range(0, distance.size, _AT_ONCE):
        yield distance[first : first + _AT_ONCE]
