"""Edges measured by hand, and trees: what stands around subjects besides the ground on record."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from backbearing.errors import NotFound
from backbearing.notebook import columns, geometry
from backbearing.notebook.placed import insert_row
from backbearing.records import EdgeReading, Place, Trees

if TYPE_CHECKING:
    import sqlite3

    from backbearing.notebook.connection import Notebook

UNKNOWN_ALTITUDE_ERROR_DEG = 2.0  # where a GIS left it out


def add_reading(notebook: Notebook, reading: EdgeReading, at: Place) -> EdgeReading:
    """Put a reading of a subject's skyline on record, with where it was taken; with its id.

    Raises NotFound where there is no such subject.
    """
    _need_subject(notebook, reading.subject_id)
    azimuth = reading.azimuth
    reading_id = insert_row(
        notebook,
        "edge_readings",
        {
            "geom": geometry.point_blob(at.longitude_deg, at.latitude_deg, at.height_m),
            "subject_id": reading.subject_id,
            "azimuth_true_deg": azimuth.true_deg,
            "azimuth_error_deg": azimuth.error_deg,
            "azimuth_as_written": columns.storable(azimuth.as_written),
            "azimuth_declination_deg": azimuth.declination_deg,
            "azimuth_basis": columns.storable(azimuth.basis),
            "altitude_deg": reading.altitude_deg,
            "altitude_error_deg": reading.altitude_error_deg,
            "effect": reading.effect,
            "note": columns.storable(reading.note),
            "taken_at": columns.optional_instant_text(reading.taken_at),
        },
    )
    return dataclasses.replace(reading, id=reading_id)


def list_readings(notebook: Notebook, subject_id: int | None = None) -> list[EdgeReading]:
    """The readings on record by azimuth, of one subject or of all; broken ones are left out."""
    if subject_id is None:
        rows = notebook.rows("SELECT * FROM edge_readings")
    else:
        rows = notebook.rows("SELECT * FROM edge_readings WHERE subject_id = ?", (subject_id,))
    found = [reading for row in rows if (reading := _reading(row)) is not None]
    return sorted(found, key=lambda one: (one.azimuth.true_deg, one.id or 0))


def set_trees(notebook: Notebook, subject_id: int | None, trees: Trees | None) -> None:
    """Put the trees around a subject on record in place of what was there; None: there are none.

    Raises NotFound where there is no such subject.
    """
    _need_subject(notebook, subject_id)
    notebook.run("DELETE FROM trees WHERE subject_id = ?", (subject_id,))
    notebook.changed("trees")
    if trees is not None:
        notebook.run(
            "INSERT INTO trees (subject_id, tall_m, beyond_m, leaf_months, evergreen, note) "
            "VALUES (?, ?, ?, ?, ?, ?)",
            (
                subject_id,
                trees.tall_m,
                trees.beyond_m,
                ",".join(str(month) for month in trees.leaf_months),
                int(trees.evergreen),
                columns.storable(trees.note),
            ),
        )


def list_trees(notebook: Notebook, subject_id: int | None = None) -> list[Trees]:
    """The canopies on record, of one subject or of all; broken ones are left out."""
    if subject_id is None:
        rows = notebook.rows("SELECT * FROM trees ORDER BY id")
    else:
        rows = notebook.rows("SELECT * FROM trees WHERE subject_id = ? ORDER BY id", (subject_id,))
    return [trees for row in rows if (trees := _trees(row)) is not None]


def _reading(row: sqlite3.Row) -> EdgeReading | None:
    azimuth = columns.bearing_from({key: row[f"azimuth_{key}"] for key in columns.BEARING_FIELDS})
    altitude_deg = columns.read_float(row["altitude_deg"])
    if azimuth is None or altitude_deg is None or not -90.0 <= altitude_deg <= 90.0:
        return None
    error_deg = columns.read_float(row["altitude_error_deg"])
    return EdgeReading(
        azimuth=azimuth,
        altitude_deg=altitude_deg,
        altitude_error_deg=(
            UNKNOWN_ALTITUDE_ERROR_DEG if error_deg is None or error_deg < 0 else error_deg
        ),
        effect="replaces" if row["effect"] == "replaces" else "raises",
        note=columns.read_text(row["note"]),
        taken_at=columns.read_instant(row["taken_at"]),
        id=row["id"],
        subject_id=columns.read_int(row["subject_id"]),
    )


def _trees(row: sqlite3.Row) -> Trees | None:
    tall_m, beyond_m = columns.read_float(row["tall_m"]), columns.read_float(row["beyond_m"])
    if tall_m is None or beyond_m is None or tall_m <= 0.0 or beyond_m < 0.0:
        return None
    months = columns.read_text(row["leaf_months"]).split(",")
    return Trees(
        tall_m=tall_m,
        beyond_m=beyond_m,
        leaf_months=tuple(
            sorted({int(m) for m in months if m.strip().isdecimal() and 1 <= int(m) <= 12})
        ),
        evergreen=bool(columns.read_int(row["evergreen"])),
        note=columns.read_text(row["note"]),
        id=row["id"],
        subject_id=columns.read_int(row["subject_id"]),
    )


def _need_subject(notebook: Notebook, subject_id: int | None) -> None:
    if not notebook.rows("SELECT 1 FROM subjects WHERE id = ?", (subject_id,)):
        raise NotFound(f"there is no subject number {subject_id} on record")
