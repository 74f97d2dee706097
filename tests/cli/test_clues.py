"""`clue`, `searched` and `likely` on the command line: a lost subject of the invented island."""

from __future__ import annotations

import json
import shutil
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

from backbearing.cli.main import main
from backbearing.notebook import open_notebook
from backbearing.notebook.integrity import check

LOST = "lost crane"


@pytest.fixture(scope="module")
def lost(island: Path) -> Path:
    """The demo's notebook in which a subject was put down from memory, ± 400 m.

    No start is set in it: where the subject lies is all that is asked here, not until when to look.
    """
    path = island / "island.gpkg"
    done = ask(path, "mark", LOST, "--at", "47.0040 N 20.9970 W", "--error", "400m")
    assert done.exit_code == 0, done.output
    with open_notebook(path) as notebook, notebook.writing():
        notebook.run("DELETE FROM settings WHERE key = 'start'", ())
    return path


@pytest.fixture
def book(lost: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return Path(shutil.copy(lost, tmp_path / "n.gpkg"))


def ask(path: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["--notebook", str(path), *words])


def answered(path: Path, *words: str) -> Any:
    done = ask(path, *words, "--json")
    assert done.exit_code == 0, done.output
    answer = json.loads(done.stdout)
    name = f"{words[0]}.json"
    schema = json.loads((resources.files("backbearing.schemas") / name).read_text("utf-8"))
    Draft202012Validator(schema).validate(answer)
    return answer


CLUES = [
    ["--near", "water", "--within", "100m"],
    ["--near", "arch", "--within", "800m", "--sure", "60%"],
    ["--side", "left", "--of", "quarry brook"],
    ["--up", "two slabs", "--of", "quarry brook", "--within", "1km"],
    ["--between", "two slabs", "coast ford", "--of", "quarry brook"],
    ["--inside", "two slabs; pump wheel; 47.0060 N 21.0000 W"],
    ["--walk", "5min-20min", "--from", "winding house", "--sure", "70%"],
    ["--bearing", "215M", "--from", "two slabs"],
    ["--seen-from", "winding house"],
    ["--hidden-from", "the leat"],
    ["--slope", "10-35"],
    ["--facing", "SE"],
    ["--height", "200-500"],
    ["--lit", "2025-05-17 12:20"],
    ["--shade", "2025-05-17 12:20"],
]


@pytest.fixture(scope="module")
def untold(lost: Path) -> Any:
    """Where the lost subject is likely with no clue told."""
    return answered(lost, "likely", LOST, "--within", "500m")


def test_with_a_start_it_says_until_when_to_look(book: Path, untold: Any) -> None:
    assert untold["until"] is None
    assert "--start" in untold["until_why"]
    found = answered(book, "likely", LOST, "--within", "250m", "--start", "landing stage")
    assert found["until"]["start_name"] == "landing stage"
    assert "; look until " in found["answer"]


@pytest.mark.parametrize("clue", CLUES, ids=lambda words: words[0].strip("-"))
def test_every_kind_of_clue_moves_the_chances_and_sums_to_one(
    book: Path, untold: Any, clue: list[str]
) -> None:
    told = answered(book, "clue", LOST, *clue)
    assert told["added"] == told["clues"][-1]["id"]
    after = answered(book, "likely", LOST, "--within", "500m")
    assert after["clues"][-1]["words"] == told["clues"][-1]["words"]
    assert untold["stretches"] != after["stretches"]
    for answer in (untold, after):
        shares = sum(piece["share"] for piece in answer["pieces"])
        assert shares + answer["elsewhere"] + answer["gone"] <= 1.0 + 1e-6


def test_a_clue_taken_off_the_record_counts_no_more(book: Path, untold: Any) -> None:
    told = answered(book, "clue", LOST, *CLUES[0])
    assert answered(book, "clue", LOST, "--drop", str(told["added"]))["clues"] == []
    assert answered(book, "likely", LOST, "--within", "500m")["stretches"] == untold["stretches"]


def test_along_a_line_the_pieces_and_the_rest_sum_to_one(book: Path) -> None:
    answered(book, "clue", LOST, "--side", "left", "--of", "quarry brook", "--sure", "90%")
    found = answered(book, "likely", LOST)
    assert (found["ground"], found["line"]) == ("line", "quarry brook")
    shares = sum(piece["share"] for piece in found["pieces"])
    assert shares + found["elsewhere"] + found["gone"] == pytest.approx(1.0, abs=1e-4)
    left = sum(p["share"] for p in found["pieces"] if p["side"] == "left")
    assert left > 4 * (shares - left)
    assert found["answer"].startswith("not yet looked at: left side")


def test_a_clue_that_fits_all_ground_tells_nothing_of_elsewhere(book: Path) -> None:
    before = answered(book, "likely", LOST, "--within", "400m")["elsewhere"]
    for _ in range(3):
        answered(book, "clue", LOST, "--height", "0-2000", "--sure", "90%")
    assert answered(book, "likely", LOST, "--within", "400m")["elsewhere"] == pytest.approx(
        before, abs=0.002
    )


def test_a_look_that_finds_nothing_lowers_what_it_passed_and_raises_gone(book: Path) -> None:
    before = answered(book, "likely", LOST, "--within", "500m")
    looked = answered(book, "searched", LOST, "--track", "6", "--range", "20m")
    assert 0.0 < looked["seen_share"] < 1.0
    after = answered(book, "likely", LOST, "--within", "500m")
    assert after["gone"] > before["gone"]
    assert after["looks"][0]["track_id"] == 6
    assert after["looks"][0]["sight"]["open_m"] == 20.0


def test_only_walking_through_and_snow_count_less(book: Path) -> None:
    shares = []
    for words in ([], ["--through"], ["--snow"], ["--through", "--snow"]):
        path = book.with_name(f"{len(words)}{''.join(words)}.gpkg")
        shutil.copy(book, path)
        shares.append(answered(path, "searched", LOST, "--track", "6", *words)["seen_share"])
    whole, through, snow, both = shares
    assert whole > snow > through > both > 0.0


def test_a_ground_much_smaller_than_the_error_leaves_most_to_elsewhere(book: Path) -> None:
    """Of a record ± 400 m a share 1 − exp(−3 (50/400)²) = 5 % lies within 50 m (normal law)."""
    wide = answered(book, "likely", LOST, "--within", "500m")
    small = answered(book, "likely", LOST, "--within", "50m")
    assert wide["elsewhere"] < 0.2
    assert small["elsewhere"] > 0.5


def test_found_mends_the_position_and_scores_the_clues(book: Path) -> None:
    answered(book, "clue", LOST, "--near", "arch", "--within", "600m")
    answered(book, "clue", LOST, "--near", "landing stage", "--within", "100m", "--sure", "50%")
    found = answered(book, "searched", LOST, "--found", "47.0025 N 20.9990 W")
    assert [score["right"] for score in found["scores"]] == [True, False]
    shown = json.loads(ask(book, "show", LOST, "--json").stdout)
    assert shown["subject"]["place"]["latitude_deg"] == pytest.approx(47.0025)
    assert answered(book, "likely", LOST)["answer"].startswith("found on ")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["clue", LOST, "--near", "water"], "--within"),
        (["clue", LOST, "--slope", "10-30", "--facing", "S"], "one fact"),
        (["clue", LOST, "--facing", "upwards"], "--facing"),
        (["clue", LOST, "--height", "300-200"], "--height"),
        (["clue", LOST, "--near", "no such river", "--within", "50m"], "no such river"),
        (["clue", LOST, "--walk", "20min"], "--from"),
        (["clue", LOST, "--near", "arch", "--within", "50m", "--sure", "120%"], "--sure"),
        (["clue", LOST, "--drop", "99"], "99"),
        (["clue", LOST, "--lit", "2025-05-17 23:50"], "the sun was down"),
        (["clue", LOST, "--lit", "2126-05-17 12:20"], "--lit"),
        (["clue", LOST, "--inside", "arch; pump wheel"], "--inside"),
        (["clue", LOST, "--near", "nothing", "--within", "50m"], "--near: "),
        (["clue", LOST, "--up", "nothing", "--of", "quarry brook"], "--up: "),
        (["clue", LOST, "--side", "left", "--of", "nothing"], "--of: "),
        (["clue", LOST, "--walk", "20min", "--from", "nothing"], "--from: "),
        (["clue", LOST, "--between", "arch", "nothing", "--of", "quarry brook"], "--between: "),
        (["clue", LOST, "--inside", "arch; pump wheel; nothing"], "--inside: "),
        (["clue", LOST, "--bearing", "215M", "--from", "nothing"], "--from: "),
        (["clue", LOST, "--seen-from", "nothing"], "--seen-from: "),
        (["clue", LOST, "--hidden-from", "nothing"], "--hidden-from: "),
        (["searched", LOST, "--found", "nothing"], "--found: "),
        (
            ["clue", LOST, "--between", "arch", "arch", "--of", "quarry brook"],
            "both places are one",
        ),
        (["clue", LOST, "--inside", "arch; arch; pump wheel; arch"], "no ground"),
        (["clue", LOST, "--seen-from", "48.5 N 21 W"], "--seen-from: "),
        (["clue", LOST, "--near", LOST, "--within", "50m"], "is what is looked for"),
        (["search", LOST, "--start", "arch", "--time", "1000h"], "10 min to 16 h"),
        (["search", LOST, "--start", "arch", "--time", "0min"], "10 min to 16 h"),
        (["clue", LOST, "--note", "hi"], "--note: "),
        (["clue", LOST, "--near", "arch", "--within", "9m", "--on", "2087-01-01"], "still to come"),
        (["clue", LOST, "--sure", "60%"], "--sure: "),
        (["clue", LOST, "--drop", "1", "--slope", "10-30"], "--drop: "),
        (["clue", LOST, "--slope", "10-30", "--sure", "1"], "1 may be 1 % or certain"),
        (["clue", LOST, "--slope", "10-30", "--sure", "0"], "--sure"),
        (["likely", LOST, "--range", "-3m"], "above 0 m"),
        (["likely", LOST, "--within", "0m"], "--within"),
        (["likely", LOST, "--width", "50m"], "--along"),
        (["likely", LOST, "--along", "quarry brook", "--width", "0m"], "above 0"),
        (["likely", LOST, "--range", "0m"], "--range"),
        (["searched", LOST, "--through"], "--track"),
        (["searched", LOST, "--drop", "9"], "9"),
        (["searched", LOST, "--found", "nowhere at all"], "--found"),
        (["searched", LOST, "--track", "1", "--range", "bog=9m"], "bog=9m"),
        (["searched", LOST, "--track", "99"], "99"),
        (["searched", LOST, "--track", "1", "--range", "0m"], "--range"),
    ],
)
def test_what_will_not_do_is_named(book: Path, words: list[str], says: str) -> None:
    done = ask(book, *words)
    assert done.exit_code != 0
    assert says in str(done.exception) + done.output


