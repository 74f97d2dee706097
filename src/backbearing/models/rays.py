"""Rays over one grid of heights: the steepest sight from an eye, and how far the grid is known.

A ray runs along the axis it is nearer to (its major axis) and is read where it crosses that
axis' grid lines, so a height lies between two neighbours and is exact on the bilinear surface:

        │     │   ╱ │      u cells from the spot along the major axis
     ●──┼─────┼─●───┼──    minor = spot + m₁u + m₂u² + m₃u³   where the ray crosses the line
        │  ╱● │     │      distance = b₁u + b₂u² + b₃u³       GridFrame.along, turned round
      ╱ │     │     │
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from backbearing.models.gridframe import GridFrame
    from backbearing.records import Floats, Grid

    Singles = NDArray[np.float32]
    Indices = NDArray[np.intp]
    Flags = NDArray[np.bool_]

_AT_ONCE = 32  # azimuths whose samples stay in the processor's cache
_LINES_PER_STEP = 200  # beyond so many lines, steps grow to distance / 200
_NEAREST = 0.3  # cells; nearer than that the ground is what one stands on
_NEAR = 8.0  # cells within which the surface between grid lines counts
_NEAR_SAMPLES = 24  # spaced by a ratio of 1.15
_CLOSER = np.linspace(-1.0, 1.0, 11, dtype=np.float32)  # steps about the steepest sample
_LOOKOUTS = 33  # where a fan is tested for leaving the grid
_SLIGHT = 0.01  # cells, and parts of a distance; terms of less are not carried


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sights:
    """What rays met on one grid: arrays of one length, an entry an azimuth."""

    tangent: Floats  # of the steepest sight; -inf where the ray met no known ground
    distance_m: Floats  # to the ground that makes it; nan where none
    known_to_m: Floats  # ground is known without a break up to here
    reach_m: Floats  # the farthest known ground
    void_m: Floats  # unknown ground before that

    @classmethod
    def none(cls, count: int, known_to_m: Floats) -> Sights:
        return cls(
            tangent=np.full(count, -np.inf),
            distance_m=np.full(count, np.nan),
            known_to_m=known_to_m.copy(),
            reach_m=np.zeros(count),
            void_m=np.zeros(count),
        )

    def part(self, which: slice) -> Sights:
        """Some of the rays, by view: what is written there is written here."""
        return Sights(
            tangent=self.tangent[which],
            distance_m=self.distance_m[which],
            known_to_m=self.known_to_m[which],
            reach_m=self.reach_m[which],
            void_m=self.void_m[which],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Axis:
    """One axis of a grid, as seen from the spot."""

    length: int  # cells
    stride: int  # in the flat array of heights
    spot: float  # [cells]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fan:
    """Rays with one major axis and one direction along it, sorted by azimuth."""

    heights: Singles  # the grid, flat
    major: _Axis
    minor: _Axis
    sign: int  # of the way along the major axis
    azimuth_deg: Floats  # (n,)
    minor_terms: list[Singles]  # (n, 1) each, of u, u², u³ [cells]
    distance_terms: list[Singles]  # (n, 1) each [m]

    def part(self, which: slice) -> _Fan:
        return replace(
            self,
            azimuth_deg=self.azimuth_deg[which],
            minor_terms=[term[which] for term in self.minor_terms],
            distance_terms=[term[which] for term in self.distance_terms],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Look:
    """What is asked of every ray of a cast."""

    eye_height_m: np.float32
    drop_per_m: np.float32
    reach_m: float
    finer: Sequence[tuple[Grid, GridFrame]]


def cast(
    grid: Grid,
    frame: GridFrame,
    azimuth_deg: Floats,
    *,
    eye_height_m: float,
    drop_per_m: float,
    known_to_m: Floats,
    finer: Sequence[tuple[Grid, GridFrame]] = (),
) -> Sights:
    """What is the steepest sight over this grid in each true azimuth (n,)?

    Ground that a finer grid knows is left to that one; up to `known_to_m` (n,) all of it is.
    drop_per_m: (1 − k) / 2R of the Earth's curvature [1/m].
    Steps grow to distance / 200, so a crest narrower than that can be passed over; within a
    step of the steepest sample the surface is read ten times closer.
    """
    rows, columns = grid.height_m.shape
    heights = np.ascontiguousarray(grid.height_m, dtype=np.float32).reshape(-1)
    by_row = _Axis(length=rows, stride=columns, spot=frame.row)
    by_column = _Axis(length=columns, stride=1, spot=frame.column)
    look = _Look(
        eye_height_m=np.float32(eye_height_m),
        drop_per_m=np.float32(drop_per_m),
        reach_m=frame.reach_m,
        finer=finer,
    )
    sights = Sights.none(azimuth_deg.size, known_to_m)
    along_columns, along_rows = frame.along(azimuth_deg)
    columns_lead = np.abs(along_columns[0]) >= np.abs(along_rows[0])
    for leading, along, aside, major, minor in (
        (columns_lead, along_columns, along_rows, by_column, by_row),
        (~columns_lead, along_rows, along_columns, by_row, by_column),
    ):
        for sign in (1, -1):
            chosen = np.flatnonzero(leading & (sign * along[0] > 0))
            if not chosen.size:
                continue
            chosen = chosen[np.argsort(aside[0, chosen] / np.abs(along[0, chosen]))]
            terms = _by_line(sign * along[:, chosen], aside[:, chosen], frame.reach_m)
            fan = _Fan(
                heights=heights,
                major=major,
                minor=minor,
                sign=sign,
                azimuth_deg=azimuth_deg[chosen],
                minor_terms=terms[0],
                distance_terms=terms[1],
            )
            met = _cast_fan(fan, look, known_to_m[chosen])
            sights.tangent[chosen] = met.tangent
            sights.distance_m[chosen] = met.distance_m
            sights.known_to_m[chosen] = met.known_to_m
            sights.reach_m[chosen] = met.reach_m
            sights.void_m[chosen] = met.void_m
    return sights


def _by_line(along: Floats, aside: Floats, reach_m: float) -> tuple[list[Any], list[Any]]:
    """Positions by distance, turned into minor position and distance by u (reversed series)."""
    a1, a2, a3 = along
    c1, c2, c3 = aside
    b1, b2, b3 = 1 / a1, -a2 / a1**3, (2 * a2**2 - a1 * a3) / a1**5
    minor = [c1 * b1, c1 * b2 + c2 * b1**2, c1 * b3 + 2 * c2 * b1 * b2 + c3 * b1**3]
    distance = [reach_m * b1, reach_m * b2, reach_m * b3]
    farthest = a1.max()
    while len(minor) > 1 and np.abs(minor[-1]).max() * farthest ** len(minor) < _SLIGHT:
        minor.pop()
    while len(distance) > 1 and (
        np.abs(distance[-1]).max() * farthest ** len(distance) < _SLIGHT * reach_m
    ):
        distance.pop()
    return (
        [term.astype(np.float32)[:, None] for term in minor],
        [term.astype(np.float32)[:, None] for term in distance],
    )


def _cast_fan(fan: _Fan, look: _Look, known_to_m: Floats) -> Sights:
    """Cast a fan's rays over near ground and far, then look closer at the steepest sight."""
    near = _near_u(fan)
    lines, far = _lines(fan, look.reach_m)
    ends = _ends(fan, far, look.reach_m)
    per_line_m = fan.distance_terms[0][:, 0]
    begins = known_to_m / per_line_m - 2.0
    holds_spot = all(0 <= axis.spot <= axis.length - 1 for axis in (fan.major, fan.minor))
    sights = Sights.none(known_to_m.size, known_to_m)
    steepest = np.zeros((2, known_to_m.size), dtype=np.float32)  # u, and the step there
    for first in range(0, known_to_m.size, _AT_ONCE):
        part = slice(first, first + _AT_ONCE)
        rays, met, top = fan.part(part), sights.part(part), steepest[:, part]
        unbroken = np.full(met.tangent.shape, holds_spot)
        begin = begins[part].min()
        if begin < _NEAR:
            height, minor = _between_lines(rays, near[part])
            unbroken = _note(height, minor, near[part], rays, look, met, top, unbroken)
        span = slice(np.searchsorted(far, begin), np.searchsorted(far, ends[part].max(), "right"))
        if span.stop > span.start:
            height, minor = _on_lines(rays, far[span], lines[span])
            _note(height, minor, far[span], rays, look, met, top, unbroken)
    _look_closer(fan, look, sights, steepest)
    return sights


