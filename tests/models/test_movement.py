"""What moves in a picture: each thing has its own longest exposure."""

from __future__ import annotations

import itertools

import pytest

from backbearing.models.movement import MOVERS, blurred


@pytest.mark.parametrize(
    ("seconds", "moves"),
    [
        (1 / 125, ()),
        (1 / 60, ()),
        (1 / 30, ("running water",)),
        (1.0, ("leaves and grass", "running water")),
        (40.0, ("bare branches", "leaves and grass", "running water")),
    ],
)
def test_what_is_not_sharp_any_more(seconds: float, moves: tuple[str, ...]) -> None:
    """Common practice, no source; sharp up to its own longest exposure, that included."""
    assert blurred(seconds) == moves


def test_longer_never_sharpens_and_rock_stands_still() -> None:
    times = [10.0**x for x in range(-4, 6)]
    for short, long in itertools.pairwise(times):
        assert set(blurred(short)) <= set(blurred(long))
    assert "rock and walls" not in blurred(1e5)
    assert len({mover.name for mover in MOVERS}) == len(MOVERS)
