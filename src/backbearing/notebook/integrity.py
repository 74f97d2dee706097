"""`check`: is the file whole, is it a GeoPackage, and is each row what it should be?

Reading copes with what a GIS or a bad disk did to the rows; here it is said. A fault means
that something is lost, wrong or against the standard; a remark is only worth knowing.
"""

from __future__ import annotations

import json
import math
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from backbearing.errors import NotebookError, quoted
from backbearing.notebook import columns, geometry
from backbearing.notebook.conformance import unmet_requirements
from backbearing.notebook.names import name_key
from backbearing.notebook.soundrows import unsound_rows
from backbearing.notebook.tables import FEATURES, OWN_TABLES, UNPLACED
from backbearing.notebook.terrain import find_skyline, list_layers
from backbearing.notebook.tracks import LARGEST_ORIGINAL
from backbearing.records import SUBJECT_STATES, Finding

if TYPE_CHECKING:
    from backbearing.notebook.connection import Notebook

_RESTORE = "go back to a backup"
_EDIT = "mend the row in the program that changed it, or go back to a backup"
_MOST_PER_STEP = 50  # a ruined file would otherwise give a million lines

_INSTANTS = {
    "tracks": ("started", "ended"),
    "segments": ("started", "ended"),
    "waypoints": ("time",),
    "subjects": ("marked_at",),
    "notes": ("written_at",),
    "originals": ("imported_at",),
    "bin": ("deleted_at",),
    "skylines": ("made_at",),
    "photos": ("taken_at",),
}


def check(notebook: Notebook, *, progress: Callable[[str], None] | None = None) -> list[Finding]:
    """Everything that is not as it should be; empty where all is well. Changes nothing.

    progress: called with the name of each step as it begins.
    """
    found: list[Finding] = []
    for name, step in _STEPS:
        if progress is not None:
            progress(name)
        mine: list[Finding] = []
        try:
            for finding in step(notebook):
                mine.append(finding)
                if len(mine) > _MOST_PER_STEP:
                    mine[-1] = Finding(
                        grade="fault", where=name, what="and more of the same", remedy=_RESTORE
                    )
                    break
        except NotebookError as error:  # a damaged page ends a step, not the check
            mine.append(Finding(grade="fault", where=name, what=error.what, remedy=_RESTORE))
        found.extend(mine)
    return found


def counts(notebook: Notebook) -> dict[str, int]:
    """How much is on record, by kind."""
    tables = ("tracks", "segments", "routes", "waypoints", "subjects", "camera_positions", "notes")
    found = {}
    for table in (*tables, "photos", "originals", "bin"):
        (found[table],) = notebook.rows(f"SELECT count(*) FROM {table}")[0]  # noqa: S608
    return found


# ---------------------------------------------------------------- the file


def _database(notebook: Notebook) -> Iterator[Finding]:
    for (line,) in notebook.rows("PRAGMA integrity_check(20)"):
        if line != "ok":
            yield Finding(
                grade="fault",
                where="GeoPackage, requirement 6",
                what=f"the file is damaged ({quoted(line, 120)})",
                remedy=_RESTORE,
            )
    for row in notebook.rows("PRAGMA foreign_key_check"):
        yield Finding(
            grade="fault",
            where="GeoPackage, requirement 7",
            what=f"row {row['rowid']} of {quoted(row['table'])} belongs to a row of "
            f"{quoted(row['parent'])} that is gone",
            remedy=_EDIT,
        )


def _keeping(notebook: Notebook) -> Iterator[Finding]:
    if notebook.rows("PRAGMA journal_mode")[0][0] == "wal":
        yield Finding(
            grade="remark",
            where="file",
            what="another program holds it with a '-wal' file beside it",
            remedy="close that program before copying the file, or use 'backbearing backup'",
        )
    if notebook.readonly_because not in ("", "it was asked to be"):
        yield Finding(
            grade="remark",
            where="file",
            what=f"it is read only, because {notebook.readonly_because}",
            remedy="make a notebook of your own to write in",
        )


# ---------------------------------------------------------------- geometries


def _geometries(notebook: Notebook) -> Iterator[Finding]:
    for table, (shape, z, m) in FEATURES.items():
        extent = _declared_extent(notebook, table)
        for (row_id,) in notebook.rows(f"SELECT id FROM {table} ORDER BY id"):  # noqa: S608
            (blob,) = notebook.rows(
                f"SELECT geom FROM {table} WHERE id = ?",  # noqa: S608
                (row_id,),
            )[0]
            where = f"{table}, row {row_id}"
            if blob is None and table in UNPLACED:
                continue
            try:
                yield from _geometry(where, blob, shape, bool(z), bool(m), extent)
            except geometry.BadGeometry as error:
                yield Finding(grade="fault", where=where, what=f"it holds {error}", remedy=_EDIT)


