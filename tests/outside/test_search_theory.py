"""Search theory against its published forms and worked examples.

Detection laws: Koopman, Search and Screening, 1946 (random), and the inverse-cube law for even
parallel tracks; the table was computed apart from this code, the inverse-cube row by direct
averaging over tracks. Sweep width over range: Koester et al. 2014, Wilderness Environ. Med., doi
10.1016/j.wem.2013.09.016. Bayes and the split of effort: worked examples of our own list, computed
apart; Charnes & Cooper 1958 and Stone 1975 give the method, scipy's optimiser an answer of its own.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from backbearing.models.detection import chance_seen, sweep_width_m
from backbearing.models.effort import best_effort
from backbearing.models.likelihood import Shares, after_looking


@pytest.mark.parametrize(
    ("coverage", "random", "inverse_cube"),
    [
        *((0.25, 0.2212, 0.2460), (0.5, 0.3935, 0.4691), (0.75, 0.5276, 0.6528)),
        *((1.0, 0.6321, 0.7899), (1.5, 0.7769, 0.9399), (2.0, 0.8647, 0.9878)),
        (3.0, 0.9502, 0.9998),
    ],
)
def test_detection_laws(coverage: float, random: float, inverse_cube: float) -> None:
    assert float(chance_seen(coverage)) == pytest.approx(random, abs=6e-5)
    assert float(chance_seen(coverage, "inverse cube")) == pytest.approx(inverse_cube, abs=6e-5)


@pytest.mark.parametrize(("chance", "coverage"), [(0.5, 0.693), (0.8, 1.609), (0.9, 2.303)])
def test_coverage_for_a_chance(chance: float, coverage: float) -> None:
    assert float(chance_seen(coverage)) == pytest.approx(chance, abs=2e-4)


def test_sweep_width_from_the_range_of_first_sight() -> None:
    assert float(sweep_width_m(30.0, "easily")) == pytest.approx(54.0)
    assert float(sweep_width_m(30.0, "fairly")) == pytest.approx(48.0)
    assert float(sweep_width_m(30.0, "hardly")) == pytest.approx(33.0)


@pytest.mark.parametrize(
    ("before", "elsewhere", "seen", "after", "elsewhere_after"),
    [
        ((0.5, 0.3, 0.2), 0.0, (0.7, 0.4, 0.0), (0.2830, 0.3396, 0.3774), 0.0),
        ((0.4, 0.3, 0.2), 0.1, (0.6, 0.0, 0.0), (0.2105, 0.3947, 0.2632), 0.1316),
    ],
)
def test_bayes_after_a_miss(
    before: tuple[float, ...],
    elsewhere: float,
    seen: tuple[float, ...],
    after: tuple[float, ...],
    elsewhere_after: float,
) -> None:
    shares = after_looking(
        Shares(pieces=np.array(before), elsewhere=elsewhere, gone=0.0), np.array(seen)
    )
    assert shares.pieces == pytest.approx(after, abs=6e-5)
    assert shares.elsewhere == pytest.approx(elsewhere_after, abs=6e-5)


SHARE, AREA_KM2, WIDTH_M = (0.5, 0.3, 0.2), np.array([1.0, 0.5, 1.5]), np.array([40.0, 60.0, 80.0])


@pytest.mark.parametrize(
    ("total_km", "efforts_km", "chance_seen_each", "success", "success_even"),
    [
        (10.0, (3.826, 6.174, 0.0), (0.1419, 0.5233, 0.0), 0.2279, 0.1939),
        (30.0, (17.706, 10.800, 1.493), (0.5075, 0.7264, 0.0766), 0.4870, 0.4572),
        (60.0, (32.106, 15.600, 12.293), (0.7231, 0.8462, 0.4809), 0.7116, 0.6793),
    ],
)
def test_the_best_split_of_an_effort(
    total_km: float,
    efforts_km: tuple[float, ...],
    chance_seen_each: tuple[float, ...],
    success: float,
    success_even: float,
) -> None:
    rate = WIDTH_M / 1000.0 / AREA_KM2
    effort = best_effort(SHARE, rate, total_km)
    seen = chance_seen(rate * effort)
    assert effort == pytest.approx(efforts_km, abs=6e-4)
    assert seen == pytest.approx(chance_seen_each, abs=6e-5)
    assert float(np.dot(SHARE, seen)) == pytest.approx(success, abs=6e-5)
    even = chance_seen(rate * total_km / 3.0)
    assert float(np.dot(SHARE, even)) == pytest.approx(success_even, abs=6e-5)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**31), st.integers(2, 6), st.floats(0.1, 50.0))
def test_no_optimiser_finds_a_better_split(seed: int, pieces: int, total: float) -> None:
    rng = np.random.default_rng(seed)
    share = rng.dirichlet(np.ones(pieces))
    rate = rng.uniform(0.02, 0.4, pieces)

    def missed(effort: np.ndarray) -> float:
        return float(np.dot(share, np.exp(-rate * effort)))

    ours = best_effort(share, rate, total)
    assert ours.sum() == pytest.approx(total)
    assert ours.min() >= 0.0
    found = minimize(
        missed,
        np.full(pieces, total / pieces),
        bounds=[(0.0, total)] * pieces,
        constraints={"type": "eq", "fun": lambda effort: effort.sum() - total},
        method="SLSQP",
        options={"ftol": 1e-12, "maxiter": 500},
    )
    assert missed(ours) <= found.fun + 1e-7
