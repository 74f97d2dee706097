"""Whatever stands in a notebook, no command lets it move the cursor or turn the text round.

Two notebooks: every text in one holds each kind of control and format character, every text
in the other is 10,000 characters long. Both as another program may have filled them.
"""

from __future__ import annotations

import json
import unicodedata
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.notebook import samples

from backbearing.cli.main import COMMANDS, main, run
from backbearing.errors import JOINERS, BackbearingError
from backbearing.models.walk import summarise
from backbearing.notebook import Notebook, open_notebook, tracks
from backbearing.notebook.bin import discard
from backbearing.notebook.kit import put_entry
from backbearing.notebook.lines import add_passage, store_line
from backbearing.notebook.plates import add_plate
from backbearing.notebook.subjects import add_camera_position, add_note, add_subject
from backbearing.notebook.surroundings import add_reading, set_trees
from backbearing.records import (
    Batch,
    Fault,
    Holder,
    Note,
    Place,
    Plate,
    Shutter,
    ShutterSpeed,
    Sighting,
    WantedLight,
)

CHARACTERS = "\x1b[2J\x07\r\x7f\x9b31m\u202e\u2066\u200b\u00ad\u2028\u2029\ufeff\U000e0041"
TEXTS = {"control characters": f"aa{CHARACTERS}bb", "no end": "ab" * 5_000}

