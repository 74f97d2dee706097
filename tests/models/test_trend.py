"""Which way a line falls: the trend of its heights decides, not single ones."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.trend import fall_along


@given(st.floats(0.02, 0.5), st.integers(0, 99), st.sampled_from([1.0, -1.0]), st.integers(20, 120))
def test_a_fifth_of_the_heights_far_off_does_not_turn_a_stream(
    slope: float, seed: int, sign: float, places: int
) -> None:
    way = np.linspace(0.0, 1000.0, places)
    height = 400.0 - sign * slope * way
    rng = np.random.default_rng(seed)
    height[rng.choice(places, places // 5, replace=False)] += 150.0  # walls, banks, trees
    found = fall_along(way, height, 5.0)
    assert found.fall_m == pytest.approx(sign * slope * 1000.0, rel=0.05)
    back = fall_along(way, height[::-1], 5.0)
    assert back.fall_m == pytest.approx(-found.fall_m)
    assert back.error_m == pytest.approx(found.error_m)


def test_its_error_is_that_of_a_difference_of_heights_and_grows_with_their_scatter() -> None:
    """√2 · 5 m for exact heights, each ± 5 m: the rule for a difference of two."""
    way = np.linspace(0.0, 800.0, 81)
    smooth = fall_along(way, 300.0 - 0.01 * way, 5.0)
    assert smooth.error_m == pytest.approx(5.0 * 2.0**0.5)
    rough = fall_along(way, 300.0 - 0.01 * way + 30.0 * np.sin(way), 5.0)
    assert rough.error_m > 2.0 * smooth.error_m


def test_one_place_has_no_fall() -> None:
    with pytest.raises(BadInput, match="two places"):
        fall_along([0.0], [3.0], 5.0)
