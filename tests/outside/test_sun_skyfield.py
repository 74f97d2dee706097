"""The sun against skyfield with the JPL ephemeris DE421, UT1 = UTC on both sides.

skyfield's own ΔT is kept, so our table of it is checked as well.
"""

import warnings
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from skyfield import almanac
from skyfield.api import Loader, wgs84
from skyfield_data import get_skyfield_data_path

from backbearing.models.deltat import delta_t_s
from backbearing.models.events import sun_events
from backbearing.models.sun import sun_position

STATED_DEG = 5e-5  # what `sun_position` promises
LATITUDES = (-89.0, -66.5, -45.0, -23.4, 0.0, 23.4, 47.0, 60.0, 66.5, 80.0, 89.0)
TENTH_OF_A_SECOND_DEG = 0.1 * 15.0 / 3600.0  # to which events are refined; the Earth's turn
DAY_S = 86_400
LEVEL_DEG = {
    "sunrise": -50.0 / 60.0,
    "sunset": -50.0 / 60.0,
    "civil": -6.0,
    "nautical": -12.0,
    "astronomical": -18.0,
}


class Sky:
    """DE421 and a time scale, opened once."""

    def __init__(self) -> None:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # its Earth-rotation file has expired; UT1 is given
            load = Loader(get_skyfield_data_path())
        self.ephemeris = load("de421.bsp")
        self.scale = load.timescale(builtin=True)

    def at(self, times: NDArray[np.datetime64]) -> Any:
        seconds = (times - np.datetime64("2000-01-01", "ms")) / np.timedelta64(1, "s")
        return self.scale.ut1_jd(2_451_544.5 + seconds / DAY_S)

    def observer(self, latitude: float, longitude: float, height: float = 0.0) -> Any:
        return self.ephemeris["earth"] + wgs84.latlon(latitude, longitude, elevation_m=height)

    def seconds(self, times: Any) -> NDArray[np.float64]:
        """skyfield's times as UT1 seconds since 2000."""
        return np.asarray((times.whole - 2_451_544.5 + times.ut1_fraction) * DAY_S)


@pytest.fixture(scope="module")
def sky() -> Iterator[Sky]:
    sky = Sky()
    yield sky
    sky.ephemeris.close()


@pytest.mark.parametrize("latitude", LATITUDES)
def test_place_in_the_sky_1950_to_2050(sky: Sky, latitude: float) -> None:
    rng = np.random.default_rng(abs(int(latitude * 10)))
    seconds = rng.integers(-50 * 365.25 * DAY_S, 51 * 365.25 * DAY_S, 300)
    times = np.datetime64("2000-01-01", "s") + seconds.astype("timedelta64[s]")
    longitude, height = float(rng.uniform(-180, 180)), float(rng.uniform(0, 4000))

    there = sky.observer(latitude, longitude, height).at(sky.at(times))
    altitude, azimuth, _ = (
        there.observe(sky.ephemeris["sun"]).apparent().altaz(pressure_mbar=0.0, temperature_C=0.0)
    )
    ours = sun_position(times, latitude, longitude, height_m=height, refraction=False)

    assert np.abs(ours.altitude_deg - altitude.degrees).max() <= STATED_DEG
    # across the sky: an azimuth alone means little near the zenith
    turn = (ours.azimuth_deg - azimuth.degrees + 180.0) % 360.0 - 180.0
    assert np.abs(turn * np.cos(np.radians(altitude.degrees))).max() <= STATED_DEG


@pytest.mark.parametrize(
    ("latitude", "longitude", "start"),
    [
        (47.0, -21.0, "2026-03-01"),
        (-33.9, 151.2, "2026-12-20"),
        (0.0, 100.0, "1951-06-01"),
        (60.6, 5.0, "2026-06-10"),  # civil twilight just about ends
        (66.5, 25.7, "2026-06-01"),  # into the midnight sun
        (67.4, 25.7, "2026-12-10"),  # in and out of the polar night
        (-78.0, 166.0, "2049-02-15"),  # out of the midnight sun
    ],
)
def test_events(sky: Sky, latitude: float, longitude: float, start: str) -> None:
    """Rise, set and the three twilights over twenty days: the same ones, at the same altitude."""
    first = np.datetime64(start, "s")
    last = first + np.timedelta64(20, "D")
    ours = [event for event in sun_events(latitude, longitude, first, last) if event.when]
    topos = wgs84.latlon(latitude, longitude)
    passages = almanac.dark_twilight_day(sky.ephemeris, topos)
    passages.step_days = 0.004  # its own 58 minutes step over a short white night
    theirs, states = almanac.find_discrete(
        sky.at(np.array([first]))[0], sky.at(np.array([last]))[0], passages
    )
    named = [event for event in ours if event.kind != "noon"]
    assert len(named) == len(states)
    for event, seconds in zip(named, sky.seconds(theirs), strict=True):
        assert event.when is not None
        when = np.datetime64(event.when.replace(tzinfo=None), "ms")
        level = LEVEL_DEG[event.kind.split()[0]]
        there = sky.observer(latitude, longitude).at(sky.at(np.array([when])))
        altitude, _, _ = there.observe(sky.ephemeris["sun"]).apparent().altaz()
        assert altitude.degrees[0] == pytest.approx(level, abs=STATED_DEG + TENTH_OF_A_SECOND_DEG)
        apart_s = abs((when - np.datetime64("2000-01-01")) / np.timedelta64(1, "s") - seconds)
        assert apart_s < (0.2 if abs(latitude) < 60.0 else 5.0)  # 5e-5° is long where it grazes


@pytest.mark.parametrize(
    ("first", "last", "within_s"), [(1950, 2027, 0.5), (1800, 1950, 3.0), (2027, 2199, 1.0)]
)
def test_the_table_of_delta_t(sky: Sky, first: int, last: int, within_s: float) -> None:
    days = np.arange((first - 2000) * 365.2425, (last - 2000) * 365.2425, 30.0)
    theirs = sky.scale.ut1_jd(2_451_544.5 + days).delta_t
    assert np.abs(delta_t_s(days) - theirs).max() < within_s
