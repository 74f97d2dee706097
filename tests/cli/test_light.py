"""`light` and `want` as they are typed."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

import click
import jsonschema
import pytest
from click.testing import CliRunner, Result

from backbearing.cli.main import main
from backbearing.errors import BadInput
from backbearing.notebook import open_notebook
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_camera_position, add_subject, find_subject
from backbearing.records import Bearing, CameraPosition, Place, Subject, WantedLight

Run = Callable[..., Result]
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
HOSTILE = "powder \x1b[31mhouse‮"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "n.gpkg"
    place = Place(
        latitude_deg=47.0123, longitude_deg=-21.0456, error_m=20, error_basis="assumed: trees"
    )
    with open_notebook(path, create=True) as notebook, notebook.writing():
        set_setting(notebook, "zone", "Atlantic/Azores")
        for name, bearing in (("winding house", 215.0), ("arch", 40.0), (HOSTILE, 120.0)):
            subject = add_subject(notebook, Subject(name=name, place=place))
            to = Bearing(true_deg=bearing, error_deg=2.0, as_written=f"{bearing:.0f}T")
            add_camera_position(
                notebook, CameraPosition(place=place, bearing=to, subject_id=subject.id)
            )
    return path


@pytest.fixture
def run(path: Path) -> Run:
    def call(*words: str, **options: Any) -> Result:
        arguments = ["--notebook", str(path), *words]
        return CliRunner().invoke(main, arguments, catch_exceptions=False, **options)

    return call


def answer(result: Result, command: str) -> Any:
    """The JSON a command printed, after it was held against its schema."""
    schema = json.loads((files("backbearing.schemas") / f"{command}.json").read_text("utf-8"))
    found = json.loads(result.stdout)
    checker = jsonschema.Draft202012Validator.FORMAT_CHECKER
    jsonschema.Draft202012Validator(schema, format_checker=checker).validate(found)
    return found


# ---------------------------------------------------------------- want


def test_a_wish_is_kept_changed_and_cleared(run: Run, path: Path) -> None:
    shown = run("want", "winding house")
    assert "generic default" in shown.stdout
    run("want", "winding house", "--sun", "--lit-from", "left", "--sun-height", "5-25")
    run("want", "winding house", "--months", "10-3", "--other-sky", "10:30-15:00")
    shown = run("want", "winding house").stdout
    for clause in ("sun on it", "side-lit from the left", "5–25°", "Oct–Mar", "10:30–15:00"):
        assert clause in shown
    with open_notebook(path, readonly=True) as notebook:
        kept = find_subject(notebook, "winding house").wanted
    assert kept is not None
    assert kept.sun_altitude_deg == (5.0, 25.0)
    run("want", "winding house", "--clear")
    assert "generic default" in run("want", "winding house").stdout


def test_want_as_json(run: Run) -> None:
    generic = answer(run("want", "arch", "--json"), "want")
    assert generic["basis"] == "generic default"
    kept = answer(
        run("want", "arch", "--no-sun", "--earliest", "9:30", "--at-least", "25min", "--json"),
        "want",
    )
    assert kept["basis"] == "on record"
    assert kept["wanted"]["direct_sun"] is False
    assert kept["wanted"]["earliest"] == "09:30:00"
    assert kept["wanted"]["minimum_min"] == 25


def test_a_wish_that_cannot_be_judged_says_so(run: Run, path: Path) -> None:
    place = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=10, error_basis="given")
    with open_notebook(path) as notebook, notebook.writing():
        add_subject(notebook, Subject(name="adit", place=place))
    shown = run("want", "adit", "--lit-from", "back").stdout
    assert "no bearing" in shown.lower()


def test_a_bad_wish_changes_nothing(run: Run, path: Path) -> None:
    with pytest.raises(BadInput, match="--sun-height"):
        run("want", "arch", "--sun", "--sun-height", "high")
    with open_notebook(path, readonly=True) as notebook:
        assert find_subject(notebook, "arch").wanted is None


# ---------------------------------------------------------------- light


def rows(lines: list[str]) -> list[int]:
    """Which lines are rows of a single subject's table."""
    return [i for i, line in enumerate(lines) if line.startswith(DAYS) and " up at " in line]


