"""`outing` as it is typed."""

import json
from importlib.resources import files
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from click.testing import CliRunner, Result
from tests.plans.test_approach import CELLS, place, put_ground

from backbearing.cli.main import main
from backbearing.errors import BadInput
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_camera_position, add_subject
from backbearing.records import CameraPosition, Subject

SCHEMAS = files("backbearing.schemas")
DAY = "2027-03-12"


@pytest.fixture(scope="module")
def notebook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("outing")
    path = folder / "notebook.gpkg"
    with open_notebook(path, create=True) as book:
        put_ground(book, folder, np.full((CELLS, CELLS), 100.0))
        with book.writing():
            add_subject(book, Subject(name="jetty", place=place(-600.0, 0.0)))
            arch = add_subject(
                book,
                Subject(name="arch", place=place(620.0, 5.0), blocked="the tide was in"),
            )
            add_camera_position(book, CameraPosition(place=place(600.0, 0.0), subject_id=arch.id))
            add_subject(book, Subject(name="wheel", place=place(600.0, 400.0)))
    return path


def run(notebook: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["--notebook", str(notebook), "outing", *words])


def schema(name: str) -> dict[str, object]:
    found: dict[str, object] = json.loads((SCHEMAS / f"{name}.json").read_text(encoding="utf-8"))
    return found


def test_the_answer_keeps_to_its_schema_and_to_those_it_names(notebook: Path) -> None:
    result = run(notebook, "arch", "--start", "jetty", "--date", DAY, "--drive", "40min", "--json")
    answer = json.loads(result.stdout)
    jsonschema.validate(answer, schema("outing"))
    jsonschema.validate(answer["way"], schema("way"))
    light = schema("light")
    jsonschema.validate(answer["window"], {**light["$defs"]["window"], "$defs": light["$defs"]})  # type: ignore[index]
    assert [leg["leg"] for leg in answer["out"]] == answer["way"]["out"]
    assert [leg["leg"] for leg in answer["back"]] == answer["way"]["back"]
    assert answer["works"]
    assert answer["near"][0]["subject"] == "wheel"


def test_a_day_that_does_not_work_keeps_to_the_schema_too(notebook: Path) -> None:
    words = ("arch", "--start", "jetty", "--date", DAY, "--back-by", "06:00", "--json")
    answer = json.loads(run(notebook, *words).stdout)
    jsonschema.validate(answer, schema("outing"))
    assert not answer["works"]


def test_six_times_come_first(notebook: Path) -> None:
    shown = run(notebook, "arch", "--start", "jetty", "--date", DAY, "--drive", "40min").stdout
    lines = shown.splitlines()
    assert lines[0].startswith("arch, Fri 12 Mar 2027, from jetty")
    whats = ("leave home", "leave start", "be set up by", "expose", "away by", "back by")
    for line, what in zip(lines[2:8], whats, strict=True):
        assert line.startswith(f"  {what}")
    assert "turn back" in shown
    assert "usable light until" in shown
    assert "Blocked last time: the tide was in" in shown
    assert "Near, with light before the limit:" in shown
    assert "not the same as none being there" in " ".join(shown.split())
    assert "outside this tool" in " ".join(shown.split())
    assert max(map(len, lines)) < 180


def test_without_a_drive_home_is_left_out_and_said(notebook: Path) -> None:
    shown = run(notebook, "arch", "--start", "jetty", "--date", DAY).stdout
    assert "time of the drive not given" in shown


def test_what_is_short_is_said_with_the_next_day(notebook: Path) -> None:
    shown = run(
        notebook,
        "arch",
        "--start",
        "jetty",
        "--date",
        DAY,
        "--leave",
        "17:00",
        "--back-by",
        "17:30",
    ).stdout
    assert "This day does not work:" in shown
    assert "back at the start by 17:30: short by" in shown
    assert "works" in shown.split("This day does not work:")[1]


def test_a_start_is_needed(notebook: Path) -> None:
    result = run(notebook, "arch")
    assert isinstance(result.exception, BadInput)
    assert "no start is given" in str(result.exception)
    assert "setting start" in str(result.exception)


def test_a_clear_and_an_overcast_window_of_one_day_are_told_apart(notebook: Path) -> None:
    words = ["light", "arch", "--on", DAY, "--start", "jetty", "--other-sky", "13:00-15:00"]
    shown = CliRunner().invoke(main, ["--notebook", str(notebook), *words]).stdout
    rows = [row for row in shown.split("in time for each")[1].splitlines() if row[:5] == "arch "]
    assert len(rows) == 2
    assert ["13:00–15:00, overcast" in row for row in rows].count(True) == 1


def test_light_from_a_start_keeps_what_can_be_reached(notebook: Path) -> None:
    words = ["--notebook", str(notebook), "light", "--on", DAY, "--start", "jetty"]
    answer = json.loads(CliRunner().invoke(main, [*words, "--json"]).stdout)
    jsonschema.validate(answer, schema("light"))
    named = [(each["subject"], each["start"]) for each in answer["reach"]["windows"]]
    assert named == [(each["subject"], each["start"]) for each in answer["windows"]]
    late = [*words, "--depart", "17:30"]
    shown = CliRunner().invoke(main, late).stdout
    assert "Nothing here can be reached from jetty and left in time." in shown
    assert "too late" in shown.split("Left out:")[1]
    answer = json.loads(CliRunner().invoke(main, [*late, "--json"]).stdout)
    jsonschema.validate(answer, schema("light"))
    assert answer["windows"] == []
