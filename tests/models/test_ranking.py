"""Different dates come before neighbours of one, and a stretch of alike days is named."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from backbearing.models.ranking import alike_days, spacing_days, spread_tiers

windows = st.lists(st.tuples(st.integers(0, 400), st.floats(0.0, 1.0)), min_size=1, max_size=60)


@given(windows=windows, apart=st.integers(2, 30))
def test_the_first_round_is_apart_and_leaves_no_room(
    windows: list[tuple[int, float]], apart: int
) -> None:
    day = np.array([d for d, _ in windows])
    score = np.array([s for _, s in windows])
    tier = spread_tiers(day, score, apart_days=apart)
    first = np.sort(day[tier == 0])
    assert (np.diff(first) >= apart).all()
    assert all(np.abs(first - d).min() < apart for d in day[tier > 0])
    assert day[score.argmax()] in first or (score == score.max()).sum() > 1


@given(windows=windows, apart=st.integers(2, 30))
def test_every_date_comes_before_a_second_window_of_one(
    windows: list[tuple[int, float]], apart: int
) -> None:
    day = np.array([d for d, _ in windows])
    tier = spread_tiers(day, np.array([s for _, s in windows]), apart_days=apart)
    named = day[tier < 2]
    assert len(set(named.tolist())) == len(named)
    assert set(named.tolist()) == set(day.tolist())


def test_dates_lie_a_week_apart_or_a_thirtieth_of_the_period() -> None:
    assert [spacing_days(n) for n in (1, 14, 365, 730)] == [7, 7, 12, 24]


def test_the_stretch_ends_where_the_clock_has_moved_or_a_week_is_missing() -> None:
    day = np.array([1, 2, 3, 4, 20, 21])
    start = np.array([600, 605, 610, 640, 610, 610])
    end = start + 60
    assert alike_days(day, start, end, 2) == (1, 3)  # not the 4th: half an hour later
    assert alike_days(day, start, end, 3) == (4, 4)
    assert alike_days(day, start, end, 5) == (20, 21)


@given(
    starts=st.lists(st.integers(0, 1300), min_size=1, max_size=40),
    which=st.integers(0, 39),
)
def test_a_stretch_holds_its_own_day(starts: list[int], which: int) -> None:
    which %= len(starts)
    day, start = np.arange(len(starts)) * 3, np.array(starts)
    first, last = alike_days(day, start, start + 30, which)
    assert first <= day[which] <= last
