"""Chances that are told come true, and the planned walk finds more than an even sweep.

A simulation of hidden places on two made grounds and a real one (search_simulation.py tells how;
run it for the long run's figures). Intervals are exact binomial ones of 99 % (Clopper & Pearson
1934, by scipy). What is told is right where memories are off by as much as they are said to be;
where they are worse, so are the chances.
"""

import numpy as np
import pytest
from tests.outside.search_simulation import binomial_interval, by_tenths, claims, walks


@pytest.fixture(scope="module")
def trips() -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    return walks(450, seed=3)


def test_of_places_told_with_seventy_to_eighty_so_many_are_there() -> None:
    told, true = claims(3_000, seed=1)
    tenths = by_tenths(told, true)
    assert len(tenths) >= 9
    for _begin, number, came_true, mean in tenths:
        low, high = binomial_interval(came_true, number)
        assert low <= mean <= high
    assert true.mean() == pytest.approx(told.mean(), abs=0.025)


def test_errors_larger_than_said_are_told_too_surely() -> None:
    """So the test above can fail: half as large again already shows."""
    told, true = claims(3_000, seed=2, noise=1.5)
    assert told.mean() - true.mean() > 0.03


def test_walks_find_as_often_as_they_say(trips: tuple[np.ndarray, ...]) -> None:
    told, found, _, _ = trips
    for _begin, number, came_true, mean in by_tenths(told, found):
        low, high = binomial_interval(came_true, number)
        assert low <= mean <= high


def test_the_planned_walk_finds_more_than_an_even_sweep(trips: tuple[np.ndarray, ...]) -> None:
    """By the same luck in each world: the difference, less its spread at 99 %, is above 0."""
    told, found, even, even_found = trips
    assert (told >= even - 1e-9).mean() > 0.99
    more = found.astype(float) - even_found
    assert more.mean() - 2.576 * more.std() / np.sqrt(len(more)) > 0.1
