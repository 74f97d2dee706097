"""Suspect fixes are flagged where a receiver went wrong, and a walk is left in peace."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.models.walks import segment, timeless, wander

from backbearing.models.fixes import suspect_fixes
from backbearing.records import Segment


def flagged(one: Segment) -> list[int]:
    return np.flatnonzero(suspect_fixes(one)).tolist()


def walk(count: int = 100, speed_m_s: float = 1.2) -> tuple[np.ndarray, np.ndarray]:
    return np.arange(count) * speed_m_s, np.zeros(count)


def test_a_walk_with_a_receivers_usual_error_is_believed() -> None:
    east, north = walk(2000)
    one = segment(east + wander(2000, 4.0, 1), north + wander(2000, 4.0, 2))
    assert flagged(one) == []


@pytest.mark.parametrize("length", [1, 3, 10])
def test_an_excursion_under_a_wall_is_flagged_whole(length: int) -> None:
    east, north = walk()
    north[40 : 40 + length] += 80.0
    assert flagged(segment(east, north)) == list(range(40, 40 + length))


def test_without_times_too_where_it_comes_straight_back() -> None:
    east, north = walk()
    north[40] += 80.0
    assert flagged(timeless(segment(east, north))) == [40]


def test_without_times_a_planned_line_of_long_legs_is_believed() -> None:
    there_and_back = segment([0, 400, 800, 1200, 800, 400, 0], [0, 30, 0, 10, 0, 30, 0])
    assert flagged(timeless(there_and_back)) == []


def test_of_a_jump_that_does_not_come_back_the_fix_after_it_is_flagged() -> None:
    east, north = walk()
    north[50:] += 300.0
    assert flagged(segment(east, north)) == [50]


def test_a_receiver_that_had_not_settled_is_flagged_at_the_start() -> None:
    east, north = walk()
    north[:4] += 300.0
    assert flagged(segment(east, north)) == [0, 1, 2, 3]


def test_a_drive_to_the_start_is_no_fault() -> None:
    drive, _ = walk(300, 22.0)
    on_foot = drive[-1] + walk(300)[0]
    assert flagged(segment(np.concatenate((drive, on_foot)), np.zeros(600))) == []


def test_a_fix_stamped_earlier_than_the_one_before() -> None:
    east, north = walk(6)
    assert flagged(segment(east, north, [0, 1, 2, 1, 4, 5])) == [3]


class TestHeights:
    def test_zeros_in_the_midst_of_a_hillside(self) -> None:
        height = np.full(100, 400.0)
        height[30:36] = 0.0
        assert flagged(segment(*walk(), height_m=height)) == list(range(30, 36))

    def test_zeros_before_the_first_good_one(self) -> None:
        height = np.full(100, 400.0)
        height[:3] = 0.0
        assert flagged(segment(*walk(), height_m=height)) == [0, 1, 2]

    def test_a_steep_climb_seen_in_few_fixes_is_believed(self) -> None:
        east = np.arange(20) * 100.0
        one = segment(east, np.zeros(20), np.arange(20) * 600.0, np.arange(20) * 80.0)
        assert flagged(one) == []

    def test_missing_ones_are_stepped_over(self) -> None:
        height = np.full(100, 400.0)
        height[20:40] = np.nan
        height[50] = 900.0
        assert flagged(segment(*walk(), height_m=height)) == [50]


@given(
    st.lists(
        st.tuples(
            st.floats(-1e5, 1e5), st.floats(-1e5, 1e5), st.integers(-50, 500), st.floats(-500, 9000)
        ),
        max_size=40,
    )
)
def test_any_fixes_get_one_flag_each(fixes: list[tuple[float, float, int, float]]) -> None:
    east, north, step, height = map(list, zip(*fixes, strict=True)) if fixes else ([],) * 4
    one = segment(east, north, np.cumsum(np.array(step, dtype=float)), height)
    flags = suspect_fixes(one)
    assert flags.shape == one.longitude_deg.shape
    assert flags.dtype == np.bool_
