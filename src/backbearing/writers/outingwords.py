"""The sentences of an outing that terminal, page, sheet and calendar share."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from backbearing.places.words import degrees_text, metres_text
from backbearing.places.zones import local
from backbearing.plans.outing.answer import can_be_kept, exposure_lost, too_far
from backbearing.saying import phrase, say
from backbearing.writers.expose import range_text
from backbearing.writers.words import (
    chance_text,
    clock_on,
    day_text,
    duration_text,
    plus_minus_text,
)

if TYPE_CHECKING:
    from datetime import date, datetime

    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.outing.answer import Near, OutLeg, Short, SunOnGround

DEADLINES = phrase(
    "Pass by: later than this at the leg's end, the exposure is lost. "
    "Turn back: later than this there, the way home is not done in "
    "time. Both at the slow pace."
)
SURE_CHANCE = 0.9  # a passage as likely open as this is not named beside the times


def six_times(answer: OutingAnswer) -> tuple[tuple[str, str, str], ...]:
    """The six times to go by: what, the clock, and what else is to be known of it.

    Each is for a watch, in the order of the day: who keeps one can keep the next. The first four
    make the best of the light, the last two are the latest that is safe; the remark has the other.
    Of a day that does not work they are those of the plan, and no deadline that is over by then.
    """
    times, window = answer.times, answer.window
    begin_kept = can_be_kept(times.expose, times.expose_by)

    def clock(at: datetime | None) -> str:
        return clock_on(at, answer.zone, answer.day)

    def latest(plan: datetime, at: datetime) -> str:
        kept = begin_kept and can_be_kept(plan, at)
        return (
            say("at the latest {clock}", clock=clock(at)) if kept else say("the day does not work")
        )

    drive_s = answer.budget.drive_s
    home = say("time of the drive not given")
    if drive_s is not None:
        park_s = answer.budget.park_s or 0.0
        last = times.leave_start_by - timedelta(seconds=drive_s + park_s)
        home = say("{drive} of drive", drive=duration_text(drive_s))
        home += say(", {park} to park; ", park=duration_text(park_s)) if park_s else "; "
        home += latest(times.leave_start - timedelta(seconds=drive_s + park_s), last)
    light = say(
        "light {clock}–{clock_2} {plus_minus}",
        clock=clock(window.start),
        clock_2=clock(window.end),
        plus_minus=plus_minus_text(window),
    )
    exposed = times.expose + timedelta(seconds=answer.budget.exposing_s)
    in_light = can_be_kept(exposed, window.end)
    if in_light:
        light = say("{light}, best {clock}", light=light, clock=clock(window.best))
        if begin_kept:
            light += say("; begin by {clock}", clock=clock(times.expose_by))
    else:
        light = say("over before all is exposed; {light}", light=light)
    return_kept = can_be_kept(times.away, times.away_by)
    away = say("at the latest; by plan {clock}", clock=clock(times.away))
    back = say("slowly, when away at the latest; by plan {clock}", clock=clock(times.back_usual))
    if times.away_by is None:
        away = say("light over, packed; nothing presses; by plan {clock}", clock=clock(times.away))
    elif not return_kept:
        away = say("by plan; too late for the way back")
        back = say("slowly, by plan; usually {clock}", clock=clock(times.back_usual))
    if times.back_limit is not None:
        back += say("; limit {clock}", clock=clock(times.back_limit))
    return (
        (say("leave home"), clock(times.leave_home), home),
        (
            say("leave start"),
            clock(times.leave_start),
            f"{answer.start_name}; {latest(times.leave_start, times.leave_start_by)}",
        ),
        (
            say("be set up by"),
            clock(times.set_up_by),
            say("at the slow pace; {latest}", latest=latest(times.set_up_by, times.expose_by)),
        ),
        (say("expose"), clock(times.expose if in_light else None), light),
        (say("away by"), clock(times.last_away if return_kept else times.away), away),
        (say("back by"), clock(times.back_by if return_kept else times.back_slow), back),
    )


def does_not_work_text(answer: OutingAnswer) -> str:
    """One sentence on what is short, '' of a day that works; whatever leaves here says it first."""
    if answer.works:
        return ""
    why = "; ".join(short_text(answer, one) for one in answer.short)
    return say("This day does not work: {why}.", why=why)


def next_day_text(answer: OutingAnswer) -> str:
    """The next day that works, of a day that does not: when to leave, and its light."""
    other = answer.next_day
    if other is None:
        until = (
            ""
            if answer.sought_until is None
            else say(" until {sought_until}", sought_until=day_text(answer.sought_until))
        )
        return say("No day{until} works with these limits.", until=until)
    leave = other.times.leave_home or other.times.leave_start
    which = say("home") if other.times.leave_home else say("the start")
    leave_at, begin, end = (
        clock_on(at, answer.zone, other.day) for at in (leave, other.window.start, other.window.end)
    )
    return say(
        "The next day that works: {other_day}, leave {which} at "
        "{leave_at}, light {begin}–{end} ({plus_minus}).",
        other_day=day_text(other.day),
        which=which,
        leave_at=leave_at,
        begin=begin,
        end=end,
        plus_minus=plus_minus_text(other.window),
    )


def deadlines_text(answer: OutingAnswer, leg: OutLeg) -> tuple[str, str]:
    """When to pass a leg's end ('lost' where by plan that is too late), when to turn back there.

    The latter is '–' where nothing presses, 'too late' where by plan one is there later.
    """
    return (
        say("lost") if exposure_lost(answer, leg) else _clock(answer, leg.pass_by),
        say("too late") if too_far(leg) else _clock(answer, leg.turn_back),
    )


def hangs_text(answer: OutingAnswer) -> str:
    """The passages in doubt that the day hangs on: 'coast ford, open at 55 % (found open, …)'."""
    doubtful = [use for use in answer.way.passages if use.chance < SURE_CHANCE]
    return "; ".join(
        say(
            "{use}, chance open {chance} ({last_found})",
            use=use.name,
            chance=chance_text(use.chance),
            last_found=use.last_found,
        )
        for use in doubtful
    )


def ground_cautions(answer: OutingAnswer) -> tuple[str, ...]:
    """What the way's ground hides or threatens: cells hide steps, snow slides."""
    return answer.way.cautions[1:]  # the first says of times what the outing's own say


