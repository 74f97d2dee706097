"""`light` for 100 subjects over a year of real ground: linear, and shared between two processes.

Wall time of whole cold processes, runs of each kind in turn; the shortest of each counts, since
a machine that does something else besides only makes it longer.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_camera_position, add_subject
from backbearing.plans.demo import demo_terrain
from backbearing.plans.terrain import add_terrain
from backbearing.records import Bearing, CameraPosition, Place, Subject
from tests.benchmarks.bench_light import WISH
from tests.benchmarks.ratios import Row

SUBJECTS, FEW = 100, 25
TIMES = 3


def on_the_island(path: Path, count: int) -> None:
    """Subjects over the demo's ground, each with a bearing and every second with a wish."""
    with open_notebook(path, create=True) as notebook:
        with notebook.writing():
            for i in range(count):
                place = Place(
                    latitude_deg=46.99 + i % 10 * 0.004,
                    longitude_deg=-21.02 + i // 10 * 0.004,
                    error_m=40.0,
                    error_basis="assumed: under walls",
                )
                wanted = WISH if i % 2 == 0 else None
                subject = add_subject(
                    notebook, Subject(name=f"subject {i}", place=place, wanted=wanted)
                )
                bearing = Bearing(true_deg=(215 + 37 * i) % 360, error_deg=2.0, as_written="215T")
                add_camera_position(
                    notebook, CameraPosition(place=place, bearing=bearing, subject_id=subject.id)
                )
        add_terrain(notebook, demo_terrain(), ground="bare ground")


def took_s(notebook: Path, processes: int) -> float:
    words = ["light", "--from", "2026-11-28", "--to", "2027-11-27", "--processes", str(processes)]
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "backbearing", "--notebook", str(notebook), *words],
        check=True,
        capture_output=True,
        env=env,
    )
    return time.perf_counter() - start


def rows() -> Iterator[Row]:
    with TemporaryDirectory() as folder:
        many, few, used = (Path(folder) / f"{name}.gpkg" for name in ("many", "few", "used"))
        on_the_island(many, SUBJECTS)
        on_the_island(few, FEW)
        fresh: dict[tuple[int, int], list[float]] = {}
        kept: dict[int, list[float]] = {}
        for _ in range(TIMES):
            for path, count, processes in ((few, FEW, 1), (many, SUBJECTS, 1), (many, SUBJECTS, 2)):
                shutil.copyfile(path, used)
                fresh.setdefault((count, processes), []).append(took_s(used, processes))
                if count == SUBJECTS:
                    kept.setdefault(processes, []).append(took_s(used, processes))
        best = {key: min(taken) for key, taken in fresh.items()}
        one, two = best[SUBJECTS, 1], best[SUBJECTS, 2]
        name = f"light, {SUBJECTS} subjects over a year of ground"
        yield Row(
            f"{name}, skylines made afresh, two processes: times as fast as one",
            one / two,
            "at least",
            1.6,
            f"{two:.1f} s against {one:.1f} s",
        )
        alone, shared = min(kept[1]), min(kept[2])
        yield Row(
            f"{name}, skylines kept, two processes: times as fast as one",
            alone / shared,
            "at least",
            1.6,
            f"{shared:.1f} s against {alone:.1f} s",
        )
        yield Row(
            f"{name}, for each subject, times what each of {FEW} takes",
            (one / SUBJECTS) / (best[FEW, 1] / FEW),
            "at most",
            1.15,
            f"{one / SUBJECTS * 1e3:.0f} ms against {best[FEW, 1] / FEW * 1e3:.0f} ms",
        )
