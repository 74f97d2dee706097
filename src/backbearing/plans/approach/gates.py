"""Where barriers let a walker through: passages on record, and where a past track crossed."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.gridframe import cells_at

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from backbearing.plans.approach.ground import Area
    from backbearing.records import Floats, Grid, GroundLine, Passage

    Bools = NDArray[np.bool_]

TRUSTED_CHANCE = 0.5  # a passage less likely open than this is not counted on
CROSSING_REACH_M = 15.0  # around a passage a barrier does not bar the way
WIDEST_REACH_M = 40.0  # for a passage whose place is known no better than this
SHUT_REACH_M = 20.0  # around one not counted on there is no way, tracks or not: a track's error
LEAST_REACH = 1.5  # cells


def let_through(area: Area, passages: Collection[int | None]) -> Area:
    """The area with these passages open (by their numbers) and all others shut.

    Where a past track crossed a barrier it is open too, but at a passage that is shut: what was
    found there counts for more.
    """
    shape = area.barriers.shape
    shut, let, crossed = (np.zeros(shape, dtype=bool) for _ in range(3))
    near_m = max(CROSSING_REACH_M, LEAST_REACH * area.grid.cell_m)
    refused = []  # where a crossing is of the shut passage, by the track's own error
    for passage, _ in area.passages:
        spot = spot_of(area.grid, passage)
        if passage.id in passages:
            let |= disc(shape, spot, open_reach(area.grid, passage))
        elif not (area.wade and passage.kind in ("bridge", "ford")):
            reach = shut_reach(area.grid, passage)
            shut |= disc(shape, spot, reach)
            refused.append((spot, reach + near_m / area.grid.cell_m))
    for spot in area.crossed:
        if all(math.dist(spot, other) > reach for other, reach in refused):
            crossed |= disc(shape, spot, near_m / area.grid.cell_m)
    shut &= ~let
    barred = area.barriers.copy()
    barred[crossed | let] = 0
    return replace(area, barred=barred, shut=shut, let=let, opened=frozenset(passages))


def trusted(area: Area) -> frozenset[int | None]:
    """The numbers of the passages that are counted on."""
    return frozenset(passage.id for passage, chance in area.passages if chance >= TRUSTED_CHANCE)


def may_be_open(area: Area) -> frozenset[int | None]:
    """The numbers of all passages but those that a wall shuts."""
    return frozenset(passage.id for passage, chance in area.passages if chance > 0.0)


def spot_of(grid: Grid, passage: Passage) -> tuple[float, float]:
    """The (row, column) of a passage; may lie outside."""
    column, row = cells_at(
        grid, np.array(passage.place.latitude_deg), np.array(passage.place.longitude_deg)
    )
    return float(row), float(column)


def open_reach(grid: Grid, passage: Passage) -> float:
    """How many cells around an open passage the way is free: as far as its place is known."""
    reach_m = max(CROSSING_REACH_M, min(passage.place.error_m, WIDEST_REACH_M))
    return max(reach_m / grid.cell_m, LEAST_REACH)


def shut_reach(grid: Grid, passage: Passage) -> float:
    """How many cells around a shut passage there is no way."""
    return max(SHUT_REACH_M / grid.cell_m, LEAST_REACH, open_reach(grid, passage))


def disc(shape: tuple[int, ...], spot: tuple[float, float], reach: float) -> Bools:
    """The cells no farther than `reach` from a spot."""
    found = np.zeros(shape, dtype=bool)
    if not all(map(math.isfinite, spot)):
        return found
    top, left = (max(0, math.floor(at - reach)) for at in spot)
    bottom, right = (max(0, math.ceil(at + reach) + 1) for at in spot)
    box = found[top:bottom, left:right]
    rows, columns = np.mgrid[top : top + box.shape[0], left : left + box.shape[1]]
    box[:] = np.hypot(rows - spot[0], columns - spot[1]) <= reach
    return found


def crossings(
    barriers: Sequence[tuple[GroundLine, Floats, Floats]],
    walked: Sequence[tuple[int, Floats, Floats, Floats]],
    reach: float,
) -> list[tuple[float, float]]:
    """Where tracks crossed barriers: (row, column), wandering along one left aside.

    A walk counts as crossing only between two fixes farther from the line than a track's own error
    (`reach`, in cells), with the line between them an odd number of times.
    """
    from shapely import (
        LineString,
        STRtree,
        dwithin,
        get_coordinates,
        intersection,
        points,
        prepare,
    )

    if not barriers or not walked:
        return []
    lines = [LineString(np.stack([row, column], axis=1)) for _, row, column in barriers]
    prepare(lines)
    tree = STRtree(lines)
    found: list[tuple[float, float]] = []
    for _, row, column, _ in walked:
        fixes = np.stack([row, column], axis=1)
        spots = points(fixes)
        steps, met_lines = tree.query(steps_of(row, column), predicate="intersects")
        for index in np.unique(met_lines).tolist():
            clear = np.flatnonzero(~dwithin(lines[index], spots, reach))
            # between which two clear fixes each step over the line lies
            gap = np.searchsorted(clear, steps[met_lines == index], side="right")
            for after in np.unique(gap[(gap > 0) & (gap < len(clear))]).tolist():
                piece = LineString(fixes[clear[after - 1] : clear[after] + 1])
                met = get_coordinates(intersection(piece, lines[index]))
                if len(met) % 2:
                    at_row, at_column = met[len(met) // 2].tolist()
                    found.append((at_row, at_column))
    return found


def steps_of(row: Floats, column: Floats) -> NDArray[np.object_]:
    """The pieces between the points of a line, as shapes; none for a single point."""
    from shapely import linestrings

    points = np.stack([row, column], axis=1)
    return np.asarray(linestrings(np.stack([points[:-1], points[1:]], axis=1)))