def test_sure_clues_that_exclude_each_other_are_named_as_a_pair(book: Path) -> None:
    for place in ("arch", "winding house"):
        answered(book, "clue", LOST, "--near", place, "--within", "30m", "--sure", "100%")
    found = answered(book, "likely", LOST, "--within", "1500m")
    pair = ["within 30 m of arch", "within 30 m of winding house"]
    assert pair in found["at_odds"]
    assert "hardly fit together" in ask(book, "likely", LOST, "--within", "400m").stdout


def test_without_terrain_the_clues_that_need_it_are_left_out_by_name(tmp_path: Path) -> None:
    path = tmp_path / "n.gpkg"
    ask(path, "mark", LOST, "--at", "47.0040 N 20.9970 W", "--error", "200m")
    answered(path, "clue", LOST, "--near", "47.0045 N 20.9970 W", "--within", "100m")
    others = answered(path, "likely", LOST)
    assert ask(path, "clue", LOST, "--slope", "10-30").exit_code == 0
    found = answered(path, "likely", LOST)
    (said,) = [each for each in found["remarks"] if "on a slope of 10° to 30°" in each]
    assert said.startswith("left out: ")
    assert found["stretches"] == others["stretches"]


def test_over_the_antimeridian_it_is_ground_like_any_other(tmp_path: Path) -> None:
    path = tmp_path / "n.gpkg"
    ask(path, "mark", LOST, "--at", "47.0 N 179.9999 W", "--error", "200m")
    answered(path, "clue", LOST, "--near", "47.0 N 179.9995 E", "--within", "100m")
    best = answered(path, "likely", LOST)["stretches"][0]
    assert best["longitude_deg"] > 179.99 or best["longitude_deg"] < -179.99


