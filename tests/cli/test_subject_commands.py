"""`subjects`, `show`, `edit`, `delete`, `restore`, `setting`: what is on record, kept in hand."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, date, datetime
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result
from tests.notebook import samples

from backbearing.cli.main import main
from backbearing.errors import BadInput, NotFound
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import (
    add_camera_position,
    add_note,
    add_subject,
    find_subject,
    update_subject,
)
from backbearing.notebook.tracks import store_original, store_waypoint
from backbearing.records import OtherSky, Place, Subject, WantedLight, Waypoint

HOSTILE = "arch \x1b[31m\u202e<b>`${1}`"


@pytest.fixture
def notebook_path(tmp_path: Path) -> Path:
    """A notebook with a well-known winding house, a bare arch and a hostile name."""
    path = tmp_path / "notebook.gpkg"
    with open_notebook(path, create=True) as notebook, notebook.writing():
        house = add_subject(
            notebook,
            Subject(
                name="winding house",
                place=samples.place(),
                state="scouted",
                words="slate, two drums",
                tall_m=9.3,
                facing_deg=125.0,
                blocked="river too high to ford",
                next_time="bring the long lens",
                wanted=WantedLight(
                    delta_deg=(45.0, 135.0),
                    side="left",
                    months=(10, 11),
                    other_sky=OtherSky(
                        earliest=samples.NOON.time(), latest=samples.NOON.replace(hour=15).time()
                    ),
                ),
                marked_at=samples.NOON,
            ),
        )
        add_camera_position(notebook, samples.camera_position(house.id))
        add_note(notebook, samples.note(house.id))
        add_subject(notebook, Subject(name="arch", place=samples.place(47.02, -21.01)))
        add_subject(notebook, Subject(name=HOSTILE, words=HOSTILE, place=samples.place(0.0, 0.0)))
    return path


def ask(path: Path, *words: str) -> Result:
    result = CliRunner().invoke(main, ["--notebook", str(path), *words], catch_exceptions=True)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def told(path: Path, *words: str) -> str:
    result = ask(path, *words)
    assert result.exit_code == 0, result.output
    return result.output


def as_json(path: Path, command: str, *words: str) -> dict[str, object]:
    answer: dict[str, object] = json.loads(told(path, command, *words, "--json"))
    schema = json.loads((files("backbearing.schemas") / f"{command}.json").read_text("utf-8"))
    jsonschema.Draft202012Validator(schema).validate(answer)
    return answer


class TestSubjects:
    def test_each_stands_on_a_line_by_name(self, notebook_path: Path) -> None:
        lines = told(notebook_path, "subjects").splitlines()
        assert len(lines) == 4
        assert lines[-1].split("  ")[0] == "winding house"
        assert lines[-1].endswith(
            "  scouted, blocked  47.010000, -21.020000   10  slate, two drums"
        )

    def test_only_those_asked_for(self, notebook_path: Path) -> None:
        assert "winding" not in told(notebook_path, "subjects", "--state", "seen")
        assert "arch" not in told(notebook_path, "subjects", "--blocked")

    def test_json(self, notebook_path: Path) -> None:
        answer = as_json(notebook_path, "subjects", "--state", "scouted")
        assert [s["name"] for s in answer["subjects"]] == ["winding house"]  # type: ignore[attr-defined]
        assert answer["left_out"] == 2

    def test_none_is_said_on_stderr(self, notebook_path: Path) -> None:
        result = ask(notebook_path, "subjects", "--state", "gone")
        assert result.stdout == ""
        assert "no subject like that" in result.stderr

    def test_loads_nothing_that_takes_time(self, notebook_path: Path) -> None:
        heavy = ["numpy", "pyproj", "rich", "shapely", "tzfpy", "erfa", "folium", "geopandas"]
        code = (
            f"import sys; sys.argv[1:] = ['--notebook', {str(notebook_path)!r}, 'subjects']\n"
            "from backbearing.cli.main import main\n"
            "main(standalone_mode=False)\n"
            f"print([m for m in {heavy!r} if m in sys.modules], file=sys.stderr)"
        )
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        )
        assert done.stderr.strip() == "[]"


class TestShow:
    def test_what_stopped_me_and_what_to_change_come_first(self, notebook_path: Path) -> None:
        lines = told(notebook_path, "show", "winding house").splitlines()
        assert lines[0].split(None, 1) == ["blocked", "river too high to ford"]
        assert lines[1].split() == ["next", "time", "bring", "the", "long", "lens"]

    def test_all_that_is_known_is_shown(self, notebook_path: Path) -> None:
        text = told(notebook_path, "show", "Winding  HOUSE")
        for words in (
            "scouted, marked 2024-05-01",
            "slate, two drums",
            "47.010000, -21.020000",
            "47°00'36.0\"N 21°01'12.0\"W",
            "27T VN",
            "geo:47.010000,-21.020000;u=10",
            "± 10 m (given)",
            "212 m above the sea",
            "9.3 m tall, faces 125° true",
            "side-lit from the left",
            "204° true ± 2° (215M, declination 10.5° W)",
            "8 m",
            "top 38°, foot −6°",
            "the far islet: 012° true",
            "    left of the leat\n    read as: water low",
        ):
            assert words in text

    def test_a_height_worked_out_from_angles_has_its_error(self, notebook_path: Path) -> None:
        # 8 m × (tan 38° + tan 6°) = 7.09 m; the camera's angles gave it
        told(notebook_path, "edit", "winding house", "--tall", "7.09m")
        assert "7.1 m ± 0.8 m tall" in told(notebook_path, "show", "winding house")
        assert as_json(notebook_path, "show", "winding house")["tall_error_m"] == pytest.approx(
            0.76, abs=0.01
        )
        told(notebook_path, "edit", "winding house", "--tall", "36.58m")
        assert "37 m tall" in told(notebook_path, "show", "winding house")

    def test_without_a_stored_wish_it_says_so(self, notebook_path: Path) -> None:
        text = told(notebook_path, "show", "arch")
        assert "light      none on record" in text
        assert text.startswith("arch\n")

    def test_json(self, notebook_path: Path) -> None:
        answer = as_json(notebook_path, "show", "winding house")
        assert answer["place_texts"]["utm"].startswith("27T ")  # type: ignore[index]
        assert answer["camera_positions"][0]["bearing"]["as_written"] == "215M"  # type: ignore[index]
        assert as_json(notebook_path, "show", "arch")["wanted_light"] == ""

    def test_control_characters_never_reach_the_terminal(self, notebook_path: Path) -> None:
        text = told(notebook_path, "show", HOSTILE) + told(notebook_path, "subjects")
        assert "\x1b" not in text
        assert "\u202e" not in text

    def test_an_unknown_name_gets_the_nearest(self, notebook_path: Path) -> None:
        with pytest.raises(NotFound, match="did you mean 'winding house'"):
            ask(notebook_path, "show", "winding hose")

    def test_no_numpy_is_loaded(self, notebook_path: Path) -> None:
        code = (
            "import sys; from backbearing.cli.main import main\n"
            f"main(['--notebook', {str(notebook_path)!r}, 'show', 'winding house'],"
            " standalone_mode=False)\n"
            "sys.exit('numpy' in sys.modules)"
        )
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
        assert done.returncode == 0


class TestEdit:
    def test_only_what_is_given_changes(self, notebook_path: Path) -> None:
        before = as_json(notebook_path, "show", "winding house")["subject"]
        told(notebook_path, "edit", "winding house", "--state", "made", "--blocked", "")
        after = as_json(notebook_path, "show", "winding house")["subject"]
        assert isinstance(before, dict)
        assert after == {**before, "state": "made", "blocked": ""}

    def test_a_rename_keeps_the_uid(self, notebook_path: Path) -> None:
        uid = as_json(notebook_path, "show", "arch")["subject"]["uid"]  # type: ignore[index]
        said = told(notebook_path, "edit", "arch", "--name", "  north  arch ")
        assert "name: arch → north arch" in said
        assert as_json(notebook_path, "show", "North Arch")["subject"]["uid"] == uid  # type: ignore[index]

    def test_a_name_that_is_taken_is_refused_and_nothing_changes(self, notebook_path: Path) -> None:
        with pytest.raises(BadInput, match="already on record"):
            ask(notebook_path, "edit", "arch", "--name", "WINDING house", "--state", "gone")
        assert as_json(notebook_path, "show", "arch")["subject"]["state"] == "seen"  # type: ignore[index]

    def test_a_new_place_and_its_error(self, notebook_path: Path) -> None:
        told(notebook_path, "edit", "arch", "--at", "47.03123, -21.01234", "--sky", "walls")
        place = as_json(notebook_path, "show", "arch")["subject"]["place"]  # type: ignore[index]
        assert (place["latitude_deg"], place["error_m"]) == (47.03123, 40.0)
        assert place["error_basis"] == "assumed: under walls"
        told(notebook_path, "edit", "arch", "--error", "60 ft")
        place = as_json(notebook_path, "show", "arch")["subject"]["place"]  # type: ignore[index]
        assert (place["error_m"], place["error_basis"]) == (pytest.approx(18.288), "given")

    def test_sizes_come_and_go(self, notebook_path: Path) -> None:
        told(notebook_path, "edit", "arch", "--tall", "12 ft", "--wide", "3m", "--facing", "90T")
        subject = as_json(notebook_path, "show", "arch")["subject"]
        assert subject["tall_m"] == pytest.approx(3.6576)  # type: ignore[index]
        assert (subject["wide_m"], subject["facing_deg"]) == (3.0, 90.0)  # type: ignore[index]
        told(notebook_path, "edit", "arch", "--tall", "none", "--facing", "none")
        subject = as_json(notebook_path, "show", "arch")["subject"]
        assert (subject["tall_m"], subject["facing_deg"]) == (None, None)  # type: ignore[index]

    def test_a_first_bearing_makes_a_camera_position_and_says_where(
        self, notebook_path: Path
    ) -> None:
        said = told(notebook_path, "edit", "arch", "--bearing", "100T")
        assert "bearing: nothing → 100T" in said
        assert "assumed: the camera position was put where the subject is" in said
        with pytest.raises(BadInput, match="no camera position to measure a distance from"):
            ask(notebook_path, "edit", HOSTILE, "--distance", "8m")

    def test_a_magnetic_bearing_is_turned_by_the_declination_of_the_record(
        self, notebook_path: Path
    ) -> None:
        """Not by today's: it was read on the day of the record, or on the day that is named."""
        from backbearing.places.bearings import declination_deg

        with open_notebook(notebook_path) as notebook, notebook.writing():
            subject = find_subject(notebook, "arch")
            long_ago = datetime(2011, 6, 1, 12, tzinfo=UTC)
            update_subject(notebook, replace(subject, marked_at=long_ago))
        place = subject.place
        spot = (place.latitude_deg, place.longitude_deg, place.height_m)
        for options, day in (((), date(2011, 6, 1)), (("--date", "2025-06-01"), date(2025, 6, 1))):
            said = told(notebook_path, "edit", "arch", "--bearing", "100M", *options)
            camera = as_json(notebook_path, "show", "arch")["camera_positions"][0]  # type: ignore[index]
            expected = 100.0 + declination_deg(*spot, day)[0]
            assert camera["bearing"]["true_deg"] == pytest.approx(expected, abs=1e-6)
            assert f"declination of {day.isoformat()}" in said

    def test_a_subject_put_by_bearing_and_distance_moves_along(self, notebook_path: Path) -> None:
        told(notebook_path, "edit", "arch", "--camera-at", "47.02, -21.01", "--bearing", "0T")
        said = told(notebook_path, "edit", "arch", "--distance", "100m", "--measured", "taped")
        assert "place: 47.020000, -21.010000" in said
        place = as_json(notebook_path, "show", "arch")["subject"]["place"]  # type: ignore[index]
        # a degree of latitude at 47° N is 111.171 km (radii of WGS 84, NGA.STND.0036)
        assert (place["latitude_deg"] - 47.02) * 111_170 == pytest.approx(100, abs=0.1)
        told(notebook_path, "edit", "arch", "--bearing", "180T")
        place = as_json(notebook_path, "show", "arch")["subject"]["place"]  # type: ignore[index]
        assert (place["latitude_deg"] - 47.02) * 111_170 == pytest.approx(-100, abs=0.1)
        assert "100 m taped ± 1 m" in place["error_basis"]

    def test_a_subject_placed_for_itself_stays(self, notebook_path: Path) -> None:
        before = as_json(notebook_path, "show", "winding house")["subject"]["place"]  # type: ignore[index]
        told(notebook_path, "edit", "winding house", "--bearing", "100T")
        assert as_json(notebook_path, "show", "winding house")["subject"]["place"] == before  # type: ignore[index]

    @pytest.mark.parametrize(
        ("options", "said"),
        [
            ((), "nothing to change is given"),
            (("--tall", "high"), "--tall"),
            (("--tall", "9" * 400), "--tall: .* longer than 1000 km"),
            (("--tall", "0"), "--tall: .*'none' takes it off the record"),
            (("--distance", "0 m"), "--distance: .*'none' takes it off the record"),
            (("--distance", "101 km"), "--distance: .* longer than 100 km"),
            (("--bearing", "400M"), "--bearing"),
            (("--camera-position", "side", "--top", "5"), "has no camera position 'side'"),
            (("--instrument", "phone"), "--instrument: no bearing"),
            (("--name", " "), "--name"),
            (("--name", "47.0, -21.0"), "--name"),
            (("--at", "95, 10"), "look swapped"),
            (("--words", "x" * 30_000), "--words: longer than"),
            (("--date", "soon", "--state", "made"), "--date"),
        ],
    )
    def test_bad_input_is_refused_by_option(
        self, notebook_path: Path, options: tuple[str, ...], said: str
    ) -> None:
        with pytest.raises(BadInput, match=said):
            ask(notebook_path, "edit", "winding house", *options)


