"""Kit on record: emulsions, cameras, lenses, shutters, holders, each by kind and name."""

from __future__ import annotations

import dataclasses
import json
from typing import TYPE_CHECKING, Any, TypeVar

from backbearing.errors import NotFound, quoted
from backbearing.notebook import columns
from backbearing.notebook.names import name_key
from backbearing.records import (
    ApertureMark,
    Batch,
    Camera,
    FocusMark,
    Holder,
    Kit,
    Lens,
    Shutter,
    ShutterSpeed,
    TrialLight,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.notebook.connection import Notebook

Entry = Batch | Camera | Lens | Shutter | Holder
_KINDS: dict[str, type[Entry]] = {
    "batch": Batch,
    "camera": Camera,
    "lens": Lens,
    "shutter": Shutter,
    "holder": Holder,
}
# what stands in a list within an entry's fields
_PARTS: dict[str, type[Any]] = {
    "apertures": ApertureMark,
    "focus_marks": FocusMark,
    "speeds": ShutterSpeed,
}


def put_entry(notebook: Notebook, entry: Entry) -> bool:
    """Put one piece of kit on record, over that of its kind and name; whether it was new."""
    kind = next(kind for kind, made in _KINDS.items() if type(entry) is made)
    fields = {k: v for k, v in dataclasses.asdict(entry).items() if k not in ("id", "name")}
    text = json.dumps(fields, ensure_ascii=True, separators=(",", ":"))
    notebook.changed("kit")
    for row in notebook.rows("SELECT id, name FROM kit WHERE kind = ?", (kind,)):
        if name_key(columns.read_text(row["name"])) == name_key(entry.name):
            notebook.run(
                "UPDATE kit SET name = ?, fields = ? WHERE id = ?",
                (columns.storable(entry.name), text, row["id"]),
            )
            return False
    notebook.run(
        "INSERT INTO kit (kind, name, fields) VALUES (?, ?, ?)",
        (kind, columns.storable(entry.name), text),
    )
    return True


def forget_entry(notebook: Notebook, entry: Entry) -> None:
    """Take a piece of kit off the record. Raises NotFound where it is not there."""
    if not notebook.rows("SELECT 1 FROM kit WHERE id = ?", (entry.id,)):
        raise NotFound(f"{quoted(entry.name)} is no longer on record")
    notebook.changed("kit")
    notebook.run("DELETE FROM kit WHERE id = ?", (entry.id,))


def load_kit(notebook: Notebook) -> Kit:
    """All kit on record, each kind in the order it came; what cannot be read is left out."""
    found: dict[str, list[Any]] = {kind: [] for kind in _KINDS}
    for row in notebook.rows("SELECT * FROM kit ORDER BY id"):
        entry = _entry(row["kind"], columns.read_text(row["name"]), row["fields"], row["id"])
        if entry is not None:
            found[row["kind"]].append(entry)
    return Kit(
        batches=tuple(found["batch"]),
        cameras=tuple(found["camera"]),
        lenses=tuple(found["lens"]),
        shutters=tuple(found["shutter"]),
        holders=tuple(found["holder"]),
    )


def readable_entries(notebook: Notebook) -> set[int]:
    """The numbers of the rows that describe a piece of kit."""
    return {
        row["id"]
        for row in notebook.rows("SELECT * FROM kit")
        if _entry(row["kind"], columns.read_text(row["name"]), row["fields"], row["id"])
    }


def find_batch(notebook: Notebook, name: str) -> Batch:
    """The batch of this name. Raises NotFound with the nearest."""
    return _find(load_kit(notebook).batches, "batch", name)


def find_camera(notebook: Notebook, name: str) -> Camera:
    """The camera of this name. Raises NotFound with the nearest."""
    return _find(load_kit(notebook).cameras, "camera", name)


def find_lens(notebook: Notebook, name: str) -> Lens:
    """The lens of this name. Raises NotFound with the nearest."""
    return _find(load_kit(notebook).lenses, "lens", name)


def find_holder(notebook: Notebook, name: str) -> Holder:
    """The holder of this name. Raises NotFound with the nearest."""
    return _find(load_kit(notebook).holders, "holder", name)


Piece = TypeVar("Piece", Batch, Camera, Lens, Holder)


def _find(entries: Sequence[Piece], kind: str, name: str) -> Piece:
    for entry in entries:
        if name_key(entry.name) == name_key(name):
            return entry
    from difflib import get_close_matches

    names = [entry.name for entry in entries]
    close = get_close_matches(name, names, n=1)
    if close:
        remedy = f"did you mean {quoted(close[0])}?"
    elif names:
        remedy = f"on record are {', '.join(quoted(each) for each in names[:5])}"
    else:
        remedy = "'backbearing kit blank' prints a file to start from, 'kit take' reads it"
    raise NotFound(f"no {kind} is called {quoted(name)}", where=f"--{kind}", remedy=remedy)


def _entry(kind: object, name: str, text: object, row_id: int) -> Entry | None:
    made = _KINDS.get(kind) if isinstance(kind, str) else None
    if made is None or not isinstance(text, str):
        return None
    try:
        fields = json.loads(text)
        for key, part in _PARTS.items():
            if key in fields:
                fields[key] = tuple(part(**each) for each in fields[key])
        if fields.get("tested_in"):
            fields["tested_in"] = TrialLight(**fields["tested_in"])
        for key in ("reciprocity_table", "finder_crop"):
            if key in fields:
                fields[key] = tuple(
                    tuple(each) if isinstance(each, list) else each for each in fields[key]
                )
        return made(**fields, name=name or f"{kind} {row_id}", id=row_id)
    except (ValueError, TypeError, AttributeError, RecursionError):
        return None  # `check` reports it
