"""Which rasters lie round a spot, and which of them are tiles of one lattice.

All from their descriptions: no raster is opened, so it is answered too where they are unplugged.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from backbearing.places.utm import Projection
    from backbearing.records import TerrainLayer

_METRES_A_DEGREE = 111_000.0
_OFF_LATTICE = 0.02  # of a cell
_AROUND = 36  # points on a circle round the spot


class Piece(NamedTuple):
    layer: TerrainLayer
    column: int  # of its first cell in the sheet
    row: int


@dataclass(slots=True)
class Sheet:
    """Rasters whose cells lie on one lattice, so that they can be read as one."""

    first: TerrainLayer
    x_first: float
    pieces: list[Piece] = field(default_factory=list)

    def takes(self, layer: TerrainLayer, x_first: float) -> bool:
        """Add a raster where it fits the lattice to a fiftieth of a cell."""
        own = self.first
        if (layer.crs, layer.ground, layer.vertical_error_m) != (
            own.crs,
            own.ground,
            own.vertical_error_m,
        ):
            return False
        span = max(layer.columns, layer.rows)
        if abs(layer.x_step / own.x_step - 1) * span > _OFF_LATTICE:
            return False
        if abs(layer.y_step / own.y_step - 1) * span > _OFF_LATTICE:
            return False
        column = (x_first - self.x_first) / own.x_step
        row = (layer.y_first - own.y_first) / own.y_step
        if abs(column - round(column)) > _OFF_LATTICE or abs(row - round(row)) > _OFF_LATTICE:
            return False
        self.pieces.append(Piece(layer, round(column), round(row)))
        return True

    def holding(self, column: int, row: int) -> Piece | None:
        """The raster that holds a cell, by its extent; None where none does."""
        for piece in self.pieces:
            if (
                0 <= column - piece.column < piece.layer.columns
                and 0 <= row - piece.row < piece.layer.rows
            ):
                return piece
        return None

    def cells_until(self, column: int, row: int, across: int, down: int) -> int:
        """How many cells lie one way from a cell until the rasters end."""
        count = 0
        while piece := self.holding(column + across * count, row + down * count):
            if across > 0:
                count = piece.column + piece.layer.columns - column
            elif across < 0:
                count = column - piece.column + 1
            elif down > 0:
                count = piece.row + piece.layer.rows - row
            else:
                count = row - piece.row + 1
        return count


class Cover(NamedTuple):
    """How far one sheet of cells goes from a spot in it, to each side of the grid [m]."""

    sheet: Sheet
    up_m: float
    right_m: float
    down_m: float
    left_m: float


def layers_within(
    layers: Sequence[TerrainLayer], latitude_deg: float, longitude_deg: float, reach_m: float
) -> tuple[TerrainLayer, ...]:
    """Which layers hold ground within reach of a spot, by their descriptions alone?"""
    near = sheets_around(layers, latitude_deg, longitude_deg, reach_m)
    return tuple(dict.fromkeys(piece.layer for sheet in near for piece in sheet.pieces))


def sheets_around(
    layers: Sequence[TerrainLayer], latitude_deg: float, longitude_deg: float, reach_m: float
) -> list[Sheet]:
    """The rasters within reach of a spot, those on one lattice together, in the order given.

    In degrees of longitude a raster is laid where it lies nearest the spot's own -180 … 180, twice
    where both ends of it are near.
    """
    sheets: list[Sheet] = []
    for layer in layers:
        box = box_around(layer.crs, latitude_deg, longitude_deg, reach_m)
        if box is None:
            continue
        west, south, east, north = box
        half_x, half_y = layer.x_step / 2, -layer.y_step / 2
        top = layer.y_first + half_y
        if south > top or north < top + layer.y_step * layer.rows:
            continue
        for turn in (-360.0, 0.0, 360.0) if is_geographic(layer.crs) else (0.0,):
            x_first = layer.x_first + turn
            left = x_first - half_x
            if west > left + layer.x_step * layer.columns or east < left:
                continue
            if not any(sheet.takes(layer, x_first) for sheet in sheets):
                sheets.append(Sheet(layer, x_first, [Piece(layer, 0, 0)]))
    return sheets


def covers(
    layers: Sequence[TerrainLayer], latitude_deg: float, longitude_deg: float, within_m: float
) -> list[Cover]:
    """Which sheets hold a spot, finest first, and how far does each go without a gap?

    Straight up, right, down and left in the grid, through tiles that touch, no farther than
    tiles within `within_m` go. Voids are not known of.
    """
    found = []
    for sheet in sheets_around(layers, latitude_deg, longitude_deg, within_m):
        own = sheet.first
        x, y = _into(own.crs)[0].transform(longitude_deg, latitude_deg, errcheck=False)
        column, row = round((x - sheet.x_first) / own.x_step), round((y - own.y_first) / own.y_step)
        if sheet.holding(column, row) is None:
            continue
        ways = [sheet.cells_until(column, row, *way) for way in ((0, -1), (1, 0), (0, 1), (-1, 0))]
        wide, tall = _cell_sides_m(own, x, y)
        up, right, down, left = (
            cells * side for cells, side in zip(ways, (tall, wide, tall, wide), strict=True)
        )
        found.append(Cover(sheet, up, right, down, left))
    return found


def _cell_sides_m(layer: TerrainLayer, x: float, y: float) -> tuple[float, float]:
    from pyproj import Geod, Transformer

    out = Transformer.from_crs(layer.crs, "EPSG:4326", always_xy=True)
    lon, lat = out.transform([x, x + layer.x_step, x], [y, y, y + layer.y_step])
    _, _, (wide, tall) = Geod(ellps="WGS84").inv([lon[0]] * 2, [lat[0]] * 2, lon[1:], lat[1:])
    return wide, tall


# ---------------------------------------------------------------- where a spot's surroundings lie


def _into(crs: str) -> tuple[Projection, bool]:
    from backbearing.places.utm import projection

    return projection(crs)


def is_geographic(crs: str) -> bool:
    return _into(crs)[1]


@lru_cache(maxsize=256)
def box_around(
    crs: str, latitude_deg: float, longitude_deg: float, radius_m: float
) -> tuple[float, float, float, float] | None:
    """What holds a circle round a spot in a projection: x and y from … to; None where nothing.

    In degrees of longitude it may run past 180 on either side.
    """
    into, geographic = _into(crs)
    x, y = into.transform(longitude_deg, latitude_deg, errcheck=False)
    if not (math.isfinite(x) and math.isfinite(y)):
        return None
    if geographic:
        tall = radius_m / _METRES_A_DEGREE * 1.01
        if abs(y) + tall >= 90.0:
            return x - 180.0, max(-90.0, y - tall), x + 180.0, min(90.0, y + tall)
        wide = math.degrees(
            math.asin(min(1.0, math.sin(math.radians(tall)) / math.cos(math.radians(abs(y)))))
        )
        return x - wide, y - tall, x + wide, y + tall
    near = _circle(into, latitude_deg, longitude_deg, radius_m / 1000)
    scale = 1000 * max((math.hypot(px - x, py - y) for px, py in near), default=0.0)
    # what lies much farther than that is round the back of the globe
    good = [
        (px, py)
        for px, py in _circle(into, latitude_deg, longitude_deg, radius_m)
        if math.hypot(px - x, py - y) < 4 * scale
    ]
    if not good:
        return None
    slack = 0.01 * scale  # between its points the circle bulges
    return (
        min(px for px, _ in good) - slack,
        min(py for _, py in good) - slack,
        max(px for px, _ in good) + slack,
        max(py for _, py in good) + slack,
    )


def _circle(
    into: Projection, latitude_deg: float, longitude_deg: float, radius_m: float
) -> list[tuple[float, float]]:
    import numpy as np

    from backbearing.places.utm import outwards

    azimuths = np.linspace(0.0, 360.0, _AROUND, endpoint=False, dtype=np.float64)
    latitudes, longitudes = outwards(
        latitude_deg, longitude_deg, azimuths, np.full(_AROUND, radius_m)
    )
    points = zip(*into.transform(longitudes, latitudes, errcheck=False), strict=True)
    return [(float(px), float(py)) for px, py in points if math.isfinite(px) and math.isfinite(py)]
