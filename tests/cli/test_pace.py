"""`pace` as it is typed: own walks, a rule, rides left out."""

import json
from dataclasses import replace
from datetime import timedelta
from importlib.resources import files
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from click.testing import CliRunner, Result
from tests.fieldwork import put_walk, walk
from tests.models.test_pace import LEGS
from tests.models.test_pace import walk as hilly_walk

from backbearing.cli.main import main
from backbearing.errors import BadInput
from backbearing.notebook import open_notebook
from backbearing.records import Track

SCHEMA = json.loads((files("backbearing.schemas") / "pace.json").read_text(encoding="utf-8"))


def run(notebook: Path, *words: str) -> Result:
    return CliRunner().invoke(
        main, ["--notebook", str(notebook), "pace", *words], catch_exceptions=True
    )


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    path = tmp_path / "notebook.gpkg"
    with open_notebook(path, create=True) as book:
        put_walk(book, hilly_walk(LEGS, bend=1.5))
        put_walk(book, hilly_walk(np.zeros(12), bend=0.2))  # a ride
        named = walk(shift=timedelta(days=3))
        put_walk(book, Track(name="by bicycle", kind="Cycling", segments=named.segments))
    return path


def test_own_walks_give_the_pace_and_rides_are_named_and_left_out(notebook: Path) -> None:
    result = run(notebook, "--json")
    answer = json.loads(result.stdout)
    jsonschema.validate(answer, SCHEMA)
    assert answer["name"] == "own"
    level = next(row for row in answer["slopes"] if row["slope"] == 0.0)
    assert level["usual_s_per_km"] == pytest.approx(
        1.5 * level["by_rule_s_per_km"]["Tobler"], rel=0.05
    )
    assert level["slow_s_per_km"] >= level["usual_s_per_km"]
    whys = {left["why"] for left in answer["left_out"]}
    assert whys == {"too fast for feet: a ride, a drive or a run", "its kind is 'Cycling'"}
    words = run(notebook).stdout
    assert "own pace, from 24 km of 1 walk." in words
    assert "85 stretches of 100" in words


def test_a_rule_can_be_asked_for(notebook: Path) -> None:
    answer = json.loads(run(notebook, "--rule", "Swiss", "--json").stdout)
    jsonschema.validate(answer, SCHEMA)
    assert answer["name"] == "Swiss"
    assert all(row["walked_km"] is None for row in answer["slopes"])
    level = next(row for row in answer["slopes"] if row["slope"] == 0.0)
    assert level["usual_s_per_km"] == pytest.approx(14.271 * 60.0)


def test_with_little_walked_the_careful_rule_speaks_and_says_why(tmp_path: Path) -> None:
    path = tmp_path / "notebook.gpkg"
    with open_notebook(path, create=True) as book:
        put_walk(book, hilly_walk(np.zeros(8)))
    answer = json.loads(run(path, "--json").stdout)
    assert answer["name"] == "DIN 33466"
    assert "only 4 km walked" in answer["basis"]
    refused = run(path, "--rule", "own")
    assert isinstance(refused.exception, BadInput)


def test_an_unknown_rule_is_refused(notebook: Path) -> None:
    result = run(notebook, "--rule", "hare")
    assert isinstance(result.exception, BadInput)
    assert "Tobler" in str(result.exception)


def test_a_track_without_times_is_left_out_and_named(notebook: Path) -> None:
    before = json.loads(run(notebook, "--json").stdout)
    bare = hilly_walk(LEGS)
    still = [
        replace(each, time=np.full(len(each.time), np.datetime64("NaT", "ms")))
        for each in bare.segments
    ]
    with open_notebook(notebook) as book:
        put_walk(book, replace(bare, segments=tuple(still)))
    after = json.loads(run(notebook, "--json").stdout)
    assert after["slopes"] == before["slopes"]
    assert "it has no times" in json.dumps(after)
