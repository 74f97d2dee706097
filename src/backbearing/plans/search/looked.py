"""How likely the subject would have been seen in each piece, were it there: by the looks on record.

Of a walk past, the strip that is swept lies on both sides of the walker; what of it falls on a
piece, times the length walked, over the piece's area, is the coverage (`models.detection`). How
wide it is goes by the class of the ground (`sight`); what the terrain hides from all of the walk is
taken off (`models.looksight`).

A thing behind a wall or in a bend shows to one way of going only. So the direction of travel is
taken from the track: with or against the line, or by the compass in cells.

    looked round          the coverage counts, whichever way the thing shows
    looked only ahead     it counts for a thing that shows that way, and not for one that shows the
                          other way; going across, half for each. Which way it shows is not known:
                          both ways (four of the compass, in cells) are equally likely
    a second look         the same way again counts by half, the other way by three quarters

Common practice, no source; that both ways are equally likely is the law of no knowledge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import NotebookError, NotFound
from backbearing.models.detection import SNOW_SHARE, chance_seen, seen_by_looks, sweep_width_m
from backbearing.models.gridframe import cells_at
from backbearing.models.looksight import seen_beside
from backbearing.plans.search.ground import along
from backbearing.plans.search.lookside import counted_on
from backbearing.plans.search.sight import ranges_m, samples, tangents
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from backbearing.notebook import Notebook
    from backbearing.plans.search.ground import SearchGround
    from backbearing.records import Floats, Grid, Look

THROUGH_SHARE = 0.3  # of the width, where one only walked through; common practice, no source
FIX_ERROR_M = 10.0  # of a track's fixes, 95 %: nearer the line than this it tells no side
WORTH_THE_NAME = 0.05  # a chance to have seen it, from which a place was looked at
STEP_M = 5.0
NOT_HIDDEN = phrase("what the ground hides from a walk is not taken off its look")
_GAP_M = 200.0  # a longer jump between fixes was not walked straight
_CORNER = 1.2  # of the range: how far the swept strip's corners reach
_ONE_WAY = 0.5  # of the mean direction: more than this is a direction of travel
WINDS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Walked:
    """Points STEP_M apart along a track on the ground's plane, and which way it went there."""

    x_m: Floats
    y_m: Floats
    head_x: Floats  # of length 1
    head_y: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Covered:
    """What a look covered: of each piece (n,) the coverage, and the mean direction of travel.

    travel: (n, 2); along a line how far with it (the second is 0), in cells east and north.
    way: the direction in words. said: of the side it was told by; '' for nothing.
    """

    look: Look
    coverage: Floats
    travel: Floats
    way: str
    said: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenByLooks:
    """The looks that count, what they come to on each piece (n,), and what is to be said."""

    chance: Floats
    looks: tuple[Covered, ...]
    said: tuple[str, ...]

    def often(self, pieces: NDArray[np.intp], weight: Floats) -> int:
        """How many looks would have seen it on some pieces (p,), with a chance worth the name."""
        chances = (
            float((weight * chance_seen(each.coverage[pieces], each.look.law)).sum())
            for each in self.looks
        )
        return sum(chance >= WORTH_THE_NAME for chance in chances)

    def of(self, look: Look) -> Covered | None:
        """What one look covered; None where it does not count."""
        return next((each for each in self.looks if each.look == look), None)


def seen_chances(
    notebook: Notebook,
    ground: SearchGround,
    looks: Sequence[Look],
    terrain: tuple[Sequence[Grid], str] | None = None,
) -> SeenByLooks:
    """How likely would it have been seen in each piece, by the looks that found nothing?

    terrain: the ground on record, finest first, and '' or why there is none.
    """
    found, said = [], []
    grids, why = terrain or ((), say("no terrain is on record"))
    for look in looks:
        if look.found:
            continue
        walked = walked_points(notebook, look, ground)
        day = look.on or say("no day")
        if walked is None:
            said.append(say("the look of {day} has no track any more: not counted", day=day))
            continue
        covered = covered_by(notebook, ground, look, walked, grids)
        if covered.said:
            said.append(covered.said)
        elif not covered.coverage.any():
            said.append(say("the look of {day} never enters this ground", day=day))
        found.append(covered)
    if found and not _bare(grids):
        said.append(f"{say(NOT_HIDDEN)}: {why or say('the terrain on record has its trees in it')}")
    return SeenByLooks(chance=together(ground, found), looks=tuple(found), said=tuple(said))


def together(ground: SearchGround, looks: Sequence[Covered]) -> Floats:
    """The chance to have seen it in each piece (n,) on any of some looks."""
    if not looks:
        return np.zeros(ground.x_m.shape)
    coverage = np.stack([each.coverage for each in looks])
    travel = np.stack([each.travel for each in looks])
    laws = [each.look.law for each in looks]
    if not any(each.look.ahead for each in looks):
        return seen_by_looks(coverage, laws, travel)
    ahead = np.array([each.look.ahead for each in looks])[:, None]
    facings = [(1.0, 0.0), (-1.0, 0.0)]
    if ground.kind == "grid":
        facings += [(0.0, 1.0), (0.0, -1.0)]
    chances = []
    for facing in facings:
        shows = np.where(ahead, (1.0 + travel @ np.array(facing)) / 2.0, 1.0)
        chances.append(seen_by_looks(coverage * shows, laws, travel))
    return np.asarray(np.mean(chances, axis=0))


