"""The notebook's schema as ordered named migrations, each recorded in its own transaction's table.

GeoPackage owns `user_version`, so the schema's version is the highest number in the table
`backbearing_schema`. A released migration is never edited: a new one is added after it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime

from backbearing.notebook.columns import instant_text
from backbearing.notebook.tables import (
    APPLICATION_ID,
    DESCRIPTIONS,
    EXTENSION,
    FIRST_ATTRIBUTES,
    FIRST_FEATURES,
    FIRST_HIDDEN,
    GEOPACKAGE,
    KIT,
    LINE_FEATURES,
    LINES,
    LINES_OF_LOOKS,
    PHOTO_FEATURES,
    PHOTOS,
    POSITION_WISHES,
    READING_FEATURES,
    READINGS,
    SCHEMA_TABLE,
    SEARCH,
    TABLES,
    TERRAIN,
    TERRAIN_HIDDEN,
    USER_VERSION,
    WAYS_OF_LOOKING,
    WGS84,
    ZONE_HIDDEN,
    Shape,
)


def _statements(script: str) -> list[str]:
    """Split a script at the semicolons that end a statement (a trigger's body holds others)."""
    found, pending = [], ""
    for line in script.strip().splitlines(keepends=True):
        pending += line
        if sqlite3.complete_statement(pending):
            found.append(pending.strip().rstrip(";"))
            pending = ""
    if pending.strip():
        found.append(pending.strip())
    return found


def _first_tables(connection: sqlite3.Connection) -> None:
    for statement in _statements(GEOPACKAGE):
        connection.execute(statement)
    connection.executemany(
        "INSERT INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, ?, ?)",
        [
            ("Undefined Cartesian SRS", -1, "NONE", -1, "undefined", "any plane coordinates"),
            ("Undefined geographic SRS", 0, "NONE", 0, "undefined", "any geographic coordinates"),
            ("WGS 84 geodetic", 4326, "EPSG", 4326, WGS84, "longitude and latitude in degrees"),
        ],
    )
    for statement in _statements(TABLES):
        connection.execute(statement)
    _list_for_a_gis(connection, FIRST_ATTRIBUTES, FIRST_FEATURES)
    _register(connection, FIRST_HIDDEN)


def _terrain(connection: sqlite3.Connection) -> None:
    for statement in _statements(TERRAIN):
        connection.execute(statement)
    _register(connection, TERRAIN_HIDDEN)


def _readings(connection: sqlite3.Connection) -> None:
    for statement in _statements(READINGS):
        connection.execute(statement)
    _list_for_a_gis(connection, ("trees",), READING_FEATURES)


def _lines(connection: sqlite3.Connection) -> None:
    for statement in _statements(LINES):
        connection.execute(statement)
    _list_for_a_gis(connection, ("passage_reports",), LINE_FEATURES)


def _kit(connection: sqlite3.Connection) -> None:
    for statement in _statements(KIT):
        connection.execute(statement)
    _list_for_a_gis(connection, ("kit", "plates"), {})


def _position_wishes(connection: sqlite3.Connection) -> None:
    connection.execute(POSITION_WISHES)


def _list_for_a_gis(
    connection: sqlite3.Connection, attributes: Sequence[str], features: Mapping[str, Shape]
) -> None:
    """Name tables in the standard's own, so that a GIS shows them."""
    for table in attributes:
        connection.execute(
            "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, srs_id) "
            "VALUES (?, 'attributes', ?, ?, 0)",
            (table, table.replace("_", " "), DESCRIPTIONS[table]),
        )
    for table, (shape, z, m) in features.items():
        connection.execute(
            "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, srs_id) "
            "VALUES (?, 'features', ?, ?, 4326)",
            (table, table.replace("_", " "), DESCRIPTIONS[table]),
        )
        connection.execute(
            "INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', ?, 4326, ?, ?)",
            (table, shape, z, m),
        )


def _register(connection: sqlite3.Connection, tables: Sequence[str]) -> None:
    """Name tables of our own as the standard asks, so that a GIS leaves them alone."""
    connection.executemany(
        "INSERT INTO gpkg_extensions VALUES (?, NULL, ?, ?, 'write-only')",
        [
            (table, EXTENSION, "Tables of the notebook's own, described in its DEVELOPERS.md")
            for table in tables
        ],
    )


def _zones(connection: sqlite3.Connection) -> None:
    connection.execute(
        "CREATE TABLE zones (latitude_deg DOUBLE NOT NULL, longitude_deg DOUBLE NOT NULL, "
        "zone TEXT NOT NULL, PRIMARY KEY (latitude_deg, longitude_deg))"
    )
    _register(connection, ZONE_HIDDEN)


def _search(connection: sqlite3.Connection) -> None:
    for statement in _statements(SEARCH):
        connection.execute(statement)
    _list_for_a_gis(connection, ("clues", "looks"), {})


def _photos(connection: sqlite3.Connection) -> None:
    for statement in _statements(PHOTOS):
        connection.execute(statement)
    _list_for_a_gis(connection, (), PHOTO_FEATURES)


def _ways_of_looking(connection: sqlite3.Connection) -> None:
    for statement in _statements(WAYS_OF_LOOKING):
        connection.execute(statement)


def _lines_of_looks(connection: sqlite3.Connection) -> None:
    for statement in _statements(LINES_OF_LOOKS):
        connection.execute(statement)


Migration = tuple[str, Callable[[sqlite3.Connection], None]]
MIGRATIONS: list[Migration] = [
    ("0001 tracks, subjects, notes, bin", _first_tables),
    ("0002 terrain and skylines", _terrain),
    ("0003 edges measured by hand, trees, places at the water", _readings),
    ("0004 lines, passages and their reports", _lines),
    ("0005 kit and plates", _kit),
    ("0006 light wanted at a camera position", _position_wishes),
    ("0007 zones looked up", _zones),
    ("0008 clues and looks", _search),
    ("0009 photos", _photos),
    ("0010 ranges of sight by ground, looks ahead only", _ways_of_looking),
    ("0011 lines of looks, places before a find", _lines_of_looks),
]


def schema_version(connection: sqlite3.Connection) -> int | None:
    """How many migrations a file has seen; None where it is no notebook of ours."""
    known = connection.execute(
        "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?", (SCHEMA_TABLE,)
    ).fetchone()
    if known is None:
        return None
    (version,) = connection.execute(f"SELECT max(version) FROM {SCHEMA_TABLE}").fetchone()  # noqa: S608
    return version if isinstance(version, int) else None


def migrate(connection: sqlite3.Connection) -> list[str]:
    """Bring a file up to this program's schema, all of it or none; the names of the steps taken.

    The version is read again inside the transaction, so two programs never take a step twice.
    """
    taken = []
    connection.execute("BEGIN IMMEDIATE")
    try:
        connection.execute(
            f"CREATE TABLE IF NOT EXISTS {SCHEMA_TABLE} "
            "(version INTEGER PRIMARY KEY, name TEXT NOT NULL, applied_at DATETIME NOT NULL)"
        )
        done = schema_version(connection) or 0
        for version, (name, step) in enumerate(MIGRATIONS[done:], start=done + 1):
            step(connection)
            connection.execute(
                f"INSERT INTO {SCHEMA_TABLE} VALUES (?, ?, ?)",  # noqa: S608
                (version, name, instant_text(datetime.now(UTC))),
            )
            taken.append(name)
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {USER_VERSION}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
    return taken
