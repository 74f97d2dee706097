"""The day line: an outing from door to door on one line, usable light at its ends."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from backbearing.places.zones import clock_text, local
from backbearing.writers.page.labels import text_width
from backbearing.writers.page.svg import put
from backbearing.writers.text import clean
from backbearing.writers.words import clock_on

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from backbearing.plans.outing import OutingAnswer

_WIDE, _HIGH = 560.0, 114.0
_LINE = 72.0
_SIZE = 12.0
_ROOM = timedelta(minutes=25)
_MOST_TICKS = 8


def day_line(outing: OutingAnswer) -> str:
    """One drawing: when one walks, stands and waits, when the light is, and when it goes."""
    times, window, zone = outing.times, outing.window, outing.zone
    home = outing.budget.drive_s
    last = times.back_slow + timedelta(seconds=home or 0.0)
    usable = [leg.usable_until for leg in outing.back if leg.usable_until is not None]
    latest = [] if times.away_by is None else [times.away_by]
    begin = min(times.leave_home or times.leave_start, window.start) - _ROOM
    end = max(last, window.end, *usable, *latest) + _ROOM
    span_s = (end - begin).total_seconds()

    def x(at: datetime) -> float:
        return 6.0 + (at - begin).total_seconds() / span_s * (_WIDE - 12.0)

    svg = ElementTree.Element(
        "svg",
        {
            "class": "chart dayline",
            "viewBox": f"0 0 {_WIDE:.0f} {_HIGH:.0f}",
            "role": "img",
            "aria-label": clean(f"The day of the outing to {outing.subject}"),
        },
    )
    put(svg, "path", "axis", d=f"M6 {_LINE + 18}H{_WIDE - 6}")
    for at in _ticks(begin, end, zone):
        put(svg, "path", "axis", d=f"M{x(at):.1f} {_LINE + 14}v8")
        clock = clock_text(at, zone)
        put(svg, "text", "figure", clock, x=x(at), y=_LINE + 36, text_anchor="middle")
    left, right = x(window.start), x(window.end)
    put(svg, "rect", "sun", x=left, y=_LINE - 26, width=max(right - left, 2.0), height=38)
    if usable:
        dark = x(min(usable))
        put(svg, "path", "dusk", d=f"M{dark:.1f} {_LINE - 30}v48")
        _text(svg, "second", "usable light ends", dark, 18.0, begin_at=False)
    if times.leave_home is not None:
        parked = times.leave_start - timedelta(seconds=outing.budget.park_s or 0.0)
        _drive(svg, x(times.leave_home), x(parked))
        _work(svg, x(parked), x(times.leave_start))
    arrived = outing.out[-1].arrive_slow if outing.out else times.leave_start
    _walk(svg, x(times.leave_start), x(arrived))
    _work(svg, x(arrived), x(times.set_up_by))
    put(svg, "path", "slack", d=f"M{x(times.set_up_by):.1f} {_LINE}H{x(times.expose):.1f}")
    _work(svg, x(times.expose), x(times.away))
    _walk(svg, x(times.away), x(times.back_slow))
    if home:
        _drive(svg, x(times.back_slow), x(last))
    if times.away_by is not None:
        put(svg, "path", "latest", d=f"M{x(times.away_by):.1f} {_LINE - 12}v24")
    _text(svg, "name", f"light {clock_on(window.start, zone, outing.day)}", left, 40.0)
    return ElementTree.tostring(svg, encoding="unicode")


def _ticks(begin: datetime, end: datetime, zone: str) -> Iterator[datetime]:
    """Whole hours of the clock, few enough for a narrow screen."""
    every = max(1, round((end - begin) / (_MOST_TICKS * timedelta(hours=1)) + 0.5))
    at = local(begin, zone).replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)
    while at < end:
        if at.hour % every == 0:
            yield at
        at += timedelta(hours=1)


def _work(svg: ElementTree.Element, start: float, end: float) -> None:
    wide = max(end - start, 1.0)
    put(svg, "rect", "work", x=start, y=_LINE - 6, width=wide, height=12)


def _walk(svg: ElementTree.Element, start: float, end: float) -> None:
    put(svg, "path", "walked", d=f"M{start:.1f} {_LINE}H{end:.1f}")


def _drive(svg: ElementTree.Element, start: float, end: float) -> None:
    for beside in (-2.0, 2.0):
        put(svg, "path", "drive", d=f"M{start:.1f} {_LINE + beside}H{end:.1f}")


def _text(
    svg: ElementTree.Element, kind: str, words: str, at: float, y: float, *, begin_at: bool = True
) -> None:
    wide = text_width(words) * _SIZE
    fits = at + wide < _WIDE - 4 if begin_at else at - wide < 4
    put(svg, "text", kind, words, x=at, y=y, text_anchor="start" if fits else "end")
