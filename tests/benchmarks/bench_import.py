"""Importing a long track: parse, sum up and store, against gpxpy's own parse of the same text."""

from __future__ import annotations

import math
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tests.benchmarks.ratios import Row, best_of

FIXES = 200_000
BOUND_MB = 150.0

# in a process of its own, so that the peak is the import's and nobody else's
MEASURE = """
import resource, sys, time
from backbearing.notebook import open_notebook
from backbearing.plans.intake import import_files
source, target, fixes = sys.argv[1:]
with open_notebook(target, create=True) as notebook:
    begun = time.perf_counter()
    report = import_files(notebook, [source])
    took = time.perf_counter() - begun
assert report.files[0].tracks[0].summary.points == int(fixes)
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(took, peak / (2**20 if sys.platform == "darwin" else 2**10))
"""


def long_track(fixes: int = FIXES) -> str:
    """A walk of 1 Hz along a winding way, with heights and times, as a recorder writes it."""
    start = datetime(2026, 3, 14, 8, tzinfo=UTC)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.1" creator="benchmark" xmlns="http://www.topografix.com/GPX/1/1">',
        "<trk><name>long</name><trkseg>",
    ]
    for i in range(fixes):
        latitude = 47.0 + 1e-5 * i * 0.5 + 2e-4 * math.sin(i / 90)
        longitude = -21.0 + 3e-4 * math.sin(i / 130)
        height = 300 + 200 * math.sin(i / 4000)
        time = (start + timedelta(seconds=i)).strftime("%Y-%m-%dT%H:%M:%SZ")
        lines.append(
            f'<trkpt lat="{latitude:.7f}" lon="{longitude:.7f}">\n'
            f"  <ele>{height:.1f}</ele>\n  <time>{time}</time>\n</trkpt>"
        )
    lines.append("</trkseg></trk></gpx>\n")
    return "\n".join(lines)


def rows() -> Iterator[Row]:
    import gpxpy

    text = long_track()
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "long.gpx"
        source.write_text(text, encoding="utf-8")
        runs = []
        for number in range(3):
            target = str(Path(folder) / f"{number}.gpkg")
            argv = [sys.executable, "-c", MEASURE, str(source), target, str(FIXES)]
            done = subprocess.run(argv, check=True, capture_output=True, text=True)
            runs.append(tuple(map(float, done.stdout.split())))
    ours_s = min(took for took, _ in runs)
    peak_mb = max(peak for _, peak in runs)
    reference_s = best_of(lambda: gpxpy.parse(text), times=2)
    yield Row(
        f"import of {FIXES:,} fixes, times gpxpy's parse",
        ours_s / reference_s,
        "at most",
        1 / 3,
        f"({ours_s:.2f} s parsed, summed up and stored / {reference_s:.2f} s)",
    )
    yield Row("peak memory of that import [MB]", peak_mb, "at most", BOUND_MB)