class TestDeleteAndRestore:
    def test_a_subject_goes_with_all_it_has_and_comes_back(self, notebook_path: Path) -> None:
        before = as_json(notebook_path, "show", "winding house")
        said = told(notebook_path, "delete", "Winding house")
        assert "with 1 camera position and 1 note" in said
        assert "'backbearing restore 1'" in said
        with pytest.raises(NotFound):
            ask(notebook_path, "show", "winding house")
        [entry] = as_json(notebook_path, "restore")["bin"]  # type: ignore[misc]
        assert (entry["id"], entry["kind"]) == (1, "subject")
        answer = as_json(notebook_path, "restore", "1")
        assert answer["restored"]["name"] == "winding house"  # type: ignore[index]
        assert answer["bin"] == []
        assert as_json(notebook_path, "show", "winding house") == before

    def test_one_camera_position(self, notebook_path: Path) -> None:
        told(notebook_path, "delete", "winding house", "--camera-position", "MAIN")
        assert as_json(notebook_path, "show", "winding house")["camera_positions"] == []
        told(notebook_path, "restore", "1")
        cameras = as_json(notebook_path, "show", "winding house")["camera_positions"]
        assert len(cameras) == 1  # type: ignore[arg-type]

    def test_a_waypoint_by_its_number(self, notebook_path: Path) -> None:
        with open_notebook(notebook_path) as notebook, notebook.writing():
            original_id = store_original(notebook, samples.original())
            waypoint = Waypoint(latitude_deg=47.0, longitude_deg=-21.0, name="landing stage")
            number = store_waypoint(notebook, original_id, waypoint)
        assert "landing stage" in told(notebook_path, "delete", "--waypoint", str(number))
        assert "waypoint landing stage is back" in told(notebook_path, "restore", "1")

    def test_exactly_one_thing(self, notebook_path: Path) -> None:
        for words in ((), ("arch", "--track", "1"), ("--track", "1", "--route", "2")):
            assert ask(notebook_path, "delete", *words).exit_code == 2
        assert ask(notebook_path, "delete", "--camera-position", "main").exit_code == 2

    def test_what_is_not_there(self, notebook_path: Path) -> None:
        with pytest.raises(NotFound):
            ask(notebook_path, "delete", "--track", "77")
        with pytest.raises(NotFound):
            ask(notebook_path, "restore", "77")

    def test_a_name_taken_meanwhile_is_not_run_over(self, notebook_path: Path) -> None:
        told(notebook_path, "delete", "arch")
        told(notebook_path, "edit", "winding house", "--name", "Arch")
        with pytest.raises(BadInput, match="cannot come back"):
            ask(notebook_path, "restore", "1")

    def test_an_empty_bin_is_said_on_stderr(self, notebook_path: Path) -> None:
        result = ask(notebook_path, "restore")
        assert (result.stdout, result.stderr) == ("", "the bin is empty\n")


