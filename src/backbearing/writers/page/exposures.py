"""The panel of seconds: a curve through each subject's light, and tables for the tripod."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from backbearing.places.words import metres_text
from backbearing.places.zones import clock_text, local
from backbearing.saying import say, say_n
from backbearing.writers.apart import apart
from backbearing.writers.expose import aperture_text, range_text, seconds_text, table_cells
from backbearing.writers.page.svg import put
from backbearing.writers.text import clean
from backbearing.writers.words import clock_on, day_text

if TYPE_CHECKING:
    from datetime import datetime

    from markupsafe import Markup

    from backbearing.plans.expose.seconds import Seconds
    from backbearing.plans.focus import Depth, FocusTable
    from backbearing.plans.page import ReturnPage
    from backbearing.plans.tripod import Tripod, WindowCourse

_WIDE, _HIGH = 440.0, 290.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 66.0, 8.0, 30.0, 28.0
_SHORTEST_S, _LONGEST_S = 1.0 / 125.0, 8 * 3600.0
# whole stops as they are set and counted: common practice
_STOPS_S = (
    *(1 / 125, 1 / 60, 1 / 30, 1 / 15, 1 / 8, 1 / 4, 1 / 2),
    *(1.0, 2.0, 4.0, 8.0, 15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 900.0, 1800.0),
    *(3600.0, 7200.0, 14400.0, 28800.0),
)
_MOST_LINES = 9
_MOST_SPANS = 3
_TICK_MIN = (10, 15, 20, 30, 60, 120, 180)
_MOST_TICKS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseWords:
    """One subject's seconds in words and as a curve."""

    subject: str
    answer: str
    curve: Markup
    skies: tuple[str, str]
    rows: tuple[tuple[str, bool, tuple[tuple[str, str], ...]], ...]  # clock, in window, cells
    in_it: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusRowWords:
    """One distance of distance → mark."""

    distance: str
    covers: str
    set_at: str
    sharp: tuple[tuple[str, str], ...]  # aperture, from – to


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposureWords:
    """The panel of seconds."""

    answer: str
    courses: tuple[CourseWords, ...]
    meter_head: tuple[str, ...]
    meter_rows: tuple[tuple[str, ...], ...]
    meter_light: str
    meter_rests_on: str
    focus_head: tuple[str, ...]
    focus_rows: tuple[FocusRowWords, ...]
    focus_says: str
    rests_on: str


def exposure_words(page: ReturnPage) -> ExposureWords | None:
    """The panel in words; None where no batch is on record."""
    held = page.tripod
    if held is None or held.batch is None:
        return None
    head: list[str] = []
    rows: list[list[str]] = []
    if held.meter is not None:
        head, rows = table_cells(held.meter)
    focus = held.focus
    told = [t for course in held.courses for t in course.rests_on]
    return ExposureWords(
        answer=_answer(held),
        courses=tuple(course_words(course) for course in held.courses),
        meter_head=tuple(head),
        meter_rows=tuple(tuple(row) for row in rows),
        meter_light=held.meter.light if held.meter else "",
        meter_rests_on="; ".join(held.meter.assumptions) if held.meter else "",
        focus_head=_focus_head(focus),
        focus_rows=_focus_rows(focus),
        focus_says=_focus_says(focus),
        rests_on="; ".join(dict.fromkeys(told)),
    )


def _answer(held: Tripod) -> str:
    assert held.batch is not None  # noqa: S101 - the caller has seen to it
    batch = held.batch.name + (f" ({held.batch_basis})" if held.batch_basis else "")
    on = say("on {batch} at {aperture}", batch=batch, aperture=held.aperture.words)
    if not held.courses:
        return say("Tables for {batch}; no light to expose in was found.", batch=batch)
    first = held.courses[0]
    day = local(first.window.start, first.window.zone).date()
    at = clock_on(first.window.best, first.window.zone, day)
    return f"{first.subject}, {day_text(day)}, {at}: {range_text(first.best)} {on}."


def course_words(course: WindowCourse) -> CourseWords:
    from markupsafe import Markup

    window = course.window
    day = local(window.start, window.zone).date()
    ends = " / ".join(
        f"{word} {clock_on(when, window.zone, day)} {_short(one)}"
        for word, when, one in (
            (say("from"), window.start, course.start),
            (say("best"), window.best, course.best),
            (say("to"), window.end, course.end),
        )
    )
    bellows = (
        say("bellows {bellows_stops:.1f} stop", bellows_stops=course.bellows_stops)
        if course.bellows_stops >= 0.05
        else ""
    )
    return CourseWords(
        subject=course.subject,
        answer=f"{day_text(day)}: {ends}",
        curve=Markup(curve(course)),  # noqa: S704  built by ElementTree, escaped
        skies=course.skies,
        rows=tuple(
            (
                clock_on(moment.at, window.zone, day),
                window.start <= moment.at <= window.end,
                tuple(_cell(one) for one in moment.seconds),
            )
            for moment in course.told
        ),
        in_it=(say("In the seconds: {bellows}. ", bellows=bellows) if bellows else "")
        + say("Face: {face}.", face=course.face)
        + _doubt(course),
    )


