"""Where the ground is water: lakes by their shores on record, the sea by the terrain's flat zero.

Such cells are closed to feet, and hold no chance for a thing that stands on land.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.gridframe import cells_at
from backbearing.models.patches import patches
from backbearing.models.walkground import mark_line
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from backbearing.records import Floats, Grid, GroundLine

    Bools = NDArray[np.bool_]

SEA_FROM_M2 = 250_000.0  # of flat ground at height 0
SEA_AT_EDGE_M2 = 10_000.0  # where the known ground ends in it
FLAT_M = 0.005  # to the centimetre
_ISLAND_ABOVE_M = 0.5  # the ground within a shore above the shore: then it is an island's
_SAME_RING = 0.98  # of the cells: a shore on record twice


def water_on(
    grid: Grid, height_m: Floats, lines: Sequence[GroundLine]
) -> list[tuple[str | None, Bools]]:
    """The waters of a grid: None for the sea or a lake's name, which may be '', and its cells.

    height_m: (rows, columns), nan where not known. lines: those on record.

    A closed shore holds water where the ground within is no higher than the shore and the sea is
    not round it; one within that holds an island. Of ground that is flat to the centimetre at
    height 0, what is large is the sea. Heights above or below 0 never are: there may be land.
    """
    sea = _sea(grid, height_m)
    found: list[tuple[str | None, Bools]] = [(None, sea)] if sea.any() else []
    rings = [ring for ring in (_ring(grid, line) for line in lines) if ring is not None]
    for line, inside, rim in sorted(rings, key=lambda ring: -int(ring[1].sum())):
        held = [cells for _, cells in found if cells is not sea and cells[inside].all()]
        if held:
            if inside.sum() < _SAME_RING * held[-1].sum():
                held[-1][inside] = False
        elif _is_lake(height_m, inside, rim, sea):
            found.append((line.name, inside))
    return found


def water_said(waters: Sequence[tuple[str | None, Bools]]) -> tuple[str, ...]:
    """What waters were taken from, in words."""
    said = []
    lakes = dict.fromkeys(name for name, _ in waters if name is not None)
    if any(name is None for name, _ in waters):
        said.append(say("ground at height 0 taken as sea: it is flat to the centimetre there"))
    if lakes:
        named = ", ".join(name or say("a lake") for name in lakes)
        said.append(say("within its shore on record taken as water: {named}", named=named))
    return tuple(said)


def _sea(grid: Grid, height_m: Floats) -> Bools:
    level = np.abs(height_m) < FLAT_M  # nan is not
    if level.sum() * grid.cell_m**2 < SEA_AT_EDGE_M2:
        return np.zeros(height_m.shape, dtype=bool)
    number, count = patches(level)
    size_m2 = np.bincount(number.ravel(), minlength=count + 1) * grid.cell_m**2
    edge = np.zeros(count + 1, dtype=bool)
    for side in (number[0], number[-1], number[:, 0], number[:, -1]):
        edge[side] = True
    sea = (size_m2 >= SEA_FROM_M2) | (edge & (size_m2 >= SEA_AT_EDGE_M2))
    sea[0] = False
    return np.asarray(sea[number])


def _ring(grid: Grid, line: GroundLine) -> tuple[GroundLine, Bools, Bools] | None:
    """The cells within a closed shore and those its line runs through; None for other lines."""
    import shapely

    corners = np.stack([line.latitude_deg, line.longitude_deg], axis=1)
    if line.kind != "shore" or len(corners) < 4 or not np.array_equal(corners[0], corners[-1]):
        return None
    column, row = cells_at(grid, line.latitude_deg, line.longitude_deg)
    rows, columns = grid.height_m.shape
    if not (np.isfinite(row) & np.isfinite(column)).all():
        return None
    top, left = max(0, int(np.ceil(row.min()))), max(0, int(np.ceil(column.min())))
    bottom, right = min(rows, int(row.max()) + 1), min(columns, int(column.max()) + 1)
    if top >= bottom or left >= right:
        return None
    area = shapely.Polygon(np.stack([column, row], axis=1))
    shapely.prepare(area)
    at_row, at_column = np.mgrid[top:bottom, left:right]
    inside = np.zeros((rows, columns), dtype=bool)
    inside[top:bottom, left:right] = shapely.contains_xy(area, at_column, at_row)
    if not inside.any():
        return None
    rim = np.zeros((rows, columns), dtype=bool)
    mark_line(rim, row, column)
    return line, inside, rim


def _is_lake(height_m: Floats, inside: Bools, rim: Bools, sea: Bools) -> bool:
    """Not an island's shore: where no height is known that cannot be told, and it is not taken."""
    within, round_it = height_m[inside], height_m[rim]
    if not np.isfinite(within).any() or not np.isfinite(round_it).any():
        return False
    if float(np.nanmedian(within)) > float(np.nanmedian(round_it)) + _ISLAND_ABOVE_M:
        return False
    beyond = _grown(_grown(rim | inside)) & ~inside & ~rim
    return not (beyond.any() and sea[beyond].mean() > 0.5 and sea[inside].mean() < 0.5)


def _grown(cells: Bools) -> Bools:
    found = cells.copy()
    found[1:] |= cells[:-1]
    found[:-1] |= cells[1:]
    found[:, 1:] |= cells[:, :-1]
    found[:, :-1] |= cells[:, 1:]
    return found
