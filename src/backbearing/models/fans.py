"""Rays over a grid, in fans: where they run in its cells, and the heights under them.

A ray runs along the axis it is nearer to (its major axis) and is read where it crosses that
axis' grid lines, so a height lies between two neighbours and is exact on the bilinear surface:

        │     │   ╱ │      u cells from the spot along the major axis
     ●──┼─────┼─●───┼──    minor = spot + m₁u + m₂u² + m₃u³   where the ray crosses the line
        │  ╱● │     │      distance = b₁u + b₂u² + b₃u³       GridFrame.along, turned round
      ╱ │     │     │
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from backbearing.models.gridframe import GridFrame
    from backbearing.records import Floats, Grid

    Singles = NDArray[np.float32]
    Indices = NDArray[np.intp]
    Flags = NDArray[np.bool_]

LINES_PER_STEP = 200  # beyond so many lines, steps grow to distance / 200
NEAREST = 0.3  # cells; nearer than that the ground is what one stands on
NEAR = 8.0  # cells within which the surface between grid lines counts
NEAR_RATIO = 1.15  # between one sample there and the next
_LOOKOUTS = 33  # where a fan is tested for leaving the grid
_SLIGHT = 0.01  # cells, and parts of a distance; terms of less are not carried


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Axis:
    """One axis of a grid, as seen from the spot."""

    length: int  # cells
    stride: int  # in the flat array of heights
    spot: float  # [cells]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fan:
    """Rays with one major axis and one direction along it, sorted by azimuth."""

    heights: Singles  # the grid, flat
    major: Axis
    minor: Axis
    sign: int  # of the way along the major axis
    azimuth_deg: Floats  # (n,)
    minor_terms: list[Singles]  # (n, 1) each, of u, u², u³ [cells]
    distance_terms: list[Singles]  # (n, 1) each [m]

    def part(self, which: slice) -> Fan:
        return replace(
            self,
            azimuth_deg=self.azimuth_deg[which],
            minor_terms=[term[which] for term in self.minor_terms],
            distance_terms=[term[which] for term in self.distance_terms],
        )

    @property
    def holds_spot(self) -> bool:
        return all(0 <= axis.spot <= axis.length - 1 for axis in (self.major, self.minor))

    @property
    def farthest(self) -> float:
        """u at the grid's last line."""
        return self.major.length - 1 - self.major.spot if self.sign > 0 else self.major.spot


def fans(grid: Grid, frame: GridFrame, azimuth_deg: Floats) -> Iterator[tuple[Indices, Fan]]:
    """True azimuths (n,) as up to four fans, each with where its rays stand among them."""
    rows, columns = grid.height_m.shape
    heights = np.ascontiguousarray(grid.height_m, dtype=np.float32).reshape(-1)
    by_row = Axis(length=rows, stride=columns, spot=frame.row)
    by_column = Axis(length=columns, stride=1, spot=frame.column)
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
            yield (
                chosen,
                Fan(
                    heights=heights,
                    major=major,
                    minor=minor,
                    sign=sign,
                    azimuth_deg=azimuth_deg[chosen],
                    minor_terms=terms[0],
                    distance_terms=terms[1],
                ),
            )


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


def near_u(fan: Fan) -> Singles:
    """Where near ground is read, (n, samples), by cells along each ray."""
    samples = math.ceil(math.log(NEAR / NEAREST, NEAR_RATIO))
    cells = NEAREST * NEAR_RATIO ** np.arange(samples + 1)
    u: Singles = (cells * per_cell(fan)).astype(np.float32)
    return u


def per_cell(fan: Fan) -> Singles:
    """u per cell along a ray (n, 1): 1 along the axis, 0.71 across the cells."""
    slope = fan.minor_terms[0]
    per: Singles = 1 / np.sqrt(1 + slope * slope)
    return per


def lines(fan: Fan, reach_m: float) -> tuple[Indices, Singles]:
    """Which grid lines are read, the grid's last one always, and u there."""
    spot = fan.major.spot
    start = int(np.floor(spot)) + 1 if fan.sign > 0 else int(np.ceil(spot)) - 1
    last = fan.major.length - 1 if fan.sign > 0 else 0
    lines = start + fan.sign * _steps(max(0, fan.sign * (last - start)))
    lines = lines[(lines >= 0) & (lines < fan.major.length)]
    u = np.abs(lines - spot)
    away = (u >= NEAREST) & (u * fan.distance_terms[0].min() <= 1.1 * reach_m)
    return lines[away], u[away].astype(np.float32)