def test_clues_and_looks_go_to_the_bin_with_their_subject_and_come_back(book: Path) -> None:
    answered(book, "clue", LOST, "--near", "arch", "--within", "600m")
    answered(book, "searched", LOST, "--track", "6")
    assert ask(book, "delete", LOST).exit_code == 0
    assert ask(book, "restore", "1").exit_code == 0
    back = answered(book, "likely", LOST)
    assert len(back["clues"]) == 2
    assert len(back["looks"]) == 1
    with open_notebook(book, readonly=True) as notebook:
        assert [f for f in check(notebook) if f.grade == "fault"] == []


def test_broken_rows_are_passed_over_and_reported(book: Path) -> None:
    answered(book, "clue", LOST, "--near", "arch", "--within", "600m")
    answered(book, "searched", LOST, "--track", "6")
    with open_notebook(book) as notebook, notebook.writing():
        notebook.run("UPDATE clues SET fields = '[', sure = 7", ())
        notebook.run("UPDATE looks SET range_m = -1, side = 'up'", ())
    answered(book, "likely", LOST)
    with open_notebook(book, readonly=True) as notebook:
        faults = {f.where for f in check(notebook) if f.grade == "fault"}
    assert {"clues, row 1", "looks, row 1"} <= faults


def test_pauses_of_own_tracks_on_the_ground_are_offered_by_month(book: Path) -> None:
    every = answered(book, "clue", LOST)["offers"]
    assert every
    assert all(stop["minutes"] >= 3.0 for stop in every)
    months = {int(stop["day"][5:7]) for stop in every}
    march = answered(book, "clue", LOST, "--months", "Mar")["offers"]
    assert {int(stop["day"][5:7]) for stop in march} == months & {3}
    assert len(march) < len(every)
    assert "was it there?" in ask(book, "clue", LOST).stdout
    assert "--months" in str(ask(book, "clue", LOST, "--months", "someday").exception)


