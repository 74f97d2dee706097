"""Stops: where they are, how sure, from when to when; and where a walk was at a time."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.models.walks import EAST_M, LATITUDE_DEG, LONGITUDE_DEG, segment, track, wander

from backbearing.errors import BadInput
from backbearing.models.walk import find_stops, position_at
from backbearing.places.geodesy import inverse
from backbearing.records import Stop, Track

EIGHT = datetime(2026, 3, 14, 8, tzinfo=UTC)


def at(seconds: float) -> datetime:
    return EIGHT + timedelta(seconds=seconds)


def outing(
    *, stood_s: int = 600, sigma_m: float = 4.0, seed: int = 1, longitude_deg: float = LONGITUDE_DEG
) -> Track:
    """Ten minutes' walk east at 1.2 m/s, a stop, ten minutes' walk on, 1 Hz, correlated error."""
    walked = np.arange(600) * 1.2
    east = np.concatenate((walked, np.full(stood_s, 720.0), 720.0 + walked))
    north = np.zeros(east.size)
    return track(
        segment(
            east + wander(east.size, sigma_m, seed),
            north + wander(east.size, sigma_m, seed + 100),
            height_m=np.full(east.size, 300.0),
            longitude_deg=longitude_deg,
        )
    )


def off_m(stop: Stop, longitude_deg: float = LONGITUDE_DEG) -> float:
    """How far a stop's centre is from where the outing stood."""
    stood = longitude_deg + 720.0 / EAST_M
    return float(inverse(LATITUDE_DEG, stood, stop.latitude_deg, stop.longitude_deg)[1])


class TestStops:
    @pytest.mark.parametrize("seed", range(8))
    def test_a_stop_is_found_with_its_times_and_its_place(self, seed: int) -> None:
        (stop,) = find_stops(outing(seed=seed))
        # at 1.2 m/s the circle of 2 medians is crossed in some 20 s
        assert abs((stop.start - at(600)).total_seconds()) < 30
        assert abs((stop.end - at(1200)).total_seconds()) < 30
        assert off_m(stop) < stop.error_m
        assert stop.height_m == 300.0
        assert stop.fixes == pytest.approx(600, abs=40)

    def test_the_error_is_the_scatter_however_many_fixes(self) -> None:
        short, long = (find_stops(outing(stood_s=s, sigma_m=5.0))[0] for s in (400, 3600))
        # 95 % of a circular normal of 5 m lie within 2.4477 × 5 = 12.2 m (Rayleigh)
        assert long.error_m == pytest.approx(12.2, rel=0.25)
        assert long.error_m > 0.7 * short.error_m  # nothing like a third, as √9 would make it

    def test_a_still_receiver_is_not_believed_beyond_its_kind(self) -> None:
        (stop,) = find_stops(outing(sigma_m=0.2))
        assert stop.error_m == 5.0

    def test_a_few_wild_fixes_do_not_move_it(self) -> None:
        walk = outing().segments[0]
        latitude = walk.latitude_deg.copy()
        latitude[800:806] += 60 / 111_171
        shifted = type(walk)(
            longitude_deg=walk.longitude_deg,
            latitude_deg=latitude,
            height_m=walk.height_m,
            time=walk.time,
        )
        (stop,) = find_stops(track(shifted))
        assert off_m(stop) < 5.0

    def test_walking_on_is_none(self) -> None:
        walked = np.arange(1800) * 0.5  # slow ground, but walking: 90 m in three minutes
        assert find_stops(track(segment(walked, np.zeros(1800)))) == []

    def test_shorter_than_asked_is_none(self) -> None:
        assert find_stops(outing(stood_s=100)) == []
        assert len(find_stops(outing(stood_s=100), at_least_s=60.0)) == 1

    def test_a_recorder_that_paused_itself(self) -> None:
        east = np.concatenate((np.arange(60) * 1.2, 72 + np.arange(60) * 1.2))
        seconds = np.concatenate((np.arange(60), 960 + np.arange(60)))
        (stop,) = find_stops(track(segment(east, np.zeros(120), seconds)))
        assert (stop.end - stop.start).total_seconds() == pytest.approx(900, abs=30)

    def test_of_two_fixes_the_error_is_no_less_than_of_one(self) -> None:
        (stop,) = find_stops(track(segment([0, 1, 400], [0, 0, 0], [0, 900, 1200])))
        assert (stop.fixes, stop.error_m) == (2, 10.0)

    def test_none_reaches_over_a_break(self) -> None:
        still = [segment(np.zeros(100), np.zeros(100), s + np.arange(100.0)) for s in (0, 110)]
        assert find_stops(track(*still)) == []

    def test_two_stops_are_two(self) -> None:
        stood = [np.full(300, 0.0), np.arange(200) * 1.2, np.full(300, 240.0)]
        stops = find_stops(track(segment(np.concatenate(stood), np.zeros(800))))
        assert [round((s.start - EIGHT).total_seconds(), -1) for s in stops] == [0, 500]

    def test_on_the_antimeridian(self) -> None:
        edge = 180.0 - 720.0 / EAST_M
        (stop,) = find_stops(outing(longitude_deg=edge))
        assert off_m(stop, edge) < stop.error_m
        assert -180 <= stop.longitude_deg < 180

    def test_no_times_no_stops(self) -> None:
        assert find_stops(Track()) == []
        assert find_stops(track(segment([], []))) == []

    @given(st.lists(st.tuples(st.floats(-200, 200), st.integers(0, 400)), max_size=60))
    def test_any_walk_gives_stops_in_order_and_apart(self, steps: list[tuple[float, int]]) -> None:
        east = np.cumsum([s[0] for s in steps]) if steps else np.empty(0)
        seconds = np.cumsum([s[1] for s in steps]) if steps else np.empty(0)
        stops = find_stops(track(segment(east, np.zeros(len(steps)), seconds.astype(float))))
        for stop in stops:
            assert (stop.end - stop.start).total_seconds() >= 180
            assert stop.error_m >= 5.0
        assert all(a.end <= b.start for a, b in pairwise(stops))


