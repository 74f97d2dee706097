"""How soon `light` answers from a cold start, times `python -c "import numpy"`.

No zone is set in these notebooks; each subject brought its own along when it was put on record.
"""

from __future__ import annotations

import shutil
import statistics
import sys
from collections.abc import Iterator
from datetime import time
from pathlib import Path
from tempfile import TemporaryDirectory

from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_camera_position, add_subject
from backbearing.records import Bearing, CameraPosition, OtherSky, Place, Subject, WantedLight
from tests.benchmarks.ratios import Row, cold, numpy_import

WISH = WantedLight(
    direct_sun=True,
    delta_deg=(45.0, 135.0),
    sun_altitude_deg=(5.0, 25.0),
    before_last_sun_min=(0.0, 240.0),
    other_sky=OtherSky(earliest=time(10, 30), latest=time(15)),
)


def make_notebook(path: Path, subjects: int) -> None:
    """Subjects along a made-up coast, each with a bearing and every second with a wish."""
    with open_notebook(path, create=True) as notebook, notebook.writing():
        for i in range(subjects):
            place = Place(
                latitude_deg=47.0 + i * 0.01,
                longitude_deg=-21.0 + i * 0.013,
                error_m=20.0,
                error_basis="assumed: trees",
            )
            wanted = WISH if i % 2 == 0 else None
            subject = add_subject(
                notebook, Subject(name=f"subject {i}", place=place, wanted=wanted)
            )
            bearing = Bearing(true_deg=(215 + 37 * i) % 360, error_deg=2.0, as_written="215T")
            add_camera_position(
                notebook, CameraPosition(place=place, bearing=bearing, subject_id=subject.id)
            )


def rows() -> Iterator[Row]:
    yardstick = numpy_import()
    with TemporaryDirectory() as folder:
        path = Path(folder) / "notebook.gpkg"
        make_notebook(path, 100)
        command = [sys.executable, "-m", "backbearing", "--notebook", str(path), "light"]
        for name, words, bound in (
            ("a year, one subject", ["subject 0", "--from", "2026-11-28"], 5.0),
            ("a fortnight, 100 subjects", ["--from", "2026-11-28"], 7.0),
        ):
            took = cold([*command, *words])
            yield Row(
                f"cold light, {name}, times import numpy",
                took / yardstick,
                "at most",
                bound,
                f"{took * 1e3:.0f} ms against {yardstick * 1e3:.0f} ms",
            )
        yield from over_ground(Path(folder), yardstick)


def over_ground(folder: Path, yardstick: float) -> Iterator[Row]:
    """The demo's island: the skyline and its four neighbours made afresh, and kept ones."""
    from backbearing.plans.demo import demo_terrain
    from backbearing.plans.terrain import add_terrain

    place = Place(
        latitude_deg=47.003218,
        longitude_deg=-21.000535,
        error_m=40.0,
        error_basis="assumed: under walls",
    )
    path, fresh = folder / "island.gpkg", folder / "fresh.gpkg"
    with open_notebook(path, create=True) as notebook:
        with notebook.writing():
            add_subject(notebook, Subject(name="winding house", place=place, wanted=WISH))
        add_terrain(notebook, demo_terrain(), ground="bare ground")
    words = ["light", "winding house", "--from", "2026-11-28"]
    taken = []
    for _ in range(7):
        shutil.copyfile(path, fresh)
        taken.append(
            cold([sys.executable, "-m", "backbearing", "--notebook", str(fresh), *words], 1)
        )
    kept = cold([sys.executable, "-m", "backbearing", "--notebook", str(fresh), *words])
    for name, took in (("fresh", statistics.median(taken)), ("kept", kept)):
        yield Row(
            f"cold light, a year over the ground, {name} skyline, times import numpy",
            took / yardstick,
            "at most",
            6.5,
            f"{took * 1e3:.0f} ms against {yardstick * 1e3:.0f} ms",
        )
