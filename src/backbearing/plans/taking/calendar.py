"""An outing as a calendar entry: its light, with reminders to leave, set up and turn back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from backbearing.plans.light.best import FIRST_YEAR

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.outing import OutingAnswer
    from backbearing.records import Subject


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


def calendar_entry(notebook: Notebook, outing: OutingAnswer, *, description: str) -> CalendarEntry:
    """The outing's light window as an entry, with a reminder for each time to act on.

    description: the day in words (`writers.calendar.outing_description`).
    The key is made of the subject's uid, its camera position, the local day the light begins on,
    and which of that day's it is: a plan made again for the same light, even while it lasts, brings
    the same entry up to date.
    A day that does not work has no reminders, for there is no plan to keep. Raises NotFound.
    """
    from backbearing.notebook.subjects import find_subject, list_camera_positions

    subject = find_subject(notebook, outing.subject)
    cameras = list_camera_positions(notebook, subject.id)
    stand = next((one for one in cameras if one.name == outing.camera_position), None)
    place = subject.place if stand is None else stand.place
    window = outing.window
    lit = f"{outing.subject}: {window.lit_from}"
    day, number = _which(notebook, subject, outing)
    alarms = sorted(_alarms(outing), key=lambda one: one.at) if outing.works else []
    return CalendarEntry(
        key=f"outing {subject.uid} {outing.camera_position} {day.isoformat()} "
        f"{window.sky} {number}",
        start=window.start,
        end=window.end,
        summary=lit if outing.works else f"does not work: {lit}",
        description=description,
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        alarms=tuple(alarms),
    )


def _alarms(outing: OutingAnswer) -> Iterator[CalendarAlarm]:
    times = outing.times
    if times.leave_home is not None:
        yield CalendarAlarm(at=times.leave_home, words="leave home")
    yield CalendarAlarm(at=times.leave_start, words=f"leave {outing.start_name}")
    for leg in outing.out:
        words = f"pass by {leg.leg.end_name} now, or the exposure is lost"
        yield CalendarAlarm(at=leg.pass_by, words=words)
        if leg.turn_back is not None:
            words = f"turn back: be on the way home from {leg.leg.end_name}; later is not in time"
            yield CalendarAlarm(at=leg.turn_back, words=words)
    yield CalendarAlarm(at=times.set_up_by, words="be set up")


def _which(notebook: Notebook, subject: Subject, outing: OutingAnswer) -> tuple[date, int]:
    """The day the planned light begins on, and which of that day's under its sky it is, from 1.

    Of whole days: light that is over when the plan is made counts on, and light that has begun
    the evening before is of that day. It is the one that shares most time with the plan's, which
    may have lost what was over of it.
    """
    from backbearing.plans.light import best_light

    planned = outing.window
    days = best_light(
        notebook,
        [subject.name],
        start=max(outing.day - timedelta(days=1), date(FIRST_YEAR, 1, 1)),
        end=outing.day,
    ).windows
    alike = sorted(
        (one.day, one.start, one.end)
        for one in days
        if (one.camera_position, one.sky) == (planned.camera_position, planned.sky)
    )

    def shared_s(number: int) -> float:
        _, start, end = alike[number]
        return (min(end, planned.end) - max(start, planned.start)).total_seconds()

    best = max(range(len(alike)), key=shared_s, default=None)
    if best is None:
        return outing.day, 1
    day = alike[best][0]
    return day, 1 + sum(one[0] == day for one in alike[:best])
