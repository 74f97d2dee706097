"""`expose` as it is typed: words, JSON by its schema, sheets, and what is refused."""

import json
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result

from backbearing.cli.main import main
from backbearing.errors import BackbearingError
from backbearing.notebook import open_notebook
from backbearing.notebook.kit import put_entry
from backbearing.notebook.subjects import add_subject
from backbearing.records import Batch, Place, Subject, TrialLight

SCHEMA = json.loads((files("backbearing.schemas") / "expose.json").read_text(encoding="utf-8"))
AFTERNOON = ("--at", "2026-11-28 16:00")


@pytest.fixture(autouse=True)
def notebook(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A subject without terrain, and one far north."""
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "notebook.gpkg"
    with open_notebook(path, create=True) as opened, opened.writing():
        for name, latitude in (("arch", 47.0), ("hut", 78.0)):
            place = Place(
                latitude_deg=latitude, longitude_deg=-21.0, error_m=5.0, error_basis="given"
            )
            add_subject(opened, Subject(name=name, place=place, facing_deg=225.0))
    return path


def put(path: Path, *batches: Batch) -> None:
    with open_notebook(path) as opened, opened.writing():
        for batch in batches:
            put_entry(opened, batch)


BLUE = Batch(
    name="plates of May",
    emulsion="ordinary",
    speed_iso=2.0,
    reciprocity_p=0.9,
    tested_in=TrialLight(sun_altitude_deg=40.0),
    holds_stops=3.0,
)


def expose(*words: str) -> Result:
    return CliRunner().invoke(main, ["expose", *words])


def refused(*words: str) -> str:
    shown = expose(*words)
    assert isinstance(shown.exception, BackbearingError), shown.output
    return str(shown.exception)


def test_without_a_batch_it_answers_the_ev_and_says_what_to_add() -> None:
    shown = expose("arch", *AFTERNOON).output
    assert "EV" in shown
    assert "no emulsion batch is on record" in shown
    assert "flat horizon" in shown.lower()


def test_seconds_in_words_and_json(notebook: Path) -> None:
    put(notebook, BLUE)
    shown = expose("arch", *AFTERNOON, "--longest", "2min").output
    for words in ("plates of May at f/16", "a stop", "latest", "Clock to seconds", "Never look"):
        assert words in shown
    answer = json.loads(expose("arch", *AFTERNOON, "--tables", "--json").output)
    jsonschema.validate(answer, SCHEMA)
    seconds = answer["exposure"]["seconds"]
    assert seconds["low_s"] < seconds["shown_s"] < seconds["high_s"]


@pytest.mark.parametrize("at", ["2026-12-21 12:00", "2026-12-21 00:30", "2026-06-21 12:00"])
def test_polar_night_and_day(notebook: Path, at: str) -> None:
    put(notebook, BLUE)
    answer = json.loads(expose("hut", "--at", at, "--json").output)
    jsonschema.validate(answer, SCHEMA)
    assert (answer["exposure"]["seconds"] is None) == ("12-21" in at)


def test_a_meter_off_snow_gives_two_stops_more(notebook: Path) -> None:
    put(notebook, BLUE)
    given = [
        json.loads(expose("arch", *AFTERNOON, "--meter", reading, "--json").output)["exposure"]
        for reading in ("EV 12 reflected", "EV 12 reflected snow", "EV 10 incident")
    ]
    assert given[1]["seconds"] == given[2]["seconds"]
    assert given[0]["ev100"] - given[1]["ev100"] == 2.0
    assert "2 stops more" in given[1]["meter"]


def test_a_sheet_to_print_asks_for_nothing(notebook: Path, tmp_path: Path) -> None:
    put(notebook, Batch(name="<b>x</b>", emulsion="pan", speed_iso=6.0))
    out = tmp_path / "sheet.html"
    shown = expose("arch", *AFTERNOON, "--tables", "--out", str(out), "--paper", "Letter")
    assert shown.exit_code == 0, shown.output
    page = out.read_text(encoding="utf-8")
    assert "size: Letter" in page
    assert "<b>x" not in page
    for request in ("http:", "https:", "<script"):
        assert request not in page


def test_what_is_refused(notebook: Path) -> None:
    put(notebook, BLUE)
    assert "did you mean 'plates of May'" in refused("arch", "--batch", "plates of Mai")
    assert "panchromatic factor" in refused("arch", "--filter", "yellow")
    assert "not a meter reading" in refused("arch", "--meter", "9")
    assert "--aperture" in refused("arch", "--aperture", "0")
    bent = Batch(
        name="bent",
        emulsion="pan",
        speed_iso=6.0,
        reciprocity_table=((1.0, 1.0), (10.0, 30.0), (20.0, 25.0)),
    )
    put(notebook, bent, Batch(name="none", emulsion="pan", speed_iso=0.0))
    assert "does not rise" in refused("arch", "--batch", "bent")
    assert "no speed" in refused("arch", "--batch", "none")
    assert "several batches" in refused("arch")


def test_light_keeps_the_windows_under_the_longest_exposure(notebook: Path) -> None:
    put(notebook, BLUE)
    schema = json.loads((files("backbearing.schemas") / "light.json").read_text(encoding="utf-8"))
    asked = ["light", "arch", "--from", "2026-11-28", "--to", "2026-12-03", "--json"]
    found = []
    for longest in ("10h", "10s"):
        answer = json.loads(
            CliRunner().invoke(main, [*asked, "--batch", BLUE.name, "--longest", longest]).output
        )
        jsonschema.validate(answer, schema)
        found.append(answer)
    free, short = found
    assert free["exposures"]["too_long"] == 0 < len(free["windows"])
    assert len(short["windows"]) + short["exposures"]["too_long"] >= len(free["windows"])
    for one in short["exposures"]["windows"]:
        if one["wanted"]:
            assert max(one[k]["exact_s"] for k in ("at_start", "at_best", "at_end")) <= 10.0
    assert len(free["exposures"]["windows"]) == 2 * len(free["windows"])
