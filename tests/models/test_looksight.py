"""What a walker sees beside the way, and whether a walk went through: on ground made for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from backbearing.models.looksight import seen_beside
from backbearing.models.passedthrough import Passed, passed

if TYPE_CHECKING:
    from backbearing.records import Floats


def bank(height_m: float) -> Floats:
    """Level ground of 10 m cells, with a bank across it in column 25."""
    ground = np.full((41, 41), 100.0)
    ground[:, 25] += height_m
    return ground


@pytest.mark.parametrize(("height_m", "behind"), [(0.0, True), (0.4, True), (6.0, False)])
def test_a_bank_hides_what_lies_behind_it_unless_the_eye_is_above_it(
    height_m: float, behind: bool
) -> None:
    """Eye 1.5 m, thing 1 m: at 50 m behind a bank at 50 m, one of 1.25 m is just looked over."""
    row, column = np.arange(10.0, 31.0), np.full(21, 20.0)
    beside = seen_beside(bank(height_m).astype(np.float32), 10.0, row, column, 150.0)
    for at, seen in ((15.0, True), (25.0, True), (30.0, behind)):
        reached, found = beside.counts(np.array([20.0]), np.array([at]))
        assert reached[0]
        assert bool(found[0]) is seen
    assert not beside.counts(np.array([20.0]), np.array([39.0]))[0][0]  # out of reach


def test_ground_of_no_known_height_hides_nothing() -> None:
    ground = bank(np.nan).astype(np.float32)
    beside = seen_beside(ground, 10.0, np.array([20.0]), np.array([20.0]), 150.0)
    assert beside.counts(np.array([20.0]), np.array([30.0]))[1][0]


WALL = np.array([[0.0, -500.0], [0.0, 500.0]])


def walk(*corners: tuple[float, float]) -> list[tuple[Floats, Floats]]:
    x, y = np.array(corners).T
    at = np.linspace(0.0, len(x) - 1.0, 40 * len(x))
    return [(np.interp(at, np.arange(len(x)), x), np.interp(at, np.arange(len(x)), y))]


@pytest.mark.parametrize(
    ("corners", "line", "how"),
    [
        ([(-200, 0), (200, 5)], WALL, "through"),
        ([(-200, 0), (-4, 0), (-200, 30)], WALL, "near"),
        ([(-200, 0), (3, 0), (-200, 30)], WALL, "near"),  # a fix astray beyond the wall
        ([(-6, -300), (-6, 300)], WALL, "near"),  # along the wall, past the gap
        ([(-200, -60), (-3, -60), (-3, 0), (3, 60), (200, 60)], WALL, "through"),
        ([(-200, 0), (-4, 0)], WALL, "near"),  # it ends there
        ([(-200, 300), (200, 300)], WALL, "away"),
        ([(-200, 0), (200, 5)], None, "through"),
        ([(-200, 0), (0, 0), (-200, 30)], None, "near"),
    ],
)
def test_through_is_a_crossing_within_the_error_and_no_turning_back(
    corners: list[tuple[float, float]], line: Floats | None, how: Passed
) -> None:
    assert passed(walk(*corners), 18.0, line) == how