def _geometry(
    where: str,
    blob: bytes | None,
    shape: str,
    z: bool,
    m: bool,
    extent: geometry.Envelope | None,
) -> Iterator[Finding]:
    def fault(what: str) -> Finding:
        return Finding(grade="fault", where=where, what=what, remedy=_EDIT)

    if blob is None:
        yield fault("it has no geometry")
        return
    runs = geometry.runs(blob)
    if geometry.srs_id(blob) != geometry.SRS_ID:
        yield fault("its geometry is not in WGS 84 longitude and latitude (requirement 33)")
    wanted = geometry.POINT if shape == "POINT" else geometry.LINE
    if any(run.shape != wanted for run in runs) or (shape == "POINT" and len(runs) != 1):
        yield fault(f"its geometry is no {shape} (requirement 32)")
    if any((run.has_z, run.has_m) != (z, m) for run in runs):
        yield Finding(
            grade="remark",
            where=where,
            what="another program has written its geometry with other dimensions, so its heights "
            "or times are gone",
            remedy=_RESTORE,
        )
    box = geometry.measured_envelope(blob)
    if box is None:
        if shape == "POINT":
            yield fault("its point is empty")
        return
    west, south, east, north = box
    if not (-180 <= west <= east <= 180 and -90 <= south <= north <= 90):
        yield fault("its geometry lies outside the globe")
    if geometry.envelope(blob) != box:
        yield fault("its envelope is not that of its geometry (requirement 19)")
    if extent is not None and not (
        extent[0] <= west and extent[1] <= south and east <= extent[2] and north <= extent[3]
    ):
        yield fault("it lies outside the extent its layer declares (requirement 148)")


def _declared_extent(notebook: Notebook, table: str) -> geometry.Envelope | None:
    rows = notebook.rows(
        "SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = ?", (table,)
    )
    sides = [columns.read_float(side) for side in rows[0]] if rows else [None]
    if any(side is None for side in sides):
        return None
    west, south, east, north = (side or 0.0 for side in sides)
    return west, south, east, north


# ---------------------------------------------------------------- rows


def _names(notebook: Notebook) -> Iterator[Finding]:
    rows = notebook.rows("SELECT id, name FROM subjects ORDER BY id")
    often = Counter(name_key(row["name"]) for row in rows)
    for row in rows:
        key = name_key(row["name"])
        if not key:
            yield Finding(
                grade="fault",
                where=f"subjects, row {row['id']}",
                what="it has no name",
                remedy=_EDIT,
            )
        elif often[key] > 1:
            yield Finding(
                grade="fault",
                where=f"subjects, row {row['id']}",
                what=f"{often[key]} subjects are called {quoted(row['name'])}",
                remedy="rename all but one",
            )
    positions = notebook.rows("SELECT id, subject_id, name FROM camera_positions ORDER BY id")
    pairs = Counter((row["subject_id"], name_key(row["name"])) for row in positions)
    for row in positions:
        if pairs[row["subject_id"], name_key(row["name"])] > 1:
            yield Finding(
                grade="fault",
                where=f"camera_positions, row {row['id']}",
                what=f"its subject has several camera positions called {quoted(row['name'])}",
                remedy="rename all but one",
            )


def _values(notebook: Notebook) -> Iterator[Finding]:
    for table, names in _INSTANTS.items():
        for row in notebook.rows(
            f"SELECT id, {', '.join(names)} FROM {table} ORDER BY id"  # noqa: S608
        ):
            for name in names:
                if row[name] is not None and columns.read_instant(row[name]) is None:
                    yield _unreadable(table, row, name, "a time")
    for row in notebook.rows("SELECT id, uid, state, error_m, facing_deg, wanted FROM subjects"):
        if not row["uid"]:
            yield _unreadable("subjects", row, "uid", "a lasting mark; another program made it")
        if row["state"] not in SUBJECT_STATES:
            yield _unreadable("subjects", row, "state", "one of: " + ", ".join(SUBJECT_STATES))
        if row["wanted"] and columns.read_wanted(row["wanted"]) is None:
            yield _unreadable("subjects", row, "wanted", "a wanted light")
    for table in ("subjects", "camera_positions"):
        for row in notebook.rows(f"SELECT id, error_m FROM {table}"):  # noqa: S608
            error_m = columns.read_float(row["error_m"])
            if error_m is None or error_m < 0:
                yield _unreadable(table, row, "error_m", "a radius in metres")
    for row in notebook.rows(
        "SELECT id, subject_id, bearing_true_deg, left_edge, right_edge, sightings, wanted "
        "FROM camera_positions"
    ):
        if row["subject_id"] is None:
            yield _unreadable("camera_positions", row, "subject_id", "a subject")
        bearing = row["bearing_true_deg"]
        if bearing is not None and not (
            isinstance(bearing, int | float) and math.isfinite(bearing) and 0 <= bearing < 360
        ):
            yield _unreadable("camera_positions", row, "bearing_true_deg", "a bearing 0 … 360")
        for name in ("left_edge", "right_edge"):
            if row[name] and columns.read_bearing_text(row[name]) is None:
                yield _unreadable("camera_positions", row, name, "a bearing")
        if row["sightings"] and not columns.read_sightings(row["sightings"]):
            yield _unreadable("camera_positions", row, "sightings", "bearings")
        if row["wanted"] and columns.read_wanted(row["wanted"]) is None:
            yield _unreadable("camera_positions", row, "wanted", "a wanted light")


