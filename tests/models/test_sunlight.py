"""When the disc stands over a skyline: walls, notches, north, and spans cut off."""

from datetime import UTC, datetime

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given
from numpy.typing import NDArray

from backbearing.errors import BadInput
from backbearing.models.sun import sun_position
from backbearing.models.sunlight import (
    above_skyline_deg,
    flat_skyline,
    semidiameter_deg,
    skyline_altitude_deg,
    sunlit_spans,
)
from backbearing.records import Skyline

HERE = (47.0, -21.0)
DAY = (np.datetime64("2026-03-14T03:00"), np.datetime64("2026-03-15T03:00"))


def skyline(azimuth: NDArray[np.float64], altitude: NDArray[np.float64]) -> Skyline:
    nothing = np.full(azimuth.shape, np.nan)
    return Skyline(
        azimuth_deg=azimuth,
        altitude_deg=altitude,
        distance_m=nothing,
        reach_m=nothing,
        basis="a test's own ground",
    )


def wall(low_deg: float, high_deg: float, tall_deg: float) -> Skyline:
    """Flat but for a wall between two azimuths."""
    azimuth = np.arange(0.0, 360.0, 0.25)
    return skyline(azimuth, np.where((azimuth >= low_deg) & (azimuth <= high_deg), tall_deg, 0.0))


def test_a_plain_has_one_span_a_day() -> None:
    spans = sunlit_spans(flat_skyline(), *HERE, *DAY)
    assert spans.shape == (1, 2)
    assert spans.dtype == np.dtype("datetime64[ms]")


def test_the_limb_passes_the_skyline_at_first_and_last_sun() -> None:
    ground = wall(100.0, 140.0, 12.0)
    tenth = np.timedelta64(100, "ms")

    def over(instant: np.datetime64) -> float:
        sun = sun_position(instant, *HERE)
        limb = sun.altitude_deg + semidiameter_deg(sun.distance_au)
        return float(above_skyline_deg(ground, sun.azimuth_deg, limb))

    spans = sunlit_spans(ground, *HERE, *DAY)
    assert len(spans) == 2
    for first, last in spans:
        assert over(first - tenth) < 0.0 <= over(first)
        assert over(last) < 0.0 <= over(last - tenth)


def test_a_tower_parts_the_day() -> None:
    spans = sunlit_spans(wall(175.0, 185.0, 70.0), *HERE, *DAY)
    assert len(spans) == 2
    out = sun_position(spans[0, 1], *HERE).azimuth_deg
    back = sun_position(spans[1, 0], *HERE).azimuth_deg
    assert 174.0 < out < 175.5
    assert 184.5 < back < 186.0


def test_behind_the_ridge_all_day_is_no_span() -> None:
    spans = sunlit_spans(wall(0.0, 360.0, 60.0), *HERE, *DAY)
    assert spans.shape == (0, 2)


def test_the_midnight_sun_shines_from_start_to_end() -> None:
    start, end = datetime(2026, 6, 20, tzinfo=UTC), datetime(2026, 6, 22, tzinfo=UTC)
    spans = sunlit_spans(flat_skyline(), 80.0, 0.0, start, end)
    assert spans.tolist() == [[start.replace(tzinfo=None), end.replace(tzinfo=None)]]


def test_a_summit_sees_below_the_level() -> None:
    flat, low = flat_skyline(), wall(0.0, 360.0, -2.0)
    assert sunlit_spans(low, *HERE, *DAY)[0, 0] < sunlit_spans(flat, *HERE, *DAY)[0, 0]


@given(cut=st.integers(0, 86_400))
def test_cutting_a_day_in_two_changes_nothing(cut: int) -> None:
    """The spans of the two halves, joined, are the whole's to a tenth of a second."""
    ground = wall(100.0, 140.0, 12.0)
    middle = DAY[0].astype("datetime64[s]") + np.timedelta64(cut, "s")

    def lit_s(start: np.datetime64, end: np.datetime64) -> float:
        spans = sunlit_spans(ground, *HERE, start, end)
        return float(np.sum(spans[:, 1] - spans[:, 0]) / np.timedelta64(1, "s"))

    assert lit_s(DAY[0], middle) + lit_s(middle, DAY[1]) == pytest.approx(lit_s(*DAY), abs=0.3)


def test_no_time_is_no_span() -> None:
    assert sunlit_spans(flat_skyline(), *HERE, DAY[0], DAY[0]).shape == (0, 2)


@given(azimuth=st.floats(-720.0, 720.0))
def test_the_skyline_joins_across_north(azimuth: float) -> None:
    ground = skyline(np.array([10.0, 350.0]), np.array([4.0, 8.0]))
    turned = azimuth % 360.0
    if turned <= 10.0 or turned >= 350.0:
        expected = 8.0 - 4.0 * ((turned - 350.0) % 360.0) / 20.0
    else:
        expected = 4.0 + 4.0 * (turned - 10.0) / 340.0
    assert skyline_altitude_deg(ground, azimuth) == pytest.approx(expected, abs=1e-9)
    assert above_skyline_deg(ground, azimuth, 10.0) == pytest.approx(10.0 - expected, abs=1e-9)


def test_a_skyline_of_one_azimuth_is_level() -> None:
    assert skyline_altitude_deg(skyline(np.array([90.0]), np.array([3.0])), 271.0) == 3.0


@pytest.mark.parametrize(
    ("azimuth", "altitude", "says"),
    [
        ([], [], "not empty"),
        ([0.0, 90.0], [1.0], "one length"),
        ([90.0, 0.0], [1.0, 1.0], "ascend"),
        ([0.0, 360.0], [1.0, 1.0], "ascend"),
        ([0.0, 90.0], [1.0, np.nan], "must be a number"),
    ],
)
def test_a_malformed_skyline_is_refused(
    azimuth: list[float], altitude: list[float], says: str
) -> None:
    with pytest.raises(BadInput, match=says):
        sunlit_spans(skyline(np.array(azimuth), np.array(altitude)), *HERE, *DAY)


def test_bad_spans_are_refused() -> None:
    with pytest.raises(BadInput, match="no zone"):
        sunlit_spans(flat_skyline(), *HERE, datetime(2026, 3, 14), DAY[1])  # noqa: DTZ001
    with pytest.raises(BadInput, match="before the start"):
        sunlit_spans(flat_skyline(), *HERE, DAY[1], DAY[0])
    with pytest.raises(BadInput, match="NaT"):
        sunlit_spans(flat_skyline(), *HERE, np.datetime64("NaT"), DAY[0])
    with pytest.raises(BadInput, match="step_deg"):
        flat_skyline(0.0)