SPOT = ["--at", "47.0101 N 21.0202 W"]
QUESTIONS: dict[str, list[list[str]]] = {
    # {name}: a subject's name; {text}: the hostile text itself; {folder}: where files may go
    "clue": [
        ["{name}"],
        ["{name}", "--near", "{text}", "--within", "{text}"],
        ["{name}", "--near", "water", "--within", "100m", "--note", "{text}"],
        ["{name}", "--side", "left", "--of", "{text}"],
        ["{name}", "--walk", "{text}", "--from", "{text}"],
        ["{name}", "--slope", "{text}"],
        ["{name}", "--lit", "{text}"],
        ["{name}", "--height", "200-300", "--sure", "{text}"],
    ],
    "searched": [
        ["{name}", "--track", "1", "--range", "{text}"],
        ["{name}", "--track", "1", "--note", "{text}"],
        ["{name}", "--found", "{text}"],
    ],
    "likely": [["{name}"], ["{name}", "--along", "{text}"], ["{name}", "--within", "{text}"]],
    "search": [
        ["{name}", "--time", "2h", "--start", "{name}"],
        ["{name}", "--time", "{text}", "--start", "{name}"],
        ["{name}", "--time", "2h", "--start", "{text}", "--date", "{text}"],
        ["{name}", "--time", "2h", "--start", "{name}", "--along", "{text}"],
        ["{name}", "--time", "2h", "--start", "{name}", "--range", "{text}"],
        ["{text} nowhere", "--time", "2h", "--start", "{name}"],
    ],
    "demo": [],  # has a notebook of its own
    "import": [
        ["{folder}/{name}.gpx"],
        ["{folder}/{name}.geojson"],
        ["{folder}/notes.txt"],
        ["--dry-run", "{folder}"],
    ],
    "card": [[], ["--out", "{folder}/{name}.html"]],
    "mark": [
        ["{text} x", *SPOT, "--words", "{text}", "--blocked", "{text}", "--note", "{text}"],
        ["{name}", *SPOT, "--camera-position", "{text} y", "--bearing", "215M", "--distance", "8m"],
        ["adit", "--at", "{name} + 215M 8m"],
        ["adit two", "--at", "wpt {text}"],
        ["adit three", "--at", "{text}"],
        ["adit four", *SPOT, "--bearing", "{text}"],
        ["adit five", *SPOT, "--sighting", "{text} 300M"],
    ],
    "subjects": [[]],
    "show": [["{name}"], ["{text} nowhere"]],
    "want": [
        ["{name}"],
        ["{name}", "--sun"],
        ["{text} nowhere", "--sun"],
        ["{name}", "--side", "{text}"],
    ],
    "edit": [
        ["{name}", "--words", "{text} z"],
        ["{name}", "--at", "{text}"],
        ["{name}", "--name", "{text} w"],
    ],
    "note": [["{name}", "{text}"], ["{text} nowhere", "a remark"]],
    "delete": [
        ["{name} w"],
        ["--track", "1"],
        ["--waypoint", "1"],
        ["--file", "{text}"],
        ["--passage", "{text} nowhere"],
        ["{text} nowhere"],
    ],
    "restore": [[], ["1"], ["2"], ["999"]],
    "tracks": [[], ["--near", "{name}"], ["--near", "{text}"], ["--since", "{text}"]],
    "track": [["1"], ["1", "--within", "{text}"], ["{text}"]],
    "sun": [
        ["{name}"],
        ["{name}", "--time", "12:00"],
        ["wpt {text}"],
        ["{text}"],
        ["{name}", "--time", "{text}"],
    ],
    "skyline": [
        ["{name}"],
        ["{text}"],
        ["{name}", "--out", "{folder}/{text}.svg", "--overwrite"],
        ["{name}", "--date", "{text}"],
        ["{name}", "--measure"],
    ],
    "reading": [
        ["list", "{name}"],
        ["add", "{name}", "215M 12", "--note", "{text}"],
        ["add", "{name}", "{text}"],
        ["add", "{name}", "--file", "{folder}/{name}.csv"],
        ["list", "{text} nowhere"],
    ],
    "trees": [
        ["{name}", "--tall", "12m", "--beyond", "9m", "--note", "{text}"],
        ["{name}", "--tall", "{text}", "--beyond", "9m"],
        ["{name}", "--tall", "12m", "--beyond", "9m", "--leaf", "{text}"],
        ["{name}"],
    ],
    "light": [
        ["{name}", "--start", "{text}"],
        ["{name}", "--start", "{name}", "--depart", "{text}"],
        [],
        ["{name}"],
        ["{name}", "--on", "{text}"],
        ["{text} nowhere"],
    ],
    "map": [["--out", "{folder}/page.html"], ["{name}", "--out", "{folder}/{text}.html"]],
    "export": [
        ["message", "{name}", "--start", "{name}"],
        ["calendar", "{name}", "--start", "{text}"],
        ["gpx"],
        ["gpx", "{name}", "--out", "{folder}/out.gpx"],
        ["gpx", "{text} nowhere"],
    ],
    "setting": [[], ["zone", "{text}"], ["call", "{text}"], ["{text}", "x"]],
    "expose": [
        ["{name}"],
        ["{name}", "--date", "2026-11-28", "--tables"],
        ["{name}", "--batch", "{text}"],
        ["{name}", "--lens", "{text}"],
        ["{name}", "--at", "{text}"],
        ["{name}", "--meter", "{text}"],
        ["{name}", "--ground", "{text}"],
    ],
    "sheet": [["{name}", "--start", "{text}"], ["{text}", "--start", "{name}"]],
    "kit": [["list"], ["forget", "{text}"], ["take", "{folder}/{name}.gpx"]],
    "plate": [
        ["list"],
        ["list", "--batch", "{text}"],
        ["load", "{text}", "--batch", "{text}"],
        ["expose", "{text}A", "{name}", "--time", "{text}"],
        ["develop", "{text}B"],
    ],
    "passage": [
        ["list"],
        ["list", "{text}"],
        ["list", "--near", "{name}"],
        ["add", "{text} x", SPOT[1], "--kind", "gap", "--state", "open", "--note", "{text}"],
        ["add", "{name}", "{text}", "--kind", "ford", "--side", "{text}"],
        ["try", "{text}", "--found", "blocked", "--side", "{text}", "--note", "{text}"],
        ["try", "{text}", "--found", "open", "--on", "{text}"],
        ["try", "{text} nowhere", "--found", "{text}"],
    ],
    "way": [["{name}", "{text}"], ["{text}", "{name}"], ["{name}", "{name}", "--date", "{text}"]],
    "frame": [
        ["{name}"],
        ["{name}", "--camera", "{text}", "--lens", "{text}"],
        ["{name}", "--turn", "{text}"],
        ["{text} nowhere"],
    ],
    "focus": [["4 m"], ["{text}"], ["4 m", "--lens", "{text}"], ["4 m", "--aperture", "{text}"]],
    "outing": [
        ["{name}", "--start", "{text}"],
        ["{text}", "--start", "{name}"],
        ["{name}", "--start", "{name}", "--date", "{text}"],
        ["{name}", "--start", "{name}", "--drive", "{text}", "--leave", "{text}"],
        ["{name}", "--start", "{name}", "--batch", "{text}"],
        ["{name}", "--start", "{name}", "--date", "2026-07-01"],
    ],
    "pace": [[], ["--rule", "{text}"]],
    "terrain": [
        ["list"],
        ["add", "{folder}/{name}.tif"],
        ["add", "{folder}", "--vertical-error", "{text}"],
        ["forget", "{text}"],
    ],
    "check": [[]],
    "backup": [["{folder}/copy.gpkg"], ["{folder}/{text}.gpkg"]],
}


