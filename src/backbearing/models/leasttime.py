"""Least time on foot from one cell of a grid to all others, over sixteen moves.

. k . k .      d: the eight neighbours, k: the eight knight's moves. With the eight alone a
k d d d k      way is up to 8 % too long; with sixteen up to 2.7 %.
. d ✕ d .      Each move is walked in pieces from cell to cell it crosses, so that none jumps
k d d d k      a closed cell, a step too steep, or a stream.
. k . k .
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from numpy.typing import NDArray

    from backbearing.records import Floats

# (rows down, columns right), straight ones first, then diagonal, then knight's moves
MOVES: tuple[tuple[int, int], ...] = (
    *((-1, 0), (0, 1), (1, 0), (0, -1)),
    *((-1, 1), (1, 1), (1, -1), (-1, -1)),
    *((-2, 1), (-1, 2), (1, 2), (2, 1), (2, -1), (1, -2), (-1, -2), (-2, -1)),
)
LONGEST_MOVE = 2
NOWHERE = -1
_CELLS_AT_ONCE = 32_768
_SLOPES_IN_ONE = 4096  # a step of the table is worth 0.1 % of the time where a rule is steepest
_SLOPES = 4 * _SLOPES_IN_ONE  # pieces steeper than 4 (76°) are closed


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """What a walker meets in each cell: arrays (rows, columns), row 0 northernmost."""

    height_m: Floats  # nan: not known, and closed
    slower: Floats  # time against the walking rule: 1 on a path, 5/3 off it, …
    closed: NDArray[np.bool_]  # cells nobody enters
    barred: NDArray[np.uint16]  # bit n set: move n of MOVES from here crosses a barrier
    cell_x_m: float
    cell_y_m: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeastTime:
    """Least times of all cells from (or to) one, and the way there."""

    seconds: Floats  # (rows, columns), inf where there is no way within the limit
    next_cell: NDArray[np.int32]  # flat index of the cell before (after) on the way, or NOWHERE


def least_time(
    ground: Ground,
    cell: tuple[int, int],
    seconds_per_m: Callable[[Floats], Floats],
    *,
    towards: bool = False,
    steepest: float = np.inf,
    limit_s: float = np.inf,
) -> LeastTime:
    """How long does it take from a cell to each other one, and which way?

    cell: (row, column). seconds_per_m: seconds for a metre by slope, rise over run (a rule of
    `models.walking`). towards: times *to* the cell instead of from it: up and down change sides.
    steepest: a step between two cells side by side that rises or falls more, by rise over run, is
    crossed by no move. limit_s: cells farther off are left out (inf).

    Method: shortest paths (Dijkstra; scipy) over 16 moves a cell; a knight's move is walked in
    two pieces over the mean height of the two cells it passes between; factors are the mean of
    the cells crossed. A diagonal move is closed where both ways round its corner are.

    Raises BadInput where the cell is outside, closed or without a height.
    """
    (found,) = least_times(
        ground, (cell,), seconds_per_m, towards=towards, steepest=steepest, limit_s=limit_s
    )
    return found


def least_times(
    ground: Ground,
    cells: Sequence[tuple[int, int]],
    seconds_per_m: Callable[[Floats], Floats],
    *,
    towards: bool = False,
    steepest: float = np.inf,
    limit_s: float = np.inf,
) -> Iterator[LeastTime]:
    """`least_time` from each of many cells over one ground, one after the other.

    What a move costs is worked out once for all of them. Raises BadInput as `least_time`, when
    the first is asked for.
    """
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import dijkstra

    rows, columns = ground.height_m.shape
    for cell in cells:
        _check_start(ground, cell)
    cost, target = _moves(ground, seconds_per_m, towards=towards, steepest=steepest)
    count = rows * columns
    graph = csr_array(
        (cost, target, np.arange(0, 16 * count + 1, 16, dtype=np.int32)), shape=(count, count)
    )
    for cell in cells:
        seconds, before = dijkstra(
            graph,
            directed=True,
            indices=cell[0] * columns + cell[1],
            return_predecessors=True,
            limit=limit_s,
        )
        before[before < 0] = NOWHERE
        yield LeastTime(
            seconds=seconds.reshape(rows, columns), next_cell=before.reshape(rows, columns)
        )


def _check_start(ground: Ground, cell: tuple[int, int]) -> None:
    rows, columns = ground.height_m.shape
    if not (0 <= cell[0] < rows and 0 <= cell[1] < columns):
        raise BadInput("the start lies outside the ground", where="start", remedy="add terrain")
    if ground.closed[cell] or not np.isfinite(ground.height_m[cell]):
        raise BadInput(
            "the start lies on closed ground or where no height is known",
            where="start",
            remedy="move it to ground one can stand on, or add terrain that covers it",
        )


def way(found: LeastTime, cell: tuple[int, int], *, towards: bool = False) -> NDArray[np.int32]:
    """The cells (n, 2) of the least-time way between the start and a cell, in walking order.

    towards: as given to `least_time`. Empty where there is no way.
    """
    columns = found.seconds.shape[1]
    if not np.isfinite(found.seconds[cell]):
        return np.empty((0, 2), dtype=np.int32)
    flat = found.next_cell.ravel()
    at = cell[0] * columns + cell[1]
    passed = [at]
    while (at := int(flat[at])) != NOWHERE:
        passed.append(at)
    order = np.array(passed if towards else passed[::-1], dtype=np.int32)
    return np.stack(np.divmod(order, columns), axis=1).astype(np.int32)


def _moves(
    ground: Ground,
    seconds_per_m: Callable[[Floats], Floats],
    *,
    towards: bool,
    steepest: float,
) -> tuple[Floats, NDArray[np.int32]]:
    """Seconds and target of the sixteen moves of each cell, flat; inf where a move is closed.

    Some rows at a time: what is written then stays in the processor's cache.
    """
    rows, columns = ground.height_m.shape
    shut = ground.closed | ~np.isfinite(ground.height_m)
    edge = LONGEST_MOVE  # a closed rim, so that every move ends on the page
    own = np.pad(np.arange(rows * columns, dtype=np.int32).reshape(rows, columns), edge)
    page = _Page(
        height=np.pad(np.where(shut, 0.0, ground.height_m), edge).astype(np.float32),
        slower=np.pad(ground.slower, edge).astype(np.float32),
        shut=np.pad(shut, edge, constant_values=True),
        rule=_rule_by_slope(seconds_per_m, towards=towards),
        too_steep=(None, None),
    )
    if np.isfinite(steepest):
        page = replace(
            page,
            too_steep=(
                np.abs(np.diff(page.height, axis=0)) > steepest * ground.cell_y_m,
                np.abs(np.diff(page.height, axis=1)) > steepest * ground.cell_x_m,
            ),
        )
    cost = np.empty((rows, columns, len(MOVES)))
    target = np.empty((rows, columns, len(MOVES)), dtype=np.int32)
    at_once = max(1, _CELLS_AT_ONCE // columns)
    for top in range(0, rows, at_once):
        bottom = min(top + at_once, rows)
        box = (slice(top + edge, bottom + edge), slice(edge, columns + edge))
        for number, (down, across) in enumerate(MOVES):
            length_m = float(np.hypot(down * ground.cell_y_m, across * ground.cell_x_m))
            seconds, bad = page.move(box, (down, across), length_m)
            bad |= ((ground.barred[top:bottom] >> np.uint16(number)) & 1).astype(bool)
            seconds[bad] = np.inf
            cost[top:bottom, :, number] = seconds
            target[top:bottom, :, number] = own[_moved(box, (down, across))]
    return cost.reshape(-1), target.reshape(-1)


def _rule_by_slope(
    seconds_per_m: Callable[[Floats], Floats], *, towards: bool
) -> NDArray[np.float32]:
    """Seconds a metre at slopes from −4 to 4, so that a rule costs the same however it is made."""
    slope = np.arange(-_SLOPES, _SLOPES + 1) / _SLOPES_IN_ONE
    with np.errstate(over="ignore"):
        rule = np.asarray(seconds_per_m(-slope if towards else slope), dtype=np.float32)
    rule[[0, -1]] = np.inf  # steeper than the table goes
    return rule


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Page:
    """The ground within a closed rim, and what a metre costs at each slope."""

    height: NDArray[np.float32]
    slower: NDArray[np.float32]
    shut: NDArray[np.bool_]
    rule: NDArray[np.float32]
    # between a cell and the one below it, and the one right of it
    too_steep: tuple[NDArray[np.bool_] | None, NDArray[np.bool_] | None]

    def move(
        self, box: tuple[slice, slice], step: tuple[int, int], length_m: float
    ) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
        """Seconds of one move from each cell of a box, and where it may not be made."""
        end = _moved(box, step)
        bad = self.shut[box] | self.shut[end]
        slower = self.slower[box] + self.slower[end]
        between = [_moved(box, other) for other in _between(*step)]
        if not between or abs(step[0]) == abs(step[1]):
            if between:  # past a corner, round which there are two ways
                one, other = between
                bad |= (self.shut[one] | self._steep(box, one, end)) & (
                    self.shut[other] | self._steep(box, other, end)
                )
            else:
                bad |= self._steep(box, end)
            return self._walk(self.height[box], self.height[end], length_m) * (slower / 2.0), bad
        side, other = between  # a knight's move, through two cells side by side
        bad |= self.shut[side] | self.shut[other] | self._steep(box, side, other, end)
        slower += self.slower[side] + self.slower[other]
        middle = (self.height[side] + self.height[other]) / 2.0
        seconds = self._walk(self.height[box], middle, length_m / 2.0)
        seconds += self._walk(middle, self.height[end], length_m / 2.0)
        return seconds * (slower / 4.0), bad

    def _steep(self, *boxes: tuple[slice, slice]) -> NDArray[np.bool_] | Literal[False]:
        """Whether a step is too steep on the way from cell to neighbouring cell."""
        down, right = self.too_steep
        if down is None or right is None:
            return False
        steep: NDArray[np.bool_] | Literal[False] = False
        for start, end in pairwise(boxes):
            first = (
                slice(min(start[0].start, end[0].start), min(start[0].stop, end[0].stop)),
                slice(min(start[1].start, end[1].start), min(start[1].stop, end[1].stop)),
            )
            steep = steep | (down if start[0] != end[0] else right)[first]
        return steep

    def _walk(
        self, start: NDArray[np.float32], end: NDArray[np.float32], length_m: float
    ) -> NDArray[np.float32]:
        place = (end - start) * np.float32(_SLOPES_IN_ONE / length_m)
        np.clip(place, -_SLOPES, _SLOPES, out=place)
        place += np.float32(_SLOPES + 0.5)
        return np.float32(length_m) * self.rule.take(place.astype(np.intp))


def _moved(box: tuple[slice, slice], step: tuple[int, int]) -> tuple[slice, slice]:
    down, across = step
    return (
        slice(box[0].start + down, box[0].stop + down),
        slice(box[1].start + across, box[1].stop + across),
    )


def _between(down: int, across: int) -> tuple[tuple[int, int], ...]:
    """The two cells a slanting move passes between or through, as steps from its start."""
    if down == 0 or across == 0:
        return ()
    unit = (int(np.sign(down)), int(np.sign(across)))
    if abs(down) == abs(across):
        return ((unit[0], 0), (0, unit[1]))
    if abs(down) > abs(across):
        return ((unit[0], 0), unit)
    return ((0, unit[1]), unit)
