"""The forms of the items of a field record, as patterns: what `readers.noteline` looks for.

Patterns begin at the beginning of what is left of a part; `HEAD` at that of the line.
"""

from __future__ import annotations

import re

from backbearing.places.clocks import CLOCK, DAY

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
STATE = r"(?i:(?P<state>seen|saw|scouted|waiting(?:\s+for\s+(?:the\s+)?light)?|made|gone))\b"
STATE_WORDS = {"saw": "seen", "waiting": "waiting for light"}
TAIL = r"(?P<tail>\S.*)"

# Items that end a name or a free text before the clause does: dictation has few commas
STRONG = re.compile(
    rf"\s(?={_MARKED}|\d{{3}}\s?°?m?\s+{_LENGTH_AFTER}|(?i:top|foot):?\s*[-+−–]?\d"
    r"|(?i:edges|left edge|right edge)\s+\d|(?i:back to|last sure)\s"
    r"|(?i:(?:blocked|next|next time|words|photos?):)|(?i:wpt|waypoint)\s+\S)"
)

_SECONDS = r"(?:\s?['′’]\s?(?:\d{1,2}(?:\.\d+)?\s?(?:[\"″”]|''))?)?"
_DMS = rf"\d{{1,3}}(?:\s?[°d]\s?|\s)\d{{1,2}}(?:\.\d+)?(?:\s\d{{1,2}}(?:\.\d+)?)?{_SECONDS}"
_DEGREES = r"[-+−]?\d{1,3}\.\d{3,12}\s?°?"
COORDINATE = re.compile(
    r"(?<![\w.])(?:"
    r"geo:[-+\d.,]+(?:;[\w=.-]+)*"
    rf"|[NS]?\s?{_DEGREES}\s?[NS]?\s?[,\s]\s?[EW]?\s?{_DEGREES}\s?[EW]?\b"
    rf"|{_DMS}\s?[NS]\s?[,;]?\s?{_DMS}\s?[EW]\b"
    rf"|[NS]\s?{_DMS}\s?[,;]?\s?[EW]\s?{_DMS}"
    r"|\d{1,2}\s?[C-HJ-NP-X]\s\d{6}(?:\.\d+)?\s\d{6,7}(?:\.\d+)?"
    r"|\d{1,2}[C-HJ-NP-X]\s?[A-HJ-NP-Z]{2}\s?\d{2,5}\s?\d{2,5}"
    r")(?!\w)"
)
EDGES = re.compile(
    rf"(?i:\bedges?):?\s+(?P<left>{_LOOSE})\s*(?:,|/|–|-|\band\b|\bto\b|\s)\s*(?P<right>{_LOOSE})(?![\w.])"
)
QUOTED = re.compile(r"[\"“”](?P<words>[^\"“”]{1,200})[\"“”]")

BULLET = re.compile(r"(?:[-*•#>]+\s+|#+(?=\S))")
GAP = re.compile(r"[\s,;:.–—|-]*")
HEAD = (
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
PART = re.compile(r"\s*(?P<mark>[,;]|\.(?=\s|$)|\s[–—-]\s)\s*")


OPENNESS = {
    **dict.fromkeys(("open", "open sky"), "open"),
    **dict.fromkeys(("tree", "trees", "wood", "woods"), "trees"),
    **dict.fromkeys(("wall", "walls"), "walls"),
    "memory": "memory",
}


# "no wind" after "lit" is of the wind, so a bare "no" must end the part
_LIT = r"lit(?:\s+or\s+not)?(?:\s*[:?=]\s*|\s+)"
_SHADE = r"(?:in\s+)?(?:(?:the|full|deep)\s+)?shade"
_NOT_LIT = rf"not\s+lit|unlit|no\s+(?:sun|light|longer)|{_SHADE}|shaded"
_OVERCAST = r"(?:under\s+)?(?:an?\s+)?(?:overcast|cloudy?)(?:\s+(?:sky|light|day))?"
_SUNNY = r"in\s+(?:(?:the|full)\s+)?sun(?:light)?|sunlit|sunny"


def _form(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"{pattern}(?=$|[\s,;:.)])")


# Tried in this order at the beginning of what is left of a part
FORMS: tuple[tuple[str, re.Pattern[str]], ...] = (
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
            rf"(?:\s+(?:at|by|near))?):?\s+{TAIL}"
        ),
    ),
    ("last sure", _form(rf"(?i:last sure(?:\s+(?:feature|place|point))?(?:\s+was)?):?\s+{TAIL}")),
    ("side", _form(rf"(?i:side):?\s+{TAIL}")),
    (
        "side",
        _form(r"(?P<tail>(?i:left|right|near|far|true left|true right)\s+(?i:bank|side)\b.*)"),
    ),
    ("side", _form(r"(?P<tail>(?i:left|right)(?i:\s+hand)?(?i:\s+side)?\s+(?i:of)\s.+)")),
    ("blocked", _form(rf"(?i:blocked(?:\s+by)?):?\s+{TAIL}")),
    ("next time", _form(rf"(?i:next(?:\s+time:?|:))\s+{TAIL}")),
    ("words", _form(rf"(?i:(?:three\s+)?words):?\s+{TAIL}")),
    ("photo", _form(rf"(?i:photos?|pictures?):?\s+{TAIL}")),
    ("photo", _form(r"(?P<tail>(?i:looking back|facing photo)\b.*)")),
    ("wind", _form(rf"(?i:wind):?\s+{TAIL}")),
    ("water", _form(rf"(?i:water):?\s+{TAIL}")),
    ("snow", _form(rf"(?i:snow):?\s+{TAIL}")),
)

# A whole part, and nothing else, has these
WHOLE: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("distance", re.compile(rf"(?P<d>{_LENGTH})")),
    ("state", re.compile(STATE)),
    (
        "sky",
        re.compile(
            r"(?i:(?:sky:?\s+)?(?:is\s+)?(?:under\s+|by\s+|in\s+|from\s+|pin\s+from\s+)?"
            r"(?:the\s+|a\s+)?(?P<sky>open(?:\s+sky)?|trees?|woods?|walls?|memory))"
        ),
    ),
    (
        "lit",
        re.compile(
            rf"(?i:(?P<no>(?:{_LIT})?(?:{_NOT_LIT})(?:\s.+)?|{_LIT}(?:no?|none|not(?:\s.+)?)))"
        ),
    ),
    ("lit", re.compile(rf"(?i:(?:sky:?\s+|{_LIT})?(?P<overcast>{_OVERCAST}))")),
    ("lit", re.compile(rf"(?i:{_LIT}(?:yes|y|lit)(?:\s.+)?|lit|{_SUNNY})")),
    ("lit", re.compile(r"(?i:lit(?:\s+or\s+not)?\s*[:=])\s*(?P<tail>\w.*)")),
    ("lit", re.compile(r"(?i:lit)\s+(?!(?i:or\s+not)\b)\w.*")),
    ("wind", re.compile(r"(?P<tail>(?i:(?:[\w-]+\s+){1,3}wind|calm|windy|gusty|breezy|windless))")),
    ("water", re.compile(r"(?P<tail>(?i:(?:[\w-]+\s+){1,3}water))")),
    ("snow", re.compile(r"(?P<tail>(?i:(?:[\w-]+\s+){1,3}snow|snow))")),
)
