"""Two programs at once, and a program killed in the middle: nothing is lost, nothing is half."""

from __future__ import annotations

import contextlib
import random
import subprocess
import sys
import time
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path

from tests.forked import started
from tests.notebook import samples

from backbearing.notebook import open_notebook, tracks
from backbearing.notebook.integrity import check
from backbearing.notebook.subjects import list_subjects

COUNTING = """
import sys
from dataclasses import replace
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_subject, list_subjects, update_subject
from backbearing.records import Place, Subject

path, who, times = sys.argv[1], sys.argv[2], int(sys.argv[3])
place = Place(latitude_deg=47, longitude_deg=-21, error_m=10, error_basis="given")
for number in range(times):
    with open_notebook(path, create=True) as notebook, notebook.writing():
        add_subject(notebook, Subject(name=f"{who} {number}", place=place))
        everyone = {s.name: s for s in list_subjects(notebook)}
        shared = everyone.get("shared") or add_subject(
            notebook, Subject(name="shared", place=place, words="0"))
        update_subject(notebook, replace(shared, words=str(int(shared.words) + 1)))
"""


def test_programs_that_write_at_once_wait_for_each_other_and_lose_nothing(tmp_path: Path) -> None:
    """Each adds its own subjects and counts one up that all share; none is there at first."""
    path, times = tmp_path / "n.gpkg", 15
    running = [
        subprocess.Popen([sys.executable, "-c", COUNTING, str(path), who, str(times)])
        for who in ("one", "two", "three")
    ]
    assert [program.wait(timeout=120) for program in running] == [0, 0, 0]
    with open_notebook(path) as notebook:
        by_name = {subject.name: subject for subject in list_subjects(notebook)}
        assert by_name.pop("shared").words == str(3 * times)
        assert set(by_name) == {
            f"{who} {number}" for who in ("one", "two", "three") for number in range(times)
        }
        assert check(notebook) == []
    assert [p.name for p in tmp_path.iterdir()] == ["n.gpkg"]


def store_for_ever(path: Path, said: Connection) -> None:
    """Store file after file, saying the number of each once it is on record."""
    walked = samples.track(*(samples.segment(20_000) for _ in range(3)))
    with open_notebook(path) as notebook:
        # so little memory that the file itself is written to long before the commit
        notebook.connection.execute("PRAGMA cache_size = 4")
        (number,) = notebook.rows("SELECT count(*) FROM originals")[0]
        while True:
            number += 1
            with notebook.writing():
                original = samples.original(b"%d" % number, f"{number}.gpx")
                original_id = tracks.store_original(notebook, original)
                for _ in range(3):
                    tracks.store_track(notebook, original_id, walked, samples.summary(walked))
                tracks.store_waypoint(notebook, original_id, samples.route().points[0])
            said.send(number)


def test_a_kill_in_the_middle_of_an_import_leaves_the_notebook_as_it_was(tmp_path: Path) -> None:
    """kill -9, many times, at any moment: what was said to be stored is there, whole."""
    path = tmp_path / "n.gpkg"
    open_notebook(path, create=True).close()
    chance, journals, stored = random.Random(2), 0, 0
    for _ in range(12):
        hearing, saying = Pipe(duplex=False)
        program = started(store_for_ever, path, saying)
        saying.close()
        said = hearing.recv()
        time.sleep(chance.uniform(0.0, 0.06))
        program.kill()
        program.join()
        with contextlib.suppress(EOFError):
            while True:
                said = hearing.recv()
        hearing.close()
        journals += path.with_name("n.gpkg-journal").exists()
        with open_notebook(path, readonly=True) as notebook:
            files = [row[0] for row in notebook.rows("SELECT file_name FROM originals ORDER BY id")]
            stored = len(files)
            # the last may have been committed and killed before it could say so
            assert stored in (said, said + 1)
            assert files == [f"{number}.gpx" for number in range(1, stored + 1)]
            assert len(tracks.list_tracks(notebook)) == 3 * stored
            assert len(tracks.list_waypoints(notebook)) == stored
            assert notebook.rows("PRAGMA integrity_check")[0][0] == "ok"
            (segments,) = notebook.rows("SELECT count(*) FROM segments")[0]
            assert segments == 9 * stored
    assert journals >= 3, "the kills never came in the middle; the test would prove nothing"
    with open_notebook(path) as notebook:
        assert check(notebook) == []
