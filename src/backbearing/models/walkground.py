"""What a walker meets in each cell: how steep it is, what was walked, what cannot be crossed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from backbearing.records import Floats

    Bools = NDArray[np.bool_]


def steepness_deg(height_m: Floats, cell_x_m: float, cell_y_m: float) -> Floats:
    """How steep is the ground in each cell [degrees]: its steepest step to a cell beside it?

    height_m: (rows, columns), nan where not known; steps to such cells do not count. Coarse cells
    hide steps: this is what the cells hold, not what the ground does.
    """
    found = np.zeros(height_m.shape)
    for axis, cell_m in ((0, cell_y_m), (1, cell_x_m)):
        step = np.abs(np.diff(height_m, axis=axis)) / cell_m
        step = np.nan_to_num(step, nan=0.0)
        first = [slice(None), slice(None)]
        second = [slice(None), slice(None)]
        first[axis], second[axis] = slice(None, -1), slice(1, None)
        np.maximum(found[tuple(first)], step, out=found[tuple(first)])
        np.maximum(found[tuple(second)], step, out=found[tuple(second)])
    return np.asarray(np.degrees(np.arctan(found)))


def cells_along(row: Floats, column: Floats) -> tuple[Floats, Floats]:
    """Points along a line of corners (n,) in cells, no farther than half a cell apart."""
    steps = np.maximum(1, np.ceil(2.0 * np.hypot(np.diff(row), np.diff(column)))).astype(np.int64)
    total = int(steps.sum())
    piece = np.repeat(np.arange(len(steps)), steps)
    within = np.arange(total) - np.repeat(np.cumsum(steps) - steps, steps)
    share = within / steps[piece]
    dense = [
        np.append(line[piece] + share * np.diff(line)[piece], line[-1]) for line in (row, column)
    ]
    return dense[0], dense[1]


def mark_line(mask: Bools, row: Floats, column: Floats, *, reach: float = 0.0) -> None:
    """Set the cells that a line (corners in cells) runs through, and those within `reach` cells."""
    if len(row) < 1:
        return
    rows, columns = cells_along(row, column) if len(row) > 1 else (row, column)
    wide = int(reach)
    row_of, column_of = (np.rint(each).astype(np.int64) for each in (rows, columns))
    high, across_all = (count + 2 * wide for count in mask.shape)  # with a rim of what reaches in
    row_of, column_of = row_of + wide, column_of + wide
    near = (row_of >= 0) & (row_of < high) & (column_of >= 0) & (column_of < across_all)
    cell = np.unique(row_of[near] * across_all + column_of[near])
    row_of, column_of = cell // across_all - wide, cell % across_all - wide
    for down in range(-wide, wide + 1):
        for across in range(-wide, wide + 1):
            if np.hypot(down, across) <= reach:
                there = row_of + down, column_of + across
                inside = (there[0] >= 0) & (there[0] < mask.shape[0])
                inside &= (there[1] >= 0) & (there[1] < mask.shape[1])
                mask[there[0][inside], there[1][inside]] = True


def nearest_open(closed: Bools, cell: tuple[int, int], *, within: int) -> tuple[int, int] | None:
    """The open cell nearest to one, no farther than `within` cells; None where all are closed."""
    top, left = max(0, cell[0] - within), max(0, cell[1] - within)
    box = closed[top : cell[0] + within + 1, left : cell[1] + within + 1]
    found = np.argwhere(~box)
    if not len(found):
        return None
    away = np.hypot(found[:, 0] + top - cell[0], found[:, 1] + left - cell[1])
    best = found[int(np.argmin(away))]
    if away.min() > within:
        return None
    return int(best[0]) + top, int(best[1]) + left


def cut_at_changes(kind: NDArray[np.int64], at_m: Floats, *, shortest_m: float) -> list[int]:
    """Where does a way change its kind for good: indices at which a new leg begins, 0 first?

    kind: (n,) of each point of the way. at_m: (n,) distance along it. A stretch shorter than
    `shortest_m` joins the one before it (the first, the one behind it).
    """
    begins = [0, *(np.flatnonzero(np.diff(kind)) + 1).tolist()]
    kept = [0]
    for number, begin in enumerate(begins[1:], start=1):
        end = begins[number + 1] if number + 1 < len(begins) else len(kind) - 1
        if at_m[end] - at_m[begin] < shortest_m or kind[begin] == kind[kept[-1]]:
            continue
        if at_m[begin] - at_m[kept[-1]] < shortest_m and len(kept) == 1:
            kind = kind.copy()
            kind[: begin + 1] = kind[begin]  # a first stretch too short for a leg of its own
            continue
        kept.append(begin)
    return kept
