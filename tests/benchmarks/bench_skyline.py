"""One skyline beside a plain half-cell ray, r.horizon where it is installed, and a fine ray.

python -m tests.benchmarks bench_skyline

Timed: `models.skyline.skyline` from grids in memory, projection opened (a process opens it once,
about as long as ten skylines); the plain ray likewise; r.horizon's process from start to end
inside a running GRASS session, its file reading included.
"""

from __future__ import annotations

import math
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from backbearing.models.skyline import skyline
from backbearing.records import Grid
from tests.benchmarks.horizon_rays import Floats, fine_ray, jacksboro, plain_ray, rolling
from tests.benchmarks.ratios import Row, best_of

AZIMUTHS = np.arange(0.0, 360.0, 0.5)
SOME = slice(0, 720, 8)


def side_by_side(grid: Grid, spot: tuple[float, float], reach_m: float) -> tuple[float, float]:
    """Seconds of ours and of the plain ray, in turn, so that both meet the same machine."""
    ours, plain = [], []
    for _ in range(5):
        ours.append(best_of(lambda: skyline([grid], *spot, reach_m=reach_m), times=8))
        plain.append(best_of(lambda: plain_ray(grid, *spot, AZIMUTHS, reach_m), times=1))
    return min(ours), min(plain)


def misses_deg(grid: Grid, spots: list[tuple[float, float]], reach_m: float) -> Floats:
    """How far our altitudes are from the fine ray's."""
    found = []
    for spot in spots:
        seen = skyline([grid], *spot, reach_m=reach_m)
        truth, _ = fine_ray(grid, *spot, AZIMUTHS[SOME], reach_m)
        sea = -math.degrees(
            math.atan(2 * math.sqrt(max(seen.eye_height_m, 0) * 0.87 / 2 / 6.371e6))
        )
        found.append(np.abs(seen.altitude_deg[SOME] - np.maximum(truth, sea)))
    return np.concatenate(found)


def r_horizon_s(grid: Grid, column: int, row: int, reach_m: float) -> float | None:
    """Seconds of r.horizon's whole process at a cell's centre; None where GRASS is not there."""
    if not shutil.which("grass"):
        return None
    x, y = grid.x_first + column * grid.x_step, grid.y_first + row * grid.y_step
    rows, columns = grid.height_m.shape
    with tempfile.TemporaryDirectory() as folder:
        raw = Path(folder, "ground.bin")
        raw.write_bytes(grid.height_m.astype("<f4").tobytes())
        north, west = grid.y_first - grid.y_step / 2, grid.x_first - grid.x_step / 2
        job = Path(folder, "job.sh")
        job.write_text(
            f"r.in.bin -f input={raw} output=ground bytes=4 north={north!r} "
            f"south={north + rows * grid.y_step!r} west={west!r} "
            f"east={west + columns * grid.x_step!r} rows={rows} cols={columns} --q\n"
            "g.region raster=ground\n"
            "for i in 1 2 3 4 5 6 7 8 9; do\n"
            "a=$(date +%s%N)\n"
            f"r.horizon -d -c elevation=ground coordinates={x!r},{y!r} step=0.5 direction=0 "
            f"maxdistance={reach_m!r} file={folder}/out.txt --o --q 2>/dev/null\n"
            f"b=$(date +%s%N); echo $((b-a)) >> {folder}/took\n"
            "done\n"
        )
        home = f"{folder}/place"
        run = {"check": True, "capture_output": True}
        subprocess.run(["grass", "-c", grid.crs, "-e", home], **run)  # type: ignore[call-overload]
        subprocess.run(["grass", f"{home}/PERMANENT", "--exec", "bash", str(job)], **run)  # type: ignore[call-overload]
        return min(int(line) for line in Path(folder, "took").read_text().split()) / 1e9


def rows() -> Iterator[Row]:
    srtm, hills = jacksboro(), rolling(3000, 10.0)
    near = (36.58916666666667, -84.245)
    for name, grid, spot, cell, reach_m, bounds in (
        ("SRTM 344 × 403", srtm, near, (202, 172), 30_000.0, (6.0, 10.0)),
        ("3,000 × 3,000 of 10 m", hills, (47.0003, -21.0004), (1500, 1500), 20_000.0, (10.0, 15.0)),
    ):
        ours, plain = side_by_side(grid, spot, reach_m)
        figures = f"({plain * 1e3:.1f} ms / {ours * 1e3:.2f} ms)"
        yield Row(
            f"skyline, {name}: plain half-cell ray / ours",
            plain / ours,
            "at least",
            bounds[0],
            figures,
        )
        other = r_horizon_s(grid, *cell, reach_m)
        if other is not None:
            figures = f"({other * 1e3:.0f} ms / {ours * 1e3:.2f} ms)"
            yield Row(
                f"skyline, {name}: r.horizon / ours", other / ours, "at least", bounds[1], figures
            )
        offsets = [(0.0, 0.0), (0.021, 0.033), (-0.034, 0.012)]
        misses = misses_deg(grid, [(spot[0] + a, spot[1] + b) for a, b in offsets], reach_m)
        yield Row(
            f"skyline, {name}: median miss of a fine ray [deg]",
            float(np.median(misses)),
            "at most",
            0.01,
        )
        yield Row(
            f"skyline, {name}: 95th percentile of it [deg]",
            float(np.percentile(misses, 95)),
            "at most",
            0.1,
            f"(worst {misses.max():.2f})",
        )
