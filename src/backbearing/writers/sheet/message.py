"""The message to send from home: where, by which way, back when, and whom to call after that."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from backbearing.places.coordinates import decimal_text
from backbearing.places.words import degrees_text, metres_text
from backbearing.places.zones import clock_name, clock_text
from backbearing.writers.text import clean
from backbearing.writers.words import day_text

if TYPE_CHECKING:
    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.taking import RouteRow

OVERDUE_AFTER = timedelta(hours=2)  # past the slow end; common practice, no source
BLANK = "____________"


def overdue_text(
    outing: OutingAnswer, route: tuple[RouteRow, ...], *, number: str = "", whom: str = ""
) -> str:
    """Plain text for whoever stays at home; blanks for what only the user knows.

    number: to call when overdue; whom: who answers there.
    """
    zone, times = outing.zone, outing.times
    # whoever leaves at the last safe minute and uses up the time in hand is not overdue
    back = times.back_by + timedelta(seconds=outing.budget.margin_s)
    if times.back_limit is not None and outing.works:
        back = min(back, times.back_limit)
    call = back + OVERDUE_AFTER
    start = outing.out[0].leg.line[0] if outing.out else None
    lines = [
        f"{day_text(outing.day)}: I walk to {outing.subject} and back, alone / with {BLANK}.",
        f"Car ({BLANK}) at {outing.start_name}"
        + ("" if start is None else f", {decimal_text(*start)}")
        + f", leaving it {clock_text(times.leave_start, zone)} ({clock_name(zone)}).",
        "Way out:",
        *(_leg(row) for row in route if row.out),
        "Same way back."
        if _same_way(route)
        else "Way back: "
        + "; ".join(f"to {row.to} ({row.grid})" for row in route if not row.out)
        + ".",
        f"At the subject from {clock_text(times.set_up_by, zone)}, away from it by "
        f"{clock_text(times.last_away, zone)} at the latest.",
        f"Expected back at the car about {clock_text(times.back_usual, zone)}; by "
        f"{clock_text(back, zone)} at the latest.",
        f"If you have not heard from me by {clock_text(call, zone)}, call {whom or BLANK} "
        f"({number or 'local emergency number: ' + BLANK}) and read them this.",
    ]
    return "\n".join(clean(line) for line in lines) + "\n"


def _leg(row: RouteRow) -> str:
    bearing = degrees_text(row.bearing_true_deg)
    return (
        f"  {row.number}. to {row.to}, {row.grid}: {metres_text(row.length_m)} at {bearing} true, "
        f"{row.how}"
    )


def _same_way(route: tuple[RouteRow, ...]) -> bool:
    out = [row.to for row in route if row.out][:-1]
    back = [row.to for row in route if not row.out][:-1]
    return out == back[::-1]
