"""Readings in a skyline: they rule where they were taken and nowhere else."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.measured import SPEAKS_FOR_DEG, with_readings, worth_measuring
from backbearing.records import Skyline

if TYPE_CHECKING:
    from backbearing.records import Floats


def ground(altitude_deg: float = 5.0) -> Skyline:
    azimuth = np.arange(0.0, 360.0, 0.5)
    return Skyline(
        azimuth_deg=azimuth,
        altitude_deg=np.full(azimuth.shape, altitude_deg),
        distance_m=np.full(azimuth.shape, 300.0),
        reach_m=np.full(azimuth.shape, 9000.0),
        basis="made",
        cell_m=np.full(azimuth.shape, 10.0),
        vertical_error_m=np.full(azimuth.shape, 4.0),
    )


def measure(
    readings: list[tuple[float, float]], *, replaces: bool = False, error_deg: float = 2.0
) -> tuple[Skyline, Floats, Floats]:
    return with_readings(
        ground(),
        np.full(720, error_deg),
        [azimuth for azimuth, _ in readings],
        [altitude for _, altitude in readings],
        azimuth_error_deg=[2.0] * len(readings),
        altitude_error_deg=[0.5] * len(readings),
        replaces=[replaces] * len(readings),
    )


def at(values: Floats, azimuth_deg: float) -> float:
    return float(values[int(azimuth_deg % 360.0 * 2)])


def test_one_reading_speaks_for_three_degrees_either_side() -> None:
    skyline, error, rules = measure([(180.0, 12.0)])
    for turn in (-SPEAKS_FOR_DEG, 0.0, SPEAKS_FOR_DEG):
        assert at(skyline.altitude_deg, 180.0 + turn) == 12.0
    for turn in (-SPEAKS_FOR_DEG - 0.5, SPEAKS_FOR_DEG + 0.5):
        assert at(skyline.altitude_deg, 180.0 + turn) == 5.0
        assert at(error, 180.0 + turn) == 2.0
    assert at(error, 180.0) == pytest.approx(0.5)
    assert at(error, 183.0) > at(error, 180.0)
    assert rules.sum() == 13
    assert np.isnan(skyline.distance_m[rules]).all()
    assert (skyline.distance_m[~rules] == 300.0).all()


def test_two_near_readings_are_one_straight_edge_also_over_north() -> None:
    skyline, error, _ = measure([(355.0, 10.0), (5.0, 20.0)])
    assert at(skyline.altitude_deg, 0.0) == pytest.approx(15.0)
    assert at(skyline.altitude_deg, 357.5) == pytest.approx(12.5)
    # a degree up for each degree across: the compass's two degrees count in full
    assert at(error, 355.0) == pytest.approx(np.hypot(0.5, 2.0))


def test_readings_far_apart_leave_the_ground_between_them_as_it_was() -> None:
    skyline, _, _ = measure([(100.0, 10.0), (140.0, 10.0)])
    assert at(skyline.altitude_deg, 120.0) == 5.0


def test_a_lower_reading_lowers_only_where_it_replaces() -> None:
    raised, error, rules = measure([(90.0, 2.0)])
    assert not rules.any()
    assert at(raised.altitude_deg, 90.0) == 5.0
    assert at(error, 90.0) == 2.0
    replaced, _, rules = measure([(90.0, 2.0)], replaces=True)
    assert at(replaced.altitude_deg, 90.0) == 2.0
    assert rules.any()


@given(
    st.lists(st.tuples(st.floats(0, 359.9), st.floats(-10, 60)), min_size=1, max_size=12),
    st.booleans(),
)
def test_what_was_measured_is_found_again_and_order_does_not_matter(
    readings: list[tuple[float, float]], replaces: bool
) -> None:
    skyline, error, rules = measure(readings, replaces=replaces)
    again, _, _ = measure(readings[::-1], replaces=replaces)
    if len({azimuth for azimuth, _ in readings}) == len(readings):
        assert np.allclose(skyline.altitude_deg, again.altitude_deg)
    if not replaces:
        assert (skyline.altitude_deg >= 5.0).all()
    assert (error > 0.0).all()
    highest = max(max(altitude for _, altitude in readings), 5.0)
    assert skyline.altitude_deg.max() <= highest + 1e-9
    assert rules.any() or not replaces


def test_no_readings_change_nothing() -> None:
    skyline, error, rules = measure([])
    assert (skyline.altitude_deg == 5.0).all()
    assert (error == 2.0).all()
    assert not rules.any()


def test_unequal_readings_are_refused() -> None:
    with pytest.raises(BadInput):
        with_readings(
            ground(),
            None,
            [1.0, 2.0],
            [3.0],
            azimuth_error_deg=[1.0],
            altitude_error_deg=[1.0],
            replaces=[True],
        )
    with pytest.raises(BadInput, match="90"):
        measure([(10.0, 91.0)])


def test_the_azimuths_worth_a_reading_lie_apart_and_where_most_turns_on_them() -> None:
    azimuth = np.arange(0.0, 360.0, 1.0)
    weight = np.where((azimuth > 150) & (azimuth < 200), 1.0, 0.0)
    near = np.abs(azimuth - 175.0) / 5.0
    taken = worth_measuring(azimuth, near_deg=near, weight=weight)
    assert 1 <= len(taken) <= 8
    assert 175.0 in taken
    assert ((taken > 150) & (taken < 200)).all()
    assert (np.diff(taken) >= 4.0).all()
    assert len(worth_measuring(azimuth, near_deg=near, weight=0.0 * weight)) == 0
