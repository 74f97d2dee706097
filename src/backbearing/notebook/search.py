"""Clues to where a subject is, and looks for it, on record."""

from __future__ import annotations

import json
from datetime import date
from typing import TYPE_CHECKING, Any, cast

from backbearing.errors import NotFound
from backbearing.notebook import columns
from backbearing.records import (
    CLUE_KINDS,
    GROUND_CLASSES,
    Look,
    MemoryClue,
    Place,
    SightRange,
)

if TYPE_CHECKING:
    import sqlite3

    from backbearing.notebook.connection import Notebook
    from backbearing.records import ClueKind, LookLaw, LookSide

_TEXTS = ("words", "line", "side", "note")
_NUMBERS = ("low", "high", "error")


def add_clue(notebook: Notebook, clue: MemoryClue) -> int:
    """Put a clue on record; its number."""
    fields: dict[str, Any] = {name: columns.storable(getattr(clue, name)) for name in _TEXTS}
    fields |= {name: getattr(clue, name) for name in _NUMBERS}
    fields["place"], fields["other"] = _place_fields(clue.place), _place_fields(clue.other)
    fields["corners"] = [_place_fields(corner) for corner in clue.corners]
    fields["at"] = columns.optional_instant_text(clue.at)
    notebook.changed("clues")
    return notebook.run(
        "INSERT INTO clues (subject_id, kind, sure, told_on, fields) VALUES (?, ?, ?, ?, ?)",
        (
            clue.subject_id,
            clue.kind,
            clue.sure,
            clue.on.isoformat() if clue.on else None,
            json.dumps(fields, ensure_ascii=False),
        ),
    )


def list_clues(notebook: Notebook, subject_id: int | None) -> list[MemoryClue]:
    """The clues to a subject in the order they came; broken ones are left out."""
    rows = notebook.rows("SELECT * FROM clues WHERE subject_id = ? ORDER BY id", (subject_id,))
    return [clue for row in rows if (clue := read_clue(row)) is not None]


def drop_clue(notebook: Notebook, subject_id: int | None, number: int) -> None:
    """Take a clue off the record. Raises NotFound where the subject has none of this number."""
    rows = notebook.rows(
        "SELECT 1 FROM clues WHERE id = ? AND subject_id = ?", (number, subject_id)
    )
    if not rows:
        raise NotFound(f"there is no clue number {number} to it", remedy="'clue NAME' lists them")
    notebook.changed("clues")
    notebook.run("DELETE FROM clues WHERE id = ?", (number,))


def read_clue(row: sqlite3.Row) -> MemoryClue | None:
    """A row as a clue; None where it is none: `check` reports it."""
    sure = columns.read_float(row["sure"])
    if row["kind"] not in CLUE_KINDS or sure is None or not 0.0 <= sure <= 1.0:
        return None
    try:
        fields = json.loads(columns.read_text(row["fields"]) or "{}")
        if not isinstance(fields, dict):
            return None
        return MemoryClue(
            subject_id=columns.read_int(row["subject_id"]),
            kind=cast("ClueKind", row["kind"]),
            sure=sure,
            place=_place(fields.get("place")),
            other=_place(fields.get("other")),
            corners=tuple(Place(**corner) for corner in fields.get("corners") or ()),
            at=columns.read_instant(fields.get("at")),
            on=_day(row["told_on"]),
            id=row["id"],
            words=columns.read_text(fields.get("words")),
            line=columns.read_text(fields.get("line")),
            side=columns.read_text(fields.get("side")),
            note=columns.read_text(fields.get("note")),
            low=columns.read_float(fields.get("low")),
            high=columns.read_float(fields.get("high")),
            error=columns.read_float(fields.get("error")),
        )
    except (ValueError, TypeError, KeyError):
        return None


def add_look(notebook: Notebook, look: Look) -> int:
    """Put a look for a subject on record; its number."""
    notebook.changed("looks")
    fields = _look_fields(look)
    return notebook.run(
        f"INSERT INTO looks ({', '.join(fields)}) VALUES ({', '.join('?' * len(fields))})",  # noqa: S608
        tuple(fields.values()),
    )


def change_look(notebook: Notebook, look: Look) -> None:
    """Write a look over the one of its number."""
    fields = _look_fields(look)
    notebook.changed("looks")
    notebook.run(
        f"UPDATE looks SET {', '.join(f'{name} = ?' for name in fields)} WHERE id = ?",  # noqa: S608
        (*fields.values(), look.id),
    )


