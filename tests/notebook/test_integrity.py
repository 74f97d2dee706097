"""`check` finds what a GIS or a bad disk has done, and reading copes with it meanwhile."""

from __future__ import annotations

import dataclasses
import sqlite3
import struct
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.notebook import samples

from backbearing.errors import BadInput, NotebookError
from backbearing.notebook import Notebook, open_notebook, tracks
from backbearing.notebook.bin import discard, restore
from backbearing.notebook.integrity import check, counts
from backbearing.notebook.subjects import (
    add_camera_position,
    add_note,
    add_subject,
    find_subject,
    list_camera_positions,
    list_notes,
    list_subjects,
    update_subject,
)


@pytest.fixture
def filled(path: Path) -> Path:
    walked = samples.track(samples.segment(5), samples.segment(1))
    with open_notebook(path, create=True) as notebook, notebook.writing():
        original_id = tracks.store_original(notebook, samples.original(b"<gpx>1</gpx>"))
        tracks.store_track(notebook, original_id, walked, samples.summary(walked))
        tracks.store_waypoint(notebook, original_id, samples.route().points[1])
        tracks.store_route(notebook, original_id, samples.route())
        for name in ("Winding house", "Arch"):
            subject = add_subject(notebook, samples.subject(name))
            add_camera_position(notebook, samples.camera_position(subject.id))
            add_note(notebook, samples.note(subject.id))
        binned = add_subject(notebook, samples.subject("Pump wheel"))
        discard(notebook, "subject", binned.id or 0)
    return path


def edit(path: Path, *statements: tuple[str, tuple[object, ...]] | str) -> None:
    """What another program does to the file, with foreign keys off as most have them."""
    other = sqlite3.connect(path, isolation_level=None)
    for statement in statements:
        sql, values = (statement, ()) if isinstance(statement, str) else statement
        other.execute(sql, values)
    other.close()


def said(path: Path) -> str:
    with open_notebook(path, readonly=True) as notebook:
        return "\n".join(f"{f.grade}: {f.where}: {f.what}" for f in check(notebook))


def test_a_notebook_of_ours_has_nothing_wrong(filled: Path) -> None:
    with open_notebook(filled) as notebook:
        assert check(notebook) == []
        assert counts(notebook) == {
            "tracks": 1,
            "segments": 2,
            "routes": 1,
            "waypoints": 1,
            "subjects": 2,
            "camera_positions": 2,
            "notes": 2,
            "photos": 0,
            "originals": 1,
            "bin": 1,
        }


def test_an_empty_notebook_has_nothing_wrong(notebook: Notebook) -> None:
    assert check(notebook) == []


def test_extents_follow_what_is_added_moved_and_deleted(notebook: Notebook) -> None:
    """Requirement 148, after each kind of change."""

    def extent() -> tuple[float, ...]:
        sql = "SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = 'subjects'"
        return tuple(notebook.rows(sql)[0])

    assert extent() == (None,) * 4
    with notebook.writing():
        one = add_subject(notebook, samples.Subject(name="1", place=samples.place(47, -21)))
        add_subject(notebook, samples.Subject(name="2", place=samples.place(48, -20)))
    assert extent() == (-21, 47, -20, 48)
    with notebook.writing():
        discard(notebook, "subject", one.id or 0)
    assert extent() == (-20, 48, -20, 48)


POINT_2D = struct.pack("<2sBBiBI2d", b"GP", 0, 1, 4326, 1, 1, -21.0, 47.0)
LINE_2D = struct.pack("<2sBBiBII4d", b"GP", 0, 1, 4326, 1, 2, 2, -21.0, 47.0, -21.0, 47.0)
ELSEWHERE = struct.pack("<2sBBiBI3d", b"GP", 0, 1, 3857, 1, 1001, -21.0, 47.0, 1.0)
FAR_OFF = struct.pack("<2sBBiBI3d", b"GP", 0, 1, 4326, 1, 1001, 10.0, 10.0, 1.0)

