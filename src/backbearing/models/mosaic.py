"""Several grids of ground laid into one: the finest where it reaches, coarser ones beyond."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.gridframe import cells_at, height_at, places_at

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from backbearing.records import Floats, Grid

_NODE_CELLS = 16  # between cells whose place is worked out; straight lines do between them


def laid_together(grids: Sequence[Grid], onto: Grid) -> Grid:
    """The heights of grids, finest first, on the cells of another, whose own heights are ignored.

    Bilinear; a grid much finer than the cells is first joined, by means, into cells about as
    large, so that nothing is drawn from one cell in many. Between a finer grid and a coarser one
    the heights may step by as much as the two differ. nan where no grid knows; `vertical_error_m`,
    `ground` and `name` stay those of `onto`.
    Raises BadInput where a projection is not known.
    """
    shape = onto.height_m.shape
    height: NDArray[np.float32] = np.full(shape, np.nan, dtype=np.float32)
    rows, columns = (_nodes(count) for count in shape)
    latitude, longitude = places_at(onto, *np.meshgrid(columns[0], rows[0]))
    for grid in grids:
        missing = np.isnan(height)
        if not missing.any():
            break
        coarse = joined(grid, round(onto.cell_m / grid.cell_m))
        if min(coarse.height_m.shape) < 2:
            continue
        column, row = (
            rows[1] @ nodes @ columns[1].T for nodes in cells_at(coarse, latitude, longitude)
        )
        height[missing] = height_at(coarse, column[missing], row[missing])
    return dataclasses.replace(onto, height_m=height)


def _nodes(count: int) -> tuple[Floats, Floats]:
    """Some cells of a row (n,), and how much each counts at every cell (count, n)."""
    node = np.unique(np.append(np.arange(0, count, _NODE_CELLS), count - 1)).astype(np.float64)
    shares = np.stack([np.interp(np.arange(count), node, one) for one in np.eye(node.size)], axis=1)
    return node, shares


def joined(grid: Grid, factor: int) -> Grid:
    """A grid whose cells are the means of factor × factor cells; void cells do not count.

    Rows and columns left over at the far edges are dropped; with a factor under 2 it is as it was.
    """
    if factor < 2:
        return grid
    rows, columns = (count // factor for count in grid.height_m.shape)
    blocks = grid.height_m[: rows * factor, : columns * factor]
    blocks = blocks.reshape(rows, factor, columns, factor)
    known = ~np.isnan(blocks)
    count = known.sum(axis=(1, 3))
    total = np.where(known, blocks, np.float32(0.0)).sum(axis=(1, 3))
    mean = np.divide(total, count, where=count > 0, out=np.full(total.shape, np.nan, np.float32))
    return dataclasses.replace(
        grid,
        height_m=mean,
        x_first=grid.x_first + grid.x_step * (factor - 1) / 2,
        y_first=grid.y_first + grid.y_step * (factor - 1) / 2,
        x_step=grid.x_step * factor,
        y_step=grid.y_step * factor,
        cell_m=grid.cell_m * factor,
    )
