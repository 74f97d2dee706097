"""Lines over a grid of heights: brooks, leats and paths found on it, and built into it."""

from __future__ import annotations

import heapq
import itertools
from typing import TYPE_CHECKING

import numpy as np
from ground import Drainage, Floats, Frame, step

if TYPE_CHECKING:
    from numpy.typing import NDArray

Line = list[tuple[float, float]]


def along(line: Line, x: Floats, y: Floats) -> tuple[Floats, Floats, Floats]:
    """For each point, the nearest spot of a line: (metres along it, metres off it, side).

    side is +1 to the left of the line's direction and −1 to the right of it.
    """
    best = np.full(x.shape, np.inf)
    where, side = np.zeros(x.shape), np.ones(x.shape)
    start = 0.0
    for (x0, y0), (x1, y1) in itertools.pairwise(line):
        dx, dy = x1 - x0, y1 - y0
        length = float(np.hypot(dx, dy))
        if length == 0:
            continue
        east, north = x - x0, y - y0
        t = np.clip((east * dx + north * dy) / length**2, 0, 1)
        off = (east - t * dx) ** 2 + (north - t * dy) ** 2
        nearer = off < best
        np.copyto(best, off, where=nearer)
        np.copyto(where, start + t * length, where=nearer)
        np.copyto(side, np.sign(dx * north - dy * east), where=nearer)
        start += length
    return where, np.sqrt(best), side


def along_softly(line: Line, x: Floats, y: Floats, blend_m: float) -> tuple[Floats, Floats]:
    """Metres along a line and off it, without the jump that the inside of a bend has."""
    pieces = list(itertools.pairwise(line))
    starts = np.concatenate([[0.0], np.cumsum([length_m([a, b]) for a, b in pieces])])
    nearest = along(line, x, y)[1]
    total, weights = np.zeros_like(x), np.zeros_like(x)
    for (a, b), start in zip(pieces, starts[:-1], strict=True):
        t, off, _ = along([a, b], x, y)
        weight = np.exp((nearest - off) / blend_m)
        total += weight * (start + t)
        weights += weight
    return total / weights, nearest


def length_m(line: Line) -> float:
    """How long a line is [m]."""
    return sum(float(np.hypot(b[0] - a[0], b[1] - a[1])) for a, b in itertools.pairwise(line))


def points_along(line: Line, every_m: float) -> tuple[Floats, Floats, Floats]:
    """Evenly spaced points of a line, both ends kept: (metres along it, x, y)."""
    corners = np.array(line)
    reach = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
    s = np.linspace(0, reach[-1], max(2, round(reach[-1] / every_m) + 1))
    return s, np.interp(s, reach, corners[:, 0]), np.interp(s, reach, corners[:, 1])


def rounded(line: Line, times: int = 2) -> Line:
    """The line with its corners cut (Chaikin), both ends kept."""
    for _ in range(times):
        cut = [line[0]]
        for (x0, y0), (x1, y1) in itertools.pairwise(line):
            cut += [
                (0.75 * x0 + 0.25 * x1, 0.75 * y0 + 0.25 * y1),
                (0.25 * x0 + 0.75 * x1, 0.25 * y0 + 0.75 * y1),
            ]
        line = [*cut, line[-1]]
    return line


def thinned(line: Line, every_m: float, calm_over: int) -> Line:
    """The line with the grid's corners smoothed out and a point every so many metres."""
    _, x, y = points_along(line, every_m / calm_over)
    weights = np.ones(2 * calm_over + 1) / (2 * calm_over + 1)
    smooth = [
        np.convolve(np.pad(c, calm_over, mode="edge"), weights, "valid")[::calm_over]
        for c in (x, y)
    ]
    return [line[0], *zip(*(c[1:-1].tolist() for c in smooth), strict=True), line[-1]]


