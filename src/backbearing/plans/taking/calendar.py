"""An outing as a calendar entry: its light, with reminders to leave, set up and turn back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.places.zones import clock_text

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.outing import OutingAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarAlarm:
    """A reminder at an instant."""

    at: datetime
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarEntry:
    """One thing in a calendar: a light window, with its reminders."""

    key: str  # the same for the same thing, whenever it is written
    start: datetime
    end: datetime
    summary: str
    description: str
    latitude_deg: float
    longitude_deg: float
    alarms: tuple[CalendarAlarm, ...] = ()


def calendar_entries(notebook: Notebook, outing: OutingAnswer) -> tuple[CalendarEntry, ...]:
    """The outing's light window as an entry, with a reminder for each time to act on.

    The key is made of the subject's uid, its camera position and the local day: a plan made again
    for the same day brings the same entry up to date. Raises NotFound.
    """
    from backbearing.notebook.subjects import find_subject, list_camera_positions

    subject = find_subject(notebook, outing.subject)
    cameras = list_camera_positions(notebook, subject.id)
    place = cameras[0].place if cameras else subject.place
    times, zone = outing.times, outing.zone
    alarms = []
    if times.leave_home is not None:
        alarms.append(CalendarAlarm(at=times.leave_home, words="leave home"))
    alarms.append(CalendarAlarm(at=times.leave_start, words=f"leave {outing.start_name}"))
    for leg in outing.out:
        words = f"pass by {leg.leg.end_name} now, or the exposure is lost"
        alarms.append(CalendarAlarm(at=leg.pass_by, words=words))
        if leg.turn_back is not None:
            words = f"turn back: be on the way home from {leg.leg.end_name}; later is not safe"
            alarms.append(CalendarAlarm(at=leg.turn_back, words=words))
    alarms.append(CalendarAlarm(at=times.set_up_by, words="be set up"))
    window = outing.window
    lines = [
        f"light {clock_text(window.start, zone)}–{clock_text(window.end, zone)} "
        f"± {window.plus_minus_min:.0f} min, best {clock_text(window.best, zone)}",
        window.why,
        f"leave {outing.start_name} {clock_text(times.leave_start, zone)}, away by "
        f"{clock_text(times.last_away, zone)}, back by {clock_text(times.back_by, zone)} "
        "at the slow pace",
        *(["this day does not work as planned"] if not outing.works else []),
        *outing.cautions,
    ]
    entry = CalendarEntry(
        key=f"outing {subject.uid} {outing.camera_position} {outing.day.isoformat()}",
        start=window.start,
        end=window.end,
        summary=f"{outing.subject}: {window.lit_from}",
        description="\n".join(lines),
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        alarms=tuple(sorted(alarms, key=lambda one: one.at)),
    )
    return (entry,)
