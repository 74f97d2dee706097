"""The sun over a skyline that is not level, against brute force and a closed form.

Brute force: skyfield (DE421) at every second, Saemundsson's refraction as everywhere here. The
closed form is the area of a circle's segment.
"""

import warnings
from collections.abc import Callable, Iterator

import numpy as np
import pytest
from numpy.typing import NDArray
from skyfield.api import Loader, wgs84
from skyfield_data import get_skyfield_data_path

from backbearing.models.sun import sun_position
from backbearing.models.sundays import sun_days
from backbearing.models.sunlight import (
    SEMIDIAMETER_AT_1_AU_DEG,
    disc_fraction,
    flat_skyline,
    semidiameter_deg,
)
from backbearing.records import Skyline

LATITUDE, LONGITUDE = 47.0, -21.0
DAY_S = 86_400
CORNERS = np.arange(0.0, 360.0, 0.5)
Over = Callable[[tuple[int, int, int], NDArray[np.int64]], NDArray[np.bool_]]


def gorge(azimuth: NDArray[np.float64]) -> NDArray[np.float64]:
    """Two walls and a notched ridge across the sun's way, in degrees."""
    ridge = (
        14.0 + 9.0 * np.cos(np.radians(7.0 * azimuth)) + 3.0 * np.sin(np.radians(40.0 * azimuth))
    )
    return ridge + 20.0 * np.exp(-(((azimuth - 95.0) / 12.0) ** 2))


def land() -> Skyline:
    nothing = np.full(CORNERS.shape, np.nan)
    return Skyline(
        azimuth_deg=CORNERS,
        altitude_deg=gorge(CORNERS),
        distance_m=nothing,
        reach_m=nothing,
        basis="a closed form",
    )


@pytest.fixture(scope="module")
def over() -> Iterator[Over]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its Earth-rotation file has expired; UT1 is taken as UTC
        load = Loader(get_skyfield_data_path())
    planets = load("de421.bsp")
    scale = load.timescale(builtin=True)
    spot = planets["earth"] + wgs84.latlon(LATITUDE, LONGITUDE, elevation_m=0.0)

    def over(date: tuple[int, int, int], seconds: NDArray[np.int64]) -> NDArray[np.bool_]:
        times = scale.ut1(*date, 0, 0, seconds)
        altitude, azimuth, distance = spot.at(times).observe(planets["sun"]).apparent().altaz()
        true = altitude.degrees
        lifted = 0.017 / np.tan(np.radians(true + 10.3 / (true + 5.11)))
        up = true + np.where(true > -1.0, lifted * (1013.25 / 1010.0) * (283.0 / 288.15), 0.0)
        # the skyline's straight lines between its corners are part of it
        ground = np.interp(azimuth.degrees, CORNERS, gorge(CORNERS), period=360.0)
        return np.asarray(up + SEMIDIAMETER_AT_1_AU_DEG / distance.au >= ground)

    yield over
    planets.close()


def turns(over: Over, date: tuple[int, int, int]) -> NDArray[np.int64]:
    """The seconds of the day at which the limb has just come or gone: every tenth second is
    looked at, then every second between two that differ."""
    tens = np.arange(0, DAY_S, 10)
    changes = np.flatnonzero(np.diff(over(date, tens).astype(np.int8)))
    found = []
    for second in tens[changes].tolist():
        near = over(date, np.arange(second, second + 11))
        found.append(second + int(np.flatnonzero(near != near[0])[0]))
    return np.array(found)


@pytest.mark.parametrize("date", [(2026, 1, 20), (2026, 3, 14), (2026, 6, 21), (2026, 11, 3)])
def test_first_and_last_sun_of_each_appearance_by_brute_force(
    over: Over, date: tuple[int, int, int]
) -> None:
    expected = turns(over, date)
    midnight = np.datetime64(f"{date[0]}-{date[1]:02d}-{date[2]:02d}", "ms")
    midnights = np.array([midnight, midnight + np.timedelta64(DAY_S, "s")])
    found = sun_days(land(), LATITUDE, LONGITUDE, midnights)
    seconds = (found.spans - midnight).astype(np.int64) / 1000.0
    assert found.appearances.tolist() == [len(expected) // 2]
    assert len(expected) >= 2
    # brute force finds the second after, and ΔT differs by a part of one
    assert np.abs(seconds.ravel() - expected).max() <= 2.0


@pytest.mark.parametrize("share", [-1.2, -0.9, -0.5, 0.0, 0.3, 0.8, 0.99, 1.5])
def test_a_level_edge_cuts_the_disc_as_a_circle(share: float) -> None:
    """Segment over a chord at −x of the radius: ½ + (asin x + x √(1 − x²)) / π."""
    x = np.clip(share, -1.0, 1.0)
    expected = 0.5 + (np.arcsin(x) + x * np.sqrt(1.0 - x * x)) / np.pi
    found = disc_fraction(flat_skyline(), 200.0, share * SEMIDIAMETER_AT_1_AU_DEG, 1.0)
    assert found == pytest.approx(expected, abs=0.01)


def test_a_rugged_edge_against_points_all_over_the_disc() -> None:
    """Each point of the disc is seen or not; azimuth widens with altitude by its cosine."""
    rng = np.random.default_rng(3)
    jagged = Skyline(
        azimuth_deg=np.arange(0.0, 360.0, 0.2),
        altitude_deg=20.0 + rng.uniform(-0.5, 0.5, 1800) + 30.0 * (np.arange(1800) % 300 < 120),
        distance_m=np.full(1800, np.nan),
        reach_m=np.full(1800, np.nan),
        basis="made up",
    )
    azimuth, altitude = rng.uniform(0.0, 360.0, 400), rng.uniform(18.5, 51.5, 400)
    radius = SEMIDIAMETER_AT_1_AU_DEG
    y, x = np.mgrid[-1.0:1.0:201j, -1.0:1.0:201j]
    inside = np.hypot(x, y) <= 1.0
    x, y = x[inside] * radius, y[inside] * radius
    there = azimuth[:, None] + x / np.cos(np.radians(altitude))[:, None]
    ground = np.interp(there, jagged.azimuth_deg, jagged.altitude_deg, period=360.0)
    expected = (altitude[:, None] + y >= ground).mean(axis=1)
    assert ((expected > 0.05) & (expected < 0.95)).sum() > 10
    found = disc_fraction(jagged, azimuth, altitude, 1.0)
    assert np.abs(found - expected).max() < 0.03
    assert np.abs(found - expected).mean() < 0.002


def test_over_the_year_the_disc_shows_where_the_limb_clears() -> None:
    """None of it below, all of it a disc's width above, for gentle edges."""
    year = np.arange("2026-01-01", "2027-01-01", 7, dtype="datetime64[m]")
    sun = sun_position(year, LATITUDE, LONGITUDE)
    smooth = flat_skyline()
    fraction = disc_fraction(smooth, sun.azimuth_deg, sun.altitude_deg, sun.distance_au)
    radius = semidiameter_deg(sun.distance_au)
    assert (fraction[sun.altitude_deg < -radius] == 0.0).all()
    assert (fraction[sun.altitude_deg > radius] == 1.0).all()
    assert (np.abs(fraction - 0.5)[np.abs(sun.altitude_deg) < 0.005] < 0.02).all()
