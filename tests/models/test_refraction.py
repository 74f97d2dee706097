"""Refraction below the horizon, where the published formula ends and a summit looks down."""

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given

from backbearing.models.refraction import (
    FADED_OUT_DEG,
    LAST_TRUSTED_DEG,
    air_scale,
    refraction_deg,
    standard_air,
)

STEEPEST = 0.3  # degrees of refraction per degree of altitude, anywhere


@given(altitude=st.floats(-90.0, 89.0), step=st.floats(1e-9, 1.0), scale=st.floats(0.0, 1.5))
def test_it_is_continuous(altitude: float, step: float, scale: float) -> None:
    change = refraction_deg(altitude + step, scale) - refraction_deg(altitude, scale)
    assert abs(change) <= scale * STEEPEST * step + 1e-12


@given(altitude=st.floats(-90.0, 89.9), step=st.floats(1e-6, 1.0))
def test_a_higher_sun_is_never_seen_lower(altitude: float, step: float) -> None:
    low, high = altitude, altitude + step
    assert high + refraction_deg(high) > low + refraction_deg(low)


def test_held_and_faded_out() -> None:
    at_edge = refraction_deg(LAST_TRUSTED_DEG)
    assert refraction_deg(LAST_TRUSTED_DEG - 1e-9) == pytest.approx(at_edge)
    assert refraction_deg([FADED_OUT_DEG, -5.11, -18.0, -90.0]) == pytest.approx(0.0)
    half_way = (LAST_TRUSTED_DEG + FADED_OUT_DEG) / 2.0
    assert refraction_deg(half_way) == pytest.approx(at_edge / 2.0)


def test_nan_stays_nan_and_spoils_no_neighbour() -> None:
    lifted = refraction_deg(np.array([np.nan, -3.0, 10.0]))
    np.testing.assert_array_equal(np.isnan(lifted), [True, False, False])
    assert lifted[1] == refraction_deg(-3.0)


def test_the_formulas_own_air_scales_by_one() -> None:
    assert air_scale(1010.0, 10.0) == 1.0


def test_air_above_the_lower_atmosphere_stays_what_it_is_at_its_top() -> None:
    assert standard_air(50_000.0) == standard_air(11_000.0)
