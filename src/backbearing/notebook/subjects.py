"""Subjects, their camera positions and their notes.

Names of subjects are unique among live rows (see `names`), and so are the names of one
subject's camera positions; both are looked up inside the writing transaction. Where another
program has left a name out or given it twice, subjects are read under names that are unique
all the same, with their numbers in them.
"""

from __future__ import annotations

import dataclasses
import os
import sqlite3
from collections import Counter
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from backbearing.errors import BadInput, NotebookError, NotFound, quoted
from backbearing.notebook import columns
from backbearing.notebook.names import name_key
from backbearing.notebook.placed import insert_row, place_values, read_place, update_row
from backbearing.notebook.zones import keep_zone
from backbearing.records import (
    SUBJECT_STATES,
    Bearing,
    CameraPosition,
    Note,
    Subject,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from backbearing.notebook.connection import Notebook

_SAME_NAME = "name_key(CAST(name AS BLOB)) = ?"

# ---------------------------------------------------------------- subjects


def add_subject(notebook: Notebook, subject: Subject) -> Subject:
    """Put a subject on record; the same with its id and uid.

    Raises BadInput where the name is empty or another subject already has it.
    """
    refuse_name(notebook, subject.name)
    uid = subject.uid or os.urandom(16).hex()
    values = {**_subject_values(subject), "uid": uid}
    subject_id = insert_row(notebook, "subjects", values)
    keep_zone(notebook, subject.place)
    return dataclasses.replace(subject, id=subject_id, uid=uid)


def update_subject(notebook: Notebook, subject: Subject) -> None:
    """Write a subject's fields over those on record; its id says which.

    Raises NotFound where there is none, BadInput where another already has its name.
    """
    refuse_name(notebook, subject.name, but_id=subject.id)
    update_row(notebook, "subjects", subject.id, _subject_values(subject))
    keep_zone(notebook, subject.place)


def list_subjects(notebook: Notebook) -> list[Subject]:
    """The subjects on record, by name. One whose position a GIS has lost is left out."""
    found = []
    for row in notebook.rows("SELECT * FROM subjects"):
        subject = _subject(row)
        if subject is not None:
            found.append(subject)
    often = Counter(name_key(subject.name) for subject in found)
    if len(often) < len(found):
        found = [
            dataclasses.replace(s, name=f"{s.name} (subject {s.id})")
            if often[name_key(s.name)] > 1
            else s
            for s in found
        ]
    return sorted(found, key=lambda s: (name_key(s.name) or "", s.id or 0))


def find_subject(notebook: Notebook, name: str) -> Subject:
    """The subject of this name (case, composition and spacing do not matter) or uid.

    Raises NotFound, with the nearest name on record; BadInput where a GIS has given two
    subjects the name; NotebookError where its position cannot be read.
    """
    rows = notebook.rows(f"SELECT * FROM subjects WHERE {_SAME_NAME}", (name_key(name),))  # noqa: S608
    if not rows:
        rows = notebook.rows("SELECT * FROM subjects WHERE uid = ?", (name,))
    if len(rows) == 1:
        subject = _subject(rows[0])
        if subject is None:
            raise NotebookError(
                f"the position of subject {quoted(name)} cannot be read",
                where=f"notebook {quoted(notebook.path, 200)}",
                remedy="set it again in the program that changed it, or go back to a backup",
            )
        return subject
    # without a name or with one of several: by the name it is read under
    every = list_subjects(notebook)
    for subject in every:
        if name_key(subject.name) == name_key(name) or subject.uid == name:
            return subject
    if rows:
        numbers = {row["id"] for row in rows}
        names = " or ".join(quoted(s.name) for s in every if s.id in numbers)
        raise BadInput(
            f"{len(rows)} subjects are called {quoted(name)}",
            remedy=f"say {names}, and rename one with 'backbearing edit'",
        )
    raise NotFound(f"no subject is called {quoted(name)}", remedy=_nearest(every, name))


def refuse_name(notebook: Notebook, name: str, *, but_id: int | None = None) -> None:
    """Raise BadInput where a subject may not have this name."""
    if not name_key(name):
        raise BadInput("a subject needs a name")
    for row in notebook.rows(
        f"SELECT id, name FROM subjects WHERE {_SAME_NAME}",  # noqa: S608
        (name_key(columns.storable(name)),),
    ):
        if row["id"] != but_id:
            raise BadInput(
                f"a subject called {quoted(columns.read_text(row['name']))} is already on record",
                remedy="choose another name, or edit that one",
            )


def _nearest(every: Iterable[Subject], name: str) -> str:
    from difflib import get_close_matches

    names = {name_key(subject.name) or "": subject.name for subject in every}
    close = get_close_matches(name_key(name) or "", names, n=1)
    if close:
        found = names[close[0]]
        quotes = " (a name of several words goes in quotes)" if " " in found else ""
        return f"did you mean {quoted(found)}?" + (quotes if " " not in name.strip() else "")
    return "'backbearing subjects' lists them, 'backbearing restore' the bin"


def _subject_values(subject: Subject) -> dict[str, Any]:
    return {
        **place_values(subject.place),
        "name": columns.storable(subject.name),
        "state": subject.state,
        "words": columns.storable(subject.words),
        "tall_m": subject.tall_m,
        "wide_m": subject.wide_m,
        "facing_deg": subject.facing_deg,
        "at_water": int(subject.at_water),
        "blocked": columns.storable(subject.blocked),
        "next_time": columns.storable(subject.next_time),
        "wanted": columns.wanted_text(subject.wanted),
        "marked_at": columns.optional_instant_text(subject.marked_at),
    }


def _subject(row: sqlite3.Row) -> Subject | None:
    place = read_place(row)
    if place is None:
        return None
    state = row["state"]
    wanted = row["wanted"]
    return Subject(
        name=columns.read_text(row["name"]) or f"subject {row['id']}",
        place=place,
        state=state if state in SUBJECT_STATES else "seen",
        words=columns.read_text(row["words"]),
        tall_m=columns.read_float(row["tall_m"]),
        wide_m=columns.read_float(row["wide_m"]),
        facing_deg=columns.read_float(row["facing_deg"]),
        at_water=bool(columns.read_int(row["at_water"])),
        blocked=columns.read_text(row["blocked"]),
        next_time=columns.read_text(row["next_time"]),
        wanted=columns.read_wanted(wanted) if wanted else None,
        uid=columns.read_text(row["uid"]) or f"subject-{row['id']}",
        marked_at=columns.read_instant(row["marked_at"]),
        id=row["id"],
    )


# ---------------------------------------------------------------- camera positions


def add_camera_position(notebook: Notebook, position: CameraPosition) -> CameraPosition:
    """Put a camera position of a subject on record; the same with its id.

    Raises NotFound where there is no such subject, BadInput where the subject already has a
    camera position of this name.
    """
    _need_subject(notebook, position.subject_id)
    refuse_position_name(notebook, position.subject_id, position.name)
    position_id = insert_row(notebook, "camera_positions", _position_values(position))
    return dataclasses.replace(position, id=position_id)


def update_camera_position(notebook: Notebook, position: CameraPosition) -> None:
    """Write a camera position's fields over those on record; its id says which.

    Raises NotFound and BadInput as `add_camera_position` does.
    """
    _need_subject(notebook, position.subject_id)
    refuse_position_name(notebook, position.subject_id, position.name, but_id=position.id)
    update_row(notebook, "camera_positions", position.id, _position_values(position))


def list_camera_positions(
    notebook: Notebook, subject_id: int | None = None
) -> list[CameraPosition]:
    """The camera positions on record in the order they came, of one subject or of all."""
    where, values = ("", ()) if subject_id is None else ("WHERE subject_id = ?", (subject_id,))
    found = []
    for row in notebook.rows(
        f"SELECT * FROM camera_positions {where} ORDER BY id",  # noqa: S608
        values,
    ):
        position = _position(row)
        if position is not None:
            found.append(position)
    return found


def refuse_position_name(
    notebook: Notebook, subject_id: int | None, name: str, *, but_id: int | None = None
) -> None:
    """Raise BadInput where a camera position of this subject may not have this name."""
    if not name_key(name):
        raise BadInput("a camera position needs a name")
    for row in notebook.rows(
        f"SELECT id, name FROM camera_positions WHERE subject_id = ? AND {_SAME_NAME}",  # noqa: S608
        (subject_id, name_key(columns.storable(name))),
    ):
        if row["id"] != but_id:
            raise BadInput(
                f"this subject already has a camera position called "
                f"{quoted(columns.read_text(row['name']))}",
                remedy="choose another name, or edit that one",
            )


def _need_subject(notebook: Notebook, subject_id: int | None) -> None:
    if not notebook.rows("SELECT 1 FROM subjects WHERE id = ?", (subject_id,)):
        raise NotFound(f"there is no subject number {subject_id} on record")


def _position_values(position: CameraPosition) -> dict[str, Any]:
    bearing = position.bearing
    return {
        **place_values(position.place),
        "subject_id": position.subject_id,
        "name": columns.storable(position.name),
        "bearing_true_deg": bearing.true_deg if bearing else None,
        "bearing_error_deg": bearing.error_deg if bearing else None,
        "bearing_as_written": columns.storable(bearing.as_written) if bearing else None,
        "bearing_declination_deg": bearing.declination_deg if bearing else None,
        "bearing_basis": columns.storable(bearing.basis) if bearing else None,
        "distance_m": position.distance_m,
        "top_deg": position.top_deg,
        "foot_deg": position.foot_deg,
        "left_edge": columns.bearing_text(position.left_edge),
        "right_edge": columns.bearing_text(position.right_edge),
        "sightings": columns.sightings_text(position.sightings),
        "wanted": columns.wanted_text(position.wanted),
    }


def _position(row: sqlite3.Row) -> CameraPosition | None:
    place = read_place(row)
    if place is None:
        return None
    bearing: Bearing | None = columns.bearing_from(
        {key: row[f"bearing_{key}"] for key in columns.BEARING_FIELDS}
    )
    return CameraPosition(
        name=columns.read_text(row["name"]) or f"camera position {row['id']}",
        place=place,
        bearing=bearing,
        distance_m=columns.read_float(row["distance_m"]),
        top_deg=columns.read_float(row["top_deg"]),
        foot_deg=columns.read_float(row["foot_deg"]),
        left_edge=columns.read_bearing_text(row["left_edge"]),
        right_edge=columns.read_bearing_text(row["right_edge"]),
        sightings=columns.read_sightings(row["sightings"]),
        wanted=columns.read_wanted(row["wanted"]) if row["wanted"] else None,
        id=row["id"],
        subject_id=columns.read_int(row["subject_id"]),
    )


# ---------------------------------------------------------------- notes


def add_note(notebook: Notebook, note: Note) -> Note:
    """Keep a remark; the same with its id. Notes are added, never changed.

    Raises NotFound where it is about a subject that is not on record.
    """
    if note.subject_id is not None:
        _need_subject(notebook, note.subject_id)
    notebook.changed("notes")
    note_id = notebook.run(
        "INSERT INTO notes (subject_id, text, written_at, observed, source) VALUES (?, ?, ?, ?, ?)",
        (
            note.subject_id,
            columns.storable(note.text),
            columns.instant_text(note.written_at),
            columns.observed_text(note.observed),
            columns.storable(note.source),
        ),
    )
    return dataclasses.replace(note, id=note_id)


def place_note(notebook: Notebook, note: Note) -> None:
    """Put a note that had no place when it was read back under its number, with its subject.

    Its text and source stay as they were written; a note is never changed in place, which the
    file itself refuses. Raises NotFound where the subject or the note is not on record.
    """
    if note.subject_id is not None:
        _need_subject(notebook, note.subject_id)
    rows = notebook.rows("SELECT text, source FROM notes WHERE id = ?", (note.id,))
    if not rows:
        raise NotFound(f"there is no note number {note.id} on record")
    notebook.changed("notes")
    notebook.run("DELETE FROM notes WHERE id = ?", (note.id,))
    notebook.run(
        "INSERT INTO notes (id, subject_id, text, written_at, observed, source) "
        "VALUES (?, ?, ?, ?, ?, ?)",
        (
            note.id,
            note.subject_id,
            rows[0]["text"],
            columns.instant_text(note.written_at),
            columns.observed_text(note.observed),
            rows[0]["source"],
        ),
    )


def list_notes(notebook: Notebook, subject_id: int | None = None) -> list[Note]:
    """The remarks on record by time, about one subject, or all of them."""
    if subject_id is None:
        return _notes(notebook.rows("SELECT * FROM notes"))
    return _notes(notebook.rows("SELECT * FROM notes WHERE subject_id = ?", (subject_id,)))


def list_loose_notes(notebook: Notebook) -> list[Note]:
    """The remarks by time that are about no subject on record."""
    return _notes(
        notebook.rows(
            "SELECT * FROM notes WHERE subject_id IS NULL "
            "OR subject_id NOT IN (SELECT id FROM subjects)"
        )
    )


def _notes(rows: Iterable[sqlite3.Row]) -> list[Note]:
    found = []
    for row in rows:
        written_at = columns.read_instant(row["written_at"])
        source = columns.read_text(row["source"])
        if written_at is None:  # put in by another program: kept in view, and said so
            written_at = datetime(1970, 1, 1, tzinfo=UTC)
            source = f"{source} (its time cannot be read)"
        found.append(
            Note(
                text=columns.read_text(row["text"]),
                written_at=written_at,
                subject_id=columns.read_int(row["subject_id"]),
                observed=columns.read_observed(row["observed"]),
                source=source,
                id=row["id"],
            )
        )
    return sorted(found, key=lambda n: (n.written_at, n.id or 0))
