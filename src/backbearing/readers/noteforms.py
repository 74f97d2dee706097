"""The forms of the items of a field record, as patterns: what `readers.noteline` looks for.

Patterns begin at the beginning of what is left of a part; `HEAD` at that of the line. They are
strict on purpose: words that may mean something else are kept as words.
"""

from __future__ import annotations

import re

from backbearing.places.clocks import CLOCK, DAY

_DEGREE = r"(?:\s?[°º˚]|\s?(?i:degrees?|deg)\b\.?)"
_SIGN = r"(?:(?i:minus|plus)\s|[-+−–])"
_NUMBER = rf"{_SIGN}?\d{{1,3}}(?:\.\d{{1,4}})?"
_SENSE = (
    r"(?:\s?(?P<sense>(?i:up|down|above|below))\b(?:\s(?i:the\s)?(?i:level|horizon|eye level))?"
    r"(?!\s(?i:the|an?|to)\b))"
)
_POINT = (
    r"(?:N|NNE|NE|ENE|E|ESE|SE|SSE|S|SSW|SW|WSW|W|WNW|NW|NNW)\b"
    r"|(?i:(?:north|south)(?:[- ]?(?:east|west))?|east|west)\b"
)
_FIGURE = r"\d{1,3}(?:\.\d{1,4})?"
_DIGIT = r"(?:zero|oh|one|two|three|four|five|six|seven|eight|niner?)"
_SPOKEN = rf"\b(?i:{_DIGIT}[ -]{_DIGIT}[ -]{_DIGIT})\b"  # "two one five", as bearings are said
# M for magnetic is a capital: 215m is a length, but after a bearing 8M is one too
MARKED = rf"(?:{_FIGURE}|{_SPOKEN}){_DEGREE}?\s?(?:[MT]|(?i:mag(?:netic)?|true))\b"
_WHOLE_CIRCLE = rf"(?:\d{{3}}(?:\.\d{{1,4}})?|{_SPOKEN}){_DEGREE}"  # 40° alone may be a slope
_BEARING = rf"(?:{MARKED}|{_WHOLE_CIRCLE}|{_POINT})"
# after a word that says it is one
_LOOSE = rf"(?:{MARKED}|{_FIGURE}{_DEGREE}?|{_SPOKEN}|{_POINT})"
_UNIT = r"m|(?i:km|cm|ft|yd|mi|feet|foot|yards?|met(?:re|er)s?)"
_LENGTH = rf"\d{{1,5}}(?:\.\d{{1,3}})?\s?(?:{_UNIT})\b"
_LENGTH_AFTER = rf"\d{{1,5}}(?:\.\d{{1,3}})?\s?(?:{_UNIT}|M)\b"
_PACES = r"\d{1,5}\s(?i:paces|steps)\b"
_ABOUT = r"(?:(?i:about|roughly|around|approx(?:imately)?\.?)\s)?"
_HOW = r"(?i:(?:by\s+|with\s+|a\s)?(?P<how>tape[d]?|pace[ds]?|paces))\b"
_COUNTED_PHOTOS = (
    r"(?i:(?:\d{1,3}|an?|one|two|three|four|five|six|some|a few)\s(?:photos?|pictures?))\b"
)
_FAR_THING = r"[^\d\s](?:(?!\s\d{2,3}\b)[^,;]){0,60}?"  # no second figure in its name
_IS = r":?\s+(?:(?i:is|was|of)\s)?"
_BEARING_WORD = r"(?i:(?:on\s)?(?:a\s)?(?:compass\s)?(?:bearing|brg)|camera to (?:subject|it))"
_NO_SIZE = r"(?!\s?(?i:tall|high|wide|long|deep|thick|across|above|below|up|down)\b)"
STATE = (
    r"(?i:(?P<state>seen|saw|scouted|waiting(?:\s+for\s+(?:the\s+)?light(?:\s+at)?)?|made|gone))\b"
)
STATE_WORDS = {"saw": "seen", "waiting": "waiting for light"}
TAIL = r"(?P<tail>\S.*)"

