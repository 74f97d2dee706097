"""The day line: an outing from door to door on one line, its slack under it, its light's end.

It is drawn three times, for a desk, for paper and small screens, and upright for a phone; the
style sheet shows that which fits, so that type keeps its size.
"""

from __future__ import annotations

from dataclasses import replace
from math import ceil
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from backbearing.saying import say
from backbearing.writers.apart import apart
from backbearing.writers.page.dayevents import DayEvents, Moment, day_events
from backbearing.writers.page.dayrows import rows_over, rows_under
from backbearing.writers.page.labels import fitted, text_width
from backbearing.writers.page.svg import put

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.plans.lightcalendar import LightCalendar
    from backbearing.plans.outing import OutingAnswer

WIDTHS = (("wide", 1320.0, 13.0), ("middle", 700.0, 12.0))
_BAND = 34.0
_MOST_TICKS = 12
# upright
_PHONE, _BAND_LEFT, _BAND_WIDE, _TEXT = 328.0, 50.0, 30.0, 14.0
_LEAST_HOUR = 34.0
_SECOND = {"hook": "hook", "dusk": "dusk"}


def day_line(
    outing: OutingAnswer, calendar: LightCalendar | None, *, every_width: bool = True
) -> str:
    """The drawings: when one walks, stands and waits, when the light is, and when it goes.

    every_width: else that for a desk is left out, and the one for paper stands there too.
    """
    events = day_events(outing, calendar)
    title = apart(say("The day of the outing to {subject}", subject=outing.subject))
    widths = WIDTHS if every_width else [("middle alone", *WIDTHS[1][1:])]
    drawn = [_across(events, title, *each) for each in widths]
    return "".join([*drawn, _upright(events, title)])


# ---------------------------------------------------------------- across


def _across(events: DayEvents, title: str, kind: str, wide: float, size: float) -> str:
    last = max((each for each in events.plan), key=lambda each: each.minute)
    right = wide - 8.0
    if last.minute + 60 > events.end - 60:  # its label needs room at the end
        right -= width(last) * size / 2
    span = events.end - events.begin

    def x(minute: float) -> float:
        return 4.0 + (minute - events.begin) / span * (right - 4.0)

    above = rows_over([(x(each.minute), width(each) * size) for each in events.plan], wide)
    row = size * 1.4
    top = row * (max((each.row for each in above), default=0) + 1) + 8.0
    line = top + _BAND / 2
    ticks_y = top + _BAND + size + 4
    under = rows_under(
        [(x(each.minute), width(each) * size) for each in events.hooks],
        [
            (x(each.minute), x(each.latest), width(each, late=True) * size)
            for each in events.plan
            if each.latest is not None
        ],
        wide,
    )
    first_row = ticks_y + 8.0
    high = first_row + row * (max((each.row for each in under), default=-1) + 1) + 6.0
    svg = _svg(f"{kind} across", wide, high, title)
    for start, end, tone in events.tones:
        put(svg, "rect", f"tone {tone}", x=x(start), y=top, width=x(end) - x(start), height=_BAND)
    left, stop = x(events.light[0]), x(events.light[1])
    put(svg, "rect", "sun", x=left, y=top + 3, width=max(stop - left, 2.0), height=_BAND - 6)
    for minute, clock in _ticks(events, _MOST_TICKS if wide > 1000 else 8):
        put(svg, "path", "axis", d=f"M{x(minute):.1f} {top + _BAND}v5")
        if size * 1.6 <= x(minute) <= wide - size * 1.6:
            put(svg, "text", "figure", clock, x=x(minute), y=ticks_y, text_anchor="middle")
    for doing, start, end in events.stretches:
        _stretch(svg, doing, x(start), x(end), line)
    for each, place in zip(events.plan, above, strict=True):
        y = top - 8.0 - row * place.row
        put(svg, "path", _leader(each), d=f"M{place.stem:.1f} {top}V{y - size * 0.8:.1f}")
        _label(svg, each, place.left + 4.0, y, "start")
    late = [each for each in events.plan if each.latest is not None]
    for each, place in zip([*events.hooks, *late], under, strict=True):
        y = first_row + row * (place.row + 0.7)
        if each.latest is None:
            kind_of = "dusk" if each.kind == "dusk" else "hook"
            foot = y - size * 0.35
            put(svg, "path", f"{kind_of} case", d=f"M{place.stem:.1f} {top}V{foot:.1f}h-6")
            put(svg, "path", kind_of, d=f"M{place.stem:.1f} {top}V{foot:.1f}h-6")
            if kind_of == "hook":
                put(svg, "path", "hook", d=f"M{place.stem - 2:.1f} {foot - 4:.1f}l-4 4l4 4")
            _label(svg, each, place.right - 9.0, y, "end")
        else:
            foot = y - size * 0.35
            end = x(each.latest)
            put(svg, "circle", "dot", cx=x(each.minute), cy=foot, r=3)
            put(svg, "path", "slip", d=f"M{x(each.minute):.1f} {foot:.1f}H{end:.1f}m0 -5v10")
            _label(svg, each, end + 5.0, y, "start", late=True)
    return ElementTree.tostring(svg, encoding="unicode")


# ---------------------------------------------------------------- upright


