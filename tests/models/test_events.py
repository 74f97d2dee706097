"""Events of a flat horizon: order, completeness, polar states, odd spans."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given

from backbearing.errors import BadInput
from backbearing.models.events import SunEvent, ends_of_days, minutes_of_doubt, sun_events
from backbearing.models.sun import sun_position

ORDER = (
    *("astronomical dawn", "nautical dawn", "civil dawn", "sunrise", "noon"),
    *("sunset", "civil dusk", "nautical dusk", "astronomical dusk"),
)
LEVEL_DEG = {"sunrise": -50 / 60, "sunset": -50 / 60, "civil": -6, "nautical": -12}
DAY = timedelta(days=1)
days = st.integers(0, 36_500).map(lambda n: datetime(1950, 1, 1, tzinfo=UTC) + n * DAY)


def kinds(events: list[SunEvent]) -> list[str]:
    return [event.kind for event in events]


def test_an_ordinary_day_has_all_nine_in_order() -> None:
    start = datetime(2026, 3, 14, 1, tzinfo=UTC)
    events = sun_events(47.0, -21.0, start, start + DAY)
    assert kinds(events) == list(ORDER)
    assert all(event.when and start <= event.when < start + DAY for event in events)


@given(latitude=st.floats(-90.0, 90.0), longitude=st.floats(-180.0, 180.0), start=days)
def test_each_level_is_crossed_or_held_and_never_crossed_twice_running(
    latitude: float, longitude: float, start: datetime
) -> None:
    """Each rise is followed by its set, and a level without either has its state."""
    events = sun_events(latitude, longitude, start, start + 3 * DAY)
    states = [event for event in events if event.when is None]
    for up, down, of_state in (
        ("sunrise", "sunset", "sun stays"),
        ("civil dawn", "civil dusk", "civil"),
        ("nautical dawn", "nautical dusk", "nautical"),
    ):
        seen = [kind for kind in kinds(events) if kind in (up, down)]
        assert all(a != b for a, b in pairwise(seen))
        assert bool(seen) != any(
            of_state in s.kind and (s.kind.startswith(of_state) or "darker" in s.kind)
            for s in states
        )


@given(latitude=st.floats(-89.0, 89.0), longitude=st.floats(-180.0, 180.0), start=days)
def test_each_event_is_where_it_says(latitude: float, longitude: float, start: datetime) -> None:
    for event in sun_events(latitude, longitude, start, start + DAY):
        if event.when is None or event.kind == "noon":
            continue
        level = LEVEL_DEG.get(event.kind, LEVEL_DEG.get(event.kind.split()[0], -18))
        when = np.datetime64(event.when.replace(tzinfo=None))
        sun = sun_position(when, latitude, longitude, refraction=False)
        assert sun.altitude_deg == pytest.approx(level, abs=4e-4)  # 0.1 s of the Earth's turn


@given(longitude=st.floats(-180.0, 180.0), start=days)
def test_noon_stands_on_the_meridian_and_comes_once_a_day(
    longitude: float, start: datetime
) -> None:
    noons = [e for e in sun_events(60.0, longitude, start, start + 10 * DAY) if e.kind == "noon"]
    assert 9 <= len(noons) <= 11
    assert all(abs(event.azimuth_deg - 180.0) < 1e-3 for event in noons if event.azimuth_deg)


def test_cut_at_an_event_it_belongs_to_the_later_half() -> None:
    start = datetime(2026, 3, 14, 1, tzinfo=UTC)
    whole = sun_events(47.0, -21.0, start, start + DAY)
    rise = next(event.when for event in whole if event.kind == "sunrise")
    assert rise is not None
    before = kinds(sun_events(47.0, -21.0, start, rise))
    after = kinds(sun_events(47.0, -21.0, rise, start + DAY))
    assert "sunrise" not in before
    assert (before + after).count("noon") == 1


def test_near_the_polar_circle_a_day_has_two_sunsets_or_none() -> None:
    """After the midnight sun it sets just after midnight, and earlier from day to day."""
    found = []
    for i in range(60):
        start = datetime(2026, 6, 1, tzinfo=UTC) + i * DAY
        found.append(kinds(sun_events(66.3, -10.0, start, start + DAY)).count("sunset"))
    assert set(found) == {0, 1, 2}


def test_polar_day_and_night_are_answers() -> None:
    june, december = (datetime(2026, month, 21, tzinfo=UTC) for month in (6, 12))
    assert kinds(sun_events(80.0, 0.0, june, june + DAY))[0] == "sun stays up"
    assert "sun stays down" in kinds(sun_events(80.0, 0.0, december, december + DAY))
    assert "night throughout" in kinds(sun_events(90.0, 0.0, december, december + DAY))


def test_no_time_no_events() -> None:
    start = datetime(2026, 3, 14, tzinfo=UTC)
    assert sun_events(47.0, -21.0, start, start) == []


def test_bad_arguments_are_named() -> None:
    start = datetime(2026, 3, 14, tzinfo=UTC)
    with pytest.raises(BadInput, match="latitude_deg"):
        sun_events(97.0, 0.0, start, start + DAY)
    with pytest.raises(BadInput, match="end"):
        sun_events(47.0, 0.0, start, start - DAY)


def test_doubt_grows_where_the_sun_rises_aslant() -> None:
    def doubt(latitude: float, azimuth: float) -> float | None:
        return minutes_of_doubt(latitude, SunEvent("sunrise", None, azimuth, -50 / 60))

    assert doubt(0.0, 90.0) == 0.5
    assert doubt(60.0, 90.0) == pytest.approx(0.8)
    assert doubt(67.0, 170.0) == pytest.approx(0.1 / (0.25 * 0.3907 * 0.1736), rel=1e-3)
    assert doubt(67.0, 179.9) is None
    assert minutes_of_doubt(47.0, SunEvent("civil dusk", None, 90.0, -6.0)) is None


@given(
    latitude=st.floats(-58.0, 58.0),
    longitude=st.floats(-180.0, 180.0),
    start=days,
    apart=st.lists(st.integers(1, 40), min_size=1, max_size=5),
)
def test_the_ends_of_many_days_are_those_of_each(
    latitude: float, longitude: float, start: datetime, apart: list[int]
) -> None:
    firsts = [start + sum(apart[:i]) * DAY for i in range(len(apart))]
    together = ends_of_days(latitude, longitude, [(first, first + DAY) for first in firsts])
    for first, (sunset, dusk) in zip(firsts, together, strict=True):
        events = sun_events(latitude, longitude, first, first + DAY)
        for ours, kind in ((sunset, "sunset"), (dusk, "civil dusk")):
            alone = [event.when for event in events if event.kind == kind]
            assert (ours is None) == (not alone)
            if ours is not None and alone[-1] is not None:
                assert abs(ours - alone[-1]) <= timedelta(seconds=1)


def test_a_day_without_an_end_has_none() -> None:
    june = datetime(2026, 6, 21, tzinfo=UTC)
    assert ends_of_days(80.0, 15.0, [(june, june + DAY)]) == [(None, None)]
    assert ends_of_days(80.0, 15.0, []) == []
