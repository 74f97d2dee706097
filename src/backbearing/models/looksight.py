"""What a walker can see of the ground beside the way: rays from many eyes at once.

            ╲ │ ╱      along each ray the highest tangent so far is kept; a thing is seen where
         ─── eye ───   the top of it stands no lower than that
            ╱ │ ╲

Unlike `sightfield`, which looks from one eye over wide ground, this looks a short way from each of
thousands. Rays and their samples stand no farther apart than a cell, or a 24th of the reach.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from backbearing.records import Floats

EYE_M, THING_M = 1.5, 1.0  # over the ground; common practice, no source
_MOST_STEPS = 24
_EYES_APART = 0.25  # of the reach, if that is more than a cell
_AT_ONCE = 2_000_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beside:
    """Which ground lay within reach of a walk, and which of it was seen, in squares of cells."""

    top: int  # row and column of the first cell
    left: int
    cells: int  # a square's side
    reached: NDArray[np.bool_]  # (rows, columns) of squares
    seen: NDArray[np.bool_]

    def counts(self, row: Floats, column: Floats) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Of points in the grid's cells, any shape: whether each was in reach, and was seen."""
        down = np.floor_divide(np.rint(np.nan_to_num(row, nan=-1e9)) - self.top, self.cells)
        across = np.floor_divide(np.rint(np.nan_to_num(column, nan=-1e9)) - self.left, self.cells)
        rows, columns = self.reached.shape
        inside = (down >= 0) & (down < rows) & (across >= 0) & (across < columns)
        r, c = (np.where(inside, each, 0).astype(np.intp) for each in (down, across))
        return self.reached[r, c] & inside, self.seen[r, c] & inside


def seen_beside(
    height_m: NDArray[np.float32],
    cell_m: float,
    row: Floats,
    column: Floats,
    reach_m: float,
) -> Beside:
    """Which ground within reach of any point of a walk is seen from one of them?

    height_m: (rows, columns) of square cells, nan where not known: that hides nothing, and from
    there all is seen. row, column: (n,) points of the walk in cells, at least one; they are thinned
    to one a cell, or a quarter of the reach. The eye stands EYE_M over the ground, the thing is
    THING_M high; no curve of the Earth within such a reach.
    """
    heights = np.asarray(height_m, dtype=np.float32)
    cells = max(1, round(reach_m / (cell_m * _MOST_STEPS)))
    steps = max(1, int(np.ceil(reach_m / (cell_m * cells))))
    rays = max(8, int(np.ceil(2.0 * np.pi * steps)))
    apart = max(1.0, _EYES_APART * reach_m / cell_m)
    bins = np.stack([np.rint(row / apart), np.rint(column / apart)])
    _, first = np.unique(bins, axis=1, return_index=True)
    row, column = row[first], column[first]
    stand = _nearest(heights, row, column) + np.float32(EYE_M)
    stand = np.where(np.isfinite(stand), stand, np.float32(1e9))
    rim = steps * cells + 1
    top, left = int(np.floor(row.min())) - rim, int(np.floor(column.min())) - rim
    shape = tuple(
        (int(np.ceil(each.max())) + rim - begin) // cells + 1
        for each, begin in ((row, top), (column, left))
    )
    reached, seen = (np.zeros(shape, dtype=bool) for _ in range(2))
    own = tuple(
        ((np.rint(each) - begin) // cells).astype(np.intp)
        for each, begin in ((row, top), (column, left))
    )
    reached[own] = seen[own] = True
    angle = np.arange(rays) * (2.0 * np.pi / rays)
    out = np.arange(1, steps + 1) * cells
    away = (out * cell_m).astype(np.float32)
    down, across = np.outer(np.sin(angle), out), np.outer(np.cos(angle), out)
    chunk = max(1, _AT_ONCE // (rays * steps))
    for begin in range(0, len(row), chunk):
        part = slice(begin, begin + chunk)
        r = np.rint(row[part, None, None] + down).astype(np.intp)
        c = np.rint(column[part, None, None] + across).astype(np.intp)
        rise = _nearest(heights, r, c) - stand[part, None, None]
        tangent = np.where(np.isnan(rise), -np.inf, rise / away)
        before = np.maximum.accumulate(tangent, axis=2)[..., :-1]
        visible = ~(((rise + np.float32(THING_M)) / away)[..., 1:] < before)
        r, c = (r - top) // cells, (c - left) // cells
        reached[r, c] = True
        seen[r[..., 0], c[..., 0]] = True
        seen[r[..., 1:][visible], c[..., 1:][visible]] = True
    return Beside(top=top, left=left, cells=cells, reached=reached, seen=seen)


def _nearest(
    heights: NDArray[np.float32], row: NDArray[np.generic], column: NDArray[np.generic]
) -> NDArray[np.float32]:
    """Heights of the cells that points fall into; nan outside."""
    r, c = (np.rint(each).astype(np.intp) for each in (row, column))
    inside = (r >= 0) & (r < heights.shape[0]) & (c >= 0) & (c < heights.shape[1])
    found = heights[np.where(inside, r, 0), np.where(inside, c, 0)]
    return np.asarray(np.where(inside, found, np.float32(np.nan)))
