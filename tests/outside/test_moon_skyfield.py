"""The moon against skyfield with the JPL ephemeris DE421, UT1 = UTC on both sides, and Meeus.

Jean Meeus, "Astronomical Algorithms", 2nd ed. 1998, examples 47.a (place) and 48.a (phase), both
for 1992-04-12 0h TD; their figures are from memory and agree with public test files.
"""

import warnings
from collections.abc import Iterator

import erfa
import numpy as np
import pytest
from skyfield.api import Loader, wgs84
from skyfield_data import get_skyfield_data_path

from backbearing.models.moon import apparent_moon, moon_position
from backbearing.models.topocentric import AU_M

STATED_DEG = 0.005  # what `moon_position` promises
EXAMPLE = (2_448_724.5, 0.0)


class Sky:
    """DE421 and a time scale, opened once."""

    def __init__(self) -> None:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # its Earth-rotation file has expired; UT1 is given
            load = Loader(get_skyfield_data_path())
        self.bodies = load("de421.bsp")
        self.scale = load.timescale(builtin=True)


@pytest.fixture(scope="module")
def sky() -> Iterator[Sky]:
    sky = Sky()
    yield sky
    sky.bodies.close()


@pytest.mark.parametrize("latitude", [-89.0, -45.0, 0.0, 23.4, 47.0, 66.5, 89.0])
def test_place_and_phase_1950_to_2050(sky: Sky, latitude: float) -> None:
    rng = np.random.default_rng(abs(int(latitude * 10)))
    seconds = rng.integers(-50 * 31_557_600, 51 * 31_557_600, 400)
    times = np.datetime64("2000-01-01", "s") + seconds.astype("timedelta64[s]")
    longitude, height = float(rng.uniform(-180, 180)), float(rng.uniform(0, 4000))
    when = sky.scale.ut1_jd(2_451_544.5 + seconds / 86_400.0)

    spot = sky.bodies["earth"] + wgs84.latlon(latitude, longitude, elevation_m=height)
    seen = spot.at(when).observe(sky.bodies["moon"]).apparent()
    altitude, azimuth, _ = seen.altaz(pressure_mbar=0.0, temperature_C=0.0)
    centre = sky.bodies["earth"].at(when)
    moon, sun = (centre.observe(sky.bodies[body]).apparent() for body in ("moon", "sun"))
    ours = moon_position(times, latitude, longitude, height_m=height, refraction=False)

    assert np.abs(ours.altitude_deg - altitude.degrees).max() <= STATED_DEG
    turn = (ours.azimuth_deg - azimuth.degrees + 180.0) % 360.0 - 180.0
    assert np.abs(turn * np.cos(np.radians(altitude.degrees))).max() <= STATED_DEG
    assert np.abs(ours.distance_km - moon.distance().km).max() < 60.0
    assert np.abs(ours.elongation_deg - moon.separation_from(sun).degrees).max() <= STATED_DEG
    lit = moon.fraction_illuminated(sky.bodies["sun"])
    assert np.abs(ours.illuminated_fraction - lit).max() < 2e-4


def test_example_47a() -> None:
    x, y, z = apparent_moon(*EXAMPLE)
    from_equinox = np.degrees(np.arctan2(y, x) - erfa.eo06a(*EXAMPLE)) % 360.0
    arcseconds = 1.0 / 3600.0  # ours has another nutation and frame
    assert from_equinox == pytest.approx(134.688470, abs=arcseconds)
    assert np.degrees(np.arctan2(z, np.hypot(x, y))) == pytest.approx(13.768368, abs=arcseconds)
    assert np.sqrt(x * x + y * y + z * z) * AU_M / 1e3 == pytest.approx(368_409.7, abs=0.1)


def test_example_48a() -> None:
    """0h TD is 23:59:01 UT of the day before; the phase moves by 1e-4 in that minute."""
    moon = moon_position(np.datetime64("1992-04-11T23:59:01"), 0.0, 0.0)
    assert moon.phase_angle_deg == pytest.approx(69.0756, abs=0.02)
    assert moon.illuminated_fraction == pytest.approx(0.6786, abs=2e-4)
