"""Streams drawn from the ground alone: where water gathers, by steepest descent.

each cell gives all it gets to the steepest of its eight neighbours; a hollow is filled to its
rim first, so that nothing stays in it but lakes of one level, which drain over their outlet
"""

from __future__ import annotations

import heapq
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from backbearing.records import Floats

    Ints = NDArray[np.int64]

_NEIGHBOURS = ((-1, 0), (0, 1), (1, 0), (0, -1), (-1, 1), (1, 1), (1, -1), (-1, -1))
_SEEP_M = 1e-4  # by so much a filled hollow's floor rises from its outlet, so that it drains
MOST_CELLS = 4_000_000


def drained_to(height_m: Floats, cell_m: float) -> Ints:
    """Where does each cell drain: the flat index of the cell below it; −1 off the edge or none?

    height_m: (rows, columns) of square cells, nan where not known; water leaves the ground at its
    edges and beside unknown cells. Hollows are filled to their outlets (priority flood: Barnes,
    Lehman & Mulla 2014), then each cell drains to the steepest of its eight neighbours (O'Callaghan
    & Mark 1984; both from memory). Raises BadInput for more than MOST_CELLS.
    """
    rows, columns = height_m.shape
    if height_m.size > MOST_CELLS:
        raise BadInput("that is too much ground at once", where="area", remedy="take less of it")
    known = np.isfinite(height_m)
    filled = np.where(known, height_m, np.inf)
    done = ~known
    queue: list[tuple[float, int]] = []
    edge = known.copy()
    edge[1:-1, 1:-1] = False
    for down, across in _NEIGHBOURS:  # beside unknown ground
        beside = np.zeros_like(known)
        here, there = _from_to(rows, columns, down, across)
        beside[here] = ~known[there]
        edge |= known & beside
    for row, column in np.argwhere(edge).tolist():
        heapq.heappush(queue, (float(filled[row, column]), row * columns + column))
        done[row, column] = True
    flat, flags = filled.ravel(), done.ravel()
    while queue:
        level, cell = heapq.heappop(queue)
        row, column = divmod(cell, columns)
        for down, across in _NEIGHBOURS:
            r, c = row + down, column + across
            if 0 <= r < rows and 0 <= c < columns:
                other = r * columns + c
                if not flags[other]:
                    flags[other] = True
                    raised = max(float(flat[other]), level + _SEEP_M)
                    flat[other] = raised
                    heapq.heappush(queue, (raised, other))
    return _steepest(flat.reshape(rows, columns), known, cell_m)


def gathered(target: Ints) -> Ints:
    """How many cells drain through each, itself counted?

    target: of `drained_to`, flat or (rows, columns); returns the same shape.
    """
    flat = target.ravel()
    count = np.ones(flat.shape, dtype=np.int64)
    waiting = np.bincount(flat[flat >= 0], minlength=flat.size)
    ready = np.flatnonzero(waiting == 0)
    while len(ready):
        below = flat[ready]
        drains = below >= 0
        np.add.at(count, below[drains], count[ready[drains]])
        np.subtract.at(waiting, below[drains], 1)
        reached = np.unique(below[drains])
        ready = reached[waiting[reached] == 0]
    return count.reshape(target.shape)


def stream_lines(target: Ints, count: Ints, *, least_cells: int) -> list[NDArray[np.int64]]:
    """The courses of streams, as cells (n, 2) from source or confluence down to the next.

    least_cells: how many cells must drain through one for it to be a stream.
    """
    _rows, columns = target.shape
    flat, wet = target.ravel(), count.ravel() >= least_cells
    into = np.bincount(flat[wet & (flat >= 0)], minlength=flat.size)
    heads = np.flatnonzero(wet & (into != 1))
    lines = []
    for head in heads.tolist():
        course = [head]
        while (at := int(flat[course[-1]])) >= 0:
            course.append(at)
            if into[at] != 1:
                break
        if len(course) >= 2:
            lines.append(np.stack(np.divmod(np.array(course), columns), axis=1))
    return lines


def _steepest(height: Floats, known: NDArray[np.bool_], cell_m: float) -> Ints:
    rows, columns = height.shape
    target = np.full((rows, columns), -1, dtype=np.int64)
    best = np.zeros((rows, columns))
    own = np.arange(rows * columns).reshape(rows, columns)
    for down, across in _NEIGHBOURS:
        here, there = _from_to(rows, columns, down, across)
        length = cell_m * float(np.hypot(down, across))
        with np.errstate(invalid="ignore"):
            fall = (height[here] - height[there]) / length
        better = known[here] & known[there] & (fall > best[here])
        best[here] = np.where(better, fall, best[here])
        target[here] = np.where(better, own[there], target[here])
    return target


Slices = tuple[slice, slice]


def _from_to(rows: int, columns: int, down: int, across: int) -> tuple[Slices, Slices]:
    """All cells that have a neighbour in this direction, and those neighbours."""
    return (
        (
            slice(max(0, -down), rows - max(0, down)),
            slice(max(0, -across), columns - max(0, across)),
        ),
        (
            slice(max(0, down), rows - max(0, -down)),
            slice(max(0, across), columns - max(0, -across)),
        ),
    )