def _look_closer(fan: _Fan, look: _Look, sights: Sights, steepest: Singles) -> None:
    """Read the surface within a step of each ray's steepest sample, and keep what is steeper."""
    u = steepest[0, :, None] + steepest[1, :, None] * _CLOSER
    farthest = fan.major.length - 1 - fan.major.spot if fan.sign > 0 else fan.major.spot
    np.clip(u, _NEAREST * _per_cell(fan), np.float32(farthest), out=u)
    height, minor = _between_lines(fan, u)
    distance, tangent = _tangents(height, minor, u, fan, look)
    np.nan_to_num(tangent, copy=False, nan=-np.inf)
    if look.finer:
        tangent[_known_to(look.finer, distance, fan.azimuth_deg)] = -np.inf
    every = np.arange(u.shape[0])
    best = tangent.argmax(axis=1)
    steeper = (tangent[every, best] > sights.tangent) & np.isfinite(sights.tangent)
    sights.tangent[steeper] = tangent[every, best][steeper]
    sights.distance_m[steeper] = distance[every, best][steeper]


def _near_u(fan: _Fan) -> Singles:
    """Where near ground is read, (n, samples), by cells along each ray."""
    cells = _NEAREST * (_NEAR / _NEAREST) ** (np.arange(_NEAR_SAMPLES) / (_NEAR_SAMPLES - 1))
    u: Singles = (cells * _per_cell(fan)).astype(np.float32)
    return u


