"""The message to send from home: where, by which way, back when, and whom to call after that."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from backbearing.places.coordinates import decimal_text, looks_like_coordinate
from backbearing.places.words import degrees_text, metres_text
from backbearing.places.zones import clock_name, local
from backbearing.plans.outing.answer import can_be_kept
from backbearing.saying import say
from backbearing.writers.outingwords import does_not_work_text
from backbearing.writers.text import clean
from backbearing.writers.words import day_clock_text, day_text

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.taking import RouteRow

OVERDUE_AFTER = timedelta(hours=2)  # past the slow end; common practice, no source
BLANK = "____________"


def overdue_text(outing: OutingAnswer, route: tuple[RouteRow, ...], *, call: str) -> str:
    """Plain text for whoever stays at home: every clock with its day; blanks for car and companion.

    call: whom to call when overdue, and the number. Of a day that does not work it says so
    first, and when one is back by the plan.
    """
    times = outing.times

    def clock(at: datetime) -> str:
        return day_clock_text(at, outing.zone)

    margin = timedelta(seconds=outing.budget.margin_s)
    if can_be_kept(times.away, times.away_by):
        # whoever leaves at the last safe minute and uses up the time in hand is not overdue
        back = times.back_by + margin
        away = say("by {clock} at the latest", clock=clock(times.last_away))
    else:
        back = times.back_slow + margin
        away = say("about {clock}", clock=clock(times.away))
    if times.back_limit is not None and outing.works:
        back = min(back, times.back_limit)
    car = outing.start_name
    if outing.out and not looks_like_coordinate(car):
        car += f", {decimal_text(*outing.out[0].leg.line[0])}"
    leaving = local(times.leave_start, outing.zone).date()
    lines = [
        *([] if outing.works else [does_not_work_text(outing)]),
        say(
            "{leaving}: I walk to {subject} and back, alone / with {blank}.",
            leaving=day_text(leaving),
            subject=outing.subject,
            blank=BLANK,
        ),
        say(
            "Car ({blank}) at {car}, leaving it {clock} (clock of {zone}).",
            blank=BLANK,
            car=car,
            clock=clock(times.leave_start),
            zone=clock_name(outing.zone),
        ),
        say("Way out:"),
        *(_leg(row) for row in route if row.out),
        say("Same way back.")
        if _same_way(route)
        else say("Way back: ")
        + "; ".join(
            say("to {to} ({grid})", to=row.to, grid=row.grid) for row in route if not row.out
        )
        + ".",
        say(
            "At the subject from {clock}, away from it {away}.",
            clock=clock(times.set_up_by),
            away=away,
        ),
        say(
            "Expected back at the car about {clock}; by {clock_2} at the latest.",
            clock=clock(times.back_usual),
            clock_2=clock(back),
        ),
        say(
            "If you have not heard from me by {clock}, call {call} and read them this.",
            clock=clock(back + OVERDUE_AFTER),
            call=call,
        ),
    ]
    return "\n".join(clean(line) for line in lines) + "\n"


def _leg(row: RouteRow) -> str:
    bearing = degrees_text(row.bearing_true_deg)
    return say(
        "  {number}. to {to}, {grid}: {length} at {bearing} true, {how}",
        number=row.number,
        to=row.to,
        grid=row.grid,
        length=metres_text(row.length_m),
        bearing=bearing,
        how=row.how,
    )


def _same_way(route: tuple[RouteRow, ...]) -> bool:
    out = [row.to for row in route if row.out][:-1]
    back = [row.to for row in route if not row.out][:-1]
    return out == back[::-1]
