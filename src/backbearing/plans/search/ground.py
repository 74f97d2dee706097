"""The ground a search is about, in pieces: along a line, left and right, or cells of a grid."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from backbearing.errors import BadInput, NotFound, quoted
from backbearing.models.drainage import drained_to, gathered, stream_lines
from backbearing.models.gridframe import cells_at, places_at
from backbearing.models.linepieces import line_pieces
from backbearing.plans.terraingrids import grids_round
from backbearing.records import WATER_KINDS, GroundLine
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from backbearing.notebook import Notebook
    from backbearing.plans.search.downstream import LineWay
    from backbearing.records import Floats, Grid, Place

WIDTH_M = 60.0  # of the ground on each side of a line, unless told
LEAST_REACH_M, MOST_REACH_M = 300.0, 4000.0
MOST_CELLS = 250_000
_LEAST_CELL_M = 10.0
STREAM_FROM_M2 = 50_000.0  # that drain through a cell: a stream, by the terrain alone
_ALONG_M, _MANY = 2.0, 40_000
DERIVED = phrase("streams derived from the terrain")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """A plane in metres that touches the ellipsoid at a place, north up: good for a few km.

    Source: radii of curvature of WGS 84; within 0.1 % at 10 km, to 80° of latitude.
    """

    latitude_deg: float
    longitude_deg: float

    @property
    def _metres_a_degree(self) -> tuple[float, float]:
        e2, a = 0.00669437999014, 6378137.0
        phi = math.radians(self.latitude_deg)
        w = math.sqrt(1.0 - e2 * math.sin(phi) ** 2)
        east, north = a * math.cos(phi) / w, a * (1.0 - e2) / w**3
        return math.radians(1.0) * max(east, 1e-6), math.radians(1.0) * north

    def at(self, latitude_deg: Floats, longitude_deg: Floats) -> tuple[Floats, Floats]:
        """East and north [m] of places of any shape, on the near side of the antimeridian."""
        east, north = self._metres_a_degree
        away = (np.asarray(longitude_deg) - self.longitude_deg + 540.0) % 360.0 - 180.0
        return away * east, (np.asarray(latitude_deg) - self.latitude_deg) * north

    def places(self, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
        """Latitude and longitude of points of any shape."""
        east, north = self._metres_a_degree
        longitude = (self.longitude_deg + np.asarray(x_m) / east + 540.0) % 360.0 - 180.0
        return self.latitude_deg + np.asarray(y_m) / north, longitude


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SearchGround:
    """Pieces of ground, arrays of one length; along a line they have a chainage and a side."""

    kind: Literal["line", "grid"]
    plane: Plane
    x_m: Floats
    y_m: Floats
    size_m2: Floats
    cell_m: float  # of the grid; a piece's length along a line
    line: GroundLine | None = None
    line_m: Floats | None = None  # (n, 2) on the plane
    way: LineWay | None = None  # which way the line is followed
    width_m: float = 0.0  # to each side of the line
    from_m: Floats | None = None
    to_m: Floats | None = None
    side: NDArray[np.int64] | None = None
    rows: int = 0
    columns: int = 0

    @property
    def latitude_deg(self) -> Floats:
        """Of the pieces' middles."""
        return self.plane.places(self.x_m, self.y_m)[0]

    @property
    def longitude_deg(self) -> Floats:
        """Of the pieces' middles."""
        return self.plane.places(self.x_m, self.y_m)[1]


def along_line(
    line: GroundLine, *, width_m: float = WIDTH_M, way: LineWay | None = None
) -> SearchGround:
    """The ground on both sides of a line, in pieces of about 50 m, in the order it is given.

    way: which way that is, where it is known.

    Raises BadInput for a width not above 0, and lines without or of too great a length.
    """
    middle = len(line.latitude_deg) // 2
    plane = Plane(
        latitude_deg=float(line.latitude_deg[middle]),
        longitude_deg=float(line.longitude_deg[middle]),
    )
    line_m = on_plane(plane, line)
    pieces = line_pieces(line_m, width_m=width_m)
    return SearchGround(
        kind="line",
        plane=plane,
        x_m=pieces.x_m,
        y_m=pieces.y_m,
        size_m2=pieces.size_m2,
        cell_m=float(pieces.to_m[0] - pieces.from_m[0]),
        line=line,
        line_m=line_m,
        way=way,
        width_m=width_m,
        from_m=pieces.from_m,
        to_m=pieces.to_m,
        side=pieces.side,
    )


def round_place(place: Place, reach_m: float) -> SearchGround:
    """The ground within reach of a place, in square cells of 10 m or more.

    Raises BadInput for a reach not above 0 or beyond MOST_REACH_M.
    """
    if not 0.0 < reach_m <= MOST_REACH_M:
        raise BadInput(
            say("a search cannot reach {reach_m:g} m", reach_m=reach_m),
            where="--within",
            remedy=say(
                "give more than 0 m and no more than {most_reach_m:g} m, or name a line",
                most_reach_m=MOST_REACH_M,
            ),
        )
    cell_m = max(_LEAST_CELL_M, 2.0 * reach_m / math.sqrt(MOST_CELLS))
    half = math.ceil(reach_m / cell_m)
    steps = np.arange(-half, half + 1) * cell_m
    x, y = np.meshgrid(steps, steps[::-1])
    inside = np.hypot(x, y) <= reach_m
    size = np.where(inside, cell_m**2, cell_m**2 * 1e-9)  # beyond the rim counts as elsewhere
    return SearchGround(
        kind="grid",
        plane=Plane(latitude_deg=place.latitude_deg, longitude_deg=place.longitude_deg),
        x_m=x.ravel(),
        y_m=y.ravel(),
        size_m2=size.ravel(),
        cell_m=cell_m,
        rows=len(steps),
        columns=len(steps),
    )