def _look_fields(look: Look) -> dict[str, Any]:
    return {
        "subject_id": look.subject_id,
        "track_id": look.track_id,
        "looked_on": look.on.isoformat() if look.on else None,
        "looking": look.looking,
        "side": look.side,
        "line": columns.storable(look.line),
        "towards": _place_text(look.towards),
        "range_m": look.sight.open_m,
        "ranges": sight_text(look.sight),
        "ahead": look.ahead,
        "snow": look.snow,
        "law": look.law,
        "found": look.found,
        "found_at": _place_text(look.found_at),
        "place_before": _place_text(look.before),
        "note": columns.storable(look.note),
    }


def list_looks(notebook: Notebook, subject_id: int | None) -> list[Look]:
    """The looks for a subject in the order they came."""
    found = []
    for row in notebook.rows("SELECT * FROM looks WHERE subject_id = ? ORDER BY id", (subject_id,)):
        sight = read_sight(row["range_m"], row["ranges"])
        if sight is None:
            continue  # `check` reports it
        side = row["side"] if row["side"] in ("left", "right", "both") else ""
        found.append(
            Look(
                subject_id=subject_id,
                track_id=columns.read_int(row["track_id"]),
                on=_day(row["looked_on"]),
                looking=bool(row["looking"]),
                side=cast("LookSide", side),
                line=columns.read_text(row["line"]),
                towards=_place_of(row["towards"]),
                sight=sight,
                ahead=bool(row["ahead"]),
                snow=bool(row["snow"]),
                law=cast("LookLaw", row["law"] if row["law"] == "inverse cube" else "random"),
                found=bool(row["found"]),
                found_at=_place_of(row["found_at"]),
                before=_place_of(row["place_before"]),
                note=columns.read_text(row["note"]),
                id=row["id"],
            )
        )
    return found


def drop_look(notebook: Notebook, subject_id: int | None, number: int) -> None:
    """Take a look off the record. Raises NotFound where the subject has none of this number."""
    rows = notebook.rows(
        "SELECT 1 FROM looks WHERE id = ? AND subject_id = ?", (number, subject_id)
    )
    if not rows:
        raise NotFound(
            f"there is no look number {number} for it", remedy="'searched NAME' lists them"
        )
    notebook.changed("looks")
    notebook.run("DELETE FROM looks WHERE id = ?", (number,))


def kept_sight(notebook: Notebook, subject_id: int | None) -> SightRange | None:
    """The range of sight last given for a subject; None for none, or one that means nothing."""
    for row in notebook.rows("SELECT range_m, ranges FROM subjects WHERE id = ?", (subject_id,)):
        return read_sight(row["range_m"], row["ranges"])
    return None


def keep_sight(notebook: Notebook, subject_id: int | None, sight: SightRange) -> None:
    """Keep a range of sight with its subject."""
    notebook.changed("subjects")
    notebook.run(
        "UPDATE subjects SET range_m = ?, ranges = ? WHERE id = ?",
        (sight.open_m, sight_text(sight), subject_id),
    )


def sight_text(sight: SightRange) -> str | None:
    """The ranges of classes that have one of their own, as JSON; None where there are none."""
    own = {kind: sight.of(kind) for kind in GROUND_CLASSES if sight.of(kind) != sight.open_m}
    return json.dumps(own) if own else None


def read_sight(open_m: object, ranges: object) -> SightRange | None:
    """A range of sight out of its columns; None for what is none."""
    range_m = columns.read_float(open_m)
    try:
        own = json.loads(columns.read_text(ranges) or "{}")
        numbers = [range_m, *own.values()]
    except (ValueError, AttributeError):
        return None
    if not all(isinstance(each, int | float) and 0.0 < each < 1e6 for each in numbers):
        return None
    sight = SightRange(open_m=float(range_m or 0.0))
    for kind in GROUND_CLASSES:
        if kind in own and kind != "open":
            sight = sight.with_class(kind, float(own[kind]))
    return sight


def _place_fields(place: Place | None) -> dict[str, Any] | None:
    if place is None:
        return None
    return {
        "latitude_deg": place.latitude_deg,
        "longitude_deg": place.longitude_deg,
        "error_m": place.error_m,
        "error_basis": columns.storable(place.error_basis),
        "source": columns.storable(place.source),
    }


def _place(fields: Any) -> Place | None:
    return None if fields is None else Place(**fields)


def _place_text(place: Place | None) -> str | None:
    if place is None:
        return None
    return json.dumps(
        (_place_fields(place) or {}) | {"height_m": place.height_m}, ensure_ascii=False
    )


def _place_of(text: object) -> Place | None:
    """A place out of its column; None for none, or what is none."""
    try:
        return _place(json.loads(columns.read_text(text) or "null"))
    except (ValueError, TypeError):
        return None


def _day(value: object) -> date | None:
    try:
        return date.fromisoformat(columns.read_text(value)[:10])
    except ValueError:
        return None