def lay(
    frame: Frame, height: Floats, line: Line, level: Floats, half_m: float, slope_m: float
) -> None:
    """Build a line into the ground in place: `level` (at even steps along it) on its tread.

    The tread is 2 × half_m wide, and its banks run out into the slope over slope_m.
    """
    x, y = frame.centres()
    xs, ys = zip(*line, strict=True)
    reach = half_m + slope_m + frame.cell
    rows = (x[0] > min(xs) - reach) & (x[0] < max(xs) + reach)
    columns = (y[:, 0] > min(ys) - reach) & (y[:, 0] < max(ys) + reach)
    window = np.ix_(columns, rows)
    s, off, _ = along(line, x[window], y[window])
    want = np.interp(s, np.linspace(0, length_m(line), len(level)), level)
    share = 1 - step(off, half_m, half_m + slope_m)
    share = np.where(height[window] > 0, share, 0)
    height[window] += (want - height[window]) * share


def carve(
    frame: Frame, height: Floats, line: Line, bed: Floats, half_m: float, bank: float
) -> None:
    """Cut a watercourse into the ground in place: `bed` at its points, banks of slope `bank`."""
    x, y = frame.centres()
    reach = half_m + 40
    for start in range(0, len(line) - 1, 30):
        piece = line[start : start + 31]
        xs, ys = zip(*piece, strict=True)
        rows = (x[0] > min(xs) - reach) & (x[0] < max(xs) + reach)
        columns = (y[:, 0] > min(ys) - reach) & (y[:, 0] < max(ys) + reach)
        window = np.ix_(columns, rows)
        s, off, _ = along(piece, x[window], y[window])
        at = [length_m(piece[: k + 1]) for k in range(len(piece))]
        cut = np.interp(s, at, bed[start : start + 31]) + np.maximum(off - half_m, 0) * bank
        cut = np.where((off < reach) & (height[window] > 0), cut, np.inf)
        height[window] = np.minimum(height[window], cut)


def watercourses(
    frame: Frame, flow: Drainage, gathered: Floats, least_m2: float, least_m: float
) -> list[tuple[Line, Floats, Floats]]:
    """Every brook from its head to a larger one or the sea: (line, filled heights, areas)."""
    area, filled = gathered.ravel(), flow.filled.ravel()
    is_brook = (area >= least_m2) & (filled > 0)
    fed = np.zeros(area.size, bool)
    fed[flow.into[is_brook & (flow.into != np.arange(area.size))]] = True
    heads = np.flatnonzero(is_brook & ~fed)
    done = np.zeros(area.size, bool)
    into = flow.into
    chains = []
    for head in heads:
        chain, k = [int(head)], int(head)
        while into[k] != k:
            k = int(into[k])
            chain.append(k)
        chains.append(chain)
    chains.sort(key=lambda chain: (-len(chain), chain[0]))
    brooks = []
    for chain in chains:
        own = []
        for k in chain:
            own.append(k)
            if done[k]:
                break
            done[k] = True
        if len(own) * frame.cell < least_m:
            continue
        rows, columns = np.divmod(np.array(own), frame.columns)
        x = frame.west + (columns + 0.5) * frame.cell
        y = frame.north - (rows + 0.5) * frame.cell
        line = list(zip(x.tolist(), y.tolist(), strict=True))
        brooks.append((line, filled[own], area[own]))
    return brooks


def contour_down(
    frame: Frame,
    height: Floats,
    start: tuple[float, float],
    *,
    left: bool,
    grade: float,
    length_limit_m: float,
    until: NDArray[np.bool_],
) -> tuple[Line, float]:
    """Follow a slope from `start`, rising by `grade`, until a cell of `until` is met.

    Returns the line and the height at its start: how a leat's line is set out, from its foot
    to the brook it draws from. `left` says on which hand the lower ground lies.
    """
    x, y = start
    base = float(frame.sample(height, np.array(x), np.array(y)))
    line, gone, stride = [start], 0.0, 5.0
    while gone < length_limit_m:
        east = _slope(frame, height, x, y, 1, 0)
        north = _slope(frame, height, x, y, 0, 1)
        steep = max(float(np.hypot(east, north)), 0.02)
        dx, dy = (north, -east) if not left else (-north, east)
        here = float(frame.sample(height, np.array(x), np.array(y)))
        miss = np.clip((base + gone * grade - here) / steep, -4, 4)
        x += stride * dx / steep + 0.5 * miss * east / steep
        y += stride * dy / steep + 0.5 * miss * north / steep
        gone += stride
        line.append((x, y))
        row, column = int((frame.north - y) / frame.cell), int((x - frame.west) / frame.cell)
        if not (0 <= row < frame.rows and 0 <= column < frame.columns):
            raise ValueError("the line left the ground")
        if until[row, column]:
            return line, base
    raise ValueError("no brook was met; raise the line or the limit")


