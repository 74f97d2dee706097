"""`searched` on the command line: ranges by ground, directions, the list, passages."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from tests.cli.test_clues import answered, ask
from tests.fieldwork import put_walk
from tests.plans.test_approach import CELLS, line, place, put_ground, walked
from tests.plans.test_approach_passages import passage

from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.bin import discard
from backbearing.notebook.lines import add_passage, find_passage, list_lines, store_line
from backbearing.notebook.subjects import add_subject, find_subject
from backbearing.plans.search.ground import along_line, round_place
from backbearing.plans.search.looked import SeenByLooks, seen_chances
from backbearing.plans.search.sight import classes, ranges_m, read_sight
from backbearing.plans.terraingrids import grids_round
from backbearing.records import GROUND_CLASSES, Look, SightRange, Subject

HUT = "hut"


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A beck from west to east, a wall with a gap across it, a bank south of it, four walks."""
    folder = tmp_path_factory.mktemp("looks")
    path = folder / "n.gpkg"
    heights = np.full((CELLS, CELLS), 100.0)
    heights[CELLS // 2 + 3 : CELLS // 2 + 5] += 12.0  # 25 to 45 m south
    with open_notebook(path, create=True) as notebook:
        with notebook.writing():
            here = replace(place(0.0, 0.0), error_m=200.0)
            add_subject(notebook, Subject(name=HUT, place=here))
            store_line(notebook, None, line("stream", "beck", (-400.0, 0.0), (400.0, 0.0)))
            store_line(notebook, None, line("wall", "old wall", (100.0, -900.0), (100.0, 900.0)))
            gap = passage("gap", "looked blocked", "windfall", east_m=100.0, north_m=30.0)
            add_passage(notebook, gap)
        for walk in (
            walked((-300.0, 30.0), (300.0, 30.0)),
            walked((300.0, 30.0), (-300.0, 30.0)),
            walked((-300.0, 30.0), (96.0, 30.0), (-300.0, 60.0)),
            walked((-300.0, -30.0), (60.0, -30.0)),
        ):
            put_walk(notebook, walk)
        put_ground(notebook, folder, heights)
    return path


@pytest.fixture
def book(filled: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(filled, tmp_path / "n.gpkg"))


@pytest.fixture
def notebook(filled: Path) -> Iterator[Notebook]:
    with open_notebook(filled, readonly=True) as notebook:
        yield notebook


BECK = line("stream", "beck", (-400.0, 0.0), (400.0, 0.0))
THERE, BACK = Look(track_id=1), Look(track_id=2)


def seen(notebook: Notebook, *looks: Look, terrain: bool = False) -> SeenByLooks:
    """By looks on the beck's ground, its left (north) side first."""
    grids = grids_round(notebook, 47.0, -21.0, 1000.0) if terrain else None
    return seen_chances(notebook, along_line(BECK), looks, grids)


def test_the_direction_is_taken_from_the_track_and_the_other_way_is_damped_less(
    notebook: Notebook,
) -> None:
    again, back = seen(notebook, THERE, THERE), seen(notebook, THERE, BACK)
    assert [each.way for each in back.looks] == ["with the line", "against the line"]
    assert back.chance.sum() > again.chance.sum() > seen(notebook, THERE).chance.sum()


def test_looking_only_ahead_misses_what_shows_the_other_way(notebook: Notebook) -> None:
    """It shows one way or the other, each as likely: half is missed, and seen on the way back."""
    ahead, ahead_back = replace(THERE, ahead=True), replace(BACK, ahead=True)
    round_, half = seen(notebook, THERE).chance, seen(notebook, ahead).chance
    assert half == pytest.approx(round_ / 2.0, rel=0.02)
    assert seen(notebook, ahead, ahead_back).chance.sum() == pytest.approx(round_.sum(), rel=0.02)
    twice = seen(notebook, ahead, ahead).chance
    assert twice.max() < 0.5 < seen(notebook, ahead, ahead_back, *[THERE] * 6).chance.max()


def test_in_cells_the_direction_goes_by_the_compass(notebook: Notebook) -> None:
    ground = round_place(place(0.0, 0.0), 200.0)
    (there,) = seen_chances(notebook, ground, [THERE]).looks
    assert there.way == "mostly E"
    whole = seen_chances(notebook, ground, [THERE]).chance.sum()
    ahead = seen_chances(notebook, ground, [replace(THERE, ahead=True)]).chance.sum()
    assert 0.45 < ahead / whole < 0.6


def test_what_the_ground_hides_from_the_whole_walk_is_not_seen(notebook: Notebook) -> None:
    """Not behind a bank, 12 m high; without terrain that is said, and the bank is none."""
    look = replace(THERE, sight=SightRange(open_m=120.0))
    open_, hidden = seen(notebook, look), seen(notebook, look, terrain=True)
    south = slice(len(open_.chance) // 2, None)
    assert hidden.chance[south].sum() < 0.8 * open_.chance[south].sum()
    assert hidden.chance.max() == pytest.approx(open_.chance.max(), rel=0.1)
    assert any("not taken off" in words for words in open_.said)
    assert hidden.said == ()


def test_a_look_that_found_it_is_none_of_those_that_failed(notebook: Notebook) -> None:
    strips = replace(BACK, law="inverse cube", found=True)
    assert seen(notebook, THERE, strips).chance == pytest.approx(seen(notebook, THERE).chance)
    mixed = seen(notebook, replace(THERE, law="inverse cube")).chance
    assert mixed.sum() > seen(notebook, THERE).chance.sum()


def test_ranges_go_by_the_class_of_the_ground(notebook: Notebook) -> None:
    grids = grids_round(notebook, 47.0, -21.0, 1000.0)[0]
    ground = along_line(BECK)
    x, y = np.array([0.0, 0.0, 0.0]), np.array([5.0, 120.0, -40.0])
    kinds = [GROUND_CLASSES[each] for each in classes(notebook, ground, grids, x, y)]
    assert kinds == ["water", "open", "rough"]
    by_class = ranges_m(notebook, ground, read_sight("open=40m,water=10m"), grids)
    # one of three rows of points lies within 12 m of the beck
    assert by_class[0] == pytest.approx((10.0 + 40.0 + 40.0) / 3.0)
    assert (ranges_m(notebook, ground, read_sight("30m"), grids) == 30.0).all()


def test_the_range_last_given_is_kept_with_the_subject(book: Path) -> None:
    assert answered(book, "likely", HUT)["sweep_m"] == 24.0  # 15 m
    assert answered(book, "likely", HUT, "--range", "open=40m,trees=12m")["sweep_m"] == 64.0
    words = ["--side", "right", "--along", "beck"]
    kept = answered(book, "searched", HUT, "--track", "4", *words)["look"]["sight"]
    assert kept == {"open_m": 40.0, "trees_m": 12.0, "water_m": None, "rough_m": None}
    answered(book, "likely", HUT, "--range", "rough=5m")  # the others stay
    assert "40 m, in trees 12 m, on rough ground 5 m" in ask(book, "likely", HUT).stdout
    answered(book, "likely", HUT, "--range", "30m")
    assert answered(book, "likely", HUT)["sweep_m"] == 48.0


def test_a_look_that_is_refused_keeps_no_range(book: Path) -> None:
    answered(book, "searched", HUT, "--track", "1", "--range", "40m")
    before = answered(book, "likely", HUT)["sweep_m"]
    again = ask(book, "searched", HUT, "--track", "1", "--range", "90m")
    assert again.exit_code != 0, "the same walk twice"
    assert answered(book, "likely", HUT)["sweep_m"] == before


def test_looks_are_listed_counted_and_taken_back(book: Path) -> None:
    answered(book, "clue", HUT, "--side", "left", "--of", "beck", "--sure", "95%")
    before = answered(book, "likely", HUT)
    for track in ("1", "2"):
        answered(book, "searched", HUT, "--track", track, "--range", "12m")
    assert "looked at twice, still likeliest" in answered(book, "likely", HUT)["answer"]
    first, second = answered(book, "searched", HUT)["looks"]
    assert (first["look"]["track_id"], second["look"]["track_id"]) == (1, 2)
    assert 0.0 < first["seen_share"] < 1.0
    assert {first["way"], second["way"]} == {"with the line", "against the line"}
    for number in (first["look"]["id"], second["look"]["id"]):
        left = answered(book, "searched", HUT, "--drop", str(number))
    assert left["looks"] == []
    assert answered(book, "likely", HUT)["gone"] == before["gone"]


def test_one_walk_counts_once_but_for_its_two_sides(book: Path) -> None:
    along = ["searched", HUT, "--track", "1", "--along", "beck", "--range", "60m"]
    answered(book, *along, "--side", "left")
    assert "look 1" in str(ask(book, *along).exception)
    assert "look 1" in str(ask(book, *along, "--side", "left").exception)
    answered(book, *along, "--side", "right")
    assert "--drop 1" in str(ask(book, *along, "--side", "both").exception)


def test_a_passage_walked_through_is_found_open_and_one_turned_back_from_is_asked(
    book: Path,
) -> None:
    turned = answered(book, "searched", HUT, "--track", "3")
    assert (turned["opened"], turned["asked"]) == ([], ["gap"])
    with open_notebook(book, readonly=True) as notebook:
        assert find_passage(notebook, "gap").latest.state == "looked blocked"
    found = answered(book, "searched", HUT, "--track", "1", "--found", "47.0003 N 21.0 W")
    assert (found["opened"], found["asked"]) == (["gap"], [])
    with open_notebook(book, readonly=True) as notebook:
        states = [(each.state, each.on) for each in find_passage(notebook, "gap").reports]
    assert ("open", date(2026, 5, 1)) in states
    assert answered(book, "searched", HUT, "--track", "2")["opened"] == []  # that is known by now


SIDED = ["searched", HUT, "--track", "1", "--along", "beck", "--range", "60m", "--side", "left"]


def north_and_south(book: Path, *words: str) -> tuple[float, float]:
    """What was seen north and south of the beck, the most of any piece."""
    pieces = answered(book, "likely", HUT, *words)["pieces"]
    north = [each["seen_chance"] for each in pieces if each["latitude_deg"] > 47.0001]
    south = [each["seen_chance"] for each in pieces if each["latitude_deg"] < 46.9999]
    return max(north), max(south)


def test_a_look_of_one_side_keeps_it_when_the_line_turns_round(book: Path) -> None:
    """Terrain that comes shows the beck to run the other way: left is then south."""
    look = answered(book, *SIDED)["look"]
    assert (look["line"], look["towards"]["longitude_deg"] > -21.0) == ("beck", True)
    before = north_and_south(book, "--along", "beck")
    assert before[0] > 0.3
    assert before[1] == 0.0
    heights = np.full((CELLS, CELLS), 100.0) + np.linspace(0.0, 60.0, CELLS)  # it rises eastward
    with open_notebook(book) as notebook:
        with notebook.writing():
            notebook.run("DELETE FROM terrain_layers", ())
        put_ground(notebook, book.parent, heights)
    turned = answered(book, "likely", HUT, "--along", "beck")
    assert "looking downstream, from its E end" in turned["sides"]
    assert north_and_south(book, "--along", "beck") == pytest.approx(before, abs=0.02)
    assert any("its left is now the right" in words for words in turned["remarks"])
    assert "left of beck" in ask(book, "searched", HUT).stdout


def test_a_look_told_along_another_line_counts_by_its_own(book: Path) -> None:
    """The wall runs across the beck: what lies north of the beck counts, on both sides of it."""
    answered(book, *SIDED)
    for words in (["--along", "old wall"], ["--within", "300m"]):
        north, south = north_and_south(book, *words)
        assert north > 0.2
        assert south == 0.0
    with open_notebook(book) as notebook, notebook.writing():
        (beck,) = (each for each in list_lines(notebook) if each.name == "beck")
        discard(notebook, "line", beck.id or 0)
    gone = answered(book, "likely", HUT, "--within", "300m")
    assert any("beck, which is not on record: not counted" in each for each in gone["remarks"])


def test_a_side_on_record_without_its_line_is_read_as_before_and_said(book: Path) -> None:
    answered(book, *SIDED)
    with open_notebook(book) as notebook, notebook.writing():
        notebook.run("UPDATE looks SET line = '', towards = NULL", ())
    assert north_and_south(book, "--along", "beck")[1] == 0.0
    said = answered(book, "likely", HUT, "--along", "beck")["remarks"]
    assert any("not of which line: read as left of beck: as drawn" in each for each in said)


def test_a_side_goes_with_a_line(book: Path) -> None:
    refused = ask(book, "searched", HUT, "--track", "1", "--side", "left").exception
    assert "along none" in str(refused)


def place_of(book: Path) -> tuple[float, float]:
    with open_notebook(book, readonly=True) as notebook:
        place = find_subject(notebook, HUT).place
    return round(place.latitude_deg, 6), place.error_m


def test_a_find_far_off_is_asked_about_and_the_place_before_is_given_back(book: Path) -> None:
    find = ["searched", HUT, "--track", "1", "--found"]
    assert "km E of its place" in str(ask(book, *find, "47.0 N 21.0 E").exception)
    assert "is what is looked for" in str(ask(book, *find, HUT).exception)
    far = answered(book, *find, "47.1 N 21.0 W", "--anyway")
    assert (far["moved_to"], round(far["moved_m"], -2)) == ("N", 11100)
    dropped = answered(book, "searched", HUT, "--drop", str(far["look"]["id"]))
    assert "again the one before" in dropped["remarks"][-1]
    assert place_of(book) == (47.0, 200.0)


def test_a_find_moved_since_stays_where_it_was_put(book: Path) -> None:
    """Of two finds the first taken back leaves the later place, and the one before both."""
    first = answered(book, "searched", HUT, "--found", "47.001 N 21.0 W")["look"]["id"]
    second = answered(book, "searched", HUT, "--found", "47.002 N 21.0 W")["look"]["id"]
    said = answered(book, "searched", HUT, "--drop", str(first))["remarks"][-1]
    assert said == f"its place is that of look {second}, which found it later"
    answered(book, "searched", HUT, "--drop", str(second))
    assert place_of(book) == (47.0, 200.0)


def test_a_walk_not_found_on_becomes_the_one_that_found_it(book: Path) -> None:
    first = answered(book, "searched", HUT, "--track", "1", "--note", "in mist")["look"]["id"]
    found = ask(book, "searched", HUT, "--track", "1", "--found", "47.0003 N 21.0 W")
    assert f"Look {first} of that walk, not found till now, is replaced" in found.stdout
    (look,) = (each["look"] for each in answered(book, "searched", HUT)["looks"])
    assert (look["found"], look["note"]) == (True, "in mist")


def test_no_walk_starts_at_what_is_looked_for(book: Path) -> None:
    for words in (["likely", HUT], ["search", HUT, "--time", "2h"]):
        assert "is what is looked for" in str(ask(book, *words, "--start", HUT).exception)


def test_the_day_of_a_look_is_the_day_there(book: Path) -> None:
    """20:00 UTC on 1 May is the 2nd in New Zealand."""
    answered(book, "setting", "zone", "Pacific/Auckland")
    walk = walked((-300.0, 30.0), (300.0, 30.0))
    (part,) = walk.segments
    later = replace(part, time=part.time + np.timedelta64(12, "h"))
    with open_notebook(book) as notebook:
        put_walk(notebook, replace(walk, segments=(later,)))
    assert answered(book, "searched", HUT, "--track", "5")["look"]["on"] == "2026-05-02"
    with open_notebook(book, readonly=True) as notebook:
        assert date(2026, 5, 2) in [each.on for each in find_passage(notebook, "gap").reports]