def _per_cell(fan: _Fan) -> Singles:
    """u per cell along a ray (n, 1): 1 along the axis, 0.71 across the cells."""
    slope = fan.minor_terms[0]
    per: Singles = 1 / np.sqrt(1 + slope * slope)
    return per


def _lines(fan: _Fan, reach_m: float) -> tuple[Indices, Singles]:
    """Which grid lines are read, the grid's last one always, and u there."""
    spot = fan.major.spot
    start = int(np.floor(spot)) + 1 if fan.sign > 0 else int(np.ceil(spot)) - 1
    last = fan.major.length - 1 if fan.sign > 0 else 0
    lines = start + fan.sign * _steps(max(0, fan.sign * (last - start)))
    lines = lines[(lines >= 0) & (lines < fan.major.length)]
    u = np.abs(lines - spot)
    away = (u >= _NEAREST) & (u * fan.distance_terms[0].min() <= 1.1 * reach_m)
    return lines[away], u[away].astype(np.float32)


@lru_cache(maxsize=64)
def _steps(last: int) -> Indices:
    """0, 1, 2 … in steps that grow with the number reached, and the last."""
    growing = int(np.ceil(np.log(max(1.0, last / _LINES_PER_STEP)) * _LINES_PER_STEP))
    grown = _LINES_PER_STEP * np.exp(np.arange(growing) / _LINES_PER_STEP)
    steps = np.concatenate((np.arange(min(last, _LINES_PER_STEP)), np.rint(grown), [last]))
    return np.unique(steps[steps <= last]).astype(np.intp)


def _ends(fan: _Fan, u: Singles, reach_m: float) -> Singles:
    """Up to which u each ray may lie inside the grid and within reach; never too short."""
    if not u.size:
        return np.zeros(fan.minor_terms[0].shape[0], dtype=np.float32)
    lookouts = np.linspace(u[0], u[-1], _LOOKOUTS, dtype=np.float32)
    minor = _polynomial(lookouts, fan.minor_terms) + np.float32(fan.minor.spot)
    within = (minor >= 0) & (minor <= fan.minor.length - 1)
    within &= _polynomial(lookouts, fan.distance_terms) <= reach_m
    after = np.where(within, np.arange(1, _LOOKOUTS + 1), 1).max(axis=1)
    ends: Singles = lookouts[np.minimum(after, _LOOKOUTS - 1)]
    return ends


def _polynomial(u: Singles, terms: Sequence[Singles]) -> Singles:
    """The sum of term · u, term · u² … for every ray (n, samples)."""
    value = terms[-1] * u
    for term in terms[-2::-1]:
        value += term
        value *= u
    return value


def _aside(rays: _Fan, u: Singles) -> tuple[Singles, Indices, Singles]:
    """Minor positions at u, the flat index of the cell before each, and how far beyond it."""
    minor = _polynomial(u, rays.minor_terms)
    minor += np.float32(rays.minor.spot)
    before = np.clip(minor, 0, rays.minor.length - 2).astype(np.intp)
    beyond = minor - before.astype(np.float32)
    if rays.minor.stride != 1:
        before *= rays.minor.stride
    return minor, before, beyond


def _on_lines(rays: _Fan, u: Singles, lines: Indices) -> tuple[Singles, Singles]:
    """Heights where rays cross grid lines, and their minor positions."""
    minor, before, beyond = _aside(rays, u)
    before += lines * rays.major.stride
    return _read(rays, before, beyond), minor


def _between_lines(rays: _Fan, u: Singles) -> tuple[Singles, Singles]:
    """Heights anywhere on the surface, and their minor positions; u (samples,) or (n, samples)."""
    minor, before, beyond = _aside(rays, u)
    major = rays.major.spot + rays.sign * u.astype(np.float64)
    line = np.clip(major, 0, rays.major.length - 2).astype(np.intp)
    before += line * rays.major.stride
    height = _read(rays, before, beyond)
    before += rays.major.stride
    height += (major - line).astype(np.float32) * (_read(rays, before, beyond) - height)
    last = rays.major.length - 1
    if major.min() < 0 or major.max() > last:
        height[(major < 0) | (major > last)] = np.nan
    return height, minor


