"""The tone of a place's light through local days: night, twilight, shade, sun, by the minute."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.models.sun import sun_position
from backbearing.models.sunlight import PLAIN_EDGE_DEG, above_skyline_deg, semidiameter_deg
from backbearing.plans.light.spot import local_minutes

if TYPE_CHECKING:
    from datetime import date

    from backbearing.models.wanted import Bools, Ints
    from backbearing.plans.light.sky import Sky
    from backbearing.records import Place, Times

TWILIGHT_DEG = -6.0  # civil: lower down there is no light to walk or work by
_LOOK_MIN = 10  # how often the sun is looked at by night
_FASTEST_DEG = 3.0  # that the sun can rise in so long: 15° an hour and a half

Tone = Literal["night", "twilight", "shade", "sun"]
TONES: tuple[Tone, ...] = ("night", "twilight", "shade", "sun")
Stretch = tuple[int, int, Tone]  # from and to, minutes of the local clock


def days_tones(
    sky: Sky, place: Place, start: date, end: date, zone_name: str
) -> list[tuple[Stretch, ...]]:
    """The stretches of one tone of each local day from one to another, both included.

    Sun is any of its disc over the skyline, by the same upper limb as light windows; shade none of
    it while it is over a plain, twilight until its centre is 6° under a level horizon. What is so
    at its middle stands for a minute. On a day of 25 hours an hour of the clock comes twice.
    """
    local = local_minutes(start, end, zone_name)
    time = local.time + np.timedelta64(30, "s")  # so that edges are rounded, not cut
    tone = np.zeros(time.size, dtype=np.int8)
    light = np.flatnonzero(_not_deep_night(time, place))
    tone[light] = _tones(sky, place, time[light])
    new_day = np.diff(local.day) != 0
    jump = np.diff(local.clock_min) != 1
    cuts = np.flatnonzero((np.diff(tone) != 0) | jump | new_day) + 1
    starts, ends = np.concatenate([[0], cuts]), np.concatenate([cuts, [tone.size]])
    first_day = int(local.day[0])
    found: list[list[Stretch]] = [[] for _ in range(int(local.day[-1]) - first_day + 1)]
    for day, clock, length, each in zip(
        (local.day[starts] - first_day).tolist(),
        local.clock_min[starts].tolist(),
        (ends - starts).tolist(),
        tone[starts].tolist(),
        strict=True,
    ):
        found[day].append((clock, clock + length, TONES[each]))
    return [tuple(each) for each in found]


def _tones(sky: Sky, place: Place, time: Times) -> Ints:
    spot = (place.latitude_deg, place.longitude_deg)
    height_m = place.height_m or 0.0
    sun = sun_position(time, *spot, height_m=height_m)
    airless_deg = sun_position(time, *spot, height_m=height_m, refraction=False).altitude_deg
    limb_deg = sun.altitude_deg + semidiameter_deg(sun.distance_au)
    tone = np.where(airless_deg > TWILIGHT_DEG, 1, 0)
    tone[limb_deg >= PLAIN_EDGE_DEG] = 2
    tone[above_skyline_deg(sky.sun_comes_over, sun.azimuth_deg, limb_deg) >= 0.0] = 3
    return tone


def _not_deep_night(time: Times, place: Place) -> Bools:
    """Which minutes are near one, looked at every ten, with the sun not far under twilight."""
    seen = sun_position(
        time[::_LOOK_MIN], place.latitude_deg, place.longitude_deg, refraction=False
    )
    near = seen.altitude_deg > TWILIGHT_DEG - _FASTEST_DEG
    return np.repeat(near, _LOOK_MIN)[: time.size]
