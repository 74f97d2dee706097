"""The light calendar: days down, clock across, tone by tone, the good light hatched in red."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from backbearing.places.days import short_month, short_weekday, weekday
from backbearing.places.zones import clock_name, local
from backbearing.saying import say, say_n
from backbearing.writers.apart import apart
from backbearing.writers.page.svg import put, short_number
from backbearing.writers.words import clock_on, day_text, plus_minus_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from markupsafe import Markup

    from backbearing.plans.lightcalendar import CalendarDay, LightCalendar
    from backbearing.plans.page import ReturnPage
    from backbearing.records import LightWindow

_WIDE, _LEFT, _RIGHT, _TOP = 480.0, 82.0, 4.0, 22.0
_WEEK_HIGH, _NEAR_HIGH = 8.0, 20.0
_MOST_RUNS = 3
_TONES = ("night", "twilight", "shade", "sun")


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarWords:
    """The panel in words and drawings."""

    answer: str
    weeks: Markup
    near: Markup
    weekday: str
    rows: tuple[tuple[str, ...], ...]  # of the near days: day, twilight, sun on it, good light
    clock: str
    overcast: bool


def calendars_words(page: ReturnPage) -> tuple[CalendarWords, ...]:
    """The panel for each subject that can be chosen; the one that leads first."""
    return tuple(calendar_words(year.calendar) for year in page.chosen)


def calendar_words(held: LightCalendar) -> CalendarWords:
    """The panel of one calendar."""
    from markupsafe import Markup

    hours = _hours(held.every)
    return CalendarWords(
        answer=_answer(held),
        weeks=Markup(_drawing(held.weeks, hours, _WEEK_HIGH, held)),  # noqa: S704  ElementTree's
        near=Markup(_drawing(held.near, hours, _NEAR_HIGH, held)),  # noqa: S704
        weekday=f"{weekday(held.weeks[0].day)}",
        rows=tuple(_row(each) for each in held.near),
        clock=clock_name(held.zone),
        overcast=any(w.sky == "overcast" for each in held.near for w in each.windows),
    )


def _answer(held: LightCalendar) -> str:
    if not held.good_days:
        return say(
            "{subject}: no good light under a clear sky in {days} days.",
            subject=held.subject,
            days=held.days,
        )
    runs = [_run_text(*run) for run in held.good[:_MOST_RUNS]]
    more = (
        ""
        if len(held.good) <= _MOST_RUNS
        else say(" and {good} times more", good=len(held.good) - _MOST_RUNS)
    )
    return say(
        "{subject}: good light under a clear sky on {good_days} of the "
        "coming {days}: {runs}{more}.",
        subject=held.subject,
        good_days=say_n("{number:,} day", "{number:,} days", held.good_days),
        days=held.days,
        runs=", ".join(runs),
        more=more,
    )


def _run_text(first: date, last: date) -> str:
    if first == last:
        return f"{first.day} {short_month(first)} {first.year}"
    year = f" {first.year}" if first.year != last.year else ""
    return say(
        "{first_day} {month}{year} to {last_day} {month_2} {year_2}",
        first_day=first.day,
        month=short_month(first),
        year=year,
        last_day=last.day,
        month_2=short_month(last),
        year_2=last.year,
    )


def _hours(days: Sequence[CalendarDay]) -> tuple[int, int]:
    """The hours of the clock that are not night throughout, or hold good light."""
    lit = [(a, b) for each in days for a, b, tone in each.tones if tone != "night"]
    lit += [(a, b) for each in days for window in each.windows for _, a, b in on_rows(window)]
    if not lit:
        return 0, 24
    first = max(0, min(a for a, _ in lit) // 60)
    last = min(24, -(-max(b for _, b in lit) // 60))
    return first, last


# ---------------------------------------------------------------- the drawing


def _drawing(
    days: Sequence[CalendarDay], hours: tuple[int, int], high: float, held: LightCalendar
) -> str:
    """One row a day; each tone is one path, so that a year stays small."""
    bottom = _TOP + high * len(days)
    svg = ElementTree.Element(
        "svg",
        {
            "class": "year",
            "viewBox": f"0 0 {_WIDE:.0f} {bottom + 4:.0f}",
            "role": "img",
            "data-top": short_number(_TOP),
            "data-high": short_number(high),
            "data-left": short_number(_LEFT),
            "data-right": short_number(_WIDE - _RIGHT),
            "data-first": str(hours[0]),
            "data-last": str(hours[1]),
            **({"data-near": ""} if high > _WEEK_HIGH else {}),
            "aria-label": apart(say("Light at {subject} by day and clock", subject=held.subject)),
        },
    )

    def x(minute: float) -> float:
        begin, end = hours[0] * 60, hours[1] * 60
        share = (min(max(minute, begin), end) - begin) / max(end - begin, 1)
        return _LEFT + share * (_WIDE - _LEFT - _RIGHT)

    tones: dict[str, list[str]] = {tone: [] for tone in _TONES}
    good: list[str] = []
    under: list[str] = []
    for number, each in enumerate(days):
        y = _TOP + number * high
        for first, last, tone in each.tones:
            left, right = x(first), x(last)
            if right > left:
                tones[tone].append(_box(left, y, right, y + high))
    rows = {each.day: number for number, each in enumerate(days)}
    for own, window in ((each.day, window) for each in days for window in each.windows):
        for day, first, last in on_rows(window):
            # a week's row stands for the days after it too
            y, left, right = _TOP + rows.get(day, rows[own]) * high, x(first), x(last)
            if window.sky == "overcast":
                under.append(f"M{left:.1f} {y + high - 2.5:.1f}H{right:.1f}")
            else:
                good.append(_box(left, y + 0.8, max(right, left + 2), y + high - 0.8))
    for name, boxes in tones.items():
        if boxes:
            put(svg, "path", f"tone {name}", d="".join(boxes))
    every = 2 if hours[1] - hours[0] > 12 else 1
    for hour in range(hours[0], hours[1] + 1):
        if hour % every == 0:
            put(svg, "path", "hour", d=f"M{x(hour * 60):.1f} {_TOP - 4}V{bottom:.1f}")
            anchor = "end" if hour == hours[1] else "middle"
            put(svg, "text", "figure", f"{hour:02d}", x=x(hour * 60), y=14, text_anchor=anchor)
    if under and high > _WEEK_HIGH:
        put(svg, "path", "overcast case", d="".join(under))
        put(svg, "path", "overcast", d="".join(under))
    if good:
        put(svg, "path", "good case", d="".join(good))
        put(svg, "path", "good", d="".join(good))
    _names(svg, days, high)
    return ElementTree.tostring(svg, encoding="unicode")


def _box(left: float, top: float, right: float, bottom: float) -> str:
    return f"M{left:.1f} {top:.1f}H{right:.1f}V{bottom:.1f}H{left:.1f}z"


def on_rows(window: LightWindow) -> Iterator[tuple[date, int, int]]:
    """A window's part of each day it reaches into: the day, and minutes of its clock."""
    first, last = local(window.start, window.zone), local(window.end, window.zone)
    days = (last.date() - first.date()).days
    for number in range(days + 1):
        begin = first.hour * 60 + first.minute if number == 0 else 0
        end = last.hour * 60 + last.minute if number == days else 1440
        if end > begin:
            yield first.date() + timedelta(days=number), begin, end


