"""Where the ground around a spot lies in a grid, by true azimuth and distance, and its height.

          n (true north)           column = column₀ + A₁(θ) s + A₂(θ) s² + A₃(θ) s³
          │  ╱ s, θ                row    = row₀    + …
          │ ╱
row₀ ─ ─ ─●─ ─ ─ e                 A polynomial of degree 3 in (e, n) = s (sin θ, cos θ) is
          │                        fitted to a few dozen geodesics from the spot; it holds the
       column₀                     grid's convergence, its scale and how it bends a geodesic.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, quoted
from backbearing.places.utm import outwards, projection

if TYPE_CHECKING:
    from backbearing.places.utm import Projection
    from backbearing.records import Floats, Grid

# exponents of e and n, by degree
_POWERS = ((1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3))
_NODE_AZIMUTHS = 12
_NODE_RADII = (0.4, 0.75, 1.0)  # of the reach
WIDEST_MISS_DEG = 0.1  # of the fitted azimuth at any node; a skyline step is 0.5°


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GridFrame:
    """A spot in a grid's cells, and how true azimuth and distance run from there."""

    column: float  # of the spot; 0 at the centre of the first cell
    row: float
    reach_m: float
    terms: Floats  # (9, 2): columns and rows per power of (e, n) in units of the reach

    def along(self, azimuth_deg: Floats) -> tuple[Floats, Floats]:
        """How columns and rows run outwards along true azimuths (n,).

        Returns two (3, n): the factors of q, q², q³ in column − column₀ and row − row₀, where
        q = distance / reach_m.
        """
        angle = np.radians(azimuth_deg)
        sin, cos = np.sin(angle), np.cos(angle)
        powers = np.stack([sin**i * cos**j for i, j in _POWERS])
        by_degree = np.array([[i + j == degree for i, j in _POWERS] for degree in (1, 2, 3)], float)
        columns: Floats = (by_degree * self.terms[:, 0]) @ powers
        rows: Floats = (by_degree * self.terms[:, 1]) @ powers
        return columns, rows


def _into(crs: str) -> tuple[Projection, bool]:
    """From WGS 84 into a grid's projection, and whether that counts in degrees of longitude."""
    try:
        return projection(crs)
    except RuntimeError:  # pyproj's ProjError, without loading it
        raise BadInput(
            f"the projection {quoted(crs[:80])} is not one that is known",
            where="terrain",
            remedy="give the raster a projection by its EPSG number",
        ) from None


@lru_cache(maxsize=1)
def _nodes() -> tuple[Floats, Floats, Floats]:
    """Azimuths [deg] and radii of the nodes, and what turns positions there into terms."""
    azimuth, radius = np.meshgrid(np.arange(_NODE_AZIMUTHS) * (360.0 / _NODE_AZIMUTHS), _NODE_RADII)
    angle = np.radians(azimuth.ravel())
    powers = _monomials(radius.ravel() * np.sin(angle), radius.ravel() * np.cos(angle))
    solve = np.asarray(np.linalg.pinv(powers), dtype=np.float64)
    return azimuth.ravel(), radius.ravel(), solve


def _monomials(east: Floats, north: Floats) -> Floats:
    return np.stack([east**i * north**j for i, j in _POWERS], axis=-1)


