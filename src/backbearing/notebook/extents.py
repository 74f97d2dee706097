"""gpkg_contents kept up to date: each changed layer's extent and time of last change."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable

from backbearing.notebook.geometry import BadGeometry, Envelope, envelope
from backbearing.notebook.schema import ATTRIBUTES, FEATURES

_ENOUGH = 72  # header and the largest envelope, or a whole point


def refresh_contents(connection: sqlite3.Connection, tables: Iterable[str]) -> None:
    """Bring the rows of these layers up to date, inside the transaction that changed them."""
    for table in sorted(tables):
        box = layer_extent(connection, table) if table in FEATURES else None
        if table in FEATURES or table in ATTRIBUTES:
            connection.execute(
                "UPDATE gpkg_contents SET min_x = ?, min_y = ?, max_x = ?, max_y = ?, "
                "last_change = strftime('%Y-%m-%dT%H:%M:%fZ', 'now') WHERE table_name = ?",
                (*(box or (None,) * 4), table),
            )


def layer_extent(connection: sqlite3.Connection, table: str) -> Envelope | None:
    """West, south, east and north [deg] of a layer; None where it holds no geometry."""
    boxes = []
    for row_id, head in connection.execute(
        f"SELECT id, substr(geom, 1, {_ENOUGH}) FROM {table} WHERE geom IS NOT NULL"  # noqa: S608
    ):
        try:
            try:
                box = envelope(head)
            except BadGeometry:
                # a line that a GIS wrote without an envelope: read all of it
                (whole,) = connection.execute(
                    f"SELECT geom FROM {table} WHERE id = ?",  # noqa: S608
                    (row_id,),
                ).fetchone()
                box = envelope(whole)
        except BadGeometry:
            continue  # `check` reports it
        if box is not None:
            boxes.append(box)
    if not boxes:
        return None
    west, south, east, north = zip(*boxes, strict=True)
    return min(west), min(south), max(east), max(north)
