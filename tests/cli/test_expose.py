"""`expose` as it is typed: words, JSON by its schema, sheets, and what is refused."""

import json
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest
from click.testing import CliRunner, Result
from tests.readers.rasters import spot, write_tif

from backbearing.cli.main import main
from backbearing.errors import BackbearingError
from backbearing.notebook import open_notebook
from backbearing.notebook.kit import put_entry
from backbearing.notebook.subjects import add_camera_position, add_subject
from backbearing.records import (
    ApertureMark,
    Batch,
    Bearing,
    CameraPosition,
    Holder,
    Lens,
    Place,
    Shutter,
    Subject,
    TrialLight,
    WantedLight,
)

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
    assert "several batches" in refused("--tables")
    assert "--date" in refused("arch", "--date", "9999-12-31", "--batch", BLUE.name)
    assert "--ground: 'lava' is not" in refused("arch", "--ground", "lava")
    assert "--tilt" in refused("arch", "--tilt", "200")


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


def test_over_terrain_the_ground_is_named_and_shade_is_longer(tmp_path: Path) -> None:
    """The arch at the foot of a wall 300 m high, 500 m to the south: no sun at noon in December."""
    ground = np.full((200, 200), 50.0, "float32")
    ground[150:] += 300.0
    add = ["terrain", "add", str(write_tif(tmp_path / "wall.tif", ground)), "--ground", "bare"]
    seconds = []
    path = tmp_path / "other.gpkg"
    with open_notebook(path, create=True) as opened, opened.writing():
        latitude, longitude = spot(100, 100)
        place = Place(
            latitude_deg=latitude, longitude_deg=longitude, error_m=5.0, error_basis="given"
        )
        add_subject(opened, Subject(name="arch", place=place, facing_deg=180.0))
        put_entry(opened, BLUE)
    for words in ("flat horizon", "skyline from terrain"):
        asked = ["--notebook", str(path), "expose", "arch", "--at", "2026-12-21 12:30"]
        shown = CliRunner().invoke(main, asked)
        assert words in shown.output.lower(), shown.output
        answer = json.loads(CliRunner().invoke(main, [*asked, "--json"]).output)
        jsonschema.validate(answer, SCHEMA)
        seconds.append(answer["exposure"]["seconds"]["exact_s"])
        assert CliRunner().invoke(main, ["--notebook", str(path), *add]).exit_code == 0
    assert seconds[1] > 2.0 * seconds[0]


def test_light_that_changes_too_much_says_when_to_begin(notebook: Path) -> None:
    put(notebook, BLUE)
    evening = " ".join(expose("arch", "--at", "2026-11-28 19:30").output.split())
    assert "the light goes before the plate has had enough; begin at 16:" in evening
    assert "or earlier" in evening
    morning = " ".join(expose("arch", "--at", "2026-11-28 05:00").output.split())
    assert "begin at 07:" in morning
    assert "or later" in morning


def test_contrast_counts_the_tones_that_are_wanted(notebook: Path) -> None:
    put(notebook, BLUE)  # which holds three stops
    noon = ("arch", "--at", "2026-11-28 13:30", "--json")
    found = {
        wanted: json.loads(
            expose(*noon, *(word for tone in wanted for word in ("--tone", tone))).output
        )
        for wanted in ((), ("grey rock",), ("Grey  Rock", "needles"))
    }
    bare, rock, both = (each["exposure"]["contrast"] for each in found.values())
    assert bare["span_stops"] == rock["span_stops"] == pytest.approx(abs(bare["sides_stops"]))
    assert bool(bare["warning"]) == (bare["span_stops"] > 3.0)
    assert both["wanted"] == ["grey rock", "needles"]
    assert both["span_stops"] == pytest.approx(rock["span_stops"] + 2.74, abs=0.01)
    assert "the batch holds 3" in both["warning"]
    assert "did you mean grey rock" in refused("arch", "--tone", "grey rok")


