"""Why a planned day is set up after its best minute, in plain words."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from backbearing.saying import say
from backbearing.writers.words import clock_on, duration_text

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.plans.outing import OutingAnswer

_SAME_MINUTE = timedelta(minutes=1)  # the clocks say no finer


def best_missed_text(outing: OutingAnswer) -> str:
    """Of a day set up after its best minute: when one is there, set up, and what held it up.

    At the slow pace, as `set up by` is. '' of a day that does not work, which says why itself.
    """
    times, best = outing.times, outing.window.best
    if not outing.works or times.set_up_by < best + _SAME_MINUTE:
        return ""
    there = outing.out[-1].arrive_slow if outing.out else times.leave_start
    return say(
        "At the slow pace the walk is there at {there}, and set up at {set_up}, "
        "{set_up_time} later; the best minute, {best}, is over then{why}.",
        there=_clock(outing, there),
        set_up=_clock(outing, times.set_up_by),
        set_up_time=duration_text((times.set_up_by - there).total_seconds()),
        best=_clock(outing, best),
        why=_why(outing),
    )


def _why(outing: OutingAnswer) -> str:
    """What keeps one from leaving sooner: a leg that is not begun before its usable light."""
    begun, held = outing.times.leave_start, None
    for one in outing.out:
        # reached at the usual pace: so the plan counts
        if one.needs_light and one.usable_from and begun <= one.usable_from + timedelta(seconds=2):
            held = one
        begun = one.arrive_usual
    if held is None or held.usable_from is None:
        return ""
    return say(
        ": the way to {to} is not begun before usable light, {light}, so one leaves {start} "
        "at {leave} and not sooner",
        to=held.leg.end_name,
        light=_clock(outing, held.usable_from),
        start=outing.start_name,
        leave=_clock(outing, outing.times.leave_start),
    )


def _clock(outing: OutingAnswer, at: datetime) -> str:
    return clock_on(at, outing.zone, outing.day)
