"""The ground between two places as cells: heights, what was walked, where water bars the way."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import NotebookError
from backbearing.models.barred import barred_by_lines
from backbearing.models.gridframe import cells_at
from backbearing.models.leasttime import Ground
from backbearing.models.mosaic import laid_together
from backbearing.models.passages import chance_open
from backbearing.models.walkground import mark_line, nearest_open, steepness_deg
from backbearing.plans.approach.gates import (
    WIDEST_REACH_M,
    crossings,
    disc,
    let_through,
    spot_of,
    steps_of,
    trusted,
)
from backbearing.plans.approach.water import water_on, water_said
from backbearing.plans.terraingrids import grids_round
from backbearing.records import WATER_KINDS, Grid
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from numpy.typing import NDArray

    from backbearing.notebook import Notebook
    from backbearing.records import Floats, GroundLine, Passage, Place

    Bools = NDArray[np.bool_]
    Ints = NDArray[np.int64]

MOST_CELLS = 800  # a side
FINEST_CELL_M = 5.0
TRACK_CELL_M = 15.0  # where there is no terrain: about what a fix is good for
AROUND_SHARE = 0.6  # of the distance, on each side: the room for ways round
LEAST_AROUND_M, MOST_AROUND_M = 1000.0, 8000.0
TRACK_REACH_M = 15.0  # a track's own error: ground as near as this to it was walked
NEAR_ENOUGH_M = 60.0  # a way may end so far from a place that is known no better
TRACKLESS, PATH, OWN_TRACK = 0, 1, 2
_WHOLE_REACH = 1.0  # cells


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Area:
    """Ground in cells, and what is known of each."""

    grid: Grid
    height_m: Floats  # (rows, columns); nan where nothing is known
    footing: Ints  # TRACKLESS, PATH or OWN_TRACK
    track: Ints  # number of the last track that walked there, 0 where none did
    steep_deg: Floats
    barriers: NDArray[np.uint16]  # what water and walls bar, passages left aside
    walls: tuple[GroundLine, ...]
    water: tuple[GroundLine, ...]
    passages: tuple[tuple[Passage, float], ...]  # with their chances of being open
    crossed: tuple[tuple[float, float], ...]  # (row, column) where a track crossed a barrier
    wade: bool
    heights_from: str  # "terrain", "tracks", ""
    why_no_terrain: str
    # what `gates.let_through` makes of the barriers and passages
    barred: NDArray[np.uint16]
    shut: Bools  # at passages not counted on
    let: Bools  # at passages that are: open however steep
    wet: Bools  # lakes and the sea, closed but where one has walked
    wet_said: tuple[str, ...]  # what they were taken from
    opened: frozenset[int | None] = frozenset()  # those passages, by number

    def cell(self, place: Place) -> tuple[int, int]:
        """The (row, column) that holds a place; may lie outside."""
        column, row = cells_at(
            self.grid, np.array(place.latitude_deg), np.array(place.longitude_deg)
        )
        return round(float(row)), round(float(column))


def area_between(
    notebook: Notebook,
    start: Place,
    end: Place,
    *,
    on: date,
    wade: bool,
    beyond_m: float = 0.0,
    most_cells: int = MOST_CELLS,
) -> Area:
    """What is known of the ground between two places and around them?

    on: the day, for the passages' chances; those likely open are let through. wade: water bars
    nothing. beyond_m: more room around. most_cells: a side; fewer are quicker and coarser.
    Heights come from the terrain on record, else from the user's own tracks; where neither knows,
    the cell is nan. Raises NotebookError.
    """
    from backbearing.places.geodesy import inverse

    _, apart_m = inverse(
        start.latitude_deg, start.longitude_deg, end.latitude_deg, end.longitude_deg
    )
    around_m = min(max(AROUND_SHARE * apart_m, LEAST_AROUND_M), MOST_AROUND_M) + beyond_m
    half_m = apart_m / 2.0 + around_m
    latitude = (start.latitude_deg + end.latitude_deg) / 2.0
    turn = (end.longitude_deg - start.longitude_deg + 180.0) % 360.0 - 180.0
    longitude = (start.longitude_deg + turn / 2.0 + 180.0) % 360.0 - 180.0
    onto, grids, why = _heights_round(notebook, latitude, longitude, half_m, most_cells)
    cell_m, count = onto.cell_m, len(onto.height_m)
    height = onto.height_m.astype(np.float64)
    footing = np.zeros(height.shape, dtype=np.int64)
    number = np.zeros(height.shape, dtype=np.int64)
    lines = _cells_of_lines(notebook, onto)
    # where there is nothing else to walk on a track must hang together in coarse cells too
    reach = max(TRACK_REACH_M / cell_m, 0.0 if grids else _WHOLE_REACH)
    for line, row, column in lines:
        if line.kind == "path":
            mask = np.zeros(height.shape, dtype=bool)
            mark_line(mask, row, column, reach=reach)
            footing[mask] = PATH
    walked = _tracks(notebook, onto)
    heights_from = "terrain" if grids else ""
    for track_id, row, column, _ in walked:
        mask = np.zeros(height.shape, dtype=bool)
        mark_line(mask, row, column, reach=reach)
        footing[mask] = OWN_TRACK
        number[mask] = track_id
    if not grids and walked:
        height, heights_from = _heights_of_tracks(walked, footing > TRACKLESS), "tracks"
    water = [(line, row, column) for line, row, column in lines if line.kind in WATER_KINDS]
    walls = [(line, row, column) for line, row, column in lines if line.kind == "wall"]
    waters = water_on(onto, height, [line for line, _, _ in lines])
    wet = np.zeros(height.shape, dtype=bool)
    for _, cells in waters:
        wet |= cells
    barring = walls if wade else [*water, *walls]
    barriers = barred_by_lines((count, count), ((row, column) for _, row, column in barring))
    area = Area(
        grid=onto,
        height_m=height,
        footing=footing,
        track=number,
        steep_deg=steepness_deg(height, cell_m, cell_m),
        barriers=barriers,
        walls=tuple(line for line, _, _ in walls),
        water=tuple(line for line, _, _ in water),
        passages=tuple(_passages(notebook, onto, on)),
        crossed=tuple(crossings(barring, walked, TRACK_REACH_M / cell_m)),
        wade=wade,
        heights_from=heights_from,
        why_no_terrain=why,
        barred=barriers,
        shut=np.zeros(height.shape, dtype=bool),
        let=np.zeros(height.shape, dtype=bool),
        wet=wet,
        wet_said=water_said(waters),
    )
    return let_through(area, trusted(area))


def _heights_round(
    notebook: Notebook, latitude: float, longitude: float, half_m: float, most_cells: int
) -> tuple[Grid, Sequence[Grid], str]:
    """A square of cells round a place, filled from the terrain; its grids, or why none."""
    grids, why = grids_round(notebook, latitude, longitude, half_m * math.sqrt(2.0))
    finest = min((grid.cell_m for grid in grids), default=TRACK_CELL_M)
    cell_m = max(finest, FINEST_CELL_M, 2.0 * half_m / most_cells)
    count = math.ceil(2.0 * half_m / cell_m) + 1
    onto = Grid(
        height_m=np.full((count, count), np.nan, dtype=np.float32),
        x_first=-cell_m * (count - 1) / 2.0,
        y_first=cell_m * (count - 1) / 2.0,
        x_step=cell_m,
        y_step=-cell_m,
        crs=f"+proj=aeqd +lat_0={latitude!r} +lon_0={longitude!r} +datum=WGS84 +units=m",
        cell_m=cell_m,
        vertical_error_m=max((grid.vertical_error_m for grid in grids), default=0.0),
        ground=grids[0].ground if grids else "not known",
    )
    if grids:
        onto = laid_together(grids, onto)
    return onto, grids, why


def water_at(
    notebook: Notebook, middle: Place, latitude_deg: Floats, longitude_deg: Floats, reach_m: float
) -> tuple[Bools, tuple[str, ...]]:
    """Which of some places (n,) round a middle lie on water, by the same rule as ways go by?

    Returns what that was taken from too, in words. Raises NotebookError.
    """
    from backbearing.notebook.lines import list_lines

    onto, grids, _ = _heights_round(
        notebook,
        middle.latitude_deg,
        middle.longitude_deg,
        reach_m + LEAST_AROUND_M,
        MOST_CELLS,
    )
    if not grids:
        return np.zeros(len(latitude_deg), dtype=bool), ()
    column, row = cells_at(onto, latitude_deg, longitude_deg)
    rows, columns = onto.height_m.shape
    known = np.isfinite(row) & np.isfinite(column)
    at_row = np.clip(np.rint(np.nan_to_num(row)), 0, rows - 1).astype(np.int64)
    at_column = np.clip(np.rint(np.nan_to_num(column)), 0, columns - 1).astype(np.int64)
    found = np.zeros(len(latitude_deg), dtype=bool)
    met = []
    for name, cells in water_on(
        onto, onto.height_m.astype(np.float64), list_lines(notebook, ("shore",))
    ):
        there = cells[at_row, at_column] & known
        if there.any():
            found |= there
            met.append((name, cells))
    return found, water_said(met)


def walker_ground(
    area: Area, slower: Floats, *, steepest_deg: float, snow_steepest_deg: float | None
) -> Ground:
    """The area as a walker meets it: too steep ground and water are closed, but where one has
    walked.

    At a passage that is let through nothing is too steep; at one that is not, all is closed.
    snow_steepest_deg: off-track ground as steep as this is closed too; None without snow.
    """
    limit = steepest_deg if snow_steepest_deg is None else min(steepest_deg, snow_steepest_deg)
    closed = (area.steep_deg >= limit) | area.wet
    closed &= (area.footing == TRACKLESS) & ~area.let
    closed |= area.shut | ~np.isfinite(area.height_m)
    return Ground(
        height_m=area.height_m,
        slower=slower,
        closed=closed,
        barred=area.barred,
        cell_x_m=area.grid.cell_m,
        cell_y_m=area.grid.cell_m,
    )


def standing_cell(area: Area, ground: Ground, place: Place) -> tuple[int, int] | None:
    """The open cell at a place, or the nearest within its error (60 m at most) and two cells."""
    return nearest_open(ground.closed, area.cell(place), within=_around(area, place))


def nearer_side(
    area: Area, ground: Ground, place: Place, cell: tuple[int, int], seconds: Floats
) -> tuple[int, int]:
    """The cell where one stands at a place: before a shut passage, the one that is reached first.

    cell: of `standing_cell`. seconds: to each cell.
    """
    at = area.cell(place)
    if not (0 <= at[0] < area.shut.shape[0] and 0 <= at[1] < area.shut.shape[1]):
        return cell
    if not area.shut[at]:
        return cell
    round_it = np.argwhere(disc(area.shut.shape, at, _around(area, place)) & ~ground.closed)
    first = round_it[int(np.argmin(seconds[round_it[:, 0], round_it[:, 1]]))]
    return int(first[0]), int(first[1])


def _around(area: Area, place: Place) -> int:
    """How many cells away from a place one may still be said to stand at it."""
    within = math.ceil(min(place.error_m, NEAR_ENOUGH_M) / area.grid.cell_m) + 2
    row, column = area.cell(place)
    inside = 0 <= row < area.shut.shape[0] and 0 <= column < area.shut.shape[1]
    if inside and area.shut[row, column]:  # at a passage that is shut: one stands before it
        within = max(within, math.ceil(WIDEST_REACH_M / area.grid.cell_m) + 1)
    if inside and area.wet[row, column]:  # a landing stage: one stands on the bank
        within = max(within, math.ceil(NEAR_ENOUGH_M / area.grid.cell_m))
    return within


def why_no_ground(area: Area, place: Place) -> tuple[str, str]:
    """Why nobody can stand at a place, in brackets or '', and what to do."""
    row, column = area.cell(place)
    rows, columns = area.wet.shape
    if 0 <= row < rows and 0 <= column < columns and area.wet[row, column]:
        return (
            " (" + say("it lies on water: {said}", said="; ".join(area.wet_said)) + ")",
            say("take a place on land, or import a track that leads there"),
        )
    return (
        f" ({area.why_no_terrain})" if area.why_no_terrain else "",
        say("add terrain that covers it, or import a track that leads there"),
    )


def _cells_of_lines(notebook: Notebook, onto: Grid) -> list[tuple[GroundLine, Floats, Floats]]:
    from backbearing.notebook.lines import list_lines

    found = []
    for line in list_lines(notebook):
        column, row = cells_at(onto, line.latitude_deg, line.longitude_deg)
        if _touches(onto, row, column):
            found.append((line, row, column))
    return found


def _touches(onto: Grid, row: Floats, column: Floats) -> bool:
    rows, columns = onto.height_m.shape
    known = np.isfinite(row) & np.isfinite(column)
    return bool(
        known.all()
        and row.max() >= 0
        and row.min() <= rows
        and column.max() >= 0
        and column.min() <= columns
    )


def _tracks(notebook: Notebook, onto: Grid) -> list[tuple[int, Floats, Floats, Floats]]:
    """Each segment that touches the ground: its track, rows, columns and heights; oldest first."""
    from backbearing.models.choosing import followed_runs
    from backbearing.notebook.tracks import list_tracks, load_track

    found = []
    for stored in list_tracks(notebook):
        try:
            track = load_track(notebook, stored.id)
        except NotebookError:
            continue  # `check` says more
        for segment in track.segments:
            for run in followed_runs(segment):
                column, row = cells_at(onto, run.latitude_deg, run.longitude_deg)
                if len(row) and _touches(onto, row, column):
                    found.append((stored.id, row, column, run.height_m))
    return found


def _heights_of_tracks(walked: Sequence[tuple[int, Floats, Floats, Floats]], mask: Bools) -> Floats:
    """Heights of walked cells by the tracks' own, the nearest where a cell holds none."""
    from scipy.ndimage import distance_transform_edt

    total, count = np.zeros(mask.shape), np.zeros(mask.shape)
    for _, row, column, height_m in walked:
        cell = np.rint(np.stack([row, column])).astype(np.int64)
        good = (
            np.isfinite(height_m)
            & (cell >= 0).all(axis=0)
            & (cell[0] < mask.shape[0])
            & (cell[1] < mask.shape[1])
        )
        np.add.at(total, (cell[0][good], cell[1][good]), height_m[good])
        np.add.at(count, (cell[0][good], cell[1][good]), 1.0)
    if not count.any():
        return np.where(mask, 0.0, np.nan)  # level, which `rests_on` says
    mean = np.divide(total, count, out=np.zeros(mask.shape), where=count > 0)
    _, nearest = distance_transform_edt(count == 0, return_indices=True)
    return np.where(mask, mean[tuple(nearest)], np.nan)


def _passages(notebook: Notebook, onto: Grid, on: date) -> list[tuple[Passage, float]]:
    """The passages on this ground, with their chances of being open."""
    from backbearing.notebook.lines import list_passages

    rows, columns = onto.height_m.shape
    found = []
    for passage in list_passages(notebook):
        row, column = spot_of(onto, passage)
        if 0.0 <= row < rows and 0.0 <= column < columns:  # not for one on the other side, nan
            found.append((passage, chance_open(passage, on)))
    return found


def line_touches(
    lines: Sequence[GroundLine], onto: Grid, row: Floats, column: Floats
) -> list[tuple[int, int]]:
    """Which lines a way crosses, and at which of its points: (point, line) in walking order."""
    from shapely import LineString, STRtree

    if not lines:
        return []
    drawn = []
    for line in lines:
        at_column, at_row = cells_at(onto, line.latitude_deg, line.longitude_deg)
        drawn.append(LineString(np.stack([at_row, at_column], axis=1)))
    points, crossed = STRtree(drawn).query(steps_of(row, column), predicate="intersects")
    return sorted(zip(points.tolist(), crossed.tolist(), strict=True))
