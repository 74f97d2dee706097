"""The grammar of one field record: which words of a line are which item of the field card.

    [day] [time] [track 3] [wpt 012] [coordinate] [state] NAME, item, item …

Commas, semicolons, full stops and spaced dashes part the items. An item is known by the word it
begins with, or by its form (`215M 8m`); items that stand one after another need no comma. Words
that fit nothing are kept, and so is a measurement that may be of something else: behind words
that fit nothing, before words that give it another sense, or written twice over. The order on
the card is `FIELDS`; in a line any order will do.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from datetime import date

from backbearing.errors import quoted
from backbearing.readers.noteforms import BULLET, COMMA_BEFORE_REFERENCE, VAGUE_DAY
from backbearing.readers.notehead import take_coordinate, take_head, take_subject
from backbearing.readers.noteitems import FIELDS, Item, LineRead
from backbearing.readers.noteparts import read_parts, take_anywhere, take_quoted

_ORDER = {name: n for n, name in enumerate(FIELDS)}
# Items that stand once in a record; two that differ are both left to their writer
_ONCE = (
    *("track", "waypoint", "position error", "bearing", "instrument", "distance", "measured"),
    *("top", "foot", "left edge", "right edge", "facing", "tall", "wide", "sky", "lit"),
)


def read_line(text: str, *, latest: date, names: Collection[str] = ()) -> LineRead:
    """Answer which items a line holds and which of its words fit none.

    text: one line, single-spaced. latest: as in `readers.notes.read_notes`.
    names: subjects on record, each `folded`.
    Every word of the line stands in an item's `written` or in `kept`.
    """
    read = LineRead()
    rest = BULLET.sub("", text, count=1) if BULLET.match(text) else text
    vague = VAGUE_DAY.match(rest)
    if vague:
        read.day_unknown = True
        read.kept.append(vague[0].strip())
        read.problems.append(f"{quoted(vague[0].strip())} is no date; write it as 2026-03-14")
        rest = rest[vague.end() :].lstrip(" ,;:")
    rest = take_quoted(rest, read)
    rest = take_coordinate(COMMA_BEFORE_REFERENCE.sub(" ", rest), read)
    rest = take_head(rest, latest, read)
    if read.day is not None and not rest and len(read.items) == 1:
        read.heading = True
        return read
    rest = take_subject(rest, names, read)
    read_parts(take_anywhere(rest, read), names, read)
    _drop_doubles(read, capitals=not any(ch.islower() for ch in text))
    read.items.sort(key=lambda item: _ORDER[item.field])  # stable: sightings keep their own order
    return read


def _drop_doubles(read: LineRead, *, capitals: bool) -> None:
    """Take out what stands twice and differs, and what capitals alone make a bearing."""
    for name in _ONCE:
        doubled = [item for item in read.items if item.field == name]
        values = list(dict.fromkeys(item.value for item in doubled))
        if len(values) > 1:
            _take_out(read, doubled)
            read.problems.append(f"{name} stands there as {' and as '.join(values)}; none is taken")
        elif capitals and name == "bearing" and values and re.fullmatch(r"\d{1,2}M", values[0]):
            _take_out(read, doubled)
            read.problems.append(f"{values[0]} in capitals may be a length; none is taken")
    states = [item.value for item in read.items if item.field == "state"]
    if len(set(states)) > 1:
        read.problems.append(f"the states {' and '.join(states)} stand there; the first is taken")


def _take_out(read: LineRead, items: list[Item]) -> None:
    read.items = [item for item in read.items if item not in items]
    read.kept.extend(dict.fromkeys(item.written for item in items))
