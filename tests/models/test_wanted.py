"""Each condition of a wish, minute by minute, against the same thing worked out one at a time."""

from __future__ import annotations

from datetime import UTC, datetime, time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.models.wanted import (
    SpotMinutes,
    after_first_sun_min,
    before_last_sun_min,
    conditions,
    overcast_conditions,
    relative_azimuth_deg,
    solar_day,
)
from backbearing.records import OtherSky, WantedLight

DAYS = 3
MINUTES = DAYS * 1440


def spot(
    *,
    longitude_deg: float = 0.0,
    start: str = "2026-03-20",
    clock_ahead_min: int = 0,
    sunlit: np.ndarray | None = None,
) -> SpotMinutes:
    """A spot where the sun goes round evenly: due south at solar noon, up from 6 to 18."""
    minute = np.arange(MINUTES)
    time_utc = np.datetime64(start, "ms") + minute * np.timedelta64(60_000, "ms")
    turn = (minute / 4.0 + longitude_deg) % 360.0
    altitude = 40.0 * np.sin(np.radians(turn - 90.0))
    local = (time_utc.astype("datetime64[m]").astype(np.int64)) + clock_ahead_min
    return SpotMinutes(
        time=time_utc,
        azimuth_deg=turn,
        altitude_deg=altitude,
        sunlit=altitude > 0.0 if sunlit is None else sunlit,
        day=local // 1440,
        clock_min=local % 1440,
        longitude_deg=longitude_deg,
    )


def only(wanted: WantedLight, name: str, bearing: float | None = None) -> np.ndarray:
    found = {c.name: c.met for c in conditions(spot(), wanted, bearing)}
    return found[name]


def test_direct_sun_and_shade_are_each_others_rest() -> None:
    sun = only(WantedLight(direct_sun=True), "direct sun")
    shade = only(WantedLight(direct_sun=False), "shade")
    assert (sun ^ shade).all()


@given(facing=st.floats(0.0, 359.9))
def test_a_known_face_has_sun_only_from_its_own_side(facing: float) -> None:
    """The side by a scalar product of level directions; the rest of the time is shade."""
    minutes = spot()
    (sun,) = conditions(minutes, WantedLight(direct_sun=True), None, facing_deg=facing)
    shade, _ = conditions(minutes, WantedLight(direct_sun=False), None, facing_deg=facing)
    turn, face = np.radians(minutes.azimuth_deg), np.radians(facing)
    before = np.sin(turn) * np.sin(face) + np.cos(turn) * np.cos(face)
    clear = np.abs(before) > 1e-9  # exactly edge on, rounding decides
    assert (sun.met == (minutes.sunlit & (before > 0.0)))[clear].all()
    assert (sun.met ^ shade.met).all()


def test_shade_without_a_sun_height_means_shade_by_day() -> None:
    day = only(WantedLight(direct_sun=False), "daylight")
    assert day[720]
    assert not day[0]
    twilight = WantedLight(direct_sun=False, sun_altitude_deg=(-6.0, 0.0))
    assert "daylight" not in {c.name for c in conditions(spot(), twilight, None)}


@given(bearing=st.floats(0.0, 359.9), delta=st.tuples(st.integers(0, 180), st.integers(0, 180)))
def test_delta_is_the_angle_between_two_directions(bearing: float, delta: tuple[int, int]) -> None:
    """Δ as the angle between unit vectors (scalar product), not as a difference of figures."""
    low, high = sorted(delta)
    met = only(WantedLight(delta_deg=(low, high)), "lit from", bearing)
    sun = np.radians(spot().azimuth_deg)
    camera = np.radians(bearing)
    angle = np.degrees(
        np.arccos(np.clip(np.cos(sun) * np.cos(camera) + np.sin(sun) * np.sin(camera), -1, 1))
    )
    clear_of_edges = (np.abs(angle - low) > 1e-4) & (np.abs(angle - high) > 1e-4)
    assert (met == ((angle >= low) & (angle <= high)))[clear_of_edges].all()


@given(bearing=st.floats(0.0, 359.9))
def test_left_of_the_frame_is_left_of_the_camera_line(bearing: float) -> None:
    """The sign of the cross product of camera line and sun tells the side."""
    left = only(WantedLight(side="left"), "lit from", bearing)
    right = only(WantedLight(side="right"), "lit from", bearing)
    sun, camera = np.radians(spot().azimuth_deg), np.radians(bearing)
    turn = np.sin(sun) * np.cos(camera) - np.cos(sun) * np.sin(camera)  # positive: to the right
    sure = np.abs(turn) > 1e-6
    assert (left[sure] == (turn[sure] < 0)).all()
    assert not (left & right).any()


def test_relative_azimuth_goes_over_north() -> None:
    assert relative_azimuth_deg(np.array([10.0, 350.0]), 350.0).tolist() == [20.0, 0.0]
    assert relative_azimuth_deg(np.array([350.0]), 10.0).tolist() == [-20.0]


def test_a_direction_without_a_bearing_is_refused_not_matched() -> None:
    with pytest.raises(ValueError, match="bearing"):
        conditions(spot(), WantedLight(delta_deg=(0.0, 45.0)), None)


def test_azimuths_run_clockwise_over_north() -> None:
    met = only(WantedLight(sun_azimuth_deg=(350.0, 20.0)), "sun azimuth")
    azimuth = spot().azimuth_deg
    assert (met == ((azimuth >= 350.0) | (azimuth <= 20.0))).all()


