"""Windows are whole, apart, long enough, and honest about how sure their edges are."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.models.edges import refraction_error_deg
from backbearing.models.events import HORIZON_DOUBT_DEG
from backbearing.models.wanted import Condition, SpotMinutes, conditions, incidence_deg
from backbearing.models.windows import (
    Windows,
    binding,
    find_windows,
    runs,
)
from backbearing.records import WantedLight

MINUTES = 4 * 1440
EVERY = np.ones(MINUTES, dtype=bool)


def even_spot() -> SpotMinutes:
    """The sun turns 0.25° a minute and climbs 0.2° a minute until noon, then sinks again."""
    minute = np.arange(MINUTES)
    from_noon = np.abs(minute % 1440 - 720)
    altitude = 60.0 - 0.2 * from_noon
    return SpotMinutes(
        time=np.datetime64("2026-06-01", "ms") + minute * np.timedelta64(60_000, "ms"),
        azimuth_deg=(minute * 0.25) % 360.0,
        altitude_deg=altitude,
        sunlit=altitude > 0.0,
        day=minute // 1440,
        clock_min=minute % 1440,
        longitude_deg=0.0,
    )


def height_between(low: float, high: float) -> Condition:
    value = even_spot().altitude_deg
    return Condition(
        name="sun height", met=(value >= low) & (value <= high), value=value, low=low, high=high
    )


def masks() -> st.SearchStrategy[np.ndarray]:
    """Times of yes and no of any length, also longer than a day."""

    def drawn(lengths: list[int]) -> np.ndarray:
        mask = np.zeros(MINUTES, dtype=bool)
        at, on = 0, False
        for length in lengths:
            mask[at : at + length] = on
            at, on = at + length, not on
        return mask

    return st.lists(st.integers(1, 2500), min_size=1, max_size=30).map(drawn)


@given(first=masks(), second=masks(), minimum=st.sampled_from([0, 1, 10, 45, 200]))
def test_windows_hold_everything_and_leave_nothing_out(
    first: np.ndarray, second: np.ndarray, minimum: int
) -> None:
    minutes = even_spot()
    found = [Condition(name="direct sun", met=first), Condition(name="clock", met=second)]
    windows = find_windows(minutes, found, inside=EVERY, minimum_min=minimum)
    both = first & second
    covered = np.zeros(MINUTES, dtype=bool)
    for start, best, end in zip(windows.start, windows.best, windows.end, strict=True):
        assert not covered[start : end + 1].any()  # windows never overlap
        covered[start : end + 1] = True
        assert both[start : end + 1].all()
        assert start <= best <= end
        assert end - start >= minimum
        day_cut = minutes.day[max(start - 1, 0)] != minutes.day[start]
        assert start == 0 or not both[start - 1] or day_cut
        if end - start >= 1440:
            pytest.fail("a window longer than a day was not cut")
    left = both & ~covered
    starts, ends = runs(left, minutes.day)
    assert (ends - starts < max(minimum, 1)).all()  # only what is too short is left


@given(mask=masks())
def test_nothing_outside_the_period_is_offered(mask: np.ndarray) -> None:
    inside = np.zeros(MINUTES, dtype=bool)
    inside[1440:2880] = True
    found = [Condition(name="direct sun", met=mask)]
    windows = find_windows(even_spot(), found, inside=inside, minimum_min=0)
    assert ((windows.start >= 1440) & (windows.end < 2880)).all()


def test_a_window_over_midnight_stays_whole_and_a_long_one_is_cut_there() -> None:
    mask = np.zeros(MINUTES, dtype=bool)
    mask[1380:1500] = True
    mask[2000:5000] = True
    start, end = runs(mask, even_spot().day)
    assert list(zip(start.tolist(), end.tolist(), strict=True)) == [
        (1380, 1499),
        (2000, 2879),
        (2880, 4319),
        (4320, 4999),
    ]


def test_the_best_minute_is_farthest_inside_the_tightest_range() -> None:
    windows = find_windows(even_spot(), [height_between(10, 30)], inside=EVERY, minimum_min=10)
    assert np.allclose(even_spot().altitude_deg[windows.best], 20.0, atol=0.2)
    assert len(windows.best) == 8  # once up and once down, four days


def test_without_ranges_the_best_minute_is_in_the_middle() -> None:
    found = [Condition(name="direct sun", met=even_spot().sunlit)]
    windows = find_windows(even_spot(), found, inside=EVERY, minimum_min=10)
    assert np.allclose(windows.best, (windows.start + windows.end) / 2, atol=0.5)


def test_a_folded_range_is_best_at_its_fold() -> None:
    """Straight into the light is the most back-lit, not Δ 22°."""
    delta = np.abs((even_spot().azimuth_deg - 180.0 + 180.0) % 360.0 - 180.0)
    back = Condition(
        name="lit from", met=delta <= 45.0, value=delta, low=0.0, high=45.0, edge_low=False
    )
    windows = find_windows(even_spot(), [back], inside=EVERY, minimum_min=10)
    assert np.allclose(delta[windows.best], 0.0)


def lit_from(wanted: WantedLight, bearing: float, facing: float | None = None) -> Windows:
    found = conditions(even_spot(), wanted, bearing, facing_deg=facing)
    return find_windows(even_spot(), found, inside=EVERY, minimum_min=10)


@pytest.mark.parametrize(
    ("delta", "best"),
    [
        ((45.0, 135.0), (105.0, 120.0)),
        ((60.0, 120.0), (105.0, 110.0)),  # never nearer to an edge than a sixth of the range
        ((80.0, 100.0), (96.6, 96.7)),
        ((20.0, 60.0), (40.0, 40.0)),  # no side light: amid its range
    ],
)
def test_side_light_is_best_from_the_cameras_own_side(
    delta: tuple[float, float], best: tuple[float, float]
) -> None:
    windows = lit_from(WantedLight(delta_deg=delta), 90.0)
    off = even_spot().azimuth_deg[windows.best] - 90.0
    assert len(off)
    assert ((off >= best[0] - 0.3) & (off <= best[1] + 0.3)).all()


def test_on_a_face_the_sun_is_best_aslant() -> None:
    windows = lit_from(WantedLight(direct_sun=True), 0.0, facing=180.0)
    sun = even_spot()
    off = incidence_deg(sun.azimuth_deg[windows.best], sun.altitude_deg[windows.best], 180.0)
    assert ((off >= 30.0) & (off <= 70.0)).all()


@given(low=st.floats(0.0, 20.0), width=st.floats(0.5, 40.0), error_deg=st.floats(0.0, 20.0))
def test_the_best_minute_is_inside_by_the_error_where_there_is_room(
    low: float, width: float, error_deg: float
) -> None:
    found = conditions(even_spot(), WantedLight(delta_deg=(low, low + width)), 180.0)
    windows = find_windows(
        even_spot(), found, inside=EVERY, minimum_min=1, bearing_error_deg=error_deg
    )
    error = np.ceil(windows.plus_minus_min)
    room = windows.end - windows.start >= 2 * error
    assert (windows.best - windows.start >= error)[room].all()
    assert (windows.end - windows.best >= error)[room].all()


def test_the_sun_is_well_up_at_the_best_minute_unless_it_was_wanted_below_the_horizon() -> None:
    """The camera looks at the sunrise: the best by Δ alone is the sun on the horizon, 105°."""
    assert even_spot().altitude_deg[420] == 0.0
    windows = lit_from(WantedLight(delta_deg=(0.0, 45.0)), even_spot().azimuth_deg[420])
    assert np.allclose(even_spot().altitude_deg[windows.best], 2.0, atol=0.2)
    dusk = WantedLight(delta_deg=(0.0, 45.0), sun_altitude_deg=(-6.0, 6.0))
    windows = lit_from(dusk, even_spot().azimuth_deg[420])
    assert np.allclose(even_spot().altitude_deg[windows.best], 0.0, atol=0.2)


@given(low=st.floats(1.0, 20.0), width=st.floats(5.0, 30.0), minimum=st.floats(0.0, 60.0))
def test_scores_only_order_and_stay_within_bounds(low: float, width: float, minimum: float) -> None:
    found = [height_between(low, low + width)]
    windows = find_windows(even_spot(), found, inside=EVERY, minimum_min=minimum)
    assert ((windows.score >= 0.0) & (windows.score <= 1.0)).all()


def test_longer_and_surer_windows_come_first() -> None:
    mask = np.zeros(MINUTES, dtype=bool)
    mask[700:720] = True
    mask[1440 + 700 : 1440 + 800] = True
    by_clock = find_windows(
        even_spot(), [Condition(name="clock", met=mask)], inside=EVERY, minimum_min=10
    )
    assert by_clock.score[1] > by_clock.score[0]
    by_sun = find_windows(
        even_spot(), [Condition(name="direct sun", met=mask)], inside=EVERY, minimum_min=10
    )
    assert (by_sun.score < by_clock.score).all()


# ---------------------------------------------------------------- how sure


def side_lit(bearing: float) -> Condition:
    delta = np.abs((even_spot().azimuth_deg - bearing + 180.0) % 360.0 - 180.0)
    met = (delta >= 45.0) & (delta <= 135.0)
    return Condition(name="lit from", met=met, value=delta, low=45.0, high=135.0)


@pytest.mark.parametrize("error_deg", [2.0, 3.0, 10.0])
def test_a_bearing_error_becomes_minutes_by_the_suns_rate(error_deg: float) -> None:
    """0.25° a minute: 2° is 8 minutes, a telephone's 10° is 40."""
    windows = find_windows(
        even_spot(), [side_lit(180.0)], inside=EVERY, minimum_min=10, bearing_error_deg=error_deg
    )
    assert np.allclose(windows.plus_minus_min, error_deg / 0.25)