def test_tables_for_a_light_a_filter_and_the_bellows(notebook: Path) -> None:
    put(
        notebook,
        Batch(
            name="may",
            emulsion="ortho",
            speed_iso=25.0,
            filters={"yellow": 4.0},
            tested_in=TrialLight(sun_altitude_deg=40.0),
        ),
    )
    with open_notebook(notebook) as opened, opened.writing():
        put_entry(opened, Lens(name="long", focal_mm=300.0, coverage_mm=None))

    def at_ev(ev: int, *words: str) -> float:
        answer = json.loads(expose("--tables", "--json", *words).output)
        jsonschema.validate(answer, SCHEMA)
        (row,) = [row for row in answer["tables"]["rows"] if row["ev100"] == ev]
        return float(row["seconds"][0]["exact_s"])

    plain = at_ev(12)
    assert at_ev(12, "--filter", "yellow") == pytest.approx(4.0 * plain)
    assert at_ev(12, "--light", "sun 6") > 1.3 * plain > plain > at_ev(12, "--light", "shade")
    # (v / f)² = 4 where the subject is twice the focal length away
    lens = ("--lens", "long")
    assert at_ev(12, *lens, "--distance", "0.6 m") == pytest.approx(4.0 * at_ev(12, *lens))
    assert "a distance needs a lens" in refused("--tables", "--distance", "4m")
    assert "is not a light" in refused("--tables", "--light", "moon")
    assert "is not a light" in refused("--tables", "--light", "sun 0")


def test_the_face_towards_each_camera_position(notebook: Path) -> None:
    """No facing on record: from the north the face looks north, from the south to the sun."""
    put(notebook, BLUE)
    with open_notebook(notebook) as opened, opened.writing():
        place = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=5.0, error_basis="given")
        subject = add_subject(opened, Subject(name="pump", place=place))
        for name, true_deg in (("north side", 180.0), ("south side", 0.0)):
            add_camera_position(
                opened,
                CameraPosition(
                    subject_id=subject.id,
                    name=name,
                    place=place,
                    bearing=Bearing(true_deg=true_deg, error_deg=2.0, as_written=f"{true_deg}T"),
                ),
            )
    noon = ("pump", "--at", "2026-11-28 13:30", "--json", "--from")
    north, south = (
        json.loads(expose(*noon, side).output)["exposure"]["seconds"]["exact_s"]
        for side in ("north side", "South Side")
    )
    assert north > 2.0 * south
    assert "on record: 'north side', 'south side'" in refused("pump", "--from", "east")


def test_light_takes_the_bellows_from_each_camera_position(notebook: Path) -> None:
    """The same bearing from 0.6 m and from 60 m: (v / f)² is 4 and 1 for 300 mm."""
    put(notebook, Batch(name="quick", emulsion="ortho", speed_iso=25.0))
    with open_notebook(notebook) as opened, opened.writing():
        for name, focal_mm in (("long", 300.0), ("short", 90.0)):
            put_entry(opened, Lens(name=name, focal_mm=focal_mm, coverage_mm=None))
        place = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=5.0, error_basis="given")
        subject = add_subject(opened, Subject(name="pump", place=place, facing_deg=180.0))
        sides = (("near", 0.6, (5.0, 12.0)), ("far", 60.0, (15.0, 25.0)))
        for name, distance_m, high_deg in sides:
            add_camera_position(
                opened,
                CameraPosition(
                    subject_id=subject.id,
                    name=name,
                    place=place,
                    distance_m=distance_m,
                    bearing=Bearing(true_deg=0.0, error_deg=2.0, as_written="0T"),
                    wanted=WantedLight(direct_sun=True, sun_altitude_deg=high_deg),
                ),
            )
    found = {}
    for words in ([], ["--lens", "long"]):
        asked = ["light", "pump", "--on", "2026-11-28", "--batch", "quick", "--json", *words]
        answer = json.loads(CliRunner().invoke(main, asked).output)
        found[bool(words)] = {
            one["camera_position"]: one["at_best"]["exact_s"]
            for one in answer["exposures"]["windows"]
            if one["wanted"]
        }
    plain, racked = found[False], found[True]
    assert set(plain) == {"near", "far"}
    assert racked["near"] == pytest.approx(4.0 * plain["near"], rel=0.01)
    assert racked["far"] == pytest.approx(plain["far"], rel=0.02)


OLD_LENS = Lens(
    name="old one",
    focal_mm=170.0,
    scale="uniform system",
    apertures=tuple(
        ApertureMark(engraved=text, f_number=4.0 * float(text) ** 0.5)
        for text in ("4", "8", "16", "32", "64")
    ),
)


