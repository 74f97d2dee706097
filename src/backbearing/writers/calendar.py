"""Times to act on as a calendar file (iCalendar, RFC 5545), written by icalendar.

A second export of the same thing carries the same UID, so that a calendar brings its entry up to
date and does not add another.
"""

from __future__ import annotations

from typing import TYPE_CHECKING
from uuid import UUID, uuid5

from backbearing.writers.outingwords import does_not_work_text
from backbearing.writers.text import clean
from backbearing.writers.words import clock_on, plus_minus_text

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.taking import CalendarEntry

# of our own, so that a subject's uid, day and camera position make one UID and always the same
_NAMESPACE = UUID("6f0f6d0e-3f0b-5c8e-9a65-5b1f2f0c7a11")


def outing_description(outing: OutingAnswer) -> str:
    """What an outing's entry says: first that its day does not work, where it does not."""
    window, times = outing.window, outing.times

    def clock(at: datetime) -> str:
        return clock_on(at, outing.zone, outing.day)

    light = f"light {clock(window.start)}–{clock(window.end)} {plus_minus_text(window)}"
    lines = [f"{light}, best {clock(window.best)}", window.why]
    if outing.works:
        lines.append(
            f"leave {outing.start_name} {clock(times.leave_start)}, away by "
            f"{clock(times.last_away)}, back by {clock(times.back_by)} at the slow pace"
        )
    else:
        lines.insert(0, does_not_work_text(outing))
    return "\n".join([*lines, *outing.cautions])


def calendar_text(entries: Sequence[CalendarEntry], *, written_at: datetime) -> str:
    """The entries as one iCalendar file; instants in UTC, lines folded at 75 octets."""
    from icalendar import Alarm, Calendar, Event, vDDDTypes

    calendar = Calendar()
    calendar.add("prodid", "-//Backbearing//times of light//EN")
    calendar.add("version", "2.0")
    for entry in entries:
        event = Event()
        event.add("uid", f"{uuid5(_NAMESPACE, entry.key)}@backbearing.invalid")
        event.add("dtstamp", written_at)
        event.add("last-modified", written_at)
        event.add("dtstart", entry.start)
        event.add("dtend", entry.end)
        event.add("summary", clean(entry.summary))
        # line breaks are ours; each line's text is cleaned
        event.add("description", "\n".join(clean(line) for line in entry.description.split("\n")))
        event.add("geo", (round(entry.latitude_deg, 6), round(entry.longitude_deg, 6)))
        event.add("transp", "OPAQUE")
        for reminder in entry.alarms:
            alarm = Alarm()
            alarm.add("action", "DISPLAY")
            alarm.add("description", clean(reminder.words))
            trigger = vDDDTypes(reminder.at)
            trigger.params["VALUE"] = "DATE-TIME"
            alarm["trigger"] = trigger
            event.add_component(alarm)
        calendar.add_component(event)
    text: str = calendar.to_ical().decode()
    return text
