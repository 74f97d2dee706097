"""The six times of the planned day as they stand at the head of the page, read at arm's length."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from backbearing.plans.outing.answer import can_be_kept
from backbearing.saying import say
from backbearing.writers.outingwords import six_times
from backbearing.writers.words import clock_on, plus_minus_text

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.plans.outing import OutingAnswer


def head_times(outing: OutingAnswer) -> tuple[tuple[str, str, str], ...]:
    """The six of `six_times`, each with its latest, its limit or its light in a few words."""
    brief = (
        _home(outing),
        _latest(outing, outing.times.leave_start, outing.times.leave_start_by),
        _latest(outing, outing.times.set_up_by, outing.times.expose_by),
        _light(outing),
        _away(outing),
        _back(outing),
    )
    return tuple(
        (what, clock, few) for (what, clock, _), few in zip(six_times(outing), brief, strict=True)
    )


def _latest(outing: OutingAnswer, plan: datetime, latest: datetime) -> str:
    times = outing.times
    if can_be_kept(times.expose, times.expose_by) and can_be_kept(plan, latest):
        return say("latest {latest}", latest=_clock(outing, latest))
    return say("does not work")


def _home(outing: OutingAnswer) -> str:
    times, drive_s = outing.times, outing.budget.drive_s
    if times.leave_home is None or drive_s is None:
        return say("drive not given")
    on_the_road = timedelta(seconds=drive_s + (outing.budget.park_s or 0.0))
    return _latest(outing, times.leave_home, times.leave_start_by - on_the_road)


def _light(outing: OutingAnswer) -> str:
    window = outing.window
    span = f"{_clock(outing, window.start)}–{_clock(outing, window.end)}"
    return say(
        "{span} {plus_minus}, best {best}",
        span=span,
        plus_minus=plus_minus_text(window),
        best=_clock(outing, window.best),
    )


def _away(outing: OutingAnswer) -> str:
    times = outing.times
    if times.away_by is None:
        return say("plan {away}", away=_clock(outing, times.away))
    if not can_be_kept(times.away, times.away_by):
        return say("too late for the way back")
    return say("plan {away}", away=_clock(outing, times.away))


def _back(outing: OutingAnswer) -> str:
    plan = say("plan {back_usual}", back_usual=_clock(outing, outing.times.back_usual))
    if outing.times.back_limit is None:
        return plan
    return say(
        "{plan}, limit {back_limit}", plan=plan, back_limit=_clock(outing, outing.times.back_limit)
    )


def _clock(outing: OutingAnswer, at: datetime) -> str:
    return clock_on(at, outing.zone, outing.day)