def grid_frame(
    grid: Grid, latitude_deg: float, longitude_deg: float, *, reach_m: float
) -> GridFrame:
    """Where does the ground within reach of a spot lie in this grid?

    Good to a hundredth of a cell in the usual map projections, and to 0.1° of azimuth at worst.
    Raises BadInput where the projection is not known, does not hold the spot, or bends the
    geodesics within reach more than that (degrees of longitude near a pole).
    """
    into, geographic = _into(grid.crs)
    azimuth, radius, solve = _nodes()
    latitudes, longitudes = outwards(latitude_deg, longitude_deg, azimuth, radius * reach_m)
    x, y = into.transform(
        np.append(longitude_deg, longitudes), np.append(latitude_deg, latitudes), errcheck=False
    )
    if not (np.isfinite(x).all() and np.isfinite(y).all()):
        raise BadInput(
            f"the projection {quoted(grid.crs[:80])} does not reach {latitude_deg:.5f}, "
            f"{longitude_deg:.5f} and {reach_m / 1000:g} km around it",
            where="terrain",
        )
    dx, dy = x[1:] - x[0], y[1:] - y[0]
    first_x = x[0]
    if geographic:  # the grid may run on past 180°
        dx = (dx + 180.0) % 360.0 - 180.0
        middle = grid.x_first + grid.x_step * (grid.height_m.shape[1] - 1) / 2
        first_x += 360.0 * round((middle - first_x) / 360.0)
    offsets = np.stack((dx / grid.x_step, dy / grid.y_step), axis=-1)
    terms: Floats = solve @ offsets
    angle = np.radians(azimuth)
    fitted = _monomials(radius * np.sin(angle), radius * np.cos(angle)) @ terms
    miss = np.abs(fitted - offsets).max(axis=1) / np.hypot(*offsets.T)
    if not miss.max() <= math.radians(WIDEST_MISS_DEG):
        raise BadInput(
            f"the projection {quoted(grid.crs[:80])} is too bent within {reach_m / 1000:g} km of "
            f"{latitude_deg:.5f}, {longitude_deg:.5f}",
            where="terrain",
            remedy="use terrain in a projection made for that part of the Earth",
        )
    return GridFrame(
        column=float((first_x - grid.x_first) / grid.x_step),
        row=float((y[0] - grid.y_first) / grid.y_step),
        reach_m=reach_m,
        terms=terms,
    )


def places_at(grid: Grid, column: Floats, row: Floats) -> tuple[Floats, Floats]:
    """The latitudes and longitudes [deg] of cells of any shape; 0, 0 is the first cell's centre.

    Raises BadInput where the projection is not known.
    """
    x = grid.x_first + np.asarray(column) * grid.x_step
    y = grid.y_first + np.asarray(row) * grid.y_step
    longitude, latitude = _into(grid.crs)[0].transform(x, y, direction="INVERSE")
    return latitude, longitude


def centre_deg(grid: Grid) -> tuple[float, float]:
    """The latitude and longitude [deg] of a grid's middle.

    Raises BadInput where the projection is not known or does not hold it.
    """
    rows, columns = grid.height_m.shape
    middle = (np.array((columns - 1) / 2), np.array((rows - 1) / 2))
    latitude, longitude = (float(angle) for angle in places_at(grid, *middle))
    if not (math.isfinite(latitude) and math.isfinite(longitude)):
        raise BadInput(
            f"the projection {quoted(grid.crs[:80])} does not hold the middle of the grid",
            where=grid.name or "terrain",
        )
    return latitude, longitude


def cells_at(grid: Grid, latitude_deg: Floats, longitude_deg: Floats) -> tuple[Floats, Floats]:
    """The columns and rows of places (any shape) in a grid, beyond it too; inf where unknown.

    Raises BadInput where the projection is not known.
    """
    into, geographic = _into(grid.crs)
    x, y = into.transform(longitude_deg, latitude_deg, errcheck=False)
    if geographic:  # the grid may run on past 180°
        middle = grid.x_first + grid.x_step * (grid.height_m.shape[1] - 1) / 2
        x = middle + (x - middle + 180.0) % 360.0 - 180.0
    return (x - grid.x_first) / grid.x_step, (y - grid.y_first) / grid.y_step


def height_at(grid: Grid, column: Floats, row: Floats) -> Floats:
    """The height [m] of the bilinear surface at cells of any shape; nan outside and in voids."""
    rows, columns = grid.height_m.shape
    inside = (column >= 0) & (column <= columns - 1) & (row >= 0) & (row <= rows - 1)
    answer: Floats = np.full(inside.shape, np.nan)
    # only what lies inside is worked out: far along a ray that is little
    column, row = (np.broadcast_to(each, inside.shape)[inside] for each in (column, row))
    left = np.minimum(column.astype(np.intp), columns - 2)
    upper = np.minimum(row.astype(np.intp), rows - 2)
    right, lower = column - left, row - upper
    heights, at = grid.height_m.reshape(-1), upper * columns + left
    above = heights[at] * (1 - right) + heights[at + 1] * right
    at += columns
    below = heights[at] * (1 - right) + heights[at + 1] * right
    answer[inside] = above * (1 - lower) + below * lower
    return answer
