"""Seconds as they are set and counted, and exposures in a light that changes, in closed form."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.models.exposure import STEPS_S, changing_s, step_s
from backbearing.models.reciprocity import needed_s

UNTIL_DARK_S = 2_000.0


@given(stops=st.floats(math.log2(1 / 4000), math.log2(24 * 3600.0)))
def test_a_time_shown_is_within_a_sixth_of_a_stop_or_so(stops: float) -> None:
    """Steps a third of a stop apart leave a sixth; rounded names, as 1/15 for 1/16, add to it."""
    seconds = 2.0**stops
    assert abs(math.log2(step_s(seconds) / seconds)) < 0.25


def test_steps_are_those_of_shutters_and_watches() -> None:
    """The rounded thirds of a stop engraved on shutters: common practice, no source."""
    stops = np.diff(np.log2(STEPS_S))
    assert stops.min() > 0.1
    assert stops.max() < 0.51  # from 1 min on some steps are half a stop
    for shown in (1 / 1000, 1 / 500, 1 / 250, 1 / 125, 1 / 60, 1 / 30, 1 / 15, 1 / 8, 1 / 4, 1 / 2):
        assert shown in STEPS_S
    for exact, shown in ((1 / 16, 1 / 15), (1 / 64, 1 / 60), (32.0, 30.0), (38.0, 40.0)):
        assert step_s(exact) == pytest.approx(shown)
    assert step_s(933.8) == 15 * 60.0
    assert step_s(math.inf) == math.inf


@given(a=st.floats(1 / 4000, 86400.0), b=st.floats(1 / 4000, 86400.0))
def test_a_longer_time_is_never_shown_shorter(a: float, b: float) -> None:
    assert step_s(min(a, b)) <= step_s(max(a, b))


# ---------------------------------------------------------------- light that changes


def given_s(mean: Callable[[float], float], metered: float, p: float = 1.0) -> float:
    """What `changing_s` answers, for a reading of so many seconds at the start."""

    def steady(relative: float) -> float:
        return math.pow(metered / relative, 1.0 / p)

    return changing_s(mean, steady, steady(1.0))


@pytest.mark.parametrize("metered", [10.0, 60.0, 300.0, 900.0])
def test_light_that_falls_linearly(metered: float) -> None:
    """E = 1 − t/T gives t − t²/2T in t: t = T (1 − √(1 − 2m/T)); never after T/2."""
    total = UNTIL_DARK_S
    answer = given_s(lambda t: max(1.0 - t / (2.0 * total), 1e-9), metered)
    assert answer == pytest.approx(total * (1.0 - math.sqrt(1.0 - 2.0 * metered / total)), rel=1e-6)


@pytest.mark.parametrize("half_s", [-240.0, 120.0, 240.0, 900.0])
@pytest.mark.parametrize("metered", [5.0, 60.0, 150.0])
def test_light_that_falls_or_rises_exponentially(metered: float, half_s: float) -> None:
    """E = e^(−kt) gives (1 − e^(−kt))/k in t: t = −ln(1 − km)/k; never enough where km ≥ 1."""
    k = math.log(2.0) / half_s
    answer = given_s(lambda t: -math.expm1(-k * t) / (k * t) if t else 1.0, metered)
    if k * metered >= 1.0:
        assert answer == math.inf
    else:
        assert answer == pytest.approx(-math.log1p(-k * metered) / k, rel=1e-6)


@pytest.mark.parametrize("metered", [5.0, 20.0, 35.0])
def test_linear_fall_with_reciprocity(metered: float) -> None:
    """p = ½ at the mean light: m = (1 − t/2T) √t, a cubic in √t; its least positive root."""
    total = 20_000.0
    roots = np.roots([-1.0 / (2.0 * total), 0.0, 1.0, -metered])
    by_cubic = min(r.real for r in roots if abs(r.imag) < 1e-9 and r.real > 0.0) ** 2
    answer = given_s(lambda t: 1.0 - t / (2.0 * total), metered, p=0.5)
    assert answer == pytest.approx(by_cubic, rel=1e-6)


@pytest.mark.parametrize("p", [0.7, 0.85, 0.95])
@pytest.mark.parametrize("stops", [0.25, 0.5, 1.0])
def test_reciprocity_at_the_mean_light_is_near_that_of_each_moment(p: float, stops: float) -> None:
    """Schwarzschild's law, moment by moment: effect = (∫ E^(1/p) dt)^p.

    For E = e^(−kt) that is enough at t = −(p/k) ln(1 − (k/p) m^(1/p)). Taking the mean light
    instead is named an approximation: held within a fifth of a stop while the light falls by a
    stop or less, and it errs on the long side (uneven light does more at p < 1 than its mean).
    """
    until_s = 120.0
    k = stops * math.log(2.0) / until_s  # the light falls by so many stops in the exposure
    metered = (-(p / k) * math.expm1(-k * until_s / p)) ** p
    exact = -(p / k) * math.log1p(-(k / p) * metered ** (1.0 / p))
    assert exact == pytest.approx(until_s)
    answer = given_s(lambda t: -math.expm1(-k * t) / (k * t) if t else 1.0, metered, p=p)
    assert 0.0 <= math.log2(answer / exact) < 0.2


def test_steady_light_changes_nothing() -> None:
    for seconds in (1.0, 40.0, 3600.0):
        assert given_s(lambda t: 1.0, seconds, p=0.9) == pytest.approx(seconds ** (1 / 0.9))


# ---------------------------------------------------------------- a maker's table

GOOD = ((1.0, 1.0), (10.0, 20.0), (100.0, 400.0))


def test_a_table_is_met_at_its_points_and_straight_between_them_in_stops() -> None:
    for metered, needed in GOOD:
        assert needed_s(metered, table=GOOD) == pytest.approx(needed)
    between = needed_s(math.sqrt(10.0 * 100.0), table=GOOD)
    assert between == pytest.approx(math.sqrt(20.0 * 400.0))
    assert needed_s(0.5, table=GOOD) == 0.5
    past = needed_s(1000.0, table=GOOD)  # the last slope goes on
    assert past == pytest.approx(400.0 * 20.0)


@given(p=st.floats(0.6, 1.0), metered=st.floats(1.0, 1e4))
def test_a_table_made_by_the_power_law_answers_as_the_law(p: float, metered: float) -> None:
    table = [(m, m ** (1.0 / p)) for m in (1.0, 10.0, 100.0, 1000.0)]
    assert needed_s(metered, table=table) == pytest.approx(needed_s(metered, p=p), rel=1e-9)


def test_a_table_never_shortens_and_always_rises() -> None:
    times = np.geomspace(0.01, 1e5, 400)
    needed = [needed_s(float(t), table=GOOD) for t in times]
    assert all(n >= t * (1.0 - 1e-12) for n, t in zip(needed, times, strict=True))
    assert all(b > a for a, b in itertools.pairwise(needed))


@given(
    metered=st.floats(0.1, 20_000.0),
    p=st.sampled_from([1.0, 0.9, 0.75]),
    stops_an_hour=st.floats(-6.0, 6.0).filter(lambda rate: abs(rate) > 1e-3),
)
def test_a_time_is_the_one_halving_finds_in_few_turns(
    metered: float, p: float, stops_an_hour: float
) -> None:
    """Halving 50 times, the plainest method, in light that changes by so many stops an hour."""
    rate = stops_an_hour * math.log(2.0) / 3600.0
    asked = 0

    def mean(over_s: float) -> float:
        nonlocal asked
        asked += 1
        return max(math.expm1(rate * over_s) / (rate * over_s), 1e-9)

    found = given_s(mean, metered, p)
    if math.isinf(found):
        return
    assert asked <= 40
    low_s, high_s = 0.0, 2.0 * found
    for _ in range(50):
        middle_s = (low_s + high_s) / 2.0
        enough = math.pow(metered / mean(middle_s), 1.0 / p) <= middle_s
        low_s, high_s = (low_s, middle_s) if enough else (middle_s, high_s)
    assert found == pytest.approx(high_s, rel=1e-9)
