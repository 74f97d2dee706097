"""Numbers that make invented ground look like ground: noise, and rivers that cut it.

Nothing here knows the island. Heights are metres in 2-D arrays whose first row is the
northern edge; `x` is metres east and `y` metres north of the island's origin. The noise hangs
on integer hashes, not on a random generator, so a point has the same noise on every grid and
every machine.
"""

from __future__ import annotations

import heapq
import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Frame:
    """Where a grid lies: its north-western corner (m), its cell (m) and its shape."""

    west: float
    north: float
    cell: float
    rows: int
    columns: int

    def centres(self) -> tuple[Floats, Floats]:
        """The x and y of every cell's centre, each (rows, columns) [m]."""
        x = self.west + (np.arange(self.columns) + 0.5) * self.cell
        y = self.north - (np.arange(self.rows) + 0.5) * self.cell
        return np.meshgrid(x, y)

    def sample(self, grid: Floats, x: Floats, y: Floats) -> Floats:
        """The grid at any points, bilinear between cell centres, held at its edge."""
        c = np.clip((np.asarray(x) - self.west) / self.cell - 0.5, 0, self.columns - 1.000001)
        r = np.clip((self.north - np.asarray(y)) / self.cell - 0.5, 0, self.rows - 1.000001)
        i, j = r.astype(int), c.astype(int)
        u, v = r - i, c - j
        top = grid[i, j] * (1 - v) + grid[i, j + 1] * v
        return top * (1 - u) + (grid[i + 1, j] * (1 - v) + grid[i + 1, j + 1] * v) * u

    def sample_smooth(self, grid: Floats, x: Floats, y: Floats) -> Floats:
        """The grid at any points by cubic B-splines: no facets where a coarse grid is refined."""
        c = (np.asarray(x) - self.west) / self.cell - 0.5
        r = (self.north - np.asarray(y)) / self.cell - 0.5
        i, j = np.floor(r).astype(int), np.floor(c).astype(int)
        total = np.zeros(np.broadcast(x, y).shape)
        for m, across in zip(range(-1, 3), _spline(r - i), strict=True):
            row = np.clip(i + m, 0, self.rows - 1)
            for n, along in zip(range(-1, 3), _spline(c - j), strict=True):
                total += across * along * grid[row, np.clip(j + n, 0, self.columns - 1)]
        return total


