"""Deleting and bringing back: a deleted thing moves to the bin with all that hangs on it.

A subject takes its camera positions and notes along, a track its segments. The bin keeps each
row as JSON, by column name, with the geometry beside it, so rows put away under an older
schema come back under a newer one; ids are kept.
"""

from __future__ import annotations

import json
import sqlite3
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, Final, Literal, cast

from backbearing.errors import BadInput, NotebookError, NotFound, quoted
from backbearing.notebook import columns
from backbearing.notebook.lines import refuse_passage_name
from backbearing.notebook.subjects import refuse_name, refuse_position_name
from backbearing.notebook.tables import ATTRIBUTES, FEATURES
from backbearing.records import Deleted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.notebook.connection import Notebook

Kind = Literal[
    "subject",
    "camera position",
    "track",
    "waypoint",
    "route",
    "reading",
    "line",
    "passage",
    "plate",
    "photo",
    "field notes",
    "lines of a file",
]
FIELD_NOTES: Final = "field notes"
FILE_LINES: Final = "lines of a file"

_TABLES: dict[Kind, str] = {
    "subject": "subjects",
    "camera position": "camera_positions",
    "track": "tracks",
    "waypoint": "waypoints",
    "route": "routes",
    "reading": "edge_readings",
    "line": "lines",
    "passage": "passages",
    "plate": "plates",
    "photo": "photos",
}
_STAYING = ("plates", "photos")  # they stay when their subject goes, and are of none
_CHILDREN: dict[Kind, tuple[tuple[str, str], ...]] = {
    "subject": (
        *(("camera_positions", "subject_id"), ("notes", "subject_id")),
        *(("edge_readings", "subject_id"), ("trees", "subject_id")),
        *(("clues", "subject_id"), ("looks", "subject_id")),
    ),
    "track": (("segments", "track_id"),),
    "passage": (("passage_reports", "passage_id"),),
}
_NAMED_BY: dict[Kind, str] = {
    "reading": "azimuth_as_written",
    "plate": "holder",
    "photo": "file_name",
}
_KEPT = frozenset((*FEATURES, *ATTRIBUTES, "originals"))


def discard(notebook: Notebook, kind: Kind, row_id: int) -> Deleted:
    """Move something to the bin with all that hangs on it; what `restore` needs to know.

    Raises NotFound where there is none.
    """
    table = _TABLES[kind]
    rows = notebook.rows(f"SELECT * FROM {table} WHERE id = ?", (row_id,))  # noqa: S608
    if not rows:
        raise NotFound(
            f"there is no {kind} number {row_id} on record",
            remedy="'backbearing restore' lists the bin",
        )
    named = _NAMED_BY.get(kind, "name")
    name = columns.read_text(rows[0][named]) or f"{kind} {row_id}"
    bin_id, deleted_at = _begin(notebook, kind, name)
    _put_away(notebook, bin_id, table, rows[0])
    for child, column in _CHILDREN.get(kind, ()):
        _move(notebook, bin_id, child, column, row_id)
    if kind == "subject":
        _let_go(notebook, bin_id, row_id)
    notebook.run(f"DELETE FROM {table} WHERE id = ?", (row_id,))  # noqa: S608
    notebook.changed(table)
    return Deleted(id=bin_id, kind=kind, name=name, deleted_at=deleted_at)


def discard_field_notes(
    notebook: Notebook,
    original_id: int,
    *,
    subjects: Sequence[int],
    camera_positions: Sequence[int],
    notes: Sequence[int],
) -> Deleted:
    """Move a file of field notes to the bin as one thing, with what it had put on record.

    subjects: with all that hangs on each; camera_positions and notes: of other subjects.
    Raises NotFound where there is no such file.
    """
    rows = notebook.rows("SELECT * FROM originals WHERE id = ?", (original_id,))
    if not rows:
        raise NotFound(f"there is no file number {original_id} on record")
    name = columns.read_text(rows[0]["file_name"])
    bin_id, deleted_at = _begin(notebook, FIELD_NOTES, name)
    _move(notebook, bin_id, "originals", "id", original_id)
    for subject_id in subjects:
        rows = notebook.rows("SELECT * FROM subjects WHERE id = ?", (subject_id,))
        for row in rows:
            _put_away(notebook, bin_id, "subjects", row)
        for child, column in _CHILDREN["subject"]:
            _move(notebook, bin_id, child, column, subject_id)
        _let_go(notebook, bin_id, subject_id)
        notebook.run("DELETE FROM subjects WHERE id = ?", (subject_id,))
        notebook.changed("subjects")
    for table, numbers in (("camera_positions", camera_positions), ("notes", notes)):
        for number in numbers:
            _move(notebook, bin_id, table, "id", number)
    return Deleted(id=bin_id, kind=FIELD_NOTES, name=name, deleted_at=deleted_at)