def test_a_window_is_a_line_and_a_reason(run: Run) -> None:
    text = run("light", "winding house", "--on", "2026-11-28").stdout
    lines = text.splitlines()
    assert lines[0] == "Best light at winding house, Sat 28 Nov 2026; clock of Atlantic/Azores"
    assert max(map(len, lines)) <= 100
    (row,) = rows(lines)
    assert "side-lit from the left" in lines[row]
    assert "° up at 1" in lines[row]
    assert lines[row + 1].startswith("    Side-lit from the left, sun 10° up; opens as the sun")
    said = " ".join(text.split())
    for words in ("Flat horizon assumed", "bearing 215° true ± 2° (215T)", "generic default"):
        assert words in said


def test_what_it_rests_on_is_said_once_and_in_the_same_figures(run: Run) -> None:
    """A subject put by bearing and distance: the bearing counts in its position and its light."""
    spot = ["--at", "47.0101 N 21.0202 W", "--sky", "walls", "--date", "2026-03-14"]
    marked = run("mark", "hoist", *spot, "--bearing", "215M", "--distance", "8m").stdout
    error = (
        "± 41 m: place ± 40 m assumed (under walls), 215M ± 2° assumed (sighting compass), "
        "8 m paced ± 0.8 m"
    )
    light = " ".join(run("light", "hoist", "--on", "2026-11-28").stdout.split())
    assert f"Rests on position {error}; bearing 215M, 209° true;" in light
    for shown in (marked, run("show", "hoist").stdout, run("sun", "hoist").stdout):
        assert error in shown


def test_no_mark_of_worth_reaches_the_reader(run: Run) -> None:
    """The figure that orders windows is for programs only."""
    for words in (["light", "--from", "2026-11-28"], ["light", "--help"], ["want", "arch"]):
        assert "score" not in run(*words).stdout.lower()


def test_saturday_from_one_o_clock_which_of_mine(run: Run) -> None:
    """15:00 in the Azores is 16:00 UTC; the arch, seen to the north-east, has the sun behind."""
    run("want", "arch", "--sun", "--lit-from", "front")
    question = ["light", "--from", "2026-11-28", "--to", "2026-11-28", "--after", "13:00"]
    found = answer(run(*question, "--json"), "light")
    assert (found["start"], found["end"]) == ("2026-11-28", "2026-11-28")
    assert all(w["start"] >= "2026-11-28T14:00:00Z" for w in found["windows"])
    assert found["windows"][0]["subject"] == "arch"
    named = {w["subject"] for w in found["windows"]} | {u["subject"] for u in found["unmatched"]}
    assert named == {"winding house", "arch", HOSTILE}
    assert run(*question).stdout.startswith("Best light, Sat 28 Nov 2026; clock of")


def test_a_wish_can_be_tried_without_keeping_it(run: Run, path: Path) -> None:
    run("want", "arch", "--sun", "--sun-height", "5-60")
    found = answer(
        run("light", "arch", "--on", "2026-11-28", "--latest", "12:00", "--json"), "light"
    )
    (wish,) = found["wishes"]
    assert wish["basis"] == "tried"
    assert "sun 5–60° high" in wish["words"]  # on top of what is on record
    with open_notebook(path, readonly=True) as notebook:
        assert find_subject(notebook, "arch").wanted == WantedLight(
            direct_sun=True, sun_altitude_deg=(5.0, 60.0)
        )


def test_the_limit_counts_what_it_leaves_off(run: Run) -> None:
    period = ["--from", "2026-11-28", "--to", "2027-01-31"]
    found = answer(run("light", "arch", *period, "--limit", "2", "--json"), "light")
    every = answer(run("light", "arch", *period, "--limit", "999", "--json"), "light")
    assert len(found["windows"]) == 2
    assert found["left_off"] == len(every["windows"]) - 2


def test_the_text_stops_at_the_different_ones_and_counts_the_rest(run: Run) -> None:
    """A fortnight of much the same evenings is one line; with --limit they are all there."""
    question = ["light", "arch", "--from", "2026-11-28", "--to", "2026-12-11", "--sun"]
    question += ["--earliest", "12:00"]
    shown = run(*question).stdout
    assert len(rows(shown.splitlines())) == 1
    assert "13 more, much the same as the one above; --limit 14 shows them." in shown
    every = run(*question, "--limit", "14").stdout
    assert len(rows(every.splitlines())) == 14
    assert every.count("opens by the clock") == 1  # the reason is not said over and over
    assert "Much the same as one above:" in every
    assert "--limit" not in every
    found = answer(run(*question, "--json"), "light")
    assert (found["different"], len(found["windows"]), found["left_off"]) == (1, 10, 4)
    assert found["left_off_alike"] == 4


