"""`import` as it is typed: what is said, JSON by its schema, exit codes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result
from tests.readers.gpx_text import GOOD_FIX, fix, gpx, track

from backbearing.cli.main import main
from backbearing.errors import BadInput
from backbearing.notebook import Notebook
from backbearing.records import Original

SCHEMA = json.loads((files("backbearing.schemas") / "import.json").read_text(encoding="utf-8"))


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "good.gpx").write_bytes(gpx(track(GOOD_FIX, GOOD_FIX)))
    (tmp_path / "faulty.gpx").write_bytes(
        gpx(track(fix(), fix("46,43"), fix(inside="<ele>x</ele>")))
    )
    (tmp_path / "bad.gpx").write_bytes(b"<!DOCTYPE html><html></html>")
    (tmp_path / "notes.txt").write_text("seen arch, 47.0123 N 21.0456 W\n")
    return tmp_path


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["--notebook", "notebook.gpkg", "import", *words])


def test_what_was_read_and_where_it_went() -> None:
    done = run("good.gpx")
    assert done.exit_code == 0
    assert "stored  good.gpx: 1 track" in done.stdout
    assert "track 1 'up the incline': 2 fixes" in done.stdout
    assert "1 file: 1 stored; in notebook.gpkg" in done.stdout
    assert done.stderr == ""


def test_each_fault_with_its_line() -> None:
    said = run("faulty.gpx").stdout
    assert "dropped 1 × lat (line 2: '46,43' is no decimal number)" in said
    assert "dropped 1 × ele (line 3: 'x' is no height in metres)" in said


def test_the_same_file_twice_is_said() -> None:
    run("good.gpx")
    again = run("good.gpx")
    assert again.exit_code == 0
    assert "already on record, nothing added" in again.stdout


def test_one_bad_file_is_named_the_others_stored_and_the_exit_code_is_2() -> None:
    done = run(".")
    assert done.exit_code == 2
    assert "4 files: 3 stored, 1 refused" in done.stdout
    assert done.stderr == "backbearing: bad.gpx, line 1: is a web page, not GPX\n"


def test_a_slip_of_the_pen_makes_no_notebook() -> None:
    done = run("gone.gpx")
    assert isinstance(done.exception, BadInput)
    assert done.exception.exit_code == 2
    assert not Path("notebook.gpkg").exists()


def test_a_dry_run_says_what_would_be_and_makes_nothing() -> None:
    done = run("--dry-run", "good.gpx", "notes.txt")
    assert done.exit_code == 0
    assert "would be stored  good.gpx" in done.stdout
    assert "would become 1 new subject" in done.stdout
    assert "nothing was written" in done.stdout
    assert not Path("notebook.gpkg").exists()


@pytest.mark.parametrize("words", [["."], ["--dry-run", "."], ["good.gpx"]])
def test_json_is_what_its_schema_says(words: list[str]) -> None:
    answer = json.loads(run(*words, "--json").stdout)
    jsonschema.validate(answer, SCHEMA)
    assert answer["stored"] + answer["refused"] == len(answer["files"])


def test_a_file_that_breaks_off_is_said() -> None:
    Path("short.gpx").write_bytes(gpx(track(GOOD_FIX))[:-20])
    done = run("short.gpx")
    assert done.exit_code == 0
    assert "breaks off at line 1; what stood before is kept" in done.stdout


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes")
def test_names_of_any_bytes_and_control_characters_reach_no_terminal() -> None:
    for name in (b"caf\xe9\x1b[31m.gpx", b"bad\xe9\x9b31m\n.gpx"):
        content = gpx(track(GOOD_FIX, name="&#x9b;31m")) if name.startswith(b"caf") else b"<a/>"
        Path(os.fsdecode(name)).write_bytes(content)
    argv = [sys.executable, "-m", "backbearing", "--notebook", "n.gpkg", "import"]
    argv += [path.name for path in Path().iterdir() if path.name.startswith(("caf", "bad"))]
    for more in ([], ["--json"]):
        done = subprocess.run([*argv, *more], capture_output=True, check=False)
        assert done.returncode == 2
        said = (done.stdout + done.stderr).decode("utf-8")
        assert "Traceback" not in said
        assert not set(said) & {"\x1b", "\x9b"}


def test_a_large_file_is_announced(folder: Path) -> None:
    (folder / "large.gpx").write_bytes(gpx(track(GOOD_FIX), " " * 10_000_000))
    assert run("large.gpx").stderr == "reading large.gpx (1 of 1, 10 MB)\n"


def test_a_notebook_that_fails_on_the_way_is_exit_1_after_the_report(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from backbearing.errors import NotebookBusy
    from backbearing.notebook import tracks

    store = tracks.store_original

    def store_one(notebook: Notebook, original: Original) -> int:
        if original.file_name == "good.gpx":
            raise NotebookBusy("another program is writing in it")
        return store(notebook, original)

    monkeypatch.setattr(tracks, "store_original", store_one)
    done = run("--json", "faulty.gpx", "good.gpx", "notes.txt")
    assert done.exit_code == 1
    assert "backbearing: another program is writing in it" in done.stderr
    told = json.loads(done.stdout)
    jsonschema.validate(told, SCHEMA)
    assert (told["stored"], told["not_reached"], told["all_good"]) == (1, 2, False)


def test_lines_are_told_by_kind_and_their_faults_by_feature(folder: Path) -> None:
    line = '{"type": "LineString", "coordinates": [[%s, 47], [-21.01, 47]]}'
    feature = '{"type": "Feature", "properties": {"kind": "%s"}, "geometry": %s}'
    features = [
        feature % ("brook", line % -21.0),
        feature % ("pond", line % -21.0),
        feature % ("?", line % -21.0),
        feature % ("brook", line % 999),
        feature % ("brook", "null"),
    ]
    listed = ", ".join(features)
    (folder / "water.geojson").write_text(
        f'{{"type": "FeatureCollection", "features": [{listed}]}}'
    )
    done = run("water.geojson")
    assert done.exit_code == 0
    assert "1 stream, 1 shore, 1 other line, 1 feature left out, no line" in done.stdout
    assert "dropped 1 × coordinates (feature 4: is no line of WGS 84 positions)" in done.stdout
    answer = json.loads(run("water.geojson", "--dry-run", "--json").stdout)
    jsonschema.validate(answer, SCHEMA)
    assert answer["files"][0]["outcome"] == "already on record"
    answer = json.loads(
        CliRunner()
        .invoke(main, ["--notebook", "new.gpkg", "import", "water.geojson", "--json"])
        .stdout
    )
    jsonschema.validate(answer, SCHEMA)
    assert answer["files"][0]["lines"]["kinds"] == {"stream": 1, "shore": 1, "other": 1}


def test_a_refused_file_is_explained_once(folder: Path) -> None:
    done = run("bad.gpx", "good.gpx")
    assert (done.stdout + done.stderr).count("is a web page") == 1
    assert "refused  bad.gpx" in done.stdout


def test_a_text_that_is_no_notes_is_refused_and_can_be_forced(folder: Path) -> None:
    (folder / "readme.txt").write_text("All about words.\n" * 20)
    done = run("readme.txt")
    assert done.exit_code == 2
    assert "none of its 20 lines" in done.stderr
    assert run("readme.txt", "--as-notes").exit_code == 0


def test_a_break_says_how_far_it_came(monkeypatch: pytest.MonkeyPatch) -> None:
    import backbearing.plans.intake as intake

    def broken_off(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(intake, "store_notes", broken_off)  # GPX comes before it
    done = run("good.gpx", "faulty.gpx", "notes.txt", "--json")
    assert done.exit_code == 1
    assert "2 of 3 files were gone through and are whole; run it again for the rest" in done.stderr
    answer = json.loads(done.stdout)
    jsonschema.validate(answer, SCHEMA)
    assert answer["stopped"]
    assert [file["outcome"] for file in answer["files"]] == ["stored", "stored", "not reached"]


def test_a_record_that_waited_for_its_track_is_told(folder: Path) -> None:
    day, clock = "2026-03-14", "10:15"
    (folder / "early.txt").write_text(f"{day} {clock} seen sluice, 215M 8m\n")
    run("early.txt")
    fixes = "".join(
        fix(inside=f"<time>{day}T{hour}:{minute:02}:00Z</time>")
        for hour in ("09", "10", "11", "12")
        for minute in range(60)
    )
    (folder / "walk.gpx").write_bytes(gpx(track(fixes)))
    done = run("walk.gpx", "--json")
    answer = json.loads(done.stdout)
    jsonschema.validate(answer, SCHEMA)
    (placed,) = answer["placed_since"]
    assert placed["subject"] == "sluice"
    assert placed["sea_clock"] == "UTC−1"  # the walk is at sea, and no zone is set
