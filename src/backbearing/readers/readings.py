"""Readings of compass and clinometer from a table: one line for each direction.

azimuth,angle,note            the header may be left out; comma, semicolon or tab between them;
                              "azimuth (magnetic)" or "(true)" speaks for bare figures
215M,12.5,crest of the spoil heap
220M,14
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass

from backbearing.errors import BadFile, quoted
from backbearing.readers.values import one_line

MOST_BYTES = 1024 * 1024
MOST_READINGS = 720
LONGEST_NOTE = 500
_AZIMUTH = frozenset(("azimuth", "bearing", "direction", "compass", "towards"))


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenReading:
    """A reading as it was written; the words are read where place and instrument are known."""

    azimuth: str
    angle: str
    note: str
    where: str  # "line 3"


def read_readings(content: bytes, *, path: str = "readings") -> tuple[WrittenReading, ...]:
    """The readings in a table, in its order; blank lines and lines that begin with # are passed.

    Raises BadFile where it is no table of readings: over 1 MB, not text, without readings, over
    720 of them, or with a line of one field or of more than three that hold anything.
    """
    if len(content) > MOST_BYTES:
        raise BadFile("is larger than 1 MB", path=path, remedy="no sheet of readings is")
    if b"\x00" in content:
        raise BadFile("is no text", path=path, remedy="save it as CSV")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", "replace")
    found: list[WrittenReading] = []
    first, reference = True, ""
    for number, line in enumerate(io.StringIO(text, newline=None), start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        parts = _parts(line)
        heads, first = first, False
        head = parts[0].lower()
        if heads and re.split(r"[^a-z]", head)[0] in _AZIMUTH:
            reference = "M" if "mag" in head else "T" if "true" in head else ""
            continue
        where = f"line {number}"
        if len(parts) < 2 or not parts[0] or not parts[1] or any(parts[3:]):
            raise BadFile(
                f"{where} is no reading: {quoted(one_line(line)[:80])}",
                path=path,
                remedy="write azimuth, angle and, if you like, a note, as '215M,12.5,crest'",
            )
        if len(found) == MOST_READINGS:
            raise BadFile(f"holds more than {MOST_READINGS} readings", path=path)
        note = parts[2] if len(parts) > 2 else ""
        found.append(
            WrittenReading(
                azimuth=parts[0] + (reference if parts[0][-1] in "0123456789.°" else ""),
                angle=parts[1],
                note=one_line(note)[:LONGEST_NOTE],
                where=where,
            )
        )
    if not found:
        raise BadFile("holds no readings", path=path)
    return tuple(found)


def _parts(line: str) -> list[str]:
    marks = [mark for mark in "\t;," if mark in line]
    # with a semicolon or a tab between fields a comma is a decimal one, or part of a note
    try:
        row = next(csv.reader([line], delimiter=marks[0] if marks else ","), [""])
    except csv.Error:  # a field of more than 128 KB
        row = [line]
    return [part.strip() for part in row]