def test_the_clock_is_exact_and_the_sun_never_better_than_a_minute() -> None:
    met = (even_spot().clock_min >= 600) & (even_spot().clock_min <= 700)
    by_clock = [Condition(name="clock", met=met)]
    windows = find_windows(even_spot(), by_clock, inside=EVERY, minimum_min=10)
    assert (windows.plus_minus_min == 0.0).all()
    high = find_windows(even_spot(), [height_between(20, 40)], inside=EVERY, minimum_min=10)
    assert (high.plus_minus_min == 1.0).all()


def test_a_grazing_sun_makes_the_edge_as_unsure_as_it_is_slow() -> None:
    minutes = even_spot()
    slow = SpotMinutes(
        time=minutes.time,
        azimuth_deg=minutes.azimuth_deg,
        altitude_deg=minutes.altitude_deg / 100.0 - 0.3,  # 0.002° a minute, near the horizon
        sunlit=minutes.sunlit,
        day=minutes.day,
        clock_min=minutes.clock_min,
        longitude_deg=0.0,
    )
    found = [Condition(name="direct sun", met=slow.altitude_deg > -0.27)]
    windows = find_windows(slow, found, inside=EVERY, minimum_min=10)
    assert np.allclose(windows.plus_minus_min, HORIZON_DOUBT_DEG / 0.002)


