"""Light that can be reached from a start, in words: when to leave for it, and what was left out."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from backbearing.saying import phrase, say, say_n
from backbearing.writers.text import clean, table
from backbearing.writers.words import clock_on, day_text, duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Set
    from datetime import date, datetime

    from backbearing.plans.outing.answer import Short
    from backbearing.plans.outing.reach import Dropped, ReachedLight, WindowReach

_WIDE = 100
_WORDS = {
    "window": phrase("the light is {by} too short for the exposure"),
    "arrival": phrase("one would be set up {by} too late"),
    "light on the way out": phrase(
        "rough ground on the way out would be left {by} after usable light"
    ),
    "light on the way back": phrase(
        "rough ground on the way back would be left {by} after usable light"
    ),
    "back by": phrase("one would be back {by} too late"),
}


def reach_text(reached: ReachedLight) -> str:
    """The times of each window that stays, and the subjects left out with their reasons."""
    return "\n".join(_lines(reached))


def _lines(reached: ReachedLight) -> Iterator[str]:
    name = clean(reached.start_name)
    if reached.windows:
        yield say("From {name}, in time for each of these and back:", name=name)
        home = any(window.times.leave_home is not None for window in reached.windows)
        head = [
            say("subject"),
            say("day"),
            say("light"),
            say("walk, slow"),
            *([say("leave home")] if home else []),
        ]
        head += [say("start"), say("at the latest"), say("away by"), say("back by")]
        several = _several_stood_at(reached)
        year_of = (
            reached.answer.start if reached.answer.end.year == reached.answer.start.year else None
        )
        rows = [_row(each, home=home, several=several, year_of=year_of) for each in reached.windows]
        yield table(head, rows, right=[3])
    else:
        yield say("Nothing here can be reached from {name} and left in time.", name=name)
    if reached.dropped:
        yield say("Left out:")
        for one in reached.dropped:
            yield fill(_dropped(one), _WIDE, initial_indent="  ", subsequent_indent="    ")
    for words in reached.rests_on:
        yield fill(clean(words), _WIDE)
    yield say("Times are estimates; weather, snow, ice, water and closures are not in them.")


def _row(window: WindowReach, *, home: bool, several: Set[str], year_of: date | None) -> list[str]:
    times = window.times
    instants = (times.leave_start, times.leave_start_by, times.last_away, times.back_by)

    def clock(at: datetime | None) -> str:
        return clock_on(at, window.zone, window.day)

    place = (
        say(" from {camera_position}", camera_position=window.camera_position)
        if window.subject in several
        else ""
    )
    sky = say(", overcast") if window.sky == "overcast" else ""
    return [
        window.subject + place,
        day_text(window.day, year_of=year_of),
        f"{clock(window.start)}–{clock(window.end)}{sky}",
        duration_text(window.walk_slow_s),
        *([clock(times.leave_home)] if home else []),
        *map(clock, instants),
    ]


def _several_stood_at(reached: ReachedLight) -> set[str]:
    """Subjects with windows of more than one camera position among those that stay."""
    stood = {(window.subject, window.camera_position) for window in reached.windows}
    names = [subject for subject, _ in stood]
    return {name for name in names if names.count(name) > 1}


def _dropped(one: Dropped) -> str:
    name = clean(one.subject)
    count = (
        ""
        if one.of == 1
        else say(
            " ({windows} of {of})",
            windows=one.windows,
            of=say_n("{number:,} window", "{number:,} windows", one.of),
        )
    )
    if one.least is None:
        return f"{name}{count}: {clean(one.why)}"
    nearest = "" if one.windows == 1 else say("at the nearest miss ")
    return f"{name}{count}: {nearest}{_short(one.least)}"


def _short(short: Short) -> str:
    if short.short_s is None:
        return say("there is no usable light for its rough ground")
    return say(_WORDS[short.what]).format(by=duration_text(short.short_s))