_ANGLED = rf"(?i:top|foot):?\s*{_SIGN}?\d"
_NAMED_TEXT = (
    r"(?i:(?:blocked|next|next time|words|photos?):)"
    r"|(?i:back to|last sure|sighting to|three words)\s"
)
_MEASURE = (
    rf"{MARKED}|\d{{3}}{_DEGREE}?m?\s+{_LENGTH_AFTER}|{_BEARING_WORD}:?\s+(?:(?i:is|of)\s)?{_LOOSE}"
    rf"|{_LENGTH}\s+(?i:at\s)?{MARKED}|{_ANGLED}|(?i:edges|left edge|right edge)\s+\d"
)
# What ends a free text before its clause does (dictation has few commas), unless a preposition
# before it makes it part of the text: "gate at 215M"
STRONG = re.compile(
    r"(?<!\sat)(?<!\sto)(?<!\sof)(?<!\son)(?<!\sby)(?<!\sfrom)(?<!\snear)(?<!\spast)(?<!\stowards)"
    rf"\s(?={_MEASURE}|{_NAMED_TEXT}|(?i:wpt|waypoint)\s+#?\d)"
)
# What ends a name, which holds none of these
NAME_ENDS = re.compile(
    rf"\s(?={_MEASURE}|{_NAMED_TEXT}|(?i:wpt|waypoint)\s+#?\S|(?i:not lit|unlit|blocked by)\b"
    r"|(?i:left|right) of\s|(?i:next time)\s|\d{3}\s\d{1,3}(?=$|\s)"
    rf"|{_LENGTH}|(?i:facing|faces)\s+{_LOOSE}|(?i:by|with)\s(?i:phone|baseplate|sighting)\b|{_PACES}|{_COUNTED_PHOTOS})"
)
NAMED_TEXT = re.compile(rf"\s(?={_NAMED_TEXT})")  # an item wherever it stands
MEASURE = re.compile(rf"(?<!\S)(?:{_MEASURE}|{_LENGTH}\s+{_HOW}|{_PACES})")
LEFT_OF_A_NAME = re.compile(r"(?i:\s+(?:at|on|from|with|to|is|a))+$")
# No name begins so: "seen from the road", "made it out by four"
NO_NAME = re.compile(
    r"(?i:from|by|to|at|for|with|when|while|it|nothing|nobody|no one|again|before|after|earlier"
    r"|already|and|not|but|only|home|back|away|out|off|up|down|camp|tea|coffee|lunch"
    r"|\d{1,2}\s?[ap]m)\b"
)

_SECONDS = r"(?:\s?['′’]\s?(?:\d{1,2}(?:\.\d+)?\s?(?:[\"″”]|''))?)?"
_DMS = rf"\d{{1,3}}(?:\s?[°d]\s?|\s)\d{{1,2}}(?:\.\d+)?(?:\s\d{{1,2}}(?:\.\d+)?)?{_SECONDS}"
_DEGREES = r"[-+−]?\d{1,3}\.\d{3,12}(?:\s?°|\s(?i:degrees))?"
_SIDE = r"(?i:[NSEW]|north|south|east|west)\b"
COORDINATE = re.compile(
    r"(?<![\w.])(?:"
    r"geo:[-+\d.,]+(?:;[\w=.-]+)*"
    rf"|{_DEGREES}\s?{_SIDE}\s?[,;]?\s?{_DEGREES}\s?{_SIDE}"
    rf"|{_SIDE}\s?{_DEGREES}\s?[,;]?\s?{_SIDE}\s?{_DEGREES}"
    rf"|{_DEGREES}(?:\s?,\s?|\s){_DEGREES}(?!\s?(?:{_SIDE}))"
    rf"|{_DMS}\s?{_SIDE}\s?[,;]?\s?{_DMS}\s?{_SIDE}"
    rf"|{_SIDE}\s?{_DMS}\s?[,;]?\s?{_SIDE}\s?{_DMS}"
    r"|\d{1,2}\s?[C-HJ-NP-X]\s\d{6}(?:\.\d+)?\s\d{6,7}(?:\.\d+)?"
    r"|\d{1,2}[C-HJ-NP-X]\s?[A-HJ-NP-Z]{2}\s?\d{2,5}\s?\d{2,5}"
    r")(?!\w)(?!\.\d)"
)
# Before a coordinate or waypoint these say that the record was made elsewhere
ELSEWHERE = re.compile(
    r"(?i:\b(?:of|from|near|past|beyond|behind|below|above|opposite|towards?|to|before|after"
    r"|between|like|as))\s*$"
)
# … but "215M 8m from" a place is the card's own bearing and distance
MOVED_FROM = re.compile(rf"{MARKED}\s+{_LENGTH_AFTER}(?:\s+(?:taped|paced))?\s+(?P<word>from)\s*$")
EDGES = re.compile(
    rf"(?i:\bedges?):?\s+(?:(?i:from|at)\s)?(?P<left>{_LOOSE})"
    rf"\s*(?:,|/|–|-|\band\b|\bto\b|\s)\s*(?P<right>{_LOOSE})(?![\w.])"
)
QUOTED = re.compile(r"[\"“”](?P<words>[^\"“”]{1,200})[\"“”]")
# "215 degrees, magnetic" is one bearing
COMMA_BEFORE_REFERENCE = re.compile(
    r"(?<=\d|°|e|s|g)\s?,\s?(?=(?i:magnetic|mag|true)(?:$|[\s,;.]))"
)

