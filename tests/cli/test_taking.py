"""An outing taken along: sheet, calendar, GPX, GeoJSON, message, as they are typed."""

from __future__ import annotations

import json
import re
from datetime import date, datetime, timedelta
from pathlib import Path

import geopandas
import gpxpy
import jsonschema
import numpy as np
import pyogrio
import pytest
from click.testing import CliRunner, Result
from icalendar import Calendar
from tests.fieldwork import put_walk
from tests.plans.test_approach import CELLS, line, place, put_ground, walked

from backbearing.cli.main import main
from backbearing.errors import BadInput, WriteError
from backbearing.notebook import open_notebook
from backbearing.notebook.lines import store_line
from backbearing.notebook.subjects import add_camera_position, add_subject
from backbearing.places.zones import clock_text, zone_name
from backbearing.records import CameraPosition, Subject, WantedLight

NEXT_WEEK = date.today() + timedelta(days=7)  # noqa: DTZ011 - a day to come is all that is wanted
ASKED = ("--start", "jetty", "--date", NEXT_WEEK.isoformat())


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as book:
        put_ground(book, tmp_path, np.full((CELLS, CELLS), 100.0))
        put_walk(book, walked((-600.0, 0.0), (0.0, 60.0), (200.0, 0.0)))
        with book.writing():
            add_subject(book, Subject(name="jetty", place=place(-600.0, 0.0)))
            arch = add_subject(
                book,
                Subject(
                    name="arch & <b>",
                    place=place(610.0, 0.0),
                    wanted=WantedLight(direct_sun=True),
                    blocked="gate shut",
                ),
            )
            add_camera_position(book, CameraPosition(place=place(600.0, 0.0), subject_id=arch.id))
            store_line(book, None, line("stream", "the beck", (150.0, 30.0), (700.0, 30.0)))
            store_line(book, None, line("ridge", "the rigg", (750.0, -300.0), (750.0, 300.0)))
    return tmp_path


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["--notebook", "notebook.gpkg", *words])


def test_the_sheet_holds_times_route_and_what_is_not_known(folder: Path) -> None:
    done = run("sheet", "arch & <b>", *ASKED, "--back-by", "20:00", "--paper", "letter")
    assert done.exit_code == 0, done.output
    assert done.stdout.strip() == "sheet.html"
    page = (folder / "sheet.html").read_text(encoding="utf-8")
    assert "size: Letter" in page
    assert "arch &amp; &lt;b&gt;" in page
    assert "<b>Blocked last time:</b> gate shut" in page
    for words in ("leave start", "be set up by", "away by", "back by", "Route card", "the beck"):
        assert words in page
    assert "No seconds:" in page  # no kit on record, and the sheet says so
    assert "Not known:" in page
    assert "<script" not in page
    assert page.count("data:image/svg+xml") >= 2
    assert isinstance(run("sheet", "arch & <b>", *ASKED).exception, BadInput | WriteError)


def test_one_panel_with_the_six_times(folder: Path) -> None:
    done = run("sheet", "arch & <b>", *ASKED, "--drive", "30min", "--times-only", "--out", "t.html")
    assert done.exit_code == 0, done.output
    page = (folder / "t.html").read_text(encoding="utf-8")
    assert "size: A5" in page
    assert len(re.findall(r"<th>", page)) == 6


def test_the_calendar_keeps_its_uid_and_reminds_before_the_light(folder: Path) -> None:
    texts = [
        run("export", "calendar", "arch & <b>", *ASKED, "--plates", plates).stdout
        for plates in ("1", "3")
    ]
    events = [Calendar.from_ical(text).walk("VEVENT")[0] for text in texts]
    assert str(events[0]["uid"]) == str(events[1]["uid"])
    alarms = [alarm.decoded("trigger") for alarm in events[0].walk("VALARM")]
    assert alarms == sorted(alarms)
    assert alarms[0] < events[0].decoded("dtstart")
    assert events[0].decoded("dtstart").date() == NEXT_WEEK
    words = [str(alarm["description"]) for alarm in events[0].walk("VALARM")]
    planned = json.loads(run("outing", "arch & <b>", *ASKED, "--plates", "1", "--json").stdout)
    assert {"leave jetty", "be set up"} <= set(words)
    # one vocabulary: passed later the exposure is lost, turned later the way home is not in time
    for named, field in (("pass by ", "pass_by"), ("turn back", "turn_back")):
        reminded = [alarms[i] for i, said in enumerate(words) if said.startswith(named)]
        times = [leg[field] for leg in planned["out"] if leg[field]]
        assert reminded == sorted(map(datetime.fromisoformat, times))
        assert reminded
    other = run(
        *("export", "calendar", "arch & <b>", "--start", "jetty"),
        *("--date", (NEXT_WEEK + timedelta(days=1)).isoformat()),
    ).stdout
    assert str(Calendar.from_ical(other).walk("VEVENT")[0]["uid"]) != str(events[0]["uid"])


