"""What may be chosen on a page: a year of each subject's sun every ten minutes.

subject ──┬─► its calendar: tones and good light of each day ─┐
          ├─► sun every ten minutes, near the camera's line? ─┼─► one year to choose from
          └─► its skyline                                     ┘
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC
from datetime import datetime as datetimes
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.sun import sun_position
from backbearing.plans.dazzle import may_dazzle
from backbearing.plans.horizon import ask_skyline
from backbearing.plans.light import best_light
from backbearing.plans.light.spot import local_minutes
from backbearing.plans.lightcalendar import last_day, light_calendar
from backbearing.plans.soundness import leading
from backbearing.plans.standins import camera_line
from backbearing.plans.tones import TWILIGHT_DEG

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date, datetime

    from backbearing.models.wanted import Bools, Ints
    from backbearing.notebook import Notebook
    from backbearing.plans.horizon import SkylineAnswer
    from backbearing.plans.light import LightAnswer
    from backbearing.plans.lightcalendar import LightCalendar
    from backbearing.plans.page import ReturnSubject
    from backbearing.records import CameraPosition, Floats, Subject

STEP_MIN = 10
MOST_SUBJECTS = 6  # that can be chosen: the one that leads, and those whose light comes first


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


def chosen_years(
    notebook: Notebook,
    subjects: Sequence[ReturnSubject],
    first: ReturnSubject,
    *,
    start: date,
    earliest_at: datetime | None,
    answered: Callable[[], LightAnswer] | None = None,
    progress: Callable[[str], None],
) -> tuple[ChosenYear, ...]:
    """A year from a day on of the subject that leads, then of the others, those lit first.

    answered: gives the light of the first subject as it was
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
        found.append(_year(notebook, each, answer, start))
    return tuple(found)


def _year(
    notebook: Notebook,
    each: ReturnSubject,
    answer: LightAnswer,
    start: date,
) -> ChosenYear:
    subject = each.subject
    calendar = light_calendar(notebook, subject, each.zone, start=start, answer=answer)
    window = leading(each.windows)
    position = window.camera_position if window else ""
    camera = next((c for c in each.cameras if c.name == position), None)
    noon = datetimes(start.year, start.month, start.day, 12, tzinfo=UTC)
    day = window.day if window else start
    return ChosenYear(
        calendar=calendar,
        skyline=ask_skyline(notebook, subject.name, days=[day.isoformat()], now=noon),
        sun=_sun(subject, camera, calendar),
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
