"""The functions that a spatial index added by a GIS calls from its triggers.

OGC 12-128r18, annex F.3 (RTree spatial indexes): ST_IsEmpty, ST_MinX, ST_MaxX, ST_MinY,
ST_MaxY. Without them every write to an indexed table would fail with 'no such function'.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

from backbearing.notebook.geometry import BadGeometry, envelope


def register(connection: sqlite3.Connection) -> None:
    """Make the five functions known on a connection."""
    connection.create_function("ST_IsEmpty", 1, _is_empty, deterministic=True)
    for name, side in (("ST_MinX", 0), ("ST_MinY", 1), ("ST_MaxX", 2), ("ST_MaxY", 3)):
        connection.create_function(name, 1, _side(side), deterministic=True)


def _is_empty(blob: object) -> int | None:
    if not isinstance(blob, bytes):
        return None
    try:
        return int(envelope(blob) is None)
    except BadGeometry:
        return 1  # what cannot be read has no place in an index


def _side(side: int) -> Callable[[object], float | None]:
    def value(blob: object) -> float | None:
        if not isinstance(blob, bytes):
            return None
        try:
            box = envelope(blob)
        except BadGeometry:
            return None
        return None if box is None else box[side]

    return value
