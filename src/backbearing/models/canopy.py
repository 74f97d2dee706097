"""Ground with trees on it: what a canopy around a spot adds to the heights its sky is seen over."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.arguments import within
from backbearing.models.gridframe import grid_frame
from backbearing.models.illuminance.canopy import BARE_BRANCHES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.records import Grid

HEIGHT_ERROR_SHARE = 0.25  # 95 %, of a canopy's height judged by eye; common practice, no source
# Sun through leafless branches is this many stops down; common practice, no source.
BRANCHES_STOPS = (BARE_BRANCHES[0] - BARE_BRANCHES[1], BARE_BRANCHES[0] + BARE_BRANCHES[1])


def with_trees(
    grids: Sequence[Grid],
    latitude_deg: float,
    longitude_deg: float,
    *,
    tall_m: float,
    beyond_m: float,
) -> tuple[list[Grid], int]:
    """The same ground with trees on it beyond a distance from a spot, and on how many grids.

    grids: any; only those of bare ground are raised. A surface model has its trees in it already,
    and of ground whose kind is not known nobody can tell. The height's error grows by a quarter of
    the trees'. The ground nearer than beyond_m, and the spot itself, stay as they are.

    Raises BadInput for trees of no height or more than 120 m, a negative distance, and as
    `gridframe.grid_frame` does.
    """
    within("tall_m", tall_m, 0.1, 120.0)
    within("beyond_m", beyond_m, 0.0, 10_000.0)
    found, raised = [], 0
    for grid in grids:
        if grid.ground != "bare ground":
            found.append(grid)
            continue
        height = grid.height_m + np.float32(tall_m)
        rows, columns = height.shape
        frame = grid_frame(grid, latitude_deg, longitude_deg, reach_m=max(beyond_m, grid.cell_m))
        # near the spot columns and rows run straight with east and north
        cells = frame.terms[:2].T / frame.reach_m
        reach = int(np.ceil(np.abs(cells).sum(axis=1).max() * max(beyond_m, grid.cell_m))) + 1
        left, right = (
            min(max(int(frame.column) + step, 0), columns) for step in (-reach, reach + 2)
        )
        top, bottom = (min(max(int(frame.row) + step, 0), rows) for step in (-reach, reach + 2))
        box = (slice(top, bottom), slice(left, right))
        if top < bottom and left < right:
            row, column = np.mgrid[box]
            offset = np.stack([column - frame.column, row - frame.row])
            away = np.hypot(*np.tensordot(np.linalg.inv(cells), offset, axes=1))
            height[box] = np.where(away < beyond_m, grid.height_m[box], height[box])
        found.append(
            replace(
                grid,
                height_m=height,
                vertical_error_m=float(
                    np.hypot(grid.vertical_error_m, HEIGHT_ERROR_SHARE * tall_m)
                ),
            )
        )
        raised += 1
    return found, raised