BULLET = re.compile(r"(?:[-*•#>]+\s+|#+(?=\S))")
GAP = re.compile(r"[\s,;:.–—|-]*")
HEAD = (
    ("day", re.compile(rf"(?i:on\s+)?(?P<v>(?i:{DAY}))(?=$|[\s,;:T])", re.ASCII)),
    (
        "time",
        re.compile(
            r"(?i:(?:at|time):?\s+)?"
            r"(?P<v>\d{1,2}\s[0-5]\d\s?(?i:[ap]\.?m\b\.?)"
            rf"|(?:[01]\d|2[0-3])\s[0-5]\d(?=\s*(?:[,;]|{STATE.replace('?P<state>', '?:')}))"
            rf"|(?i:{CLOCK}))(?:\s(?i:hrs|hours|o'clock))?"
            r"(?!\w)(?!\s?(?:[mMT]|km|ft|met(?:re|er)s?|(?i:paces|steps|deg|degrees|mag))\b)",
            re.ASCII,
        ),
    ),
    ("track", re.compile(r"(?i:track)\s+#?(?P<v>\d{1,9})\b(?!\s?(?:m|km|ft|mi)\b)", re.ASCII)),
    (
        "waypoint",
        re.compile(
            r"(?i:(?:at\s|from\s)?(?:wpt|waypoint|wp))[.:]?\s*(?i:(?:no|number)\.?\s*)?"
            r"(?P<v>#?[\w-]*\d[\w-]*|\S+)"
        ),
    ),
)
# What only a calendar could turn into a day
VAGUE_DAY = re.compile(
    r"(?i:(?:(?:on|next|last)\s)?(?:mon|tues|wednes|thurs|fri|satur|sun)day|tomorrow"
    r"|(?:the\s)?(?:next|second|third|last)\sday|day\s(?:\d+|two|three|four))"
    r"[:.,]?\s*(?=$|\d{1,2}[:.]\d\d\b|\d{4}\s)"
    r"|\d{1,2}/\d{1,2}(?=$|[\s,;:])"
)
# a comma within a figure (8,5 m) parts nothing
PART = re.compile(r"\s*(?P<mark>(?<!\d),|,(?!\d)|;|\.(?=\s|$)|\s[–—-]\s)\s*")
CONNECT = re.compile(r"(?i:and|then|also|with|plus)\s+")

