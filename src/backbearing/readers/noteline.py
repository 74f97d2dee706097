"""The grammar of one field record: which words of a line are which item of the field card.

    [day] [time] [track 3] [wpt 012] [coordinate] [state] NAME, item, item …

Commas, semicolons, full stops and spaced dashes part the items. An item is known by the word it
begins with, or by its form (`215M 8m`); items that stand one after another need no comma. Words
that fit nothing are kept. The order on the card is `FIELDS`; in a line any order will do.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from backbearing.errors import BadInput
from backbearing.places.clocks import CLOCK, DAY, read_clock, read_day

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


# ---------------------------------------------------------------- forms

_NUMBER = r"[-+−–]?\d{1,3}(?:\.\d{1,4})?"
_POINT = (
    r"(?:N|NNE|NE|ENE|E|ESE|SE|SSE|S|SSW|SW|WSW|W|WNW|NW|NNW)\b"
    r"|(?i:(?:north|south)(?:[- ]?(?:east|west))?|east|west)\b"
)
# M for magnetic is a capital: 215m is a length, but after a bearing 8M is one too
_MARKED = r"\d{1,3}(?:\.\d{1,4})?\s?°?\s?(?:[MT]|(?i:mag(?:netic)?|true))\b"
_BEARING = rf"(?:{_MARKED}|\d{{1,3}}(?:\.\d{{1,4}})?\s?°|{_POINT})"
_LOOSE = rf"(?:{_BEARING}|\d{{1,3}}(?:\.\d{{1,4}})?)"  # after a word that says it is one
_UNIT = r"m|(?i:km|cm|ft|yd|mi|feet|foot|yards?|met(?:re|er)s?)"
_LENGTH = rf"\d{{1,5}}(?:\.\d{{1,3}})?\s?(?:{_UNIT})\b"
_LENGTH_AFTER = rf"\d{{1,5}}(?:\.\d{{1,3}})?\s?(?:{_UNIT}|M)\b"
_HOW = r"(?i:(?:by\s+|with\s+)?(?P<how>tape[d]?|pace[ds]?|paces))\b"
_STATE = r"(?i:(?P<state>seen|saw|scouted|waiting(?:\s+for\s+(?:the\s+)?light)?|made|gone))\b"
_STATES = {"saw": "seen", "waiting": "waiting for light"}
_TAIL = r"(?P<tail>\S.*)"

# Items that end a name or a free text before the clause does: dictation has few commas
_STRONG = re.compile(
    rf"\s(?={_MARKED}|\d{{3}}\s?°?m?\s+{_LENGTH_AFTER}|(?i:top|foot):?\s*[-+−–]?\d"
    r"|(?i:edges|left edge|right edge)\s+\d|(?i:back to|last sure)\s"
    r"|(?i:(?:blocked|next|next time|words|photos?):)|(?i:wpt|waypoint)\s+\S)"
)

_SECONDS = r"(?:\s?['′’]\s?(?:\d{1,2}(?:\.\d+)?\s?(?:[\"″”]|''))?)?"
_DMS = rf"\d{{1,3}}(?:\s?[°d]\s?|\s)\d{{1,2}}(?:\.\d+)?(?:\s\d{{1,2}}(?:\.\d+)?)?{_SECONDS}"
_DEGREES = r"[-+−]?\d{1,3}\.\d{3,12}\s?°?"
_COORDINATE = re.compile(
    r"(?<![\w.])(?:"
    r"geo:[-+\d.,]+(?:;[\w=.-]+)*"
    rf"|[NS]?\s?{_DEGREES}\s?[NS]?\s?[,\s]\s?[EW]?\s?{_DEGREES}\s?[EW]?\b"
    rf"|{_DMS}\s?[NS]\s?[,;]?\s?{_DMS}\s?[EW]\b"
    rf"|[NS]\s?{_DMS}\s?[,;]?\s?[EW]\s?{_DMS}"
    r"|\d{1,2}\s?[C-HJ-NP-X]\s\d{6}(?:\.\d+)?\s\d{6,7}(?:\.\d+)?"
    r"|\d{1,2}[C-HJ-NP-X]\s?[A-HJ-NP-Z]{2}\s?\d{2,5}\s?\d{2,5}"
    r")(?!\w)"
)
_EDGES = re.compile(
    rf"(?i:\bedges?):?\s+(?P<left>{_LOOSE})\s*(?:,|/|–|-|\band\b|\bto\b|\s)\s*(?P<right>{_LOOSE})"
)
_QUOTED = re.compile(r"[\"“”](?P<words>[^\"“”]{1,200})[\"“”]")

_BULLET = re.compile(r"(?:[-*•#>]+\s+|#+(?=\S))")
_GAP = re.compile(r"[\s,;:.–—|-]*")
_HEAD = (
    ("day", re.compile(rf"(?i:on\s+)?(?P<v>(?i:{DAY}))(?=$|[\s,;:T])", re.ASCII)),
    (
        "time",
        re.compile(
            rf"(?i:(?:at|time):?\s+)?(?P<v>(?i:{CLOCK}))"
            r"(?!\w)(?!\s?(?:[mMT]|km|ft|met(?:re|er)s?)\b)",
            re.ASCII,
        ),
    ),
    ("track", re.compile(r"(?i:track)\s+#?(?P<v>\d{1,9})\b", re.ASCII)),
    (
        "waypoint",
        re.compile(r"(?i:wpt|waypoint|wp)\.?\s*(?i:no\.?\s*)?(?P<v>#?[\w-]*\d[\w-]*|\S+)"),
    ),
)
_PART = re.compile(r"\s*(?P<mark>[,;]|\.(?=\s|$)|\s[–—-]\s)\s*")


def read_line(text: str, *, latest: date, names: Sequence[str] = ()) -> LineRead:
    """Answer which items a line holds and which of its words fit none.

    text: one line, single-spaced. latest, names: as in `readers.notes.read_notes`.
    Every word of the line stands in an item's `written` or in `kept`.
    """
    items: list[Item] = []
    problems: list[str] = []
    rest = _BULLET.sub("", text, count=1) if _BULLET.match(text) else text
    day: date | None = None

    rest = _take_coordinate(rest, items)
    while True:
        rest = rest[_gap(rest) :]
        for name, form in _HEAD:
            found = form.match(rest)
            if not found or any(i.field == name for i in items):
                continue
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
    end = _GAP.match(text).end()  # type: ignore[union-attr]  # it matches nothing at least
    return end - 1 if 0 < end < len(text) and text[end - 1] in "-–" and text[end].isdigit() else end


def _take_coordinate(text: str, items: list[Item]) -> str:
    from backbearing.places.coordinates import looks_like_coordinate

    for found in _COORDINATE.finditer(text):
        if looks_like_coordinate(found[0].strip()):
            value = found[0].strip()
            items.append(Item(field="coordinate", value=value, written=value))
            return f"{text[: found.start()].rstrip()} ; {text[found.end() :].lstrip()}"
    return text


def _take_subject(text: str, names: Sequence[str], items: list[Item]) -> str:
    """Take a state with the name after it, or a name on record, off the beginning."""
    state = re.match(_STATE + r":?\s*", text)
    rest = text[state.end() :] if state else text
    known = _known_name(rest, names)
    if state is None and known == 0:
        return text
    if known:
        end = known
    else:
        part = _PART.search(rest)
        end = part.start() if part else len(rest)
        strong = _STRONG.search(rest[:end])
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
    return Item(field="state", value=_STATES.get(first, first), written=written)


def _known_name(text: str, names: Sequence[str]) -> int:
    """How many characters of the beginning are a name on record; the longest wins."""
    lowered = text.casefold()
    best = 0
    for name in names:
        folded = " ".join(name.split()).casefold()
        if (
            folded
            and lowered.startswith(folded)
            and len(folded) > best
            and not lowered[len(folded) : len(folded) + 1].isalnum()
            # casefolding may change lengths; then only an exact match is safe to cut
            and text[: len(folded)].casefold() == folded
        ):
            best = len(folded)
    return best


def _take_anywhere(text: str, items: list[Item]) -> str:
    """Take the two items that a comma inside must not part: edges and quoted words."""
    edges = _EDGES.search(text)
    if edges:
        items.append(Item(field="left edge", value=bearing(edges["left"]), written=edges[0]))
        items.append(Item(field="right edge", value=bearing(edges["right"]), written=edges[0]))
        text = f"{text[: edges.start()]} ; {text[edges.end() :]}"
    quoted_words = _QUOTED.search(text)
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


# ---------------------------------------------------------------- parts

_OPENNESS = {
    **dict.fromkeys(("open", "open sky"), "open"),
    **dict.fromkeys(("tree", "trees", "wood", "woods"), "trees"),
    **dict.fromkeys(("wall", "walls"), "walls"),
    "memory": "memory",
}


def _form(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"{pattern}(?=$|[\s,;:.)])")


# Tried in this order at the beginning of what is left of a part
_FORMS: tuple[tuple[str, re.Pattern[str]], ...] = (
    (
        "bearing and distance",
        _form(
            rf"(?i:(?:bearing|brg):?\s+)?(?P<b>{_BEARING}|\d{{3}}m?(?=\s))\s+"
            rf"(?i:at\s+|for\s+)?(?P<d>{_LENGTH_AFTER}|\d+\s(?i:paces))(?:\s+{_HOW})?"
        ),
    ),
    ("bearing", _form(rf"(?i:bearing|brg|camera to subject):?\s+(?P<b>{_LOOSE})")),
    ("bearing", _form(rf"(?P<b>{_MARKED}|\d{{1,3}}(?:\.\d{{1,4}})?\s?°)")),
    (
        "distance",
        _form(rf"(?i:distance|dist|(?P<how>taped|paced)):?\s+(?P<d>{_LENGTH}|\d+\s(?i:paces))"),
    ),
    ("distance", _form(rf"(?P<d>{_LENGTH})\s+{_HOW}")),
    ("distance", _form(r"(?P<d>\d+\s(?i:paces))")),
    ("measured", _form(_HOW)),
    ("top", _form(rf"(?i:top):?\s*(?P<a>{_NUMBER})\s?°?(?:\s?(?P<sense>(?i:up|down)))?")),
    ("foot", _form(rf"(?i:foot):?\s*(?P<a>{_NUMBER})\s?°?(?:\s?(?P<sense>(?i:up|down)))?")),
    ("left edge", _form(rf"(?i:left edge):?\s+(?P<b>{_LOOSE})")),
    ("right edge", _form(rf"(?i:right edge):?\s+(?P<b>{_LOOSE})")),
    (
        "sighting",
        _form(
            rf"(?i:and\s+)?(?i:back(?:\s+bearings?)?(?:\s+to)?|sighting(?:\s+to)?):?\s+"
            rf"(?P<to>[^\d\s].{{0,60}}?):?\s+(?P<b>{_BEARING})"
        ),
    ),
    ("facing", _form(rf"(?i:fac(?:es|ing)):?\s+(?P<b>{_LOOSE})")),
    ("tall", _form(rf"(?P<d>{_LENGTH})\s+(?i:tall|high)")),
    ("tall", _form(rf"(?i:tall|height):?\s+(?P<d>{_LENGTH})")),
    ("wide", _form(rf"(?P<d>{_LENGTH})\s+(?i:wide)")),
    ("wide", _form(rf"(?i:wide|width):?\s+(?P<d>{_LENGTH})")),
    (
        "position error",
        _form(rf"(?i:(?:position\s+)?error:?\s+|±\s?|\+\s?/?\s?-\s?)(?P<d>{_LENGTH})"),
    ),
    ("waypoint", _form(r"(?i:wpt|waypoint)\.?\s+(?i:no\.?\s*)?(?P<v>#?[\w-]+)")),
    ("track", _form(r"(?i:track)\s+#?(?P<v>\d{1,9})")),
    (
        "instrument",
        _form(r"(?i:(?:by|with)\s+)?(?P<v>(?i:sighting compass|baseplate|phone))(?i:\s+compass)?"),
    ),
    (
        "left the path",
        _form(
            r"(?i:(?:I\s+)?left\s+(?:the\s+)?(?:path|track|road|trail|line|way)\b"
            rf"(?:\s+(?:at|by|near))?):?\s+{_TAIL}"
        ),
    ),
    ("last sure", _form(rf"(?i:last sure(?:\s+(?:feature|place|point))?(?:\s+was)?):?\s+{_TAIL}")),
    ("side", _form(rf"(?i:side):?\s+{_TAIL}")),
    (
        "side",
        _form(r"(?P<tail>(?i:left|right|near|far|true left|true right)\s+(?i:bank|side)\b.*)"),
    ),
    ("side", _form(r"(?P<tail>(?i:left|right)(?i:\s+hand)?(?i:\s+side)?\s+(?i:of)\s.+)")),
    ("blocked", _form(rf"(?i:blocked(?:\s+by)?):?\s+{_TAIL}")),
    ("next time", _form(rf"(?i:next(?:\s+time:?|:))\s+{_TAIL}")),
    ("words", _form(rf"(?i:(?:three\s+)?words):?\s+{_TAIL}")),
    ("photo", _form(r"(?P<tail>(?i:photos?|picture)\b:?\s+.+|(?i:looking back|facing photo).*)")),
    ("wind", _form(rf"(?i:wind):?\s+{_TAIL}")),
    ("water", _form(rf"(?i:water):?\s+{_TAIL}")),
    ("snow", _form(rf"(?i:snow):?\s+{_TAIL}")),
)

# A whole part, and nothing else, has these
_WHOLE: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("distance", re.compile(rf"(?P<d>{_LENGTH})")),
    ("state", re.compile(_STATE)),
    (
        "sky",
        re.compile(
            r"(?i:(?:sky:?\s+)?(?:is\s+)?(?:under\s+|by\s+|in\s+|from\s+|pin\s+from\s+)?"
            r"(?:the\s+|a\s+)?(?P<sky>open(?:\s+sky)?|trees?|woods?|walls?|memory))"
        ),
    ),
    (
        "lit",
        re.compile(r"(?i:(?P<no>not\s+lit|unlit|no\s+sun|in\s+(?:the\s+)?shade|shaded)(\s.+)?)"),
    ),
    ("lit", re.compile(r"(?i:lit(\s.+)?|in\s+(?:the\s+)?sun)")),
    ("wind", re.compile(r"(?P<tail>(?i:(?:[\w-]+\s+){1,3}wind|calm|windy|gusty|breezy|windless))")),
    ("water", re.compile(r"(?P<tail>(?i:(?:[\w-]+\s+){1,3}water))")),
    ("snow", re.compile(r"(?P<tail>(?i:(?:[\w-]+\s+){1,3}snow|snow))")),
)


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
    for found in _PART.finditer(text):
        if text[start : found.start()].strip():
            yield mark, text[start : found.start()].strip()
        mark, start = found["mark"].strip(), found.end()
    if text[start:].strip():
        yield mark, text[start:].strip()


def _read_part(part: str, items: list[Item]) -> str:
    """Read items from the beginning of a part on; answers what is left of it unread."""
    rest = part
    while rest:
        whole = next(((f, m) for f, form in _WHOLE if (m := form.fullmatch(rest))), None)
        if whole:
            items.extend(_items(whole[0], whole[1].groupdict(), rest))
            return ""
        found = next(((f, m) for f, form in _FORMS if (m := form.match(rest))), None)
        if not found:
            break
        name, match = found
        groups, end = match.groupdict(), match.end()
        if "tail" in groups:
            strong = _STRONG.search(rest, match.start("tail"))
            end = strong.start() if strong else len(rest)
            groups["tail"] = rest[match.start("tail") : end]
        items.extend(_items(name, groups, rest[:end].strip()))
        rest = rest[end:].lstrip(" :")
    # an item behind unread words is still an item: "iron gate 215M"
    strong = _STRONG.search(rest)
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
        yield item(name, _OPENNESS[" ".join((groups["sky"] or "").lower().split())])
    elif name == "lit":
        yield item(name, "no" if groups.get("no") else "yes")
    elif name == "instrument":
        yield item(name, (groups["v"] or "").lower())
    elif name in ("waypoint", "track"):
        yield item(name, groups["v"])
    else:
        yield item(name, groups.get("tail"))