def test_a_clue_that_fits_nowhere_here_does_not_stop_the_answer(book: Path) -> None:
    before = answered(book, "likely", LOST, "--within", "400m")
    answered(book, "clue", LOST, "--near", "landing stage", "--within", "30m", "--sure", "60%")
    after = answered(book, "likely", LOST, "--within", "400m")
    assert after["elsewhere"] > before["elsewhere"]
    assert any("landing stage" in remark for remark in after["remarks"])


def test_widths_of_nothing_and_spans_the_wrong_way_round_are_refused(book: Path) -> None:
    for words in (
        ["--near", "arch", "--within", "0m"],
        ["--walk", "30min-10min", "--from", "arch"],
    ):
        done = ask(book, "clue", LOST, *words)
        assert words[0 if "--walk" in words else 2] in str(done.exception)
    assert ask(book, "clue", LOST, "--walk", "10-25 min", "--from", "arch").exit_code == 0


def test_inside_an_area_is_that_side_of_its_edge_whichever_way_round_it_is_named(
    book: Path,
) -> None:
    """A square 200 m wide: far within it fits, far out it does not, whatever its first corner."""
    corners = [(47.0049, -20.9983), (47.0049, -20.9957), (47.0031, -20.9957), (47.0031, -20.9983)]
    for order in (corners, corners[::-1], corners[2:] + corners[:2]):
        path = Path(shutil.copy(book, book.with_name("square.gpkg")))
        typed = "; ".join(f"{latitude} {longitude}" for latitude, longitude in order)
        answered(path, "clue", LOST, "--inside", typed, "--sure", "99%")
        pieces = answered(path, "likely", LOST, "--within", "400m")["pieces"]
        for piece in pieces:
            north = abs(piece["latitude_deg"] - 47.0040) * 111_200.0
            east = abs(piece["longitude_deg"] + 20.9970) * 75_900.0
            if max(north, east) > 100.0 + 80.0:
                assert piece["share"] < 1e-5
        assert sum(piece["share"] for piece in pieces) > 0.5


