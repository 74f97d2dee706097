"""The grammar of one field record: which words of a line are which item of the field card.

    [day] [time] [track 3] [wpt 012] [coordinate] [state] NAME, item, item …

Commas, semicolons, full stops and spaced dashes part the items. An item is known by the word it
begins with, or by its form (`215M 8m`); items that stand one after another need no comma. Words
that fit nothing are kept. The order on the card is `FIELDS`; in a line any order will do.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from datetime import date

from backbearing.errors import BadInput
from backbearing.places.clocks import read_clock, read_day
from backbearing.readers.noteforms import (
    BULLET,
    COORDINATE,
    EDGES,
    FORMS,
    GAP,
    HEAD,
    OPENNESS,
    PART,
    QUOTED,
    STATE,
    STATE_WORDS,
    STRONG,
    WHOLE,
)

FIELDS = (
    *("day", "time", "track", "waypoint", "coordinate", "position error", "sky", "side"),
    *("bearing", "instrument", "distance", "measured", "top", "foot", "left edge", "right edge"),
    *("sighting", "left the path", "last sure", "lit", "wind", "water", "snow", "words", "photo"),
    *("state", "subject", "facing", "tall", "wide", "blocked", "next time"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing read: its field, its value in the program's own form, and the words it was."""

    field: str
    value: str
    written: str


@dataclass(slots=True, kw_only=True)
class LineRead:
    """What one line held, filled while it is read."""

    day: date | None = None
    heading: bool = False
    items: tuple[Item, ...] = ()
    kept: tuple[str, ...] = ()
    problems: tuple[str, ...] = field(default=())


def read_line(text: str, *, latest: date, names: Collection[str] = ()) -> LineRead:
    """Answer which items a line holds and which of its words fit none.

    text: one line, single-spaced. latest: as in `readers.notes.read_notes`.
    names: subjects on record, each `folded`.
    Every word of the line stands in an item's `written` or in `kept`.
    """
    items: list[Item] = []
    problems: list[str] = []
    rest = BULLET.sub("", text, count=1) if BULLET.match(text) else text
    day: date | None = None

    rest = _take_coordinate(rest, items)
    while True:
        rest = rest[_gap(rest) :]
        for name, form in HEAD:
            found = form.match(rest)
            if not found or any(i.field == name for i in items):
                continue
            if rest[found.end() : found.end() + 1].isalnum():
                continue  # digits that go on in another script: "1432²"
            value = found["v"]
            try:
                if name == "time":
                    value = read_clock(value).isoformat()
                elif name == "day":
                    day = read_day(value, latest=latest)
                    value = day.isoformat()
            except BadInput as error:
                problems.append(str(error))
                continue
            items.append(Item(field=name, value=value, written=found[0]))
            rest = rest[found.end() :]
            break
        else:
            break
    if day is not None and not rest and len(items) == 1:
        return LineRead(day=day, heading=True, items=tuple(items))

    rest = _take_subject(rest, names, items)
    rest = _take_anywhere(rest, items)
    kept = _read_parts(rest, items)
    order = {name: n for n, name in enumerate(FIELDS)}
    items.sort(key=lambda item: order[item.field])  # stable: sightings keep their own order
    return LineRead(day=day, items=tuple(items), kept=tuple(kept), problems=tuple(problems))


def _gap(text: str) -> int:
    """How much of the beginning only parts items; a minus before a digit belongs to it."""
    end = GAP.match(text).end()  # type: ignore[union-attr]  # it matches nothing at least
    return end - 1 if 0 < end < len(text) and text[end - 1] in "-–" and text[end].isdigit() else end


def _take_coordinate(text: str, items: list[Item]) -> str:
    from backbearing.places.coordinates import looks_like_coordinate

    for found in COORDINATE.finditer(text):
        if looks_like_coordinate(found[0].strip()):
            value = found[0].strip()
            items.append(Item(field="coordinate", value=value, written=value))
            return f"{text[: found.start()].rstrip()} ; {text[found.end() :].lstrip()}"
    return text


def _take_subject(text: str, names: Collection[str], items: list[Item]) -> str:
    """Take a state with the name after it, or a name on record, off the beginning."""
    state = re.match(STATE + r":?\s*", text)
    rest = text[state.end() :] if state else text
    known = _known_name(rest, names)
    if state is None and known == 0:
        return text
    if known:
        end = known
    else:
        part = PART.search(rest)
        end = part.start() if part else len(rest)
        strong = STRONG.search(rest[:end])
        end = strong.start() if strong else end
        colon = rest.find(": ", 0, end)
        end = colon if colon > 0 else end
    name = rest[:end].strip(" \"'“”")
    if state:
        items.append(_state_item(state["state"], state[0].strip()))
    if name:
        items.append(Item(field="subject", value=name, written=rest[:end].strip()))
    return rest[end:]


def _state_item(word: str, written: str) -> Item:
    first = word.split()[0].lower()
    return Item(field="state", value=STATE_WORDS.get(first, first), written=written)


def folded(name: str) -> str:
    """A name as it is looked for at the beginning of a line."""
    return " ".join(name.split()).casefold()


def _known_name(text: str, names: Collection[str]) -> int:
    """How many characters of the beginning are a name on record; the longest wins."""
    ends = [i for i, ch in enumerate(text) if not ch.isalnum()]
    return next((end for end in [len(text), *reversed(ends)] if text[:end].casefold() in names), 0)


