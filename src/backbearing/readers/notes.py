"""Field notes, one record a line, as people type or dictate them at home.

    2026-03-14
    14:32 seen winding house, 215M 8m, top 38 foot -6, left of the leat, walls, not lit

Nothing is refused: what a line says in the words of the field card becomes items, the rest of
it is kept as it stands. The grammar of the items is in `readers.noteline`; this module takes
bytes to lines, and days from headings to the lines under them.
"""

from __future__ import annotations

import codecs
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from backbearing.errors import JOINERS, BadFile
from backbearing.readers.noteitems import Item, folded
from backbearing.readers.noteline import read_line
from backbearing.records import Fault

MOST_BYTES = 1_000_000
MOST_ITEMS_TEXT = 500  # characters: longer than anybody writes of one subject
TELLING = ("day", "time", "track", "waypoint", "coordinate", "state")  # other words are anybody's
_BINARY_SHARE = 0.1  # of control characters, above which it is no text


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteLine:
    """One line of notes: what was read, and what was kept unread.

    day: the day it holds for, from the line itself or the heading above; None where none stands.
    problems: what looked like an item and could not be used, in words.
    """

    line: int
    text: str
    day: date | None = None
    heading: bool = False
    items: tuple[Item, ...] = ()
    kept: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()

    @property
    def of_the_field(self) -> bool:
        """Whether it says what only a field record does: a day, a time, a place, a state."""
        return self.heading or any(item.field in TELLING for item in self.items)

    def first(self, field: str) -> str:
        """The value of the first item of that field; '' where there is none."""
        return next((item.value for item in self.items if item.field == field), "")

    def all(self, field: str) -> tuple[str, ...]:
        """The values of every item of that field."""
        return tuple(item.value for item in self.items if item.field == field)


@dataclass(frozen=True, slots=True, kw_only=True)
class NotesFile:
    """The lines of a file of notes that hold anything, and what was mended on the way."""

    lines: tuple[NoteLine, ...] = ()
    encoding: str = "utf-8"
    faults: tuple[Fault, ...] = ()


def read_notes(
    content: bytes, *, latest: date, names: Sequence[str] = (), path: object = ""
) -> NotesFile:
    """Answer what a file of field notes says, line by line; every line that is not blank is there.

    latest: days without a year are the last such day not after this one.
    names: subjects on record, which are known by name alone, without a state before them; so
        are those that an earlier line named with one.

    Raises BadFile, and nothing else, where it is no text or over 1 MB.
    """
    text, encoding, faults = _decoded(content, path)
    day: date | None = None
    known = {folded(name) for name in names}
    lines = []
    for number, raw in enumerate(text.split("\n"), start=1):
        written, dropped = _printable(raw)
        if dropped:
            faults.append(
                Fault(
                    line=number,
                    field="text",
                    what=f"{dropped} control character{'s' * (dropped != 1)}",
                    action="dropped",
                )
            )
        if not written:
            continue
        if len(written) > MOST_ITEMS_TEXT:
            lines.append(
                NoteLine(
                    line=number,
                    text=written,
                    day=day,
                    kept=(written,),
                    problems=(f"longer than {MOST_ITEMS_TEXT} characters; kept as a note",),
                )
            )
            continue
        read = read_line(written, latest=latest, names=known)
        day = None if read.day_unknown else read.day or day
        if read.has("state"):
            known.update(folded(item.value) for item in read.items if item.field == "subject")
        lines.append(
            NoteLine(
                line=number,
                text=written,
                day=day,
                heading=read.heading,
                items=tuple(read.items),
                kept=tuple(read.kept),
                problems=tuple(read.problems),
            )
        )
    return NotesFile(lines=tuple(lines), encoding=encoding, faults=tuple(faults))


def _decoded(content: bytes, path: object) -> tuple[str, str, list[Fault]]:
    if len(content) > MOST_BYTES:
        raise BadFile(
            "over 1 MB, which is no page of notes",
            path=path,
            remedy="import the part that holds your records",
        )
    faults: list[Fault] = []
    encoding = "utf-8"
    utf_16 = _utf_16(content)
    if utf_16:
        encoding = "utf-16"
        text = content.decode(utf_16, errors="replace")
    else:
        try:
            text = content.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            encoding = "windows-1252"
            text = content.decode("cp1252", errors="replace")
            line = content.count(b"\n", 0, error.start) + 1
            faults.append(
                Fault(
                    line=line,
                    field="encoding",
                    what="not UTF-8; read as windows-1252",
                    action="repaired",
                )
            )
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    controls = sum(unicodedata.category(ch) == "Cc" and ch not in "\n\t\f\v" for ch in text)
    if controls > _BINARY_SHARE * max(len(text), 1):
        raise BadFile("not text", path=path, remedy="give GPX tracks or plain-text notes")
    return text, encoding, faults


def _utf_16(content: bytes) -> str:
    """Which UTF-16 it is: by its mark, or because every other byte of its beginning is NUL."""
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    head = content[:400]
    for codec, high, low in (
        ("utf-16-le", head[1::2], head[::2]),
        ("utf-16-be", head[::2], head[1::2]),
    ):
        if high.count(0) > 0.7 * max(len(high), 1) and low.count(0) < 0.1 * len(low):
            return codec
    return ""


def _printable(raw: str) -> tuple[str, int]:
    """The line on single spaces without control or direction-changing characters, and how many."""
    spaced = raw.replace("\t", " ").replace("\f", " ").replace("\v", " ")
    unwanted = ("Cc", "Cf", "Cs", "Zl", "Zp")
    kept = [c for c in spaced if c in JOINERS or unicodedata.category(c) not in unwanted]
    return " ".join("".join(kept).split()), len(spaced) - len(kept)
