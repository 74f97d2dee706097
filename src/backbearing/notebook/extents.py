"""gpkg_contents kept up to date: each changed layer's extent and time of last change.

What is added only widens an extent. A layer is measured anew where something was moved or
taken away, and then only the first bytes of each line are read: an SQL function would have
SQLite load every fix on record.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable

from backbearing.notebook.geometry import BadGeometry, Envelope, envelope
from backbearing.notebook.tables import FEATURES

_ENOUGH = 72  # header and the largest envelope, or a whole point


class Changes:
    """Which layers a transaction has changed, and how far its additions reach."""

    def __init__(self) -> None:
        self._reach: dict[str, Envelope | None] = {}
        self._to_measure: set[str] = set()

    def note(self, table: str, added: bytes | None) -> None:
        """A change of a layer: the geometry put in, or None for any other change."""
        self._reach.setdefault(table, None)
        try:
            if added is not None:
                self._reach[table] = _union([self._reach[table], envelope(added)])
                return
        except BadGeometry:
            pass  # brought back from the bin as another program had left it
        self._to_measure.add(table)

    def apply(self, connection: sqlite3.Connection) -> None:
        """Bring gpkg_contents up to date, inside the transaction that made the changes."""
        for table, reach in sorted(self._reach.items()):
            box = None
            if table in FEATURES:
                declared = _declared(connection, table)
                if table in self._to_measure or declared is None:
                    box = _measured(connection, table)
                else:
                    box = _union([declared, reach])
            connection.execute(
                "UPDATE gpkg_contents SET min_x = ?, min_y = ?, max_x = ?, max_y = ?, "
                "last_change = strftime('%Y-%m-%dT%H:%M:%fZ', 'now') WHERE table_name = ?",
                (*(box or (None,) * 4), table),
            )


def _declared(connection: sqlite3.Connection, table: str) -> Envelope | None:
    row = connection.execute(
        "SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = ?", (table,)
    ).fetchone()
    if row is None or not all(isinstance(side, float) for side in row):
        return None
    west, south, east, north = row
    return west, south, east, north


def _measured(connection: sqlite3.Connection, table: str) -> Envelope | None:
    """West, south, east and north [deg] of a layer; None where it holds no geometry."""
    boxes = []
    for (row_id,) in connection.execute(
        f"SELECT id FROM {table} WHERE typeof(geom) = 'blob'"  # noqa: S608
    ).fetchall():
        with connection.blobopen(table, "geom", row_id, readonly=True) as blob:
            try:
                try:
                    boxes.append(envelope(blob.read(_ENOUGH)))
                except BadGeometry:
                    # a line that another program wrote without an envelope: read all of it
                    blob.seek(0)
                    boxes.append(envelope(blob.read()))
            except BadGeometry:
                continue  # `check` reports it
    return _union(boxes)


def _union(boxes: Iterable[Envelope | None]) -> Envelope | None:
    known = [box for box in boxes if box is not None]
    if not known:
        return None
    west, south, east, north = zip(*known, strict=True)
    return min(west), min(south), max(east), max(north)
