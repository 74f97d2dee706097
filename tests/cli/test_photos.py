"""Photos on the command line: the invented island's two, and what `show` and `clue` say."""

from __future__ import annotations

import json
import shutil
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator
from tests.readers.photo_bytes import ASCII, PLACED, TAKEN, Tags, exif, jpeg

from backbearing.cli.main import main
from backbearing.places.geodesy import inverse

LOST = "lost stone"
ROUTES = Path(__file__).parents[2] / "demo_routes"


@pytest.fixture
def book(island: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(island / "island.gpkg", tmp_path / "n.gpkg"))


def ask(path: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["--notebook", str(path), *words])


def answered(path: Path, *words: str) -> Any:
    done = ask(path, *words, "--json")
    assert done.exit_code == 0, done.output
    answer = json.loads(done.stdout)
    schema = json.loads((resources.files("backbearing.schemas") / f"{words[0]}.json").read_text())
    Draft202012Validator(schema).validate(answer)
    return answer


def test_show_lists_the_phone_s_photo_with_its_place_and_direction(book: Path) -> None:
    (shown,) = answered(book, "show", "winding house")["photos"]
    photo = shown["photo"]
    assert photo["file_name"] == "2026-03-14-back-7.jpg"
    assert photo["taken_at"] == "2026-03-14T15:39:20Z"
    assert photo["placed_by"] == "gps"
    house = json.loads((ROUTES / "places.json").read_text())["winding house"]
    at = photo["place"]
    _, away_m = inverse(
        at["latitude_deg"], at["longitude_deg"], house["latitude_deg"], house["longitude_deg"]
    )
    assert away_m == pytest.approx(8.0, abs=0.3)  # it was drawn from 8 m off
    assert shown["away_m"] <= 41.0  # where the subject's record puts it, ± 41 m
    # declination there −6.0° (World Magnetic Model): 112 − 6
    assert photo["bearing"]["true_deg"] == pytest.approx(106.0, abs=0.2)
    text = ask(book, "show", "winding house").stdout
    assert "2026-03-14 14:39 UTC−1  2026-03-14-back-7.jpg, looking 106° ± 10°, 6 m away" in text


def test_the_camera_s_photo_lies_on_the_track_of_its_day(book: Path) -> None:
    """It was drawn from where the gap path meets the leat, at which the walk paused."""
    done = ask(book, "mark", LOST, "--at", "47.0084 N 20.9981 W", "--error", "200m")
    assert done.exit_code == 0, done.output
    (shown,) = answered(book, "show", LOST)["photos"]
    assert shown["photo"]["place"]["source"] == "track 2 at 13:24:30 UTC"
    assert shown["photo"]["time_error_s"] == 120.0
    assert shown["away_m"] <= shown["photo"]["place"]["error_m"]


def test_clue_offers_photos_from_the_ground_by_month(book: Path) -> None:
    ask(book, "mark", LOST, "--at", "47.0084 N 20.9990 W", "--error", "300m")
    every = answered(book, "clue", LOST)["photos"]
    assert [photo["file_name"] for photo in every] == ["2024-09-28-leat-4.jpg"]
    assert answered(book, "clue", LOST, "--months", "Sep")["photos"] == every
    assert answered(book, "clue", LOST, "--months", "Mar")["photos"] == []
    told = answered(book, "clue", LOST, "--near", "the leat", "--within", "60m")
    assert told["photos"][0]["file_name"] == "2024-09-28-leat-4.jpg"
    on_line = answered(book, "clue", LOST)["photos"][0]
    assert on_line["along_m"] is not None
    assert "Your own photos from this ground" in ask(book, "clue", LOST).stdout


def test_import_ties_corrects_and_validates(book: Path, tmp_path: Path) -> None:
    photo = tmp_path / "frame 4.jpg"
    own: Tags = {0x9003: (ASCII, "2026:03:14 13:00:00"), 0x9011: (ASCII, "+01:00")}
    photo.write_bytes(jpeg(exif({}, own)))
    options = ["--clock-offset", "+209s", "--of", "arch"]
    answer = answered(book, "import", str(photo), *options)
    report = answer["files"][0]["photo"]
    assert report["photo"]["taken_at"] == "2026-03-14T12:03:29Z"
    assert report["subject"] == "arch"
    assert answered(book, "import", str(photo))["already_on_record"] == 1
    shown = answered(book, "show", "arch")["photos"]
    assert [one["tied"] for one in shown] == [True]
    number = str(shown[0]["photo"]["id"])
    assert ask(book, "delete", "--photo", number).exit_code == 0
    assert answered(book, "show", "arch")["photos"] == []


def test_a_hostile_name_reaches_no_terminal_raw(book: Path, tmp_path: Path) -> None:
    photo = tmp_path / "\x1b[2Jover.jpg"
    photo.write_bytes(jpeg(exif({}, TAKEN, PLACED)))
    told = ask(book, "import", str(photo), "--of", "arch").stdout
    assert "over.jpg" in told
    assert "\x1b" not in told + ask(book, "show", "arch").stdout


def test_an_offset_without_a_sign_is_refused(book: Path, tmp_path: Path) -> None:
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(jpeg())
    done = ask(book, "import", str(photo), "--clock-offset", "207s")
    assert "--clock-offset" in str(done.exception)
