"""kill -9 in the middle of `backbearing import`, many times: whole imports stand, no half one."""

from __future__ import annotations

import time
from multiprocessing.context import ForkServerProcess
from pathlib import Path

from tests.forked import import_folder, started
from tests.readers.gpx_text import fix, gpx, track

from backbearing.notebook import open_notebook
from backbearing.notebook.integrity import check
from backbearing.notebook.tracks import list_tracks, load_track

FILES = 8
FIXES = 3000
KILLS_BY_CLOCK = 10
KILLS_BY_JOURNAL = 14  # SQLite's rollback journal stands only while a transaction is open


def wait_for_journal(program: ForkServerProcess, notebook: Path, times: int) -> None:
    """Wait until the journal has come up so many times, or the program has ended."""
    journal = notebook.with_name(notebook.name + "-journal")
    seen, there = 0, False
    while program.exitcode is None:
        before, there = there, journal.exists()
        seen += there and not before
        if seen >= times:
            return


def whole_files(notebook: Path) -> int:
    """How many files are on record, each with all that it holds; nothing may be in between."""
    with open_notebook(notebook) as opened:
        assert check(opened) == []
        tracks = list_tracks(opened)
        for stored in tracks:
            points = [len(s.time) for s in load_track(opened, stored.id).segments]
            assert points == [FIXES, FIXES]
        originals = opened.rows("SELECT count(*) FROM originals")[0][0]
        waypoints = opened.rows("SELECT count(*) FROM waypoints")[0][0]
        assert originals == len(tracks) == waypoints
        return len(tracks)


def test_a_kill_at_any_moment_leaves_whole_imports_only(tmp_path: Path) -> None:
    folder = tmp_path / "walks"
    folder.mkdir()
    for number in range(FILES):
        fixes = [fix(47 + i * 1e-5, -21 + number / 100) for i in range(FIXES)]
        halves = "</trkseg><trkseg>".join(["".join(fixes)] * 2)
        content = gpx(f'<wpt lat="47" lon="{number}"/>', track(halves, name=str(number)))
        (folder / f"{number}.gpx").write_bytes(content)

    for name in ("first", "second"):  # before the first all must be loaded yet
        begun = time.monotonic()
        program = started(import_folder, tmp_path / f"{name}.gpkg", folder)
        program.join()
        assert program.exitcode == 0
        took_s = time.monotonic() - begun

    stored_counts = []
    in_the_middle = 0
    for kill in range(KILLS_BY_CLOCK + KILLS_BY_JOURNAL):
        notebook = tmp_path / f"{kill}.gpkg"
        program = started(import_folder, notebook, folder)
        if kill < KILLS_BY_CLOCK:
            time.sleep(took_s * (kill + 1) / (KILLS_BY_CLOCK + 1))
        else:
            wait_for_journal(program, notebook, kill - KILLS_BY_CLOCK + 1)
        program.kill()
        program.join()
        in_the_middle += notebook.with_name(notebook.name + "-journal").exists()
        if notebook.exists():
            stored_counts.append(whole_files(notebook))
    assert in_the_middle >= 3, "the kills never came in the middle; the test would prove nothing"
    assert len(set(stored_counts)) > 2, "the kills all came at the same place"

    # and what was cut short can simply be done again
    last = tmp_path / f"{KILLS_BY_CLOCK + KILLS_BY_JOURNAL - 1}.gpkg"
    program = started(import_folder, last, folder)
    program.join()
    assert program.exitcode == 0
    assert whole_files(last) == FILES
