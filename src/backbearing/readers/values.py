"""Numbers, instants and words as a file writes them, read strictly."""

from __future__ import annotations

import math
import re
import unicodedata
from datetime import date

XML_SPACE = " \t\r\n"
BELIEVABLE_YEARS = range(1990, 2100)  # outside them the recorder's clock was not set
MOST_REMEMBERED = 100_000
DIRECTION_OVERRIDES = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"

FARTHEST_HEIGHT_M = 100_000.0
NO_TIME = -(2**63)  # milliseconds; what datetime64 keeps for NaT
EPOCH_DAY = date(1970, 1, 1).toordinal()
DAY_MS = 86_400_000
FIRST_MS = (date.min.toordinal() - EPOCH_DAY) * DAY_MS
LAST_MS = (date.max.toordinal() + 1 - EPOCH_DAY) * DAY_MS - 1

_instant = re.compile(
    r"([0-9]{4})-([0-9]{2})-([0-9]{2})[Tt ]([0-9]{2}):([0-9]{2}):([0-9]{2})(?:\.([0-9]+))?"
    r"(?:([Zz])|([+-])([0-9]{2}):?([0-9]{2}))?"
).fullmatch


def decimal(text: str) -> float | None:
    """The number in `text`, None where it is not an ASCII decimal.

    xsd:decimal, and the exponent some writers give numbers near zero ('-5.2E-5').
    float() alone would take '1_0', '４６', 'nan' and 'inf' too.
    """
    if "_" in text or not text.isascii():
        return None
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


class Instants:
    """Times of xsd:dateTime → milliseconds since 1970 in UTC; remembers what repeats."""

    def __init__(self) -> None:
        # '2026-05-16T12:04:' and '07Z' repeat through a track: two look-ups in place of a parse
        self.minutes: dict[str, int] = {}
        self.seconds: dict[str, int] = {}

    def read(self, text: str) -> tuple[int, bool, bool] | None:
        """(milliseconds, has a zone, year is believable), None where it is no date and time.

        A time without a zone is taken as UTC. Fractions are cut to milliseconds.
        24:00:00 is the end of a day (xsd), second 60 a leap second.
        """
        found = _instant(text.strip(XML_SPACE))
        if not found:
            return None
        year, month, day, hour, minute, second = (int(found[i]) for i in range(1, 7))
        try:
            days = date(year, month, day).toordinal() - EPOCH_DAY
        except ValueError:
            return None
        offset_min = 0
        if found[9]:
            offset_min = int(found[10]) * 60 + int(found[11])
            offset_min = -offset_min if found[9] == "-" else offset_min
        if hour > 24 or minute > 59 or second > 60 or abs(offset_min) > 14 * 60:
            return None
        if hour == 24 and (minute or second):
            return None
        minute_ms = days * DAY_MS + (hour * 60 + minute) * 60_000
        second_ms = second * 1000 + int(((found[7] or "") + "000")[:3]) - offset_min * 60_000
        ms = minute_ms + second_ms
        if not FIRST_MS <= ms <= LAST_MS:
            return None
        has_zone = bool(found[8] or found[9])
        believable = year in BELIEVABLE_YEARS
        if has_zone and believable and hour < 24 and text[16] == ":":  # no space before it
            if len(self.minutes) + len(self.seconds) > MOST_REMEMBERED:
                self.minutes.clear()
                self.seconds.clear()
            self.minutes[text[:17]] = minute_ms
            self.seconds[text[17:]] = second_ms
        return ms, has_zone, believable


def words(text: str) -> str:
    """Text without control characters and direction overrides; line breaks and tabs stay."""
    text = text.strip()
    if text.isprintable():
        return text
    return "".join(
        ch
        for ch in text
        if ch in "\n\t"
        or (unicodedata.category(ch) not in ("Cc", "Cs", "Cn") and ch not in DIRECTION_OVERRIDES)
    )


def one_line(text: str) -> str:
    """`words` in one line, runs of white space made one space."""
    return words(" ".join(text.split()))