@pytest.mark.parametrize(
    ("typed", "sure"), [("90", 0.9), ("0.9", 0.9), ("90 %", 0.9), ("1%", 0.01), ("100%", 0.99)]
)
def test_how_sure_is_a_chance_or_per_cent_and_never_certain(
    book: Path, typed: str, sure: float
) -> None:
    told = answered(book, "clue", LOST, "--slope", "10-30", "--sure", typed)
    assert told["clues"][-1]["sure"] == pytest.approx(sure)
    assert any("kept as 99 % sure" in said for said in told["says"]) == (typed == "100%")


@pytest.mark.parametrize(("typed", "towards_deg"), [("NNE", 22.5), ("135", 135.0), ("wsw", 247.5)])
def test_a_slope_faces_one_of_sixteen_points_or_degrees(
    book: Path, typed: str, towards_deg: float
) -> None:
    told = answered(book, "clue", LOST, "--facing", typed)["clues"][-1]
    assert told["low"] == pytest.approx(towards_deg)
    assert ("135° true" in told["words"]) == (typed == "135")


def test_pauses_are_offered_with_the_first_clue_and_by_likely_before_it(book: Path) -> None:
    every = answered(book, "clue", LOST)["offers"]
    before = answered(book, "likely", LOST)
    assert before["offers"] == every
    assert "was it there?" in ask(book, "likely", LOST).stdout
    assert answered(book, "clue", LOST, "--slope", "10-30")["offers"] == every
    assert answered(book, "clue", LOST, "--height", "100-400")["offers"] == []
    assert answered(book, "likely", LOST)["offers"] == []


def test_a_leat_drawn_upstream_gives_the_same_answers(book: Path, tmp_path: Path) -> None:
    """The demo's leat once more, drawn from its wheel to its intake: the terrain turns it."""
    maps = Path(__file__).parents[2] / "maps" / "water.geojson"
    leat = json.loads(maps.read_text("utf-8"))["features"][0]
    leat["properties"] = {"name": "back leat", "kind": "leat"}
    leat["geometry"]["coordinates"].reverse()
    (tmp_path / "r.geojson").write_text(
        json.dumps({"type": "FeatureCollection", "features": [leat]}), "utf-8"
    )
    assert ask(book, "import", str(tmp_path / "r.geojson")).exit_code == 0
    found = []
    for name in ("the leat", "back leat"):
        path = Path(shutil.copy(book, tmp_path / "one.gpkg"))
        told = answered(path, "clue", LOST, "--side", "left", "--of", name)
        assert len(told["says"]) == 1
        answered(path, "clue", LOST, "--up", "pump wheel", "--of", name, "--within", "600m")
        likely = answered(path, "likely", LOST)
        assert "looking downstream, from its NW end to" in likely["sides"]
        words = [told["clues"][0]["words"], likely["sides"], *(c["words"] for c in likely["clues"])]
        found.append(([each.replace(name, "it") for each in words], likely["pieces"]))
        assert f"Left and right of {likely['sides']}" in ask(path, "likely", LOST).stdout
    assert found[0] == found[1]


def test_without_terrain_a_side_is_told_as_drawn_from_end_to_end(tmp_path: Path) -> None:
    path = tmp_path / "n.gpkg"
    ask(path, "mark", LOST, "--at", "47.0040 N 20.9970 W", "--error", "200m")
    ask(path, "import", str(Path(__file__).parents[2] / "maps" / "water.geojson"))
    told = answered(path, "clue", LOST, "--side", "left", "--of", "the leat")
    assert told["clues"][0]["words"] == (
        "left of the leat, as drawn, from its NW end to its SE end"
    )
    likely = answered(path, "likely", LOST)
    assert likely["sides"].endswith("(no terrain is on record)")
    assert any(f" {how} " in likely["answer"] for how in ("beyond", "before"))
