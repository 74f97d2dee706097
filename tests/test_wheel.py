"""The built wheel stands on its own: without the checkout it runs the demo with the lost subject.

The page and the walk are looked at here, and the commands it names are typed in the checkout.
"""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from backbearing.cli.demo import _added, _options
from backbearing.cli.main import main
from backbearing.notebook import open_notebook
from backbearing.notebook.lines import list_passages
from backbearing.notebook.subjects import find_subject
from backbearing.notebook.tracks import load_track
from backbearing.places.coordinates import read_coordinate
from backbearing.places.geodesy import inverse
from backbearing.plans import lostdemo
from backbearing.plans.demo import PASSAGES, WISHES

ROOT = Path(__file__).parent.parent
# the next 17 October: a search is for a day to come
_SOON = date.today() + timedelta(days=2)  # noqa: DTZ011
DAY = f"{_SOON.year + ((_SOON.month, _SOON.day) > (10, 17))}-10-17"


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder holding only what the wheel holds."""
    work = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet"]
    subprocess.run(
        [*pip, "wheel", "--no-deps", "--no-build-isolation", "--wheel-dir", str(work), str(ROOT)],
        check=True,
        capture_output=True,
    )
    (wheel,) = work.glob("*.whl")
    target = work / "site"
    subprocess.run(
        [*pip, "install", "--no-deps", "--target", str(target), str(wheel)],
        check=True,
        capture_output=True,
    )
    return target


def run(installed: Path, here: Path, *words: str) -> str:
    """What a Python that finds the wheel's program and not the checkout's prints."""
    finding = {"PYTHONPATH": str(installed), "PYTHONSAFEPATH": "1"}
    nobodys = {name: str(installed / "home") for name in ("HOME", "XDG_DATA_HOME")}
    done = subprocess.run(
        [sys.executable, *words],
        env=os.environ | finding | nobodys,
        cwd=here,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@dataclass
class Told:
    """A run of the wheel's demo, and of what it says to type, in another folder."""

    stdout: str
    folder: Path  # where it ran
    again: Path  # where its commands ran
    commands: list[list[str]]
    answers: dict[str, Any]  # of the lost subject's commands, by name


@pytest.fixture(scope="module")
def told(installed: Path, demo_of_november: Path, tmp_path_factory: pytest.TempPathFactory) -> Told:
    """It runs over what an earlier run left.

    Its commands are typed one after another on a fresh notebook, with others it only names.
    """
    here, again = tmp_path_factory.mktemp("demo"), tmp_path_factory.mktemp("again")
    shutil.copytree(demo_of_november, here / "island")
    done = run(
        installed, here, "-m", "backbearing", "demo", "--out", "island", "--date", DAY, "--lost"
    )
    commands = [shlex.split(line) for line in re.findall(r"\$ (backbearing .*)", done)]
    typed = [words for words in commands if words[2] == commands[0][2]]
    others = [
        [*typed[0][:3], "want", name, *_options(wish)] for name, wish in list(WISHES.items())[1:]
    ]
    others += [[*typed[0][:3], *_added(passage)] for passage in PASSAGES]
    answers = {}
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(again)
        (again / "island").mkdir()
        for words in (*typed[:4], *others, *typed[4:]):
            answer = CliRunner().invoke(main, words[1:])
            assert answer.exit_code == 0, (words, answer.output)
        shutil.copy(again / "island" / "island.gpkg", again / "island" / "lost.gpkg")
        shutil.copy(here / "island" / "looked.gpx", again / "island" / "looked.gpx")
        for words in commands[len(typed) :]:
            asked = [] if words[3] == "map" else ["--json"]
            answer = CliRunner().invoke(main, [*words[1:], *asked])
            assert answer.exit_code == 0, (words, answer.output)
            answers[words[3]] = json.loads(answer.stdout) if asked else None
    return Told(done, here / "island", again / "island", commands, answers)


