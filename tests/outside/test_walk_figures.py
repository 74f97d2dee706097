"""A walk's figures against values worked out elsewhere.

Ascent: an own worked list (100, 103, … 131: 43 m added up, 30 m at thresholds of 5 and of 10 m).
Lengths: geodesics on WGS 84 by pyproj (Karney 2013, doi 10.1007/s00190-012-0578-z). Metres in a
degree: own figures from the radii of curvature of WGS 84 (NGA.STND.0036), 45° N: 111 132 m north,
78 847 m east.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod

from backbearing.models.walk import ascent_descent_m, summarise
from backbearing.places.geodesy import distances_m, path_lengths_m
from backbearing.records import Segment, Track

GEOD = Geod(ellps="WGS84")
HEIGHTS_M = np.array([100, 103, 101, 108, 112, 109, 121, 118, 119, 130, 126, 131.0])


@pytest.mark.parametrize(("threshold_m", "ascent_m"), [(1e-9, 43.0), (5.0, 30.0), (10.0, 30.0)])
def test_ascent_of_the_worked_list(threshold_m: float, ascent_m: float) -> None:
    assert ascent_descent_m(HEIGHTS_M, threshold_m=threshold_m)[0] == ascent_m


@pytest.mark.parametrize(
    ("latitude", "north_m", "east_m"),
    [(0.0, 110_574, 111_319), (45.0, 111_132, 78_847), (60.0, 111_412, 55_800)],
)
def test_metres_in_a_degree(latitude: float, north_m: float, east_m: float) -> None:
    # a thousandth of a degree, so that it is the fast way that is tested
    north = path_lengths_m(np.zeros(2), np.array([latitude - 5e-4, latitude + 5e-4]))
    east = path_lengths_m(np.array([0, 1e-3]), np.full(2, latitude))
    # the table is rounded to a metre, and at 0° taken from 0° to 1°
    assert north[0] == pytest.approx(north_m / 1000, abs=0.002)
    assert east[0] == pytest.approx(east_m / 1000, abs=0.002)


STEPS = st.floats(-0.02, 0.02) | st.floats(-3, 3)


@given(st.floats(-89.9, 89.9), st.floats(-180, 180), STEPS, STEPS)
def test_distances_are_geodesics(
    latitude: float, longitude: float, north: float, east: float
) -> None:
    there = min(90.0, max(-90.0, latitude + north)), (longitude + east + 180) % 360 - 180
    ours = distances_m(*(np.array([x]) for x in (longitude, latitude, there[1], there[0])))[0]
    theirs = GEOD.inv(longitude, latitude, there[1], there[0])[2]
    assert ours == pytest.approx(theirs, rel=1e-7, abs=1e-6)


def test_the_length_of_a_walk_is_that_of_its_geodesics() -> None:
    rng = np.random.default_rng(11)
    latitude = 47 + np.cumsum(rng.normal(0, 1e-5, 3000))
    longitude = -21 + np.cumsum(rng.normal(0, 1e-5, 3000))
    segment = Segment(
        longitude_deg=longitude,
        latitude_deg=latitude,
        height_m=np.full(3000, np.nan),
        time=np.datetime64("2026-03-14T08:00", "ms") + np.arange(3000) * np.timedelta64(1000, "ms"),
    )
    expected = GEOD.line_length(longitude, latitude)
    assert summarise(Track(segments=(segment,))).length_m == pytest.approx(expected, rel=1e-7)
