"""An own pace from a million fixes in a notebook, streamed: seconds for five million, and memory.

python -m tests.benchmarks bench_pace
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from backbearing.models.walk import summarise
from backbearing.models.walking import tobler_s_per_m
from backbearing.notebook import open_notebook
from backbearing.notebook.tracks import store_original, store_track
from backbearing.plans.pace import pace_of
from backbearing.records import Original, Segment, Track
from tests.benchmarks.ratios import Row

WALKS, FIXES = 40, 25_000  # a fix a second: seven hours each


def walk(number: int) -> Track:
    rng = np.random.default_rng(number)
    clock = np.arange(FIXES, dtype=float)
    slope = np.repeat(rng.uniform(-0.2, 0.2, FIXES // 500), 500)
    speed = 1.0 / tobler_s_per_m(slope)
    north = np.cumsum(speed) + rng.normal(0.0, 1.0, FIXES)
    return Track(
        name=f"walk {number}",
        segments=(
            Segment(
                latitude_deg=46.0 + north / 111_200.0,
                longitude_deg=np.full(FIXES, 8.0 + number / 100.0),
                height_m=1000.0 + np.cumsum(slope * speed),
                time=np.datetime64("2026-05-01T08:00", "ms")
                + (clock * 1000).astype("timedelta64[ms]")
                + np.timedelta64(number, "D"),
            ),
        ),
    )


def peak_mb() -> float:
    lines = Path("/proc/self/status").read_text().splitlines()
    return float(next(line.split()[1] for line in lines if line.startswith("VmHWM"))) / 1024.0


def rows() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "notebook.gpkg"
        with open_notebook(path, create=True) as notebook, notebook.writing():
            for number in range(WALKS):
                original = Original(
                    sha256=f"{number:064d}", file_name=f"{number}.gpx", media="gpx", content=b""
                )
                track = walk(number)
                store_track(notebook, store_original(notebook, original), track, summarise(track))
        with open_notebook(path, readonly=True) as notebook:
            began = time.perf_counter()
            pace = pace_of(notebook)
            took = time.perf_counter() - began
    million = WALKS * FIXES / 1e6
    yield Row(
        "own pace from 5 million fixes [s]",
        took * 5.0 / million,
        "at most",
        10.0,
        f"({took:.2f} s for {million:.0f} million, {pace.basis})",
    )
    yield Row("own pace, peak memory [MB]", peak_mb(), "at most", 300.0)
