"""The items of a field record: which there are, and what the words of one stand for."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

from backbearing.places.bearings import short_bearing
from backbearing.readers.noteforms import OPENNESS, STATE_WORDS

FIELDS = (
    *("day", "time", "track", "waypoint", "coordinate", "position error", "sky", "side"),
    *("bearing", "instrument", "distance", "measured", "top", "foot", "left edge", "right edge"),
    *("sighting", "left the path", "last sure", "lit", "wind", "water", "snow", "words", "photo"),
    *("state", "subject", "at water", "facing", "tall", "wide", "blocked", "next time"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing read: its field, its value in the program's own form, and the words it was."""

    field: str
    value: str
    written: str


@dataclass(slots=True, kw_only=True)
class LineRead:
    """What one line held, filled while it is read.

    day_unknown: a day stands in it that cannot be used, so that no earlier one holds on.
    """

    day: date | None = None
    day_unknown: bool = False
    heading: bool = False
    items: list[Item] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)

    def has(self, *fields: str) -> bool:
        return any(item.field in fields for item in self.items)


def folded(name: str) -> str:
    """A name as it is looked for at the beginning of a line."""
    return " ".join(name.split()).casefold()


def state_item(word: str, written: str) -> Item:
    first = word.split()[0].lower()
    return Item(field="state", value=STATE_WORDS.get(first, first), written=written)


def items_of(name: str, groups: dict[str, str | None], written: str) -> Iterator[Item]:
    """The items that one match stands for, their values in the program's own form."""

    def item(of: str, value: str | None) -> Item:
        return Item(field=of, value=" ".join((value or written).split()), written=written)

    how = (groups.get("how") or "").lower()
    if name in ("bearing and distance", "bearing", "distance", "measured"):
        if groups.get("b"):
            yield item("bearing", short_bearing(groups["b"] or ""))
        if groups.get("d"):
            yield item("distance", groups["d"])
        if how or (groups.get("d") or "").lower().endswith(("paces", "steps")):
            yield item("measured", "taped" if how.startswith("tape") else "paced")
    elif name in ("top", "foot"):
        figure = re.search(r"[\d.]+", groups["a"] or "")
        below = re.match(r"[-−–]|minus", groups["a"] or "", re.IGNORECASE)
        down = (groups["sense"] or "").lower() in ("down", "below")
        yield item(name, f"{'-' if below or down else ''}{figure[0] if figure else ''}")
    elif name == "sighting":
        yield item(name, f"{(groups['to'] or '').strip()} {short_bearing(groups['b'] or '')}")
    elif name in ("left edge", "right edge", "facing"):
        yield item(name, short_bearing(groups["b"] or ""))
    elif name in ("tall", "wide", "position error"):
        yield item(name, groups["d"])
    elif name == "height":
        yield item("tall", groups["d"])
    elif name == "state":
        yield state_item(groups["state"] or "", written)
    elif name == "sky":
        yield item(name, OPENNESS[" ".join((groups["sky"] or "").lower().split())])
    elif name == "instrument":
        yield item(name, (groups["v"] or "").lower())
    elif name in ("waypoint", "track"):
        yield item(name, groups["v"])
    else:
        yield item(name, groups.get("tail"))
