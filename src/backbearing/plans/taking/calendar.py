"""An outing as a calendar entry: its light, with reminders to leave, set up and turn back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

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
    The key is made of the subject's uid, its camera position, the local day, and which of that
    day's windows it is: a plan made again for the same light brings the same entry up to date.
    A day that does not work has no reminders, for there is no plan to keep. Raises NotFound.
    """
    from backbearing.notebook.subjects import find_subject, list_camera_positions

    subject = find_subject(notebook, outing.subject)
    cameras = list_camera_positions(notebook, subject.id)
    stand = next((one for one in cameras if one.name == outing.camera_position), None)
    place = subject.place if stand is None else stand.place
    window = outing.window
    lit = f"{outing.subject}: {window.lit_from}"
    alarms = sorted(_alarms(outing), key=lambda one: one.at) if outing.works else []
    return CalendarEntry(
        key=f"outing {subject.uid} {outing.camera_position} {outing.day.isoformat()} "
        f"{window.sky} {_number(notebook, subject, outing)}",
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
            words = f"turn back: be on the way home from {leg.leg.end_name}; later is not safe"
            yield CalendarAlarm(at=leg.turn_back, words=words)
    yield CalendarAlarm(at=times.set_up_by, words="be set up")


def _number(notebook: Notebook, subject: Subject, outing: OutingAnswer) -> int:
    """Which of the day's windows under its sky this is, counted from 1 in the order of the clock.

    Of the whole day: one that is over when the plan is made counts on. The window is the one
    that shares most time with the plan's, which may have lost what was over of it.
    """
    from backbearing.plans.light import best_light

    window = outing.window
    day = best_light(notebook, [subject.name], start=outing.day, end=outing.day).windows
    alike = sorted(
        (one.start, one.end)
        for one in day
        if (one.camera_position, one.sky) == (window.camera_position, window.sky)
    )

    def shared(number: int) -> float:
        start, end = alike[number]
        return (min(end, window.end) - max(start, window.start)).total_seconds()

    return max(range(len(alike)), key=shared, default=0) + 1
