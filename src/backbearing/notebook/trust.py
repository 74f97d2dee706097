"""Whether a notebook is ours to write, told from its owner and from what its schema holds.

Rows are data; triggers, views, generated columns, checks and indexes on expressions are code
that a file brings along and that would run when it is used. Only two makers of code are known:
this program, and a GIS that adds a spatial index or counts a layer's features.
"""

from __future__ import annotations

import functools
import os
import re
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from backbearing.errors import BadFile, quoted
from backbearing.notebook import schema, tables

_STANDARD_TABLES = frozenset(
    (
        "gpkg_spatial_ref_sys",
        "gpkg_contents",
        "gpkg_geometry_columns",
        "gpkg_extensions",
    )
)
_PLAIN_INDEX = re.compile(
    r'create\s+(unique\s+)?index\s+["\w]+\s+on\s+["\w]+\s*\(\s*["\w]+(\s*,\s*["\w]+)*\s*\)\s*',
    re.IGNORECASE,
)
# all that the triggers of the standard's spatial index and a GIS's feature count consist of
_TRIGGER_WORDS = frozenset(
    re.findall(
        r"\w+",
        """create trigger after insert update delete of on begin end when not notnull isnull is
        null and or in replace ignore into values from where set new old st_isempty st_minx st_maxx
        st_miny st_maxy id minx maxx miny maxy geom gpkg_ogr_contents feature_count lower
        table_name rowid coalesce""",
    )
)
_TARGET = re.compile(
    r'(?:insert(?:\s+or\s+\w+)?\s+into|update(?:\s+or\s+\w+)?|delete\s+from)\s+"?(\w+)"?',
    re.IGNORECASE,
)


def not_ours(path: Path) -> str:
    """Why the file itself is not ours to write, as a clause; '' where it is ours."""
    if hasattr(os, "geteuid"):
        user = os.geteuid()
        if user != 0 and path.stat().st_uid != user:
            return "it belongs to another user"
    if not os.access(path, os.W_OK):
        return "the file may not be written"
    return ""


def refuse_odd_tables(path: Path, connection: sqlite3.Connection, *, current: bool) -> None:
    """Each table that is read must be a plain table: a view or virtual table would run code.

    current: whether the file has this program's schema, so that no table may be missing.
    Raises BadFile.
    """
    plain: set[str] = set()
    odd: set[str] = set()
    for kind, name, sql in connection.execute(
        "SELECT type, lower(name), sql FROM sqlite_master WHERE type IN ('table', 'view')"
    ):
        ordinary = kind == "table" and isinstance(sql, str) and not _runs_when_read(sql)
        (plain if ordinary else odd).add(name)
    expected = tables.OWN_TABLES | _STANDARD_TABLES
    wrong = (expected - plain) if current else (expected & odd)
    if wrong:
        raise BadFile(
            f"the table {quoted(min(wrong))} is missing or is no plain table, so this is not "
            "a whole notebook",
            path=path,
            remedy="go back to a backup",
        )


def foreign_code(connection: sqlite3.Connection) -> str:
    """What in the schema neither this program nor a GIS's index put there, as a clause; or ''."""
    for kind, name in _foreign(connection):
        return f"its {kind} {quoted(name)} was put there by neither Backbearing nor a spatial index"
    return ""


def drop_foreign_code(connection: sqlite3.Connection) -> list[str]:
    """Drop from a copy what code a stranger brought along, and say what it was.

    Triggers and indexes go; code that is part of a table stays (see `foreign_code`).
    """
    dropped = []
    for kind, name in list(_foreign(connection)):
        if kind in ("trigger", "index"):
            connection.execute(f"DROP {kind} {_as_name(name)}")
            dropped.append(f"the {kind} {quoted(name)}")
    return dropped


def _foreign(connection: sqlite3.Connection) -> Iterator[tuple[str, str]]:
    own = _own_statements()
    # what is written to: our own tables, and what an index's triggers write to in their turn
    indexes = {f"rtree_{table}_geom" for table in tables.FEATURES}
    watched = tables.OWN_TABLES | _STANDARD_TABLES | indexes | {"gpkg_ogr_contents"}
    for kind, name, table, sql in connection.execute(
        "SELECT type, name, lower(tbl_name), sql FROM sqlite_master"
    ):
        if table not in watched or not isinstance(sql, str) or _squeezed(sql) in own:
            continue
        if kind == "table" and not _runs_when_written(sql):
            continue  # a GIS added a column
        if kind == "index" and _PLAIN_INDEX.fullmatch(sql):
            continue
        if kind == "trigger" and _known_trigger(sql, name, table):
            continue
        yield kind, name


def _as_name(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


def _runs_when_read(sql: str) -> bool:
    """Whether a table's statement makes it a virtual one or gives it generated columns."""
    words = re.findall(r"\w+", _without_strings(sql).lower())
    return "virtual" in words or "generated" in words or "as" in words


def _runs_when_written(sql: str) -> bool:
    text = _without_strings(sql).lower()
    return bool(re.search(r"\bcheck\b|\bdefault\s*\(", text))


def _known_trigger(sql: str, name: str, table: str) -> bool:
    if table not in tables.OWN_TABLES:
        return False
    text = _without_strings(sql)
    index = f"rtree_{table}_geom"
    body = re.split(r"\bbegin\b", text, maxsplit=1, flags=re.IGNORECASE)[-1]
    targets = {target.lower() for target in _TARGET.findall(body)}
    if not targets or not targets <= {index, "gpkg_ogr_contents"}:
        return False
    words = {w.lower() for w in re.findall(r"[A-Za-z_]\w*", text)}
    return words <= _TRIGGER_WORDS | {index, table, name.lower()}


def _without_strings(sql: str) -> str:
    return re.sub(r"'(?:[^']|'')*'", "''", sql)


def _squeezed(sql: str) -> str:
    return " ".join(sql.split())


@functools.cache
def _own_statements() -> frozenset[str]:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    try:
        schema.migrate(connection)
        rows = connection.execute("SELECT sql FROM sqlite_master WHERE sql NOT NULL").fetchall()
    finally:
        connection.close()
    return frozenset(_squeezed(sql) for (sql,) in rows)