@lru_cache(maxsize=64)
def _steps(last: int) -> Indices:
    """0, 1, 2 … in steps that grow with the number reached, and the last."""
    growing = int(np.ceil(np.log(max(1.0, last / LINES_PER_STEP)) * LINES_PER_STEP))
    grown = LINES_PER_STEP * np.exp(np.arange(growing) / LINES_PER_STEP)
    steps = np.concatenate((np.arange(min(last, LINES_PER_STEP)), np.rint(grown), [last]))
    return np.unique(steps[steps <= last]).astype(np.intp)


def ends(fan: Fan, u: Singles, reach_m: float) -> tuple[Singles, Flags]:
    """Up to which u each ray may lie inside the grid and within reach, never too short.

    Also whether it does so with half a cell to spare all the way to the last u.
    """
    if not u.size:
        count = fan.azimuth_deg.size
        return np.zeros(count, dtype=np.float32), np.zeros(count, dtype=bool)
    lookouts = np.linspace(u[0], u[-1], _LOOKOUTS, dtype=np.float32)
    minor = polynomial(lookouts, fan.minor_terms) + np.float32(fan.minor.spot)
    distance = polynomial(lookouts, fan.distance_terms)
    last = fan.minor.length - 1
    within = (minor >= 0) & (minor <= last) & (distance <= reach_m)
    after = np.where(within, np.arange(1, _LOOKOUTS + 1), 1).max(axis=1)
    ends: Singles = lookouts[np.minimum(after, _LOOKOUTS - 1)]
    snug = (minor.min(axis=1) >= 0.5) & (minor.max(axis=1) <= last - 0.5)
    return ends, snug & (distance[:, -1] <= reach_m)


def polynomial(u: Singles, terms: Sequence[Singles]) -> Singles:
    """The sum of term · u, term · u² … for every ray (n, samples)."""
    value = terms[-1] * u
    for term in terms[-2::-1]:
        value += term
        value *= u
    return value


def _aside(rays: Fan, u: Singles) -> tuple[Singles, Indices, Singles]:
    """Minor positions at u, the cell before each, and how far beyond it (a new array)."""
    minor = polynomial(u, rays.minor_terms)
    minor += np.float32(rays.minor.spot)
    before = minor.astype(np.intp)
    return minor, before, minor - before.astype(np.float32)


def on_lines(rays: Fan, u: Singles, lines: Indices, *, inside: bool) -> Singles:
    """Heights where rays cross grid lines; nan outside the grid."""
    minor, before, beyond = _aside(rays, u)
    if not inside:
        outside = (minor < 0) | (minor > rays.minor.length - 1)
        before[outside] = 0
        beyond[outside] = np.nan
    before *= rays.minor.stride
    before += lines * rays.major.stride
    return _read(rays, before, beyond)


def between_lines(rays: Fan, u: Singles) -> Singles:
    """Heights anywhere on the surface; nan outside the grid; u (n, samples)."""
    minor, before, beyond = _aside(rays, u)
    major = rays.major.spot + rays.sign * u.astype(np.float64)
    line = major.astype(np.intp)
    outside = (minor < 0) | (minor > rays.minor.length - 1)
    outside |= (major < 0) | (major > rays.major.length - 1)
    if outside.any():
        before[outside] = line[outside] = 0
        beyond[outside] = np.nan
    beyond_line = (major - line).astype(np.float32)
    before *= rays.minor.stride
    before += line * rays.major.stride
    height = _read(rays, before, beyond)
    before += rays.major.stride
    height += beyond_line * (_read(rays, before, beyond) - height)
    return height


def _read(rays: Fan, before: Indices, beyond: Singles) -> Singles:
    """Heights between a cell and the next along the minor axis."""
    height = rays.heights.take(before, mode="clip")
    after = rays.heights[rays.minor.stride :].take(before, mode="clip")
    after -= height
    after *= beyond
    height += after
    return height
