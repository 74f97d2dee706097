"""What drains through a cell, against surfaces on which it is known exactly.

Steepest single flow to one of eight neighbours (O'Callaghan & Mark 1984, from memory). On planes
that fall along a row or a diagonal, and in a straight valley whose sides fall more steeply than its
floor, every cell's way is plain from the heights, and so is the number of cells above each.
"""

import numpy as np

from backbearing.models.drainage import drained_to, gathered

CELL_M = 10.0


def test_down_a_plane_along_the_diagonal_cells_gather_one_by_one() -> None:
    row, column = np.mgrid[0:31, 0:31].astype(float)
    count = gathered(drained_to(-(row + column), CELL_M))
    inner = (row < 30) & (column < 30)
    assert np.array_equal(count[inner], (np.minimum(row, column) + 1)[inner])


def test_a_valley_gathers_its_sides_row_by_row() -> None:
    """Sides of 2 in 1, a floor of 0.5 in 1: straight down beats aslant, (2 + 0.5) / √2."""
    row, column = np.mgrid[0:40, 0:41].astype(float)
    away = np.abs(column - 20.0)
    count = gathered(drained_to(2.0 * away + 0.5 * (39.0 - row), CELL_M / 10.0))
    assert np.array_equal(count[:, 20], 41 * (row[:, 20] + 1))
    sides = away > 0
    assert np.array_equal(count[sides], (20 - away + 1)[sides])
