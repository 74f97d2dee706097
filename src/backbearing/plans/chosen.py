"""What may be chosen on a page: a year of one subject's sun every ten minutes, and the seconds.

subject ──┬─► its calendar: tones and good light of each day ─┐
          ├─► sun every ten minutes, near the camera's line? ─┼─► one year to choose from
          ├─► its skyline                                     │
          └─► kit on record ──► seconds of some days ─────────┘
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC
from datetime import datetime as datetimes
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.sun import sun_position
from backbearing.plans.dazzle import may_dazzle
from backbearing.plans.horizon import ask_skyline
from backbearing.plans.light import best_light
from backbearing.plans.light.spot import local_minutes
from backbearing.plans.lightcalendar import NEAR_DAYS, last_day, light_calendar
from backbearing.plans.soundness import leading
from backbearing.plans.standins import camera_line
from backbearing.plans.tones import TWILIGHT_DEG

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from datetime import date, datetime

    from backbearing.models.wanted import Bools, Ints
    from backbearing.notebook import Notebook
    from backbearing.plans.brightness import Scene
    from backbearing.plans.expose.seconds import Seconds, Setup
    from backbearing.plans.horizon import SkylineAnswer
    from backbearing.plans.light import LightAnswer
    from backbearing.plans.lightcalendar import CalendarDay, LightCalendar
    from backbearing.plans.page import ReturnSubject
    from backbearing.plans.tripod import Tripod
    from backbearing.records import CameraPosition, Floats, Subject

STEP_MIN = 10
MOST_SUBJECTS = 6  # that can be chosen: the one that leads, and those whose light comes first
SECONDS_STEP_MIN = 10  # each takes the change of light during it into account
_AFTER_MIN = 120  # of light an exposure begun at the day's end may take
SKIES = ("clear", "overcast")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenSeconds:
    """The exposures begun at a minute, under each of `SKIES`."""

    clock_min: int
    seconds: tuple[Seconds | None, Seconds | None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SunMinutes:
    """The sun as seen through average air on whole tens of the clock: arrays of one length.

    From first civil twilight of each day to last; nights are left out.
    """

    day: Ints  # of the calendar's days, the first is 0
    clock_min: Ints
    azimuth_deg: Floats
    altitude_deg: Floats
    near_line: Bools | None  # within 20° of the camera's line; None where no bearing is known


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChosenYear:
    """A subject whose days and minutes of a year can be chosen."""

    calendar: LightCalendar
    skyline: SkylineAnswer
    sun: SunMinutes
    seconds: dict[int, tuple[ChosenSeconds, ...]]  # by the calendar's day, where they were told


def chosen_years(
    notebook: Notebook,
    subjects: Sequence[ReturnSubject],
    first: ReturnSubject,
    tripod: Tripod | None,
    *,
    start: date,
    earliest_at: datetime | None,
    answered: Callable[[], LightAnswer] | None = None,
    progress: Callable[[str], None],
) -> tuple[ChosenYear, ...]:
    """A year from a day on of the subject that leads, then of the others, those lit first.

    tripod: on its batch and aperture is exposed: on the near days of the first subject, and on
    the day of each one's leading light. answered: gives the light of the first subject as it was
    asked already, for a period that may be another. Raises NotebookError.
    """
    others = [each for each in subjects if each is not first and each.looked_until is not None]
    others.sort(key=lambda each: (not each.windows, each.windows and each.windows[0].start))
    shown = [first, *others[: MOST_SUBJECTS - 1]]
    answer = answered() if answered is not None and not others else None
    if answer is None or answer.end != last_day(start):
        answer = best_light(
            notebook,
            [each.subject.name for each in shown],
            start=start,
            end=last_day(start),
            earliest_at=earliest_at,
        )
    found = []
    for number, each in enumerate(shown, start=1):
        progress(f"a year of light: {number} of {len(shown)}")
        found.append(_year(notebook, each, answer, tripod, start, lead=each is first))
    return tuple(found)


def _year(
    notebook: Notebook,
    each: ReturnSubject,
    answer: LightAnswer,
    tripod: Tripod | None,
    start: date,
    *,
    lead: bool,
) -> ChosenYear:
    subject = each.subject
    calendar = light_calendar(notebook, subject, each.zone, start=start, answer=answer)
    window = leading(each.windows)
    position = window.camera_position if window else ""
    camera = next((c for c in each.cameras if c.name == position), None)
    at = (window.day - start).days if window else 0
    days = {*(range(NEAR_DAYS) if lead else ()), at}
    noon = datetimes(start.year, start.month, start.day, 12, tzinfo=UTC)
    day = window.day if window else start
    return ChosenYear(
        calendar=calendar,
        skyline=ask_skyline(notebook, subject.name, days=[day.isoformat()], now=noon),
        sun=_sun(subject, camera, calendar),
        seconds=_seconds(notebook, subject, camera, calendar, tripod, sorted(days)),
    )


def _sun(subject: Subject, camera: CameraPosition | None, calendar: LightCalendar) -> SunMinutes:
    first, last = calendar.every[0].day, calendar.every[-1].day
    local = local_minutes(first, last, calendar.zone)
    place = subject.place
    whole = np.flatnonzero(local.clock_min % STEP_MIN == 0)
    spot, height_m = (place.latitude_deg, place.longitude_deg), place.height_m or 0.0
    airless = sun_position(local.time[whole], *spot, height_m=height_m, refraction=False)
    light = whole[airless.altitude_deg > TWILIGHT_DEG]
    sun = sun_position(local.time[light], *spot, height_m=height_m)
    bearing = camera_line(camera.bearing if camera else None, subject.facing_deg)
    near = None
    if bearing is not None:
        top_deg = camera.top_deg or 0.0 if camera else 0.0
        near = may_dazzle(sun.azimuth_deg, sun.altitude_deg, bearing, top_deg)
    return SunMinutes(
        day=local.day[light] - local.day[0],
        clock_min=local.clock_min[light],
        azimuth_deg=sun.azimuth_deg,
        altitude_deg=sun.altitude_deg,
        near_line=near,
    )


def _seconds(
    notebook: Notebook,
    subject: Subject,
    camera: CameraPosition | None,
    calendar: LightCalendar,
    tripod: Tripod | None,
    days: Sequence[int],
) -> dict[int, tuple[ChosenSeconds, ...]]:
    """The seconds of some of a calendar's days; none where no batch is on record or it will not
    do, as `expose` says then."""
    if tripod is None or tripod.batch is None:
        return {}
    from backbearing.plans.brightness import scene_of
    from backbearing.plans.expose.seconds import setup

    scene = scene_of(notebook, subject, camera=camera)
    try:
        way = setup(
            tripod.batch,
            tripod.aperture.f_number,
            focal_mm=tripod.focal_mm,
            distance_m=scene.camera.distance_m if scene.camera else None,
        )
    except BadInput:
        return {}
    return {
        day: tuple(_seconds_of(scene, way, calendar.every[day], calendar.zone))
        for day in days
        if 0 <= day < len(calendar.every)
    }


def _seconds_of(scene: Scene, way: Setup, each: CalendarDay, zone: str) -> Iterator[ChosenSeconds]:
    from backbearing.plans.expose.course import course_of

    local = local_minutes(each.day, each.day, zone)
    light = [
        index
        for index in range(0, local.time.size, SECONDS_STEP_MIN)
        if any(a <= local.clock_min[index] < b for a, b, tone in each.tones if tone != "night")
    ]
    if not light:
        return
    begin = local.time[0].astype("datetime64[m]")
    times = begin + np.arange(local.time.size + _AFTER_MIN).astype("timedelta64[m]")
    courses = [course_of(scene, times, sky=sky, ground="grass") for sky in SKIES]
    for index in light:
        clear, overcast = (course.seconds(way, index)[0] for course in courses)
        yield ChosenSeconds(clock_min=int(local.clock_min[index]), seconds=(clear, overcast))