def test_the_answer_begins_with_the_next_window_and_the_flat_horizon(run: Run) -> None:
    """Before any table, once, and where nothing is found too; JSON has both of their own."""
    said = "Flat horizon assumed: in a gorge or under a wall"
    run("want", "arch", "--sun", "--sun-height", "80-85")
    for words in (["winding house"], ["winding house", "--limit", "3"], []):
        lines = run("light", *words, "--from", "2026-11-28").stdout.splitlines()
        table = next(i for i, line in enumerate(lines) if "± min" in line)
        assert lines[1].startswith("Next: Sat 28 Nov 2026 ")
        assert [line.startswith(said) for line in lines].index(True) < table
        assert sum(said in line for line in lines) == 1
    nothing = run("light", "arch", "--on", "2026-11-28").stdout.splitlines()
    assert nothing[1].startswith(said)
    found = answer(run("light", "--on", "2026-11-28", "--json"), "light")
    assert found["next_window"]["start"] == min(w["start"] for w in found["windows"])
    assert found["assumptions"][0].startswith("flat horizon assumed")
    assert (
        answer(run("light", "arch", "--on", "2026-11-28", "--json"), "light")["next_window"] is None
    )


def test_what_stopped_me_stands_under_the_row(run: Run) -> None:
    run("edit", "arch", "--blocked", "river too \x1b[1mhigh", "--next-time", "bring waders")
    run("want", "arch", "--sun")
    for words in (["arch"], []):
        shown = run("light", *words, "--from", "2026-11-28", "--limit", "9").stdout
        assert len(rows(shown.splitlines())) > 1 or not words
        assert shown.count("Blocked: river too") == 1
        assert shown.count("Next time: bring waders") == 1
        assert "\x1b" not in shown
        row, blocked = (shown.index(text) for text in ("arch", "Blocked"))
        assert row < blocked
    found = answer(run("light", "--on", "2026-11-28", "--json"), "light")
    (one,) = found["hindrances"]
    assert (one["subject"], one["next_time"]) == ("arch", "bring waders")


def test_of_several_the_wished_ones_lead_and_the_others_are_starred(run: Run) -> None:
    """The winding house has its light in the morning too, but nobody asked for it there."""
    run("want", "arch", "--sun", "--earliest", "15:30", "--at-least", "5min")
    question = ["light", "--on", "2026-11-28"]
    lines = run(*question).stdout.splitlines()
    table = next(i for i, line in enumerate(lines) if line.startswith("subject"))
    assert lines[table + 1].startswith("arch ")
    assert any(line.startswith("winding house*") for line in lines[table + 2 :])
    starred = [line for line in lines if line.startswith("* ")]
    assert len(starred) == 1
    assert "generic default" in " ".join(lines[lines.index(starred[0]) :][:2])
    assert lines[1].startswith("Next: Sat 28 Nov 2026 15:30–16:3")  # the arch's, not an earlier one
    assert "at arch (" in lines[1]


def test_the_days_named_say_when_they_end(run: Run) -> None:
    """Sunset at 47° N 21° W that day by astral (NOAA's equations): see test_events_astral."""
    shown = run("light", "--on", "2026-11-28").stdout
    assert "Sat 28 Nov: sunset 16:3" in shown
    assert ", dusk 17:1" in shown
    assert "Sat 28 Nov: sunset" in run("light", "arch", "--on", "2026-11-28").stdout
    (end,) = answer(run("light", "--on", "2026-11-28", "--json"), "light")["day_ends"]
    assert end["sunset"] < end["civil_dusk"]


def test_the_subjects_with_nothing_are_one_line_among_several(run: Run) -> None:
    run("want", "arch", "--sun", "--sun-height", "40-50")
    run("want", "winding house", "--sun", "--sun-height", "40-50")
    shown = run("light", "--on", "2026-11-28").stdout
    assert "Nothing under a clear sky: arch, winding house (`light NAME` says why)." in shown
    assert "excludes most" not in shown
    assert "excludes most" in run("light", "arch", "--on", "2026-11-28").stdout


def test_the_eyes_are_warned_where_the_sun_comes_near_the_line(run: Run) -> None:
    """The winding house is seen to 215°; back-lit, the sun passes through the frame."""
    question = ["light", "winding house", "--on", "2026-11-28"]
    for words, warned in ((["--lit-from", "back"], True), (["--lit-from", "60-90"], False)):
        shown = run(*question, *words).stdout
        found = answer(run(*question, *words, "--json"), "light")
        assert found["windows"]
        assert shown.count("Never look at the sun") == warned
        assert len(found["cautions"]) == warned


