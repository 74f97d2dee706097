"""`sun_position` as a function of arrays: shapes, units, missing times, bad arguments."""

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given

from backbearing.errors import BadInput
from backbearing.models.deltat import delta_t_s
from backbearing.models.sun import apparent_sun, sun_position, sun_vectors

NOON = np.datetime64("2026-03-14T13:30")
HERE = (47.0, -21.0)

latitudes = st.floats(-90.0, 90.0)
longitudes = st.floats(-180.0, 180.0)
instants = st.integers(-5_000_000_000, 7_200_000_000).map(lambda s: np.datetime64(s, "s"))


def test_one_instant_at_one_place_gives_arrays_without_axes() -> None:
    sun = sun_position(NOON, *HERE)
    assert sun.azimuth_deg.shape == sun.altitude_deg.shape == sun.distance_au.shape == ()


def test_times_and_places_broadcast() -> None:
    times = np.arange("2026-03-14T00", "2026-03-15T00", dtype="datetime64[h]")
    latitude = np.array([[47.0], [-33.0], [80.0]])
    grid = sun_position(times, latitude, -21.0, height_m=[[0.0], [100.0], [5000.0]])
    assert grid.altitude_deg.shape == (3, 24)
    alone = sun_position(times, -33.0, -21.0, height_m=100.0)
    np.testing.assert_allclose(grid.azimuth_deg[1], alone.azimuth_deg, rtol=0, atol=1e-12)
    np.testing.assert_allclose(grid.altitude_deg[1], alone.altitude_deg, rtol=0, atol=1e-12)


def test_many_instants_are_the_same_as_one_at_a_time() -> None:
    """More than one chunk, years apart, in no order."""
    rng = np.random.default_rng(4)
    seconds = rng.integers(1_000_000_000, 1_500_000_000, 20_000)
    times = seconds.astype("datetime64[s]")
    together = sun_position(times, *HERE)
    for i in (0, 16_383, 16_384, 19_999):
        one = sun_position(times[i], *HERE)
        assert together.azimuth_deg[i] == pytest.approx(float(one.azimuth_deg), abs=1e-11)
        assert together.altitude_deg[i] == pytest.approx(float(one.altitude_deg), abs=1e-11)


@pytest.mark.parametrize("unit", ["h", "m", "s", "ms", "us", "ns"])
def test_any_unit_of_datetime64(unit: str) -> None:
    hour = np.datetime64("2026-03-14T13", "h")
    sun = sun_position(hour.astype(f"datetime64[{unit}]"), *HERE)
    assert sun.azimuth_deg == sun_position(hour, *HERE).azimuth_deg


def test_missing_times_give_nan_and_leave_the_others_alone() -> None:
    times = np.array(["NaT", "2026-03-14T13:30", "NaT"], dtype="datetime64[ms]")
    sun = sun_position(times, *HERE)
    for values in (sun.azimuth_deg, sun.altitude_deg, sun.distance_au):
        np.testing.assert_array_equal(np.isnan(values), [True, False, True])
    assert sun.altitude_deg[1] == sun_position(NOON, *HERE).altitude_deg
    assert np.isnan(sun_position(np.datetime64("NaT"), *HERE).altitude_deg)


def test_no_times_give_no_positions() -> None:
    none = np.array([], dtype="datetime64[s]")
    assert sun_position(none, *HERE).altitude_deg.shape == (0,)
    assert sun_position(none, [[1.0], [2.0]], 3.0).altitude_deg.shape == (2, 0)


def test_the_callers_arrays_are_left_as_they_were() -> None:
    times = np.array(["2026-03-14T13:30", "NaT"], dtype="datetime64[us]")
    latitude = np.array([47.0, 48.0])
    sun_position(times, latitude, -21.0)
    np.testing.assert_array_equal(times, np.array(["2026-03-14T13:30", "NaT"], "datetime64[us]"))
    np.testing.assert_array_equal(latitude, [47.0, 48.0])


@given(when=instants, latitude=latitudes, longitude=longitudes)
def test_every_answer_is_a_direction(
    when: np.datetime64, latitude: float, longitude: float
) -> None:
    sun = sun_position(when, latitude, longitude)
    assert 0.0 <= sun.azimuth_deg < 360.0
    assert -90.0 <= sun.altitude_deg <= 90.0
    assert 0.98 < sun.distance_au < 1.02


