"""How soon `outing` answers from a cold start on the demo's island, times `import numpy`.

Nothing is kept beforehand: the skylines of the way, the way, the clock and what is near are all in
it.
"""

from __future__ import annotations

import os
import shutil
import statistics
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.benchmarks.ratios import Row, cold, numpy_import

BOUND = 25.0


def rows() -> Iterator[Row]:
    yardstick = numpy_import()
    with TemporaryDirectory() as folder:
        demo = Path(folder) / "demo"
        backbearing = [sys.executable, "-m", "backbearing"]
        subprocess.run([*backbearing, "demo", "--out", str(demo)], check=True, capture_output=True)
        made, fresh = demo / "island.gpkg", demo / "fresh.gpkg"
        words = ["outing", "winding house", "--start", "landing stage", "--drive", "40min"]
        for name, more in (
            ("a day that works", ["--date", "2026-12-22", "--back-by", "17:00"]),
            ("no day works", ["--date", "2026-12-22", "--back-by", "08:00"]),
        ):
            taken = []
            for _ in range(7):
                shutil.copyfile(made, fresh)
                with TemporaryDirectory() as cache:
                    env = {**os.environ, "XDG_CACHE_HOME": cache}
                    argv = [*backbearing, "--notebook", str(fresh), *words, *more]
                    taken.append(cold(argv, 1, env=env))
            took = statistics.median(taken)
            yield Row(
                f"cold outing, {name}, times import numpy",
                took / yardstick,
                "at most",
                BOUND,
                f"{took * 1e3:.0f} ms against {yardstick * 1e3:.0f} ms",
            )
