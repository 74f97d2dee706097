"""A walk in numbers: length, climb, moving and standing, gaps, bounds."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.models.walks import segment, timeless, track, wander

from backbearing.models.walk import ascent_descent_m, find_gaps, summarise
from backbearing.records import Track


class TestLength:
    def test_a_straight_kilometre(self) -> None:
        one = segment(np.arange(0, 1001, 2.0), np.zeros(501), np.arange(501) * 2.0)
        assert summarise(track(one)).length_m == pytest.approx(1000.0, rel=1e-4)

    def test_a_gap_between_segments_is_not_bridged(self) -> None:
        one = segment([0, 10], [0, 0], [0, 10])
        far = segment([5000, 5010], [0, 0], [3600, 3610])
        summary = summarise(track(one, far))
        assert summary.length_m == pytest.approx(20.0, rel=1e-3)
        assert (summary.gaps, summary.points) == (1, 4)

    def test_a_suspect_fix_is_left_out(self) -> None:
        north = np.zeros(100)
        north[50] = 400.0
        summary = summarise(track(segment(np.arange(100) * 1.2, north)))
        assert summary.suspect_fixes == 1
        assert summary.length_m == pytest.approx(99 * 1.2, rel=1e-3)
        assert summary.points == 100


class TestClimb:
    def test_rises_below_the_threshold_count_only_once_they_add_up(self) -> None:
        rise = np.arange(0, 101, 1.0)
        assert ascent_descent_m(rise, threshold_m=10.0) == (100.0, 0.0)
        assert ascent_descent_m(np.tile([0.0, 9.0], 50), threshold_m=10.0) == (0.0, 0.0)

    def test_down_is_up_turned_over(self) -> None:
        heights = wander(500, 30.0, 5)
        up, down = ascent_descent_m(heights)
        assert ascent_descent_m(-heights) == (down, up)

    def test_of_a_standing_receivers_wander_little_is_left(self) -> None:
        # own simulation: an hour at 1 Hz, 5 m of slow wander: 1009 m added up, 62 m at 10 m
        heights = wander(3600, 5.0, 7, memory=0.99)
        added_up, _ = ascent_descent_m(heights, threshold_m=1e-9)
        assert added_up > 800.0
        assert ascent_descent_m(heights)[0] < 0.15 * added_up

    def test_a_break_between_segments_is_no_climb(self) -> None:
        low = segment([0, 10], [0, 0], [0, 10], [100, 100])
        high = segment([0, 10], [0, 0], [900, 910], [500, 500])
        assert summarise(track(low, high)).ascent_m == 0.0

    def test_a_bad_height_is_left_out_of_the_climb_and_not_of_the_length(self) -> None:
        height = np.full(100, 400.0)
        height[[20, 60, 61]] = 0.0
        summary = summarise(track(segment(np.arange(100) * 1.2, np.zeros(100), height_m=height)))
        assert (summary.suspect_fixes, summary.ascent_m) == (3, 0.0)
        assert summary.length_m == pytest.approx(99 * 1.2, rel=1e-3)

    def test_no_heights_is_none_and_not_nought(self) -> None:
        summary = summarise(track(segment([0, 10], [0, 0])))
        assert (summary.ascent_m, summary.descent_m) == (None, None)

    @given(st.lists(st.floats(-400, 8000), min_size=1, max_size=60), st.floats(0.5, 50))
    def test_up_less_down_is_what_was_gained_but_for_the_threshold(
        self, heights: list[float], threshold_m: float
    ) -> None:
        up, down = ascent_descent_m(np.array(heights), threshold_m=threshold_m)
        assert up >= 0
        assert down >= 0
        assert abs((up - down) - (heights[-1] - heights[0])) < threshold_m + 1e-6


class TestMovingAndStanding:
    def test_ten_minutes_walked_and_ten_stood(self) -> None:
        walked = np.arange(600) * 1.2
        east = np.concatenate((walked, np.full(600, walked[-1]))) + wander(
            1200, 2.0, 3, memory=0.99
        )
        summary = summarise(track(segment(east, wander(1200, 2.0, 4, memory=0.99))))
        assert summary.moving_s == pytest.approx(600, abs=60)
        assert summary.standing_s == pytest.approx(600, abs=60)
        assert summary.moving_s + summary.standing_s == 1199

    def test_a_break_between_segments_is_neither(self) -> None:
        one = segment([0, 60], [0, 0], [0, 50])
        later = segment([60, 120], [0, 0], [3600, 3650])
        summary = summarise(track(one, later))
        assert (summary.moving_s, summary.standing_s) == (100.0, 0.0)

    def test_no_times_is_none(self) -> None:
        summary = summarise(track(timeless(segment([0, 10], [0, 0]))))
        assert (summary.moving_s, summary.standing_s, summary.started) == (None, None, None)


class TestGaps:
    def test_long_silence_while_moving_on_is_one(self) -> None:
        (gap,) = find_gaps(track(segment([0, 12, 500, 512], [0] * 4, [0, 10, 410, 420])))
        assert not gap.between_segments
        assert gap.distance_m == pytest.approx(488, rel=1e-3)
        assert gap.start == datetime(2026, 3, 14, 8, 0, 10, tzinfo=UTC)
        assert gap.end == datetime(2026, 3, 14, 8, 6, 50, tzinfo=UTC)

    def test_a_recorder_that_pauses_itself_at_a_stop_leaves_none(self) -> None:
        assert find_gaps(track(segment([0, 12, 15, 27], [0] * 4, [0, 10, 910, 920]))) == []

    def test_a_fix_not_to_be_believed_does_not_break_the_silence(self) -> None:
        walked, later = np.arange(20) * 1.2, 500 + np.arange(20) * 1.2
        east = np.concatenate((walked, [9000.0], later))
        seconds = np.concatenate((np.arange(20), [220.0], 420 + np.arange(20)))
        (gap,) = find_gaps(track(segment(east, np.zeros(41), seconds)))
        assert gap.distance_m == pytest.approx(500 - 19 * 1.2, rel=1e-3)


class TestASilenceInsideASegmentIsNotBridged:
    """Two fixes, three hours without one, 5.5 km farther on and 200 m higher two more."""

    WALK = track(
        segment([0, 0, 0, 0], [0, 56, 5556, 5612], [0, 60, 10_860, 10_920], [5, 5, 205, 205])
    )

    def test_in_no_figure(self) -> None:
        summary = summarise(self.WALK)
        assert summary.gaps == len(find_gaps(self.WALK)) == 1
        assert summary.length_m == pytest.approx(112, rel=1e-3)
        assert (summary.moving_s, summary.standing_s) == (120.0, 0.0)
        assert (summary.ascent_m, summary.descent_m) == (0.0, 0.0)

    def test_nor_where_fixes_without_a_time_stand_beside_it(self) -> None:
        (one,) = self.WALK.segments
        time = one.time.copy()
        time[0] = np.datetime64("NaT")
        half_timed = track(
            type(one)(
                longitude_deg=one.longitude_deg,
                latitude_deg=one.latitude_deg,
                height_m=one.height_m,
                time=time,
            )
        )
        assert summarise(half_timed).length_m == pytest.approx(112, rel=1e-3)

    def test_a_walk_that_is_all_gap_still_has_heights_and_times(self) -> None:
        summary = summarise(track(segment([0, 9000], [0, 0], [0, 3600], [5, 6])))
        assert (summary.length_m, summary.ascent_m, summary.moving_s) == (0.0, 0.0, 0.0)

    def test_a_silence_at_a_stop_is_part_of_the_walk(self) -> None:
        paused = track(segment([0, 12, 15, 27], [0] * 4, [0, 10, 910, 920]))
        summary = summarise(paused)
        assert summary.length_m == pytest.approx(27, rel=1e-3)
        assert (summary.moving_s, summary.standing_s) == (20.0, 900.0)


class TestBounds:
    def test_west_of_east_as_a_rule(self) -> None:
        bounds = summarise(track(segment([0, -76_052], [0, 111_171]))).bounds_deg
        assert bounds == pytest.approx((-22.0, 47.0, -21.0, 48.0))

    def test_over_the_antimeridian_west_is_the_greater(self) -> None:
        east = np.arange(0, 20_000, 100.0)
        one = segment(east, np.zeros(200), np.arange(200) * 80.0, longitude_deg=179.9)
        west, _, east_end, _ = summarise(track(one)).bounds_deg or (0, 0, 0, 0)
        assert west == pytest.approx(179.9)
        assert east_end == pytest.approx(179.9 + 19_900 / 76_052 - 360)
        assert summarise(track(one)).length_m == pytest.approx(19_900, rel=1e-3)


def test_nothing_at_all_is_a_summary_too() -> None:
    summary = summarise(Track())
    assert (summary.points, summary.length_m, summary.bounds_deg) == (0, 0.0, None)
    assert (summary.ascent_m, summary.moving_s, summary.started) == (None, None, None)


def test_absurd_years_are_summed_up_like_any() -> None:
    one = segment([0, 10], [0, 0])
    old = type(one)(
        longitude_deg=one.longitude_deg,
        latitude_deg=one.latitude_deg,
        height_m=one.height_m,
        time=np.array(["0001-01-01", "9999-12-31T23:59:59.999"], dtype="datetime64[ms]"),
    )
    summary = summarise(track(old))
    assert summary.started is not None
    assert summary.ended is not None
    assert (summary.started.year, summary.ended.year) == (1, 9999)