@given(when=instants, latitude=latitudes)
def test_the_antimeridian_is_no_seam(when: np.datetime64, latitude: float) -> None:
    west, east = (sun_position(when, latitude, longitude) for longitude in (-180.0, 180.0))
    assert west.altitude_deg == pytest.approx(float(east.altitude_deg), abs=1e-9)


@given(when=instants, latitude=latitudes, longitude=longitudes)
def test_between_the_daily_nodes_the_cubic_is_as_good_as_sofa_itself(
    when: np.datetime64, latitude: float, longitude: float
) -> None:
    """1e-6°: what four daily nodes can lose (the moon's pull and nutation) is a tenth of that."""
    x, y, z = sun_vectors(np.asarray(when).astype("datetime64[us]"))
    days = (when - np.datetime64("2000-01-01")) / np.timedelta64(1, "D")
    direct = apparent_sun(2_451_544.5, days + delta_t_s(np.asarray(days)) / 86_400.0)
    assert np.hypot(x, y) == pytest.approx(np.hypot(direct[0], direct[1]), abs=np.radians(1e-6))
    assert z == pytest.approx(direct[2], abs=np.radians(1e-6))


@given(when=instants, latitude=latitudes, longitude=longitudes)
def test_the_air_only_ever_lifts(when: np.datetime64, latitude: float, longitude: float) -> None:
    seen = sun_position(when, latitude, longitude).altitude_deg
    airless = sun_position(when, latitude, longitude, refraction=False).altitude_deg
    assert -1e-4 < seen - airless < 0.7  # Saemundsson's formula is 0.002′ below nothing at 90°


def test_air_is_taken_from_the_height_unless_given() -> None:
    low = np.datetime64("2026-03-14T19:20")  # the sun a little over the horizon
    at_sea, high = (float(sun_position(low, *HERE, height_m=h).altitude_deg) for h in (0.0, 4e3))
    given_air = sun_position(low, *HERE, height_m=0.0, pressure_hpa=616.4, temperature_c=-11.0)
    assert high < at_sea
    assert float(given_air.altitude_deg) == pytest.approx(high, abs=1e-3)


@pytest.mark.parametrize(
    ("arguments", "where", "says"),
    [
        ((NOON, 95.0, 3.0), "latitude_deg", "swapped"),
        ((NOON, [0.0, -90.5], 3.0), "latitude_deg", "-90.5"),
        ((NOON, float("nan"), 3.0), "latitude_deg", "nan"),
        ((NOON, 47.0, 400.0), "longitude_deg", "400"),
        ((NOON, 47.0, float("inf")), "longitude_deg", "inf"),
        ((NOON, "47N", 3.0), "latitude_deg", "not a number"),
        (("2026-03-14", 47.0, 3.0), "times", "datetime64"),
        ((1_700_000_000, 47.0, 3.0), "times", "datetime64"),
        ((np.datetime64("1799-12-31"), 47.0, 3.0), "times", "1799"),
        ((np.datetime64("2200-01-01"), 47.0, 3.0), "times", "2200"),
        ((np.datetime64(300_000, "Y"), 47.0, 3.0), "times", "301970"),
        ((np.array([NOON, NOON]), [1.0, 2.0, 3.0], 3.0), "times", "broadcast"),
    ],
)
def test_bad_arguments_are_named(
    arguments: tuple[object, object, object], where: str, says: str
) -> None:
    with pytest.raises(BadInput, match=says) as raised:
        sun_position(*arguments)  # type: ignore[arg-type]
    assert raised.value.where == where


def test_bad_air_is_named() -> None:
    with pytest.raises(BadInput, match="pressure_hpa"):
        sun_position(NOON, *HERE, pressure_hpa=-1.0)
    with pytest.raises(BadInput, match="temperature_c"):
        sun_position(NOON, *HERE, temperature_c=300.0)
    with pytest.raises(BadInput, match="height_m"):
        sun_position(NOON, *HERE, height_m=float("nan"))