def _spline(t: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    return (
        (1 - t) ** 3 / 6,
        (3 * t**3 - 6 * t**2 + 4) / 6,
        (-3 * t**3 + 3 * t**2 + 3 * t + 1) / 6,
        t**3 / 6,
    )


def step(t: Floats, start: float, end: float) -> Floats:
    """0 before `start`, 1 after `end`, smooth between (either may be the larger)."""
    u = np.clip((t - start) / (end - start), 0, 1)
    return u * u * (3 - 2 * u)


def noise(x: Floats, y: Floats, wave_m: float, seed: int) -> Floats:
    """Gradient noise of one wavelength, about −1 … 1."""
    u, v = x / wave_m, y / wave_m
    i, j = np.floor(u).astype(np.int64), np.floor(v).astype(np.int64)
    f, g = u - i, v - j

    # the slope at each corner of the lattice, once; then that of every point's four corners
    west, south = int(i.min()), int(j.min())
    east, north = np.arange(west, i.max() + 2), np.arange(south, j.max() + 2)
    key = east.astype(np.uint32) * np.uint32(0x9E3779B1) ^ (
        north[:, None].astype(np.uint32) * np.uint32(0x85EBCA77) + np.uint32(seed * 7919 & 0xFFFF)
    )
    for shift, factor in ((15, 0x2C1B3C6D), (12, 0x297A2D39)):
        key = (key ^ (key >> np.uint32(shift))) * np.uint32(factor)
    turn = (key ^ (key >> np.uint32(15))) / 2.0**32 * (2 * np.pi)
    across, along = np.cos(turn).ravel(), np.sin(turn).ravel()
    at = (j - south) * len(east) + (i - west)

    def corner(di: int, dj: int) -> Floats:
        there = at + (dj * len(east) + di)
        return across.take(there) * (f - di) + along.take(there) * (g - dj)

    a, b = f**3 * (f * (f * 6 - 15) + 10), g**3 * (g * (g * 6 - 15) + 10)
    low = corner(0, 0) * (1 - a) + corner(1, 0) * a
    return 1.5 * (low * (1 - b) + (corner(0, 1) * (1 - a) + corner(1, 1) * a) * b)


def _octave(x: Floats, y: Floats, wave_m: float, k: int, seed: int) -> Floats:
    # each octave turned by a further 37°, so that no lattice shows through
    cos, sin = np.cos(0.65 * (k + 1)), np.sin(0.65 * (k + 1))
    return noise(x * cos - y * sin, x * sin + y * cos, wave_m / 2**k, seed + k)


def fractal(x: Floats, y: Floats, wave_m: float, octaves: int, seed: int) -> Floats:
    """Octaves of noise, each half as long and half as strong."""
    return sum((_octave(x, y, wave_m, k, seed) / 2**k for k in range(octaves)), np.zeros_like(x))


def ridged(x: Floats, y: Floats, wave_m: float, octaves: int, seed: int) -> Floats:
    """Octaves folded into crests, each weighted by the one above: 0 in the gaps, about 1 on top."""
    total, weight = np.zeros_like(x), np.ones_like(x)
    for k in range(octaves):
        crest = (1 - np.abs(_octave(x, y, wave_m, k, seed))).clip(0, 1) ** 2 * weight
        total += crest / 2**k
        weight = np.clip(crest * 1.6, 0, 1)
    return total / 1.6


@dataclass(frozen=True)
class Drainage:
    """Where water goes: flat cell numbers from the outlets upward, and what each runs into."""

    order: NDArray[np.int64]
    into: NDArray[np.int64]  # itself at an outlet
    filled: Floats  # the ground with its hollows full, rising a hair towards each source

    def gathered(self, cell_m: float) -> Floats:
        """The ground that drains through each cell [m²]."""
        area = np.full(self.filled.size, cell_m**2)
        into = self.into.tolist()
        values = area.tolist()
        for k in reversed(self.order.tolist()):
            if into[k] != k:
                values[into[k]] += values[k]
        return np.array(values).reshape(self.filled.shape)


def drain(height: Floats, cell_m: float) -> Drainage:
    """Flood the land from the sea and the grid's edge inwards, lowest ground first.

    Each cell runs to the steepest lower neighbour of the filled ground (Barnes, Lehman and
    Mulla 2014, Computers & Geosciences 62: priority flood; D8 receivers).
    """
    rows, columns = height.shape
    wide = columns + 2
    ground = np.full((rows + 2, wide), -1e9)
    ground[1:-1, 1:-1] = height
    land = np.zeros(ground.shape, bool)
    land[1:-1, 1:-1] = height > 0
    z, open_ = ground.ravel().tolist(), land.ravel().tolist()
    shifts = (-wide - 1, -wide, -wide + 1, -1, 1, wide - 1, wide, wide + 1)
    edge = np.zeros(ground.shape, bool)
    edge[1:-1, 1:-1] = True
    edge[2:-2, 2:-2] = False
    near_sea = np.zeros(ground.shape, bool)
    for a, b in itertools.product((-1, 0, 1), repeat=2):
        near_sea |= np.roll(~land, (a, b), (0, 1))
    outlets = np.flatnonzero((land & (edge | near_sea)).ravel())
    heap = [(z[k], int(k)) for k in outlets]
    heapq.heapify(heap)
    for _, k in heap:
        open_[k] = False
    parent = np.arange(ground.size).tolist()
    order = []
    while heap:
        level, k = heapq.heappop(heap)
        order.append(k)
        for s in shifts:
            n = k + s
            if open_[n]:
                open_[n] = False
                parent[n] = k
                up = z[n] if z[n] > level + 1e-4 else level + 1e-4
                z[n] = up
                heapq.heappush(heap, (up, n))
    filled = np.array(z).reshape(ground.shape)
    into = np.array(parent)
    best = np.zeros(ground.size)
    index = np.arange(ground.size).reshape(ground.shape)
    not_outlet = np.ones(ground.size, bool)
    not_outlet[outlets] = False
    inside = (land & not_outlet.reshape(ground.shape)).ravel()
    for s, far in zip(shifts, (2**0.5, 1, 2**0.5, 1, 1, 2**0.5, 1, 2**0.5), strict=True):
        n = np.clip(index.ravel() + s, 0, ground.size - 1)
        fall = (filled.ravel() - filled.ravel()[n]) / (far * cell_m)
        better = inside & land.ravel()[n] & (fall > best + 1e-12)
        best[better], into[better] = fall[better], n[better]
    inner = np.full(ground.size, -1)
    inner[index[1:-1, 1:-1].ravel()] = np.arange(height.size)
    return Drainage(
        order=inner[np.array(order)],
        into=inner[into[index[1:-1, 1:-1].ravel()]],
        filled=np.where(land, filled, ground)[1:-1, 1:-1],
    )


def erode(height: Floats, uplift: Floats, cell_m: float, *, rounds: int, strength: float) -> Floats:
    """Let rivers cut while the ground rises, until valleys branch as they do.

    The implicit stream-power step of Braun and Willett 2013, Geomorphology 180, with
    exponents m = 0.5 and n = 1; sea cells (height ≤ 0) stay. `uplift` is metres a round.
    """
    land = height > 0
    for _ in range(rounds):
        # rounded, so that no machine's last bit decides which way a brook runs
        height = np.round(np.where(land, np.maximum(height, 0.01), height), 6)
        flow = drain(height, cell_m)
        cut = (strength * np.sqrt(flow.gathered(cell_m)) / cell_m).ravel().tolist()
        z = np.where(land, flow.filled + uplift, 0).ravel().tolist()
        into = flow.into.tolist()
        for k in flow.order.tolist():
            n = into[k]
            below = z[n] if n != k else 0.0
            z[k] = (z[k] + cut[k] * below) / (1 + cut[k])
        risen = np.array(z).reshape(height.shape)
        height = np.where(land, risen + 0.15 * _curvature(risen), height)
    return height


def _curvature(z: Floats) -> Floats:
    p = np.pad(z, 1, mode="edge")
    return (p[:-2, 1:-1] + p[2:, 1:-1] + p[1:-1, :-2] + p[1:-1, 2:]) / 4 - z


def calm(grid: Floats, times: int) -> Floats:
    """The grid with its small roughness gone: means of 3 × 3 cells, so many times over."""
    for _ in range(times):
        p = np.pad(grid, 1, mode="edge")
        p = p[:-2] + p[1:-1] + p[2:]
        grid = (p[:, :-2] + p[:, 1:-1] + p[:, 2:]) / 9
    return grid


def means(grid: Floats, size: int) -> Floats:
    """The grid in cells `size` times as large."""
    rows, columns = grid.shape[0] // size, grid.shape[1] // size
    blocks = grid[: rows * size, : columns * size].reshape(rows, size, columns, size)
    return blocks.mean(axis=(1, 3))