def _read(rays: _Fan, before: Indices, beyond: Singles) -> Singles:
    """Heights between a cell and the next along the minor axis."""
    height = rays.heights.take(before, mode="clip")
    after = rays.heights[rays.minor.stride :].take(before, mode="clip")
    after -= height
    after *= beyond
    height += after
    return height


def _tangents(
    height: Singles, minor: Singles, u: Singles, rays: _Fan, look: _Look
) -> tuple[Singles, Singles]:
    """Distance, and the tangent of the sight (written over `height`); nan outside and beyond."""
    distance = _polynomial(u, rays.distance_terms)
    height -= look.eye_height_m
    height /= distance
    height -= look.drop_per_m * distance
    last = rays.minor.length - 1
    if minor.min() < 0 or minor.max() > last:
        height[(minor < 0) | (minor > last)] = np.nan
    if distance[:, -1].max() > look.reach_m:
        height[distance > look.reach_m] = np.nan
    return distance, height


def _note(
    height: Singles,
    minor: Singles,
    u: Singles,
    rays: _Fan,
    look: _Look,
    met: Sights,
    top: Singles,
    unbroken: Flags,
) -> Flags:
    """Keep the steepest of a block's samples; returns which rays know all their ground so far."""
    distance, tangent = _tangents(height, minor, u, rays, look)
    every = np.arange(len(tangent))
    reach = known_to = distance[:, -1].astype(np.float64)
    best = tangent.argmax(axis=1)  # the first nan, where there is one
    if look.finer or np.isnan(tangent[every, best]).any():
        unknown = np.isnan(tangent)
        tangent[unknown] = -np.inf
        if look.finer:
            others = _known_to(look.finer, distance, rays.azimuth_deg)
            tangent[others] = -np.inf
            unknown &= ~others
        best = tangent.argmax(axis=1)
        known = ~unknown
        last = tangent.shape[1] - 1 - known[:, ::-1].argmax(axis=1)
        reach = np.where(known.any(axis=1), distance[every, last], 0.0)
        gap = unknown.argmax(axis=1)
        before_gap = np.where(gap > 0, distance[every, np.maximum(gap - 1, 0)], 0.0)
        known_to = np.where(unknown.any(axis=1), before_gap, known_to)
        steps = np.diff(distance, axis=1, prepend=0.0)
        met.void_m[:] += (steps * (unknown & (distance < reach[:, None]))).sum(axis=1)
        whole = unbroken & known.all(axis=1)
    else:
        whole = unbroken
    better = np.flatnonzero(tangent[every, best] > met.tangent)
    chosen = best[better]
    met.tangent[better] = tangent[better, chosen]
    met.distance_m[better] = distance[better, chosen]
    u = np.broadcast_to(u, tangent.shape)
    top[0, better] = u[better, chosen]
    wider = np.minimum(chosen + 1, u.shape[1] - 1)
    top[1, better] = u[better, wider] - u[better, np.maximum(wider - 1, 0)]
    np.maximum(met.reach_m, reach, out=met.reach_m)
    np.copyto(met.known_to_m, np.maximum(met.known_to_m, known_to), where=unbroken)
    return whole


def _known_to(
    finer: Sequence[tuple[Grid, GridFrame]], distance_m: Singles, azimuth_deg: Floats
) -> Flags:
    """Which samples (rays, samples) lie on ground that one of these grids knows."""
    known = np.zeros(distance_m.shape, dtype=bool)
    for grid, frame in finer:
        parts = distance_m.astype(np.float64) / frame.reach_m
        columns, rows = (
            ((terms[2][:, None] * parts + terms[1][:, None]) * parts + terms[0][:, None]) * parts
            for terms in frame.along(azimuth_deg)
        )
        columns += frame.column
        rows += frame.row
        known |= ~np.isnan(height_at(grid, columns, rows))
    return known


def height_at(grid: Grid, column: Floats, row: Floats) -> Floats:
    """The height [m] of the bilinear surface at cells of any shape; nan outside and in voids."""
    heights = grid.height_m
    rows, columns = heights.shape
    inside = (column >= 0) & (column <= columns - 1) & (row >= 0) & (row <= rows - 1)
    left = np.clip(np.nan_to_num(column), 0, columns - 2).astype(np.intp)
    upper = np.clip(np.nan_to_num(row), 0, rows - 2).astype(np.intp)
    right, lower = column - left, row - upper
    above = heights[upper, left] * (1 - right) + heights[upper, left + 1] * right
    below = heights[upper + 1, left] * (1 - right) + heights[upper + 1, left + 1] * right
    answer: Floats = np.where(inside, above * (1 - lower) + below * lower, np.nan)
    return answer