def discard_file_lines(notebook: Notebook, original_id: int) -> Deleted:
    """Move a file of lines to the bin as one thing, with the lines it had put on record.

    Raises NotFound where there is no such file.
    """
    rows = notebook.rows("SELECT * FROM originals WHERE id = ?", (original_id,))
    if not rows:
        raise NotFound(f"there is no file number {original_id} on record")
    name = columns.read_text(rows[0]["file_name"])
    bin_id, deleted_at = _begin(notebook, FILE_LINES, name)
    _put_away(notebook, bin_id, "originals", rows[0])  # first, as its lines come back onto it
    _move(notebook, bin_id, "lines", "original_id", original_id)
    notebook.run("DELETE FROM originals WHERE id = ?", (original_id,))
    return Deleted(id=bin_id, kind=FILE_LINES, name=name, deleted_at=deleted_at)


def _let_go(notebook: Notebook, bin_id: int, subject_id: int) -> None:
    """Plates and photos stay when their subject goes; the bin keeps which were of it."""
    for table in _STAYING:
        for row in notebook.rows(
            f"SELECT id, subject_id FROM {table} WHERE subject_id = ?",  # noqa: S608
            (subject_id,),
        ):
            _put_away(notebook, bin_id, table, row)
        notebook.run(
            f"UPDATE {table} SET subject_id = NULL WHERE subject_id = ?",  # noqa: S608
            (subject_id,),
        )
        notebook.changed(table)


def list_bin(notebook: Notebook) -> list[Deleted]:
    """What is in the bin, last deleted first."""
    return [_deleted(row) for row in notebook.rows("SELECT * FROM bin ORDER BY id DESC")]


def restore(notebook: Notebook, bin_id: int) -> Deleted:
    """Bring something back with all that hung on it, under its old ids; what it was.

    Raises NotFound where the bin holds no such number, BadInput where its name is taken
    meanwhile or the subject it belonged to is itself in the bin.
    """
    found = notebook.rows("SELECT * FROM bin WHERE id = ?", (bin_id,))
    if not found:
        raise NotFound(
            f"the bin holds no number {bin_id}", remedy="'backbearing restore' lists the bin"
        )
    deleted = _deleted(found[0])
    for place, kept in enumerate(
        notebook.rows("SELECT * FROM bin_rows WHERE bin_id = ? ORDER BY id", (bin_id,))
    ):
        table, values = kept["table_name"], _values(notebook, kept)
        if place == 0:
            _refuse_clash(notebook, deleted, values)
        elif deleted.kind == FIELD_NOTES and table == "subjects":
            _refuse_taken_name(notebook, columns.read_text(values.get("name")))
        if table in _STAYING and table != _TABLES.get(deleted.kind):  # only what it is of had gone
            notebook.run(
                f"UPDATE {table} SET subject_id = ? WHERE id = ?",  # noqa: S608
                (values.get("subject_id"), values.get("id")),
            )
            notebook.changed(table)
            continue
        known = {row["name"] for row in notebook.rows(f"PRAGMA table_info({table})")}
        names = [name for name in values if name in known]
        notebook.run(
            f"INSERT INTO {table} ({', '.join(_quoted(n) for n in names)}) "  # noqa: S608
            f"VALUES ({', '.join('?' * len(names))})",
            tuple(values[name] for name in names),
        )
        if table != "originals":
            notebook.changed(table, values.get("geom"))
    notebook.run("DELETE FROM bin_rows WHERE bin_id = ?", (bin_id,))
    notebook.run("DELETE FROM bin WHERE id = ?", (bin_id,))
    return deleted


