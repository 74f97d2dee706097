"""Least time over a million cells and sixteen moves, beside scipy's search of the same graph.

python -m tests.benchmarks bench_leasttime
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from backbearing.models.leasttime import Ground, _moves, least_time
from backbearing.models.walking import din_s_per_m, swiss_s_per_m, tobler_s_per_m
from tests.benchmarks.ratios import Row, best_of

CELLS, CELL_M = 1000, 10.0


def ground() -> Ground:
    y, x = np.mgrid[0:CELLS, 0:CELLS] * CELL_M
    height = 300 * np.sin(x / 1500) * np.cos(y / 1100) + 40 * np.sin(x / 170 + y / 230)
    shape = (CELLS, CELLS)
    return Ground(
        height_m=height,
        slower=np.full(shape, 5.0 / 3.0),
        closed=np.zeros(shape, dtype=bool),
        barred=np.zeros(shape, dtype=np.uint16),
        cell_x_m=CELL_M,
        cell_y_m=CELL_M,
    )


def peak_mb() -> float:
    lines = Path("/proc/self/status").read_text().splitlines()
    return float(next(line.split()[1] for line in lines if line.startswith("VmHWM"))) / 1024.0


def rows() -> Iterator[Row]:
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import dijkstra

    area, start = ground(), (CELLS // 2, CELLS // 2)
    took = {
        name: best_of(lambda rule=rule: least_time(area, start, rule, steepest=1.0), times=3)
        for name, rule in (
            ("DIN", din_s_per_m),
            ("Tobler", tobler_s_per_m),
            ("Swiss", swiss_s_per_m),
        )
    }
    peak = peak_mb()  # before the reference's own graph is built
    cost, target = _moves(area, tobler_s_per_m, towards=False, steepest=1.0)
    count = CELLS * CELLS
    graph = csr_array(
        (cost, target, np.arange(0, 16 * count + 1, 16, dtype=np.int32)), shape=(count, count)
    )
    source = start[0] * CELLS + start[1]
    reference = best_of(lambda: dijkstra(graph, indices=source), times=3)
    for name, seconds in took.items():
        yield Row(
            f"least time, 1,000 × 1,000 cells, 16 moves, {name} / dijkstra() on the built graph",
            seconds / reference,
            "at most",
            3.0,
            f"({seconds:.2f} s / {reference:.2f} s)",
        )
    yield Row("least time, peak memory [MB]", peak, "at most", 700.0)