def _doubt(course: WindowCourse) -> str:
    """Why the range is so wide for a while, and falls back between: '' where it does not."""
    zone = course.window.zone
    spans = [
        clock_text(a, zone) if a == b else f"{clock_text(a, zone)}–{clock_text(b, zone)}"
        for a, b in course.in_doubt
    ]
    if not spans:
        return ""
    shown = ", ".join(spans[:_MOST_SPANS])
    if len(spans) > _MOST_SPANS:
        more = len(spans) - _MOST_SPANS
        shown += say_n(" and {number} time more", " and {number} times more", more)
    return say(
        " Wide range: the skyline's error leaves open whether the sun is seen {spans}; seconds "
        "with sun and without are in it then, and only then.",
        spans=shown,
    )


def _short(one: Seconds | None) -> str:
    return say("too dark") if one is None else seconds_text(one.shown_s)


def _cell(one: Seconds | None) -> tuple[str, str]:
    if one is None:
        return say("too dark"), ""
    return seconds_text(one.shown_s), say(
        "{seconds} to {seconds_2}",
        seconds=seconds_text(one.low_s),
        seconds_2=seconds_text(one.high_s),
    )


# ---------------------------------------------------------------- the curve


def curve(course: WindowCourse) -> str:
    """Seconds over the clock as SVG: stops upwards, the range as a band, the window in red."""
    plot = _Plot(course)
    svg = ElementTree.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "curve",
            "data-subject": clean(course.subject),
            "data-day": local(course.window.start, course.window.zone).date().isoformat(),
            "data-from": str(_minute(plot.first, course.window.zone)),
            "data-to": str(_minute(plot.last, course.window.zone)),
            "data-left": f"{_LEFT:.0f}",
            "data-right": f"{_WIDE - _RIGHT:.0f}",
            "data-top": f"{_TOP:.0f}",
            "data-bottom": f"{_HIGH - _BOTTOM:.0f}",
            "viewBox": f"0 0 {_WIDE:.0f} {_HIGH:.0f}",
            "role": "img",
        },
    )
    title = ElementTree.SubElement(svg, "title")
    title.text = apart(say("Seconds needed at {subject} through its light", subject=course.subject))
    for seconds in plot.lines:
        y = plot.y(seconds)
        put(svg, "path", "rule", d=f"M{_LEFT:.0f} {y:.1f}H{_WIDE - _RIGHT:.0f}")
        put(svg, "text", "", seconds_text(seconds), x=_LEFT - 6, y=y + 5, text_anchor="end")
    for when, words in plot.ticks:
        x = plot.x(when)
        put(svg, "path", "rule", d=f"M{x:.1f} {_HIGH - _BOTTOM:.0f}v5")
        put(svg, "text", "", words, x=x, y=_HIGH - 7, text_anchor="middle")
    _window(svg, plot)
    for band in plot.bands():
        put(svg, "polygon", "band", points=band)
    for line in plot.runs(1):
        put(svg, "path", "other", d=line)
    for line in plot.runs(0):
        put(svg, "path", "seconds", d=line)
    if course.best is not None:
        x, y = plot.x(course.window.best), plot.y(course.best.exact_s)
        put(svg, "rect", "best", x=x - 5, y=y - 5, width=10, height=10)
    put(
        svg, "path", "axis", d=f"M{_LEFT:.0f} {_TOP:.0f}V{_HIGH - _BOTTOM:.0f}H{_WIDE - _RIGHT:.0f}"
    )
    return ElementTree.tostring(svg, encoding="unicode")


def _minute(at: datetime, zone: str) -> int:
    here = local(at, zone)
    return here.hour * 60 + here.minute


def _window(svg: ElementTree.Element, plot: _Plot) -> None:
    window = plot.course.window
    a, b = plot.x(window.start), plot.x(window.end)
    put(svg, "rect", "light", x=a, y=_TOP, width=max(b - a, 1.0), height=9)
    for x in (a, b):
        put(svg, "path", "edge", d=f"M{x:.1f} {_TOP:.0f}V{_HIGH - _BOTTOM:.0f}")
    day = local(window.start, window.zone).date()
    words = "–".join(clock_on(at, window.zone, day) for at in (window.start, window.end))
    middle = min(max((a + b) / 2.0, _LEFT + 50.0), _WIDE - _RIGHT - 50.0)
    put(svg, "text", "light", words, x=middle, y=_TOP - 9, text_anchor="middle")


