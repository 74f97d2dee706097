"""One's own pace, from one's own tracks: a walking rule, bent by slope to what was walked.

seconds walked ÷ seconds by the rule, piece by piece; the median of each class of slope bends
the rule. How far whole stretches strayed from that gives the slow end: 85 of 100 stretches
took no longer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.choosing import believed_heights, followed_runs, timed_fixes
from backbearing.models.walk import moving_steps
from backbearing.models.walking import RULES, WalkingRule
from backbearing.places.geodesy import path_lengths_m

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from backbearing.records import Floats, Track

PIECE_M = 100.0  # short pieces make slopes of the noise in recorded heights
STRETCH_PIECES = 20  # 2 km: what a leg is like
LEAST_KM = 15.0  # fewer tell more of the days than of the walker; common practice, no source
SLOW_SHARE = 0.85
RULE_SLOW = 1.3  # the slow end of a published rule; they differ by 40 to 70 % among themselves
TOO_FAST_M_S = 2.5  # 9 km/h: no walker keeps that up with a load; common practice, no source
TOO_FAST_PIECES = 5  # … over this many pieces in a row
TOO_FAST_SHARE = 0.25  # more of a walk than this, and the rest was ridden too, only uphill
_CLASS_EDGES = (-0.25, -0.1, -0.03, 0.03, 0.1, 0.25)
CLASS_SLOPES = (-0.35, -0.17, -0.06, 0.0, 0.06, 0.17, 0.35)
_DRAWN_IN = 10.0  # a class of fewer pieces is drawn towards the whole


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pieces:
    """Stretches of about 100 m, walked without stops: arrays of one length."""

    slope: Floats  # rise over run
    seconds: Floats
    length_m: Floats
    too_fast: NDArray[np.bool_]  # amid pieces nobody walks: a bicycle, a car, a run


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnPace:
    """A walking rule bent to a walker, with its slow end."""

    rule: WalkingRule
    factors: tuple[float, ...]  # time over the rule's, at CLASS_SLOPES
    class_km: tuple[float, ...]  # walked in each class
    slow: float  # the 85 % time over the usual one
    km: float  # walked, that it rests on

    def usual_s_per_m(self, slope: ArrayLike) -> Floats:
        """Seconds a metre usually takes at a slope (rise over run, any shape)."""
        bend = np.interp(np.asarray(slope, dtype=float), CLASS_SLOPES, self.factors)
        return np.asarray(RULES[self.rule](slope) * bend)


def walked_pieces(track: Track) -> Pieces:
    """A track cut into pieces of about 100 m with their slopes and moving times.

    Stops, silences and suspect fixes are left out (`models.walk`); a track without times or
    heights gives no pieces. `too_fast` tells a ride (bicycle, car) from a walk by speed alone: a
    slow ride passes for a walk.
    """
    found: list[tuple[Floats, Floats, Floats]] = []
    for segment in track.segments:
        for run in followed_runs(believed_heights(segment)):
            timed = timed_fixes(run)
            took, moving = moving_steps(timed)
            on = path_lengths_m(timed.longitude_deg, timed.latitude_deg)
            use = moving & (on > 0.0)
            known = np.isfinite(timed.height_m)
            if use.sum() < 2 or known.sum() < 2:
                continue
            # distance and time run on only while moving
            way = np.concatenate([[0.0], np.cumsum(np.where(use, on, 0.0))])
            clock = np.concatenate([[0.0], np.cumsum(np.where(use, took, 0.0))])
            count = int(way[-1] // PIECE_M)
            if count < 1:
                continue
            marks = np.linspace(0.0, way[-1], count + 1)
            later = np.concatenate([[True], np.diff(way) > 0.0])
            at = np.interp(marks, way[later], clock[later])
            height = np.interp(marks, way[known], timed.height_m[known])
            length = np.diff(marks)
            found.append((np.diff(height) / length, np.diff(at), length))
    if not found:
        empty = np.empty(0)
        return Pieces(slope=empty, seconds=empty, length_m=empty, too_fast=empty.astype(bool))
    slope, seconds, length = (np.concatenate(part) for part in zip(*found, strict=True))
    return Pieces(
        slope=slope, seconds=seconds, length_m=length, too_fast=_too_fast(length, seconds)
    )


def fit_pace(walks: Sequence[Pieces], rule: WalkingRule = "Tobler") -> OwnPace | None:
    """What is the pace behind walks, by slope, and how slow are their slowest stretches?

    walks: the pieces of each walk; those too fast for feet are left out. None where fewer than
    LEAST_KM remain. Method: median of actual over predicted seconds in each class of slope,
    classes of few pieces drawn towards the median of all; the slow end is the 85th of 100
    stretches of 2 km, taken high where there are few.
    """
    kept = [
        (walk.slope[~walk.too_fast], walk.seconds[~walk.too_fast], walk.length_m[~walk.too_fast])
        for walk in walks
    ]
    if not kept:
        return None
    slope, seconds, length = (np.concatenate(part) for part in zip(*kept, strict=True))
    km = float(length.sum()) / 1000.0
    if km < LEAST_KM:
        return None
    ratio = seconds / (length * RULES[rule](slope))
    number = np.searchsorted(_CLASS_EDGES, slope)
    whole = float(np.median(ratio))
    factors, class_km = [], []
    for index in range(len(CLASS_SLOPES)):
        inside = number == index
        count = int(inside.sum())
        median = float(np.median(ratio[inside])) if count else whole
        factors.append((count * median + _DRAWN_IN * whole) / (count + _DRAWN_IN))
        class_km.append(float(length[inside].sum()) / 1000.0)
    bent = OwnPace(rule=rule, factors=tuple(factors), class_km=tuple(class_km), slow=1.0, km=km)
    strayed = []
    for walk_slope, walk_seconds, walk_length in kept:
        usual = walk_length * bent.usual_s_per_m(walk_slope)
        for first in range(0, len(usual) - STRETCH_PIECES + 1, STRETCH_PIECES):
            part = slice(first, first + STRETCH_PIECES)
            strayed.append(float(walk_seconds[part].sum() / usual[part].sum()))
    slow = RULE_SLOW
    if strayed:
        ranked = np.sort(strayed)
        # of n + 1 chances the next one falls into, so few stretches give a high one
        rank = int(np.ceil(SLOW_SHARE * (len(ranked) + 1))) - 1
        slow = max(1.0, float(ranked[min(rank, len(ranked) - 1)]))
    return OwnPace(rule=rule, factors=bent.factors, class_km=bent.class_km, slow=slow, km=km)


def _too_fast(length_m: Floats, seconds: Floats) -> NDArray[np.bool_]:
    """Pieces amid five or more in a row that nobody walks, and the one on either side."""
    fast = length_m > TOO_FAST_M_S * seconds
    answer = np.zeros(len(fast), dtype=bool)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], fast.astype(np.int8), [0]])))
    for first, end in zip(edges[::2], edges[1::2], strict=True):
        if end - first >= TOO_FAST_PIECES:
            answer[max(0, first - 1) : end + 1] = True
    return answer if answer.mean() <= TOO_FAST_SHARE else np.ones(len(fast), dtype=bool)
