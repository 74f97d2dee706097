"""Where nothing matches: what is offered instead is true, and just enough."""

from __future__ import annotations

import numpy as np
import pytest

from backbearing.models.relaxing import narrowest, relaxations
from backbearing.models.wanted import Condition, SpotMinutes, conditions
from backbearing.models.windows import find_windows
from backbearing.records import WantedLight

MINUTES = 2 * 1440
EVERY = np.ones(MINUTES, dtype=bool)
MINUTE = np.arange(MINUTES)
ALTITUDE = 30.0 - 0.1 * np.abs(MINUTE % 1440 - 720)  # up to 30° at noon, 0.1° a minute
SPOT = SpotMinutes(
    time=np.datetime64("2026-06-01", "ms") + MINUTE * np.timedelta64(60_000, "ms"),
    azimuth_deg=(MINUTE * 0.25) % 360.0,
    altitude_deg=ALTITUDE,
    sunlit=ALTITUDE > 0.0,
    day=np.datetime64("2026-06-01").astype(np.int64) + MINUTE // 1440,  # a Monday
    clock_min=MINUTE % 1440,
    longitude_deg=0.0,
)


def asked(wanted: WantedLight, bearing: float | None = None) -> tuple[Condition, ...]:
    found = conditions(SPOT, wanted, bearing)
    windows = find_windows(SPOT, found, inside=EVERY, minimum_min=wanted.minimum_min)
    assert not len(windows.start)  # or there is nothing to relax
    return found


def test_the_range_is_widened_just_enough_for_one_window() -> None:
    wanted = WantedLight(direct_sun=True, sun_altitude_deg=(31.0, 50.0), minimum_min=20)
    (option,) = (
        o
        for o in relaxations(SPOT, asked(wanted), inside=EVERY, minimum_min=20)
        if o.names == ("sun height",)
    )
    assert option.low is not None
    assert option.high == 50.0
    enough = WantedLight(direct_sun=True, sun_altitude_deg=(option.low, 50.0))
    windows = find_windows(SPOT, conditions(SPOT, enough, None), inside=EVERY, minimum_min=20)
    assert len(windows.start) > 0
    short = WantedLight(direct_sun=True, sun_altitude_deg=(option.low + 0.05, 50.0))
    windows = find_windows(SPOT, conditions(SPOT, short, None), inside=EVERY, minimum_min=20)
    assert len(windows.start) == 0


def test_azimuths_are_widened_on_the_nearer_side() -> None:
    wanted = WantedLight(direct_sun=True, sun_azimuth_deg=(300.0, 330.0))  # after sunset
    options = relaxations(SPOT, asked(wanted), inside=EVERY, minimum_min=10)
    (option,) = (o for o in options if o.names == ("sun azimuth",))
    # the sun goes under at azimuth 255 (17:00): from there clockwise, less ten minutes
    assert option.high == 30.0
    assert 300.0 + option.low == pytest.approx(252.0, abs=0.6)


def test_dropping_one_thing_counts_what_the_others_leave() -> None:
    wanted = WantedLight(direct_sun=True, sun_altitude_deg=(40.0, 50.0), weekdays=(0,))
    found = asked(wanted)
    (option,) = relaxations(SPOT, found, inside=EVERY, minimum_min=10)
    rest = [c for c in found if c.name != "sun height"]
    windows = find_windows(SPOT, rest, inside=EVERY, minimum_min=10)
    assert (option.names, option.windows, option.first) == (
        ("sun height",),
        len(windows.start),
        windows.start[0],
    )


def test_two_are_dropped_together_where_one_does_not_help() -> None:
    wanted = WantedLight(direct_sun=True, sun_altitude_deg=(40.0, 50.0), months=(1,))
    (option,) = relaxations(SPOT, asked(wanted), inside=EVERY, minimum_min=10)
    assert option.names == ("sun height", "months")
    assert option.windows == 2


def test_the_night_is_never_offered() -> None:
    wanted = WantedLight(sun_altitude_deg=(50.0, 60.0))
    (option,) = relaxations(SPOT, asked(wanted), inside=EVERY, minimum_min=10)
    assert ALTITUDE[option.first] >= -0.3


def test_too_short_is_said_with_the_longest_there_is() -> None:
    wanted = WantedLight(direct_sun=True, sun_altitude_deg=(29.0, 40.0), minimum_min=60)
    options = relaxations(SPOT, asked(wanted), inside=EVERY, minimum_min=60)
    (length,) = (o for o in options if not o.names)
    assert length.longest_min == 20.0
    assert length.windows == 2


def test_the_wrong_side_of_the_frame_cannot_be_widened_away() -> None:
    """Camera north: the sun stands behind it all day, so it is never within 45° of its line."""
    wanted = WantedLight(direct_sun=True, delta_deg=(0.0, 45.0), side="left")
    options = relaxations(SPOT, asked(wanted, bearing=0.0), inside=EVERY, minimum_min=10)
    (option,) = (o for o in options if o.names == ("lit from",))
    assert option.windows == 2
    assert option.high is not None
    assert option.high > 90.0


def test_the_narrowest_is_the_one_met_least_by_day() -> None:
    wanted = WantedLight(direct_sun=True, sun_altitude_deg=(28.0, 50.0), months=(1,))
    assert narrowest(SPOT, asked(wanted), inside=EVERY) == ("months", 0)
