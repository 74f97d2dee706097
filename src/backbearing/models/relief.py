"""Ground drawn by its light and by its heights: hillshade and contours.

     light                     cos i = sin a cos s + cos a sin s cos(A − f)
       ╲    normal             a, A   altitude and azimuth of the light
        ╲ i │╱                 s, f   slope, and the azimuth it falls towards
─────────╲──╱
      slope s
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.arguments import within
from backbearing.models.gridframe import centre_deg, grid_frame

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from backbearing.records import Floats, Grid

_LOCAL_CELLS = 10.0  # about the grid's middle, over which its cells are measured on the ground
_MOST_LEVELS = 2_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Contour:
    """The lines of one height: each (n, 2) of x and y in the grid's projection.

    Higher ground lies on the right of their way; a closed line ends where it begins.
    """

    height_m: float
    lines: tuple[Floats, ...]


def hillshade(
    grid: Grid,
    *,
    light_azimuth_deg: float = 315.0,
    light_altitude_deg: float = 45.0,
    exaggerate: float = 1.0,
) -> NDArray[np.float32]:
    """How brightly does light from one side fall on each cell, 0 … 1?

    light_azimuth_deg: true. exaggerate: heights are drawn out by this factor.
    Returns (rows, columns): the cosine of the angle between the light and the slope's normal,
    0 where it faces away, nan where the cell or a neighbour its slope needs is void. Nothing
    casts a shadow here (`castshadow.in_sun` tells that). Light from the north-west is the
    mapmakers' custom, which lets hills look like hills; common practice, no source.

    Slopes are differences across both neighbours, at the border to the one there is.
    Raises BadInput for a grid of fewer than 2 × 2 cells or an unknown projection, and angles
    outside −360 … 360 and 0 … 90, or an exaggeration outside 0 … 100.
    """
    azimuth = math.radians(float(within("light_azimuth_deg", light_azimuth_deg, -360.0, 360.0)))
    altitude = math.radians(float(within("light_altitude_deg", light_altitude_deg, 0.0, 90.0)))
    factor = np.float32(within("exaggerate", exaggerate, 0.0, 100.0))
    if grid.height_m.ndim != 2 or min(grid.height_m.shape) < 2:
        raise BadInput("a grid must have 2 × 2 cells at least", where=grid.name or "terrain")
    frame = grid_frame(grid, *centre_deg(grid), reach_m=_LOCAL_CELLS * grid.cell_m)
    columns, rows = frame.along(np.array([math.degrees(azimuth)]))
    # the rise per metre towards the light is all that cos i needs besides the steepness, whose
    # square is the sum of two rises at right angles
    aside_columns, aside_rows = frame.along(np.array([math.degrees(azimuth) + 90.0]))
    down, across = np.gradient(grid.height_m.astype(np.float32, copy=False) * factor)
    towards, aside = (
        (across * np.float32(c[0, 0] / frame.reach_m) + down * np.float32(r[0, 0] / frame.reach_m))
        for c, r in ((columns, rows), (aside_columns, aside_rows))
    )
    light = np.float32(math.sin(altitude)) - np.float32(math.cos(altitude)) * towards
    light /= np.sqrt(1.0 + towards * towards + aside * aside)
    light[np.isnan(grid.height_m)] = np.nan
    shade: NDArray[np.float32] = np.maximum(light, np.float32(0.0))
    return shade


def contour_levels_m(grid: Grid, interval_m: float) -> list[float]:
    """The whole multiples of an interval [m] between the lowest and highest ground.

    Raises BadInput for an interval that is not positive or would give more than 2,000 levels.
    """
    if not (math.isfinite(interval_m) and interval_m > 0.0):
        raise BadInput(f"an interval of {interval_m:g} m gives no contours", where="interval_m")
    lowest, highest = (float(f.reduce(grid.height_m, axis=None)) for f in (np.fmin, np.fmax))
    if math.isnan(lowest):
        return []
    first, last = math.ceil(lowest / interval_m), math.floor(highest / interval_m)
    if last - first >= _MOST_LEVELS:
        raise BadInput(
            f"an interval of {interval_m:g} m makes {last - first + 1} levels of this ground",
            where="interval_m",
            remedy=f"take at least {(highest - lowest) / _MOST_LEVELS:.3g} m",
        )
    return [interval_m * step for step in range(first, last + 1)]


def contours(grid: Grid, heights_m: Sequence[float]) -> list[Contour]:
    """Where does the ground have these heights?

    Returns one Contour a height, in the order asked; its lines are empty where no ground is so
    high. A line ends where the grid or a void begins. Straight between cells (marching squares,
    from the contourpy library), ambiguous squares parted by their middle.
    Raises BadInput for a grid of fewer than 2 × 2 cells, or a height that is no number.
    """
    if grid.height_m.ndim != 2 or min(grid.height_m.shape) < 2:
        raise BadInput("a grid must have 2 × 2 cells at least", where=grid.name or "terrain")
    if not np.isfinite(np.asarray(heights_m, dtype=np.float64)).all():
        raise BadInput("every height must be a number", where="heights_m")
    from contourpy import LineType, contour_generator

    rows, columns = grid.height_m.shape
    generator = contour_generator(
        x=grid.x_first + grid.x_step * np.arange(columns),
        y=grid.y_first + grid.y_step * np.arange(rows),
        z=np.ma.masked_invalid(grid.height_m),
        name="serial",
        line_type=LineType.Separate,
    )
    return [
        Contour(
            height_m=float(height),
            lines=tuple(np.asarray(line, dtype=np.float64) for line in generator.lines(height)),
        )
        for height in heights_m
    ]
