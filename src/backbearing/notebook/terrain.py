"""Elevation rasters on record, and the skylines worked out from them.

A raster stays where it is: its description is kept, by path and fingerprint. A skyline is kept
whole under a key that says what it rests on, so that it still answers when the raster is
unplugged. Both tables are this program's own; a GIS does not list them.
"""

from __future__ import annotations

import dataclasses
import json
import math
import zlib
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from backbearing.notebook import columns
from backbearing.records import Skyline, TerrainLayer

if TYPE_CHECKING:
    import sqlite3

    from backbearing.notebook.connection import Notebook

MOST_SKYLINES = 2_000  # about 30 MB; the oldest give way
_MOST_BYTES = 16 * 2**20  # of one skyline's numbers
_LAYER = tuple(f.name for f in dataclasses.fields(TerrainLayer) if f.name != "id")


def register_layer(notebook: Notebook, layer: TerrainLayer) -> TerrainLayer:
    """Put a raster on record, or bring the record of the one at its path up to date.

    Inside `notebook.writing()`. Returns the layer with its number.
    """
    values = {name: _stored(getattr(layer, name)) for name in _LAYER}
    known = notebook.rows("SELECT id FROM terrain_layers WHERE path = ?", (values["path"],))
    if known:
        row_id = int(known[0]["id"])
        changes = ", ".join(f"{name} = ?" for name in _LAYER)
        notebook.run(
            f"UPDATE terrain_layers SET {changes} WHERE id = ?",  # noqa: S608
            (*values.values(), row_id),
        )
    else:
        row_id = notebook.run(
            f"INSERT INTO terrain_layers ({', '.join(_LAYER)}) "  # noqa: S608
            f"VALUES ({', '.join('?' * len(_LAYER))})",
            tuple(values.values()),
        )
    return dataclasses.replace(layer, id=row_id)


def list_layers(notebook: Notebook) -> list[TerrainLayer]:
    """The rasters on record, finest first; a row that cannot be read is left out."""
    rows = notebook.rows(
        "SELECT * FROM terrain_layers ORDER BY round(cell_m, 2), vertical_error_m, path, id"
    )
    return [layer for row in rows if (layer := _layer(row)) is not None]


def forget_layer(notebook: Notebook, layer_id: int) -> None:
    """Take a raster off the record; its file and the skylines worked out from it stay."""
    notebook.run("DELETE FROM terrain_layers WHERE id = ?", (layer_id,))


def store_skyline(
    notebook: Notebook, key: str, latitude_deg: float, longitude_deg: float, skyline: Skyline
) -> None:
    """Keep a skyline under its key, in the place of one kept before.

    Inside `notebook.writing()`. Beyond `MOST_SKYLINES` those kept longest ago are dropped.
    """
    import numpy as np

    arrays: dict[str, Any] = {}
    rest: dict[str, Any] = {}
    for field in dataclasses.fields(skyline):
        value = getattr(skyline, field.name)
        if isinstance(value, np.ndarray):
            arrays[field.name] = value
        elif isinstance(value, float) and not math.isfinite(value):
            rest[field.name] = None
        elif value is None or isinstance(value, bool | int | float | str):
            rest[field.name] = value
    numbers = np.stack([np.asarray(array, dtype="<f8") for array in arrays.values()])
    notebook.run("DELETE FROM skylines WHERE key = ?", (key,))
    notebook.run(
        "INSERT INTO skylines (key, latitude_deg, longitude_deg, made_at, fields, numbers) "
        "VALUES (?, ?, ?, ?, ?, ?)",
        (
            key,
            latitude_deg,
            longitude_deg,
            columns.instant_text(datetime.now(UTC)),
            json.dumps({"arrays": list(arrays), "rest": rest}, ensure_ascii=False),
            zlib.compress(numbers.tobytes(), 6),
        ),
    )
    notebook.run(
        "DELETE FROM skylines WHERE id NOT IN (SELECT id FROM skylines ORDER BY id DESC LIMIT ?)",
        (MOST_SKYLINES,),
    )


def find_skyline(notebook: Notebook, key: str) -> Skyline | None:
    """The skyline kept under a key; None where there is none, or it cannot be read."""
    rows = notebook.rows("SELECT fields, numbers FROM skylines WHERE key = ?", (key,))
    if not rows:
        return None
    try:
        return _skyline(json.loads(rows[0]["fields"]), rows[0]["numbers"])
    except (ValueError, TypeError, KeyError, AttributeError, zlib.error, RecursionError):
        return None  # another program changed it: it is worked out anew


def count_skylines(notebook: Notebook) -> int:
    """How many skylines are kept."""
    return int(notebook.rows("SELECT count(*) AS kept FROM skylines")[0]["kept"])


def _skyline(fields: dict[str, Any], packed: bytes) -> Skyline:
    import numpy as np

    unpacker = zlib.decompressobj()
    content = unpacker.decompress(packed, _MOST_BYTES)
    names = fields["arrays"]
    if unpacker.unconsumed_tail or not names or len(content) % (8 * len(names)):
        raise ValueError("not as many numbers as names")
    numbers = np.frombuffer(content, dtype="<f8").reshape(len(names), -1).astype(np.float64)
    known = {field.name: field for field in dataclasses.fields(Skyline)}
    values: dict[str, Any] = dict(zip(names, numbers, strict=True))
    for name, value in fields["rest"].items():
        default = known[name].default if name in known else None
        # a nan is kept as nothing
        values[name] = default if value is None and default is not dataclasses.MISSING else value
    if not isinstance(values["basis"], str) or not np.isfinite(values["altitude_deg"]).all():
        raise ValueError("not a skyline")
    return Skyline(**{name: value for name, value in values.items() if name in known})


# ---------------------------------------------------------------- rows


def _stored(value: Any) -> Any:
    if isinstance(value, tuple):
        return json.dumps(value)
    return columns.storable(value) if isinstance(value, str) else value


def _layer(row: sqlite3.Row) -> TerrainLayer | None:
    values = {name: row[name] for name in _LAYER}
    try:
        values["bounds_deg"] = tuple(float(edge) for edge in json.loads(values["bounds_deg"]))
        for field in dataclasses.fields(TerrainLayer):
            if field.type == "float":
                values[field.name] = float(values[field.name])
                if not math.isfinite(values[field.name]):
                    return None
            elif field.type == "int":
                values[field.name] = int(values[field.name])
            elif field.type == "str":
                values[field.name] = str(values[field.name])
    except (ValueError, TypeError, RecursionError):
        return None
    sensible = (
        values["kind"] in ("GeoTIFF", "HGT", "ASCII grid")
        and values["ground"] in ("bare ground", "surface", "not known")
        and values["columns"] > 0
        and values["rows"] > 0
        and values["x_step"] > 0 > values["y_step"]
        and values["cell_m"] > 0
        and values["unit_m"] > 0
        and len(values["bounds_deg"]) == 4
    )
    return TerrainLayer(**values, id=int(row["id"])) if sensible else None
