"""Clock times and days as people write them; a zone is rarely written, it comes from the place."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, time, timedelta, timezone

from backbearing.errors import BadInput, quoted

CLOCK = (
    r"(?:[01]?\d|2[0-3])[:.h][0-5]\d(?::[0-5]\d)?(?:\s*[ap]\.?m\.?)?"
    r"|(?:[01]\d|2[0-3])[0-5]\d(?:\s?h(?:rs)?)?"
    r"|1?\d\s*[ap]\.?m\.?"
)
_CLOCK = re.compile(
    r"(\d{1,2})(?:[:.h](\d{2})(?::(\d{2}))?)?\s*([ap])?\.?(?:m\.?)?|(\d{2})(\d{2})(?:\s?h(?:rs)?)?",
    re.IGNORECASE | re.ASCII,
)

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_FULL_MONTHS = (
    *("january", "february", "march", "april", "may", "june", "july"),
    *("august", "september", "october", "november", "december"),
)
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_FULL_WEEKDAYS = (
    *("monday", "tuesday", "wednesday", "thursday"),
    *("friday", "saturday", "sunday"),
)
_MONTH = "|".join([*_FULL_MONTHS, "sept", *MONTHS])
_WEEKDAY = "|".join([*_FULL_WEEKDAYS, "tues", "thurs", "thur", *WEEKDAYS])

DAY = (
    rf"(?:(?:{_WEEKDAY})\b[.,]?\s*)?(?:"
    r"\d{4}-\d{1,2}-\d{1,2}"
    r"|\d{1,2}[/.]\d{1,2}[/.]\d{4}"
    rf"|\d{{1,2}}(?:st|nd|rd|th)?\s*(?:of\s+)?(?:{_MONTH})\b\.?,?(?:\s*\d{{4}})?"
    rf"|(?:{_MONTH})\.?\s+\d{{1,2}}(?:st|nd|rd|th)?\b(?:,?\s*\d{{4}})?"
    r")"
)
_DAY_FORMS = (
    re.compile(r"(?P<y>\d{4})-(?P<m>\d{1,2})-(?P<d>\d{1,2})", re.ASCII),
    re.compile(r"(?P<a>\d{1,2})[/.](?P<b>\d{1,2})[/.](?P<y>\d{4})", re.ASCII),
    re.compile(
        rf"(?P<d>\d{{1,2}})(?:st|nd|rd|th)?\s*(?:of\s+)?(?P<name>{_MONTH})\.?,?(?:\s*(?P<y>\d{{4}}))?",
        re.IGNORECASE | re.ASCII,
    ),
    re.compile(
        rf"(?P<name>{_MONTH})\.?\s+(?P<d>\d{{1,2}})(?:st|nd|rd|th)?(?:,?\s*(?P<y>\d{{4}}))?",
        re.IGNORECASE | re.ASCII,
    ),
)
_LEADING_WEEKDAY = re.compile(rf"({_WEEKDAY})\b[.,]?\s*", re.IGNORECASE)
_DAY_AND_CLOCK = re.compile(
    rf"(?P<day>{DAY})(?:T|,?\s+at\s+|,?\s+)(?P<clock>{CLOCK})\s*(?P<zone>Z|UTC|[+-]\d\d:?\d\d)?",
    re.IGNORECASE | re.ASCII,
)
_YEARS_BACK = 28  # within it every date falls on every weekday, century years aside


def month_named(word: str) -> int | None:
    """The place in the year, 0 … 11, of a month's name or its first letters, three or more."""
    return _named(word, _FULL_MONTHS)


def weekday_named(word: str) -> int | None:
    """The place in the week, Monday 0, of a weekday's name or its first letters, three or more."""
    return _named(word, _FULL_WEEKDAYS)


def _named(word: str, names: tuple[str, ...]) -> int | None:
    short = word.strip().lower()
    if len(short) < 3:
        return None
    return next((i for i, name in enumerate(names) if name.startswith(short)), None)


