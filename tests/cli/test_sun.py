"""`sun` as it is typed: words, JSON by its schema, exit codes."""

import json
import re
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result

from backbearing.cli.main import main
from backbearing.errors import BackbearingError
from backbearing.notebook import open_notebook
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_subject
from backbearing.plans.demo import demo_terrain
from backbearing.records import Place, Subject

SPOT = "47.0123 N 21.0456 W"
SCHEMA = json.loads((files("backbearing.schemas") / "sun.json").read_text(encoding="utf-8"))


@pytest.fixture(autouse=True)
def nowhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder without a notebook."""
    monkeypatch.chdir(tmp_path)


def sun(*words: str) -> Result:
    return CliRunner().invoke(main, ["sun", *words])


def test_a_day_in_words() -> None:
    shown = sun(SPOT, "--date", "2026-03-14")
    assert shown.exit_code == 0, shown.output
    for words in (
        "Saturday 14 March 2026",
        "Over a flat horizon",
        "Flat horizon assumed",
        "astral's own figures",
        "Never look at the sun",
    ):
        assert words in shown.output
    assert re.search(r"sunrise +06:\d\d +1 +09\d°", shown.output)
    assert re.search(r"noon +12:33 +180° +40\.\d°", shown.output)
    assert max(map(len, shown.output.splitlines())) <= 100


def test_a_moment_in_words() -> None:
    shown = sun(SPOT, "--date", "2026-03-14", "--time", "16:40").output
    assert "16:40 UTC−1 (17:40 UTC)" in shown
    assert re.search(r"azimuth +247° true, 25\d° by the compass \(declination \d\.\d° W", shown)
    assert re.search(r"altitude +17° up", shown)
    assert "Never look at the sun" in shown


@pytest.mark.parametrize(
    "words",
    [
        ("--date", "2026-12-05", "--time", "14:00"),
        ("--time", "2026-12-05 14:00"),
        ("--time", "Sat 5 December 2026 at 2 pm"),
        ("--time", "2026-12-05T14:00"),
        ("--time", "2026-12-05T15:00Z"),
        ("--time", "2026-12-05T15:00:00+00:00"),
        ("--time", "2026-12-05T17:30+0230"),
        ("--time", "2026-12-06T01:00+10:00"),
    ],
)
def test_one_instant_however_it_is_written(words: tuple[str, ...]) -> None:
    """The clock there is UTC − 1; a zone that is written stands in its place."""
    found = json.loads(sun(SPOT, *words, "--json").stdout)
    assert found["moment"]["when"] == "2026-12-05T15:00:00Z"


@pytest.mark.parametrize("text", ["-33.9000, 18.4000", "-33 54.000, 18 24.000", "-33.9000 18.4000"])
def test_a_southern_coordinate_with_its_sign(text: str) -> None:
    for words in ((text, "--date", "2026-03-14"), ("--date", "2026-03-14", "--", text)):
        shown = sun(*words)
        assert shown.exit_code == 0, shown.output
        assert "-33.900000, 18.400000" in shown.output


def test_an_unknown_option_is_still_named() -> None:
    shown = sun(SPOT, "--dat", "2026-03-14")
    assert shown.exit_code == 2
    assert "No such option '--dat'" in shown.output


def test_two_days_are_one_too_many() -> None:
    for time in ("2026-12-05 14:00", "now"):
        shown = sun(SPOT, "--date", "2026-12-05", "--time", time)
        assert "has its own day; leave --date out" in str(shown.exception)


def test_polar_night_and_midnight_sun_are_spoken() -> None:
    night = sun("80.0123 N 21.0456 W", "--date", "2026-12-21")
    assert night.exit_code == 0
    assert "The sun stays down all day." in night.output
    assert "sunrise 0" not in night.output
    day = sun("80.0123 N 21.0456 W", "--date", "2026-06-21")
    assert "The sun stays up all day." in day.output


@pytest.mark.parametrize(
    "words",
    [
        (SPOT, "--date", "2026-03-14"),
        (SPOT, "--date", "2026-03-14", "--time", "16:40"),
        (SPOT, "--time", "now"),
        ("80.0123 N 21.0456 W", "--date", "2026-12-21"),
        ("69.0012 N 21.0456 E", "--date", "2026-05-20"),
        ("86.4001 N 160.0001 E", "--time", "12:00"),
        ("89.9990 S 10.0001 E", "--date", "2026-06-21"),
    ],
)
def test_json_keeps_to_its_schema(words: tuple[str, ...]) -> None:
    shown = sun(*words, "--json")
    assert shown.exit_code == 0, shown.output
    jsonschema.validate(json.loads(shown.stdout), SCHEMA)


def test_a_subject_by_name_on_the_clock_the_notebook_sets(tmp_path: Path) -> None:
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as notebook, notebook.writing():
        place = Place(
            latitude_deg=47.0123,
            longitude_deg=-21.0456,
            height_m=310.0,
            error_m=40.0,
            error_basis="assumed: under walls",
        )
        add_subject(notebook, Subject(name="winding house", place=place))
        set_setting(notebook, "zone", "Atlantic/Azores")
    shown = sun("Winding house", "--date", "2026-07-01")
    assert shown.exit_code == 0, shown.output
    assert shown.output.startswith("winding house: 47.012300, -21.045600, 310 m above the sea")
    assert "clock of Atlantic/Azores (UTC+0)" in shown.output
    assert "Height not on record" not in shown.output


@pytest.mark.parametrize(
    "words",
    [
        ("no such place",),
        (SPOT, "--date", "2026-02-30"),
        (SPOT, "--time", "25:61"),
        (SPOT, "--time", "2026-12-05 25:61"),
        (SPOT, "--time", "2026-02-30 14:00"),
        (SPOT, "--time", "0001-01-01T00:00+01:00"),
        (SPOT, "--time", "2026-12-05T14:00+24:00"),
        ("91.0001 N 3.0001 E",),
        ("\x1b[31m47",),
        ("",),
    ],
)
def test_bad_words_end_in_one_sentence(words: tuple[str, ...]) -> None:
    shown = sun(*words)
    assert isinstance(shown.exception, BackbearingError)
    assert shown.exception.exit_code == 2
    assert "\n" not in str(shown.exception)
    assert "\x1b" not in str(shown.exception)
    assert shown.stdout == ""


def test_over_terrain_the_skyline_says_when_the_sun_is_there(tmp_path: Path) -> None:
    """The demo's winding house: the ground makes first sun hours later than a flat horizon."""
    here = "47.003219, -21.000535"
    notebook = ("--notebook", str(tmp_path / "n.gpkg"))

    def run(*words: str) -> Result:
        return CliRunner().invoke(main, [*notebook, *words])

    assert run("terrain", "add", *map(str, demo_terrain()), "--ground", "bare").exit_code == 0
    day = run("sun", here, "--date", "2027-05-20").output
    assert "Over the ground around" in day
    assert "The sun reaches here" in day
    assert "Flat horizon assumed" not in day
    found = json.loads(run("sun", here, "--date", "2027-05-20", "--json").stdout)
    jsonschema.validate(found, SCHEMA)
    (sunrise,) = (each for each in found["day"]["events"] if each["kind"] == "sunrise")
    first = found["over_ground"]["day"]["appearances"][0]
    assert first["start"] > sunrise["when"]
    assert first["comes_over"]["distance_m"] < 500.0
    shown = run("sun", here, "--at", "2027-05-20 13:00").output
    assert re.search(r"in sun since \d\d:\d\d, until \d\d:\d\d", shown)
    assert (
        "in shade: no sun yet that day, it comes at"
        in run("sun", here, "--at", "2027-05-20 03:00").output
    )
    moment = json.loads(run("sun", here, "--at", "2027-05-20 13:00", "--json").stdout)
    jsonschema.validate(moment, SCHEMA)
    assert moment["over_ground"]["now"]["since"] == first["start"]
    beyond = run("sun", "52.000000, -1.000000", "--date", "2027-05-20").output
    assert "Over the ground around" not in beyond
    assert "Flat horizon assumed" in beyond
