"""The notebook's own speed: reading lists cold, and storing and loading a long track."""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from backbearing.notebook import Notebook, open_notebook, tracks
from backbearing.notebook.subjects import add_camera_position, add_note, add_subject
from backbearing.records import WantedLight
from tests.benchmarks.ratios import Row, best_of, cold, numpy_import
from tests.notebook import samples

SUBJECTS, TRACKS, FIXES = 1_000, 500, 200_000
AS_ROWS = (
    "CREATE TABLE fixes (id INTEGER PRIMARY KEY, track INTEGER, x REAL, y REAL, z REAL, t INTEGER)"
)


def rows() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "notebook.gpkg"
        with open_notebook(path, create=True) as notebook:
            fill(notebook)
        yardstick = numpy_import()
        # the walks' clocks need the zone at each, which tzfpy takes 50 ms to begin to tell
        for command, bound in (("subjects", 1.5), ("tracks", 2.5)):
            took = cold([sys.executable, "-m", "backbearing", "--notebook", str(path), command])
            yield Row(
                f"cold {command} on {SUBJECTS} subjects and {TRACKS} tracks, times import numpy",
                took / yardstick,
                "at most",
                bound,
                f"{took * 1e3:.0f} ms against {yardstick * 1e3:.0f} ms",
            )
        with open_notebook(path) as notebook:
            yield from long_track(notebook)


def fill(notebook: Notebook) -> None:
    walked = samples.track(*(samples.segment(200) for _ in range(2)))
    wanted = WantedLight(delta_deg=(45.0, 135.0), months=(5, 6, 7))
    with notebook.writing():
        for number in range(TRACKS):
            original = samples.original(b"%d" % number)
            original_id = tracks.store_original(notebook, original)
            tracks.store_track(notebook, original_id, walked, samples.summary(walked))
        for number in range(SUBJECTS):
            subject = replace(
                samples.subject(f"subject {number}"), words="three words here", wanted=wanted
            )
            subject_id = add_subject(notebook, subject).id
            add_camera_position(notebook, samples.camera_position(subject_id))
            add_note(notebook, samples.note(subject_id))


def long_track(notebook: Notebook) -> Iterator[Row]:
    """A segment as one blob, against the same fixes as one row each, and as JSON."""
    walked = samples.track(samples.segment(FIXES))
    (segment,) = walked.segments

    def as_blob() -> int:
        with notebook.writing():
            return tracks.store_track(notebook, 1, walked, samples.summary(walked))

    def as_rows() -> None:
        columns = (
            segment.longitude_deg.tolist(),
            segment.latitude_deg.tolist(),
            segment.height_m.tolist(),
            segment.time.astype(np.int64).tolist(),
        )
        with notebook.writing():
            notebook.connection.executemany(
                "INSERT INTO fixes VALUES (NULL, 1, ?, ?, ?, ?)", zip(*columns, strict=True)
            )

    notebook.connection.execute(AS_ROWS)
    blob_s, rows_s = best_of(as_blob), best_of(as_rows, 3)
    yield Row(
        f"store a segment of {FIXES} fixes, times the same as rows",
        blob_s / rows_s,
        "at most",
        0.25,
        f"{blob_s * 1e3:.0f} ms against {rows_s * 1e3:.0f} ms",
    )
    track_id = as_blob()
    text = json.dumps(segment.longitude_deg.tolist())
    load_s = best_of(lambda: tracks.load_track(notebook, track_id))
    json_s = best_of(lambda: json.loads(text))
    yield Row(
        f"load a track of {FIXES} fixes, times json.loads of one of its four columns",
        load_s / json_s,
        "at most",
        1.0,
        f"{load_s * 1e3:.0f} ms against {json_s * 1e3:.0f} ms",
    )
