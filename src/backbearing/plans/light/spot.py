"""Sun and local clock at spots, minute by minute: what every question about light looks at."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.sun import sun_position
from backbearing.models.sunlight import above_skyline_deg, semidiameter_deg
from backbearing.models.wanted import Bools, Ints, SpotMinutes
from backbearing.places.zones import day_bounds, zone

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from backbearing.plans.light.sky import Sky
    from backbearing.records import Floats, Place, Skyline, Times

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_INSTANTS_AT_ONCE = 1_000_000  # bounds the memory: some 100 MB with all that is made of them
_OFFSET_STEP_MIN = 720  # no zone has changed its offset twice within twelve hours


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LocalMinutes:
    """The whole minutes of a stretch of local days: arrays of one length."""

    time: Times  # datetime64[ms] UTC
    day: Ints  # local civil day, days since 1970-01-01
    clock_min: Ints  # local clock, minutes since midnight
    inside: Bools  # of the time asked for: False on the days around
    reach: Bools  # where light that begins inside may go on; `inside` and more


def local_minutes(
    start: date,
    end: date,
    zone_name: str,
    *,
    days_around: int = 0,
    days_reached: int = 0,
    after: time | None = None,
    earliest_at: datetime | None = None,
) -> LocalMinutes:
    """Every minute from the start of one local day to the end of another, both included.

    days_around: further days before and after, not `inside`, which only first and last sun need.
    days_reached: further ones of which light may come from and go on to, as many in `reach`.
    after: the local clock on the first day before which nothing is inside or in reach.
    earliest_at: an aware instant, the same.
    Days of 23 and 25 hours come out as they are.
    """
    around = timedelta(days=days_around + days_reached)
    first = _minute(day_bounds(start - around, zone_name)[0])
    last = _minute(day_bounds(end + around, zone_name)[1])
    minute = np.arange(first, last)
    local = minute + _offsets_min(first, last, zone_name)
    day, clock_min = np.divmod(local, 1440)
    first_day, last_day = ((each - _EPOCH.date()).days for each in (start, end))
    inside = (day >= first_day) & (day <= last_day)
    reach = (day >= first_day - days_reached) & (day <= last_day + days_reached)
    if after is not None:
        reach &= (day - first_day) * 1440 + clock_min >= after.hour * 60 + after.minute
    if earliest_at is not None:
        reach &= minute >= (earliest_at - _EPOCH) / timedelta(minutes=1)
    inside &= reach
    times = (minute * 60_000).astype("datetime64[ms]")
    for array in (times, day, clock_min, inside, reach):
        array.flags.writeable = False  # all that is asked about these days shares them
    return LocalMinutes(time=times, day=day, clock_min=clock_min, inside=inside, reach=reach)


def spots_minutes(
    local: LocalMinutes, places: Sequence[Place], skies: Sequence[Sky]
) -> Iterator[SpotMinutes]:
    """Sun and clock at each place, in turn; places in one zone share the work and the clock.

    skies: what bounds the sky at each place, and how surely.
    """
    at_once = max(1, _INSTANTS_AT_ONCE // max(1, len(local.time)))
    for first in range(0, len(places), at_once):
        group = places[first : first + at_once]
        sun = sun_position(
            local.time,
            np.array([[place.latitude_deg] for place in group]),
            np.array([[place.longitude_deg] for place in group]),
            height_m=np.array([[place.height_m or 0.0] for place in group]),
        )
        for row, place in enumerate(group):
            azimuth, altitude = sun.azimuth_deg[row], sun.altitude_deg[row]
            limb = altitude + semidiameter_deg(sun.distance_au[row])
            yield SpotMinutes(
                time=local.time,
                azimuth_deg=azimuth,
                altitude_deg=altitude,
                sunlit=_over(skies[first + row].sun_comes_over, azimuth, limb),
                day=local.day,
                clock_min=local.clock_min,
                longitude_deg=place.longitude_deg,
                skyline=skies[first + row].skyline,
                skyline_error_deg=skies[first + row].error_deg,
            )


def _over(skyline: Skyline, azimuth_deg: Floats, limb_deg: Floats) -> Bools:
    """Where the upper limb stands over the skyline; looked up only where that is in doubt."""
    over: Bools = limb_deg >= skyline.altitude_deg.max(initial=-90.0)
    doubtful = np.flatnonzero(~over & (limb_deg >= skyline.altitude_deg.min(initial=90.0)))
    over[doubtful] = above_skyline_deg(skyline, azimuth_deg[doubtful], limb_deg[doubtful]) >= 0.0
    return over


def _minute(instant: datetime) -> int:
    return (instant - _EPOCH) // timedelta(minutes=1)


def _offsets_min(first: int, last: int, zone_name: str) -> Ints:
    """The zone's offset from UTC at each minute (whole minutes; changes found by halving)."""
    named = zone(zone_name)

    def offset(minute: int) -> int:
        at = (_EPOCH + timedelta(minutes=minute)).astimezone(named).utcoffset()
        return (at or timedelta()) // timedelta(minutes=1)

    before, old = first, offset(first)
    offsets = np.full(last - first, old, dtype=np.int64)
    for after in [*range(first + _OFFSET_STEP_MIN, last, _OFFSET_STEP_MIN), last - 1]:
        new = offset(after)
        if new != old:
            low, high = before, after
            while high - low > 1:
                middle = (low + high) // 2
                low, high = (middle, high) if offset(middle) == old else (low, middle)
            offsets[high - first :] = new
        before, old = after, new
    return offsets
