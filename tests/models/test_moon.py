"""The moon's ways that need no ephemeris: parallax, phases, arrays, and what is refused."""

import numpy as np
import pytest

from backbearing.errors import BadInput
from backbearing.models.deltat import delta_t_s
from backbearing.models.moon import apparent_moon, moon_position, moon_vectors
from backbearing.models.refraction import refraction_deg

HERE = (47.0, -21.0)
MONTH = np.arange("2026-03-01", "2026-03-31", dtype="datetime64[h]")
SYNODIC_MONTH_DAYS = 29.530589


def test_a_spot_sees_it_lower_than_the_earths_centre_by_its_parallax() -> None:
    """Nearly a degree on the horizon, nothing overhead: π cos h, from the opposite side of Earth.

    Seen from two antipodes at once the altitudes would add up to zero but for parallax.
    """
    here = moon_position(MONTH, *HERE, refraction=False)
    there = moon_position(MONTH, -HERE[0], HERE[1] + 180.0, refraction=False)
    parallax = np.degrees(np.arcsin(6_371.0 / here.distance_km))
    expected = -2.0 * parallax * np.cos(np.radians(here.altitude_deg))
    # the two verticals are the ellipsoid's, not through the centre: 0.2° at most
    assert np.abs(here.altitude_deg + there.altitude_deg - expected).max() < 0.03


def test_the_phases_come_round_in_a_synodic_month() -> None:
    times = np.arange("2026-01-01", "2027-01-01", dtype="datetime64[h]")
    lit = moon_position(times, *HERE).illuminated_fraction
    assert 0.0 <= lit.min() < 0.005
    assert 0.99 < lit.max() <= 1.0
    inner = lit[1:-1]
    full = np.flatnonzero((inner > lit[:-2]) & (inner >= lit[2:]))
    assert np.diff(full).mean() / 24.0 == pytest.approx(SYNODIC_MONTH_DAYS, abs=0.1)


def test_fraction_phase_angle_and_elongation_go_together() -> None:
    moon = moon_position(MONTH, *HERE)
    by_angle = 0.5 * (1.0 + np.cos(np.radians(moon.phase_angle_deg)))
    assert np.abs(moon.illuminated_fraction - by_angle).max() < 1e-12
    # the sun is far off: the two angles fall short of 180° by the moon's width of orbit, 0.15°
    rest = 180.0 - moon.elongation_deg - moon.phase_angle_deg
    assert rest.min() >= 0.0
    assert rest.max() < 0.16


def test_the_air_lifts_it_as_it_does_the_sun() -> None:
    bare = moon_position(MONTH, *HERE, refraction=False).altitude_deg
    seen = moon_position(MONTH, *HERE, pressure_hpa=1010.0, temperature_c=10.0).altitude_deg
    assert seen == pytest.approx(bare + refraction_deg(bare))


def test_a_cubic_through_six_hours_keeps_within_a_tenth_of_an_arcsecond() -> None:
    """Its height over the equator, which the Earth's turning leaves alone, worked out directly."""
    minutes = np.arange(0, 60 * 1440, 47)
    times = np.datetime64("2026-03-01", "us") + minutes.astype("timedelta64[m]")
    days = (times - np.datetime64("2000-01-01", "us")) / np.timedelta64(1, "D")
    direct = apparent_moon(2_451_544.5, days + delta_t_s(days) / 86_400.0)
    x, y, z = moon_vectors(times)
    declination = np.arctan2(z, np.hypot(x, y))
    truth = np.arctan2(direct[:, 2], np.hypot(direct[:, 0], direct[:, 1]))
    assert np.degrees(np.abs(declination - truth)).max() * 3600.0 < 0.1


def test_shapes_missing_times_and_one_instant_alone() -> None:
    times = np.array(["2026-03-01T12", "NaT", "1850-06-01T00"], dtype="datetime64[s]")
    moon = moon_position(times, np.array([[47.0], [-30.0]]), 10.0)
    assert moon.altitude_deg.shape == moon.illuminated_fraction.shape == (2, 3)
    assert np.isnan(moon.altitude_deg[:, 1]).all()
    assert np.isnan(moon.illuminated_fraction[:, 1]).all()
    alone = moon_position(times[0], 47.0, 10.0)
    assert alone.altitude_deg == pytest.approx(moon.altitude_deg[0, 0], abs=1e-12)
    assert moon_position(times[:0], 47.0, 10.0).altitude_deg.shape == (0,)


@pytest.mark.parametrize(
    ("arguments", "where"),
    [
        ((np.datetime64("2026-01-01"), 91.0, 0.0), "latitude_deg"),
        ((np.datetime64("3000-01-01"), 47.0, 0.0), "times"),
        (("yesterday", 47.0, 0.0), "times"),
    ],
)
def test_bad_arguments_are_named(arguments: tuple, where: str) -> None:
    with pytest.raises(BadInput) as error:
        moon_position(*arguments)
    assert error.value.where == where