def _take_anywhere(text: str, items: list[Item]) -> str:
    """Take the two items that a comma inside must not part: edges and quoted words."""
    edges = EDGES.search(text)
    if edges:
        items.append(Item(field="left edge", value=bearing(edges["left"]), written=edges[0]))
        items.append(Item(field="right edge", value=bearing(edges["right"]), written=edges[0]))
        text = f"{text[: edges.start()]} ; {text[edges.end() :]}"
    quoted_words = QUOTED.search(text)
    if quoted_words:
        words = quoted_words["words"].strip()
        items.append(Item(field="words", value=words, written=quoted_words[0]))
        text = f"{text[: quoted_words.start()]} ; {text[quoted_words.end() :]}"
    return text


def bearing(written: str) -> str:
    """A bearing in the short form that `places.bearings` reads: 215M, 35T, 215, SW."""
    short = re.sub(r"[\s°-]", "", written)
    short = re.sub(r"(?i)(?<=\d)mag(?:netic)?$", "M", short)
    short = re.sub(r"(?i)(?<=\d)true$", "T", short)
    if short and short[0].isalpha():
        short = re.sub(r"(?i)(north|south|east|west)", lambda m: m[0][0], short)
    return short.upper()


def _read_parts(text: str, items: list[Item]) -> list[str]:
    """Read what stands between commas; a free text takes the unread parts that follow it."""
    kept: list[str] = []
    open_text: int | None = None  # index of the item that a comma alone does not end
    for mark, part in _parts(text):
        before = len(items)
        unread = _read_part(part, items)
        if unread == part and open_text is not None and mark == ",":
            grown = items[open_text]
            items[open_text] = Item(
                field=grown.field,
                value=f"{grown.value}, {part}",
                written=f"{grown.written}, {part}",
            )
            continue
        if unread:
            kept.append(unread)
        if mark != "," or len(items) > before or unread:
            open_text = None
        if items[before:] and items[-1].field in ("blocked", "next time"):
            open_text = len(items) - 1
    return kept


def _parts(text: str) -> Iterator[tuple[str, str]]:
    """(the mark before it, the part) for every part that is not empty."""
    mark, start = ",", 0
    for found in PART.finditer(text):
        if text[start : found.start()].strip():
            yield mark, text[start : found.start()].strip()
        mark, start = found["mark"].strip(), found.end()
    if text[start:].strip():
        yield mark, text[start:].strip()


def _read_part(part: str, items: list[Item]) -> str:
    """Read items from the beginning of a part on; answers what is left of it unread."""
    rest = part
    while rest:
        whole = next(((f, m) for f, form in WHOLE if (m := form.fullmatch(rest))), None)
        if whole:
            items.extend(_items(whole[0], whole[1].groupdict(), rest))
            return ""
        found = next(((f, m) for f, form in FORMS if (m := form.match(rest))), None)
        if not found:
            break
        name, match = found
        groups, end = match.groupdict(), match.end()
        if "tail" in groups:
            strong = STRONG.search(rest, match.start("tail"))
            end = strong.start() if strong else len(rest)
            groups["tail"] = rest[match.start("tail") : end]
        items.extend(_items(name, groups, rest[:end].strip()))
        rest = rest[end:].lstrip(" :")
    # an item behind unread words is still an item: "iron gate 215M"
    strong = STRONG.search(rest)
    if strong:
        unread = _read_part(rest[strong.end() :], items)
        return f"{rest[: strong.start()]} {unread}".strip()
    return rest


def _items(name: str, groups: dict[str, str | None], written: str) -> Iterator[Item]:
    """The items that one match stands for, their values in the program's own form."""

    def item(of: str, value: str | None) -> Item:
        return Item(field=of, value=" ".join((value or written).split()), written=written)

    how = (groups.get("how") or "").lower()
    if name in ("bearing and distance", "bearing", "distance", "measured"):
        if groups.get("b"):
            yield item("bearing", bearing(groups["b"] or ""))
        if groups.get("d"):
            yield item("distance", groups["d"])
        if how or (groups.get("d") or "").lower().endswith("paces"):
            yield item("measured", "taped" if how.startswith("tape") else "paced")
    elif name in ("top", "foot"):
        value = (groups["a"] or "").replace("−", "-").replace("–", "-").lstrip("+")
        down = (groups["sense"] or "").lower() == "down"
        yield item(name, f"-{value.lstrip('-')}" if down else value)
    elif name == "sighting":
        yield item(name, f"{(groups['to'] or '').strip()} {bearing(groups['b'] or '')}")
    elif name in ("left edge", "right edge", "facing"):
        yield item(name, bearing(groups["b"] or ""))
    elif name in ("tall", "wide", "position error"):
        yield item(name, groups["d"])
    elif name == "state":
        yield _state_item(groups["state"] or "", written)
    elif name == "sky":
        yield item(name, OPENNESS[" ".join((groups["sky"] or "").lower().split())])
    elif name == "lit":
        said = next((word for word in ("no", "overcast") if groups.get(word)), "yes")
        yield item(name, groups.get("tail") or said)
    elif name == "instrument":
        yield item(name, (groups["v"] or "").lower())
    elif name in ("waypoint", "track"):
        yield item(name, groups["v"])
    else:
        yield item(name, groups.get("tail"))
