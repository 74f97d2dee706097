"""Which ground is in sun: a million cells at one instant, beside running maxima over the same.

python -m tests.benchmarks bench_shadow
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from backbearing.models.castshadow import in_sun
from backbearing.models.relief import contour_levels_m, contours, hillshade
from backbearing.records import Grid
from tests.benchmarks.ratios import Row, best_of

CELLS, CELL_M = 1000, 10.0


def ground(cells: int, cell_m: float, seed: int = 1) -> Grid:
    """Made ground, 900 m from low to high, about 47°N 21°W."""
    rng = np.random.default_rng(seed)
    k = np.hypot(*np.meshgrid(np.fft.fftfreq(cells), np.fft.fftfreq(cells)))
    k[0, 0] = 1.0
    height = np.fft.ifft2(np.exp(2j * np.pi * rng.random((cells, cells))) * k**-2.2).real
    height = (height - height.min()) / np.ptp(height) * 900.0
    return Grid(
        height_m=height.astype(np.float32),
        x_first=500_000.0 - cell_m * (cells - 1) / 2,
        y_first=5_205_165.0 + cell_m * (cells - 1) / 2,
        x_step=cell_m,
        y_step=-cell_m,
        crs="EPSG:32627",
        cell_m=cell_m,
        vertical_error_m=5.0,
        ground="bare ground",
    )


def rows() -> Iterator[Row]:
    area, wide = ground(CELLS, CELL_M), ground(CELLS, 3.0 * CELL_M, 2)
    in_sun(area, 0.0, 10.0)  # the projection is looked up once

    def maxima() -> None:
        for _ in range(10):
            np.maximum.accumulate(area.height_m, axis=0)

    reference = best_of(maxima)
    for words, azimuth_deg in (("from 20°", 20.0), ("from 110°", 110.0), ("from 225°", 225.0)):
        took = best_of(lambda azimuth_deg=azimuth_deg: in_sun(area, azimuth_deg, 12.0))
        yield Row(
            f"cast shadow of 1,000 × 1,000 cells, sun {words} / ten maximum.accumulate",
            took / reference,
            "at most",
            0.5,
            f"({took * 1e3:.1f} ms / {reference * 1e3:.1f} ms)",
        )
    # no bound was set for these three
    for words, bound, call in (
        ("with ground around", 4.0, lambda: in_sun(area, 225.0, 12.0, around=[wide])),
        ("hillshade", 4.0, lambda: hillshade(area)),
        ("contours each 20 m", 6.0, lambda: contours(area, contour_levels_m(area, 20.0))),
    ):
        took = best_of(call, times=3)
        yield Row(
            f"{words}, 1,000 × 1,000 cells / ten maximum.accumulate",
            took / reference,
            "at most",
            bound,
            f"({took * 1e3:.0f} ms / {reference * 1e3:.1f} ms; a watch, not a promise)",
        )