class TestSetting:
    def test_the_zone_is_set_shown_and_taken_back(self, notebook_path: Path) -> None:
        told(notebook_path, "setting", "zone", "Atlantic/Azores")
        settings = as_json(notebook_path, "setting")["settings"]
        assert {one["key"]: one["value"] for one in settings}["zone"] == "Atlantic/Azores"
        assert "12:00 UTC+0" in told(notebook_path, "show", "winding house")
        assert "Atlantic/Azores" in told(notebook_path, "setting", "zone")
        told(notebook_path, "setting", "zone", "--unset")
        assert "not set" in told(notebook_path, "setting")

    def test_a_new_notebook_can_start_with_its_zone(self, tmp_path: Path) -> None:
        told(tmp_path / "new.gpkg", "setting", "zone", "Europe/Zurich")
        assert "Europe/Zurich" in told(tmp_path / "new.gpkg", "setting")

    def test_what_means_nothing_is_refused(self, notebook_path: Path) -> None:
        with pytest.raises(BadInput, match="did you mean Atlantic/Azores"):
            ask(notebook_path, "setting", "zone", "Atlantic/Azors")
        with pytest.raises(BadInput, match="there is no setting"):
            ask(notebook_path, "setting", "colour", "red")
        assert ask(notebook_path, "setting", "--unset").exit_code == 2

    @pytest.mark.parametrize("spot", ["-43.0, 171.0", "-.5 -70.25"])
    def test_a_start_south_of_the_equator_is_typed_as_it_is(
        self, notebook_path: Path, spot: str
    ) -> None:
        told(notebook_path, "setting", "start", spot)
        settings = as_json(notebook_path, "setting", "start")["settings"]
        assert settings[0]["value"] == spot
        with pytest.raises(BadInput, match="latitude 99 is outside"):
            ask(notebook_path, "setting", "start", "-99.0, 171.0")