# What follows a figure and says that it is something else, or not meant
OTHER_SENSE = re.compile(
    r"(?:(?i:of|from|to|or|not|per|by|x|less|more|than|along|past|behind|beyond|before|after|until"
    r"|till|each|either|half|plus|minus|ish|grid|north|south|east|west|northwards?|inside|within"
    r"|down|up|below|above|under|over|away from|short|short of|on from|am|pm|and a)\b|[±+/?~x×-])"
    r"|.*\b(?i:degrees?|deg|magnetic|mag|minus|below|down|grid)\b"
)

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
# A part has these, up to what LIT_ENDS finds in it
LIT = (
    re.compile(rf"(?i:(?P<no>(?:{_LIT})?(?:{_NOT_LIT})(?:\s.+)?|{_LIT}(?:no?|none|not(?:\s.+)?)))"),
    re.compile(rf"(?i:(?:sky:?\s+|{_LIT})?(?P<overcast>{_OVERCAST}))"),
    re.compile(rf"(?i:{_LIT}(?:yes|y|lit)(?:\s.+)?|lit|{_SUNNY})"),
    re.compile(r"(?i:lit(?:\s+or\s+not)?\s*[:=])\s*(?P<tail>\w.*)"),
    re.compile(r"(?i:lit)\s+(?!(?i:or\s+not)\b)\w.*"),
)
LIT_ENDS = re.compile(
    rf"{STRONG.pattern}|\s(?={STATE.replace('?P<state>', '?:')}\s)"
    r"|(?<!no)\s(?=(?i:wind|water|snow|photos?|(?:left|right) (?:of|bank))\s)"
)


def _form(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"{pattern}(?=$|[\s,;)]|[:.](?!\d))")


def _angle(name: str) -> re.Pattern[str]:
    return _form(
        rf"(?i:{name})(?:{_IS}|:?\s+(?i:at)\s|:?\s*)(?P<a>{_NUMBER}(?P<unit>{_DEGREE}?)){_SENSE}?"
    )


