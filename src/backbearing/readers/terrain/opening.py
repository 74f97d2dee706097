"""Elevation rasters laid over each other: what covers a spot, how high it is, what lies around.

`open_terrain` describes; nothing is read of the heights until a spot is asked about, and then
only windows round it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from backbearing.records import Grid, GroundKind, TerrainLayer


_ROUNDING = 1e-6  # of a cell, lost on the way into the projection


@dataclass(frozen=True, slots=True)
class Terrain:
    """Elevation layers, finest first: the finest rules where it reaches, coarser ones beyond."""

    layers: tuple[TerrainLayer, ...]

    def grids_around(
        self, latitude_deg: float, longitude_deg: float, reach_m: float
    ) -> tuple[Grid, ...]:
        """The ground within reach of a spot as grids of numbers, finest first; () where none.

        Full cells near the spot, larger ones farther out (see `windows`); tiles that lie
        on one lattice come as one grid. In longitude and latitude a grid may run past 180°.
        Raises BadFile where a raster that is needed is gone or damaged.
        """
        from backbearing.readers.terrain.windows import read_grids

        return read_grids(self.layers, latitude_deg, longitude_deg, reach_m)

    def height_at(self, latitude_deg: float, longitude_deg: float) -> float:
        """How high is the ground at a spot [m], of the finest layer that knows; nan where none.

        Bilinear between the four cells around it, which must all hold a height.
        Raises BadFile as `grids_around` does.
        """
        from pyproj import Transformer

        here = self.within(latitude_deg, longitude_deg, 1.0)
        around_m = 3 * max((layer.cell_m for layer in here), default=0.0)
        for grid in self.grids_around(latitude_deg, longitude_deg, around_m) if here else ():
            into = Transformer.from_crs("EPSG:4326", grid.crs, always_xy=True)
            height_m = _bilinear(grid, *into.transform(longitude_deg, latitude_deg))
            if not math.isnan(height_m):
                return height_m
        return math.nan

    def within(
        self, latitude_deg: float, longitude_deg: float, reach_m: float
    ) -> tuple[TerrainLayer, ...]:
        """Which layers hold ground within reach of a spot, by their descriptions alone?"""
        from backbearing.readers.terrain.lattice import layers_within

        return layers_within(self.layers, latitude_deg, longitude_deg, reach_m)


def open_terrain(
    paths: Path | str | Sequence[Path | str],
    *,
    ground: GroundKind | None = None,
    vertical_error_m: float | None = None,
    unit: str | None = None,
    progress: Callable[[str], None] | None = None,
) -> Terrain:
    """Describe elevation rasters, without loading them, so that spots can be asked about.

    paths: files (GeoTIFF, HGT, ASCII grid, a VRT of these) or folders of tiles.
    ground, vertical_error_m [95 %], unit ('m', 'ft', 'us-ft') hold for all of them; None takes
    what each file states, else what is commonly so, and the layer says which.
    Raises BadInput for a path outside the file system, BadFile for a raster that cannot be used.
    """
    from backbearing.readers.terrain.finding import find_rasters
    from backbearing.readers.terrain.layer import describe_layer

    given = [paths] if isinstance(paths, str | Path) else list(paths)
    layers = []
    for path in given:
        for found in find_rasters(path):
            if progress is not None:
                progress(found.path.name)
            layers.append(
                describe_layer(found, ground=ground, vertical_error_m=vertical_error_m, unit=unit)
            )
    return Terrain(finest_first(layers))


def finest_first(layers: Sequence[TerrainLayer]) -> tuple[TerrainLayer, ...]:
    """By cell size, then by vertical error; one file once."""
    once = {layer.path: layer for layer in layers}
    return tuple(
        sorted(
            once.values(),
            # tiles of one model differ in the ninth figure, by where they lie
            key=lambda one: (round(one.cell_m, 2), one.vertical_error_m, one.path),
        )
    )


def _bilinear(grid: Grid, x: float, y: float) -> float:
    rows, columns = grid.height_m.shape
    column, row = (x - grid.x_first) / grid.x_step, (y - grid.y_first) / grid.y_step
    left, top = math.floor(column + _ROUNDING), math.floor(row + _ROUNDING)
    left, top = min(left, columns - 2), min(top, rows - 2)
    across, down = column - left, row - top
    if min(left, top) < 0 or max(across, down) > 1 + _ROUNDING:
        return math.nan
    near = grid.height_m[top : top + 2, left : left + 2].astype(float)
    upper = near[0, 0] * (1 - across) + near[0, 1] * across
    lower = near[1, 0] * (1 - across) + near[1, 1] * across
    return float(upper * (1 - down) + lower * down)