def test_without_a_notebook_the_way_on_is_named(tmp_path: Path) -> None:
    for words in (("subjects",), ("show", "arch"), ("restore",), ("delete", "arch"), ("setting",)):
        with pytest.raises(NotFound, match=r"import.*mark"):
            ask(tmp_path / "none.gpkg", *words)


def test_at_the_pole_and_the_antimeridian_all_notations_are_shown(tmp_path: Path) -> None:
    path = tmp_path / "notebook.gpkg"
    with open_notebook(path, create=True) as notebook, notebook.writing():
        for name, latitude_deg, longitude_deg in (("a", 89.9, 10.0), ("b", -17.5, -180.0)):
            place = Place(
                latitude_deg=latitude_deg,
                longitude_deg=longitude_deg,
                error_m=10.0,
                error_basis="given",
            )
            add_subject(notebook, Subject(name=name, place=place))
    assert as_json(path, "show", "a")["place_texts"]["mgrs"] == "Z AG 01927 89066"  # type: ignore[index]
    assert as_json(path, "show", "b")["place_texts"]["utm"].startswith("01K ")  # type: ignore[index]


def test_a_note_says_its_day_once_and_is_folded(tmp_path: Path) -> None:
    path = tmp_path / "notebook.gpkg"
    record = "2026-03-14 14:32 seen arch, 47.0123 N 21.0456 W, " + "left of the leat, " * 12
    (tmp_path / "notes.txt").write_text(record)
    told(path, "setting", "zone", "Atlantic/Azores")
    told(path, "import", str(tmp_path / "notes.txt"))
    shown = told(path, "show", "arch").partition("notes\n")[2]
    assert shown.count("2026-03-14") == 1
    assert "2026-03-14 14:32  (notes.txt, line 1)" in shown
    assert max(map(len, shown.splitlines())) <= 92


def test_the_clock_of_the_place_dates_a_remark_and_the_bin(notebook_path: Path) -> None:
    told(notebook_path, "setting", "zone", "Asia/Kolkata")  # UTC+5:30, letters IST; at sea
    assert " IST: hi" in told(notebook_path, "note", "winding house", "hi")
    told(notebook_path, "delete", "arch")
    assert " IST" in told(notebook_path, "restore")


def test_a_name_typed_without_its_quotes_is_told(notebook_path: Path) -> None:
    with pytest.raises(NotFound, match=r"'winding house'\? \(a name of several words goes in"):
        told(notebook_path, "show", "winding")
