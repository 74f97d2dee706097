"""Elevation rasters laid over each other: what covers a spot, how high it is, what lies around.

`open_terrain` describes; nothing is read of the heights until a spot is asked about, and then
only windows round it.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from backbearing.errors import BadFile
from backbearing.readers.terrainfiles import (
    MOST_FILES,
    READ_HERE,
    FoundRaster,
    is_vrt,
    kind_of,
    local_path,
)

if TYPE_CHECKING:
    from backbearing.records import Grid, GroundKind, TerrainLayer

_ENDINGS = (".tif", ".tiff", ".hgt", ".asc")


@dataclass(frozen=True, slots=True)
class Terrain:
    """Elevation layers, finest first: the finest rules where it reaches, coarser ones beyond."""

    layers: tuple[TerrainLayer, ...]

    def grids_around(
        self, latitude_deg: float, longitude_deg: float, reach_m: float
    ) -> tuple[Grid, ...]:
        """The ground within reach of a spot as grids of numbers, finest first; () where none.

        Full cells near the spot, larger ones farther out (see `terrainwindows`); tiles that lie
        on one lattice come as one grid. In longitude and latitude a grid may run past 180°.
        Raises BadFile where a raster that is needed is gone or damaged.
        """
        from backbearing.readers.terrainwindows import read_grids

        return read_grids(self.layers, latitude_deg, longitude_deg, reach_m)

    def height_at(self, latitude_deg: float, longitude_deg: float) -> float:
        """How high is the ground at a spot [m], of the finest layer that knows; nan where none.

        Bilinear between the four cells around it, which must all hold a height.
        Raises BadFile as `grids_around` does.
        """
        from pyproj import Transformer

        for layer in self.within(latitude_deg, longitude_deg, 1.0):
            near = Terrain((layer,)).grids_around(latitude_deg, longitude_deg, 2 * layer.cell_m)
            into = Transformer.from_crs("EPSG:4326", layer.crs, always_xy=True)
            x, y = into.transform(longitude_deg, latitude_deg)
            for grid in near:
                height_m = _bilinear(grid, x, y)
                if not math.isnan(height_m):
                    return height_m
        return math.nan

    def within(
        self, latitude_deg: float, longitude_deg: float, reach_m: float
    ) -> tuple[TerrainLayer, ...]:
        """Which layers hold ground within reach of a spot, by their descriptions alone?"""
        from backbearing.readers.terrainlattice import layers_within

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
    from backbearing.readers.terrainlayer import describe_layer

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
        sorted(once.values(), key=lambda one: (one.cell_m, one.vertical_error_m, one.path))
    )


def find_rasters(path: Path | str) -> list[FoundRaster]:
    """Which rasters does a path name: a file, the tiles of a VRT, or those of a folder?

    A folder is searched with all below it, links to other folders aside, for names that end
    in .tif, .tiff, .hgt or .asc; a VRT in it is passed over, since its tiles are there.
    Raises BadInput where it is no path of the file system, BadFile where it cannot be used.
    """
    path = local_path(path)
    if path.is_dir():
        return [
            FoundRaster(path=file, kind=kind_of(file), came_with=str(path))
            for file in _in_folder(path)
        ]
    if is_vrt(path):
        from backbearing.readers.terrainvrt import read_vrt

        return read_vrt(path)
    return [FoundRaster(path=path, kind=kind_of(path))]


def _in_folder(folder: Path) -> list[Path]:
    found: list[Path] = []
    for here, folders, names in os.walk(folder):
        folders.sort()
        found += [Path(here, n) for n in sorted(names) if n.lower().endswith(_ENDINGS)]
        if len(found) > MOST_FILES:
            raise BadFile(
                f"holds more than {MOST_FILES:,} rasters",
                path=folder,
                remedy="give the folder of the area you walk in",
            )
    if not found:
        raise BadFile("holds no elevation raster", path=folder, remedy=f"give {READ_HERE}")
    return found


def _bilinear(grid: Grid, x: float, y: float) -> float:
    rows, columns = grid.height_m.shape
    column, row = (x - grid.x_first) / grid.x_step, (y - grid.y_first) / grid.y_step
    left, top = math.floor(column), math.floor(row)
    left, top = min(left, columns - 2), min(top, rows - 2)
    if not (0 <= left <= column <= left + 1 and 0 <= top <= row <= top + 1):
        return math.nan
    across, down = column - left, row - top
    near = grid.height_m[top : top + 2, left : left + 2].astype(float)
    upper = near[0, 0] * (1 - across) + near[0, 1] * across
    lower = near[1, 0] * (1 - across) + near[1, 1] * across
    return float(upper * (1 - down) + lower * down)