def test_the_walk_opens_in_gdal_and_in_gpxpy(folder: Path) -> None:
    done = run("export", "walk", "arch & <b>", *ASKED, "--back-by", "20:00", "--out", "walk.gpx")
    assert done.exit_code == 0, done.output
    gpx = gpxpy.parse((folder / "walk.gpx").read_text(encoding="utf-8"))
    assert [route.name for route in gpx.routes] == [
        *(f"arch & <b> {words} {NEXT_WEEK}" for words in ("out", "back")),
    ]
    assert len(gpx.tracks[0].segments[0].points) > len(gpx.routes[0].points) >= 2
    assert all(
        re.search(r", pass by \d\d:\d\d, turn back \d\d:\d\d$", point.name or "")
        for point in gpx.waypoints
    )
    layers = dict(pyogrio.list_layers(folder / "walk.gpx").tolist())
    assert {"waypoints", "routes", "tracks"} <= set(layers)
    assert len(geopandas.read_file(folder / "walk.gpx", layer="routes")) == 2


def test_the_plan_is_geojson_with_deadlines(folder: Path) -> None:
    tree = json.loads(run("export", "plan", "arch & <b>", *ASKED).stdout)
    legs = [feature["properties"] for feature in tree["features"]]
    assert {leg["kind"] for leg in legs} == {"leg out", "leg back"}
    for feature in tree["features"]:
        for longitude, latitude in feature["geometry"]["coordinates"]:
            assert -21.1 < longitude < -20.9
            assert 46.9 < latitude < 47.1
    passed = [leg["pass_by"] for leg in legs if leg["kind"] == "leg out"]
    assert passed == sorted(passed)
    datetime.fromisoformat(passed[0])
    jsonschema.validate(tree, {"type": "object", "required": ["type", "features"]})


def on_clock(at: datetime) -> str:
    return clock_text(at, zone_name(47.0, -21.0))


def test_the_message_has_blanks_for_what_only_the_user_knows(folder: Path) -> None:
    assert isinstance(run("export", "message", "arch & <b>", *ASKED).exception, BadInput)
    assert run("setting", "call", "my sister, 555 0100").exit_code == 0
    text = run("export", "message", "arch & <b>", *ASKED, "--back-by", "20:00").stdout
    outing = json.loads(run("outing", "arch & <b>", *ASKED, "--back-by", "20:00", "--json").stdout)
    times = {
        name: None if value is None else datetime.fromisoformat(value)
        for name, value in outing["times"].items()
    }
    # whoever leaves at 'away by', walks slowly and uses up the time in hand is still not overdue
    back_s = sum(leg["leg"]["slow_s"] for leg in outing["back"])
    latest = times["away_by"] + timedelta(seconds=back_s + outing["budget"]["margin_s"])
    assert times["back_usual"] < times["back_by"] < latest <= times["back_limit"]
    assert f", {on_clock(latest)} at the latest." in text
    assert f", {on_clock(latest + timedelta(hours=2))}, call my sister, 555 0100 and" in text
    assert f", {on_clock(times['back_usual'])}; by" in text
    assert text.count("____") == 2 * 3  # car and companion
    assert "47.0000" in text
    assert "27T" in text
    assert "\x1b" not in text


def test_the_route_card_names_what_guides_each_leg(folder: Path) -> None:
    from datetime import UTC

    from backbearing.plans.outing import ask_outing
    from backbearing.plans.taking import route_card

    with open_notebook(folder / "notebook.gpkg") as book:
        outing = ask_outing(
            book,
            "arch & <b>",
            start="jetty",
            day=NEXT_WEEK.isoformat(),
            now=datetime.now(UTC),
        )
        rows = route_card(book, outing)
    out = [row for row in rows if row.out]
    assert len(out) == len(outing.out)
    last = out[-1]
    assert last.handrail == "the beck on the left"
    assert re.fullmatch(r"the rigg, 1[45]\d m beyond", last.catching)
    assert last.bearing_true_deg == pytest.approx(90.0, abs=8.0)
    assert last.bearing_magnetic_deg != last.bearing_true_deg
    assert re.fullmatch(r"27T [A-Z]{2} \d{4} \d{4}", last.grid)
    assert out[0].escape == "back along it"