def read_clock(text: str, *, where: str = "time") -> time:
    """Answer which clock time is written: `14:32`, `14.32`, `1432`, `14:32:05`, `2:32pm`, `2 pm`.

    Raises BadInput where it is none.
    """
    found = _CLOCK.fullmatch(text.strip())
    remedy = "write it as 14:32"
    if not found or (not found[2] and not found[4] and not found[5]):
        raise BadInput(f"{quoted(text)} is not a clock time", where=where, remedy=remedy)
    hour, minute = int(found[1] or found[5]), int(found[2] or found[6] or 0)
    second = int(found[3] or 0)
    half = (found[4] or "").lower()
    if half:
        if not 1 <= hour <= 12:
            raise BadInput(f"{quoted(text)} has no such hour", where=where, remedy=remedy)
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour > 23 or minute > 59 or second > 59:
        raise BadInput(f"{quoted(text)} has no such hour or minute", where=where, remedy=remedy)
    return time(hour, minute, second)


def read_day(text: str, *, latest: date, where: str = "day") -> date:
    """Answer which day is written: `2026-03-14`, `14 March 2026`, `Sat 14 Mar`, `14/3/2026`.

    Without a year it is the last such day not after `latest`; a weekday narrows that down.

    Raises BadInput where it is no day, the weekday is another, or day and month could be swapped.
    """
    written = text.strip()
    weekday: int | None = None
    named = _LEADING_WEEKDAY.match(written)
    if named:
        weekday = WEEKDAYS.index(named[1][:3].lower())
        written = written[named.end() :]
    found = next((m for m in (form.fullmatch(written) for form in _DAY_FORMS) if m), None)
    if found is None:
        raise BadInput(f"{quoted(text)} is not a day", where=where, remedy="write it as 2026-03-14")
    parts = found.groupdict()
    if "a" in parts:
        first, second = int(parts["a"]), int(parts["b"])
        if first != second and first <= 12 and second <= 12:
            raise BadInput(
                f"{quoted(text)} could be two days", where=where, remedy="write it as 2026-03-14"
            )
        day, month = (first, second) if second <= 12 else (second, first)
    else:
        day = int(parts["d"])
        month = int(parts["m"]) if "m" in parts else MONTHS.index(parts["name"][:3].lower()) + 1
    if parts["y"]:
        years = [int(parts["y"])]
    else:
        years = list(range(latest.year, max(0, latest.year - _YEARS_BACK - 1), -1))
    days = [made for made in (_date(year, month, day) for year in years) if made]
    if not days:
        raise BadInput(
            f"{quoted(text)} is not in the calendar", where=where, remedy="write it as 2026-03-14"
        )
    if not parts["y"]:
        days = [d for d in days if d <= latest]
    fitting = [d for d in days if weekday is None or d.weekday() == weekday]
    if not fitting:
        really = _FULL_WEEKDAYS[days[0].weekday()].capitalize()
        raise BadInput(
            f"{quoted(text)} is a {really}", where=where, remedy="mend the weekday or the day"
        )
    return fitting[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayAndClock:
    """A day and a clock time written together, each as it was written; `zone` mostly None."""

    day: str
    clock: str
    zone: timezone | None


def split_day_and_clock(text: str, *, where: str = "time") -> DayAndClock | None:
    """Answer what day, clock time and zone are written together: `2026-03-14 14:32`, with a Z.

    None where it has not that form. Raises BadInput for an offset of a day and more.
    """
    found = _DAY_AND_CLOCK.fullmatch(text.strip())
    if not found:
        return None
    zone = _offset(found["zone"], where) if found["zone"] else None
    return DayAndClock(day=found["day"], clock=found["clock"], zone=zone)


def _offset(text: str, where: str) -> timezone:
    """`Z`, `UTC`, `+02:00`, `-0130` as a zone."""
    if text.upper() in ("Z", "UTC"):
        return UTC
    minutes = int(text[1:3]) * 60 + int(text[-2:])
    if minutes >= 24 * 60:
        raise BadInput(
            f"{quoted(text)} is no zone offset", where=where, remedy="write it as +02:00"
        )
    return timezone(timedelta(minutes=-minutes if text[0] == "-" else minutes))


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