def test_the_compass_bearing_of_the_sun_stands_beside_the_true_one(run: Run) -> None:
    """47° N 21° W, end of 2026: declination some 5.8° W by the WMM (its own checks elsewhere)."""
    found = answer(run("light", "arch", "--on", "2026-11-28", "--json"), "light")
    assert found["declination_deg"] == pytest.approx(-5.8, abs=0.3)
    azimuth = found["windows"][0]["sun_azimuth_deg"]
    magnetic = round(azimuth - found["declination_deg"])
    shown = run("light", "arch", "--on", "2026-11-28").stdout
    assert f"at {round(azimuth)}° ({magnetic:03d}M)" in shown
    assert "M)" not in run("light", "--on", "2026-11-28").stdout
    assert (
        answer(run("light", "arch", "--on", "2150-11-28", "--json"), "light")["declination_deg"]
        is None
    )


def test_an_overcast_window_goes_by_the_clock(run: Run) -> None:
    run("want", "arch", "--sun", "--sun-height", "60-70", "--other-sky", "10:30-15:00")
    shown = run("light", "arch", "--on", "2026-11-28").stdout
    (row,) = (line for line in shown.splitlines() if "overcast)" in line)
    assert "10:30  15:00  by the clock" in row
    assert "(by the clock), best " in shown


def test_a_doubtful_window_says_so(run: Run) -> None:
    run("want", "arch", "--lit-from", "100-104", "--at-least", "5min")
    run("edit", "arch", "--bearing", "40T", "--bearing-error", "10")
    shown = run("light", "arch", "--on", "2026-11-28").stdout
    assert "    Doubtful. " in shown
    # what that says stands once, under all windows
    assert shown.count("shorter than twice its ±, so it may not be there at all.") == 1
    found = answer(run("light", "arch", "--on", "2026-11-28", "--json"), "light")
    assert [w["doubtful"] for w in found["windows"]] == [True]


def test_where_nothing_matches_it_says_what_stands_in_the_way(run: Run) -> None:
    shown = run("light", "arch", "--on", "2026-11-28", "--sun", "--sun-height", "40-50").stdout
    text = " ".join(shown.split())
    assert "'sun 40–50° high' excludes most: without it there is 1 window" in text
    assert "would do for one" in text


def test_an_overcast_sky_stands_beside_the_sun(run: Run) -> None:
    run("want", "arch", "--sun", "--other-sky", "10:30-15:00")
    shown = run("light", "arch", "--on", "2026-11-28").stdout
    assert "Overcast will do 10:30–15:00." in " ".join(shown.split())


def test_several_clocks_are_named_in_each_row(run: Run, path: Path) -> None:
    far = Place(latitude_deg=-44.6, longitude_deg=169.1, error_m=10, error_basis="given")
    with open_notebook(path) as notebook, notebook.writing():
        set_setting(notebook, "zone", "")
        add_subject(notebook, Subject(name="dredge", place=far))
    text = run("light", "dredge", "arch", "--on", "2026-11-28").stdout
    assert "Pacific/Auckland" in text
    assert "; clock of" not in text


def test_names_reach_the_terminal_tame(run: Run) -> None:
    for words in (["light", "--on", "2026-11-28"], ["light", HOSTILE], ["want", HOSTILE]):
        shown = run(*words).output
        assert "\x1b" not in shown
        assert "‮" not in shown
        assert "powder" in shown


def test_an_empty_notebook_points_to_mark(tmp_path: Path) -> None:
    with open_notebook(tmp_path / "empty.gpkg", create=True):
        pass
    result = CliRunner().invoke(main, ["--notebook", str(tmp_path / "empty.gpkg"), "light"])
    assert result.exit_code == 0
    assert "mark" in result.stdout


@pytest.mark.parametrize(
    "words",
    [
        ["light", "arhc"],
        ["light", "--from", "someday"],
        ["light", "--from", "2026-11-28", "--to", "2026-11-27"],
        ["light", "--from", "1066-10-14"],
        ["light", "arch", "--to", "2020-01-01"],
        ["light", "--on", "sunset"],
        ["light", "--on", "sat", "--to", "sun"],
        ["light", "--after", "late"],
        ["light", "arch", "--lit-from", "behind"],
        ["light", "--limit", "0"],
        ["want", "arhc", "--sun"],
    ],
)
def test_bad_input_is_one_sentence_and_exit_2(path: Path, words: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "backbearing", "--notebook", str(path), *words],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) <= 4  # click's own usage errors take four


