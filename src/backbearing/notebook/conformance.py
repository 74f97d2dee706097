"""What OGC 12-128 (GeoPackage) requires of the file, asked of it requirement by requirement.

The numbers are those of the standard's text; the SQLite-level ones (1, 6, 7) and the blobs'
(19, 32, 33, 148) are asked in `integrity`, row by row.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from backbearing.errors import quoted
from backbearing.notebook.tables import APPLICATION_ID, EXTENSION, FEATURES, HIDDEN
from backbearing.records import Finding

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.notebook.connection import Notebook

_BASIC = ("POINT", "LINESTRING", "POLYGON")
_SHAPES = frozenset(
    ("GEOMETRY", "GEOMETRYCOLLECTION", *_BASIC, *(f"MULTI{shape}" for shape in _BASIC))
)
_TYPES = re.compile(
    r"BOOLEAN|TINYINT|SMALLINT|MEDIUMINT|INT|INTEGER|FLOAT|DOUBLE|REAL|"
    r"TEXT(\(\d+\))?|BLOB(\(\d+\))?|DATE|DATETIME"
)
_LAST_CHANGE = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d+Z")
_REMEDY = "mend it in a GIS, or go back to a backup"


def unmet_requirements(notebook: Notebook) -> Iterator[Finding]:
    """Each requirement of the standard that the file does not meet."""
    yield from _header(notebook)
    yield from _reference_systems(notebook)
    yield from _contents(notebook)
    yield from _geometry_columns(notebook)
    yield from _extensions(notebook)


def _unmet(number: int, what: str, *, grade: str = "fault") -> Finding:
    return Finding(
        grade="remark" if grade == "remark" else "fault",
        where=f"GeoPackage, requirement {number}",
        what=what,
        remedy=_REMEDY,
    )


def _header(notebook: Notebook) -> Iterator[Finding]:
    (application_id,) = notebook.rows("PRAGMA application_id")[0]
    (user_version,) = notebook.rows("PRAGMA user_version")[0]
    if application_id != APPLICATION_ID:
        yield _unmet(2, "the file does not say that it is a GeoPackage")
    if not 10200 <= user_version < 20000:
        yield _unmet(2, f"the file names GeoPackage version {user_version}, which there is not")
    if notebook.path.suffix != ".gpkg":
        yield Finding(
            grade="remark",
            where="GeoPackage, requirement 3",
            what="the file's name does not end in .gpkg, so other programs may not know it",
            remedy="give it a name that does",
        )


def _reference_systems(notebook: Notebook) -> Iterator[Finding]:
    rows = {
        row["srs_id"]: (str(row["organization"]).upper(), row["organization_coordsys_id"])
        for row in notebook.rows("SELECT * FROM gpkg_spatial_ref_sys")
    }
    for srs_id, expected in ((4326, ("EPSG", 4326)), (-1, ("NONE", -1)), (0, ("NONE", 0))):
        if rows.get(srs_id) != expected:
            yield _unmet(11, f"reference system {srs_id} is missing or is not what it should be")


def _contents(notebook: Notebook) -> Iterator[Finding]:
    tables = _tables(notebook)
    known = {row["srs_id"] for row in notebook.rows("SELECT srs_id FROM gpkg_spatial_ref_sys")}
    listed = {}
    for row in notebook.rows("SELECT * FROM gpkg_contents"):
        name = row["table_name"]
        listed[name] = row["data_type"]
        if name not in tables:
            yield _unmet(14, f"the contents list {quoted(name)}, which is no table")
            continue
        if not _LAST_CHANGE.fullmatch(str(row["last_change"])):
            yield _unmet(15, f"the time of last change of {quoted(name)} is no such time")
        if row["srs_id"] is not None and row["srs_id"] not in known:
            yield _unmet(12, f"{quoted(name)} is in a reference system that is not described")
        shapes = _SHAPES if row["data_type"] == "features" else frozenset()
        for column in notebook.rows(f"PRAGMA table_info({_identifier(name)})"):
            kind = str(column["type"]).upper()
            if not _TYPES.fullmatch(kind) and kind not in shapes:
                yield _unmet(
                    5,
                    f"column {quoted(column['name'])} of {quoted(name)} is of type {quoted(kind)}",
                )
    for name in FEATURES:
        if listed.get(name) != "features":
            yield _unmet(18, f"the contents do not list {quoted(name)} as features")
    for name in ("tracks", "notes"):
        if listed.get(name) != "attributes":
            yield _unmet(118, f"the contents do not list {quoted(name)} as attributes")


def _geometry_columns(notebook: Notebook) -> Iterator[Finding]:
    rows = {row["table_name"]: row for row in notebook.rows("SELECT * FROM gpkg_geometry_columns")}
    for name, (shape, z, m) in FEATURES.items():
        row = rows.get(name)
        if row is None:
            yield _unmet(22, f"{quoted(name)} has no row in the geometry columns")
            continue
        columns = {c["name"]: c for c in notebook.rows(f"PRAGMA table_info({name})")}
        if row["column_name"] not in columns:
            yield _unmet(24, f"{quoted(name)} has no column {quoted(row['column_name'])}")
        elif str(columns[row["column_name"]]["type"]).upper() != row["geometry_type_name"]:
            yield _unmet(31, f"the geometry of {quoted(name)} is declared as two types")
        if not any(c["pk"] and c["type"].upper() == "INTEGER" for c in columns.values()):
            yield _unmet(29, f"{quoted(name)} has no integer primary key")
        if sum(str(c["type"]).upper() in _SHAPES for c in columns.values()) != 1:
            yield _unmet(30, f"{quoted(name)} has more than one geometry")
        if row["geometry_type_name"] not in _SHAPES:
            yield _unmet(25, f"the geometry of {quoted(name)} is of an unknown type")
        if row["srs_id"] != 4326:
            yield _unmet(26, f"{quoted(name)} is not in WGS 84 longitude and latitude")
        if row["z"] not in (0, 1, 2) or row["m"] not in (0, 1, 2):
            yield _unmet(27, f"{quoted(name)} does not say whether it has heights and measures")
        elif (row["geometry_type_name"], row["z"], row["m"]) != (shape, z, m):
            yield _unmet(32, f"{quoted(name)} is declared as something else than it was made as")


def _extensions(notebook: Notebook) -> Iterator[Finding]:
    tables = _tables(notebook)
    registered = set()
    for row in notebook.rows("SELECT * FROM gpkg_extensions"):
        name = row["table_name"]
        if name is not None and name not in tables:
            yield _unmet(60, f"an extension is registered for {quoted(name)}, which is no table")
        if name is None and row["column_name"] is not None:
            yield _unmet(60, "an extension is registered for a column of no table")
        if not re.fullmatch(r"[a-zA-Z0-9]+_[a-zA-Z0-9_]+", str(row["extension_name"])):
            yield _unmet(62, f"an extension is called {quoted(row['extension_name'])}")
        if row["scope"] not in ("read-write", "write-only"):
            yield _unmet(64, f"an extension has the scope {quoted(row['scope'])}")
        if row["extension_name"] == EXTENSION:
            registered.add(name)
    for name in sorted(set(HIDDEN) - registered):
        yield _unmet(59, f"the notebook's own table {quoted(name)} is not registered")


def _tables(notebook: Notebook) -> set[str]:
    return {
        row["name"]
        for row in notebook.rows("SELECT name FROM sqlite_master WHERE type IN ('table', 'view')")
    }


def _identifier(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'