# Tried in this order at the beginning of what is left of a part
FORMS: tuple[tuple[str, re.Pattern[str]], ...] = (
    (
        "bearing and distance",
        _form(
            rf"(?:{_BEARING_WORD}{_IS})?(?P<b>{_BEARING}|\d{{3}}m?(?=\s))\s+"
            rf"(?i:at\s+|for\s+|and\s+)?{_ABOUT}(?P<d>{_LENGTH_AFTER}|{_PACES})(?:\s+{_HOW})?"
            rf"(?:\s(?i:away|off))?{_NO_SIZE}"
        ),
    ),
    (
        "bearing and distance",
        _form(
            rf"{_ABOUT}(?P<d>{_LENGTH}|{_PACES})(?:\s+{_HOW})?(?:\s(?i:away|off))?\s+"
            rf"(?:(?i:at|on)\s+)?(?:{_BEARING_WORD}{_IS})?"
            rf"(?P<b>{MARKED}|{_WHOLE_CIRCLE}|(?<=\s(?i:at)\s)\d{{3}})"
        ),
    ),
    ("bearing", _form(rf"{_BEARING_WORD}{_IS}(?P<b>{_LOOSE})")),
    ("bearing", _form(rf"(?P<b>{MARKED}|{_WHOLE_CIRCLE})")),
    (
        "distance",
        _form(
            rf"(?i:(?:a\s)?distance|dist|(?P<how>taped|paced)){_IS}{_ABOUT}"
            rf"(?P<d>{_LENGTH}|{_PACES})(?:\s(?i:taped|paced))?"
        ),
    ),
    ("distance", _form(rf"{_ABOUT}(?P<d>{_LENGTH})\s+{_HOW}(?:\s(?i:away|off))?")),
    ("distance", _form(rf"{_ABOUT}(?P<d>{_PACES})(?:\s(?i:away|off))?")),
    ("measured", _form(_HOW)),
    ("top", _angle("top")),
    ("foot", _angle("foot")),
    ("left edge", _form(rf"(?i:left edge){_IS}(?P<b>{_LOOSE})")),
    ("right edge", _form(rf"(?i:right edge){_IS}(?P<b>{_LOOSE})")),
    (
        "sighting",
        _form(
            r"(?i:back\s+bearings?(?:\s+to)?|back\s+to|sighting(?:\s+to)?):?\s+"
            rf"(?P<to>{_FAR_THING}):?\s+(?P<b>{MARKED}|{_WHOLE_CIRCLE}|(?:{_POINT}|\d{{3}})$)"
            rf"(?!\s+{_LENGTH_AFTER})"
        ),
    ),
    ("facing", _form(rf"(?i:fac(?:es|ing)):?\s+(?P<b>{_LOOSE})")),
    ("tall", _form(rf"{_ABOUT}(?P<d>{_LENGTH})\s+(?i:tall|high)")),
    ("tall", _form(rf"(?i:tall){_IS}{_ABOUT}(?P<d>{_LENGTH})")),
    ("height", _form(rf"(?i:height){_IS}{_ABOUT}(?P<d>{_LENGTH})")),
    ("wide", _form(rf"{_ABOUT}(?P<d>{_LENGTH})\s+(?i:wide)")),
    ("wide", _form(rf"(?i:wide|width){_IS}{_ABOUT}(?P<d>{_LENGTH})")),
    (
        "position error",
        _form(rf"(?i:(?:position\s+)?error:?\s+|±\s?|\+\s?/?\s?-\s?)(?P<d>{_LENGTH})"),
    ),
    (
        "waypoint",
        _form(
            r"(?i:at\s+|from\s+)?(?i:wpt|waypoint)[.:]?\s+(?i:(?:no|number)\.?\s*)?"
            r"(?P<v>#?[\w-]*\d[\w-]*|-)"
        ),
    ),
    ("track", _form(r"(?i:track)\s+#?(?P<v>\d{1,9})(?!\s?(?:m|km|ft|mi)\b)")),
    (
        "instrument",
        _form(r"(?i:by|with)\s+(?P<v>(?i:sighting compass|baseplate|phone))(?i:\s+compass)?"),
    ),
    ("sky", _form(rf"(?P<sky>(?i:open sky|trees|walls|memory))(?=\s+(?:{_MEASURE}))")),
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
    (
        "photo",
        _form(rf"(?P<tail>(?:(?i:looking back|facing photo)\b|{_COUNTED_PHOTOS}).*)"),
    ),
    ("wind", _form(rf"(?i:wind):?\s+{TAIL}")),
    (
        "water",
        _form(rf"(?i:water):?\s+(?!(?i:wheels?|mill|tank|tower|pipes?|falls?|works)\b){TAIL}"),
    ),
    ("snow", _form(rf"(?i:snow):?\s+{TAIL}")),
)

# After a sighting a further one needs no word of its own
NEXT_SIGHTING = _form(
    rf"(?i:and\s+)?(?i:to\s+)?(?P<to>{_FAR_THING}):?\s+(?P<b>{MARKED}|{_WHOLE_CIRCLE})"
    rf"(?!\s+{_LENGTH_AFTER})"
)

# A whole part, and nothing else, has these
WHOLE: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("distance", re.compile(rf"{_ABOUT}(?P<d>{_LENGTH})(?:\s(?i:away|off|distant))?")),
    ("state", re.compile(STATE)),
    (
        "sky",
        re.compile(
            r"(?i:(?:sky:?\s+)?(?:is\s+)?(?:under\s+|by\s+|in\s+|from\s+|pin\s+from\s+)?"
            r"(?:the\s+|a\s+)?(?P<sky>open(?:\s+sky)?|trees?|woods?|walls?|memory))"
        ),
    ),
    ("instrument", re.compile(r"(?P<v>(?i:sighting compass|baseplate|phone))(?i:\s+compass)?")),
    ("wind", re.compile(r"(?P<tail>(?i:(?:[\w-]+\s+){1,3}wind|calm|windy|gusty|breezy|windless))")),
    ("at water", re.compile(r"(?i:(?:right\s+)?at\s+the\s+water(?:['’]?s\s+edge|side|line)?)")),
    ("water", re.compile(r"(?P<tail>(?i:(?:[\w-]+\s+){1,3}water))")),
    ("snow", re.compile(r"(?P<tail>(?i:(?:[\w-]+\s+){1,3}snow|snow))")),
)
