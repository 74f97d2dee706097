"""A recorded walk in numbers: how long, how high, how much of it standing, and its gaps.

Nothing is bridged between two segments or over a silence within one (models/choosing.py), and
suspect fixes (models/fixes.py) are left out of every figure here though never out of the track.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.choosing import (
    LONGEST_SILENCE_S,
    believed_heights,
    followed_runs,
    instant,
    timed_fixes,
)
from backbearing.models.fixes import suspect_fixes
from backbearing.models.stops import find_stops, position_at
from backbearing.places.geodesy import distances_m, path_lengths_m
from backbearing.records import Track, WalkSummary

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from backbearing.records import Floats, Segment

# Common practice for satellite heights, no source: of a standing receiver's wander a threshold
# of 10 m leaves a twentieth of what every small rise added up would give.
CLIMB_THRESHOLD_M = 10.0
# Common practice, no source: 0.3–0.5 m/s over 10–30 s.
MOVING_M_S = 0.4
MOVING_WINDOW_S = 30.0

LENGTH_METHOD = "along the fixes, without gaps and suspect fixes"
CLIMB_METHOD = (
    f"counted each time the recorded height has moved {CLIMB_THRESHOLD_M:.0f} m from the last "
    f"height counted; up to {CLIMB_THRESHOLD_M:.0f} m is lost at each turn"
)
MOVING_METHOD = (
    f"moving where one got on by {MOVING_M_S} m/s or more over {MOVING_WINDOW_S:.0f} s; "
    f"gaps count as neither: breaks between segments, and {LONGEST_SILENCE_S / 60:.0f} min or "
    "more without a fix while moving on"
)

__all__ = ["ascent_descent_m", "find_gaps", "find_stops", "position_at", "summarise"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Where a track is silent: between two segments, or long within one while moving on."""

    start: datetime | None
    end: datetime | None
    distance_m: float
    between_segments: bool


def summarise(track: Track) -> WalkSummary:
    """How long, how high and how far a walk was.

    Length [m], LENGTH_METHOD; ascent and descent [m], CLIMB_METHOD, None without heights;
    moving and standing time [s], MOVING_METHOD, None without times.
    """
    length_m = 0.0
    climb_m = [0.0, 0.0]
    time_s = [0.0, 0.0]
    with_heights = with_times = False
    suspects = 0
    runs: list[Segment] = []
    for segment in track.segments:
        believed = believed_heights(segment)
        followed = followed_runs(believed)
        if believed is not segment or _fixes(followed) < _fixes([segment]):
            suspects += int(suspect_fixes(segment).sum())
        runs += followed
        # two are enough to say that it has them, though a gap between leaves nothing to count
        with_heights |= sum(int(np.isfinite(run.height_m).sum()) for run in followed) > 1
        with_times |= sum(int((~np.isnat(run.time)).sum()) for run in followed) > 1
    for run in runs:
        length_m += float(path_lengths_m(run.longitude_deg, run.latitude_deg).sum())
        heights = run.height_m[np.isfinite(run.height_m)]
        for i, climbed in enumerate(ascent_descent_m(heights)):
            climb_m[i] += climbed
        for i, passed in enumerate(_moving_standing_s(timed_fixes(run))):
            time_s[i] += passed
    times = [s.time[~np.isnat(s.time)] for s in track.segments]
    time = np.concatenate(times) if times else np.empty(0, dtype="datetime64[ms]")
    return WalkSummary(
        points=_fixes(track.segments),
        length_m=length_m,
        ascent_m=climb_m[0] if with_heights else None,
        descent_m=climb_m[1] if with_heights else None,
        moving_s=time_s[0] if with_times else None,
        standing_s=time_s[1] if with_times else None,
        suspect_fixes=suspects,
        gaps=max(0, len(runs) - 1),
        started=instant(time.min()) if time.size else None,
        ended=instant(time.max()) if time.size else None,
        bounds_deg=_bounds_deg(track),
    )