def test_the_whole_circle_of_azimuths_is_met_always() -> None:
    for whole in ((0.0, 360.0), (360.0, 0.0)):
        assert only(WantedLight(sun_azimuth_deg=whole), "sun azimuth").all()


def test_clock_times_are_local_and_reach_over_midnight() -> None:
    minutes = spot(clock_ahead_min=-60)
    day = WantedLight(earliest=time(13, 0), latest=time(15, 0))
    found = {c.name: c.met for c in conditions(minutes, day, None)}["clock"]
    assert found[14 * 60]  # 13:00 there
    assert not found[13 * 60]
    night = WantedLight(earliest=time(22, 0), latest=time(2, 0))
    over = {c.name: c.met for c in conditions(minutes, night, None)}["clock"]
    assert over.sum() == DAYS * (4 * 60 + 1)


def test_months_and_weekdays_are_those_of_the_local_day() -> None:
    minutes = spot(start="2026-02-27", clock_ahead_min=600)
    wanted = WantedLight(months=(3,), weekdays=(6,))
    found = {c.name: c.met for c in conditions(minutes, wanted, None)}
    stamps = minutes.time.astype("datetime64[m]").astype(np.int64) + 600
    for i in range(0, MINUTES, 97):
        there = datetime.fromtimestamp(int(stamps[i]) * 60, UTC)
        assert found["months"][i] == (there.month == 3)
        assert found["weekdays"][i] == (there.weekday() == 6)


def test_overcast_asks_only_for_its_clock_the_calendar_and_day() -> None:
    wanted = WantedLight(
        direct_sun=True,
        delta_deg=(0.0, 45.0),
        earliest=time(8, 0),
        latest=time(9, 0),
        weekdays=(5,),
        other_sky=OtherSky(earliest=time(10, 30), latest=time(15, 0)),
    )
    assert wanted.other_sky is not None
    found = overcast_conditions(spot(), wanted, wanted.other_sky)
    assert [c.name for c in found] == ["daylight", "weekdays", "clock"]
    met = np.logical_and.reduce([c.met for c in found])
    assert met.sum() == 4 * 60 + 31  # 2026-03-21 is the one Saturday


# ---------------------------------------------------------------- first and last sun


@pytest.mark.parametrize("longitude_deg", [0.0, 179.9, -179.9, 120.0, -75.0])
def test_minutes_are_counted_from_first_and_to_last_sun(longitude_deg: float) -> None:
    minutes = spot(longitude_deg=longitude_deg)
    after, before = after_first_sun_min(minutes), before_last_sun_min(minutes)
    lit = np.flatnonzero(minutes.sunlit)
    whole = lit[(lit > 1440) & (lit < 2 * 1440)]  # a day with both ends in the arrays
    # the sun is up just under twelve hours, both ends lit
    assert np.allclose(after[whole] + before[whole], 718.0, atol=1.0)
    assert (after[whole] >= 0).all()
    assert (before[whole] >= 0).all()


def test_a_sun_that_sets_after_midnight_belongs_to_the_evening() -> None:
    """High summer: the sun goes under at 00:20 and comes again at 02:40, solar time."""
    minute_of_day = np.arange(MINUTES) % 1440
    lit = ~((minute_of_day > 20) & (minute_of_day < 160))
    # solar midnight lies between both, at 1:30 by a clock that is 90 minutes ahead of the sun
    minutes = spot(longitude_deg=-22.5, sunlit=lit)
    evening = 1440 + 23 * 60
    assert before_last_sun_min(minutes)[evening] == 80
    assert after_first_sun_min(minutes)[1440 + 160 + 30] == 30


@pytest.mark.parametrize("lit", [True, False])
def test_polar_day_and_night_have_neither(lit: bool) -> None:
    minutes = spot(sunlit=np.full(MINUTES, lit))
    assert np.isnan(after_first_sun_min(minutes)).all()
    assert np.isnan(before_last_sun_min(minutes)).all()
    wanted = WantedLight(after_first_sun_min=(0.0, 60.0))
    assert not {c.name: c.met for c in conditions(minutes, wanted, None)}["after first sun"].any()


def test_of_several_appearances_the_first_and_the_last_count() -> None:
    """A pinnacle hides the sun from 10:00 to 10:59."""
    minutes = spot()
    hidden = (minutes.clock_min >= 600) & (minutes.clock_min < 660)
    behind = spot(sunlit=minutes.sunlit & ~hidden)
    assert (after_first_sun_min(behind)[1440:2880] == after_first_sun_min(minutes)[1440:2880]).all()
    assert (before_last_sun_min(behind)[1440:2880] == before_last_sun_min(minutes)[1440:2880]).all()


def test_the_solar_day_turns_when_the_sun_is_lowest() -> None:
    """Against the sun itself: altitude at the turn is the day's lowest, at ordinary latitudes."""
    from backbearing.models.sun import sun_position

    time_utc = np.datetime64("2026-11-01", "ms") + np.arange(MINUTES) * np.timedelta64(60_000, "ms")
    for longitude in (-179.5, -21.0, 0.0, 93.0, 180.0):
        turns = np.flatnonzero(np.diff(solar_day(time_utc, longitude)))
        altitude = sun_position(time_utc, 47.0, longitude).altitude_deg
        for turn in turns:
            around = altitude[max(0, turn - 300) : turn + 300]
            assert abs(int(around.argmin()) - min(turn, 300)) <= 3
