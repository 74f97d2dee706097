"""`mark` as it is typed: what it prints, its JSON, and its messages."""

import json
import re
import shlex
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner
from tests.fieldwork import field_notebook

from backbearing.cli.main import main

SCHEMA = json.loads((files("backbearing.schemas") / "mark.json").read_text(encoding="utf-8"))
HOUSE = ["winding house", "--at", "47.04310 N 21.03910 W", "--sky", "walls", "--date", "2026-03-14"]
MEASURED = ["--bearing", "215M", "--distance", "12m", "--measured", "taped"]
ANGLES = ["--top", "38", "--foot", "-6"]


def mark(notebook: Path, *options: str) -> str:
    result = CliRunner().invoke(main, ["--notebook", str(notebook), "mark", *options])
    if result.exception is not None:
        raise result.exception
    return result.stdout


def test_mark_makes_the_notebook_and_says_position_error_and_what_was_assumed(
    tmp_path: Path,
) -> None:
    said = mark(tmp_path / "n.gpkg", *HOUSE, *MEASURED, *ANGLES, "--blocked", "gate locked")
    lines = said.splitlines()
    assert lines[0] == "winding house: on record as seen"
    assert lines[1].split() == ["blocked", "gate", "locked"]  # heads every show
    error = (
        "± 41 m: place ± 40 m assumed (under walls), 215M ± 2° assumed (sighting compass), "
        "12 m taped ± 0.1 m"
    )
    assert error in lines[2]
    assert "209° true ± 2° (215M, declination 6.0° W on 2026-03-14, assumed: sighting" in said
    assert "10.6 m tall" in said
    assert "height 10.6 m ± 0.4 m from the angles 38° and -6° at 12 m" in said


@pytest.mark.parametrize(
    "options",
    [
        [*HOUSE],
        [*HOUSE, *MEASURED, *ANGLES, "--left", "190M", "--right", "240M", "--note", "hi"],
        [*HOUSE, "--facing", "35", "--state", "waiting for light", "--sighting", "KNOLL 300M"],
    ],
)
def test_json_is_as_its_schema_says(tmp_path: Path, options: list[str]) -> None:
    answer = json.loads(mark(tmp_path / "n.gpkg", *options, "--json"))
    jsonschema.validate(answer, SCHEMA, format_checker=jsonschema.FormatChecker())


def test_a_second_camera_position(tmp_path: Path) -> None:
    mark(tmp_path / "n.gpkg", *HOUSE, *MEASURED)
    second = ["winding house", "--camera-position", "leat", "--at", "47.04500 N 21.03910 W"]
    said = mark(tmp_path / "n.gpkg", *second)
    assert said.startswith("winding house: camera position 'leat' added\n")
    assert "from the two places" in said


def test_an_option_left_empty_is_not_there(tmp_path: Path) -> None:
    answer = json.loads(mark(tmp_path / "n.gpkg", *HOUSE, "--sighting", "", "--json"))
    assert answer["camera_position"] is None


def test_at_a_time_on_a_track(tmp_path: Path) -> None:
    field_notebook(tmp_path / "n.gpkg").__exit__(None, None, None)
    said = mark(tmp_path / "n.gpkg", "arch", "--at", "track 1 at 13:34")
    assert "fixes at a stop" in said
    assert "track 1 at 13:34 UTC−1" in said


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (["arch"], "--at"),
        (["arch", "--at", "nowhere"], "no subject, waypoint, passage or coordinate 'nowhere'"),
        (["arch", "--at", "47.1 N 21.0 W", "--error", "wide"], "--error: 'wide' is not a length"),
        (["arch", "--at", "47.1 N 21.0 W", "--bearing", "400M"], "--bearing"),
        (["arch", "--at", "47.1 N 21.0 W", "--date", "soon"], "--date: 'soon' is not a day"),
        (["arch", "--at", "47.1 N 21.0 W", "--state", "lost"], "'lost' is not one of"),
    ],
)
def test_messages_are_one_sentence_and_exit_2(
    tmp_path: Path, options: list[str], sentence: str
) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "backbearing", "--notebook", tmp_path / "n.gpkg", "mark", *options],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert sentence in done.stderr
    assert "Traceback" not in done.stderr


def test_control_characters_never_reach_the_terminal(tmp_path: Path) -> None:
    said = mark(tmp_path / "n.gpkg", *HOUSE, "--words", "red\x1b[31m drum", "--note", "a\u202eb")
    assert "\x1b" not in said
    assert "\u202e" not in said


def test_a_notebook_made_out_of_sight_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("BACKBEARING_NOTEBOOK", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    first = CliRunner().invoke(main, ["mark", *HOUSE])
    made = tmp_path / "data" / "backbearing" / "notebook.gpkg"
    assert first.stderr == f"a new notebook was made: {made}\n"
    again = CliRunner().invoke(main, ["note", HOUSE[0], "hi"])
    assert again.stderr == ""


def test_the_help_s_example_works_on_the_demo_s_notebook_and_any_other(tmp_path: Path) -> None:
    shown = CliRunner().invoke(main, ["mark", "--help"]).output
    example = shown.partition("Example")[2].partition("\n")[2].partition("\nOptions:")[0]
    commands = re.sub(r"\\\n", " ", example).strip().splitlines()
    assert len(commands) == 2
    for command in commands:
        mark(tmp_path / "n.gpkg", *shlex.split(command)[2:])
