"""Windows of heights out of rasters: voids masked, tiles joined, far ground in coarser cells.

Memory is bounded by what is asked, never by the raster: full cells out to `_HALF_WIDTH` cells
from the spot, then cells four times as large out to four times that, and so on. A cell is then
never larger than a 375th of its distance, finer than the steps of a ray out there.

    ┌───────────────┐
    │   ┌───────┐   │   cells × 4
    │   │  ┌─┐  │   │
    │   │  └─┘● │   │   ● the spot, in full cells
    │   └───────┘   │
    └───────────────┘
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from rasterio.windows import Window

from backbearing.errors import BadFile
from backbearing.readers.terrain.files import opened
from backbearing.readers.terrain.heights import coarser, read_heights
from backbearing.readers.terrain.lattice import Piece, Sheet, box_around, sheets_around
from backbearing.records import Grid, TerrainLayer

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from rasterio import DatasetReader

    Heights = NDArray[np.float32]

_HALF_WIDTH = 1500  # cells; 3,000 × 3,000 in full
_FACTOR = 4
_MOST_KEPT = 30_000_000  # cells of all grids together, 120 MB
_MOST_READ = 400_000_000  # cells behind one coarser grid; farther out it ends
_OVERVIEW_FROM = 30_000_000  # cells, from which on a raster's own overviews are used
_AT_ONCE = 4_000_000  # cells


class _Cut(NamedTuple):
    """A part of a sheet to be read: in its own cells, joined `factor` by `factor`."""

    factor: int
    left: int
    top: int
    right: int
    bottom: int

    @property
    def kept(self) -> int:
        return (self.right - self.left) * (self.bottom - self.top) // self.factor**2


def read_grids(
    layers: Sequence[TerrainLayer], latitude_deg: float, longitude_deg: float, reach_m: float
) -> tuple[Grid, ...]:
    """The ground within reach of a spot, finest first, in at most 30 million cells.

    Raises BadFile where a raster that is needed is gone or cannot be read.
    """
    sheets = sheets_around(layers, latitude_deg, longitude_deg, reach_m)
    half_width = float(_HALF_WIDTH)
    while True:
        cuts = [
            (sheet, cut)
            for sheet in sheets
            for cut in _cuts(sheet, latitude_deg, longitude_deg, reach_m, half_width)
        ]
        if sum(cut.kept for _, cut in cuts) <= _MOST_KEPT or half_width < 100:
            break
        half_width *= 0.8
    cuts.sort(key=lambda one: one[0].first.cell_m * one[1].factor)
    grids = (_grid(sheet, cut) for sheet, cut in cuts)
    return tuple(grid for grid in grids if not np.isnan(grid.height_m).all())


def _cuts(
    sheet: Sheet, latitude_deg: float, longitude_deg: float, reach_m: float, half_width: float
) -> Iterator[_Cut]:
    """A sheet's cuts, nearest first: each farther one in cells four times as large."""
    own, factor, last = sheet.first, 1, None
    around = (
        min(p.column for p in sheet.pieces),
        min(p.row for p in sheet.pieces),
        max(p.column + p.layer.columns for p in sheet.pieces),
        max(p.row + p.layer.rows for p in sheet.pieces),
    )
    while True:
        radius_m = min(reach_m, half_width * own.cell_m * factor)
        cut = None
        while box := box_around(own.crs, latitude_deg, longitude_deg, radius_m):
            left = max(around[0], math.floor((box[0] - sheet.x_first) / own.x_step) - 1)
            right = min(around[2], math.ceil((box[2] - sheet.x_first) / own.x_step) + 2)
            top = max(around[1], math.floor((box[3] - own.y_first) / own.y_step) - 1)
            bottom = min(around[3], math.ceil((box[1] - own.y_first) / own.y_step) + 2)
            if left >= right or top >= bottom:
                break
            area = (right - left) * (bottom - top)
            if area <= _MOST_READ or area <= _MOST_READ * _overview(sheet, factor) ** 2:
                cut = _Cut(
                    factor,
                    left // factor * factor,
                    top // factor * factor,
                    -(-right // factor) * factor,
                    -(-bottom // factor) * factor,
                )
                break
            radius_m *= 0.8
        window = None if cut is None else (left, top, right, bottom)
        if cut is not None and window != last:
            yield cut
            last = window
        if radius_m >= reach_m or window == around or factor >= 4**6:
            return
        factor *= _FACTOR


def _overview(sheet: Sheet, factor: int) -> int:
    """How many cells to a side one of the raster's own overviews joins, no more than asked."""
    if factor == 1 or len(sheet.pieces) > 1:
        return 1
    return _best_overview(sheet.first, factor)[0]


# ---------------------------------------------------------------- reading


def _grid(sheet: Sheet, cut: _Cut) -> Grid:
    own, factor = sheet.first, cut.factor
    out: Heights = np.full(
        ((cut.bottom - cut.top) // factor, (cut.right - cut.left) // factor), np.nan, np.float32
    )
    for piece in sheet.pieces:
        _lay(piece, cut, out)
    middle = (factor - 1) / 2  # the centre of a joined cell, from that of its first
    names = {Path(p.layer.path).name for p in sheet.pieces}
    return Grid(
        height_m=out,
        x_first=sheet.x_first + (cut.left + middle) * own.x_step,
        y_first=own.y_first + (cut.top + middle) * own.y_step,
        x_step=own.x_step * factor,
        y_step=own.y_step * factor,
        crs=own.crs,
        cell_m=own.cell_m * factor,
        vertical_error_m=own.vertical_error_m,
        ground=own.ground,
        name=names.pop() if len(names) == 1 else f"{len(names)} tiles",
    )


def _lay(piece: Piece, cut: _Cut, out: Heights) -> None:
    """Lay a raster's part of a cut into it, where nothing lies yet; coarse cells join."""
    layer, factor = piece.layer, cut.factor
    left, top = max(cut.left, piece.column), max(cut.top, piece.row)
    right = min(cut.right, piece.column + layer.columns)
    bottom = min(cut.bottom, piece.row + layer.rows)
    if left >= right or top >= bottom:
        return
    shrink = 1
    options: dict[str, Any] = {}
    aligned = piece.column % factor == 0 and piece.row % factor == 0
    if factor > 1 and aligned and (right - left) * (bottom - top) > _OVERVIEW_FROM:
        shrink, options = _best_overview(layer, factor)
    with opened(layer.path, layer.kind, **options) as dataset:
        _check_same(layer, dataset, shrink)
        step = factor // shrink
        wide = max(step, min(16_384, -(-(right - left) // shrink)) // step * step) * shrink
        tall = max(step, _AT_ONCE * shrink // wide // step * step) * shrink
        for row in range(top // factor * factor, bottom, tall):
            for column in range(left // factor * factor, right, wide):
                part = (
                    max(left, column),
                    max(top, row),
                    min(right, column + wide),
                    min(bottom, row + tall),
                )
                _lay_part(piece, cut, out, dataset, part, shrink)


def _lay_part(
    piece: Piece,
    cut: _Cut,
    out: Heights,
    dataset: DatasetReader,
    part: tuple[int, int, int, int],
    shrink: int,
) -> None:
    layer, factor = piece.layer, cut.factor
    left, top, right, bottom = part
    x0, y0 = (left - piece.column) // shrink, (top - piece.row) // shrink
    x1 = min(dataset.width, -(-(right - piece.column) // shrink))
    y1 = min(dataset.height, -(-(bottom - piece.row) // shrink))
    if x0 >= x1 or y0 >= y1:
        return
    if dataset.transform.e > 0:  # stored south up
        window = Window(x0, dataset.height - y1, x1 - x0, y1 - y0)
        heights = read_heights(dataset, window, layer.void_value, layer.unit_m)[::-1]
    else:
        window = Window(x0, y0, x1 - x0, y1 - y0)
        heights = read_heights(dataset, window, layer.void_value, layer.unit_m)
    step = factor // shrink
    # cells of the part's first column and row within their joined cell
    lead_x, lead_y = left % factor // shrink, top % factor // shrink
    rows = -(-(lead_y + heights.shape[0]) // step) * step
    columns = -(-(lead_x + heights.shape[1]) // step) * step
    if (rows, columns) != heights.shape:
        padded: Heights = np.full((rows, columns), np.nan, np.float32)
        padded[lead_y : lead_y + heights.shape[0], lead_x : lead_x + heights.shape[1]] = heights
        heights = padded
    joined = coarser(heights, step)
    row, column = (top - cut.top) // factor, (left - cut.left) // factor
    target = out[row : row + joined.shape[0], column : column + joined.shape[1]]
    joined = joined[: target.shape[0], : target.shape[1]]
    if factor == 1:
        np.copyto(target, joined, where=np.isnan(target))
    else:
        np.fmax(target, joined, out=target)


def _best_overview(layer: TerrainLayer, factor: int) -> tuple[int, dict[str, Any]]:
    """The coarsest overview that is no coarser than asked and divides it, as open options."""
    with opened(layer.path, layer.kind) as dataset:
        steps = dataset.overviews(1)
    good = [(step, level) for level, step in enumerate(steps) if step > 1 and factor % step == 0]
    if not good:
        return 1, {}
    step, level = max(good)
    return step, {"OVERVIEW_LEVEL": level}


def _check_same(layer: TerrainLayer, dataset: DatasetReader, shrink: int) -> None:
    declared = (-(-layer.columns // shrink), -(-layer.rows // shrink))
    if (dataset.width, dataset.height) != declared:
        raise BadFile(
            "is not the raster it was",
            path=layer.path,
            remedy="add it again with 'backbearing terrain add'",
        )