class TestPositionAt:
    def test_at_a_stop_it_is_the_stop(self) -> None:
        walk = outing()
        (stop,) = find_stops(walk)
        places = [position_at(walk, at(s)) for s in (700, 900, 1100)]
        assert {(p.latitude_deg, p.longitude_deg) for p in places if p} == {
            (stop.latitude_deg, stop.longitude_deg)
        }
        assert places[0] is not None
        assert places[0].error_m == stop.error_m
        assert places[0].error_basis == f"scatter of {stop.fixes} fixes at a stop"

    def test_walking_it_is_between_the_fixes(self) -> None:
        walk = track(segment([0, 120], [0, 0], [0, 100], [10, 20]))
        place = position_at(walk, at(25))
        assert place is not None
        assert place.longitude_deg == pytest.approx(LONGITUDE_DEG + 30 / EAST_M, abs=1e-9)
        assert place.height_m == pytest.approx(12.5)
        # 10 m of a single fix under open sky, and 30 m walked in the 25 s to the nearer fix
        assert place.error_m == pytest.approx(np.hypot(10, 30), rel=1e-3)
        assert place.error_basis == "assumed: open sky, between fixes 100 s apart"

    def test_on_a_fix_it_is_that_fix(self) -> None:
        place = position_at(track(segment([0, 120], [0, 0], [0, 100])), at(100))
        assert place is not None
        assert (place.error_m, place.error_basis) == (10.0, "assumed: open sky")

    def test_a_gap_is_not_bridged(self) -> None:
        walk = track(segment([0, 12], [0, 0], [0, 10]), segment([100, 112], [0, 0], [60, 70]))
        assert position_at(walk, at(5)) is not None
        assert position_at(walk, at(30)) is None
        silent = track(segment([0, 500], [0, 0], [0, 301]))
        assert position_at(silent, at(100)) is None
        assert position_at(silent, at(100), longest_gap_s=400.0) is not None

    def test_a_suspect_height_is_not_read_between_others(self) -> None:
        height = np.full(100, 400.0)
        height[50] = 0.0
        walk = track(segment(np.arange(100) * 1.2, np.zeros(100), height_m=height))
        heights_m = [getattr(position_at(walk, at(s)), "height_m", 0) for s in (48.5, 49.5, 50)]
        assert heights_m == [400.0, None, None]

    @pytest.mark.parametrize("seconds", [-1, 1801])
    def test_before_and_after_it_is_not_known(self, seconds: float) -> None:
        assert position_at(outing(), at(seconds)) is None

    def test_over_the_antimeridian(self) -> None:
        walk = track(segment([0, 100], [0, 0], [0, 100], longitude_deg=180 - 30 / EAST_M))
        place = position_at(walk, at(50))
        assert place is not None
        assert place.longitude_deg == pytest.approx(-180 + 20 / EAST_M, abs=1e-9)

    def test_a_naive_instant_is_refused_with_the_repair(self) -> None:
        with pytest.raises(BadInput, match="tzinfo=UTC"):
            position_at(outing(), at(0).replace(tzinfo=None))

    def test_another_zone_is_the_same_instant(self) -> None:
        from zoneinfo import ZoneInfo

        there = at(250).astimezone(ZoneInfo("Atlantic/Azores"))
        here, also_here = position_at(outing(), at(250)), position_at(outing(), there)
        assert here == also_here
        assert here is not None
