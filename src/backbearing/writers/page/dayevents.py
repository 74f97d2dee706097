"""What stands on the day line: stretches, moments, what may slip, when to turn back, the light."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Literal

from backbearing.places.zones import local
from backbearing.plans.outing.answer import can_be_kept, exposure_lost, too_far
from backbearing.saying import say
from backbearing.writers.text import clean
from backbearing.writers.words import clock_on, plus_minus_text

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from backbearing.plans.lightcalendar import LightCalendar
    from backbearing.plans.outing import OutingAnswer

Doing = Literal["drive", "work", "walked", "not yet walked", "in hand"]
_ROOM = 25.0  # minutes before the first and after the last that is drawn
_DAY = 1440
_LONGEST = 22  # of a name; the whole stands in the table of legs


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """Something at a minute; `latest`: to when it may slip, None where nothing is to be said."""

    minute: float
    clock: str
    name: str
    kind: Literal["plan", "light", "hook", "dusk"] = "plan"
    latest: float | None = None
    latest_clock: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayEvents:
    """A day's line in minutes of its local clock, under 0 on the evening before."""

    begin: float
    end: float
    stretches: tuple[tuple[Doing, float, float], ...]
    light: tuple[float, float]
    tones: tuple[tuple[float, float, str], ...]  # () where no calendar knows the day
    plan: tuple[Moment, ...]  # in order, the light among them
    hooks: tuple[Moment, ...]  # when to turn back, and when usable light ends


def day_events(outing: OutingAnswer, calendar: LightCalendar | None) -> DayEvents:
    """The day from door to door; the way walked at the slow pace, as the six times are."""
    stretches = tuple(_stretches(outing))
    plan = tuple(sorted(_plan(outing), key=lambda each: each.minute))
    hooks = tuple(sorted(_hooks(outing), key=lambda each: each.minute))
    light = (_minute(outing, outing.window.start), _minute(outing, outing.window.end))
    every = [*light, *(each.minute for each in (*plan, *hooks))]
    every += [each.latest for each in plan if each.latest is not None]
    every += [minute for _, *ends in stretches for minute in ends]
    begin, end = min(every) - _ROOM, max(every) + _ROOM
    return DayEvents(
        begin=begin,
        end=end,
        stretches=stretches,
        light=light,
        tones=tuple(_tones(outing, calendar, begin, end)),
        plan=plan,
        hooks=hooks,
    )


def _stretches(outing: OutingAnswer) -> Iterator[tuple[Doing, float, float]]:
    times, budget = outing.times, outing.budget
    at = times.leave_start
    if times.leave_home is not None:
        parked = times.leave_start - timedelta(seconds=budget.park_s or 0.0)
        yield _stretch(outing, "drive", times.leave_home, parked)
        yield _stretch(outing, "work", parked, times.leave_start)
    for out in outing.out:
        kind: Doing = "walked" if out.leg.footing == "own track" else "not yet walked"
        yield _stretch(outing, kind, at, out.arrive_slow)
        at = out.arrive_slow
    yield _stretch(outing, "work", at, times.set_up_by)
    yield _stretch(outing, "in hand", times.set_up_by, times.expose)
    yield _stretch(outing, "work", times.expose, times.away)
    at = times.away
    for back in outing.back:
        kind = "walked" if back.leg.footing == "own track" else "not yet walked"
        yield _stretch(outing, kind, at, back.arrive_slow)
        at = back.arrive_slow
    if budget.drive_s:
        yield _stretch(outing, "drive", at, at + timedelta(seconds=budget.drive_s))


def _stretch(
    outing: OutingAnswer, doing: Doing, start: datetime, end: datetime
) -> tuple[Doing, float, float]:
    return doing, _minute(outing, start), _minute(outing, end)


def _plan(outing: OutingAnswer) -> Iterator[Moment]:
    times, budget, window = outing.times, outing.budget, outing.window
    kept = can_be_kept(times.expose, times.expose_by)
    last_start = times.leave_start_by if kept else None
    if times.leave_home is not None:
        away = timedelta(seconds=(budget.drive_s or 0.0) + (budget.park_s or 0.0))
        yield _moment(outing, times.leave_home, say("leave home"), last_start and last_start - away)
    yield _moment(
        outing,
        times.leave_start,
        say("leave {cut}", cut=_cut(outing.start_name, _LONGEST - 6)),
        last_start,
    )
    for one in outing.out:
        latest = None if exposure_lost(outing, one) else one.pass_by
        yield _moment(outing, one.arrive_slow, _cut(one.leg.end_name), latest)
    yield _moment(outing, times.set_up_by, say("set up"), times.expose_by if kept else None)
    end = clock_on(window.end, outing.zone, outing.day)
    yield Moment(
        minute=_minute(outing, window.start),
        clock=f"{clock_on(window.start, outing.zone, outing.day)}–{end}",
        name=say("light {plus_minus}", plus_minus=plus_minus_text(window)),
        kind="light",
    )
    yield _moment(outing, times.away, say("away"), None)
    for back in outing.back:
        yield _moment(outing, back.arrive_slow, _cut(back.leg.end_name), None)
    if budget.drive_s:
        home = times.back_slow + timedelta(seconds=budget.drive_s)
        yield _moment(outing, home, say("home"), None)


def _hooks(outing: OutingAnswer) -> Iterator[Moment]:
    away_by = outing.times.away_by
    for one in outing.out:
        if one.turn_back is not None and one.turn_back != away_by and not too_far(one):
            name = say("turn back, {cut}", cut=_cut(one.leg.end_name))
            yield _moment(outing, one.turn_back, name, None, "hook")
    if away_by is not None and can_be_kept(outing.times.away, away_by):
        yield _moment(outing, away_by, say("away by"), None, "hook")
    usable = [leg.usable_until for leg in outing.back if leg.usable_until is not None]
    if usable:
        yield _moment(outing, min(usable), say("usable light ends"), None, "dusk")


def _moment(
    outing: OutingAnswer,
    at: datetime,
    name: str,
    latest: datetime | None,
    kind: Literal["plan", "hook", "dusk"] = "plan",
) -> Moment:
    late = None if latest is None or not can_be_kept(at, latest) else latest
    return Moment(
        minute=_minute(outing, at),
        clock=clock_on(at, outing.zone, outing.day),
        name=name,
        kind=kind,
        latest=None if late is None else _minute(outing, late),
        latest_clock="" if late is None else clock_on(late, outing.zone, outing.day),
    )


def _tones(
    outing: OutingAnswer, calendar: LightCalendar | None, begin: float, end: float
) -> Iterator[tuple[float, float, str]]:
    if calendar is None or calendar.subject != outing.subject:
        return
    for each in calendar.near:
        ahead = (each.day - outing.day).days * _DAY
        for start, stop, tone in each.tones:
            if start + ahead < end and stop + ahead > begin:
                yield max(start + ahead, begin), min(stop + ahead, end), tone


def _cut(name: str, longest: int = _LONGEST) -> str:
    name = clean(name).strip() or say("unnamed")
    return name if len(name) <= longest else name[: longest - 1].rstrip(" ,") + "…"


def _minute(outing: OutingAnswer, at: datetime) -> float:
    """Of the local clock, from the day's midnight on."""
    there = local(at, outing.zone)
    ahead = (there.date() - outing.day).days * _DAY
    return ahead + there.hour * 60 + there.minute + there.second / 60