def test_marks_of_an_old_scale_are_not_told_as_f_numbers(notebook: Path, tmp_path: Path) -> None:
    """Uniform System 32 is f/22.6, 64 is f/32; 16 is f/16 on both."""
    put(notebook, BLUE)
    with open_notebook(notebook) as opened, opened.writing():
        put_entry(opened, OLD_LENS)
    by_mark = expose("arch", *AFTERNOON, "--lens", "old one", "--aperture", "32").output
    assert "at mark 32 (f/22.6)" in by_mark
    by_number = expose("arch", *AFTERNOON, "--lens", "old one", "--aperture", "f/32").output
    assert "at mark 64 (f/32)" in by_number
    out = tmp_path / "sheet.html"
    words = ("--tables", "--lens", "old one", "--light", "shade")
    assert expose(*words, "--out", str(out)).exit_code == 0
    for shown in (expose(*words).output, out.read_text(encoding="utf-8")):
        assert "mark 4 (f/8)" in shown
        assert "f/64" not in shown
        assert "uniform system" in shown
        assert "for open shade under a clear sky" in shown
        assert "stop either way" in shown


def test_bellows_for_a_distance_on_record_count_with_the_only_lens(notebook: Path) -> None:
    """(v / f)² is four times at twice the focal length. With two lenses that is not known."""
    put(notebook, BLUE)
    with open_notebook(notebook) as opened, opened.writing():
        place = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=5.0, error_basis="given")
        subject = add_subject(opened, Subject(name="fern", place=place, facing_deg=225.0))
        camera = CameraPosition(subject_id=subject.id, name="main", place=place, distance_m=0.34)
        add_camera_position(opened, camera)

    def told() -> tuple[float, str]:
        answer = json.loads(expose("fern", *AFTERNOON, "--json").output)["exposure"]
        return answer["bellows_stops"], " ".join(answer["assumptions"])

    stops, rests_on = told()
    assert stops == 0.0
    assert "not counted: no lens is on record" in rests_on
    with open_notebook(notebook) as opened, opened.writing():
        put_entry(opened, OLD_LENS)
    stops, rests_on = told()
    assert stops == pytest.approx(2.0)
    assert "not counted" not in rests_on
    with open_notebook(notebook) as opened, opened.writing():
        put_entry(opened, Lens(name="short", focal_mm=90.0))
    stops, rests_on = told()
    assert stops == 0.0
    assert "not counted, no lens being named: 2.0 stop with 'old one'" in rests_on
    light = ["light", "fern", "--on", "2026-11-28", "--batch", BLUE.name]
    assert "2.0 stop with 'old one' at fern" in CliRunner().invoke(main, light).output


def test_a_reading_far_from_the_prediction_says_so_and_moves_the_latest_minute(
    notebook: Path,
) -> None:
    put(notebook, BLUE)
    predicted = json.loads(expose("arch", *AFTERNOON, "--json").output)["exposure"]["ev100"]

    def at(ev: float) -> dict[str, Any]:
        words = (*AFTERNOON, "--meter", f"EV {ev:.1f} incident", "--longest", "4min", "--json")
        answer = json.loads(expose("arch", *words).output)
        jsonschema.validate(answer, SCHEMA)
        found: dict[str, Any] = answer["exposure"]
        return found

    near, low = at(predicted), at(predicted - 3.0)
    assert near["meter_says"] == ""
    assert "3.0 stops less than predicted" in low["meter_says"]
    assert low["latest_within"] < near["latest_within"]
    assert low["latest_surely"] <= low["latest_within"]
    wrong = expose("arch", *AFTERNOON, "--meter", "EV 2 incident").output
    assert "not moved to the reading" in wrong


def test_the_moon_has_a_row_of_its_own_by_night(notebook: Path) -> None:
    """24 Nov 2026, full moon (14:53 UTC); 9 Nov 2026, new moon (7:02 UTC): both from memory."""
    put(notebook, Batch(name="quick", emulsion="pan", speed_iso=400.0))
    shown = expose("arch", "--at", "2026-11-24 23:00", "--aperture", "5.6").output
    assert "moon " in shown
    assert "100 % lit" in shown

    def moon(*words: str) -> Any:
        answer = json.loads(expose("arch", *words, "--json").output)
        jsonschema.validate(answer, SCHEMA)
        return answer["exposure"]["moon"]

    full = moon("--at", "2026-11-24 23:00")
    assert 0.02 < full["lux"] < 0.6  # of 0.27 to 0.41 lx on level ground, published
    assert full["seconds"] is not None
    assert moon("--at", "2026-11-09 23:00")["ev100"] is None
    assert moon("--at", "2026-11-24 13:00") is None
    assert moon("--at", "2026-11-24 13:00", "--moon")["ev100"] is None  # full: down at noon