def _slope(frame: Frame, height: Floats, x: float, y: float, east: int, north: int) -> float:
    reach = 8.0
    ends = frame.sample(
        height,
        np.array([x - reach * east, x + reach * east]),
        np.array([y - reach * north, y + reach * north]),
    )
    return float(ends[1] - ends[0]) / (2 * reach)


def easiest_way(
    frame: Frame,
    height: Floats,
    start: tuple[float, float],
    end: tuple[float, float],
    dear: Floats,
) -> Line:
    """The line a path would wear between two points: slope and `dear` ground cost extra.

    What is left to go costs at least its length on the cheapest ground, so cells that lead away
    are not looked at (Hart, Nilsson and Raphael 1968: A*).
    """
    rows, columns = height.shape

    def cell(point: tuple[float, float]) -> int:
        row = int((frame.north - point[1]) / frame.cell)
        return row * columns + int((point[0] - frame.west) / frame.cell)

    z, extra = height.ravel().tolist(), dear.ravel().tolist()
    source, target = cell(start), cell(end)
    down, right = np.divmod(np.arange(rows * columns), columns)
    goal_row, goal_column = divmod(target, columns)
    straight = np.hypot(down - goal_row, right - goal_column) * frame.cell
    left = (straight * min(extra) * 0.999999).tolist()
    cost, came = [np.inf] * len(z), {source: source}
    cost[source] = 0.0
    done = bytearray(len(z))
    heap = [(left[source], source)]
    moves = [
        (a, b, a * columns + b, frame.cell * float(np.hypot(a, b)))
        for a, b in itertools.product((-2, -1, 0, 1, 2), repeat=2)
        if (a, b) != (0, 0) and (abs(a) == 1 or abs(b) == 1)
    ]
    while heap:
        _, k = heapq.heappop(heap)
        if k == target:
            break
        if done[k]:
            continue
        done[k] = 1
        row, column = divmod(k, columns)
        here, spent, half = z[k], cost[k], extra[k]
        for a, b, ahead, far in moves:
            if not (0 <= row + a < rows and 0 <= column + b < columns):
                continue
            n = k + ahead
            if done[n] or z[n] <= 0.5:
                continue
            slope = (z[n] - here) / far
            price = spent + far * (1 + 40 * slope * slope) * (extra[n] + half) / 2
            if price < cost[n]:
                cost[n], came[n] = price, k
                heapq.heappush(heap, (price + left[n], n))
    line, k = [end], target
    while k != source:
        k = came[k]
        row, column = divmod(k, columns)
        line.append(
            (frame.west + (column + 0.5) * frame.cell, frame.north - (row + 0.5) * frame.cell)
        )
    return [start, *reversed(line[:-1])]


def outline(frame: Frame, mask: NDArray[np.bool_]) -> Line:
    """A ring round a patch of cells, counter-clockwise and closed, as seen from its middle."""
    x, y = frame.centres()
    cx, cy = float(x[mask].mean()), float(y[mask].mean())
    ring = []
    for turn in np.linspace(0, 2 * np.pi, 49)[:-1]:
        far = np.arange(0, 400.0, 2)
        px, py = cx + far * np.cos(turn), cy + far * np.sin(turn)
        rows = ((frame.north - py) / frame.cell).astype(int)
        columns = ((px - frame.west) / frame.cell).astype(int)
        dry = np.flatnonzero(~mask[rows, columns])[0]
        ring.append((float(px[dry]), float(py[dry])))
    return [*ring, ring[0]]