def ascent_descent_m(
    height_m: Floats, *, threshold_m: float = CLIMB_THRESHOLD_M
) -> tuple[float, float]:
    """Ascent and descent [m] of a run of heights by hysteresis.

    A reference height follows only where the walk has left it by `threshold_m`; what it then
    moves is counted. Two rises shorter than that, with a fall between, count for nothing.
    """
    up = down = 0.0
    heights = height_m.tolist()
    reference = heights[0] if heights else 0.0
    for height in heights:
        change = height - reference
        if change >= threshold_m:
            up += change
            reference = height
        elif -change >= threshold_m:
            down -= change
            reference = height
    return up, down


def find_gaps(track: Track) -> list[Gap]:
    """Where the track is silent, in its order: between segments, and where, within one, no fix
    came for LONGEST_SILENCE_S while one moved on."""
    runs = [
        (number, run)
        for number, segment in enumerate(track.segments)
        for run in followed_runs(segment)
    ]
    return [
        _gap(before, after, between_segments=number != next_number)
        for (number, before), (next_number, after) in pairwise(runs)
    ]


def _gap(before: Segment, after: Segment, *, between_segments: bool) -> Gap:
    longitude, latitude = (
        np.array([getattr(before, name)[-1], getattr(after, name)[0]])
        for name in ("longitude_deg", "latitude_deg")
    )
    start, end = (None if np.isnat(t) else instant(t) for t in (before.time[-1], after.time[0]))
    return Gap(
        start=start,
        end=end,
        distance_m=float(path_lengths_m(longitude, latitude)[0]),
        between_segments=between_segments,
    )


def _moving_standing_s(timed: Segment) -> tuple[float, float]:
    """Seconds moving and standing."""
    took, moving = moving_steps(timed)
    return float(took[moving].sum()), float(took[~moving].sum())


def moving_steps(timed: Segment) -> tuple[Floats, NDArray[np.bool_]]:
    """How long did each step from fix to fix take [s], and was one moving (MOVING_METHOD)?

    timed: a run of n fixes, all with times, in order. Two arrays of n − 1; a step moves by how far
    a window around it gets on.
    """
    seconds = (timed.time - timed.time[:1]).astype(np.float64) / 1000.0
    if seconds.size < 2:
        return np.empty(0), np.empty(0, dtype=bool)
    middle = (seconds[1:] + seconds[:-1]) / 2
    step = np.arange(seconds.size - 1)
    # the widest run of fixes inside the window, and never less than the step itself
    first = np.searchsorted(seconds, middle - MOVING_WINDOW_S / 2)
    last = np.searchsorted(seconds, middle + MOVING_WINDOW_S / 2, side="right") - 1
    first = np.minimum(first, step)
    last = np.maximum(last, step + 1)
    got_on_m = distances_m(
        timed.longitude_deg[first],
        timed.latitude_deg[first],
        timed.longitude_deg[last],
        timed.latitude_deg[last],
    )
    return np.diff(seconds), got_on_m >= MOVING_M_S * (seconds[last] - seconds[first])


def _fixes(segments: Sequence[Segment]) -> int:
    return sum(len(segment.longitude_deg) for segment in segments)


def _bounds_deg(track: Track) -> tuple[float, float, float, float] | None:
    """West, south, east, north; west > east where the walk crosses the antimeridian."""
    if not any(len(s.longitude_deg) for s in track.segments):
        return None
    longitude: Floats = np.concatenate([s.longitude_deg for s in track.segments])
    latitude: Floats = np.concatenate([s.latitude_deg for s in track.segments])
    # unrolled, so that a step from 179.9 to −179.9 is one of 0.2
    unrolled = np.unwrap(longitude, period=360.0)
    west, east = float(unrolled.min()), float(unrolled.max())
    if east - west >= 360.0:
        west, east = -180.0, 180.0
    elif not west >= -180.0 or not east <= 180.0:
        west, east = (west + 180.0) % 360.0 - 180.0, (east + 180.0) % 360.0 - 180.0
    else:
        west, east = float(longitude.min()), float(longitude.max())
    return west, float(latitude.min()), east, float(latitude.max())
