"""The search for zeros of a quantity that changes with time."""

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given
from numpy.typing import NDArray

from backbearing.models.crossings import crossings, with_extremes

DAY = np.datetime64("2026-03-14T00:00:00.000", "ms")


def minutes(*values: float) -> NDArray[np.datetime64]:
    return DAY + np.round(np.array(values) * 60_000).astype("timedelta64[ms]")


def ramp(zero_at_min: float, slope: float = 1.0):  # type: ignore[no-untyped-def]
    return lambda times: slope * ((times - DAY) / np.timedelta64(60_000, "ms") - zero_at_min)


@given(zero=st.floats(0.1, 59.9), slope=st.sampled_from([-3.0, -0.01, 0.01, 3.0]))
def test_a_ramp_is_found_to_a_tenth_of_a_second(zero: float, slope: float) -> None:
    quantity = ramp(zero, slope)
    times = minutes(*range(0, 61, 10))
    found, rising = crossings(quantity, times, quantity(times))
    assert found.size == 1
    assert abs(found[0] - minutes(zero)[0]) <= np.timedelta64(51, "ms")
    assert bool(rising[0]) is (slope > 0)


def test_a_step_as_a_skyline_has_is_found_too() -> None:
    def quantity(times: NDArray[np.datetime64]) -> NDArray[np.float64]:
        return np.where(times < minutes(7.25)[0], 5.0, -1.0)

    times = minutes(0, 5, 10, 15)
    found, rising = crossings(quantity, times, quantity(times))
    assert abs(found[0] - minutes(7.25)[0]) <= np.timedelta64(51, "ms")
    assert not rising[0]


def test_no_crossing_and_no_samples() -> None:
    quantity = ramp(1_000.0)
    times = minutes(0, 10)
    assert crossings(quantity, times, quantity(times))[0].size == 0
    assert crossings(quantity, times[:0], quantity(times[:0]))[0].size == 0


def test_nan_does_not_cross() -> None:
    times = minutes(0, 10, 20)
    found, _ = crossings(ramp(5.0), times, np.array([-1.0, np.nan, 1.0]))
    assert found.size == 0


@pytest.mark.parametrize("top", [0.001, 1.0])
def test_a_hump_between_two_samples_is_not_missed(top: float) -> None:
    """A parabola that reaches over zero only between the samples at 10 and 20 min."""

    def quantity(times: NDArray[np.datetime64]) -> NDArray[np.float64]:
        from_top = (times - minutes(14.0)[0]) / np.timedelta64(60_000, "ms")
        return np.asarray(top - from_top**2)

    times = minutes(*range(0, 41, 10))
    assert crossings(quantity, times, quantity(times))[0].size == 0
    finer = with_extremes(times, quantity(times))
    found, rising = crossings(quantity, finer, quantity(finer))
    assert rising.tolist() == [True, False]
    assert (found[1] - found[0]) / np.timedelta64(60_000, "ms") == pytest.approx(
        2.0 * np.sqrt(top), abs=0.002
    )


def test_a_level_stretch_adds_nothing_strange() -> None:
    times = minutes(0, 10, 20, 30)
    finer = with_extremes(times, np.zeros(4))
    assert finer[0] == times[0]
    assert finer[-1] == times[-1]
