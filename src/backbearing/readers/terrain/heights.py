"""Heights out of an open raster: what is no height becomes nan, and cells join into larger ones."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from rasterio import DatasetReader
    from rasterio.windows import Window

    Heights = NDArray[np.float32]

BLOCK_CELLS = 4096 * 4096  # of a packed block, which GDAL unpacks whole
_UNDECLARED_VOIDS = (-32768.0, -32767.0, -9999.0, -99999.0)  # common practice, no source
_BEYOND_ALL = 1e6  # float fillings such as ±3.4e38, in any unit of height
CREST = 0.5  # of the way from the mean of the joined cells to their highest, see `coarser`


def read_heights(
    dataset: DatasetReader, window: Window, void_value: float | None, unit_m: float
) -> Heights:
    """Heights [m] of a window (rows, columns), nan where void, as the file has its rows.

    Void is what the file declares so or masks, `void_value`, the fillings commonly left
    undeclared, and blocks that a sparse GeoTIFF declares but does not hold (GDAL reads 0).
    """
    cells = dataset.read(1, window=window)
    heights: Heights = cells.astype(np.float32)
    void = _voids(dataset, window, cells, void_value)
    scale, offset = dataset.scales[0] * unit_m, dataset.offsets[0] * unit_m
    if (scale, offset) != (1.0, 0.0):
        heights *= np.float32(scale)
        heights += np.float32(offset)
    if void is not None:
        heights[void] = np.nan
    if dataset.driver == "GTiff":
        _blank_absent(dataset, window, heights)
    return heights


def _voids(
    dataset: DatasetReader, window: Window, cells: NDArray[Any], void_value: float | None
) -> NDArray[np.bool_] | None:
    """Which cells hold no height, before any of them is cast; None where all do.

    Their span alone mostly tells that none is a filling, which spares a pass for each.
    """
    flags = {flag.name for flag in dataset.mask_flag_enums[0]}
    masked = not flags & {"nodata", "all_valid"}
    lowest, highest = float(cells.min()), float(cells.max())  # nan where any is
    fillings = {dataset.nodata, void_value, *_UNDECLARED_VOIDS} - {None}
    sound = lowest > -_BEYOND_ALL and highest < _BEYOND_ALL
    if sound and not masked and not any(lowest <= one <= highest for one in fillings):
        return None
    with np.errstate(invalid="ignore"):
        void: NDArray[np.bool_] = ~((cells > -_BEYOND_ALL) & (cells < _BEYOND_ALL))
    for filling in fillings:
        void |= cells == filling
    if masked:
        void |= dataset.read_masks(1, window=window) == 0
    return void


def _blank_absent(dataset: DatasetReader, window: Window, heights: Heights) -> None:
    tall, wide = dataset.block_shapes[0]
    rows = range(window.row_off // tall, -(-(window.row_off + window.height) // tall))
    columns = range(window.col_off // wide, -(-(window.col_off + window.width) // wide))
    for down in rows:
        for across in columns:
            if dataset.get_tag_item(f"BLOCK_OFFSET_{across}_{down}", "TIFF", 1) is None:
                top, left = down * tall - window.row_off, across * wide - window.col_off
                heights[max(0, top) : max(0, top + tall), max(0, left) : max(0, left + wide)] = (
                    np.nan
                )


def coarser(heights: Heights, factor: int) -> Heights:
    """Heights in cells `factor` times as large (rows and columns must divide by it).

    Halfway between the mean and the highest of the cells joined: the mean alone lowers crests,
    the highest alone widens them, and on real mountains (two 30 m models of California, joined
    by fours from 120 cells on) both were off by as much, 0.04 to 0.06° in the median and 0.2°
    at the 95th percentile; halfway it was under 0.005° and under 0.1°. Void cells do not count.
    """
    if factor == 1:
        return heights
    void = np.isnan(heights)
    if not void.any():
        total = _joined(np.add, heights, factor)
        joined = _joined(np.maximum, heights, factor)
        joined *= CREST
        joined += total * np.float32((1 - CREST) / factor**2)
        return joined
    count = _joined(np.add, (~void).astype(np.float32), factor)
    total = _joined(np.add, np.where(void, np.float32(0), heights), factor)
    joined = _joined(np.fmax, heights, factor)
    with np.errstate(invalid="ignore", divide="ignore"):
        return joined * np.float32(CREST) + total / count * np.float32(1 - CREST)


def _joined(join: np.ufunc, heights: Heights, factor: int) -> Heights:
    """Rows joined first: they lie together in memory."""
    rows = heights[::factor].copy()
    for row in range(1, factor):
        join(rows, heights[row::factor], out=rows)
    cells = rows[:, ::factor].copy()
    for column in range(1, factor):
        join(cells, rows[:, column::factor], out=cells)
    return cells