def test_narration_goes_to_stderr_and_only_after_a_second(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = iter(range(0, 10_000, 7))
    monkeypatch.setattr("backbearing.cli.frame.monotonic", lambda: 0.5)
    assert run("light", "--on", "2026-11-28").stderr == ""
    monkeypatch.setattr("backbearing.cli.frame.monotonic", lambda: float(next(clock)))
    assert "light at arch (1 of 3)" in run("light", "--on", "2026-11-28").stderr


def test_the_help_can_be_pasted(run: Run) -> None:
    """Each example of both help pages runs on a notebook that holds its subject."""
    import shlex

    for name in ("light", "want"):
        command = main.get_command(click.Context(main), name)
        assert command is not None
        assert command.help is not None
        lines = (line.strip() for line in command.help.splitlines())
        examples = [line for line in lines if line.startswith("backbearing ")]
        assert examples
        for example in examples:
            assert run(*shlex.split(example)[1:]).exit_code == 0


def test_what_stands_behind_is_said_where_it_is_asked_for(run: Run, tmp_path: Path) -> None:
    import numpy as np
    import rasterio
    from rasterio import Affine

    asked = ("light", "winding house", "--from", "2026-03-01", "--limit", "1", "--behind")
    assert "What stands behind is not known" in run(*asked).stdout
    assert "behind" not in answer(run(*asked[:-1], "--json"), "light")
    # UTM 27 N round the place: level, and a long hill 600 m high to the south and west
    rows, columns = np.mgrid[0:300, 0:300]
    hill = np.clip((rows - columns) * 10.0 - 300.0, 0.0, 600.0).astype(np.float32)
    raster = tmp_path / "hill.tif"
    with rasterio.open(
        raster,
        "w",
        driver="GTiff",
        dtype="float32",
        count=1,
        crs="EPSG:32627",
        width=300,
        height=300,
        transform=Affine(10.0, 0.0, 495_034.0, 0.0, -10.0, 5_208_028.0),
    ) as file:
        file.write(hill, 1)
    run("terrain", "add", str(raster), "--ground", "bare")
    found = answer(run(*asked, "--json"), "light")
    assert [each["best"] for each in found["behind"]] == [w["best"] for w in found["windows"]]
    both = zip(found["behind"], found["windows"], strict=True)
    clear = [said for said, window in both if window["sky"] == "clear"]
    assert clear
    assert all("ground" in each["sentence"] for each in clear), "215° looks into the hill"
    assert clear[0]["sentence"] in run(*asked).stdout


def test_want_from_a_camera_position(run: Run) -> None:
    at = "47.003218, -21.000535"
    run("mark", "winding house", "--camera-position", "detail", "--at", at, "--bearing", "30T")
    asked = ("want", "winding house", "--from", "Detail")
    assert answer(run(*asked, "--json"), "want")["basis"] == "generic default"
    run("want", "winding house", "--months", "10-3")
    assert answer(run(*asked, "--json"), "want")["basis"] == "the subject's"
    kept = answer(run(*asked, "--months", "5", "--json"), "want")
    assert (kept["camera_position"], kept["basis"]) == ("detail", "on record")
    assert kept["wanted"]["months"] == [5]
    whole = answer(run("want", "winding house", "--json"), "want")
    assert [own["camera_position"] for own in whole["own"]] == ["detail"]
    assert whole["wanted"]["months"] != [5]
    assert "from detail: by day; May;" in run("want", "winding house").stdout
    assert "by day, May" in run("show", "winding house").stdout
    shown = answer(run("show", "winding house", "--json"), "show")
    assert shown["position_light"] == ["", "by day, May, for 10 min at least"]
    lit = run("light", "winding house", "--from", "2027-05-01", "--to", "2027-05-31").stdout
    assert "Wanted from detail: by day, May, for 10 min at least (on record)." in lit
    assert "Camera position: detail." in lit
    run(*asked, "--clear")
    assert answer(run(*asked, "--json"), "want")["basis"] == "the subject's"
    with pytest.raises(BadInput, match="no camera position"):
        run("want", "winding house", "--from", "roof")