def test_it_is_the_wheels_program_that_runs(installed: Path, tmp_path: Path) -> None:
    where = run(installed, tmp_path, "-c", "import backbearing; print(backbearing.__file__)")
    assert where.startswith(str(installed))


def test_the_wheel_carries_types_licence_and_notices(installed: Path) -> None:
    assert (installed / "backbearing" / "py.typed").exists()
    kept = {p.name for p in installed.glob("backbearing-*.dist-info/licenses/*")}
    assert {"LICENSE", "NOTICE.md"} <= kept


def _truth() -> tuple[float, float]:
    place = read_coordinate(lostdemo.TRUE_PLACE)
    return place.latitude_deg, place.longitude_deg


def test_it_makes_the_page_and_names_it_last(told: Told, installed: Path) -> None:
    opened = [line for line in told.stdout.splitlines() if line.startswith("Open ")]
    assert opened == [f"Open {Path('island') / name}" for name in ("return.html", "lost.html")]
    page = (told.folder / "return.html").read_text(encoding="utf-8")
    assert "winding house" in page
    assert DAY[:4] in page
    assert {p.name for p in told.folder.iterdir()} == {
        *("island.gpkg", "return.html", "sheet.html", "subjects.gpx"),
        *("lost.gpkg", "lost.html", "looked.gpx", "made-by-backbearing-demo.txt"),
    }
    # nothing beside it, and no notebook of the user's
    assert [p.name for p in told.folder.parent.iterdir()] == ["island"]
    assert not (installed / "home").exists()


def test_the_commands_it_names_do_the_same_job(told: Told) -> None:
    """Typed one after another on a fresh notebook they give the same pages, byte for byte."""
    assert [words[3] for words in told.commands] == [
        *("setting", "setting", "import", "want"),
        *("terrain", "passage", "kit", "plate", "light"),
        *("setting", "outing", "sheet", "map", "export"),
        *("mark", "want", "clue", "clue", "searched", "clue", "clue"),
        *("search", "map", "import", "searched"),
    ]
    for name in ("return.html", "lost.html"):
        assert (told.again / name).read_bytes() == (told.folder / name).read_bytes()


def test_the_lost_subject_is_found_behind_the_passage_that_only_looked_blocked(told: Told) -> None:
    assert "looked blocked, not tried" in told.stdout
    walk, truth = told.answers["search"], _truth()
    assert walk["trying"]["name"] == lostdemo.DOUBTFUL
    assert walk["chance"] > 1.5 * walk["chance_without_trying"]
    assert walk["chance"] > walk["even_chance"]
    # it lies where the walk looks once it is through, not on the way round
    away_m = {
        branch: min(
            inverse(stop["latitude_deg"], stop["longitude_deg"], *truth)[1]
            for stop in walk["trying"][branch]["stops"]
        )
        for branch in ("if_open", "if_shut")
    }
    assert away_m["if_open"] < 100.0 < away_m["if_shut"]
    found = told.answers["searched"]
    assert all(score["right"] for score in found["scores"])
    assert found["opened"] == [lostdemo.DOUBTFUL]  # the walk itself went through it
    assert found["look"]["track_id"] is not None
    for folder in (told.folder, told.again):
        with open_notebook(folder / "lost.gpkg", readonly=True) as notebook:
            subject = find_subject(notebook, lostdemo.SUBJECT)
            assert (subject.place.latitude_deg, subject.place.longitude_deg) == truth
            passages = {one.name: one for one in list_passages(notebook)}
            way = load_track(notebook, found["look"]["track_id"]).segments[0]
        # its track comes by where the subject stands, on the far side of the passage
        spots = zip(way.latitude_deg.tolist(), way.longitude_deg.tolist(), strict=True)
        assert min(inverse(*spot, *truth)[1] for spot in spots) < 5.0
        # what was found at the passage before is kept beside what was found now
        reports = sorted(passages[lostdemo.DOUBTFUL].reports, key=lambda each: str(each.on))
        assert [report.state for report in reports][-3:] == ["open", "looked blocked", "open"]
