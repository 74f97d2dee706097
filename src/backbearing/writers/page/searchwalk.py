"""The next walk of a search on its panel: what it promises, its stops by number, when to stop."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from math import hypot
from typing import TYPE_CHECKING

from backbearing.places.coordinates import decimal_text
from backbearing.places.zones import clock_name
from backbearing.plans.searchlines import FOR_SUBJECTS, branches, numbered_stops, walk_lines
from backbearing.saying import say
from backbearing.writers.page.lines import path_data
from backbearing.writers.page.svg import put
from backbearing.writers.searchwalk import (
    even_text,
    found_text,
    give_up_text,
    late_text,
    until_text,
)
from backbearing.writers.words import chance_text, clock_on, day_text, duration_text

if TYPE_CHECKING:
    from datetime import datetime
    from xml.etree import ElementTree

    from backbearing.plans.search.walkanswer import Branch, SearchStop, SearchWalkAnswer
    from backbearing.writers.page.plane import Point, Sheet

_DISC = 9.0
_POINTS = 6  # of the curve


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkPart:
    """A row of stops under what is said before and after it."""

    before: str
    stops: tuple[tuple[str, ...], ...]  # number, what, walk, there, for, leave, share, seen, so far
    after: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkWords:
    """The walk in words; `answer` is its sentence."""

    answer: str
    says: tuple[str, ...]
    parts: tuple[WalkPart, ...]
    curve: str
    rests_on: str
    cautions: str  # but for that which is said of the search itself


def walk_words(walk: SearchWalkAnswer) -> WalkWords:
    """Word the next walk of a search."""
    ends = branches(walk)
    last = max((branch.back for branch in ends), default=walk.back_limit)
    without = walk.chance_without_trying
    return WalkWords(
        answer=(
            say(
                "{walk_day}: leave {start_name} {walk}, back by {walk_2} at the "
                "slow pace; it finds {subject} with a chance of {chance}.",
                walk_day=day_text(walk.day),
                start_name=walk.start_name,
                walk=_clock(walk, walk.leave),
                walk_2=_clock(walk, last),
                subject=walk.subject,
                chance=chance_text(walk.chance),
            )
        ),
        says=tuple(
            words
            for words in (
                until_text(walk),
                give_up_text(walk),
                found_text(walk),
                even_text(walk),
                ""
                if without is None
                else say("Without the passage: {without}.", without=chance_text(without)),
            )
            if words
        ),
        parts=tuple(_parts(walk, ends)),
        curve=_curve(walk),
        rests_on="; ".join(walk.rests_on),
        cautions=" ".join(each for each in walk.cautions if each != say(FOR_SUBJECTS)),
    )


def _parts(walk: SearchWalkAnswer, ends: tuple[Branch, ...]) -> list[WalkPart]:
    rows = [_row(walk, number, stop) for number, stop in numbered_stops(walk)]
    first, trying = len(walk.stops), walk.trying
    if trying is None:
        after = _home(walk, ends[0]) if ends else ""
        return [WalkPart(before="", stops=tuple(rows), after=after)]
    try_it = say(
        "{walk}: go and see {trying}, {walk_2} on foot; chance open {chance_open}, {last_found}.",
        walk=_clock(walk, trying.at),
        trying=trying.name,
        walk_2=duration_text(trying.walk_s),
        chance_open=chance_text(trying.chance_open),
        last_found=trying.last_found,
    )
    found = [WalkPart(before="", stops=tuple(rows[:first]), after=try_it)]
    for word, branch in zip((say("open"), say("shut")), ends, strict=True):
        end = first + len(branch.stops)
        found.append(
            WalkPart(
                before=say("If {trying} is {word}", trying=trying.name, word=word),
                stops=tuple(rows[first:end]),
                after=_home(walk, branch),
            )
        )
        first = end
    return found


def _row(walk: SearchWalkAnswer, number: int, stop: SearchStop) -> tuple[str, ...]:
    late = late_text(walk, stop)
    return (
        str(number),
        f"{stop.name}; {late}" if late else stop.name,
        duration_text(stop.walk_s),
        _clock(walk, stop.arrive),
        duration_text(stop.look_s),
        _clock(walk, stop.leave),
        chance_text(stop.share),
        chance_text(stop.chance_seen),
        chance_text(stop.chance_so_far),
        decimal_text(stop.latitude_deg, stop.longitude_deg),
    )


def _home(walk: SearchWalkAnswer, branch: Branch) -> str:
    return say(
        "Then {home} back, at {start_name} by {walk}.",
        home=duration_text(branch.home_s),
        start_name=walk.start_name,
        walk=_clock(walk, branch.back),
    )


def _curve(walk: SearchWalkAnswer) -> str:
    every = max(1, round((len(walk.curve) - 1) / _POINTS))
    points = [*walk.curve[every:-1:every], *walk.curve[-1:]]
    words = ", ".join(
        f"{_clock(walk, p.at)} {chance_text(p.chance) if p.chance >= 0.005 else '0 %'}"
        for p in points
    )
    return say(
        "Chance it is found by then: {words}; times by {zone}.",
        words=words,
        zone=clock_name(walk.zone),
    )


def _clock(walk: SearchWalkAnswer, at: datetime) -> str:
    return clock_on(at, walk.zone, walk.day)


def stop_marks(walk: SearchWalkAnswer) -> tuple[tuple[str, str, float, float], ...]:
    """The stops as a map marks them: a short name, what is said of each, where."""
    return tuple(
        (
            say("stop {number}", number=number),
            f"{stop.name}, {_clock(walk, stop.arrive)}–{_clock(walk, stop.leave)}",
            stop.latitude_deg,
            stop.longitude_deg,
        )
        for number, stop in numbered_stops(walk)
    )


# ---------------------------------------------------------------- the drawing


def draw_walk(svg: ElementTree.Element, sheet: Sheet, walk: SearchWalkAnswer) -> None:
    """The ways, broken as not walked yet, and the passage to try; a numbered disc at each stop, or
    beside it with a line to it where stops lie close."""
    drawn = "".join(path_data(line, sheet) for line in walk_lines(walk))
    if drawn:
        put(svg, "path", "casing", d=drawn)
        put(svg, "path", "planned", d=drawn)
        x, y = sheet.at(walk_lines(walk)[0][0])
        put(svg, "rect", "start", x=x - 6, y=y - 6, width=12, height=12)
    # north and the scale stand in the upper corners
    taken: list[Point] = [(18.0, 24.0), *((sheet.width - x, 24.0) for x in (20.0, 44.0, 68.0))]
    if walk.trying is not None and walk.trying.way:
        x, y = sheet.at(walk.trying.way[-1])
        put(svg, "circle", "passage unsure", cx=x, cy=y, r=7)
        put(svg, "text", "passage", "?", x=x, y=y + 5.5, text_anchor="middle")
        taken.append((x, y))
    for number, stop in numbered_stops(walk):
        at = sheet.at((stop.latitude_deg, stop.longitude_deg))
        x, y = _free(at, taken, sheet)
        taken.append((x, y))
        if (x, y) != at:
            put(svg, "line", "sight", x1=at[0], y1=at[1], x2=x, y2=y)
            put(svg, "circle", "waypoint", cx=at[0], cy=at[1], r=3)
        put(svg, "circle", "camera", cx=x, cy=y, r=_DISC)
        put(svg, "text", "name", str(number), x=x, y=y + 5, text_anchor="middle")


def _free(at: Point, taken: list[Point], sheet: Sheet) -> Point:
    """The spot nearest to `at` where a disc covers no other; `at` where all is taken."""
    steps = [(2.5 * _DISC * i, 2.5 * _DISC * j) for i, j in product(range(-4, 5), repeat=2)]
    for right, down in sorted(steps, key=lambda step: hypot(*step)):
        spot = at[0] + right, at[1] + down
        inside = _DISC < spot[0] < sheet.width - _DISC and _DISC < spot[1] < sheet.height - _DISC
        if inside and all(hypot(spot[0] - x, spot[1] - y) > 2.2 * _DISC for x, y in taken):
            return spot
    return at
