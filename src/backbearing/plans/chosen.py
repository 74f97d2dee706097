"""What may be chosen on a page: the sun of each near day every ten minutes, and the seconds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.sun import sun_position
from backbearing.places.zones import day_bounds, local

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date, datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.expose.seconds import Seconds
    from backbearing.plans.lightcalendar import CalendarDay, LightCalendar, Tone
    from backbearing.plans.tripod import Tripod
    from backbearing.records import CameraPosition, Subject

STEP_MIN = 10
SECONDS_STEP_MIN = 20  # each takes the change of light during it into account
_AFTER_MIN = 120  # of light an exposure begun at the day's end may take
SKIES = ("clear", "overcast")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenMinute:
    """Where the sun stands as seen through average air, and what it does to the subject."""

    clock_min: int  # of the local clock, since midnight
    azimuth_deg: float
    altitude_deg: float
    tone: Tone


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenSeconds:
    """The exposures begun at a minute, under each of `SKIES`."""

    clock_min: int
    seconds: tuple[Seconds | None, Seconds | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenDay:
    """A near day, from first twilight to last."""

    day: date
    minutes: tuple[ChosenMinute, ...]
    seconds: tuple[ChosenSeconds, ...]  # () where no batch is on record


def chosen_days(
    notebook: Notebook,
    subject: Subject,
    camera: CameraPosition | None,
    calendar: LightCalendar,
    tripod: Tripod | None,
) -> tuple[ChosenDay, ...]:
    """The near days of a light calendar, minute by minute; nights are left out.

    camera: from which the subject's face is seen. tripod: its batch and aperture are exposed on.
    Raises NotebookError.
    """
    return tuple(_days(notebook, subject, camera, calendar, tripod))


def _days(
    notebook: Notebook,
    subject: Subject,
    camera: CameraPosition | None,
    calendar: LightCalendar,
    tripod: Tripod | None,
) -> Iterator[ChosenDay]:
    for each in calendar.near:
        start, end = day_bounds(each.day, calendar.zone)
        begin = _utc(start)
        count = int((end - start).total_seconds() // 60)
        minutes = np.arange(0, count, STEP_MIN)
        times = begin + minutes.astype("timedelta64[m]")
        place = subject.place
        sun = sun_position(
            times, place.latitude_deg, place.longitude_deg, height_m=place.height_m or 0.0
        )
        clocks = [_clock(time, calendar.zone) for time in times]
        shown = [
            ChosenMinute(
                clock_min=clock,
                azimuth_deg=round(float(azimuth), 1),
                altitude_deg=round(float(altitude), 1),
                tone=tone,
            )
            for clock, azimuth, altitude in zip(
                clocks, sun.azimuth_deg.tolist(), sun.altitude_deg.tolist(), strict=True
            )
            if (tone := _tone(each, clock)) != "night"
        ]
        seconds: Sequence[ChosenSeconds] = ()
        if tripod is not None and tripod.batch is not None:
            seconds = _seconds(notebook, subject, camera, tripod, begin, count, each, calendar.zone)
        yield ChosenDay(day=each.day, minutes=tuple(shown), seconds=tuple(seconds))


def _seconds(
    notebook: Notebook,
    subject: Subject,
    camera: CameraPosition | None,
    tripod: Tripod,
    begin: np.datetime64,
    count: int,
    day: CalendarDay,
    zone: str,
) -> list[ChosenSeconds]:
    from backbearing.plans.brightness import scene_of
    from backbearing.plans.expose.course import course_of
    from backbearing.plans.expose.seconds import setup

    assert tripod.batch is not None  # noqa: S101 - the caller has seen to it
    scene = scene_of(notebook, subject, camera=camera)
    try:
        way = setup(
            tripod.batch,
            tripod.aperture.f_number,
            focal_mm=tripod.focal_mm,
            distance_m=scene.camera.distance_m if scene.camera else None,
        )
    except BadInput:  # a batch or a distance that will not do: `expose` says so
        return []
    times = begin + np.arange(count + _AFTER_MIN).astype("timedelta64[m]")
    courses = [course_of(scene, times, sky=sky, ground="grass") for sky in SKIES]
    found = []
    for minute in range(0, count, SECONDS_STEP_MIN):
        clock = _clock(begin + np.timedelta64(minute, "m"), zone)
        if _tone(day, clock) != "night":
            clear, overcast = (course.seconds(way, minute)[0] for course in courses)
            found.append(ChosenSeconds(clock_min=clock, seconds=(clear, overcast)))
    return found


def _tone(day: CalendarDay, clock_min: int) -> Tone:
    return next((tone for a, b, tone in day.tones if a <= clock_min < b), "night")


def _utc(instant: datetime) -> np.datetime64:
    return np.datetime64(int(instant.timestamp()) // 60, "m")


def _clock(time: np.datetime64, zone: str) -> int:
    from datetime import UTC
    from datetime import datetime as datetimes

    at = local(datetimes.fromtimestamp(int(time.astype("datetime64[s]").astype(int)), tz=UTC), zone)
    return at.hour * 60 + at.minute
