"""Which minutes meet each thing that is wanted of sun and sky: masks, and nothing about windows.

A wish (`WantedLight`) becomes a tuple of `Condition`s, one for each thing it names, over the
minutes of one spot. Each keeps the figure it judged, so that what comes after can say how
comfortably a minute lies inside a range and how far a range would have to be widened.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

if TYPE_CHECKING:
    from datetime import time as clock_time

    from numpy.typing import NDArray

    from backbearing.records import Floats, OtherSky, Skyline, Times, WantedLight

    Bools = NDArray[np.bool_]
    Ints = NDArray[np.int64]
else:
    Bools = Ints = np.ndarray  # numpy.typing costs 7 ms to import, and only names types

ConditionName = Literal[
    "direct sun",
    "shade",
    "daylight",
    "lit from",
    "sun height",
    "sun azimuth",
    "after first sun",
    "before last sun",
    "months",
    "weekdays",
    "clock",
]

# The sun's upper limb on a level horizon, apparent altitude of its centre (mean semidiameter
# 0.2666°: 959.63″ at 1 au, from memory). Shade and an overcast sky count only by day unless a
# sun height is given.
DAYLIGHT_ALTITUDE_DEG = -0.2666

# Where side light is best, off the camera's line: the sun 60–75° off it on the camera's own side.
# At 90° it only grazes a wall seen square on, and nearer the line such a wall is in its own shade.
SIDE_BEST_DEG = (105.0, 120.0)
# How far off square to a face the sun models it best: less is flat, more is grazing.
FACE_BEST_DEG = (30.0, 70.0)  # both common practice, no source
GRAZING_DEG = 75.0  # from here to 90° the sun only skims a face; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpotMinutes:
    """Sun and clock at one spot at every whole minute of a period: arrays of one length.

    The clock may jump (daylight saving), the instants never do.
    """

    time: Times  # UTC, one minute apart
    azimuth_deg: Floats
    altitude_deg: Floats  # apparent, of the sun's centre
    sunlit: Bools  # upper limb over the skyline
    day: Ints  # local civil day, days since 1970-01-01
    clock_min: Ints  # local clock, minutes since midnight, 0 … 1439
    longitude_deg: float
    skyline: Skyline | None = None  # what bounds the sky there, None for a plain
    skyline_error_deg: Floats | None = None  # 95 %, in each of the skyline's azimuths


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Condition:
    """One thing wanted, minute by minute."""

    name: ConditionName
    met: Bools
    value: Floats | None = None  # what the range is compared with [degrees or minutes]
    low: float = 0.0
    high: float = 0.0
    edge_low: bool = True  # whether leaving the range downwards is possible at all
    edge_high: bool = True
    best: tuple[float, float] | None = None  # where in the range it is best; None: amid it
    incidence_deg: Floats | None = None  # of sun and shade: how far off square to the face


def relative_azimuth_deg(sun_azimuth_deg: Floats, camera_bearing_deg: float) -> Floats:
    """How far the sun stands to the right of the camera's line: −180 … 180, left negative."""
    return np.asarray((sun_azimuth_deg - camera_bearing_deg + 180.0) % 360.0 - 180.0)


def incidence_deg(sun_azimuth_deg: Floats, sun_altitude_deg: Floats, facing_deg: float) -> Floats:
    """How far the sun stands off square to an upright face that looks to a true azimuth.

    0 … 180; under 90 it shines on the face, else the face is in its own shade.
    Source: NREL/TP-560-34302 (2008), equation 47, for a slope of 90°.
    """
    turned = np.radians(sun_azimuth_deg - facing_deg)
    return np.asarray(np.degrees(np.arccos(np.cos(np.radians(sun_altitude_deg)) * np.cos(turned))))


