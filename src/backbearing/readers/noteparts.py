"""The items of a field record, between commas and one after another.

What measures is taken only where it is plain of what: not behind words that fit nothing, not
before words that give it another sense. The words are kept then, and a sentence says so.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator

from backbearing.errors import quoted
from backbearing.places.bearings import short_bearing
from backbearing.readers.noteforms import (
    CONNECT,
    EDGES,
    FORMS,
    LIT,
    LIT_ENDS,
    MEASURE,
    NAMED_TEXT,
    NEXT_SIGHTING,
    NO_NAME,
    OTHER_SENSE,
    PART,
    QUOTED,
    STATE,
    STRONG,
    WHOLE,
)
from backbearing.readers.notehead import take_subject
from backbearing.readers.noteitems import Item, LineRead, folded, items_of

# 'blocked - river in spate', 'next time; bring a saw': the mark stands for a colon
_LOOSE_HEAD = re.compile(r"(?:(?<=[;,.]\s)|(?<=^))((?i:blocked|next time))\s*[;,–—-]\s+(?=\w)")

# An item in quotes from end to end: what stands between them is its text, whatever it looks like
_QUOTED_ITEM = re.compile(
    r"(?:(?<=[,;.]\s)|(?<=^))(?:(?P<head>(?i:blocked|next(?: time)?)):\s?)?"
    r"[\"“”](?P<words>[^\"“”]{1,200})[\"“”](?=\s*(?:$|[,;.]))"
)

# What words behind it can turn into something else
FIGURES = (
    *("bearing", "distance", "top", "foot", "left edge", "right edge", "facing", "tall", "wide"),
    *("sighting", "position error", "track"),
)


def take_quoted(text: str, read: LineRead) -> str:
    """Take the items that stand in quotes from end to end; nothing is looked for in them."""
    while found := _QUOTED_ITEM.search(text):
        head = (found["head"] or "words").lower()
        field = "next time" if head.startswith("next") else head
        read.items.append(Item(field=field, value=found["words"].strip(), written=found[0]))
        text = f"{text[: found.start()]} ; {text[found.end() :]}"
    return text


def take_anywhere(text: str, read: LineRead) -> str:
    """Take the two items that a comma inside must not part: edges and quoted words."""
    edges = EDGES.search(text)
    behind = text[edges.end() :].strip() if edges else ""
    behind = PART.split(behind)[0]
    if edges and (_begins_item(behind, read) or not _another_sense(behind)):
        for name in ("left", "right"):
            value = short_bearing(edges[name])
            read.items.append(Item(field=f"{name} edge", value=value, written=edges[0]))
        text = f"{text[: edges.start()]} ; {text[edges.end() :]}"
    quoted_words = QUOTED.search(text)
    if quoted_words:
        words = quoted_words["words"].strip()
        read.items.append(Item(field="words", value=words, written=quoted_words[0]))
        text = f"{text[: quoted_words.start()]} ; {text[quoted_words.end() :]}"
    return text


def read_parts(text: str, names: Collection[str], read: LineRead) -> None:
    """Read what stands between commas; a free text takes the unread parts that follow it."""
    open_text: int | None = None  # index of the item that a comma alone does not end
    unread = ""
    for mark, part in _parts(_LOOSE_HEAD.sub(r"\1: ", text)):
        before = len(read.items)
        owner = ""
        # a decimal point or comma with a space behind it parts a figure: "8. 5m"
        if mark == "," or re.search(r"\b\d{1,3}$", unread):
            owner = unread if open_text is None else read.items[open_text].written
        if owner and _is_size(part):  # "iron gate, 2m high"
            read.problems.append(
                f"{quoted(part)} may be of {quoted(owner)} and is kept as words; "
                "put a semicolon before it if it is the subject's"
            )
            unread = part
        else:
            unread = _read_part(part, names, read)
        if unread == part and open_text is not None and mark == ",":
            grown = read.items[open_text]
            read.items[open_text] = Item(
                field=grown.field,
                value=f"{grown.value}, {part}",
                written=f"{grown.written}, {part}",
            )
            continue
        if unread:
            read.kept.append(unread)
        if mark != "," or len(read.items) > before or unread:
            open_text = None
        if read.items[before:] and read.items[-1].field in ("blocked", "next time"):
            open_text = len(read.items) - 1


def _is_size(part: str) -> bool:
    """Whether a part is one length and nothing else, be it a distance or a size."""
    sizes = [form for name, form in (*WHOLE, *FORMS) if name in ("distance", "tall", "wide")]
    return any(form.fullmatch(part) for form in sizes) and not MEASURE.match(part)


def _parts(text: str) -> Iterator[tuple[str, str]]:
    """(the mark before it, the part) for every part that is not empty."""
    mark, start = ";", 0
    for found in PART.finditer(text):
        if text[start : found.start()].strip():
            yield mark, text[start : found.start()].strip()
        mark, start = found["mark"].strip(), found.end()
    if text[start:].strip():
        yield mark, text[start:].strip()


def _read_part(part: str, names: Collection[str], read: LineRead) -> str:
    """Read items from the beginning of a part on; answers what is left of it unread."""
    rest, unread = part, ""
    while rest:
        left = _take_lit(rest, read)
        if left != rest:
            rest = left.lstrip(" :,")
            continue
        whole = next(((f, m) for f, form in WHOLE if (m := form.fullmatch(rest))), None)
        if whole:
            read.items.extend(items_of(whole[0], whole[1].groupdict(), rest))
            return unread
        found = _form_at(rest, read)
        if not found:
            left = rest if unread or read.kept else _subject_here(rest, names, read)
            if left == rest:
                break
            rest = left.lstrip(" :,")
            continue
        name, match = found
        groups, end = match.groupdict(), match.end()
        if "tail" in groups:
            strong = STRONG.search(rest, match.start("tail"))
            end = strong.start() if strong else len(rest)
            groups["tail"] = rest[match.start("tail") : end]
        items = list(items_of(name, groups, rest[:end].strip()))
        behind = rest[end:].lstrip(" :,")
        doubt = _doubt(items, groups, behind, read)
        if doubt:
            read.problems.append(doubt)
            unread = f"{unread} {rest[:end].strip()}".strip()
        else:
            read.items.extend(items)
            if name == "height":
                read.problems.append(f"{quoted(items[0].written)} is read as how tall it is")
        rest = behind
    return f"{unread} {_behind_words(rest, names, read)}".strip() if rest else unread


def _take_lit(text: str, read: LineRead) -> str:
    """Take off the beginning whether the sun was on it, with the words that say more of that."""
    ends = LIT_ENDS.search(text)
    said = text[: ends.start()] if ends else text
    found = next((m for form in LIT if (m := form.fullmatch(said))), None)
    if not found:
        return text
    groups = found.groupdict()
    value = next((word for word in ("no", "overcast") if groups.get(word)), "yes")
    value = groups.get("tail") or value
    read.items.append(Item(field="lit", value=value, written=said))
    if MEASURE.search(said):
        read.problems.append(f"{quoted(said)} is read as how it was lit; no measurement is taken")
    return text[len(said) :]


def _form_at(text: str, read: LineRead) -> tuple[str, re.Match[str]] | None:
    """The item that a text begins with, a connecting word before it or not."""
    connected = CONNECT.match(text)
    for start in (0, connected.end()) if connected else (0,):
        for name, form in FORMS:
            if match := form.match(text, start):
                return name, match
    if read.items and read.items[-1].field == "sighting":
        further = NEXT_SIGHTING.match(text)
        if further and (connected or further.end() == len(text)):
            return "sighting", further
    return None


def _subject_here(text: str, names: Collection[str], read: LineRead) -> str:
    """Take a subject that stands behind items instead of before them."""
    if read.has("subject", "state"):
        return text
    if not re.match(STATE, text) and folded(text) not in names:
        return text
    return take_subject(text, names, read)


def _behind_words(text: str, names: Collection[str], read: LineRead) -> str:
    """Read what names itself behind words that fit nothing; a measurement may be of those."""
    named = NAMED_TEXT.search(text)
    words = text[: named.start()] if named else text
    if re.match(rf"{STATE}\s+\w", words) and read.has("subject"):
        read.problems.append(f"{quoted(words)} looks like a second record; give it its own line")
    elif (state := re.match(rf"{STATE}\s+(?=\w)", words)) and not (
        read.has("state") or NO_NAME.match(words, state.end())
    ):
        read.problems.append(f"{quoted(words)} is no record behind other words; put it first")
    elif MEASURE.search(words):
        read.problems.append(
            f"{quoted(words)} may measure something else and is kept as words; "
            "put a comma before the measurement if it is of the subject"
        )
    return f"{words} {_read_part(text[named.end() :], names, read)}".strip() if named else words


# ---------------------------------------------------------------- what is not taken


def _begins_item(text: str, read: LineRead) -> bool:
    """Whether a text begins with a further item."""
    ends = LIT_ENDS.search(text)
    said = text[: ends.start()] if ends else text
    return bool(
        any(form.fullmatch(said) for form in LIT)
        or _form_at(text, read)
        or any(form.fullmatch(text) for _, form in WHOLE)
    )


def _another_sense(behind: str, *, bare: bool = False) -> bool:
    """Whether words that stand behind a figure may give it another sense.

    bare: the figure has neither sign nor unit, so that any word may.
    """
    following = STRONG.search(behind)
    words = behind[: following.start()] if following else behind
    return bool(OTHER_SENSE.match(words) or (bare and words[:1].isalpha()))


def _doubt(items: list[Item], groups: dict[str, str | None], behind: str, read: LineRead) -> str:
    """A sentence where a figure may not be what it looks like, '' where it is plain."""
    if not items or items[0].field not in FIGURES:
        return ""
    item = items[0]
    bare = False
    if item.field in ("top", "foot"):
        figure, sense = groups["a"] or "", (groups["sense"] or "").lower()
        below = re.match(r"[-−–]|minus", figure, re.IGNORECASE)
        above = re.match(r"\+|plus", figure, re.IGNORECASE)
        if (below and sense in ("up", "above")) or (above and sense in ("down", "below")):
            return f"{quoted(item.written)} says both up and down and is kept as words"
        bare = not (below or above or sense or groups["unit"])
    if not behind or _begins_item(behind, read):
        return ""
    if not _another_sense(behind, bare=bare):
        return ""
    return f"{quoted(item.written)} before {quoted(behind)} may mean another thing; kept as words"