@given(altitude=st.lists(st.floats(-3.0, 80.0), min_size=2, max_size=20))
def test_refraction_is_the_less_sure_the_lower(altitude: list[float]) -> None:
    error = refraction_error_deg(np.sort(np.array(altitude)))
    assert (np.diff(error) <= 0.0).all()
    assert (error > 0.0).all()


def test_the_edge_names_what_makes_it() -> None:
    found = [height_between(10, 30), Condition(name="clock", met=even_spot().clock_min < 700)]
    windows = find_windows(even_spot(), found, inside=EVERY, minimum_min=10)
    start, end = int(windows.start[0]), int(windows.end[0])
    assert [c.name for c in binding(found, start - 1)] == ["sun height"]
    assert [c.name for c in binding(found, end + 1)] == ["sun height"]
    assert binding(found, -1) == ()
    assert binding(found, MINUTES) == ()


def test_a_window_shorter_than_twice_its_error_is_best_in_its_middle() -> None:
    """Neither end is sure, so the comfort of a lower sun must not draw it to one of them."""
    minutes = even_spot()
    height = height_between(20.0, 30.0)
    found = [replace(height, name="lit from", edge_high=False)]
    windows = find_windows(minutes, found, inside=EVERY, minimum_min=1.0, bearing_error_deg=30.0)
    assert (windows.end - windows.start < 2 * windows.plus_minus_min).all()
    middle = (windows.start + windows.end) / 2.0
    assert (np.abs(windows.best - middle) <= 1.0).all()
