"""Truly different occasions come before neighbours of one, and a stretch of alike days is named."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from backbearing.models.ranking import ALIKE, Spans, much_the_same, offer_rounds, spacing_days

Window = tuple[int, int, float, int]  # day, start on the clock, sun's height, kind
windows = st.lists(
    st.tuples(
        st.integers(0, 400),
        st.integers(500, 700),
        st.floats(0.0, 30.0),
        st.integers(0, 1),
    ),
    min_size=1,
    max_size=60,
).map(sorted)
apart = st.integers(2, 30)


def spans(found: list[Window], *, long_min: int = 60) -> Spans:
    start = np.array([s for _, s, _, _ in found])
    return Spans(
        day=np.array([d for d, _, _, _ in found]),
        start_min=start,
        end_min=start + long_min,
        sun_altitude_deg=np.array([a for _, _, a, _ in found]),
        kind=np.array([k for _, _, _, k in found]),
    )


def rounds(found: list[Window], apart_days: int) -> tuple[Spans, np.ndarray]:
    """The rounds, the window with the highest sun counted best."""
    given_windows = spans(found)
    score = given_windows.sun_altitude_deg
    return given_windows, offer_rounds(given_windows, score, apart_days=apart_days)


@given(found=windows, apart_days=apart)
def test_the_first_round_is_apart_and_leaves_no_room(found: list[Window], apart_days: int) -> None:
    every, number = rounds(found, apart_days)
    first = np.sort(every.day[number == 0])
    assert (np.diff(first) >= apart_days).all()
    for later in np.flatnonzero((number == 1) | (number == 2)):
        assert np.abs(first - every.day[later]).min() < apart_days
    assert 0 in number[every.sun_altitude_deg == every.sun_altitude_deg.max()]


@given(found=windows, apart_days=apart)
def test_nothing_offered_before_the_last_round_is_much_the_same(
    found: list[Window], apart_days: int
) -> None:
    """And whatever waits for the last round is much the same as something offered before it."""
    every, number = rounds(found, apart_days)
    in_order = np.lexsort((every.day, -every.sun_altitude_deg, number))
    covered = np.zeros(len(found), dtype=bool)
    for i in in_order:
        assert covered[i] == (number[i] == ALIKE)
        covered |= much_the_same(every, i) & (number[i] < ALIKE)


@given(found=windows, apart_days=apart)
def test_every_date_comes_before_a_second_window_of_one(
    found: list[Window], apart_days: int
) -> None:
    every, number = rounds(found, apart_days)
    named = every.day[number < 2]
    assert len(set(named.tolist())) == len(named)
    assert set(every.day[number == 2].tolist()) <= set(named.tolist())


def test_a_second_window_of_a_date_is_different_where_its_clock_or_camera_is() -> None:
    morning_and_evening = [(1, 500, 10.0, 0), (1, 900, 9.0, 0), (2, 500, 8.0, 0)]
    assert rounds(morning_and_evening, 7)[1].tolist() == [0, 2, ALIKE]
    two_cameras = [(1, 500, 10.0, 0), (1, 500, 9.0, 1)]
    assert rounds(two_cameras, 7)[1].tolist() == [0, 2]


def test_dates_lie_a_week_apart_or_a_thirtieth_of_the_period() -> None:
    assert [spacing_days(n) for n in (1, 14, 365, 730)] == [7, 7, 12, 24]


def test_the_stretch_ends_where_the_clock_or_the_sun_has_moved_or_a_week_is_missing() -> None:
    every = spans(
        [
            (1, 600, 20.0, 0),
            (2, 605, 20.0, 0),
            (3, 610, 20.0, 0),
            (4, 640, 20.0, 0),  # half an hour later by the clock
            (5, 610, 26.0, 0),  # the sun 6° higher
            (20, 610, 20.0, 0),
            (21, 610, 20.0, 0),
        ]
    )
    alike = [every.day[much_the_same(every, i)].tolist() for i in range(7)]
    assert alike == [[1, 2, 3], [1, 2, 3], [1, 2, 3], [4], [5], [20, 21], [20, 21]]


@given(found=windows, which=st.integers(0, 59))
def test_a_stretch_holds_its_own_day(found: list[Window], which: int) -> None:
    which %= len(found)
    assert much_the_same(spans(found), which)[which]