def short_text(answer: OutingAnswer, short: Short) -> str:
    """What is short and by how much: 'usable light on leg 2 of the way back: short by 25 min'."""
    by = (
        say("there is none")
        if short.short_s is None
        else say("short by {short}", short=duration_text(short.short_s))
    )
    if short.what in ("window", "arrival") and short.short_s is None:
        when = say("once one is ready") if short.what == "arrival" else say("all the time")
        return say("too dark on {batch} {when}", batch=answer.batch, when=when)
    if short.what == "window":
        return say("the light lasts too short for the exposures: {by}", by=by)
    if short.what == "arrival":
        begun = say(" (it has begun already)") if answer.window_begun else ""
        end = _clock(answer, answer.window.end)
        return say(
            "ready too late for the light{begun}, until {end} less its ±: {by}",
            begun=begun,
            end=end,
            by=by,
        )
    if short.what == "back by":
        return say(
            "back at the start by {back_limit}: {by}",
            back_limit=_clock(answer, answer.times.back_limit),
            by=by,
        )
    out = short.what == "light on the way out"
    legs = answer.out if out else answer.back
    end = legs[short.leg - 1].leg.end_name if short.leg else ""
    return (
        say(
            "usable light on leg {leg} of the way out, to {end}: {by}",
            leg=short.leg,
            end=end,
            by=by,
        )
        if out
        else say(
            "usable light on leg {leg} of the way back, to {end}: {by}",
            leg=short.leg,
            end=end,
            by=by,
        )
    )


def sun_text(sun: SunOnGround | None, zone: str, day: date | None = None) -> str:
    """Whether a leg's critical ground is in sun when passed: 'in sun since 08:40'.

    day: the outing's, for the clock of another; None for that of the passing.
    """
    if sun is None:
        return ""
    day = day or local(sun.passed_at, zone).date()
    if sun.in_sun:
        return (
            say("in sun")
            if sun.since is None
            else say("in sun since {since}", since=clock_on(sun.since, zone, day))
        )
    if sun.since is not None:
        return say("in shade since {since}", since=clock_on(sun.since, zone, day))
    if sun.until is not None:
        return say("in shade until {until}", until=clock_on(sun.until, zone, day))
    return say("in shade all day")


def near_text(near: Near) -> str:
    """Which way and how far: '248° (254M), 340 m, 8 min on foot'."""
    compass = near.bearing_magnetic_deg
    magnetic = "" if compass is None else f" ({degrees_text(compass)[:-1]}M)"
    return f"{degrees_text(near.bearing_true_deg)}{magnetic}"


def near_head() -> list[str]:
    """The heads of what is near, on the terminal and the sheet."""
    return [
        say("subject"),
        say("bearing"),
        say("away"),
        say("on foot"),
        say("light there"),
        "± min",
        say("seconds"),
        say("when"),
    ]


def near_row(answer: OutingAnswer, near: Near) -> list[str]:
    """One subject that is near, under `near_head`."""
    error = near.window.plus_minus_min
    return [
        near.subject,
        near_text(near),
        metres_text(near.distance_m),
        duration_text(near.usual_s),
        f"{_clock(answer, near.begin)}–{_clock(answer, near.end)}",
        f"{error:.0f}" if error else "–",
        "" if near.exposure is None else range_text(near.exposure),
        (say("after it") if near.after else say("instead of it"))
        + (say("; doubtful") if near.window.doubtful else ""),
    ]


def _clock(answer: OutingAnswer, at: datetime | None) -> str:
    return clock_on(at, answer.zone, answer.day)
