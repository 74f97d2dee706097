"""Lines of sight: closed forms on made ground, and a plain brute force on rough ground."""

import math

import numpy as np
import pytest
from tests.models.linesight import in_sight

from backbearing.errors import BadInput

CELL_M = 10.0


def everywhere(shape: tuple[int, int]) -> tuple[np.ndarray, np.ndarray]:
    row, column = np.mgrid[0 : shape[0], 0 : shape[1]]
    return row.ravel().astype(float), column.ravel().astype(float)


def test_behind_a_wall_the_shadow_is_as_long_as_the_triangle_says() -> None:
    height = np.zeros((41, 401))
    height[:, 100] = 20.0  # 1,000 m off, seen from 120 m up
    eye = (20.0, 0.0)
    height[20, 0] = 118.5
    row, column = np.full(300, 20.0), np.arange(101.0, 401.0)
    seen = in_sight(height, CELL_M, eye, row, column, refraction_k=1.0)
    # of similar triangles: hidden as far as 1000 · 120 / (120 − 20) = 1,200 m
    first = 10.0 * column[np.argmax(seen)]
    assert first == pytest.approx(1200.0, abs=CELL_M)
    assert not seen[: np.argmax(seen)].any()
    tall = in_sight(height, CELL_M, eye, row, column, target_height_m=20.0, refraction_k=1.0)
    assert tall.all()


def test_the_earths_curve_hides_the_sea_beyond_the_horizon() -> None:
    height = np.zeros((3, 3001))
    row, column = np.full(3000, 1.0), np.arange(1.0, 3001.0)
    seen = in_sight(height, 10.0, (1.0, 0.0), row, column, eye_height_m=10.0, refraction_k=0.0)
    horizon = math.sqrt(2.0 * 6_371_000.0 * 10.0)
    assert 10.0 * column[seen].max() == pytest.approx(horizon, rel=0.03)


def test_rough_ground_against_a_plain_ray() -> None:
    rng = np.random.default_rng(4)
    height = np.cumsum(rng.normal(0, 2.0, (60, 60)), axis=1) + 20.0 * rng.random((60, 60))
    eye = (30.0, 30.0)
    row, column = everywhere((60, 60))
    ours = in_sight(height, CELL_M, eye, row, column, refraction_k=1.0)

    def ray(target: tuple[float, float]) -> bool:
        span = math.hypot(target[0] - eye[0], target[1] - eye[1])
        if span == 0.0:
            return True
        steps = math.ceil(span)
        stand = height[30, 30] + 1.5
        needed = (height[int(target[0]), int(target[1])] - stand) / (span * CELL_M)
        for step in range(1, steps):
            at = [eye[i] + (target[i] - eye[i]) * step / steps for i in (0, 1)]
            r, c = min(int(at[0]), 58), min(int(at[1]), 58)
            d, a = at[0] - r, at[1] - c
            between = (
                height[r, c] * (1 - d) * (1 - a)
                + height[r, c + 1] * (1 - d) * a
                + height[r + 1, c] * d * (1 - a)
                + height[r + 1, c + 1] * d * a
            )
            if (between - stand) / (span * CELL_M * step / steps) > needed + 1e-9:
                return False
        return True

    theirs = np.array([ray((r, c)) for r, c in zip(row, column, strict=True)])
    assert (ours == theirs).all()
    assert 0.02 < ours.mean() < 0.98


def test_what_is_seen_sees_back() -> None:
    rng = np.random.default_rng(9)
    height = 30.0 * rng.random((30, 30))
    for _ in range(40):
        a, b = rng.uniform(1, 28, 2), rng.uniform(1, 28, 2)
        there = in_sight(height, CELL_M, tuple(a), b[:1], b[1:], target_height_m=1.5)
        back = in_sight(height, CELL_M, tuple(b), a[:1], a[1:], target_height_m=1.5)
        assert there.tolist() == back.tolist()


def test_unknown_ground_hides_nothing_and_is_not_seen() -> None:
    height = np.zeros((5, 30))
    height[:, 10] = 50.0
    hidden = in_sight(height, CELL_M, (2.0, 0.0), np.array([2.0]), np.array([20.0]))
    assert not hidden[0]
    height[:, 9:12] = np.nan
    row, column = np.array([2.0, 2.0]), np.array([20.0, 10.0])
    assert in_sight(height, CELL_M, (2.0, 0.0), row, column).tolist() == [True, False]
    with pytest.raises(BadInput):
        in_sight(height, CELL_M, (2.0, 10.0), row, column)