def sweep_of(look: Look, range_m: Floats) -> Floats:
    """How wide a strip a look sweeps [m], both sides together, at ranges of any shape."""
    share = (1.0 if look.looking else THROUGH_SHARE) * (SNOW_SHARE if look.snow else 1.0)
    return sweep_width_m(range_m) * share


def walked_points(notebook: Notebook, look: Look, ground: SearchGround) -> Walked | None:
    """The track of a look on the ground's plane; None without one."""
    from backbearing.notebook.tracks import load_track

    if look.track_id is None:
        return None
    try:
        track = load_track(notebook, look.track_id)
    except (NotFound, NotebookError):
        return None
    parts: list[tuple[Floats, ...]] = []
    for segment in track.segments:
        known = np.isfinite(segment.latitude_deg) & np.isfinite(segment.longitude_deg)
        x, y = ground.plane.at(segment.latitude_deg[known], segment.longitude_deg[known])
        if len(x) < 2:
            continue
        step = np.hypot(np.diff(x), np.diff(y))
        step = np.where(step > _GAP_M, 0.0, step)  # nothing is walked over a gap
        way = np.concatenate([[0.0], np.cumsum(step)])
        at = np.arange(STEP_M / 2, way[-1], STEP_M)
        keep = np.concatenate([[True], np.diff(way) > 0.0])
        way, x, y = way[keep], x[keep], y[keep]
        # over the fixes' error, so that a wandering fix turns nobody round
        ends = [
            [np.interp(at + sign * FIX_ERROR_M, way, each) for each in (x, y)] for sign in (1, -1)
        ]
        head_x, head_y = (ahead - behind for ahead, behind in zip(*ends, strict=True))
        length = np.maximum(np.hypot(head_x, head_y), 1e-9)
        parts.append(
            (np.interp(at, way, x), np.interp(at, way, y), head_x / length, head_y / length)
        )
    if not parts:
        return None
    x, y, head_x, head_y = (np.concatenate(each) for each in zip(*parts, strict=True))
    return Walked(x_m=x, y_m=y, head_x=head_x, head_y=head_y)


def covered_by(
    notebook: Notebook, ground: SearchGround, look: Look, walked: Walked, grids: Sequence[Grid]
) -> Covered:
    """What a look along these points covered, of its side, less what the terrain hides."""
    counts, said = counted_on(notebook, ground, look)
    sweep_m = sweep_of(look, ranges_m(notebook, ground, look.sight, grids))
    if ground.kind == "line":
        coverage, travel, way = _along_line(ground, walked, sweep_m, counts)
    else:
        coverage, travel, way = _over_cells(ground, walked, sweep_m)
    coverage = coverage * counts
    bare = _bare(grids)
    pieces = np.flatnonzero(coverage > 0.0)
    if bare and len(pieces):
        coverage[pieces] *= _in_sight(ground, walked, pieces, bare, _CORNER * look.sight.farthest_m)
    return Covered(look=look, coverage=coverage, travel=travel, way=way, said=said)


def sides_unclear(ground: SearchGround, walked: Walked) -> bool:
    """Whether a walk keeps so near the line that its fixes do not tell the side."""
    if ground.line_m is None:
        return False
    _chainage, away, _side = along(ground.line_m, walked.x_m, walked.y_m)
    near = away <= ground.width_m
    return bool(near.any()) and float(np.mean(away[near] < FIX_ERROR_M)) > 0.5


def _bare(grids: Sequence[Grid]) -> list[Grid]:
    """Those whose heights are the ground's: on a surface one would stand on the trees."""
    return [grid for grid in grids if grid.ground != "surface"]


def _in_sight(
    ground: SearchGround,
    walked: Walked,
    pieces: NDArray[np.intp],
    grids: Sequence[Grid],
    reach_m: float,
) -> Floats:
    """What share of each piece that was in reach of the walk was seen from it (p,).

    By the finest grid that knows the ground under each point of the walk; a piece that no ray meets
    counts as seen.
    """
    x, y = samples(ground, pieces)
    latitude, longitude = ground.plane.places(x.ravel(), y.ravel())
    stood = ground.plane.places(walked.x_m, walked.y_m)
    left = np.ones(walked.x_m.shape, dtype=bool)
    reached, seen = (np.zeros(x.shape, dtype=bool) for _ in range(2))
    for grid in grids:
        if not left.any():
            break
        column, row = cells_at(grid, stood[0][left], stood[1][left])
        rows, columns = grid.height_m.shape
        inside = (row >= 0) & (row <= rows - 1) & (column >= 0) & (column <= columns - 1)
        r, c = (np.rint(each[inside]).astype(np.intp) for each in (row, column))
        inside[inside] = np.isfinite(grid.height_m[r, c])
        if not inside.any():
            continue
        beside = seen_beside(grid.height_m, grid.cell_m, row[inside], column[inside], reach_m)
        column_at, row_at = cells_at(grid, latitude, longitude)
        here = beside.counts(row_at.reshape(x.shape), column_at.reshape(x.shape))
        reached |= here[0]
        seen |= here[1]
        left[np.flatnonzero(left)[inside]] = False
    if left.any():  # from ground of no known height all is seen that another eye did not see
        return np.ones(len(pieces)) if left.all() else _share(reached, seen)
    return _share(reached, seen)


