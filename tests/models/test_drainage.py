"""Water over made ground: closed forms, hollows that overflow, and nothing lost."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.drainage import drained_to, gathered, stream_lines

CELL_M = 10.0


def test_down_a_plane_each_cell_gathers_those_above_it() -> None:
    height = np.repeat(np.arange(30.0)[::-1, None], 12, axis=1)  # falls to the south
    count = gathered(drained_to(height, CELL_M))
    # columns drain straight down: row r has r + 1 cells through it (the sides drain off the edge)
    assert count[:, 5].tolist() == list(range(1, 31))


def test_a_valley_gathers_both_its_sides() -> None:
    row, column = np.mgrid[0:40, 0:41].astype(float)
    height = 2.0 * np.abs(column - 20.0) + 0.5 * (39.0 - row)
    count = gathered(drained_to(height, CELL_M))
    assert count[-1].argmax() == 20
    # within the valley every cell but those that leave by the edge drains through its mouth
    assert count[-1, 20] >= 0.8 * height.size
    lines = stream_lines(drained_to(height, CELL_M), count, least_cells=200)
    longest = max(lines, key=len)
    assert (longest[:, 1] == 20).all()
    assert (np.diff(longest[:, 0]) == 1).all()


def test_a_hollow_fills_and_overflows_at_its_lowest_rim() -> None:
    height = np.full((21, 21), 10.0)
    height[5:16, 5:16] = 3.0
    height[10, 16:] = 8.0  # the outlet, to the east
    height[10, 20] = 7.0
    target = drained_to(height, CELL_M)
    count = gathered(target)
    assert (target[5:16, 5:16] >= 0).all()
    assert count[10, 20] >= 11 * 11


@given(st.integers(0, 2**31), st.integers(3, 18), st.integers(3, 18))
def test_all_water_leaves_by_the_edge_and_none_runs_in_a_ring(
    seed: int, rows: int, columns: int
) -> None:
    rng = np.random.default_rng(seed)
    height = rng.random((rows, columns)) * 30.0
    height[rng.random((rows, columns)) < 0.1] = np.nan
    target = drained_to(height, CELL_M)
    count = gathered(target)
    known = np.isfinite(height)
    outlets = known & (target < 0)
    assert count[outlets].sum() == known.sum()
    beside_edge = np.zeros_like(known)
    beside_edge[[0, -1], :] = beside_edge[:, [0, -1]] = True
    padded = np.pad(~known, 1)
    for down in (-1, 0, 1):
        for across in (-1, 0, 1):
            beside_edge |= padded[1 + down : rows + 1 + down, 1 + across : columns + 1 + across]
    assert (beside_edge | ~outlets).all()


def test_a_cone_drains_evenly_to_all_four_corners() -> None:
    row, column = np.mgrid[-20:21, -20:21].astype(float)
    count = gathered(drained_to(100.0 - np.hypot(row, column), CELL_M))
    corners = count[[0, 0, -1, -1], [0, -1, 0, -1]]
    assert corners.sum() == count.size  # the rim itself falls to them
    # a quarter each, but for the cells on the axes, which fall to one hand or the other
    assert corners == pytest.approx([count.size / 4.0] * 4, abs=41.0)


def test_too_much_ground_is_refused() -> None:
    with pytest.raises(BadInput):
        drained_to(np.zeros((2001, 2000)), CELL_M)
