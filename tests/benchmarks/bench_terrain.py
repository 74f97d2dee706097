"""Terrain far larger than memory should take: what a skyline out of it costs in a fresh process."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from tests.benchmarks.ratios import Row, best_of

SIDE = 10_000  # cells of 10 m
_ASK = """
import resource, sys, time
from backbearing.plans.skyline import skyline_at
from backbearing.readers.terrain import open_terrain
begun = time.perf_counter()
terrain = open_terrain(sys.argv[1])
described = time.perf_counter() - begun
begun = time.perf_counter()
skyline = skyline_at(terrain, 47.0, -21.0)
asked = time.perf_counter() - begun
assert skyline.reach_m.min() > 49_000, skyline.basis
peak_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(peak_kb / 1024, described, asked)
"""


def rows() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.tif"
        write_large(path)
        done = subprocess.run(
            [sys.executable, "-c", _ASK, str(path)], capture_output=True, text=True, check=True
        )
        peak_mb, described_s, asked_s = map(float, done.stdout.split())
        yield Row(
            f"memory of a skyline with 50 km reach out of {SIDE:,} × {SIDE:,} cells, MB",
            peak_mb,
            "at most",
            300,
            f"described in {described_s:.2f} s, worked out in {asked_s:.2f} s",
        )
        read_s = best_of(lambda: read_all(path), times=1)
        yield Row(
            "time of that skyline, times reading the raster whole",
            asked_s / read_s,
            "at most",
            3.0,
            f"{asked_s:.2f} s against {read_s:.2f} s",
        )


def read_all(path: Path) -> None:
    """Each cell once, strip by strip, with nothing done to it."""
    import rasterio
    from rasterio.windows import Window

    with rasterio.open(path) as raster:
        for row in range(0, raster.height, 512):
            tall = min(512, raster.height - row)
            raster.read(1, window=Window(0, row, raster.width, tall))


def write_large(path: Path) -> None:
    """Invented hills on 100 × 100 km around 47° N 21° W, tiled and packed, no block left out."""
    import rasterio
    from rasterio import Affine
    from rasterio.windows import Window

    half_m = SIDE * 5.0
    with rasterio.open(
        path,
        "w",
        driver="GTiff",
        width=SIDE,
        height=SIDE,
        count=1,
        dtype="int16",
        nodata=-32768,
        crs="EPSG:32627",
        transform=Affine(10, 0, 500_000 - half_m, 0, -10, 5_205_000 + half_m),
        tiled=True,
        blockxsize=512,
        blockysize=512,
        compress="deflate",
        zlevel=1,
    ) as raster:
        across = np.sin(np.arange(SIDE) / 170.0) * 200
        for row in range(0, SIDE, 512):
            tall = min(512, SIDE - row)
            down = np.cos(np.arange(row, row + tall) / 230.0) * 150
            hills = (400 + across + down[:, None]).astype(np.int16)
            raster.write(hills, 1, window=Window(0, row, SIDE, tall))
