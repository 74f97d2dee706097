"""The seconds of a subject's days: every ten minutes, and through each day's good light."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.plans.light.spot import local_minutes
from backbearing.plans.soundness import leading
from backbearing.plans.tripod import AROUND, SKIES, SkyExposures, camera_set, course_through

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from backbearing.notebook import Notebook
    from backbearing.plans.brightness import Scene
    from backbearing.plans.expose.seconds import Seconds, Setup
    from backbearing.plans.lightcalendar import CalendarDay, LightCalendar
    from backbearing.plans.page import ReturnSubject
    from backbearing.plans.tripod import Tripod, WindowCourse
    from backbearing.records import LightWindow, Times

STEP_MIN = 10  # each exposure takes the change of light during it into account
_DRAWN_MOMENTS = 36
_AFTER_MIN = 120  # of light an exposure begun at the end may take


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposedMinute:
    """The exposures begun at a minute of the clock, under each of `tripod.SKIES`."""

    clock_min: int
    seconds: tuple[Seconds | None, Seconds | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposedDay:
    """A day's exposures."""

    day: int  # of the calendar, the first is 0
    minutes: tuple[ExposedMinute, ...]  # from first civil twilight to last
    course: WindowCourse | None  # through its good light; None without any


def exposed_days(
    notebook: Notebook,
    each: ReturnSubject,
    calendar: LightCalendar,
    tripod: Tripod | None,
    days: Iterable[int],
) -> tuple[ExposedDay, ...]:
    """How long must a plate be exposed on these days of a subject's calendar?

    From the camera position of each day's leading window, else of the page's. () where no batch
    is on record; days are left out on which it will not do, as `expose` says then. Raises
    NotebookError.
    """
    if tripod is None or tripod.batch is None:
        return ()
    lead = leading(each.windows)
    batch, mark, focal_mm = tripod.batch, tripod.aperture, tripod.focal_mm

    @cache
    def at(position: str) -> tuple[Scene, Setup]:
        return camera_set(notebook, each, position, batch, mark, focal_mm)

    found = []
    for day in days:
        held = calendar.every[day]
        window = leading(held.windows)
        position = window.camera_position if window else lead.camera_position if lead else ""
        try:
            scene, way = at(position)
        except BadInput:
            continue
        found.append(_exposed(each.subject.name, day, held, calendar.zone, scene, way))
    return tuple(found)


def _exposed(
    name: str, day: int, held: CalendarDay, zone: str, scene: Scene, way: Setup
) -> ExposedDay:
    local = local_minutes(held.day, held.day, zone)
    light = [
        index
        for index in range(0, local.time.size, STEP_MIN)
        if any(a <= local.clock_min[index] < b for a, b, tone in held.tones if tone != "night")
    ]
    window = leading(held.windows)
    if not light and window is None:
        return ExposedDay(day=day, minutes=(), course=None)
    begin, end = _span(local.time[[*light[:1], *light[-1:]]], window)
    times = np.arange(begin, end + np.timedelta64(_AFTER_MIN + 1, "m"), dtype="datetime64[m]")
    exposures = SkyExposures(scene, way, times)

    def minutes() -> Iterator[ExposedMinute]:
        for index in light:
            when = _instant(local.time[index])
            clear, overcast = (exposures.at(sky, when) for sky in SKIES)
            yield ExposedMinute(clock_min=int(local.clock_min[index]), seconds=(clear, overcast))

    return ExposedDay(
        day=day,
        minutes=tuple(minutes()),
        course=None
        if window is None
        else course_through(window, name, exposures, drawn=_DRAWN_MOMENTS, step_min=STEP_MIN),
    )


def _span(light: Times, window: LightWindow | None) -> tuple[np.datetime64, np.datetime64]:
    """The first minute that is asked for, and the last."""
    ends = [each.astype("datetime64[m]") for each in light]
    if window is not None:
        ends += [
            np.datetime64(at.astimezone(UTC).replace(tzinfo=None), "m")
            for at in (window.start - AROUND, window.end + AROUND)
        ]
    return min(ends), max(ends)


def _instant(minute: np.datetime64) -> datetime:
    return datetime.fromtimestamp(int(minute.astype("datetime64[s]").astype(np.int64)), tz=UTC)