def fill(notebook: Notebook, text: str) -> None:
    """One record of each kind, hostile in every text it has."""
    place = Place(
        latitude_deg=47.01,
        longitude_deg=-21.02,
        error_m=40.0,
        error_basis=f"{text} (a)",
        source=text,
    )
    bearing = replace(samples.bearing(), as_written=text, basis=text)
    walked = replace(
        samples.track(samples.segment(200), name=text), comment=text, description=text, kind=text
    )
    waypoint = replace(samples.route().points[1], name=text, comment=text, symbol=text)
    with notebook.writing():
        for name in (text, f"{text} binned"):
            subject = replace(samples.subject(name), place=place, words=text, blocked=text)
            subject = add_subject(
                notebook,
                replace(subject, next_time=text, facing_deg=35.0, wanted=WantedLight()),
            )
            camera = replace(samples.camera_position(subject.id, text), place=place)
            sightings = (Sighting(to=text, bearing=bearing),)
            add_camera_position(notebook, replace(camera, bearing=bearing, sightings=sightings))
            note = Note(text=text, written_at=samples.NOON, subject_id=subject.id, source=text)
            add_note(notebook, replace(note, observed={"water": text, text: "low"}))
        add_note(notebook, Note(text=text, written_at=samples.NOON, source=text))
        faults = (Fault(line=1, field=text, what=text, action="kept"),)
        original = tracks.store_original(
            notebook, replace(samples.original(file_name=text), faults=faults)
        )
        tracks.store_track(notebook, original, walked, summarise(walked))
        tracks.store_route(notebook, original, replace(samples.route(), name=text))
        tracks.store_waypoint(notebook, original, waypoint)
        add_reading(notebook, samples.reading(subject.id, text), place)
        set_trees(notebook, subject.id, samples.trees(text))
        store_line(notebook, original, samples.line(text))
        add_passage(notebook, samples.passage(text))
        put_entry(notebook, Holder(name=text, camera=text))
        put_entry(
            notebook, Batch(name=text, emulsion="pan", speed_iso=1.0, process=text, note=text)
        )
        put_entry(notebook, Shutter(name=text, speeds=(ShutterSpeed(marked=text, marked_s=1.0),)))
        add_plate(notebook, Plate(holder=text, side="A", batch=text, focus_mark=text, note=text))
        discard(notebook, "subject", subject.id or 0)


@pytest.fixture(params=TEXTS)
def text(request: pytest.FixtureRequest) -> str:
    return TEXTS[request.param]


@pytest.fixture
def folder(tmp_path: Path, text: str) -> Path:
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        fill(notebook, text)
    files = tmp_path / "files"
    files.mkdir()
    (files / "notes.txt").write_text(f"14:32 seen {text}, blocked: {text}\n{text}\n", "utf-8")
    # a file's name is at most 255 bytes long and holds no slash
    inside = "".join(ch for ch in text[:60] if ch.isprintable())
    gpx = f"<gpx version='1.1'><wpt lat='47' lon='x{inside}'/><wpt lat='91' lon='1'/></gpx>"
    (files / f"{text[:60]}.gpx").write_text(gpx, "utf-8")
    line = {"type": "LineString", "coordinates": [[-21.0, 47.0], [-21.01, 47.0]]}
    feature = {"type": "Feature", "properties": {"name": text, "kind": text}, "geometry": line}
    (files / f"{text[:60]}.geojson").write_text(json.dumps(feature), "utf-8")
    (files / f"{text[:60]}.csv").write_text(f"215M,12,{text}\n{text},{text}\n", "utf-8")
    return tmp_path


def unsafe(shown: str) -> set[str]:
    return {
        ch
        for ch in set(shown)
        if unicodedata.category(ch) in ("Cc", "Cf", "Zl", "Zp") and ch not in f"\n{JOINERS}"
    }


@pytest.mark.parametrize("command", COMMANDS)
def test_nothing_raw_on_stdout_or_stderr(folder: Path, text: str, command: str) -> None:
    for question in QUESTIONS[command]:
        words = []
        for part in question:
            said = text[:60] if "{folder}" in part else text  # a file's name has an end
            words.append(part.format(name=said, text=said, folder=folder / "files"))
        for extra in ([], ["--json"]):
            asked = [command, *question, *extra]
            done = CliRunner().invoke(
                main, ["--notebook", str(folder / "n.gpkg"), command, *words, *extra]
            )
            assert unsafe(done.stdout + done.stderr) == set(), asked
            if done.exception is not None and not isinstance(done.exception, SystemExit):
                assert isinstance(done.exception, BackbearingError), asked
                assert unsafe(str(done.exception)) == set(), asked
                assert len(str(done.exception)) < 1_000, asked
            if extra and done.exit_code == 0:
                json.loads(done.stdout)


def test_every_command_is_asked() -> None:
    assert set(QUESTIONS) == set(COMMANDS)


@pytest.mark.parametrize(
    "typed",
    [["{text}"], ["show", "--{text}"], ["restore", "{text}"], ["export", "{text}"]],
)
def test_what_was_typed_is_repeated_without_its_power(
    typed: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    words = [part.format(text=TEXTS["control characters"]) for part in typed]
    monkeypatch.setattr("sys.argv", ["backbearing", *words])
    with pytest.raises(SystemExit, match="2"):
        run()
    shown = capsys.readouterr()
    assert "aa" in shown.err
    assert unsafe(shown.out + shown.err) == set()


def test_json_gives_back_what_it_hides(folder: Path, text: str) -> None:
    """Escaped, not replaced: a program reads the very name that is on record."""
    done = CliRunner().invoke(main, ["--notebook", str(folder / "n.gpkg"), "subjects", "--json"])
    assert text in {subject["name"] for subject in json.loads(done.stdout)["subjects"]}
