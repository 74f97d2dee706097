"""Sights along rays over one grid: the steepest from an eye, and how far the ground is known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.fans import (
    LINES_PER_STEP,
    NEAR,
    NEAR_RATIO,
    NEAREST,
    Fan,
    between_lines,
    ends,
    fans,
    lines,
    near_u,
    on_lines,
    per_cell,
    polynomial,
)
from backbearing.models.gridframe import height_at

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.models.fans import Flags, Indices, Singles
    from backbearing.models.gridframe import GridFrame
    from backbearing.records import Floats, Grid

_AT_ONCE = 12_000  # samples that stay in the processor's cache
_CLOSER = np.linspace(-1.0, 1.0, 11, dtype=np.float32)  # steps about the steepest sample


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
class Finer:
    """What finer grids know of the ground along rays (n,), which is left to them."""

    grids: Sequence[tuple[Grid, GridFrame]]
    known_to_m: Floats  # without a break from the spot
    reach_m: Floats  # the farthest

    def part(self, which: slice | Indices) -> Finer:
        return Finer(
            grids=self.grids,
            known_to_m=self.known_to_m[which],
            reach_m=self.reach_m[which],
        )

    def knows(self, distance_m: Singles, azimuth_deg: Floats) -> Flags:
        """Which samples (n, samples) along these azimuths (n,) a finer grid answers for."""
        known = distance_m <= self.known_to_m[:, None]
        broken = np.flatnonzero(self.reach_m > self.known_to_m)
        if not broken.size:
            return known
        inside = distance_m[broken] <= self.reach_m[broken, None]
        last = int(inside.any(axis=0).sum())
        for grid, frame in self.grids:
            parts = distance_m[broken, :last].astype(np.float64) / frame.reach_m
            column, row = (
                start + np.sum([terms[i][:, None] * parts ** (i + 1) for i in range(3)], axis=0)
                for start, terms in zip(
                    (frame.column, frame.row), frame.along(azimuth_deg[broken]), strict=True
                )
            )
            known[broken, :last] |= ~np.isnan(height_at(grid, column, row))
        return known


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Look:
    """What is asked of every ray of a cast."""

    eye_height_m: np.float32
    drop_per_m: np.float32
    reach_m: float


def cast(
    grid: Grid,
    frame: GridFrame,
    azimuth_deg: Floats,
    *,
    eye_height_m: float,
    drop_per_m: float,
    finer: Finer,
) -> Sights:
    """What is the steepest sight over this grid in each true azimuth (n,)?

    drop_per_m: (1 − k) / 2R of the Earth's curvature [1/m].
    Steps grow to distance / 200, so a crest narrower than that can be passed over; within a
    step of the steepest sample the surface is read ten times closer.
    """
    look = _Look(
        eye_height_m=np.float32(eye_height_m),
        drop_per_m=np.float32(drop_per_m),
        reach_m=frame.reach_m,
    )
    sights = Sights.none(azimuth_deg.size, finer.known_to_m)
    for chosen, fan in fans(grid, frame, azimuth_deg):
        met = _cast_fan(fan, look, finer.part(chosen))
        sights.tangent[chosen] = met.tangent
        sights.distance_m[chosen] = met.distance_m
        sights.known_to_m[chosen] = met.known_to_m
        sights.reach_m[chosen] = met.reach_m
        sights.void_m[chosen] = met.void_m
    return sights


def _cast_fan(fan: Fan, look: _Look, finer: Finer) -> Sights:
    """Cast a fan's rays over near ground and far, then look closer at the steepest sight."""
    count = fan.azimuth_deg.size
    sights = Sights.none(count, finer.known_to_m)
    steepest = np.zeros(count, dtype=np.float32)  # u there
    unbroken = np.full(count, fan.holds_spot)
    begins = finer.known_to_m / fan.distance_terms[0][:, 0] - 2.0
    if begins.min() < NEAR:
        near = near_u(fan)
        height = between_lines(fan, near)
        unbroken = _note(height, near, fan, look, finer, sights, steepest, unbroken)
    crossed, far = lines(fan, look.reach_m)
    last, snug = ends(fan, far, look.reach_m)
    at_once = max(1, _AT_ONCE // max(1, far.size))
    for first in range(0, count, at_once):
        part = slice(first, first + at_once)
        start = np.searchsorted(far, begins[part].min())
        span = slice(start, np.searchsorted(far, last[part].max(), "right"))
        if span.stop > span.start:
            rays, met, top = fan.part(part), sights.part(part), steepest[part]
            height = on_lines(rays, far[span], crossed[span], inside=bool(snug[part].all()))
            others = finer.part(part)
            _note(height, far[span], rays, look, others, met, top, unbroken[part])
    _look_closer(fan, look, finer, sights, steepest)
    return sights


def _look_closer(fan: Fan, look: _Look, finer: Finer, sights: Sights, steepest: Singles) -> None:
    """Read the surface within a step of each ray's steepest sample, and keep what is steeper."""
    step = np.maximum(np.minimum((NEAR_RATIO - 1) * steepest, 1), steepest / LINES_PER_STEP)
    u = steepest[:, None] + step[:, None] * _CLOSER
    nearest = NEAREST * per_cell(fan)
    np.clip(u, nearest, np.maximum(nearest, np.float32(fan.farthest)), out=u)
    distance, tangent = _tangents(between_lines(fan, u), u, fan, look)
    np.nan_to_num(tangent, copy=False, nan=-np.inf)
    if finer.grids:
        tangent[finer.knows(distance, fan.azimuth_deg)] = -np.inf
    every = np.arange(u.shape[0])
    best = tangent.argmax(axis=1)
    steeper = (tangent[every, best] > sights.tangent) & np.isfinite(sights.tangent)
    sights.tangent[steeper] = tangent[every, best][steeper]
    sights.distance_m[steeper] = distance[every, best][steeper]


def _tangents(height: Singles, u: Singles, rays: Fan, look: _Look) -> tuple[Singles, Singles]:
    """Distance, and the tangent of the sight (written over `height`); nan beyond the reach."""
    distance = polynomial(u, rays.distance_terms)
    height -= look.eye_height_m
    height /= distance
    height -= look.drop_per_m * distance
    if distance[:, -1].max() > look.reach_m:
        height[distance > look.reach_m] = np.nan
    return distance, height


def _note(
    height: Singles,
    u: Singles,
    rays: Fan,
    look: _Look,
    finer: Finer,
    met: Sights,
    top: Singles,
    unbroken: Flags,
) -> Flags:
    """Keep the steepest of a block's samples; returns which rays know all their ground so far."""
    distance, tangent = _tangents(height, u, rays, look)
    every = np.arange(len(tangent))
    reach = known_to = distance[:, -1].astype(np.float64)
    best = tangent.argmax(axis=1)  # the first nan, where there is one
    if finer.grids or np.isnan(tangent[every, best]).any():
        unknown = np.isnan(tangent)
        tangent[unknown] = -np.inf
        if finer.grids:
            others = finer.knows(distance, rays.azimuth_deg)
            tangent[others] = -np.inf
            unknown &= ~others
        best = tangent.argmax(axis=1)
        known = ~unknown
        last = tangent.shape[1] - 1 - known[:, ::-1].argmax(axis=1)
        reach = np.where(known.any(axis=1), distance[every, last], 0.0)
        gap = unknown.argmax(axis=1)
        before_gap = np.where(gap > 0, distance[every, np.maximum(gap - 1, 0)], 0.0)
        known_to = np.where(unknown.any(axis=1), before_gap, known_to)
        if u.ndim == 1:  # grid lines, which near samples only add to
            steps = np.diff(distance, axis=1, prepend=distance[:, :1])
            met.void_m[:] = (steps * (unknown & (distance < reach[:, None]))).sum(axis=1)
        whole = unbroken & known.all(axis=1)
    else:
        whole = unbroken
    better = np.flatnonzero(tangent[every, best] > met.tangent)
    chosen = best[better]
    met.tangent[better] = tangent[better, chosen]
    met.distance_m[better] = distance[better, chosen]
    top[better] = u[chosen] if u.ndim == 1 else u[better, chosen]
    np.maximum(met.reach_m, reach, out=met.reach_m)
    np.copyto(met.known_to_m, np.maximum(met.known_to_m, known_to), where=unbroken)
    return whole
