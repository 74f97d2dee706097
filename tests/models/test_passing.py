"""How near a walk's line came to a place, and when."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.models.walks import (
    EAST_M,
    LATITUDE_DEG,
    LONGITUDE_DEG,
    NORTH_M,
    segment,
    timeless,
    track,
)

from backbearing.models.passing import nearest_approach
from backbearing.records import Track


def place(east_m: float, north_m: float) -> tuple[float, float]:
    return LATITUDE_DEG + north_m / NORTH_M, LONGITUDE_DEG + east_m / EAST_M


def test_beside_a_leg_it_is_the_distance_from_the_line() -> None:
    approach = nearest_approach(track(segment([0, 200], [0, 0], [0, 100])), *place(50, 30))
    assert approach is not None
    assert approach.distance_m == pytest.approx(30, rel=5e-3)
    assert approach.when == datetime(2026, 3, 14, 8, 0, 25, tzinfo=UTC)


def test_beyond_an_end_it_is_the_distance_from_the_end() -> None:
    approach = nearest_approach(track(segment([0, 200], [0, 0])), *place(-30, 40))
    assert approach is not None
    assert approach.distance_m == pytest.approx(50, rel=5e-3)


def test_a_gap_is_not_bridged() -> None:
    walk = track(segment([0, 1], [0, 0]), segment([200, 201], [0, 0]))
    approach = nearest_approach(walk, *place(100, 0))
    assert approach is not None
    assert approach.distance_m == pytest.approx(99, rel=5e-3)


def test_a_silence_inside_a_segment_is_not_bridged() -> None:
    walk = track(segment([0, 60, 5560, 5620], [0] * 4, [0, 60, 10_860, 10_920]))
    approach = nearest_approach(walk, *place(2800, 38))
    assert approach is not None
    assert approach.distance_m == pytest.approx(2740, rel=5e-3)
    assert approach.when == datetime(2026, 3, 14, 8, 1, tzinfo=UTC)


def test_no_times_no_when() -> None:
    approach = nearest_approach(track(timeless(segment([0], [0]))), *place(3, 4))
    assert approach is not None
    assert approach.distance_m == pytest.approx(5, rel=5e-3)
    assert approach.when is None
    assert nearest_approach(Track(), *place(0, 0)) is None


@given(st.lists(st.floats(-3000, 3000), min_size=2, max_size=20), st.floats(-3000, 3000))
def test_never_farther_than_the_nearest_fix(east: list[float], north: float) -> None:
    walk = track(timeless(segment(east, [0.0] * len(east))))
    approach = nearest_approach(walk, *place(0, north))
    assert approach is not None
    nearest = min((e**2 + north**2) ** 0.5 for e in east)
    assert approach.distance_m <= nearest * 1.005 + 0.01
