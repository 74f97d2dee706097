"""What guides a walker along a leg: a line to keep beside, one to stop at, a mark to aim off from.

   ~~~~~~~~~~~~~~~~~~~ handrail: runs beside most of the leg
●──────────────◇─────● |       ◇ attack point: the last sure mark before the end
                       | catching feature: crossed only by going too far
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.records import Floats

# common practice of wayfinding on foot, no source for the numbers
HANDRAIL_REACH_M = 40.0
HANDRAIL_SHARE = 0.6
ATTACK_WITHIN_M = 400.0
CATCHING_WITHIN_M = 500.0
_STEP_M = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """A line that runs beside a leg."""

    line: int  # which of those given
    side: Literal["left", "right"]
    share: float  # of the leg's length


@dataclass(frozen=True, slots=True, kw_only=True)
class Beyond:
    """A line that lies across the way beyond a leg's end."""

    line: int
    distance_m: float  # beyond the end


def along(line_m: Floats, step_m: float = _STEP_M) -> Floats:
    """Points (m, 2) along a line (n, 2) of metres, about a step apart, both ends among them."""
    lengths = np.hypot(*np.diff(line_m, axis=0).T)
    way = np.concatenate([[0.0], np.cumsum(lengths)])
    if way[-1] <= 0.0:
        return line_m[:1]
    at = np.linspace(0.0, way[-1], max(2, int(np.ceil(way[-1] / step_m)) + 1))
    return np.stack([np.interp(at, way, line_m[:, i]) for i in (0, 1)], axis=1)


def handrail(leg_m: Floats, lines_m: Sequence[Floats]) -> Beside | None:
    """Which line runs beside most of a leg, and on which hand?

    leg_m, lines_m: (n, 2) east and north in metres. A line that the leg keeps crossing is none:
    its nearer half of the points must lie on one hand. None where no line does.
    """
    points = along(leg_m)
    if len(points) < 3:
        return None
    heading = np.gradient(points, axis=0)
    best: Beside | None = None
    for number, line in enumerate(lines_m):
        foot, away = _nearest_on(points, line)
        near = away <= HANDRAIL_REACH_M
        share = float(near.mean())
        if share < HANDRAIL_SHARE or (best is not None and share <= best.share):
            continue
        offset = foot[near] - points[near]
        left = heading[near, 0] * offset[:, 1] - heading[near, 1] * offset[:, 0]
        apart = away[near] > 1.0
        if not apart.any():
            continue  # the leg runs on the line itself
        on_left = float((left[apart] > 0.0).mean())
        if 0.25 < on_left < 0.75:
            continue
        best = Beside(line=number, side="left" if on_left >= 0.5 else "right", share=share)
    return best


def catching_feature(leg_m: Floats, lines_m: Sequence[Floats]) -> Beyond | None:
    """Which line is met first by walking on beyond a leg's end, in the leg's last direction?"""
    points = along(leg_m)
    if len(points) < 2:
        return None
    last = points[max(0, len(points) - 11)]
    ahead = points[-1] - last
    length = float(np.hypot(*ahead))
    if length == 0.0:
        return None
    ahead = ahead / length
    best: Beyond | None = None
    for number, line in enumerate(lines_m):
        start, end = line[:-1] - points[-1], line[1:] - points[-1]
        # along the direction, and across it
        begin = np.stack([start @ ahead, ahead[0] * start[:, 1] - ahead[1] * start[:, 0]], axis=1)
        finish = np.stack([end @ ahead, ahead[0] * end[:, 1] - ahead[1] * end[:, 0]], axis=1)
        crosses = (begin[:, 1] <= 0.0) != (finish[:, 1] <= 0.0)
        if not crosses.any():
            continue
        share = begin[crosses, 1] / (begin[crosses, 1] - finish[crosses, 1])
        at = begin[crosses, 0] + share * (finish[crosses, 0] - begin[crosses, 0])
        at = at[(at > 1.0) & (at <= CATCHING_WITHIN_M)]
        if len(at) and (best is None or at.min() < best.distance_m):
            best = Beyond(line=number, distance_m=float(at.min()))
    return best


def attack_point(
    leg_m: Floats, marks_m: Floats, *, reach_m: float = 30.0
) -> tuple[int, float] | None:
    """Which sure mark is the last on a leg before its end, and how far before it?

    marks_m: (k, 2). Marks farther than `reach_m` off the way, within 50 m of its end, or more than
    ATTACK_WITHIN_M before it do not count. None where there is none.
    """
    points = along(leg_m)
    if len(points) < 2 or not len(marks_m):
        return None
    step = float(np.hypot(*(points[1] - points[0])))
    best: tuple[int, float] | None = None
    for number, mark in enumerate(marks_m):
        away = np.hypot(*(points - mark).T)
        nearest = int(np.argmin(away))
        before = (len(points) - 1 - nearest) * step
        counts = away[nearest] <= reach_m and 50.0 <= before <= ATTACK_WITHIN_M
        if counts and (best is None or before < best[1]):
            best = (number, before)
    return best


def _nearest_on(points: Floats, line: Floats) -> tuple[Floats, Floats]:
    """The nearest place of a line to each point, and how far off it is."""
    start, step = line[:-1], np.diff(line, axis=0)
    length = np.maximum((step**2).sum(axis=1), 1e-12)
    offset = points[:, None, :] - start[None, :, :]
    share = np.clip((offset * step).sum(axis=2) / length, 0.0, 1.0)
    foot = start[None] + share[..., None] * step[None]
    away = np.hypot(*np.moveaxis(points[:, None, :] - foot, 2, 0))
    best = np.argmin(away, axis=1)
    row = np.arange(len(points))
    return foot[row, best], away[row, best]
