"""Sight all round agrees with a line to each target, and with closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from tests.models.linesight import in_sight

from backbearing.errors import BadInput
from backbearing.models.sightfield import seen_round

CELL_M = 10.0
ROW, COLUMN = (each.ravel().astype(float) for each in np.mgrid[0:121, 0:121])
EYE = (60.0, 60.0)


def hills(seed: int, rough_m: float) -> np.ndarray:
    made = np.random.default_rng(seed)
    waves = [made.uniform(-0.15, 0.15, 2) for _ in range(12)]
    return np.asarray(
        sum(
            rough_m * np.sin(down * ROW + across * COLUMN + n)
            for n, (down, across) in enumerate(waves)
        )
    ).reshape(121, 121)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("eye", [EYE, (20.3, 77.8)])
def test_it_agrees_with_a_line_to_each_target(seed: int, eye: tuple[float, float]) -> None:
    ground = hills(seed, 6.0)
    one_by_one = in_sight(ground, CELL_M, eye, ROW, COLUMN, target_height_m=1.5)
    together = seen_round(ground, CELL_M, eye, ROW, COLUMN, target_height_m=1.5)
    assert 0.02 < one_by_one.mean() < 0.98
    assert (one_by_one == together).mean() > 0.97


def test_a_wall_hides_what_lies_in_its_shadow_and_no_more() -> None:
    """A wall 20 m high, 200 m off; eyes at 10 m: the line over its top rises 1 in 20."""
    ground = np.zeros((121, 121))
    ground[:, 80] = 20.0
    far = np.arange(82.0, 120.0)
    needs_m = 10.0 + (far - 60.0) * CELL_M / 20.0
    for tall, expected in ((needs_m + 0.5, True), (needs_m - 0.5, False)):
        seen = [
            seen_round(
                ground,
                CELL_M,
                EYE,
                np.array([60.0]),
                np.array([column]),
                eye_height_m=10.0,
                target_height_m=float(height),
            )[0]
            for column, height in zip(far, tall, strict=True)
        ]
        assert set(seen) == {expected}


def test_on_a_plain_all_is_seen_and_unknown_ground_hides_nothing_and_is_not_seen() -> None:
    ground = np.zeros((121, 121))
    ground[30:40, 50:70] = np.nan
    seen = seen_round(ground, CELL_M, EYE, ROW, COLUMN, target_height_m=1.5).reshape(121, 121)
    assert not seen[31:39, 51:69].any()
    assert seen[:29].all()
    assert seen[41:].all()


def test_an_eye_on_unknown_ground_is_refused() -> None:
    ground = np.zeros((121, 121))
    ground[60, 60] = np.nan
    with pytest.raises(BadInput, match="no height is known"):
        seen_round(ground, CELL_M, EYE, ROW, COLUMN)
    with pytest.raises(BadInput, match="no height is known"):
        seen_round(ground, CELL_M, (500.0, 0.0), ROW, COLUMN)
