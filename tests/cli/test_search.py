"""`search` as it is typed."""

import base64
import json
import re
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path

import gpxpy
import jsonschema
import numpy as np
import pytest
from click.testing import CliRunner, Result
from tests.plans.search.test_search_walk import lost, put_start
from tests.plans.test_approach import line, put_ground
from tests.plans.test_approach_passages import passage

from backbearing.cli.main import main
from backbearing.errors import BadInput
from backbearing.notebook import open_notebook
from backbearing.notebook.lines import add_passage, store_line
from backbearing.notebook.search import add_clue
from backbearing.records import MemoryClue
from backbearing.writers.words import chance_text

SCHEMA = json.loads((files("backbearing.schemas") / "search.json").read_text(encoding="utf-8"))
SUMMER = f"{datetime.now(UTC).year + 1}-07-02"  # a day that is to come, whenever this runs
ASKED = ("hut", "--start", "jetty", "--date", SUMMER, "--leave", "9:00", "--within", "250m")


@pytest.fixture(params=[False, True], ids=["open", "walled"])
def notebook(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    path = tmp_path / "notebook.gpkg"
    with open_notebook(path, create=True) as book:
        put_ground(book, tmp_path, np.full((321, 321), 100.0))
        put_start(book)
        lost(book, "hut", 400.0, 0.0, 150.0)
        lost(book, "arch", -300.0, 200.0, 5.0)
        if request.param:
            with book.writing():
                store_line(book, None, line("wall", "old wall", (0.0, -4e3), (0.0, 4e3)))
                add_passage(book, passage("wall hole", "looked blocked", "windfall", kind="gap"))
    return path


def run(notebook: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["--notebook", str(notebook), "search", *words])


def test_json_is_as_documented(notebook: Path) -> None:
    answer = json.loads(run(notebook, *ASKED, "--time", "3h", "--json").stdout)
    jsonschema.validate(answer, SCHEMA)
    assert answer["subject"] == "hut"
    assert answer["chance"] > 0.0


def test_words_say_what_it_is_and_is_not(notebook: Path) -> None:
    shown = " ".join(run(notebook, *ASKED, "--time", "3h").stdout.split())
    assert "finds it with a chance of" in shown
    assert "A good walk, not a proven optimum" in shown
    assert "even sweep of equal length" in shown
    assert "I would see it" in shown
    assert shown.count("call the emergency services") == 1
    assert "POD" not in shown


@pytest.mark.parametrize("notebook", [True], indirect=True, ids=["walled"])
def test_the_walk_is_written_beside(notebook: Path, tmp_path: Path) -> None:
    out, sheet = tmp_path / "look.gpx", tmp_path / "look.html"
    written = ["--out", str(out), "--sheet", str(sheet), "--paper", "Letter", "--json"]
    done = run(notebook, *ASKED, "--time", "3h", *written)
    assert done.exit_code == 0
    page, answer = sheet.read_text(encoding="utf-8"), json.loads(done.stdout)
    assert "size: Letter" in page
    assert "<script" not in page
    assert "call the emergency services" in page
    for stop in (*answer["stops"], *answer["trying"]["if_open"]["stops"]):
        assert stop["name"] in page
    found = re.search(r'svg\+xml;base64,([^"]+)', page)
    assert found is not None
    drawing = base64.b64decode(found.group(1)).decode()
    assert all(f'class="{kind}"' in drawing for kind in ("share half", "planned", "start"))
    assert gpxpy.parse(out.read_text("utf-8")).waypoints
    again = run(notebook, *ASKED, "--time", "3h", "--out", str(out))
    assert isinstance(again.exception, BadInput)
    assert "--overwrite" in str(again.exception)


@pytest.mark.parametrize("notebook", [True], indirect=True, ids=["walled"])
def test_a_page_asked_for_it_shows_the_walk(notebook: Path, tmp_path: Path) -> None:
    out = tmp_path / "page.html"
    words = ["map", "hut", "--out", str(out), "--search-time", "2h", *ASKED[1:-2]]
    done = CliRunner().invoke(main, ["--notebook", str(notebook), *words])
    assert done.exit_code == 0, done.output
    shown = out.read_text(encoding="utf-8")
    assert "leave jetty 09:00" in shown
    assert "A good walk, not a proven optimum" in shown
    assert 'class="planned"' in shown
    assert ">stop 1</text>" in shown
    both = ["--notebook", str(notebook), "map", "hut", "jetty", *words[2:]]
    assert "--search-time" in str(CliRunner().invoke(main, both).exception)


@pytest.mark.parametrize("notebook", [False], indirect=True, ids=["open"])
def test_answer_walk_page_and_sheet_tell_the_same_chances(notebook: Path, tmp_path: Path) -> None:
    """On the ground that is asked for, narrower than it would be unasked: elsewhere is likelier."""
    page, sheet = tmp_path / "page.html", tmp_path / "sheet.html"
    with open_notebook(notebook) as book, book.writing():
        add_clue(
            book, MemoryClue(subject_id=2, kind="height", words="high", sure=0.6, low=0, high=500)
        )

    def told(*words: str) -> str:
        done = CliRunner().invoke(main, ["--notebook", str(notebook), *words])
        assert done.exit_code == 0, done.output
        return done.stdout

    likely = json.loads(told("likely", "hut", "--within", "80m", "--json"))
    unasked = json.loads(told("likely", "hut", "--json"))
    assert likely["elsewhere"] > unasked["elsewhere"] + 0.1
    asked = [*ASKED[1:-1], "80m", "--time", "2h", "--sheet", str(sheet), "--json"]
    walk = json.loads(told("search", "hut", *asked))
    for name in ("elsewhere", "gone"):
        assert walk[name] == pytest.approx(likely[name], abs=1e-4)
    assert walk["here"] == pytest.approx(1.0 - likely["elsewhere"] - likely["gone"], abs=1e-3)
    told(
        *("map", "hut", "--out", str(page), "--search-time", "2h", "--search-within", "80m"),
        *ASKED[1:-2],
    )
    said = f"Elsewhere {chance_text(likely['elsewhere'])}, gone {chance_text(likely['gone'])}"
    for written in (page, sheet):
        assert said in written.read_text(encoding="utf-8")
        once = written.read_text(encoding="utf-8").count("call the emergency services")
        assert once == 1
    assert likely["answer"].partition(";")[0].strip(".") in page.read_text(encoding="utf-8")