class _Plot:
    """Where a minute and a time stand in the drawing."""

    def __init__(self, course: WindowCourse) -> None:
        self.course = course
        self.first, self.last = course.moments[0].at, course.moments[-1].at
        ends = [
            s
            for moment in course.moments
            for one in moment.seconds
            if one is not None
            for s in (one.low_s, one.high_s)
        ]
        low = max(min(ends, default=1.0), _SHORTEST_S)
        high = min(max(ends, default=60.0), _LONGEST_S)
        self.low, self.high = math.log2(low) - 0.3, math.log2(max(high, low)) + 0.3
        shown = [s for s in _STOPS_S if self.low <= math.log2(s) <= self.high]
        step = max(1, math.ceil(len(shown) / _MOST_LINES))
        self.lines = shown[::step]
        self.ticks = self._ticks()

    def x(self, when: datetime) -> float:
        share = (when - self.first) / (self.last - self.first)
        return _LEFT + share * (_WIDE - _LEFT - _RIGHT)

    def y(self, seconds: float) -> float:
        stops = min(max(math.log2(seconds), self.low), self.high)
        share = (stops - self.low) / (self.high - self.low)
        return _HIGH - _BOTTOM - share * (_HIGH - _TOP - _BOTTOM)

    def _ticks(self) -> list[tuple[datetime, str]]:
        zone = self.course.window.zone
        minutes = (self.last - self.first) / timedelta(minutes=1)
        every = next((m for m in _TICK_MIN if minutes / m <= _MOST_TICKS), 360)
        here = local(self.first, zone)
        at = self.first + timedelta(minutes=-(here.hour * 60 + here.minute) % every)
        found = []
        while at <= self.last:
            if _LEFT + 10 <= self.x(at) <= _WIDE - _RIGHT - 18:
                found.append((at, clock_text(at, zone)))
            at += timedelta(minutes=every)
        return found

    def _pieces(self, sky: int) -> list[list[tuple[datetime, Seconds]]]:
        """The moments under a sky that can be exposed, broken where one cannot."""
        pieces: list[list[tuple[datetime, Seconds]]] = [[]]
        for moment in self.course.moments:
            one = moment.seconds[sky]
            if one is None:
                pieces.append([])
            else:
                pieces[-1].append((moment.at, one))
        return [piece for piece in pieces if len(piece) > 1]

    def runs(self, sky: int) -> list[str]:
        return [
            "M" + "L".join(f"{self.x(at):.1f} {self.y(one.exact_s):.1f}" for at, one in piece)
            for piece in self._pieces(sky)
        ]

    def bands(self) -> list[str]:
        """The range of the wanted sky, its ends not rounded to steps, so that it runs smooth."""
        found = []
        for piece in self._pieces(0):
            above = [f"{self.x(at):.1f},{self.y(one.most_s):.1f}" for at, one in piece]
            below = [f"{self.x(at):.1f},{self.y(one.least_s):.1f}" for at, one in reversed(piece)]
            found.append(" ".join([*above, *below]))
        return found


# ---------------------------------------------------------------- distance → mark


def _focus_head(focus: FocusTable | None) -> tuple[str, ...]:
    if focus is None:
        return ()
    sharp = [say("Sharp at {aperture}", aperture=aperture_text(one)) for one in focus.apertures]
    return (say("Distance"), say("Covers"), say("Set"), *sharp)


def _focus_rows(focus: FocusTable | None) -> tuple[FocusRowWords, ...]:
    if focus is None:
        return ()
    return tuple(
        FocusRowWords(
            distance=metres_text(row.distance_m),
            covers=f"{row.wide_m:.2f} × {row.high_m:.2f} m",
            set_at=row.set_at,
            sharp=tuple((aperture_text(d.aperture), _depth(d)) for d in row.chosen.depths),
        )
        for row in focus.rows
        if any(depth.holds for depth in row.chosen.depths)
    )


def _depth(depth: Depth) -> str:
    far = "∞" if depth.far_m is None else f"{depth.far_m:.3g}"
    return f"{depth.near_m:.3g}–{far} m" + ("" if depth.holds else say(": not sharp"))


def _focus_says(focus: FocusTable | None) -> str:
    if focus is None:
        return ""
    return (
        say(
            "{lens} on {camera}; distances from the {measured_from}; circle of "
            "confusion {blur_mm:.3f} mm ({blur_basis}). ",
            lens=focus.lens,
            camera=focus.camera,
            measured_from=focus.measured_from,
            blur_mm=focus.blur_mm,
            blur_basis=focus.blur_basis,
        )
        + "; ".join(focus.remarks)
        + "."
    )