EDITS: dict[str, tuple[Callable[[Path], None], str]] = {
    "two of one name": (
        lambda p: edit(p, "UPDATE subjects SET name = 'ARCH'"),
        "fault: subjects, row 1: 2 subjects are called 'ARCH'",
    ),
    "no name": (
        lambda p: edit(p, "UPDATE subjects SET name = NULL WHERE id = 2"),
        "fault: subjects, row 2: it has no name",
    ),
    "no geometry": (
        lambda p: edit(p, "UPDATE subjects SET geom = NULL WHERE id = 1"),
        "fault: subjects, row 1: it has no geometry",
    ),
    "a ruined geometry": (
        lambda p: edit(p, "UPDATE segments SET geom = x'4750' WHERE id = 1"),
        "fault: segments, row 1: it holds no GeoPackage geometry",
    ),
    "a point where a line should be": (
        lambda p: edit(p, ("UPDATE routes SET geom = ?", (POINT_2D,))),
        "fault: routes, row 1: its geometry is no LINESTRING (requirement 32)",
    ),
    "heights dropped": (
        lambda p: edit(p, ("UPDATE subjects SET geom = ? WHERE id = 1", (POINT_2D,))),
        "remark: subjects, row 1: another program has written its geometry with other dimensions",
    ),
    "times dropped": (
        lambda p: edit(p, ("UPDATE segments SET geom = ? WHERE id = 1", (LINE_2D,))),
        "remark: segments, row 1: another program has changed its line: 2 fixes, not 5",
    ),
    "another reference system": (
        lambda p: edit(p, ("UPDATE waypoints SET geom = ?", (ELSEWHERE,))),
        "fault: waypoints, row 1: its geometry is not in WGS 84 longitude and latitude",
    ),
    "an extent left behind": (
        lambda p: edit(p, ("UPDATE waypoints SET geom = ?", (FAR_OFF,))),
        "fault: waypoints, row 1: it lies outside the extent its layer declares",
    ),
    "a state of its own": (
        lambda p: edit(p, "UPDATE subjects SET state = 'lost' WHERE id = 1"),
        "fault: subjects, row 1: its state is not one of: seen, scouted",
    ),
    "wanted light that makes no sense": (
        lambda p: edit(p, "UPDATE subjects SET wanted = '{\"delta_deg\": [1]}' WHERE id = 1"),
        "fault: subjects, row 1: its wanted is not a wanted light",
    ),
    "a time that is none": (
        lambda p: edit(p, "UPDATE subjects SET marked_at = 'yesterday' WHERE id = 1"),
        "fault: subjects, row 1: its marked_at is not a time",
    ),
    "no position error": (
        lambda p: edit(p, "UPDATE subjects SET error_m = NULL WHERE id = 2"),
        "fault: subjects, row 2: its error_m is not a radius",
    ),
    "a bearing off the card": (
        lambda p: edit(p, "UPDATE camera_positions SET bearing_true_deg = 400 WHERE id = 1"),
        "fault: camera_positions, row 1: its bearing_true_deg is not a bearing",
    ),
    "a subject deleted without what hangs on it": (
        lambda p: edit(p, "DELETE FROM subjects WHERE id = 1"),
        "belongs to a row of 'subjects' that is gone",
    ),
    "a segment deleted": (
        lambda p: edit(p, "DELETE FROM segments WHERE id = 1"),
        "fault: tracks, row 1: its 1 segments hold 1 fixes, not the 6 it was stored with",
    ),
    "a file that is not what it was": (
        lambda p: edit(p, "UPDATE originals SET sha256 = 'abc'"),
        "fault: originals, row 1: the kept copy of 'walk.gpx' is not the file it was",
    ),
    "a file that cannot be unpacked": (
        lambda p: edit(p, "UPDATE originals SET content = x'00'"),
        "fault: originals, row 1: the kept copy of 'walk.gpx' is not the file it was",
    ),
    "a bin row that is none": (
        lambda p: edit(p, "UPDATE bin_rows SET row = 'x'"),
        "fault: bin_rows, row 1: its row is not something that can be restored",
    ),
    "no reference system": (
        lambda p: edit(p, "DELETE FROM gpkg_spatial_ref_sys WHERE srs_id = 0"),
        "fault: GeoPackage, requirement 11: reference system 0 is missing",
    ),
    "no entry in the contents": (
        lambda p: edit(p, "DELETE FROM gpkg_contents WHERE table_name = 'notes'"),
        "fault: GeoPackage, requirement 118: the contents do not list 'notes' as attributes",
    ),
    "contents that list nothing": (
        lambda p: edit(
            p, "INSERT INTO gpkg_contents (table_name, data_type) VALUES ('gone', 'features')"
        ),
        "fault: GeoPackage, requirement 14: the contents list 'gone', which is no table",
    ),
    "a last change that is no time": (
        lambda p: edit(p, "UPDATE gpkg_contents SET last_change = 'now'"),
        "fault: GeoPackage, requirement 15",
    ),
    "no geometry column": (
        lambda p: edit(p, "DELETE FROM gpkg_geometry_columns WHERE table_name = 'routes'"),
        "fault: GeoPackage, requirement 22: 'routes' has no row",
    ),
    "another geometry": (
        lambda p: edit(p, "UPDATE gpkg_geometry_columns SET z = 0 WHERE table_name = 'subjects'"),
        "fault: GeoPackage, requirement 32: 'subjects' is declared as something else",
    ),
    "a foreign type of column": (
        lambda p: edit(p, "ALTER TABLE subjects ADD COLUMN tags VARCHAR"),
        "fault: GeoPackage, requirement 5: column 'tags' of 'subjects' is of type 'VARCHAR'",
    ),
    "no version": (
        lambda p: edit(p, "PRAGMA user_version = 7"),
        "fault: GeoPackage, requirement 2: the file names GeoPackage version 7",
    ),
    "an own table that is not registered": (
        lambda p: edit(p, "DELETE FROM gpkg_extensions WHERE table_name = 'bin'"),
        "fault: GeoPackage, requirement 59: the notebook's own table 'bin' is not registered",
    ),
    "code of its own": (
        lambda p: edit(p, "CREATE TRIGGER t AFTER INSERT ON subjects BEGIN SELECT 1; END"),
        "remark: file: it is read only, because its trigger 't' was put there by neither",
    ),
}