def conditions(
    minutes: SpotMinutes,
    wanted: WantedLight,
    camera_bearing_deg: float | None,
    *,
    facing_deg: float | None = None,
) -> tuple[Condition, ...]:
    """Which minutes meet each condition of the wish under a clear sky, in the wish's order.

    facing_deg: the true azimuth the subject's upright face looks to. With it, direct sun means
    sun over the skyline and on the face, and shade is the rest of daylight, the face's own
    shade too. Without it, sun over the skyline alone.

    Without a direct-sun wish and without a sun height, daylight is a condition of its own:
    nobody who asks for shade means the night.

    Raises ValueError where the wish asks for a direction of light and no bearing is given;
    that cannot be judged, and must be said before coming here.
    """
    found: list[Condition] = []
    if wanted.direct_sun is not None:
        found.append(_sun_or_shade(minutes, wanted.direct_sun, facing_deg))
    if wanted.direct_sun is not True and wanted.sun_altitude_deg is None:
        found.append(_daylight(minutes))
    if needs_bearing(wanted):
        if camera_bearing_deg is None:
            raise ValueError("lit from cannot be judged without a camera bearing")
        facing_known = wanted.direct_sun is True and facing_deg is not None
        found.append(_lit_from(minutes, wanted, camera_bearing_deg, facing_known=facing_known))
    if wanted.sun_altitude_deg is not None:
        found.append(_within("sun height", minutes.altitude_deg, wanted.sun_altitude_deg))
    if wanted.sun_azimuth_deg is not None:
        first, last = wanted.sun_azimuth_deg
        turned = (minutes.azimuth_deg - first) % 360.0
        # from 0° to 360° is once around; from 180° to 180° is nothing
        width = 360.0 if abs(last - first) == 360.0 else (last - first) % 360.0
        found.append(_within("sun azimuth", turned, (0.0, width)))
    if wanted.after_first_sun_min is not None:
        after = after_first_sun_min(minutes)
        found.append(_within("after first sun", after, wanted.after_first_sun_min))
    if wanted.before_last_sun_min is not None:
        before = before_last_sun_min(minutes)
        found.append(_within("before last sun", before, wanted.before_last_sun_min))
    found.extend(_calendar(minutes, wanted))
    if wanted.earliest is not None or wanted.latest is not None:
        found.append(_clock(minutes, wanted.earliest, wanted.latest))
    return tuple(found)


def overcast_conditions(
    minutes: SpotMinutes, wanted: WantedLight, other_sky: OtherSky
) -> tuple[Condition, ...]:
    """Which minutes will do under an overcast sky: its own clock times, by day.

    Where the sun stands no longer matters; the months and weekdays of the wish still do, and
    the other sky's clock times stand in place of the wish's own.
    """
    return (
        _daylight(minutes),
        *_calendar(minutes, wanted),
        _clock(minutes, other_sky.earliest, other_sky.latest),
    )


def needs_bearing(wanted: WantedLight) -> bool:
    """Whether the wish cannot be judged without the bearing from camera to subject."""
    return wanted.delta_deg is not None or wanted.side is not None


def needs_first_or_last_sun(wanted: WantedLight) -> bool:
    """Whether the wish looks at the day's first or last sun (then whole days are needed)."""
    return wanted.after_first_sun_min is not None or wanted.before_last_sun_min is not None


def _daylight(minutes: SpotMinutes) -> Condition:
    return Condition(name="daylight", met=minutes.altitude_deg >= DAYLIGHT_ALTITUDE_DEG)


def _sun_or_shade(minutes: SpotMinutes, sun: bool, facing_deg: float | None) -> Condition:
    name: ConditionName = "direct sun" if sun else "shade"
    if facing_deg is None:
        return Condition(name=name, met=minutes.sunlit == sun)
    off = incidence_deg(minutes.azimuth_deg, minutes.altitude_deg, facing_deg)
    return Condition(name=name, met=(minutes.sunlit & (off < 90.0)) == sun, incidence_deg=off)


def _lit_from(
    minutes: SpotMinutes,
    wanted: WantedLight,
    camera_bearing_deg: float,
    *,
    facing_known: bool,
) -> Condition:
    """Δ within its range. Side light (90° within the range) is best at `SIDE_BEST_DEG`.

    Where sun on a known face is wanted, that says what is best, and Δ only keeps off its edges.
    """
    relative = relative_azimuth_deg(minutes.azimuth_deg, camera_bearing_deg)
    delta = np.abs(relative)
    low, high = wanted.delta_deg or (0.0, 180.0)
    met = (delta >= low) & (delta <= high)
    if wanted.side is not None:
        met &= (relative < 0.0) if wanted.side == "left" else (relative > 0.0)
        if wanted.delta_deg is None:
            return Condition(name="lit from", met=met)
    return Condition(
        name="lit from",
        met=met,
        value=delta,
        low=low,
        high=high,
        # Δ is folded at 0° and 180°: the sun cannot leave the range there
        edge_low=low > 0.0,
        edge_high=high < 180.0,
        best=_best_side(low, high, facing_known=facing_known),
    )