def _terrain(notebook: Notebook) -> Iterator[Finding]:
    """Rasters on record that cannot be read, and kept skylines that have to be made anew."""
    readable = {layer.id for layer in list_layers(notebook)}
    for (row_id,) in notebook.rows("SELECT id FROM terrain_layers ORDER BY id"):
        if row_id not in readable:
            yield Finding(
                grade="fault",
                where=f"terrain_layers, row {row_id}",
                what="it describes no raster, so its ground is left out of every skyline",
                remedy="put that raster on record again with 'backbearing terrain add'",
            )
    for row_id, key in notebook.rows("SELECT id, key FROM skylines ORDER BY id"):
        if find_skyline(notebook, key) is None:
            yield Finding(
                grade="remark",
                where=f"skylines, row {row_id}",
                what="it is no skyline any more, and is worked out anew when it is asked for",
                remedy="keep the rasters it came from within reach",
            )


def _unreadable(table: str, row: sqlite3.Row, name: str, expected: str) -> Finding:
    return Finding(
        grade="fault",
        where=f"{table}, row {row['id']}",
        what=f"its {name} is not {expected}",
        remedy=_EDIT,
    )


def _walks(notebook: Notebook) -> Iterator[Finding]:
    for row in notebook.rows(
        "SELECT t.id, t.points, count(s.id) AS segments, coalesce(sum(s.points), 0) AS kept "
        "FROM tracks t LEFT JOIN segments s ON s.track_id = t.id GROUP BY t.id ORDER BY t.id"
    ):
        if row["points"] != row["kept"]:
            yield Finding(
                grade="fault",
                where=f"tracks, row {row['id']}",
                what=f"its {row['segments']} segments hold {row['kept']} fixes, not the "
                f"{row['points']} it was stored with",
                remedy=_RESTORE,
            )
    for (row_id,) in notebook.rows("SELECT id FROM segments ORDER BY id"):
        row = notebook.rows("SELECT id, points, geom FROM segments WHERE id = ?", (row_id,))[0]
        try:
            held = sum(run.length for run in geometry.runs(row["geom"]))
        except geometry.BadGeometry:
            continue  # said by the geometries' step
        if held != row["points"] and (held, row["points"]) != (2, 1):
            yield Finding(
                grade="remark",
                where=f"segments, row {row['id']}",
                what=f"another program has changed its line: {held} fixes, not {row['points']}",
                remedy=_RESTORE,
            )
    for row in notebook.rows("SELECT id FROM segments WHERE track_id IS NULL"):
        yield _unreadable("segments", row, "track_id", "a track")


def _originals(notebook: Notebook) -> Iterator[Finding]:
    import hashlib
    import zlib

    for (row_id,) in notebook.rows("SELECT id FROM originals ORDER BY id"):
        row = notebook.rows("SELECT * FROM originals WHERE id = ?", (row_id,))[0]
        digest, size = hashlib.sha256(), 0
        limit = min(columns.read_int(row["size"]) or 0, LARGEST_ORIGINAL)
        try:
            unpacker = zlib.decompressobj()
            rest = row["content"]
            while rest and size <= limit:  # bounded by the size on record, in pieces
                piece = unpacker.decompress(rest, 1 << 20)
                rest = unpacker.unconsumed_tail
                digest.update(piece)
                size += len(piece)
        except (zlib.error, TypeError):
            size = -1
        if size != row["size"] or digest.hexdigest() != row["sha256"]:
            yield Finding(
                grade="fault",
                where=f"originals, row {row_id}",
                what=f"the kept copy of {quoted(row['file_name'])} is not the file it was",
                remedy="import that file again from where it came, or go back to a backup",
            )


def _bin(notebook: Notebook) -> Iterator[Finding]:
    for row in notebook.rows("SELECT id, bin_id, table_name, row FROM bin_rows ORDER BY id"):
        try:
            good = isinstance(json.loads(row["row"]), dict) and row["table_name"] in OWN_TABLES
        except ValueError:
            good = False
        if not good:
            yield _unreadable("bin_rows", row, "row", "something that can be restored")


_STEPS: tuple[tuple[str, Callable[[Notebook], Iterator[Finding]]], ...] = (
    ("database", _database),
    ("GeoPackage", unmet_requirements),
    ("geometries", _geometries),
    ("names", _names),
    ("values", _values),
    ("walks", _walks),
    ("terrain", _terrain),
    ("surroundings, passages, kit", unsound_rows),
    ("originals", _originals),
    ("bin", _bin),
    ("keeping", _keeping),
)
