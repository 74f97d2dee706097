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
    back = times.back_limit or times.back_by
    call = max(back, times.back_by) + OVERDUE_AFTER
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
        f"At the subject {clock_text(times.set_up_by, zone)} to {clock_text(times.away, zone)}.",
        f"Back at the car by {clock_text(back, zone)} at the latest.",
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
