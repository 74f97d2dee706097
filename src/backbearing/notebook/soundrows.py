"""What `check` looks at in the tables of surroundings, lines, passages, kit and plates."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from backbearing.notebook import columns
from backbearing.notebook.kit import readable_entries
from backbearing.notebook.photos import sound_thumbnail
from backbearing.notebook.plates import DEVELOPMENTS, HIGHLIGHTS, SHADOWS
from backbearing.notebook.search import read_clue, read_sight
from backbearing.notebook.surroundings import list_readings, list_trees
from backbearing.records import (
    LINE_KINDS,
    PASSAGE_CAUSES,
    PASSAGE_KINDS,
    PASSAGE_STATES,
    PHOTO_PLACINGS,
    PLATE_STATES,
    Finding,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.notebook.connection import Notebook

_EDIT = "mend it in the program that changed it, or go back to a backup"
_ONE_OF: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("edge_readings", "effect", ("raises", "replaces")),
    ("lines", "kind", LINE_KINDS),
    ("passages", "kind", PASSAGE_KINDS),
    ("passage_reports", "state", PASSAGE_STATES),
    ("passage_reports", "cause", PASSAGE_CAUSES),
    ("plates", "state", PLATE_STATES),
    ("photos", "placed_by", PHOTO_PLACINGS),
    ("looks", "side", ("", "left", "right", "both")),
    ("looks", "law", ("random", "inverse cube")),
    ("plates", "shadows", ("", *SHADOWS)),
    ("plates", "highlights", ("", *HIGHLIGHTS)),
    ("plates", "development", ("", *DEVELOPMENTS)),
)
_ABOVE_ZERO: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("plates", ("exposure_s", "f_number", "distance_m")),
    ("photos", ("time_error_s", "error_m", "focal_mm")),
)


def unsound_rows(notebook: Notebook) -> Iterator[Finding]:
    """Rows that are passed over, or read as something else, because they mean nothing."""
    for table, name, known in _ONE_OF:
        for row in notebook.rows(f"SELECT id, {name} FROM {table} ORDER BY id"):  # noqa: S608
            if row[name] not in known:
                words = ", ".join(repr(one) if one == "" else one for one in known)
                yield _fault(table, row["id"], f"its {name} is not one of: {words}")
    for table, names in _ABOVE_ZERO:
        for row in notebook.rows(f"SELECT id, {', '.join(names)} FROM {table}"):  # noqa: S608
            for name in names:
                value = row[name]
                if value is not None and not (
                    isinstance(value, int | float) and math.isfinite(value) and value > 0
                ):
                    yield _fault(table, row["id"], f"its {name} is not a number above 0")
    kept = {reading.id for reading in list_readings(notebook)}
    for (row_id,) in notebook.rows("SELECT id FROM edge_readings ORDER BY id"):
        if row_id not in kept:
            yield _fault(
                "edge_readings", row_id, "it is no azimuth and angle, so no skyline counts it"
            )
    kept = {trees.id for trees in list_trees(notebook)}
    for (row_id,) in notebook.rows("SELECT id FROM trees ORDER BY id"):
        if row_id not in kept:
            yield _fault("trees", row_id, "it has no height and distance, so no skyline counts it")
    for row in notebook.rows("SELECT * FROM clues ORDER BY id"):
        if read_clue(row) is None:
            yield _fault("clues", row["id"], "it is no clue, so no search counts it")
    for row in notebook.rows("SELECT id, geom, placed_by, thumbnail FROM photos ORDER BY id"):
        if row["thumbnail"] is not None and not sound_thumbnail(row["thumbnail"]):
            yield _fault("photos", row["id"], "its thumbnail is no small JPEG, so it is not shown")
        if (row["geom"] is None) != (row["placed_by"] in ("", None)):
            yield _fault("photos", row["id"], "its place and what placed it do not go together")
    for table in ("looks", "subjects"):
        for row in notebook.rows(f"SELECT id, range_m, ranges FROM {table} ORDER BY id"):  # noqa: S608
            unset = table == "subjects" and row["range_m"] is None and row["ranges"] is None
            if not unset and read_sight(row["range_m"], row["ranges"]) is None:
                yield _fault(table, row["id"], "its range of sight is not in numbers above 0")
    readable = readable_entries(notebook)
    for (row_id,) in notebook.rows("SELECT id FROM kit ORDER BY id"):
        if row_id not in readable:
            yield _fault(
                "kit", row_id, "it describes no piece of kit; 'backbearing kit take' puts it right"
            )
    for table, owner in (
        ("edge_readings", "subject_id"),
        ("trees", "subject_id"),
        ("clues", "subject_id"),
        ("looks", "subject_id"),
        ("passage_reports", "passage_id"),
    ):
        for row in notebook.rows(f"SELECT id, {owner} FROM {table} ORDER BY id"):  # noqa: S608
            if row[owner] is None:
                yield _fault(table, row["id"], f"it belongs to no {owner.removesuffix('_id')}")
    for row in notebook.rows("SELECT id, name, error_m FROM passages ORDER BY id"):
        error_m = columns.read_float(row["error_m"])
        if error_m is None or error_m < 0:
            yield _fault("passages", row["id"], "its error_m is not a radius in metres")
        if not columns.read_text(row["name"]).strip():
            yield _fault("passages", row["id"], "it has no name")


def _fault(table: str, row_id: int, what: str) -> Finding:
    return Finding(grade="fault", where=f"{table}, row {row_id}", what=what, remedy=_EDIT)
