"""A walker on invented ground, and what a receiver in a jacket pocket makes of the walk.

The walker goes by Tobler's hiking function (NCGIA TR 93-1, 1993), a little slower than it says
and slower still off the path. Fixes err by a first-order autoregression that grows under walls
and trees; figures of its size are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, timezone
from random import Random
from statistics import NormalDist
from typing import TYPE_CHECKING

import numpy as np
from island import NEAR, Island
from lines import Line, points_along

if TYPE_CHECKING:
    from ground import Floats

# magnetic declination over the island in those years [degrees], WMM2025, rounded
DECLINATION_DEG = -6
PLANTATION, PLANTATION_M = (330.0, 470.0), 130.0  # stunted pines between incline and brook


@dataclass(frozen=True)
class Stage:
    """One part of an outing: along a line, or standing still."""

    line: Line = field(default_factory=list)
    pace: float = 1.0  # of the walker's own on a path
    stand_min: float = 0.0
    name: str = ""  # what one stood at
    lost_s: tuple[float, float] | None = None  # no fixes between these seconds of the stage


@dataclass(frozen=True)
class Outing:
    """What is known of a walk before it is walked."""

    file: str
    title: str
    anchor: tuple[str, datetime]  # at this stand, five minutes in, the clock showed this (UTC)
    stages: tuple[Stage, ...]
    every_s: float
    seed: int
    version: str = "1.1"
    zone: timezone = UTC
    comment: str = ""
    waypoints: tuple[tuple[str, str, str], ...] = ()  # place, name, comment
    wild_fix: bool = False
    route: Line | None = None


@dataclass(frozen=True)
class Fix:
    """One line of the receiver's log."""

    when: datetime
    x: float
    y: float
    height: float | None


def stand(subject: tuple[float, float], magnetic_deg: float, metres: float) -> tuple[float, float]:
    """Where the camera is that sees a subject in that direction."""
    a = math.radians(magnetic_deg + DECLINATION_DEG)
    return subject[0] - metres * math.sin(a), subject[1] - metres * math.cos(a)


def part(line: Line, start: tuple[float, float], end: tuple[float, float]) -> Line:
    """The piece of a line between two points near it, with those points at its ends."""
    _, x, y = points_along(line, 5)
    a = int(np.argmin(np.hypot(x - start[0], y - start[1])))
    b = int(np.argmin(np.hypot(x - end[0], y - end[1])))
    order = range(a, b + 1) if a <= b else range(a, b - 1, -1)
    return [start, *((float(x[k]), float(y[k])) for k in order), end]


