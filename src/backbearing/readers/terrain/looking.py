"""A look at a raster's heights: voids, lowest and highest, without loading it whole."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from rasterio.windows import Window

from backbearing.errors import BadFile
from backbearing.readers.terrain.heights import read_heights

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from numpy.typing import NDArray
    from rasterio import DatasetReader

_HIGHEST_M, _LOWEST_M = 9_000.0, -12_000.0  # over and under all ground and sea floor
_LOOKED_AT_WHOLE = 4_000_000  # cells; of more, a sample
_SAMPLES, _SAMPLE_SIDE = 8, 256  # 8 × 8 windows of 256 × 256
_MOST_SEARCHED = 100_000_000  # cells, for a first height where the samples held none


class Looked(NamedTuple):
    cells: int
    voids: int
    lowest_m: float
    highest_m: float


def look(path: Path, dataset: DatasetReader, void_value: float | None, unit_m: float) -> Looked:
    """Voids, lowest and highest of all cells, or of windows spread over a large raster."""
    seen = Looked(0, 0, math.inf, -math.inf)
    large = dataset.width * dataset.height > _LOOKED_AT_WHOLE
    for window in _samples(dataset) if large else _strips(dataset):
        seen = _joined(seen, read_heights(dataset, window, void_value, unit_m))
    if large and seen.voids == seen.cells:
        for window in _strips(dataset):
            seen = _joined(seen, read_heights(dataset, window, void_value, unit_m))
            if seen.voids < seen.cells or seen.cells > _MOST_SEARCHED:
                break
    if seen.voids == seen.cells:
        raise BadFile(
            f"holds no height in any of the {seen.cells:,} cells looked at",
            path=path,
            remedy="see that it is the right file and copied whole",
        )
    if seen.highest_m > _HIGHEST_M or seen.lowest_m < _LOWEST_M:
        wrong_m = seen.highest_m if seen.highest_m > _HIGHEST_M else seen.lowest_m
        raise BadFile(
            f"holds a height of {wrong_m:,.0f} m, which no ground has",
            path=path,
            remedy="say --units ft if it is in feet, or save it again with its void value declared",
        )
    return seen


def _joined(seen: Looked, heights: NDArray[np.float32]) -> Looked:
    voids = int(np.isnan(heights).sum())
    return Looked(
        seen.cells + heights.size,
        seen.voids + voids,
        min(seen.lowest_m, float(np.nanmin(heights)) if voids < heights.size else math.inf),
        max(seen.highest_m, float(np.nanmax(heights)) if voids < heights.size else -math.inf),
    )


def _samples(dataset: DatasetReader) -> Iterator[Window]:
    columns, rows = min(dataset.width, _SAMPLE_SIDE), min(dataset.height, _SAMPLE_SIDE)
    for down in range(_SAMPLES):
        for across in range(_SAMPLES):
            yield Window(
                (dataset.width - columns) * across // (_SAMPLES - 1),
                (dataset.height - rows) * down // (_SAMPLES - 1),
                columns,
                rows,
            )


def _strips(dataset: DatasetReader) -> Iterator[Window]:
    wide = min(dataset.width, 16_384)
    tall = max(1, _LOOKED_AT_WHOLE // wide)
    for row in range(0, dataset.height, tall):
        for column in range(0, dataset.width, wide):
            yield Window(
                column, row, min(wide, dataset.width - column), min(tall, dataset.height - row)
            )
