"""Plates on record, from loading to the finished negative."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any, cast

from backbearing.errors import NotFound
from backbearing.notebook import columns
from backbearing.records import PLATE_STATES, Plate, PlateState

if TYPE_CHECKING:
    import sqlite3

    from backbearing.notebook.connection import Notebook
    from backbearing.records import Development, Highlights, Shadows

SHADOWS = ("empty", "thin", "full")
HIGHLIGHTS = ("open", "blocked")
DEVELOPMENTS = ("pulled", "normal", "forced")


def add_plate(notebook: Notebook, plate: Plate) -> Plate:
    """Put a plate on record; the same with its id."""
    values = _values(plate)
    names, marks = ", ".join(values), ", ".join("?" * len(values))
    notebook.changed("plates")
    plate_id = notebook.run(
        f"INSERT INTO plates ({names}) VALUES ({marks})",  # noqa: S608
        tuple(values.values()),
    )
    return dataclasses.replace(plate, id=plate_id)


def update_plate(notebook: Notebook, plate: Plate) -> None:
    """Write a plate over the one on record; its id says which. Raises NotFound."""
    if not notebook.rows("SELECT 1 FROM plates WHERE id = ?", (plate.id,)):
        raise NotFound(f"there is no plate number {plate.id} on record")
    values = _values(plate)
    notebook.changed("plates")
    notebook.run(
        f"UPDATE plates SET {', '.join(f'{name} = ?' for name in values)} WHERE id = ?",  # noqa: S608
        (*values.values(), plate.id),
    )


def list_plates(notebook: Notebook, subject_id: int | None = None) -> list[Plate]:
    """The plates on record in the order they were loaded, of one subject or all."""
    if subject_id is None:
        return [_plate(row) for row in notebook.rows("SELECT * FROM plates ORDER BY id")]
    return [
        _plate(row)
        for row in notebook.rows(
            "SELECT * FROM plates WHERE subject_id = ? ORDER BY id", (subject_id,)
        )
    ]


def _values(plate: Plate) -> dict[str, Any]:
    return {
        "holder": columns.storable(plate.holder),
        "side": columns.storable(plate.side),
        "batch": columns.storable(plate.batch),
        "state": plate.state,
        "loaded_at": columns.optional_instant_text(plate.loaded_at),
        "subject_id": plate.subject_id,
        "exposed_at": columns.optional_instant_text(plate.exposed_at),
        "exposure_s": plate.exposure_s,
        "f_number": plate.f_number,
        "focus_mark": columns.storable(plate.focus_mark),
        "distance_m": plate.distance_m,
        "developed_at": columns.optional_instant_text(plate.developed_at),
        "shadows": plate.shadows,
        "highlights": plate.highlights,
        "development": plate.development,
        "note": columns.storable(plate.note),
    }


def _plate(row: sqlite3.Row) -> Plate:
    state = row["state"] if row["state"] in PLATE_STATES else "loaded"
    return Plate(
        holder=columns.read_text(row["holder"]),
        side=columns.read_text(row["side"]),
        batch=columns.read_text(row["batch"]),
        state=cast("PlateState", state),
        loaded_at=columns.read_instant(row["loaded_at"]),
        subject_id=columns.read_int(row["subject_id"]),
        exposed_at=columns.read_instant(row["exposed_at"]),
        exposure_s=_above_zero(row["exposure_s"]),
        f_number=_above_zero(row["f_number"]),
        focus_mark=columns.read_text(row["focus_mark"]),
        distance_m=_above_zero(row["distance_m"]),
        developed_at=columns.read_instant(row["developed_at"]),
        shadows=cast("Shadows", row["shadows"] if row["shadows"] in SHADOWS else ""),
        highlights=cast("Highlights", row["highlights"] if row["highlights"] in HIGHLIGHTS else ""),
        development=cast(
            "Development", row["development"] if row["development"] in DEVELOPMENTS else ""
        ),
        note=columns.read_text(row["note"]),
        id=row["id"],
    )


def _above_zero(value: object) -> float | None:
    number = columns.read_float(value)
    return number if number is not None and number > 0.0 else None
