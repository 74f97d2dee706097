"""Offsets and distances on the ellipsoid, and how errors join."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.places.geodesy import inverse, offset, path_lengths_m
from backbearing.records import Bearing, Place


def place(latitude_deg: float, longitude_deg: float, error_m: float = 10.0) -> Place:
    return Place(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        error_m=error_m,
        error_basis="given",
        source="typed",
    )


def towards(true_deg: float, error_deg: float = 2.0) -> Bearing:
    return Bearing(true_deg=true_deg, error_deg=error_deg, as_written=f"{true_deg:g}T")


@given(st.floats(-89.9, 89.9), st.floats(-180, 179.9), st.floats(0, 359.9), st.floats(0.5, 50_000))
def test_an_offset_is_found_again(
    latitude_deg: float, longitude_deg: float, azimuth_deg: float, distance_m: float
) -> None:
    there = offset(place(latitude_deg, longitude_deg), towards(azimuth_deg), distance_m)
    assert -180 <= there.longitude_deg < 180
    back_deg, back_m = inverse(latitude_deg, longitude_deg, there.latitude_deg, there.longitude_deg)
    assert back_m == pytest.approx(distance_m, abs=1e-5)
    turn_deg = (back_deg - azimuth_deg + 180) % 360 - 180
    assert abs(turn_deg) * distance_m < 1e-2


def test_over_the_antimeridian() -> None:
    there = offset(place(-17.0, 179.9999), towards(90.0), 100.0)
    assert there.longitude_deg == pytest.approx(-179.99916, abs=1e-5)
    assert inverse(-17.0, 179.9999, -17.0, -179.9999)[1] == pytest.approx(21.3, abs=0.1)


def test_independent_errors_join() -> None:
    there = offset(place(47.0, -21.0, error_m=10.0), towards(90.0, 3.0), 400.0)
    across_m = 400 * 2 * math.sin(math.radians(1.5))
    assert there.error_m == pytest.approx(math.hypot(10, 40, across_m))
    assert there.error_basis.endswith("400 m paced ± 40 m")
    taped = offset(place(47.0, -21.0), towards(90.0, 3.0), 400.0, distance_by="taped")
    assert taped.error_m == pytest.approx(math.hypot(10, 4, across_m))
    told = offset(place(47.0, -21.0), towards(90.0, 3.0), 400.0, distance_error_m=0.0)
    assert told.error_m == pytest.approx(math.hypot(10, across_m))
    assert told.error_basis.endswith("400 m ± 0 m given")


def test_an_unknown_bearing_means_anywhere_on_the_ring() -> None:
    there = offset(place(47.0, -21.0, 0.0), towards(0.0, 180.0), 100.0, distance_error_m=0.0)
    assert there.error_m == pytest.approx(200.0)


@pytest.mark.parametrize("distance_m", [-1.0, math.nan, math.inf])
def test_no_such_distance(distance_m: float) -> None:
    with pytest.raises(BadInput, match=r"^distance"):
        offset(place(47.0, -21.0), towards(0.0), distance_m)


def test_arrays_give_what_scalars_give() -> None:
    latitude = np.array([47.0, 47.1, -33.0])
    longitude = np.array([-21.0, -21.2, 18.4])
    azimuth, distance = inverse(47.0, -21.0, latitude, longitude)
    for i in range(3):
        one = inverse(47.0, -21.0, float(latitude[i]), float(longitude[i]))
        assert (azimuth[i], distance[i]) == pytest.approx(one)
    assert np.all((azimuth >= 0) & (azimuth < 360))
    table, _ = inverse(latitude[:, None], longitude[:, None], latitude, longitude)
    assert table.shape == (3, 3)


def test_path_lengths_are_those_between_neighbours_and_leave_the_input_alone() -> None:
    longitude = np.array([-21.0, -21.001, -21.001, 179.9])
    latitude = np.array([47.0, 47.0, 47.001, -10.0])
    kept = longitude.copy(), latitude.copy()
    lengths = path_lengths_m(longitude, latitude)
    expected = inverse(latitude[:-1], longitude[:-1], latitude[1:], longitude[1:])[1]
    assert lengths == pytest.approx(expected)
    assert np.array_equal(longitude, kept[0])
    assert np.array_equal(latitude, kept[1])


def test_a_path_of_one_point_has_no_length() -> None:
    assert path_lengths_m(np.array([1.0]), np.array([2.0])).shape == (0,)
    assert path_lengths_m(np.array([]), np.array([])).shape == (0,)


@given(
    latitude=st.floats(-89.0, 89.0),
    longitude=st.floats(-179.9, 179.9),
    azimuth=st.floats(0.0, 360.0),
    distance=st.floats(1.0, 5000.0),
)
def test_destinations_lie_as_far_off_as_asked(
    latitude: float, longitude: float, azimuth: float, distance: float
) -> None:
    from backbearing.places.geodesy import destinations

    ((there_lat, there_lon),) = destinations(latitude, longitude, [azimuth], distance)
    # near the poles a degree of longitude is short and the radii turn with the way: 80° bounds it
    _, off_m = inverse(latitude, longitude, there_lat, there_lon)
    assert off_m == pytest.approx(distance, rel=1e-3)