def _upright(events: DayEvents, title: str) -> str:
    """Time runs down; each label stands beside its minute, or as near under it as there is room."""
    told = sorted([*events.plan, *events.hooks], key=lambda each: each.minute)
    heights = [_TEXT * (2.5 if _under(each) else 1.35) for each in told]
    hours = (events.end - events.begin) / 60.0
    high = max(hours * _LEAST_HOUR, sum(heights) + 12.0)

    def y(minute: float) -> float:
        return 4.0 + (minute - events.begin) / (events.end - events.begin) * high

    tops: list[float] = []
    below = 0.0
    for each, tall in zip(told, heights, strict=True):
        tops.append(max(y(each.minute) - _TEXT * 0.7, below))
        below = tops[-1] + tall
    limit = high + 8.0
    for i in reversed(range(len(tops))):  # those pushed over the end go up again
        tops[i] = min(tops[i], limit - heights[i])
        limit = tops[i]
    svg = _svg("upright", _PHONE, high + 12.0, title)
    left, middle = _BAND_LEFT, _BAND_LEFT + _BAND_WIDE / 2
    for start, end, tone in events.tones:
        put(
            svg,
            "rect",
            f"tone {tone}",
            x=left,
            y=y(start),
            width=_BAND_WIDE,
            height=y(end) - y(start),
        )
    top, foot = y(events.light[0]), y(events.light[1])
    put(svg, "rect", "sun", x=left + 3, y=top, width=_BAND_WIDE - 6, height=max(foot - top, 2.0))
    for minute, clock in _ticks(events, 24):
        put(svg, "path", "axis", d=f"M{left - 5} {y(minute):.1f}h5")
        at = y(minute) + _TEXT * 0.35
        put(svg, "text", "figure", clock, x=left - 8, y=at, text_anchor="end")
    for doing, start, end in events.stretches:
        _stretch(svg, doing, y(start), y(end), middle, down=True)
    right = left + _BAND_WIDE
    for each, begin in zip(told, tops, strict=True):
        base = begin + _TEXT
        level = base - _TEXT * 0.35
        turn = f"M{right:.1f} {y(each.minute):.1f}L{right + 12:.1f} {level:.1f}h4"
        put(svg, "path", _leader(each), d=turn)
        if each.kind in _SECOND:
            put(svg, "path", _SECOND[each.kind], d=f"M{left} {y(each.minute):.1f}h{_BAND_WIDE}")
        under = _under(each)
        beside = "" if under == each.name else fitted(each.name, _room(each))
        _label(svg, replace(each, name=beside), right + 20.0, base, "start")
        if under:
            kind = "light" if each.kind == "light" else "second"
            put(svg, "text", kind, under, x=right + 20.0, y=base + _TEXT * 1.15)
    return ElementTree.tostring(svg, encoding="unicode")


def _room(each: Moment) -> float:
    """How many ems of bold type a name may take beside its clock; it is set lighter."""
    ems = (_PHONE - _BAND_LEFT - _BAND_WIDE - 20.0) / _TEXT
    return (ems - 0.68 * len(each.clock) - 0.35) / 0.9


def _under(each: Moment) -> str:
    """What stands under a label: how late it may be, or a light's words where they are long."""
    if each.latest is not None:
        return say("can slip to {latest_clock}", latest_clock=each.latest_clock)
    return each.name if each.kind == "light" and text_width(each.name) > _room(each) else ""


# ---------------------------------------------------------------- parts


def width(each: Moment, *, late: bool = False) -> float:
    """How wide a label is with its leader, in ems."""
    clock = each.latest_clock if late else each.clock
    return 0.72 * len(clock) + 0.35 + text_width(each.name) + 0.9


def _svg(kind: str, wide: float, high: float, title: str) -> ElementTree.Element:
    attributes = {
        "class": f"dayline {kind}",
        "viewBox": f"0 0 {wide:.0f} {ceil(high)}",
        "role": "img",
        "aria-label": title,
    }
    return ElementTree.Element("svg", attributes)


def _leader(each: Moment) -> str:
    return "leader light" if each.kind == "light" else "leader"


def _label(
    svg: ElementTree.Element, each: Moment, x: float, y: float, anchor: str, *, late: bool = False
) -> None:
    """The clock in bold, then the name; where the text ends at its place the clock is last."""
    kind = "light" if each.kind == "light" else "second"
    put(svg, "text", kind, "", x=x, y=y, text_anchor=anchor)
    text = svg[-1]
    clock = ElementTree.Element("tspan", {"class": "clock"})
    clock.text = each.latest_clock if late else each.clock
    if anchor == "end":
        text.text = f"{apart(each.name)} "
    else:
        clock.tail = f" {apart(each.name)}"
    text.append(clock)


def _stretch(
    svg: ElementTree.Element, doing: str, a: float, b: float, line: float, *, down: bool = False
) -> None:
    def path(kind: str, beside: float = 0.0) -> None:
        at = line + beside
        drawn = f"M{at:.1f} {a:.1f}V{b:.1f}" if down else f"M{a:.1f} {at:.1f}H{b:.1f}"
        put(svg, "path", kind, d=drawn)

    if doing == "work":
        long = max(b - a, 1.0)
        if down:
            put(svg, "rect", "work", x=line - 7, y=a, width=14.0, height=long)
        else:
            put(svg, "rect", "work", x=a, y=line - 7, width=long, height=14.0)
    elif doing == "drive":
        path("drive case")
        path("drive", -2.0)
        path("drive", 2.0)
    elif doing == "in hand":
        path("slack case")
        path("slack")
    else:
        path("leg case")
        path("leg" if doing == "walked" else "leg new")


def _ticks(events: DayEvents, most: int) -> Iterator[tuple[float, str]]:
    """Whole hours of the clock, few enough for the width."""
    every = max(1, ceil((events.end - events.begin) / 60.0 / most))
    for hour in range(ceil(events.begin / 60.0), int(events.end // 60) + 1):
        if hour % every == 0:
            yield hour * 60.0, f"{hour % 24:02d}:00"