def on_plane(plane: Plane, line: GroundLine) -> Floats:
    """A line's corners (n, 2) on a plane."""
    return np.stack(plane.at(line.latitude_deg, line.longitude_deg), axis=1)


def lines_called(
    notebook: Notebook, name: str, near: Place, reach_m: float = MOST_REACH_M
) -> tuple[list[GroundLine], str]:
    """The lines a name or kind means near a place, the nearest first, and where they come from.

    Water of which no line is on record there is derived from the terrain. Raises NotFound where
    there is none.
    """
    from backbearing.notebook.lines import list_lines
    from backbearing.notebook.names import name_key

    wanted = name_key(name) or ""
    kinds = WATER_KINDS if wanted in ("water", "a beck", "beck", "brook") else (wanted,)
    plane = Plane(latitude_deg=near.latitude_deg, longitude_deg=near.longitude_deg)
    here = shapely.Point(0.0, 0.0)
    found = [
        (float(shapely.distance(here, shapely.LineString(on_plane(plane, line)))), line)
        for line in list_lines(notebook)
        if name_key(line.name) == wanted or line.kind in kinds
    ]
    found = sorted((each for each in found if each[0] <= reach_m), key=lambda each: each[0])
    if found:
        return [line for _, line in found], say("lines on record")
    if wanted == "water" or wanted in WATER_KINDS:
        grids, why = grids_round(notebook, near.latitude_deg, near.longitude_deg, reach_m / 2)
        if grids:
            derived = _derived(grids[0], plane)
            if derived:
                return derived, say(
                    "{derived}, where {stream_from_m2:g} ha drain through",
                    derived=say(DERIVED),
                    stream_from_m2=STREAM_FROM_M2 / 10000.0,
                )
        else:
            raise NotFound(
                say("no line on record is {name}, and {why}", name=quoted(name), why=why),
                remedy=say("import lines of water as GeoJSON, or put terrain on record"),
            )
    raise NotFound(
        say("no line near it is called {name}", name=quoted(name)),
        remedy=say("import lines as GeoJSON; a name, or water, path, wall, ridge, shore will do"),
    )


def _derived(grid: Grid, plane: Plane) -> list[GroundLine]:
    heights = grid.height_m.astype(float)
    target = drained_to(heights, grid.cell_m)
    least = max(8, round(STREAM_FROM_M2 / grid.cell_m**2))
    found = []
    for cells in stream_lines(target, gathered(target), least_cells=least):
        if len(cells) < 2:
            continue
        latitude, longitude = places_at(grid, cells[:, 1].astype(float), cells[:, 0].astype(float))
        found.append(
            GroundLine(
                kind="stream", latitude_deg=latitude, longitude_deg=longitude, source=DERIVED
            )
        )
    here = shapely.Point(0.0, 0.0)
    return sorted(
        found, key=lambda each: shapely.distance(here, shapely.LineString(on_plane(plane, each)))
    )


def heights_at(grids: Sequence[Grid], latitude_deg: Floats, longitude_deg: Floats) -> Floats:
    """Ground heights of places (n,), of the finest grid that knows them; nan where none does."""
    from backbearing.models.gridframe import height_at

    found = np.full(np.shape(latitude_deg), np.nan)
    for grid in grids:
        missing = np.isnan(found)
        if not missing.any():
            break
        column, row = cells_at(grid, latitude_deg[missing], longitude_deg[missing])
        found[missing] = height_at(grid, column, row)
    return found


def along(line_m: Floats, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats, Floats]:
    """Chainage, distance and side (−1 left, 1 right) of points (n,) by a line (k, 2).

    By the nearest of points 2 m apart on the line (6 m for many points): within a metre or two.
    """
    from scipy.spatial import KDTree

    steps = np.hypot(*np.diff(line_m, axis=0).T)
    way = np.concatenate([[0.0], np.cumsum(steps)])
    step_m = _ALONG_M if len(x_m) < _MANY else 3.0 * _ALONG_M
    at = np.linspace(0.0, way[-1], max(2, int(np.ceil(way[-1] / step_m)) + 1))
    points = np.stack([np.interp(at, way, line_m[:, i]) for i in (0, 1)], axis=1)
    away, nearest = KDTree(points).query(np.stack([x_m, y_m], axis=1), workers=-1)
    last = len(points) - 1
    ahead = points[np.minimum(nearest + 1, last)] - points[np.maximum(nearest - 1, 0)]
    off_x, off_y = x_m - points[nearest, 0], y_m - points[nearest, 1]
    length = np.maximum(np.hypot(ahead[:, 0], ahead[:, 1]), 1e-9)
    cross = (ahead[:, 0] * off_y - ahead[:, 1] * off_x) / length
    past = (ahead[:, 0] * off_x + ahead[:, 1] * off_y) / length
    inside = (nearest > 0) & (nearest < last)
    # the foot lies between two points, no more than half a step on
    foot = np.clip(past, -step_m, step_m) * inside
    chainage = np.clip(at[nearest] + foot, 0.0, way[-1])
    return chainage, np.where(inside, np.abs(cross), away), np.where(cross > 0.0, -1.0, 1.0)