def _refuse_clash(notebook: Notebook, deleted: Deleted, values: dict[str, Any]) -> None:
    if deleted.kind in (FIELD_NOTES, FILE_LINES) and notebook.rows(
        "SELECT 1 FROM originals WHERE sha256 = ?", (values.get("sha256"),)
    ):
        raise BadInput(
            "it cannot come back: the same file was imported again meanwhile",
            remedy="delete that one first",
        )
    if deleted.kind == "photo" and notebook.rows(
        "SELECT 1 FROM photos WHERE sha256 = ?", (values.get("sha256"),)
    ):
        raise BadInput("it cannot come back: the same photo was imported again meanwhile")
    if deleted.kind == "subject":
        _refuse_taken_name(notebook, deleted.name)
    if deleted.kind == "passage":
        _refuse_taken_passage(notebook, deleted.name)
    if deleted.kind in ("camera position", "reading"):
        subject_id = values.get("subject_id")
        if not notebook.rows("SELECT 1 FROM subjects WHERE id = ?", (subject_id,)):
            raise BadInput(
                f"the subject that the {deleted.kind} {quoted(deleted.name)} belongs to is "
                "in the bin itself",
                remedy="restore the subject first",
            )
    if deleted.kind == "camera position":
        try:
            refuse_position_name(notebook, subject_id, deleted.name)
        except BadInput as error:
            raise BadInput(
                f"it cannot come back: {error.what}", remedy="give that one another name first"
            ) from error


def _refuse_taken_name(notebook: Notebook, name: str) -> None:
    try:
        refuse_name(notebook, name)
    except BadInput as error:
        raise BadInput(
            f"it cannot come back: {error.what}", remedy="give that one another name first"
        ) from error


def _refuse_taken_passage(notebook: Notebook, name: str) -> None:
    try:
        refuse_passage_name(notebook, name)
    except BadInput as error:
        raise BadInput(
            f"it cannot come back: {error.what}", remedy="delete that one first"
        ) from error


def _begin(notebook: Notebook, kind: Kind, name: str) -> tuple[int, datetime]:
    """A new number in the bin, and the instant it holds for."""
    deleted_at = datetime.now(UTC)
    deleted_at = deleted_at.replace(microsecond=deleted_at.microsecond // 1000 * 1000)
    bin_id = notebook.run(
        "INSERT INTO bin (kind, name, deleted_at) VALUES (?, ?, ?)",
        (kind, name, columns.instant_text(deleted_at)),
    )
    return bin_id, deleted_at


def _move(notebook: Notebook, bin_id: int, table: str, column: str, value: int) -> None:
    """The rows of a table with that value, into the bin."""
    for row in notebook.rows(
        f"SELECT * FROM {table} WHERE {column} = ? ORDER BY id",  # noqa: S608
        (value,),
    ):
        _put_away(notebook, bin_id, table, row)
    notebook.run(f"DELETE FROM {table} WHERE {column} = ?", (value,))  # noqa: S608
    if table != "originals":
        notebook.changed(table)


def _put_away(notebook: Notebook, bin_id: int, table: str, row: sqlite3.Row) -> None:
    values = {key: row[key] for key in row.keys() if key != "geom"}  # noqa: SIM118
    packed = {k: {"hex": v.hex()} if isinstance(v, bytes) else v for k, v in values.items()}
    notebook.run(
        "INSERT INTO bin_rows (bin_id, table_name, row, geom) VALUES (?, ?, ?, ?)",
        (
            bin_id,
            table,
            json.dumps(packed, ensure_ascii=False),
            row["geom"] if "geom" in row.keys() else None,  # noqa: SIM118
        ),
    )


def _values(notebook: Notebook, kept: sqlite3.Row) -> dict[str, Any]:
    try:
        if kept["table_name"] not in _KEPT:  # it names a table that is written to
            raise ValueError("no table of ours")
        values = {
            key: bytes.fromhex(value["hex"]) if isinstance(value, dict) else value
            for key, value in json.loads(kept["row"]).items()
        }
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise NotebookError(
            f"number {kept['bin_id']} in the bin cannot be read",
            where=f"notebook {quoted(notebook.path, 200)}",
            remedy="go back to a backup",
        ) from error
    if kept["geom"] is not None:
        values["geom"] = kept["geom"]
    return values


def _deleted(row: sqlite3.Row) -> Deleted:
    return Deleted(
        id=row["id"],
        kind=cast("Kind", row["kind"]),
        name=columns.read_text(row["name"]),
        deleted_at=columns.read_instant(row["deleted_at"]) or datetime(1970, 1, 1, tzinfo=UTC),
    )


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'
