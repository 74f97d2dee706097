"""`way` as it is typed."""

import json
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result
from tests.fieldwork import put_walk
from tests.notebook import samples
from tests.plans.test_approach import place, walked

from backbearing.cli.main import main
from backbearing.errors import BadInput
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_camera_position, add_subject
from backbearing.records import CameraPosition, Subject

SCHEMA = json.loads((files("backbearing.schemas") / "way.json").read_text(encoding="utf-8"))


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    path = tmp_path / "notebook.gpkg"
    with open_notebook(path, create=True) as book:
        put_walk(book, walked((-600.0, 0.0), (0.0, 400.0), (600.0, 0.0)))
        with book.writing():
            add_subject(book, Subject(name="jetty", place=place(-600.0, 0.0)))
            arch = add_subject(book, Subject(name="arch", place=place(620.0, 5.0)))
            add_camera_position(book, CameraPosition(place=place(600.0, 0.0), subject_id=arch.id))
            add_subject(book, samples.subject("far off"))
    return path


def run(notebook: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["--notebook", str(notebook), "way", *words])


def test_the_way_leads_to_the_camera_position_and_back(notebook: Path) -> None:
    answer = json.loads(run(notebook, "jetty", "arch", "--json").stdout)
    jsonschema.validate(answer, SCHEMA)
    assert answer["end_name"] == "arch, camera position main"
    assert answer["walked_share"] == 1.0
    ends = answer["out"][0]["line"][0], answer["out"][-1]["line"][-1]
    assert answer["back"][0]["line"][0] == ends[1]
    assert answer["back"][-1]["line"][-1] == ends[0]
    assert answer["slow_s"] == pytest.approx(1.3 * answer["usual_s"])


def test_words_say_legs_times_and_what_it_rests_on(notebook: Path) -> None:
    shown = run(notebook, "jetty", "arch", "--pace", "Swiss").stdout
    assert "From jetty to arch, camera position main" in shown
    assert "along the track of 1 May 2026" in shown
    assert "past tracks and paths alone" in shown
    assert "Times are estimates" in shown


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("jetty", "46.0 N 20.0 W"), "km apart"),
        (("jetty", "arch", "--pace", "hare"), "no pace is called"),
        (("jetty", "47.01 N 21.0 W"), "no ground to walk on"),
        (("-43.0, 171.0", "arch"), "km apart"),
        (("jetty", "-43.0, 171.0"), "km apart"),
    ],
)
def test_what_cannot_be_walked_is_said(notebook: Path, words: tuple[str, ...], why: str) -> None:
    result = run(notebook, *words)
    assert isinstance(result.exception, BadInput)
    assert why in str(result.exception)
