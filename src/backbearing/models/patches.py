"""Cells that hang together, told apart by number."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray


def patches(cells: NDArray[np.bool_]) -> tuple[NDArray[np.int64], int]:
    """Which patch does each cell belong to, where cells that share a side are of one?

    cells: (rows, columns). Returns the number of each cell's patch from 1, 0 where there is none,
    and how many patches there are.

    Method: runs along the rows are joined where they overlap in rows side by side, and what
    is joined is gathered (connected components, scipy).
    """
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import connected_components

    wide = cells.shape[1] + 1  # a gap after each row: no run goes on in the next
    flat = np.zeros(cells.shape[0] * wide + 1, dtype=np.int8)
    flat[1:].reshape(-1, wide)[:, :-1] = cells
    steps = np.diff(flat)
    first, end = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1)
    below = np.searchsorted(end, first + wide, "right")
    count = np.maximum(np.searchsorted(first, end + wide, "left") - below, 0)
    upper = np.repeat(np.arange(first.size), count)
    within = np.arange(upper.size) - np.repeat(np.cumsum(count) - count, count)
    joined = csr_array(
        (np.ones(upper.size, dtype=np.int8), (upper, below[upper] + within)),
        shape=(first.size, first.size),
    )
    found, patch = connected_components(joined, directed=False)
    number = np.zeros(cells.shape, dtype=np.int64)
    number[cells] = np.repeat(patch + 1, end - first)
    return number, int(found)
