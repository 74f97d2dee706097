"""Deleting is undoable: what goes to the bin comes back with all that hung on it."""

from __future__ import annotations

import pytest
from tests.notebook import samples

from backbearing.errors import BadInput, NotebookError, NotFound
from backbearing.notebook import Notebook, tracks
from backbearing.notebook.bin import discard, list_bin, restore
from backbearing.notebook.subjects import (
    add_camera_position,
    add_note,
    add_subject,
    list_camera_positions,
    list_notes,
    list_subjects,
)

RECORD = ("tracks", "segments", "waypoints", "routes", "subjects", "camera_positions", "notes")


def everything(notebook: Notebook) -> dict[str, list[tuple[object, ...]]]:
    return {
        table: [tuple(row) for row in notebook.rows(f"SELECT * FROM {table} ORDER BY id")]
        for table in RECORD
    }


@pytest.fixture
def filled(notebook: Notebook) -> Notebook:
    walked = samples.track(samples.segment(), samples.segment(1))
    with notebook.writing():
        original_id = tracks.store_original(notebook, samples.original())
        tracks.store_track(notebook, original_id, walked, samples.summary(walked))
        tracks.store_waypoint(notebook, original_id, samples.route().points[0])
        tracks.store_route(notebook, original_id, samples.route())
        for name in ("Winding house", "Arch"):
            subject = add_subject(notebook, samples.subject(name))
            for position in ("main", "second"):
                add_camera_position(notebook, samples.camera_position(subject.id, position))
            add_note(notebook, samples.note(subject.id))
        add_note(notebook, samples.note(None, "about nothing in particular"))
    return notebook


@pytest.mark.parametrize(
    ("kind", "taken"),
    [
        ("subject", {"subjects": 1, "camera_positions": 2, "notes": 1}),
        ("camera position", {"camera_positions": 1}),
        ("track", {"tracks": 1, "segments": 2}),
        ("waypoint", {"waypoints": 1}),
        ("route", {"routes": 1}),
    ],
)
def test_it_goes_and_comes_back_row_for_row(
    filled: Notebook, kind: str, taken: dict[str, int]
) -> None:
    before = everything(filled)
    with filled.writing():
        deleted = discard(filled, kind, 1)  # type: ignore[arg-type]
    during = everything(filled)
    assert {
        table: len(before[table]) - len(during[table])
        for table in RECORD
        if len(before[table]) != len(during[table])
    } == taken
    assert list_bin(filled) == [deleted]
    assert deleted.kind == kind
    with filled.writing():
        assert restore(filled, deleted.id) == deleted
    assert everything(filled) == before
    assert list_bin(filled) == []
    assert filled.rows("SELECT * FROM bin_rows") == []


def test_a_name_taken_meanwhile_is_said(filled: Notebook) -> None:
    with filled.writing():
        deleted = discard(filled, "subject", 1)
        add_subject(filled, samples.subject("WINDING HOUSE"))
    with filled.writing(), pytest.raises(BadInput, match=r"cannot come back.*another name first"):
        restore(filled, deleted.id)
    assert list_bin(filled) == [deleted]


def test_a_camera_position_waits_for_its_subject(filled: Notebook) -> None:
    with filled.writing():
        position = discard(filled, "camera position", 1)
        subject = discard(filled, "subject", 1)
    with filled.writing(), pytest.raises(BadInput, match="restore the subject first"):
        restore(filled, position.id)
    with filled.writing():
        restore(filled, subject.id)
        restore(filled, position.id)
    assert len(list_camera_positions(filled, 1)) == 2
    assert len(list_notes(filled, 1)) == 1


def test_a_number_in_the_bin_is_never_given_away(filled: Notebook) -> None:
    with filled.writing():
        discard(filled, "subject", 2)
        new = add_subject(filled, samples.subject("Pump wheel"))
    assert new.id == 3


def test_the_bin_lists_what_went_last_first(filled: Notebook) -> None:
    with filled.writing():
        discard(filled, "subject", 1)
        discard(filled, "track", 1)
    assert [(d.kind, d.name) for d in list_bin(filled)] == [
        ("track", "to the quarry"),
        ("subject", "Winding house"),
    ]
    assert [s.name for s in list_subjects(filled)] == ["Arch"]


def test_what_is_not_there_is_not_found(notebook: Notebook) -> None:
    with notebook.writing():
        with pytest.raises(NotFound, match="no subject number 4"):
            discard(notebook, "subject", 4)
        with pytest.raises(NotFound, match="bin holds no number 4"):
            restore(notebook, 4)


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("table_name", "settings VALUES ('zone', 'x'); --"),
        ("table_name", "bin"),
        ("row", "{"),
        ("row", "[1]"),
        ("row", '{"name": {"hex": "zz"}}'),
        ("row", '{"name": {"up": 1}}'),
    ],
)
def test_a_bin_that_another_program_tampered_with_is_refused(
    filled: Notebook, column: str, value: str
) -> None:
    with filled.writing():
        deleted = discard(filled, "waypoint", 1)
        filled.run(f"UPDATE bin_rows SET {column} = ?", (value,))
    with pytest.raises(NotebookError, match="in the bin cannot be read"), filled.writing():
        restore(filled, deleted.id)
    assert list_bin(filled) == [deleted]


def test_a_row_put_away_before_a_column_came_or_went_comes_back(filled: Notebook) -> None:
    """What a later migration or a GIS may do to the table meanwhile."""
    with filled.writing():
        filled.run("ALTER TABLE waypoints ADD COLUMN colour TEXT")
        filled.run("UPDATE waypoints SET colour = 'red'")
        deleted = discard(filled, "waypoint", 1)
        filled.run("ALTER TABLE waypoints DROP COLUMN colour")
        filled.run("ALTER TABLE waypoints ADD COLUMN seen INTEGER DEFAULT 1")
        restore(filled, deleted.id)
    (row,) = filled.rows("SELECT * FROM waypoints")
    assert row["name"] == "landing stage"
    assert row["seen"] == 1
