"""Rows that have a place: how it is written and read, and how such rows are added and changed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backbearing.errors import NotFound
from backbearing.notebook import columns, geometry
from backbearing.records import POSITION_ERROR_M, Place

if TYPE_CHECKING:
    import sqlite3

    from backbearing.notebook.connection import Notebook


def place_values(place: Place) -> dict[str, Any]:
    """A place as values of the columns that a row with a place has."""
    return {
        "geom": geometry.point_blob(place.longitude_deg, place.latitude_deg, place.height_m),
        "error_m": place.error_m,
        "error_basis": columns.storable(place.error_basis),
        "place_source": columns.storable(place.source),
    }


def read_place(row: sqlite3.Row) -> Place | None:
    """The place of a row; None where a GIS has lost it."""
    try:
        longitude_deg, latitude_deg, height_m = geometry.read_point(row["geom"])
    except geometry.BadGeometry:
        return None  # `check` reports it
    error_m, basis = columns.read_float(row["error_m"]), row["error_basis"]
    if error_m is None or error_m < 0:
        error_m, basis = POSITION_ERROR_M["memory"], "assumed: pin from memory"
    return Place(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        height_m=height_m,
        error_m=error_m,
        error_basis=columns.read_text(basis, "given"),
        source=columns.read_text(row["place_source"]),
    )


def insert_row(notebook: Notebook, table: str, values: dict[str, Any]) -> int:
    """Add a row with a geometry (`geom` among its values, or None); its id."""
    names = ", ".join(values)
    marks = ", ".join("?" * len(values))
    notebook.changed(table, values.get("geom"))
    return notebook.run(
        f"INSERT INTO {table} ({names}) VALUES ({marks})",  # noqa: S608
        tuple(values.values()),
    )


def update_row(notebook: Notebook, table: str, row_id: int | None, values: dict[str, Any]) -> None:
    """Write values over those of a row. Raises NotFound where there is none."""
    if not notebook.rows(f"SELECT 1 FROM {table} WHERE id = ?", (row_id,)):  # noqa: S608
        what = table.replace("_", " ").removesuffix("s")
        raise NotFound(f"there is no {what} number {row_id} on record")
    sets = ", ".join(f"{name} = ?" for name in values)
    notebook.changed(table)
    notebook.run(
        f"UPDATE {table} SET {sets} WHERE id = ?",  # noqa: S608
        (*values.values(), row_id),
    )