def test_a_tilted_face_gets_another_light(notebook: Path) -> None:
    """Lying flat it sees the whole sky: under an overcast more than twice an upright one's."""

    def lux(*words: str) -> float:
        asked = ("arch", "--at", "2026-11-28 13:00", "--sky", "overcast", "--json", *words)
        return float(json.loads(expose(*asked).output)["exposure"]["lux"])

    assert lux("--tilt", "90") == lux()
    assert lux("--tilt", "0") > 1.8 * lux()


def test_the_table_says_where_the_sun_is(notebook: Path) -> None:
    """The arch looks to 225°: in the morning it stands in its own shade, after sunset none is."""
    put(notebook, BLUE)
    morning = expose("arch", "--at", "2026-11-28 08:30").output
    assert "face in its own shade" in morning
    assert "own shade" in morning[morning.index("Clock to seconds") :]
    answer = json.loads(expose("arch", "--at", "2026-11-28 17:30", "--json").output)
    assert {row["sun"] for row in answer["exposure"]["rows"]} <= {"on it", "own shade", "down"}
    assert answer["exposure"]["rows"][-1]["sun"] == "down"


def test_a_batch_that_is_loaded_goes_before_one_that_is_not(notebook: Path) -> None:
    put(notebook, BLUE, Batch(name="other", emulsion="pan", speed_iso=100.0))
    with open_notebook(notebook) as opened, opened.writing():
        put_entry(opened, Holder(name="1"))
    shown = expose("arch", *AFTERNOON).output
    assert "EV" in shown
    assert "name one of plates of May, other with --batch" in shown
    loaded = CliRunner().invoke(main, ["plate", "load", "1", "--batch", "other"])
    assert loaded.exit_code == 0, loaded.output
    assert "on other (loaded) at f/16" in expose("arch", *AFTERNOON).output


def test_a_time_shorter_than_the_cap_gives_says_what_to_do(notebook: Path) -> None:
    """One second by the cap, common practice; an exposure of 1/30 s is five stops less."""
    put(notebook, Batch(name="quick", emulsion="pan", speed_iso=25.0))
    noon = ("arch", "--at", "2026-11-28 13:00")
    assert "stop down" not in expose(*noon).output
    with open_notebook(notebook) as opened, opened.writing():
        put_entry(opened, Shutter(name="lens cap", cap=True))
    assert "shorter than 'lens cap' gives (1 s, common practice): stop down" in " ".join(
        expose(*noon).output.split()
    )


def test_light_says_which_way_a_face_without_facing_is_taken_to_look(notebook: Path) -> None:
    put(notebook, BLUE)
    with open_notebook(notebook) as opened, opened.writing():
        place = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=5.0, error_basis="given")
        subject = add_subject(opened, Subject(name="pump", place=place))
        bearing = Bearing(true_deg=20.0, error_deg=2.0, as_written="20T")
        camera = CameraPosition(subject_id=subject.id, name="main", place=place, bearing=bearing)
        add_camera_position(opened, camera)
    asked = ["light", "--on", "2026-11-28", "--batch", BLUE.name]
    shown = " ".join(CliRunner().invoke(main, asked).output.split())
    assert "taken to look at the camera, to 200° ± 45° (pump); the range counts" in shown
    assert "(arch)" not in shown


def test_a_limit_on_light_tells_neighbours_apart_and_what_may_be_over(notebook: Path) -> None:
    """Cut by seconds, a list still counts windows much the same as one above apart from others;
    and a window under the limit at the middle of its range may be over it at the slow end.
    """
    put(notebook, BLUE)
    asked = [
        "light",
        "arch",
        "--from",
        "2026-11-28",
        "--to",
        "2027-11-27",
        "--limit",
        "3",
        "--json",
    ]
    found = {}
    for longest in ("10h", "4s"):
        words = [*asked, "--batch", BLUE.name, "--longest", longest]
        found[longest] = json.loads(CliRunner().invoke(main, words).output)
    assert found["10h"]["left_off"] > found["10h"]["left_off_alike"] > 100
    assert not any(one["may_be_over"] for one in found["10h"]["exposures"]["windows"])
    for one in found["4s"]["exposures"]["windows"]:
        most = max(one[k]["most_s"] for k in ("at_start", "at_best", "at_end") if one[k])
        assert one["may_be_over"] == (most > 4.0)
    assert any(one["may_be_over"] for one in found["4s"]["exposures"]["windows"] if one["wanted"])
    month = ["--to", "2027-03-31", "--batch", BLUE.name, "--longest", "4s"]
    shown = CliRunner().invoke(main, [*asked[:4], *month]).output
    assert "?: may be over 4 s, at the slow end of the range." in shown