@pytest.mark.parametrize(("change", "sentence"), EDITS.values(), ids=EDITS.keys())
def test_what_another_program_did_is_said_and_everything_is_still_read(
    filled: Path, change: Callable[[Path], None], sentence: str
) -> None:
    change(filled)
    assert sentence in said(filled)
    with open_notebook(filled) as notebook:
        list_subjects(notebook)
        list_camera_positions(notebook)
        list_notes(notebook)
        tracks.list_tracks(notebook)
        tracks.list_waypoints(notebook)
        tracks.list_routes(notebook)


def test_a_name_that_does_not_end_in_gpkg_is_remarked(filled: Path) -> None:
    other = filled.rename(filled.with_suffix(".sqlite"))
    assert "remark: GeoPackage, requirement 3" in said(other)


def test_text_in_another_encoding_does_not_stop_reading(filled: Path) -> None:
    edit(filled, ("UPDATE subjects SET words = CAST(? AS TEXT) WHERE id = 1", (b"caf\xe9",)))
    with open_notebook(filled) as notebook:
        assert "caf�" in [s.words for s in list_subjects(notebook)]


def test_a_damaged_page_is_found_and_ends_no_step_but_its_own(filled: Path) -> None:
    with open_notebook(filled) as notebook, notebook.writing():
        for number in range(300):
            add_subject(notebook, samples.subject(f"subject {number}"))
    content = bytearray(filled.read_bytes())
    content[-8192:] = b"\xa5" * 8192
    filled.write_bytes(content)
    report = said(filled)
    assert "fault: names: the file is damaged" in report
    assert "GeoPackage" not in report  # that step reads other pages and finds nothing


def test_a_subject_drawn_in_a_gis_needs_only_a_point_and_a_name(filled: Path) -> None:
    edit(filled, ("INSERT INTO subjects (geom, name) VALUES (?, 'Powder house')", (POINT_2D,)))
    with open_notebook(filled) as notebook:
        drawn = find_subject(notebook, "powder house")
    assert drawn.state == "seen"
    assert drawn.place.height_m is None
    assert (drawn.place.error_m, drawn.place.error_basis) == (100.0, "assumed: pin from memory")
    assert drawn.uid == "subject-4"


