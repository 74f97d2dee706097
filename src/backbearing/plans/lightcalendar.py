"""The light of a year at one subject: night, twilight, shade and sun by the clock, and good light.

subject ──► its sky ──► tone of each minute ──┐
                                              ├─► one day a week for a year, and the near days
wish on record ──► light windows ─────────────┘
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.models.sun import sun_position
from backbearing.models.sunlight import above_skyline_deg, semidiameter_deg
from backbearing.plans.light import best_light
from backbearing.plans.light.best import LAST_YEAR
from backbearing.plans.light.sky import skies_of
from backbearing.plans.light.spot import local_minutes

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.light.sky import Sky
    from backbearing.records import LightWindow, Subject

DAYS, NEAR_DAYS, WEEK = 365, 15, 7
RISEN_DEG = -(34.0 + 16.0) / 60.0  # as almanacs count it: 34' of refraction, 16' of radius
TWILIGHT_DEG = -6.0  # civil: lower down there is no light to walk or work by

Tone = Literal["night", "twilight", "shade", "sun"]
TONES: tuple[Tone, ...] = ("night", "twilight", "shade", "sun")


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarDay:
    """A local day: stretches of one tone by the clock, and the good light in it."""

    day: date
    tones: tuple[tuple[int, int, Tone], ...]  # from and to, minutes of the local clock
    windows: tuple[LightWindow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LightCalendar:
    """A year of light at a subject."""

    subject: str
    zone: str
    weeks: tuple[CalendarDay, ...]  # one day of each week
    near: tuple[CalendarDay, ...]  # the first days, each of them
    good: tuple[tuple[date, date], ...]  # runs of days with good light under a clear sky
    good_days: int
    days: int
    ground_known: bool
    assumptions: tuple[str, ...]


def light_calendar(
    notebook: Notebook,
    subject: Subject,
    zone_name: str,
    *,
    start: date,
    earliest_at: datetime | None = None,
    progress: Callable[[str], None] | None = None,
) -> LightCalendar:
    """What is the light at a subject over the year from a day on, and when is it good?

    Sun is any of its disc over the skyline there, shade none of it while it is over a flat
    horizon, twilight down to 6° under that. earliest_at: an aware instant before which no good
    light counts. Raises BadInput for a day the sun is not known for, and NotebookError.
    """
    last = min(start + timedelta(days=DAYS - 1), date(LAST_YEAR, 12, 31))
    answer = best_light(
        notebook, [subject.name], start=start, end=last, earliest_at=earliest_at, progress=progress
    )
    by_day: dict[date, list[LightWindow]] = {}
    for window in sorted(answer.windows, key=lambda each: each.start):
        by_day.setdefault(window.day, []).append(window)
    sky = skies_of(notebook, [subject.place], subjects=[subject])[0]

    def shown(day: date) -> CalendarDay:
        return CalendarDay(
            day=day,
            tones=tuple(_tones(sky, subject, day, zone_name)),
            windows=tuple(by_day.get(day, ())),
        )

    days = (last - start).days + 1
    clear = sorted(day for day, found in by_day.items() if any(w.sky == "clear" for w in found))
    return LightCalendar(
        subject=subject.name,
        zone=zone_name,
        weeks=tuple(shown(start + timedelta(days=n)) for n in range(0, days, WEEK)),
        near=tuple(shown(start + timedelta(days=n)) for n in range(min(NEAR_DAYS, days))),
        good=tuple(_runs(clear)),
        good_days=len(clear),
        days=days,
        ground_known=sky.ground_known,
        assumptions=answer.assumptions,
    )


def _tones(
    sky: Sky, subject: Subject, day: date, zone_name: str
) -> Iterator[tuple[int, int, Tone]]:
    """The day's stretches of one tone; on a day of 25 hours an hour of the clock comes twice."""
    local = local_minutes(day, day, zone_name)
    place = subject.place
    # what is so at its middle stands for a minute, so that edges are rounded, not cut
    time = local.time + np.timedelta64(30, "s")
    spot = (place.latitude_deg, place.longitude_deg)
    height_m = place.height_m or 0.0
    sun = sun_position(time, *spot, height_m=height_m)
    airless_deg = sun_position(time, *spot, height_m=height_m, refraction=False).altitude_deg
    tone = np.where(airless_deg > TWILIGHT_DEG, 1, 0)
    tone[airless_deg >= RISEN_DEG] = 2
    if sky.ground_known:
        limb_deg = sun.altitude_deg + semidiameter_deg(sun.distance_au)
        tone[above_skyline_deg(sky.skyline, sun.azimuth_deg, limb_deg) >= 0.0] = 3
    else:
        tone[tone == 2] = 3
    jump = np.diff(local.clock_min) != 1
    cuts = np.flatnonzero((np.diff(tone) != 0) | jump) + 1
    starts, ends = [0, *cuts.tolist()], [*cuts.tolist(), len(tone)]
    for first, after in zip(starts, ends, strict=True):
        clock = int(local.clock_min[first])
        yield clock, clock + after - first, TONES[int(tone[first])]


def _runs(days: list[date]) -> Iterator[tuple[date, date]]:
    """Days that follow one another, put together."""
    first = last = None
    for day in days:
        if last is not None and first is not None and day - last > timedelta(days=1):
            yield first, last
            first = None
        first, last = first or day, day
    if first is not None and last is not None:
        yield first, last
