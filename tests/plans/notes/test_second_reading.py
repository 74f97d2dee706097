"""Notes read once more: corrected lines, records that wait for a track, and taking a file back."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from tests.fieldwork import field_notebook, put_walk, walk

from backbearing.errors import BadFile, BadInput, NotFound
from backbearing.notebook import Notebook
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import (
    find_subject,
    list_camera_positions,
    list_notes,
    list_subjects,
)
from backbearing.plans.discarding import bring_back, discard_file
from backbearing.plans.marking import mark
from backbearing.plans.notes import NotesReport, place_since, store_notes
from backbearing.plans.settings import change_setting, records_by_another_clock
from backbearing.writers.notes import notes_text

NOW = datetime(2026, 10, 1, 12, tzinfo=UTC)
DAY = "14 March 2026\n"
HOUSE = "13:32 seen winding house, 215M 8m, top 38 foot -6, left of the leat\n"
ARCH = "13:50 seen arch, 100M 20m taped\n"
NEXT_DAY = "2026-03-15 13:32 seen sluice, 215M 8m\n"


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    opened = field_notebook(tmp_path / "notebook.gpkg")
    yield opened
    opened.__exit__(None, None, None)


def store(notebook: Notebook, text: str, name: str = "notes.txt") -> NotesReport:
    return store_notes(notebook, text.encode(), name, now=NOW)


def names(notebook: Notebook) -> list[str]:
    return [subject.name for subject in list_subjects(notebook)]


# ---------------------------------------------------------------- corrections


def test_a_corrected_record_measures_anew_and_adds_no_second_camera_position(
    notebook: Notebook,
) -> None:
    store(notebook, DAY + HOUSE + ARCH)
    before = find_subject(notebook, "winding house")
    report = store(notebook, DAY + HOUSE.replace("215M 8m", "205M 11m") + ARCH)
    assert [line.became for line in report.lines] == ["day", "known subject", "already on record"]
    subject = find_subject(notebook, "winding house")
    (camera,) = list_camera_positions(notebook, subject.id)
    assert camera.bearing is not None
    assert (camera.bearing.as_written, camera.distance_m) == ("205M", 11.0)
    assert subject.place != before.place  # it had been worked out from the old bearing
    assert subject.tall_m == pytest.approx(11.0 * 0.8864, abs=0.01)  # tan 38° + tan 6°
    assert len(list_notes(notebook, subject.id)) == 2  # both stand, word for word
    assert "camera position 'main' is measured anew" in notes_text(report)


def test_a_record_of_another_minute_is_a_further_camera_position(notebook: Notebook) -> None:
    store(notebook, DAY + HOUSE)
    store(notebook, f"{DAY}13:50 winding house, 190M 30m\n")
    subject = find_subject(notebook, "winding house")
    assert len(list_camera_positions(notebook, subject.id)) == 2


def test_two_records_of_one_minute_in_one_file_are_two_camera_positions(
    notebook: Notebook,
) -> None:
    store(notebook, f"{DAY}{HOUSE}13:32 winding house, 190M 30m\n")
    subject = find_subject(notebook, "winding house")
    assert len(list_camera_positions(notebook, subject.id)) == 2


# ---------------------------------------------------------------- waiting for a track


def test_a_record_without_a_place_is_placed_when_its_track_comes(notebook: Notebook) -> None:
    store(notebook, NEXT_DAY)
    assert names(notebook) == []
    assert place_since(notebook) == ()  # nothing new is known yet
    put_walk(notebook, walk(shift=timedelta(days=1)))
    (placed,) = place_since(notebook)
    assert (placed.source, placed.subject) == ("notes.txt, line 1", "sluice")
    subject = find_subject(notebook, "sluice")
    (camera,) = list_camera_positions(notebook, subject.id)
    assert camera.distance_m == 8.0
    (note,) = list_notes(notebook)
    assert (note.text, note.subject_id) == (NEXT_DAY.strip(), subject.id)
    assert "unplaced" not in note.observed
    assert place_since(notebook) == ()  # and only once


def test_a_subject_marked_meanwhile_keeps_what_it_has_and_gets_the_note(
    notebook: Notebook,
) -> None:
    store(notebook, NEXT_DAY)
    marked = mark(notebook, "sluice", "47.0100 N 21.0100 W", now=NOW).subject
    put_walk(notebook, walk(shift=timedelta(days=1)))
    place_since(notebook)
    assert find_subject(notebook, "sluice") == marked
    assert list_camera_positions(notebook, marked.id) == []
    assert [note.subject_id for note in list_notes(notebook)] == [marked.id]


def test_the_clock_assumed_for_a_record_placed_later_is_said(notebook: Notebook) -> None:
    store(notebook, NEXT_DAY)
    with notebook.writing():
        set_setting(notebook, "zone", None)
    put_walk(notebook, walk(shift=timedelta(days=1)))
    assert [placed.sea_clock for placed in place_since(notebook)] == ["UTC−1"]


def test_a_facing_is_kept_as_it_was_read(notebook: Notebook) -> None:
    store(notebook, f"{DAY}13:32 seen winding house, 215M 8m, faces 035M\n")
    (note,) = list_notes(notebook)
    assert note.observed["facing"] == "035M"


# ---------------------------------------------------------------- taking a file back


def test_a_file_of_notes_is_taken_back_whole_and_can_come_again(notebook: Notebook) -> None:
    store(notebook, DAY + HOUSE + ARCH)
    store(notebook, f"{DAY}13:50 winding house, 190M 30m\nrain all day\n", "later.txt")
    gone = discard_file(notebook, "later.txt")
    subject = find_subject(notebook, "winding house")  # of the first file: it stays
    assert [c.name for c in list_camera_positions(notebook, subject.id)] == ["main"]
    assert len(list_notes(notebook)) == 2
    first = discard_file(notebook, "notes.txt")
    assert names(notebook) == []
    assert list_notes(notebook) == []
    bring_back(notebook, first.deleted.id)
    bring_back(notebook, gone.deleted.id)
    assert names(notebook) == ["arch", "winding house"]
    assert len(list_camera_positions(notebook, subject.id)) == 2
    assert store(notebook, DAY + HOUSE + ARCH).outcome == "already on record"


def test_a_file_taken_back_and_read_again_cannot_come_back_too(notebook: Notebook) -> None:
    store(notebook, DAY + HOUSE)
    gone = discard_file(notebook, "notes.txt")
    assert store(notebook, DAY + HOUSE).outcome == "stored"
    with pytest.raises(BadInput, match="imported again meanwhile"):
        bring_back(notebook, gone.deleted.id)


def test_an_unknown_file_is_named_with_those_on_record(notebook: Notebook) -> None:
    store(notebook, DAY + HOUSE)
    with pytest.raises(NotFound, match=r"on record: 'notes\.txt'"):
        discard_file(notebook, "note.txt")


# ---------------------------------------------------------------- a text that is no notes


PROSE = "".join(f"Chapter {n}: of words, and more of them\n" for n in range(30))


def test_a_text_that_is_no_field_notes_is_refused_with_the_way_round(notebook: Notebook) -> None:
    with pytest.raises(BadFile, match=r"none of its 30 lines read as a field record.*--as-notes"):
        store(notebook, PROSE)
    assert list_notes(notebook) == []
    report = store_notes(notebook, PROSE.encode(), "prose.txt", any_text=True, now=NOW)
    assert report.count("note") == 30


def test_a_diary_under_days_and_a_few_loose_lines_are_notes(notebook: Notebook) -> None:
    diary = "".join(f"2026-03-{n:02}\nrain\nthe ford too high\nhome by dark\n" for n in range(1, 9))
    assert store(notebook, diary).count("note") == 24
    assert store(notebook, "rain\nhome by dark, all of us wet\n", "two.txt").count("note") == 2


# ---------------------------------------------------------------- the clock at sea


def test_a_clock_assumed_at_sea_is_said_and_a_zone_set_later_names_the_file(
    notebook: Notebook,
) -> None:
    with notebook.writing():
        set_setting(notebook, "zone", None)
    report = store(notebook, DAY + HOUSE)
    assert report.sea_clocks == ("UTC−1",)
    assert "clock assumed UTC−1" in notes_text(report)
    change_setting(notebook, "zone", "Atlantic/Madeira")  # UTC+0 in March
    assert records_by_another_clock(notebook, None).files == (("notes.txt", 1),)


def test_with_a_zone_set_no_clock_is_assumed_and_the_same_clock_changes_nothing(
    notebook: Notebook,
) -> None:
    report = store(notebook, DAY + HOUSE)  # the fixture's zone: the Azores
    assert report.sea_clocks == ()
    change_setting(notebook, "zone", "Etc/GMT+1")
    assert records_by_another_clock(notebook, "Atlantic/Azores").files == ()
