"""`reading`, `trees`, `mark --at-water` and `skyline --measure`, as they are typed."""

import json
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from backbearing.cli.main import main
from backbearing.errors import BackbearingError, BadInput, NotFound
from backbearing.plans.demo import demo_terrain

PLACE = "47.003218, -21.000535"
HOUSE = "winding house"


def run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, list(words), catch_exceptions=False, standalone_mode=False)
    return done.exit_code, done.stdout, done.stderr


def answer(*words: str) -> dict:  # type: ignore[type-arg]
    found = json.loads(run(*words, "--json")[1])
    schema = json.loads(files("backbearing.schemas").joinpath(f"{words[0]}.json").read_text())
    jsonschema.validate(found, schema)
    return found  # type: ignore[no-any-return]


@pytest.fixture
def island(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BACKBEARING_NOTEBOOK", "n.gpkg")
    assert run("terrain", "add", *map(str, demo_terrain()), "--ground", "bare")[0] == 0
    assert run("mark", HOUSE, "--at", PLACE, "--error", "10m")[0] == 0
    return tmp_path


def altitude(found: dict, azimuth_deg: float) -> float:  # type: ignore[type-arg]
    return float(found["skyline"]["altitude_deg"][round(azimuth_deg * 2) % 720])


def test_a_reading_goes_into_the_skyline_and_out_of_it_again(island: Path) -> None:
    before = answer("skyline", HOUSE)
    added = answer("reading", "add", HOUSE, "200T 41", "--note", "spoil heap")
    assert added["added"][0]["effect"] == "raises"
    after = answer("skyline", HOUSE)
    assert altitude(after, 200.0) == pytest.approx(41.0)
    assert altitude(after, 210.0) == altitude(before, 210.0)
    assert after["comes_from"][400] == "measured"
    assert after["comes_from"][420] == "terrain"
    assert "1 edge measured by hand" in after["basis"]
    run("reading", "drop", str(added["added"][0]["id"]))
    assert altitude(answer("skyline", HOUSE), 200.0) == altitude(before, 200.0)
    run("restore", "1")
    assert altitude(answer("skyline", HOUSE), 200.0) == pytest.approx(41.0)


def test_light_comes_later_where_an_edge_measured_by_hand_is_higher(island: Path) -> None:
    def first_window() -> dict:  # type: ignore[type-arg]
        run("want", HOUSE, "--sun")
        found = answer("light", HOUSE, "--from", "2026-06-21", "--to", "2026-06-21")
        return found["windows"][0]  # type: ignore[no-any-return]

    before = first_window()
    run("reading", "add", HOUSE, *(f"{azimuth}T 35" for azimuth in range(50, 121, 10)))
    after = first_window()
    assert after["start"] > before["start"]
    assert "over an edge measured by hand" in after["why"]
    assert any("measured by hand" in each for each in after["rests_on"])


def test_magnetic_and_percent_are_read_and_a_table_too(island: Path) -> None:
    (island / "r.csv").write_text("azimuth (magnetic),angle,note\n300,100%,crag\n310,12,\n")
    added = answer("reading", "add", HOUSE, "--file", "r.csv", "--date", "2026-03-14")["added"]
    assert added[0]["altitude_deg"] == 45.0  # a rise of 100 in 100 is 45°
    assert added[0]["note"] == "crag"
    declination = added[0]["azimuth"]["declination_deg"]
    assert added[0]["azimuth"]["true_deg"] == pytest.approx(300.0 + declination)


def test_one_bad_reading_keeps_all_out(island: Path) -> None:
    with pytest.raises(BadInput):
        run("reading", "add", HOUSE, "100T 5", "110T 95")
    assert "no edge measured" in run("reading", "list", HOUSE)[1]


@pytest.mark.parametrize("bad", ["215M", "", "x y", "215M 1e400", "400T 5", "10T five", "10T nan"])
def test_what_is_no_reading_is_refused_in_a_sentence(island: Path, bad: str) -> None:
    with pytest.raises(BackbearingError) as refused:
        run("reading", "add", HOUSE, bad)
    assert "\n" not in str(refused.value)


def test_unknown_subjects_and_files_are_named(island: Path) -> None:
    with pytest.raises(NotFound):
        run("reading", "add", "winding hose", "215M 12")
    with pytest.raises(BadInput, match=r"gone\.csv"):
        run("reading", "add", HOUSE, "--file", "gone.csv")
    with pytest.raises(NotFound):
        run("reading", "drop", "77")


def test_trees_raise_bare_ground_and_let_winter_sun_through_branches(island: Path) -> None:
    before = answer("skyline", HOUSE, "--date", "2026-12-21")
    run("trees", HOUSE, "--tall", "12m", "--beyond", "15m", "--leaf", "May-Oct")
    winter = answer("skyline", HOUSE, "--date", "2026-12-21")
    summer = answer("skyline", HOUSE, "--date", "2026-06-21")
    ground = before["skyline"]["altitude_deg"]
    wooded = winter["skyline"]["altitude_deg"]
    assert all(w >= g - 0.01 for w, g in zip(wooded, ground, strict=True))
    assert winter["ground_deg"] == ground
    assert "trees" in winter["comes_from"]
    (day,) = winter["days"]
    assert any(day["through_branches"])
    both = zip(day["through_branches"], day["on_place"], strict=True)
    assert not any(through and on for through, on in both)
    assert not any(summer["days"][0]["through_branches"])  # in leaf: shut
    text = run("skyline", HOUSE, "--date", "2026-12-21")[1]
    assert "sun through leafless branches" in text
    assert "1 to 2 stops down" in text
    run("trees", HOUSE, "--none")
    assert answer("skyline", HOUSE)["skyline"]["altitude_deg"] == ground


def test_trees_are_not_put_on_a_surface_model(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BACKBEARING_NOTEBOOK", "n.gpkg")
    run("terrain", "add", *map(str, demo_terrain()), "--ground", "surface")
    run("mark", HOUSE, "--at", PLACE)
    before = answer("skyline", HOUSE)
    run("trees", HOUSE, "--tall", "20m", "--beyond", "10m", "--evergreen")
    after = answer("skyline", HOUSE)
    assert after["skyline"]["altitude_deg"] == before["skyline"]["altitude_deg"]
    assert "not added" in after["basis"]


def test_at_the_water_the_spot_lies_lower_and_its_sky_is_narrower(island: Path) -> None:
    run("mark", "landing", "--at", PLACE, "--error", "60m", "--at-water")
    run("mark", "bank", "--at", PLACE, "--error", "60m")
    low, high = answer("skyline", "landing"), answer("skyline", "bank")
    assert low["skyline"]["eye_height_m"] < high["skyline"]["eye_height_m"]
    assert "at the water" in low["basis"]
    assert low["sky_views"][0]["level"] < high["sky_views"][0]["level"]


def test_the_sheet_names_where_the_sun_nears_the_edge_and_warns_of_it(island: Path) -> None:
    run("want", HOUSE, "--sun", "--months", "Apr-Sep")
    sheet = answer("skyline", HOUSE, "--measure")["sheet"]
    assert 6 <= len(sheet["worth"]) <= 8
    azimuths = [each["azimuth_deg"] for each in sheet["worth"]]
    assert azimuths == sorted(azimuths)
    for each in sheet["worth"]:
        assert (each["azimuth_deg"] - each["compass_deg"]) % 360 == pytest.approx(
            sheet["declination_deg"] % 360, abs=0.6
        )
    text = run("skyline", HOUSE, "--measure")[1]
    assert "____" in text
    assert "Never point an eye" in text
    taken = [f"{azimuth}T 30" for azimuth in azimuths]
    run("reading", "add", HOUSE, *taken)
    again = answer("skyline", HOUSE, "--measure")["sheet"]["worth"]
    assert not {each["azimuth_deg"] for each in again} & set(azimuths)  # done with


def test_a_sheet_needs_no_terrain_and_no_wish(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    text = run("--notebook", "none.gpkg", "skyline", "-33.9, 18.4", "--measure")[1]
    assert "no terrain there" in text


def test_the_strip_is_drawn_as_png_too(island: Path) -> None:
    run("reading", "add", HOUSE, "200T 30")
    assert run("skyline", HOUSE, "--out", "strip.png")[0] == 0
    png = (island / "strip.png").read_bytes()
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    assert int.from_bytes(png[16:20], "big") == 2240


def test_edit_and_a_note_say_that_it_stands_at_the_water(island: Path) -> None:
    run("edit", HOUSE, "--at-water")
    assert "at the water" in run("show", HOUSE)[1]
    run("edit", HOUSE, "--not-at-water")
    assert "at the water" not in run("show", HOUSE)[1]
    (island / "notes.txt").write_text(
        "2026-03-14 seen pump wheel, 47.0120 N 21.0010 W, at the water\n"
    )
    assert run("import", "notes.txt")[0] == 0
    assert answer("show", "pump wheel")["subject"]["at_water"] is True
