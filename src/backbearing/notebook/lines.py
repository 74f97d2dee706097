"""Lines over the ground and passages across them, with what was found there."""

from __future__ import annotations

import dataclasses
import os
from datetime import date
from typing import TYPE_CHECKING, cast

from backbearing.errors import BadInput, NotFound, quoted
from backbearing.notebook import columns, geometry
from backbearing.notebook.names import name_key
from backbearing.notebook.placed import insert_row, place_values, read_place
from backbearing.records import (
    LINE_KINDS,
    PASSAGE_CAUSES,
    PASSAGE_KINDS,
    PASSAGE_STATES,
    GroundLine,
    Passage,
    PassageCause,
    PassageKind,
    PassageReport,
    PassageState,
)

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Sequence

    from backbearing.notebook.connection import Notebook
    from backbearing.records import LineKind


def store_line(notebook: Notebook, original_id: int | None, line: GroundLine) -> int:
    """Put a line on record; its number."""
    corners = zip(line.longitude_deg.tolist(), line.latitude_deg.tolist(), strict=True)
    return insert_row(
        notebook,
        "lines",
        {
            "geom": geometry.route_blob([(x, y, None) for x, y in corners]),
            "original_id": original_id,
            "name": columns.storable(line.name),
            "kind": line.kind,
            "source": columns.storable(line.source),
        },
    )


def list_lines(notebook: Notebook, kinds: Sequence[LineKind] | None = None) -> list[GroundLine]:
    """The lines on record in the order they came, of some kinds or of all."""
    import numpy as np

    found = []
    for row in notebook.rows("SELECT * FROM lines ORDER BY id"):
        kind = cast("LineKind", row["kind"] if row["kind"] in LINE_KINDS else "other")
        if kinds is not None and kind not in kinds:
            continue
        try:
            corners = np.array([v[:2] for v in geometry.vertices(row["geom"])], dtype=np.float64)
        except geometry.BadGeometry:
            continue  # `check` reports it
        if len(corners) >= 2:
            found.append(
                GroundLine(
                    name=columns.read_text(row["name"]),
                    kind=kind,
                    longitude_deg=corners[:, 0],
                    latitude_deg=corners[:, 1],
                    source=columns.read_text(row["source"]),
                    id=row["id"],
                )
            )
    return found


def add_passage(notebook: Notebook, passage: Passage) -> Passage:
    """Put a passage with its reports on record; the same with its id and uid.

    Raises BadInput where the name is empty or another passage has it.
    """
    refuse_passage_name(notebook, passage.name)
    uid = passage.uid or os.urandom(16).hex()
    passage_id = insert_row(
        notebook,
        "passages",
        {
            **place_values(passage.place),
            "uid": uid,
            "name": columns.storable(passage.name),
            "kind": passage.kind,
        },
    )
    for report in passage.reports:
        add_report(notebook, passage_id, report)
    return dataclasses.replace(passage, id=passage_id, uid=uid)


def refuse_passage_name(notebook: Notebook, name: str) -> None:
    """Raise BadInput where a passage's name is empty or another has it."""
    if not name_key(name):
        raise BadInput("a passage needs a name", where="passage")
    for other in list_passages(notebook):
        if name_key(other.name) == name_key(name):
            raise BadInput(
                f"a passage called {quoted(other.name)} is already on record",
                where="passage",
                remedy="choose another name, or say what was found there with 'passage try'",
            )


def add_report(notebook: Notebook, passage_id: int | None, report: PassageReport) -> None:
    """Keep what was found at a passage; reports are added, never changed.

    Raises NotFound where there is no such passage.
    """
    if not notebook.rows("SELECT 1 FROM passages WHERE id = ?", (passage_id,)):
        raise NotFound(f"there is no passage number {passage_id} on record")
    notebook.changed("passage_reports")
    notebook.run(
        "INSERT INTO passage_reports (passage_id, state, cause, looked_on, side, note) "
        "VALUES (?, ?, ?, ?, ?, ?)",
        (
            passage_id,
            report.state,
            report.cause,
            None if report.on is None else report.on.isoformat(),
            columns.storable(report.side),
            columns.storable(report.note),
        ),
    )


def list_passages(notebook: Notebook) -> list[Passage]:
    """The passages on record by name, each with its reports by day; broken ones are left out."""
    reports: dict[int | None, list[PassageReport]] = {}
    for row in notebook.rows("SELECT * FROM passage_reports ORDER BY id"):
        reports.setdefault(columns.read_int(row["passage_id"]), []).append(_report(row))
    found = []
    for row in notebook.rows("SELECT * FROM passages"):
        place = read_place(row)
        if place is None:
            continue
        kind = row["kind"] if row["kind"] in PASSAGE_KINDS else "gap"
        found.append(
            Passage(
                name=columns.read_text(row["name"]) or f"passage {row['id']}",
                kind=cast("PassageKind", kind),
                place=place,
                # one without a day counts as the oldest: it says least of today
                reports=tuple(
                    sorted(reports.get(row["id"], []), key=lambda r: (r.on or date.min, r.id or 0))
                ),
                uid=columns.read_text(row["uid"]) or f"passage-{row['id']}",
                id=row["id"],
            )
        )
    return sorted(found, key=lambda one: (name_key(one.name) or "", one.id or 0))


def find_passage(notebook: Notebook, name: str) -> Passage:
    """The passage of this name or uid. Raises NotFound, with the nearest name on record."""
    every = list_passages(notebook)
    for passage in every:
        if name_key(passage.name) == name_key(name) or passage.uid == name:
            return passage
    from difflib import get_close_matches

    close = get_close_matches(name, [passage.name for passage in every], n=1)
    remedy = f"did you mean {quoted(close[0])}?" if close else "'backbearing passage list' has them"
    raise NotFound(f"no passage is called {quoted(name)}", remedy=remedy)


def _report(row: sqlite3.Row) -> PassageReport:
    state = row["state"] if row["state"] in PASSAGE_STATES else "unknown"
    cause = row["cause"] if row["cause"] in PASSAGE_CAUSES else ""
    try:
        looked_on = date.fromisoformat(columns.read_text(row["looked_on"])[:10])
    except ValueError:
        looked_on = None
    return PassageReport(
        state=cast("PassageState", state),
        cause=cast("PassageCause", cause),
        on=looked_on,
        side=columns.read_text(row["side"]),
        note=columns.read_text(row["note"]),
        id=row["id"],
    )