def _names(svg: ElementTree.Element, days: Sequence[CalendarDay], high: float) -> None:
    """Each near day by name; of the weeks the first of a month."""
    month, named = None, False
    for number, each in enumerate(days):
        y = _TOP + number * high + high - (2.0 if high < 12.0 else 6.0)
        if high > _WEEK_HIGH:
            put(svg, "text", "figure", f"{short_weekday(each.day)} {each.day.day}", x=0, y=y)
        elif each.day.month != month:
            month = each.day.month
            ends_soon = days[min(number + 2, len(days) - 1)].day.month != month
            if each.day.day <= 7 or (number == 0 and not ends_soon):  # its first weeks
                year = f" {each.day.year}" if month == 1 or not named else ""
                named = True
                put(svg, "text", "figure", f"{short_month(each.day)}{year}", x=0, y=y + 2)
                put(svg, "path", "month", d=f"M{_LEFT:.0f} {_TOP + number * high:.1f}H{_WIDE:.0f}")


# ---------------------------------------------------------------- in words


def _row(each: CalendarDay) -> tuple[str, ...]:
    return (
        day_text(each.day),
        _spans(each, "twilight", "shade", "sun"),
        _spans(each, "sun") or say("none"),
        ", ".join(_window_text(window) for window in each.windows) or say("none"),
    )


def good_text(each: CalendarDay) -> str:
    """The good light of a day in words; 'none' without any."""
    return _row(each)[3]


def _spans(each: CalendarDay, *tones: str) -> str:
    joined: list[list[int]] = []
    for first, last, tone in each.tones:
        if tone not in tones:
            continue
        if joined and joined[-1][1] == first:
            joined[-1][1] = last
        else:
            joined.append([first, last])
    return ", ".join(f"{_clock(a)}–{_clock(b)}" for a, b in joined)


def _window_text(window: LightWindow) -> str:
    day = local(window.start, window.zone).date()
    first, last = (clock_on(at, window.zone, day) for at in (window.start, window.end))
    if window.sky == "overcast":
        return say("{first}–{last} if overcast", first=first, last=last)
    return f"{first}–{last} {plus_minus_text(window)}"


def _clock(minute: int) -> str:
    hour, rest = divmod(minute, 60)
    return f"{hour if minute == 1440 else hour % 24:02d}:{rest:02d}"
