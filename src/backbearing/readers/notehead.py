"""The beginning of a field record: when, where and of what; the coordinate may stand anywhere."""

from __future__ import annotations

import re
from collections.abc import Collection
from datetime import date

from backbearing.errors import BadInput, quoted
from backbearing.places.clocks import read_clock, read_day
from backbearing.readers.noteforms import (
    COORDINATE,
    ELSEWHERE,
    GAP,
    HEAD,
    LEFT_OF_A_NAME,
    MOVED_FROM,
    NAME_ENDS,
    NO_NAME,
    PART,
    STATE,
)
from backbearing.readers.noteitems import Item, LineRead, folded, state_item


def take_head(rest: str, latest: date, read: LineRead) -> str:
    """Take day, time, track and waypoint off the beginning, in any order."""
    while True:
        rest = rest[_gap(rest) :]
        for name, form in HEAD:
            found = form.match(rest)
            if not found or read.has(name):
                continue
            if rest[found.end() : found.end() + 1].isalnum():
                continue  # digits that go on in another script: "1432²"
            value = found["v"]
            try:
                if name == "time":
                    value = read_clock(re.sub(r"^(\d+)\s(?=\d)", r"\1:", value)).isoformat()
                elif name == "day":
                    read.day = read_day(value, latest=latest)
                    value = read.day.isoformat()
            except BadInput as error:
                read.day_unknown = read.day_unknown or name == "day"
                read.problems.append(str(error))
                continue
            read.items.append(Item(field=name, value=value, written=found[0]))
            rest = rest[found.end() :]
            break
        else:
            return rest


def _gap(text: str) -> int:
    """How much of the beginning only parts items; a minus before a digit belongs to it."""
    end = GAP.match(text).end()  # type: ignore[union-attr]  # it matches nothing at least
    return end - 1 if 0 < end < len(text) and text[end - 1] in "-–" and text[end].isdigit() else end


def take_coordinate(text: str, read: LineRead) -> str:
    """Take the coordinate at which the record was made out of a line, wherever it stands."""
    from backbearing.places.coordinates import looks_like_coordinate

    for found in COORDINATE.finditer(text):
        value = found[0].strip()
        before = text[: found.start()]
        if not looks_like_coordinate(value):
            continue
        moved = MOVED_FROM.search(before)
        before = before[: moved.start("word")] if moved else before
        elsewhere = ELSEWHERE.search(before)
        if elsewhere:
            read.problems.append(
                f"{quoted(value)} stands behind '{elsewhere[0].strip()}' and is not taken as where "
                "you stood; write it as an item of its own if it is"
            )
            continue
        written = text[len(before) : found.end()].strip()
        read.items.append(Item(field="coordinate", value=value, written=written))
        return f"{before.rstrip()} ; {text[found.end() :].lstrip()}"
    return text


def take_subject(text: str, names: Collection[str], read: LineRead) -> str:
    """Take a state with the name after it, or a name on record, off the beginning."""
    state = re.match(STATE + r":?\s*", text)
    rest = text[state.end() :] if state else text
    if state is None:
        end = _known_name(rest, names)
        if end == 0:
            return text
    else:
        if NO_NAME.match(rest):
            return text
        end = _name_end(rest, names)
        read.items.append(state_item(state["state"], state[0].strip()))
    if folded(rest[:end]) in names:  # as it stands, whatever is in it
        read.items.append(
            Item(field="subject", value=rest[:end].strip(), written=rest[:end].strip())
        )
        return rest[end:]
    name, seen_from, place = rest[:end].partition(" from ")
    if seen_from and place.strip():
        read.kept.append(f"from {place}".strip())
    name = LEFT_OF_A_NAME.sub("", name.strip(" \"'“”"))
    bare = re.sub(r"^(?i:the|an?)\s+", "", name)
    once = re.compile(r"\s+(?i:once more|again)$")
    likely = (name, bare, once.sub("", name), once.sub("", bare))
    name = next((n for n in likely if folded(n) in names), name)
    if name:
        read.items.append(Item(field="subject", value=name, written=rest[:end].strip()))
    return rest[end:]


def _name_end(text: str, names: Collection[str]) -> int:
    """Where the name after a state ends; one on record may hold what ends others."""
    part = PART.search(text)
    end = part.start() if part else len(text)
    found = NAME_ENDS.search(text[:end])
    end = found.start() if found else end
    colon = text.find(": ", 0, end)
    end = colon if colon > 0 else end
    known = _known_name(text, names)
    behind = text[known:].lstrip()
    ends_there = not behind or PART.match(text, known) or NAME_ENDS.match(text, known)
    return known if known > end and ends_there else end


def _known_name(text: str, names: Collection[str]) -> int:
    """How many characters of the beginning are a name on record; the longest wins."""
    ends = [i for i, ch in enumerate(text) if not ch.isalnum()]
    return next((end for end in [len(text), *reversed(ends)] if text[:end].casefold() in names), 0)