def _best_side(low: float, high: float, *, facing_known: bool) -> tuple[float, float] | None:
    """Where in a range of Δ it is best, never within a sixth of its width from an edge."""
    if not 0.0 < low < 90.0 < high < 180.0:
        return None
    first, last = low + (high - low) / 6.0, high - (high - low) / 6.0
    if facing_known:
        return first, last
    return min(max(SIDE_BEST_DEG[0], first), last), max(min(SIDE_BEST_DEG[1], last), first)


def _within(name: ConditionName, value: Floats, limits: tuple[float, float]) -> Condition:
    low, high = limits
    return Condition(
        name=name, met=(value >= low) & (value <= high), value=value, low=low, high=high
    )


def _calendar(minutes: SpotMinutes, wanted: WantedLight) -> list[Condition]:
    found: list[Condition] = []
    if wanted.months:
        month = minutes.day.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64) % 12
        listed = np.zeros(12, dtype=np.bool_)
        listed[[m - 1 for m in wanted.months]] = True
        found.append(Condition(name="months", met=listed[month]))
    if wanted.weekdays:
        wished = np.zeros(7, dtype=np.bool_)
        wished[list(wanted.weekdays)] = True
        # 1970-01-01 was a Thursday
        found.append(Condition(name="weekdays", met=wished[(minutes.day + 3) % 7]))
    return found


def _clock(
    minutes: SpotMinutes, earliest: clock_time | None, latest: clock_time | None
) -> Condition:
    """Between two clock times, both included; earliest after latest reaches over midnight."""
    first = 0 if earliest is None else earliest.hour * 60 + earliest.minute
    last = 1439 if latest is None else latest.hour * 60 + latest.minute
    clock = minutes.clock_min
    if first <= last:
        met = (clock >= first) & (clock <= last)
    else:
        met = (clock >= first) | (clock <= last)
    return Condition(name="clock", met=met)


# ---------------------------------------------------------------- first and last sun


def solar_day(time: Times, longitude_deg: float) -> Ints:
    """The number of the solar day (from the sun's lowest point to the next) of each instant.

    First and last sun belong to a solar day: where the sun sets after civil midnight, the
    civil day would give the evening a last sun of the night before. The equation of time is
    the usual three-term one, once a day (from memory; good to a minute, and half an hour would
    do here).
    """
    minute = time.astype("datetime64[m]").astype(np.int64)
    day = minute // 1440
    days = np.arange(day.min(), day.max() + 1)
    noon = days.astype("datetime64[D]")
    day_of_year = (noon - noon.astype("datetime64[Y]")).astype(np.float64) + 0.5
    b = 2.0 * np.pi * (day_of_year - 80.0) / 365.0
    equation_min = 9.87 * np.sin(2.0 * b) - 7.53 * np.cos(b) - 1.5 * np.sin(b)
    clock = minute + 4.0 * longitude_deg + equation_min[day - days[0]]
    number: Ints = np.floor(clock / 1440.0).astype(np.int64)
    return number


def after_first_sun_min(minutes: SpotMinutes) -> Floats:
    """Minutes since the first sun of that solar day at the spot; nan on days without one.

    A day on which the sun never sets, or never comes, has no first sun.
    """
    lit = minutes.sunlit
    appears = np.flatnonzero(lit[1:] & ~lit[:-1]) + 1
    return _from_event(minutes, appears, keep="first")


def before_last_sun_min(minutes: SpotMinutes) -> Floats:
    """Minutes until the last sun of that solar day at the spot; nan on days without one."""
    lit = minutes.sunlit
    leaves = np.flatnonzero(lit[:-1] & ~lit[1:])
    return -_from_event(minutes, leaves, keep="last")


def _from_event(minutes: SpotMinutes, event: Ints, *, keep: Literal["first", "last"]) -> Floats:
    """Minutes from each solar day's first or last of `event` (indices, ascending)."""
    day = solar_day(minutes.time, minutes.longitude_deg)
    day -= day[0]
    at = np.full(int(day[-1]) + 1, np.nan)
    ordered = event[::-1] if keep == "first" else event
    at[day[ordered]] = ordered  # of several on one day the last written stays
    since: Floats = np.arange(len(day), dtype=np.float64) - at[day]
    return since