def _share(reached: NDArray[np.bool_], seen: NDArray[np.bool_]) -> Floats:
    within = reached.sum(axis=1)
    return np.where(within > 0, seen.sum(axis=1) / np.maximum(within, 1), 1.0)


def _along_line(
    ground: SearchGround, walked: Walked, sweep_m: Floats, counts: NDArray[np.bool_]
) -> tuple[Floats, Floats, str]:
    assert ground.line_m is not None  # noqa: S101 - so it is along a line
    assert ground.from_m is not None  # noqa: S101
    assert ground.to_m is not None  # noqa: S101
    assert ground.side is not None  # noqa: S101
    chainage, away, side = along(ground.line_m, walked.x_m, walked.y_m)
    near = away <= ground.width_m + float(sweep_m.max()) / 2.0
    chainage, offset = chainage[near], (away * side)[near]
    run_x, run_y = tangents(ground.line_m, chainage)
    along_it = walked.head_x[near] * run_x + walked.head_y[near] * run_y
    count = int((ground.side == ground.side[0]).sum())
    edges = np.append(ground.from_m[:count], ground.to_m[count - 1])
    number = np.clip(np.searchsorted(edges, chainage, side="right") - 1, 0, count - 1)
    found, with_it = (np.zeros(ground.x_m.shape) for _ in range(2))
    for sign in (-1, 1):
        pieces = np.flatnonzero(ground.side == sign)
        half = sweep_m[pieces][number] / 2.0
        low, high = offset - half, offset + half  # the strip swept, left of the line below 0
        first, last = (-ground.width_m, 0.0) if sign < 0 else (0.0, ground.width_m)
        swept = np.clip(np.minimum(high, last) - np.maximum(low, first), 0.0, None) * STEP_M
        for sums, weights in ((found, swept), (with_it, swept * along_it)):
            sums[pieces] += np.bincount(number, weights=weights, minlength=count)[:count]
    found, with_it = found * counts, with_it * counts
    travel = np.zeros((len(found), 2))
    travel[:, 0] = with_it / np.maximum(found, 1e-9)
    mean = float(with_it.sum() / max(found.sum(), 1e-9))
    ways = (say("with the line"), say("against the line"))
    way = say("both ways") if abs(mean) <= _ONE_WAY else ways[mean < 0.0]
    return found / ground.size_m2, travel, way


def _over_cells(
    ground: SearchGround, walked: Walked, sweep_m: Floats
) -> tuple[Floats, Floats, str]:
    from scipy.ndimage import uniform_filter

    shape = (ground.rows, ground.columns)
    left, top = float(ground.x_m.min()), float(ground.y_m.max())
    column = np.rint((walked.x_m - left) / ground.cell_m).astype(int)
    row = np.rint((top - walked.y_m) / ground.cell_m).astype(int)
    inside = (column >= 0) & (column < ground.columns) & (row >= 0) & (row < ground.rows)
    cell = row[inside] * ground.columns + column[inside]
    east, north = walked.head_x[inside], walked.head_y[inside]
    walks: list[Floats] = [
        np.bincount(cell, weights=each * STEP_M, minlength=ground.x_m.size)
        .astype(np.float64)
        .reshape(shape)
        for each in (np.ones(len(cell)), east, north)
    ]

    def spread(values: Floats, width_m: float) -> Floats:
        """Length walked a square metre, over a window as wide as what is swept."""
        cells = max(1, round(width_m / ground.cell_m))
        return np.asarray(uniform_filter(values, size=cells, mode="constant") / ground.cell_m**2)

    found = np.zeros(shape)
    wide = sweep_m.reshape(shape)
    for width_m in np.unique(wide).tolist():
        here = wide == width_m
        found[here] = (spread(walks[0], width_m) * width_m)[here]
    covered = np.where(found > 1e-9, found, 0.0).ravel()  # the filter rounds below 0
    widest = float(wide.max())
    length = np.maximum(spread(walks[0], widest).ravel(), 1e-12)
    travel = np.stack([spread(each, widest).ravel() / length for each in walks[1:]], axis=1)
    travel[covered <= 0.0] = 0.0
    travel /= np.maximum(1.0, np.hypot(*travel.T))[:, None]
    way = say("nowhere here")
    if len(cell):
        mean = float(east.mean()), float(north.mean())
        wind = WINDS[round(float(np.degrees(np.arctan2(*mean))) / 45.0) % 8]
        way = say("mostly {wind}", wind=wind) if np.hypot(*mean) > _ONE_WAY else say("no one way")
    return covered, travel, way
