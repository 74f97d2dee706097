"""`tracks` and `track` as they are typed."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result
from tests.readers.gpx_text import fix, gpx, track

from backbearing.cli.main import main
from backbearing.errors import BadInput, NotFound
from backbearing.notebook import open_notebook

HOSTILE = "&#x202e;cairn &#x9b;31m `${x}` &lt;b&gt;"


def outing(start: datetime, name: str) -> bytes:
    """Ten minutes north, a quarter of an hour stood, ten minutes on; a fix every ten seconds."""
    fixes, north_m = [], 0.0
    for tick in range(210):
        time = (start + timedelta(seconds=10 * tick)).strftime("%Y-%m-%dT%H:%M:%SZ")
        wild = 1000.0 if tick == 30 else 0.0
        inside = f"<ele>{100 + north_m / 5:.1f}</ele><time>{time}</time>"
        fixes.append(fix(47 + (north_m + wild) / 111_171, -21, inside))
        north_m += 0.0 if 60 <= tick < 150 else 12.0
    return gpx(track(*fixes, name=name))


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    path = tmp_path / "notebook.gpkg"
    for day in (1, 15):
        start = datetime(2026, 3, day, 9, tzinfo=UTC)
        (tmp_path / f"{day}.gpx").write_bytes(outing(start, f"outing {day}"))
    (tmp_path / "z.gpx").write_bytes(gpx(track(fix(10, 10), name=HOSTILE)))
    (tmp_path / "notes.txt").write_text("seen arch, 47.0065 N 21.0005 W\n")
    assert run(path, "setting", "zone", "Atlantic/Azores", create=True).exit_code == 0
    assert run(path, "import", str(tmp_path)).exit_code == 0
    return path


def run(notebook: Path, *words: str, create: bool = False) -> Result:
    if create:
        open_notebook(notebook, create=True).close()
    return CliRunner().invoke(main, ["--notebook", str(notebook), *words])


def said(notebook: Path, *words: str) -> str:
    done = run(notebook, *words)
    assert done.exit_code == 0, done.exception
    return done.stdout


def answer(notebook: Path, *words: str) -> dict:  # type: ignore[type-arg]
    told = json.loads(said(notebook, *words, "--json"))
    schema = json.loads((files("backbearing.schemas") / f"{words[0]}.json").read_text("utf-8"))
    jsonschema.validate(told, schema)
    return told  # type: ignore[no-any-return]


class TestTracks:
    def test_one_line_each_on_the_local_clock(self, notebook: Path) -> None:
        lines = said(notebook, "tracks").splitlines()
        assert len(lines) == 4
        # 09:00 UTC is 08:00 in the Azores in winter, and 1.4 km were walked
        assert "2026-03-01  08:00  08:34  1.4 km" in lines[1]
        assert lines[1].endswith("outing 1")

    def test_by_day(self, notebook: Path) -> None:
        found = answer(notebook, "tracks", "--since", "2026-03-10", "--until", "15 March 2026")
        assert [w["track"]["name"] for w in found["walks"]] == ["outing 15"]
        assert found["left_out"] == 2

    def test_by_place(self, notebook: Path) -> None:
        found = answer(notebook, "tracks", "--near", "arch", "--within", "50m")
        assert [w["track"]["id"] for w in found["walks"]] == [1, 2]
        assert found["walks"][0]["near_m"] == pytest.approx(38, abs=3)
        assert answer(notebook, "tracks", "--near", "arch", "--within", "30m")["walks"] == []

    def test_one_that_cannot_be_read_hides_no_other(self, notebook: Path) -> None:
        with open_notebook(notebook) as opened, opened.writing():
            opened.run("UPDATE segments SET geom = x'00' WHERE track_id = 1")
        done = run(notebook, "tracks", "--near", "arch", "--within", "50m")
        assert "outing 15" in done.stdout
        assert "track 1 cannot be read, so it is not judged" in done.stderr
        found = answer(notebook, "tracks", "--near", "arch", "--within", "50m")
        assert (found["unreadable"], found["left_out"]) == ([1], 1)

    def test_none_is_said_and_not_printed(self, notebook: Path) -> None:
        done = run(notebook, "tracks", "--until", "2020-01-01")
        assert (done.exit_code, done.stdout) == (0, "")
        assert "no walk like that; 3 others are" in done.stderr

    def test_a_length_that_is_none(self, notebook: Path) -> None:
        assert isinstance(run(notebook, "tracks", "--within", "far").exception, BadInput)

    def test_no_numpy_is_loaded(self, notebook: Path) -> None:
        code = (
            "import sys; from backbearing.cli.main import main\n"
            f"main(['--notebook', {str(notebook)!r}, 'tracks'], standalone_mode=False)\n"
            "sys.exit('numpy' in sys.modules)"
        )
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
        assert done.returncode == 0


class TestTrack:
    def test_figures_with_their_methods(self, notebook: Path) -> None:
        text = said(notebook, "track", "1")
        assert "2026-03-01, 08:00 to 08:34 UTC−1 (Atlantic/Azores)" in text
        assert "length  1.4 km  (along the fixes" in text
        assert "climb   up 278 m" in text  # of 286 m: the rest is short of a step of 10 m
        assert "up to 10 m is lost at each turn" in text
        assert "moving 20 min, standing 15 min" in text

    def test_stops_suspect_fixes_and_subjects_passed(self, notebook: Path) -> None:
        told = answer(notebook, "track", "1")
        (stop,) = told["stops"]
        assert stop["start"].startswith("2026-03-01T09:")
        assert stop["latitude_deg"] == pytest.approx(47 + 720 / 111_171, abs=3e-5)
        assert [s["fix"] for s in told["suspects"]] == [31]
        assert [p["name"] for p in told["passed"]] == ["arch"]
        text = said(notebook, "track", "1")
        assert "fix 31 of segment 1" in text
        assert "subjects passed  (within 100 m" in text
        assert "no subject passed within 5 m" in said(notebook, "track", "1", "--within", "5m")

    def test_names_from_files_reach_the_terminal_clean(self, notebook: Path) -> None:
        text = said(notebook, "track", "3") + said(notebook, "tracks")
        assert not set(text) & {"\x9b", "\u202e", "\x1b"}
        assert "<b>" in text

    def test_no_such_track(self, notebook: Path) -> None:
        assert isinstance(run(notebook, "track", "99").exception, NotFound)


def test_a_word_for_a_tracks_number_is_told_where_the_numbers_stand(tmp_path: Path) -> None:
    done = run(tmp_path / "n.gpkg", "track", "arch")
    assert done.exit_code == 2
    assert "'arch' is no track's number; 'backbearing tracks' lists them" in done.output