class Walker:
    """Walks the stages on the true ground and says where the receiver thought it was."""

    def __init__(self, island: Island, outing: Outing) -> None:
        self.ground, self.outing = island.near, outing
        self.random = Random(outing.seed)  # noqa: S311 (invented noise, no secret)
        self.sky = _sky_closed(island.near)
        self.stands: dict[str, tuple[float, float]] = {}  # name → start and end [s]

    def normal(self) -> float:
        return NormalDist().inv_cdf(min(max(self.random.random(), 1e-9), 1 - 1e-9))

    def height(self, x: float, y: float) -> float:
        return float(NEAR.sample(self.ground, np.array(x), np.array(y)))

    def timetable(self) -> list[tuple[float, float, float]]:
        """The true walk: (seconds, x, y), and `stands` filled."""
        clock = 0.0
        table: list[tuple[float, float, float]] = []
        lost: list[tuple[float, float]] = []
        for stage in self.outing.stages:
            begun = clock
            if stage.stand_min:
                _, x, y = table[-1]
                clock += 60 * stage.stand_min
                table.append((clock, x, y))
                self.stands[stage.name] = (begun, clock)
            else:
                mood = 1.0
                s, xs, ys = points_along(stage.line, 10)
                z = NEAR.sample(self.ground, xs, ys)
                table.append((clock, float(xs[0]), float(ys[0])))
                for k in range(1, len(s)):
                    # over some 60 m: a bridge is no climb into its gorge
                    a, b = max(k - 4, 0), min(k + 3, len(s) - 1)
                    run = float(s[k] - s[k - 1])
                    slope = float(np.clip((z[b] - z[a]) / (s[b] - s[a]), -0.7, 0.7))
                    speed = 6 / 3.6 * math.exp(-3.5 * abs(slope + 0.05)) * 0.82 * stage.pace
                    mood = 0.9 * mood + 0.1 * (1 + 0.5 * (self.random.random() - 0.5))
                    clock += run / max(speed * mood, 0.15)
                    table.append((clock, float(xs[k]), float(ys[k])))
            if stage.lost_s:
                lost.append((begun + stage.lost_s[0], begun + stage.lost_s[1]))
        self.lost = lost
        return table

    def fixes(self) -> list[list[Fix]]:
        """What was recorded, a list for each stretch without a loss."""
        table = np.array(self.timetable())
        at, clock = self.outing.anchor
        start = clock - timedelta(seconds=round(self.stands[at][0]) + 300)
        step_s = self.outing.every_s
        keep, slow = math.exp(-step_s / 45), math.exp(-step_s / 600)
        fast = [self.normal() for _ in range(3)]
        drift = [self.normal() for _ in range(3)]
        bias_m = 4 * self.normal()
        stretches: list[list[Fix]] = [[]]
        for t in np.arange(0, table[-1, 0], step_s).tolist():
            for k in range(3):
                fast[k] = keep * fast[k] + math.sqrt(1 - keep**2) * self.normal()
                drift[k] = slow * drift[k] + math.sqrt(1 - slow**2) * self.normal()
            if any(a <= t < b for a, b in self.lost):
                if stretches[-1]:
                    stretches.append([])
                continue
            x = float(np.interp(t, table[:, 0], table[:, 1]))
            y = float(np.interp(t, table[:, 0], table[:, 2]))
            sigma = self.sigma_m(x, y)
            z = self.height(x, y) + bias_m + 1.6 * sigma * (0.7 * fast[2] + 0.7 * drift[2])
            stretches[-1].append(
                Fix(
                    when=start + timedelta(seconds=t),
                    x=x + sigma * (0.75 * fast[0] + 0.66 * drift[0]),
                    y=y + sigma * (0.75 * fast[1] + 0.66 * drift[1]),
                    height=round(z, 1),
                )
            )
        self.flaws(stretches)
        return stretches

    def sigma_m(self, x: float, y: float) -> float:
        """How far off along one axis: some 2 m in the open, up to 9 under walls, 5 in trees."""
        closed = float(NEAR.sample(self.sky, np.array(x), np.array(y)))
        trees = 3.0 if math.hypot(x - PLANTATION[0], y - PLANTATION[1]) < PLANTATION_M else 0.0
        return 1.9 + 7.0 * min(max((closed - 12) / 18, 0.0), 1.0) + trees

    def flaws(self, stretches: list[list[Fix]]) -> None:
        """A receiver's ordinary faults: a point twice, a height left out, a wild jump."""
        for stretch in stretches:
            if len(stretch) < 60:
                continue
            for _ in range(2):
                k = int(self.random.random() * (len(stretch) - 2)) + 1
                stretch.insert(k, stretch[k])
            k = int(self.random.random() * len(stretch))
            old = stretch[k]
            stretch[k] = Fix(when=old.when, x=old.x, y=old.y, height=None)
        if self.outing.wild_fix:
            longest = max(stretches, key=len)
            k = len(longest) // 2
            old = longest[k]
            longest[k] = Fix(when=old.when, x=old.x + 95, y=old.y - 120, height=old.height)


def _sky_closed(ground: Floats) -> Floats:
    """The mean altitude angle of the ground around each cell, 8 ways, within 400 m [degrees]."""
    total = np.zeros_like(ground)
    for east, north in ((1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1)):
        highest = np.zeros_like(ground)
        for cells in (3, 6, 12, 24, 40):
            far = cells * NEAR.cell * math.hypot(east, north)
            there = np.roll(ground, (cells * north, -cells * east), (0, 1))
            highest = np.maximum(highest, np.degrees(np.arctan((there - ground) / far)))
        total += highest
    return total / 8
