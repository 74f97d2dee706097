"""Records as plain JSON values: what every `--json` prints and every page carries."""

from __future__ import annotations

import dataclasses
import json
import math
import unicodedata
from datetime import UTC, date, datetime, time, timedelta
from pathlib import PurePath
from typing import Any

from backbearing.errors import JOINERS


def json_text(value: Any) -> str:
    """Plain values as JSON that a terminal can show: what would move or turn text is escaped."""
    text = json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False)
    hidden = {
        ord(ch): json.dumps(ch)[1:-1]
        for ch in set(text)
        if ch not in f"\n{JOINERS}" and unicodedata.category(ch) in ("Cc", "Cf", "Cs", "Zl", "Zp")
    }
    return text.translate(hidden) if hidden else text


def plain(value: Any) -> Any:
    """Turn records, instants, arrays and mappings into values `json` can write.

    Aware instants become ISO 8601 in UTC with a Z, to the second or, where they carry them,
    milliseconds; nan and NaT become null, so that no reader meets a bare NaN.

    Raises TypeError for a naive datetime or a type it does not know.
    """
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, datetime):
        if value.tzinfo is None:
            raise TypeError(f"{value!r} has no zone; attach one before it leaves the program")
        spec = "milliseconds" if value.microsecond else "seconds"
        return value.astimezone(UTC).isoformat(timespec=spec).replace("+00:00", "Z")
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, timedelta):
        return value.total_seconds()
    if isinstance(value, PurePath):
        return str(value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(v) for v in (sorted(value) if isinstance(value, set | frozenset) else value)]
    if hasattr(value, "dtype"):  # a numpy array or scalar, without importing numpy here
        if value.dtype.kind == "M":
            text = value.astype("datetime64[ms]").astype(str)
            if getattr(value, "ndim", 0):
                return [None if t == "NaT" else f"{t}Z" for t in text.tolist()]
            return None if str(text) == "NaT" else f"{text}Z"
        return plain(value.tolist())
    raise TypeError(f"no plain form for {type(value).__name__}")