def test_two_subjects_of_one_name_are_told_apart_by_their_numbers(filled: Path) -> None:
    edit(filled, "UPDATE subjects SET name = 'arch', uid = NULL")
    with open_notebook(filled) as notebook:
        one, other = list_subjects(notebook)
        assert (one.name, other.name) == ("arch (subject 1)", "arch (subject 2)")
        with pytest.raises(BadInput, match=r"2 subjects.*say 'arch \(subject 1\)' or 'arch \(sub"):
            find_subject(notebook, "Arch")
        assert find_subject(notebook, "Arch (subject 2)") == other
        assert find_subject(notebook, one.uid) == one


@pytest.mark.parametrize(
    ("name", "read_as"),
    [
        ("NULL", "subject 1"),
        ("''", "subject 1"),
        ("x'61726368e9'", "arch�"),
        ("CAST(x'61726368e9' AS TEXT)", "arch�"),
        ("17", "17"),
        ("1.5", "1.5"),
        ("'arch' || char(10, 27)", "arch\n\x1b"),
    ],
)
def test_any_subject_that_is_listed_is_found_by_the_name_it_is_listed_under(
    filled: Path, name: str, read_as: str
) -> None:
    edit(filled, f"UPDATE subjects SET name = {name}, uid = NULL WHERE id = 1")
    with open_notebook(filled) as notebook:
        listed = {subject.id: subject for subject in list_subjects(notebook)}
        assert listed[1].name == read_as
        for subject in listed.values():
            assert find_subject(notebook, subject.name) == subject
        with notebook.writing():
            added = add_subject(notebook, samples.subject("powder house"))
            update_subject(notebook, dataclasses.replace(added, name="powder store"))
            restore(notebook, discard(notebook, "subject", 1).id)


def test_a_subject_that_lost_its_place_is_left_out_and_named_when_asked_for(filled: Path) -> None:
    edit(filled, "UPDATE subjects SET geom = NULL WHERE name = 'Arch'")
    with open_notebook(filled) as notebook:
        assert [s.name for s in list_subjects(notebook)] == ["Winding house"]
        with pytest.raises(NotebookError, match="position of subject 'Arch' cannot be read"):
            find_subject(notebook, "Arch")


def test_a_subject_that_lost_its_place_goes_to_the_bin_and_comes_back(filled: Path) -> None:
    edit(filled, "UPDATE subjects SET geom = x'00' WHERE id = 1")
    with open_notebook(filled) as notebook, notebook.writing():
        restore(notebook, discard(notebook, "subject", 1).id)
        assert notebook.rows("SELECT geom FROM subjects WHERE id = 1")[0]["geom"] == b"\0"


def test_a_segment_that_lost_its_times_is_read_without_them(filled: Path) -> None:
    edit(filled, ("UPDATE segments SET geom = ? WHERE id = 1", (LINE_2D,)))
    with open_notebook(filled) as notebook:
        first, second = tracks.load_track(notebook, 1).segments
    assert str(first.time[0]) == "NaT"
    assert str(second.time[0]) == "2024-05-01T10:00:00.250"


def test_a_route_whose_vertices_a_gis_moved_keeps_the_names_it_can(filled: Path) -> None:
    with open_notebook(filled) as notebook:
        (route,) = tracks.list_routes(notebook)
    body = struct.pack("<6d", -21.0, 47.0, 0.0, -21.1, 47.2, 0.0)  # the middle one is taken out
    line = struct.pack("<2sBBiBII", b"GP", 0, 1, 4326, 1, 1002, 2) + body
    edit(filled, ("UPDATE routes SET geom = ?", (line,)))
    with open_notebook(filled) as notebook:
        (edited,) = tracks.list_routes(notebook)
    assert [p.name for p in edited.points] == ["landing stage", ""]
    assert edited.points[1].comment == route.points[2].comment == "shut"


def test_a_note_without_a_time_stays_in_view(filled: Path) -> None:
    edit(filled, "INSERT INTO notes (text, source) VALUES ('from a GIS', 'drawn')")
    with open_notebook(filled) as notebook:
        first = list_notes(notebook)[0]
    assert first.text == "from a GIS"
    assert first.source == "drawn (its time cannot be read)"
