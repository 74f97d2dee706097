"""Where did a walk stand still, and where was it at a given time?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.choosing import (
    LONGEST_SILENCE_S,
    believed_heights,
    chosen,
    instant,
    timed_fixes,
)
from backbearing.models.fixes import suspect_positions
from backbearing.places.geodesy import distances_m, path_lengths_m
from backbearing.records import POSITION_ERROR_M, Place, Segment, Stop, Track

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from backbearing.records import Floats

    Indices = NDArray[np.int64]

# A receiver's error wanders slowly, so a stop's scatter alone flatters it: phones have a
# radius of about 4.9 m under open sky (seen only in a secondary text).
LEAST_ERROR_M = 5.0
FEW = 5  # of fewer fixes the scatter says little: the error is that of one fix, or more
STRAY_PART = 0.1  # of the fixes of a stop's first minutes, which may lie outside its circle
STRAY_S = 30.0  # how long a stop may seem left without being left
METRES_PER_DEGREE = 111_195.0  # on a sphere of 6371 km; for clusters of some tens of metres
BLOCK = 256

Centre = tuple[float, float]  # longitude, latitude [deg]


def find_stops(track: Track, *, within_m: float = 25.0, at_least_s: float = 180.0) -> list[Stop]:
    """Where the walk stood: fixes within `within_m` [m] of one centre for `at_least_s` [s].

    Method: stay points (Li et al., 2008, from memory; the distances are those of a
    photographer's set-up: common practice, no source) about a centre instead of the first fix,
    which lies at the edge. The steps up to it and away are cut off; the centre is the geometric
    median of the rest, the error the radius about it that holds 95 % of them, never less than
    LEAST_ERROR_M. A fix inside the cluster can be
    that far off whatever their number, so it is not divided by the root of that.
    No stop reaches over a break between segments. Suspect fixes are left out.
    """
    stops: list[Stop] = []
    for segment in track.segments:
        timed = _followed(segment)
        if timed.time.size >= 2:
            stops += _stops_of(timed, within_m, at_least_s)
    return stops


def _followed(segment: Segment) -> Segment:
    """The timed fixes in positions to be believed, suspect heights made nan."""
    suspect = suspect_positions(segment)
    believed = believed_heights(segment)
    return timed_fixes(chosen(believed, ~suspect) if suspect.any() else believed)


def _stops_of(timed: Segment, within_m: float, at_least_s: float) -> list[Stop]:
    seconds = (timed.time - timed.time[0]).astype(np.float64) / 1000.0
    reach = np.searchsorted(seconds, seconds + at_least_s)  # the first fix so much later
    here = np.flatnonzero(reach < seconds.size)
    # most of a walk is ruled out at once: two fixes of one stop are no farther apart than this
    apart_m = distances_m(
        timed.longitude_deg[here],
        timed.latitude_deg[here],
        timed.longitude_deg[reach[here]],
        timed.latitude_deg[reach[here]],
    )
    candidates = here[apart_m <= 2 * within_m]
    stops: list[Stop] = []
    free = i = 0  # fixes before `free` belong to an earlier stop
    while (at := int(np.searchsorted(candidates, i))) < candidates.size:
        i = int(candidates[at])
        j = int(reach[i])
        window = np.arange(i, j + 1)
        centre = _median(timed, window, _stood_s(seconds[window]))
        stray = _distance_m(timed, window, centre) > within_m
        if stray[-1] or stray.mean() > STRAY_PART:
            # a tenth of the window on; where the stop begins is found afterwards
            i += max(1, (j - i) // 10)
            continue
        last = _edge(timed, seconds, centre, within_m, start=j, bound=seconds.size)
        first = _edge(timed, seconds, centre, within_m, start=i, bound=free - 1)
        stop = _stop(timed, seconds, np.arange(first, last + 1))
        if (stop.end - stop.start).total_seconds() >= at_least_s:
            stops.append(stop)
        free = i = last + 1
    return stops


def _edge(
    timed: Segment, seconds: Floats, centre: Centre, within_m: float, *, start: int, bound: int
) -> int:
    """The last fix from `start` towards `bound`, not included, before the circle is left."""
    step = 1 if bound > start else -1
    last = start
    for block in range(start + step, bound, step * BLOCK):
        end = block + step * BLOCK
        fixes = np.arange(block, min(end, bound) if step > 0 else max(end, bound), step)
        inside = _distance_m(timed, fixes, centre) <= within_m
        for fix, is_inside in zip(fixes.tolist(), inside.tolist(), strict=True):
            if is_inside:
                last = fix
            elif abs(seconds[fix] - seconds[last]) > STRAY_S:
                return last
    return last


def _stop(timed: Segment, seconds: Floats, fixes: Indices) -> Stop:
    """The stop that these fixes are, with the steps up to it and away from it cut off."""
    weight = _stood_s(seconds[fixes])
    distance_m = _distance_m(timed, fixes, _median(timed, fixes, weight))
    settled = distance_m <= max(LEAST_ERROR_M, 2 * _quantile(distance_m, weight, 0.5))
    first, last = np.flatnonzero(settled)[[0, -1]]
    fixes = fixes[first : last + 1]
    weight = _stood_s(seconds[fixes])
    centre = _median(timed, fixes, weight)
    scatter_m = _quantile(_distance_m(timed, fixes, centre), weight, 0.95)
    heights = timed.height_m[fixes]
    heights = heights[np.isfinite(heights)]
    longitude_deg, latitude_deg = centre
    return Stop(
        start=instant(timed.time[fixes[0]]),
        end=instant(timed.time[fixes[-1]]),
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        height_m=float(np.median(heights)) if heights.size else None,
        error_m=max(scatter_m, LEAST_ERROR_M if len(fixes) >= FEW else POSITION_ERROR_M["open"]),
        fixes=len(fixes),
    )


def _stood_s(seconds: Floats) -> Floats:
    """The time each fix stands for, half to its neighbours on either side: a recorder that
    pauses itself leaves two fixes for the stop and many for the steps around it."""
    half = np.diff(seconds) / 2
    stood = np.zeros(seconds.size)
    stood[:-1] += half
    stood[1:] += half
    return np.maximum(stood, 1e-3)  # fixes stamped alike still count for something


def _quantile(values: Floats, weight: Floats, part: float) -> float:
    """The least value that this part of the weight does not exceed."""
    order = np.argsort(values)
    summed = np.cumsum(weight[order])
    at = int(np.searchsorted(summed, part * summed[-1]))
    return float(values[order[min(at, values.size - 1)]])


def _local_m(timed: Segment, fixes: Indices, origin: Centre) -> tuple[Floats, Floats]:
    """East and north [m] of fixes from an origin, on the plane that touches there."""
    longitude_deg, latitude_deg = origin
    east_deg = np.remainder(timed.longitude_deg[fixes] - longitude_deg + 180.0, 360.0) - 180.0
    squeeze = math.cos(math.radians(latitude_deg))
    return (
        east_deg * squeeze * METRES_PER_DEGREE,
        (timed.latitude_deg[fixes] - latitude_deg) * METRES_PER_DEGREE,
    )


def _distance_m(timed: Segment, fixes: Indices, centre: Centre) -> Floats:
    distance: Floats = np.hypot(*_local_m(timed, fixes, centre))
    return distance


def _median(timed: Segment, fixes: Indices, stood_s: Floats) -> Centre:
    """Geometric median of fixes, each with the time it stands for (Weiszfeld's iteration): for
    half of that time they may stray without harm."""
    origin = float(timed.longitude_deg[fixes[0]]), float(timed.latitude_deg[fixes[0]])
    x, y = _local_m(timed, fixes, origin)
    at_x, at_y = float(np.median(x)), float(np.median(y))
    for _ in range(50):
        # 1 cm: no division by nought
        weight = stood_s / np.maximum(np.hypot(x - at_x, y - at_y), 0.01)
        new_x, new_y = float(np.average(x, weights=weight)), float(np.average(y, weights=weight))
        moved_m = math.hypot(new_x - at_x, new_y - at_y)
        at_x, at_y = new_x, new_y
        if moved_m < 0.01:
            break
    squeeze = math.cos(math.radians(origin[1]))
    longitude_deg = origin[0] + at_x / (METRES_PER_DEGREE * max(squeeze, 1e-9))
    longitude_deg = (longitude_deg + 180.0) % 360.0 - 180.0
    return longitude_deg, origin[1] + at_y / METRES_PER_DEGREE


def position_at(
    track: Track,
    when: datetime,
    *,
    longest_gap_s: float = LONGEST_SILENCE_S,
    stops: Sequence[Stop] | None = None,
) -> Place | None:
    """Where the walk was at an instant; None where it does not cover it.

    At a stop it is the stop: all its fixes' centre, and the error of their scatter. Else the
    straight line between the fixes before and after, inside one segment and no more than
    `longest_gap_s` [s] apart; its error is that of a single fix under open sky, joined by how
    far one walks in the time to the nearer fix. Suspect fixes are left out.
    stops: the track's, where they are found already.

    Raises BadInput for a naive instant.
    """
    if when.tzinfo is None:
        raise BadInput(
            f"{when.isoformat()} has no zone", where="time", remedy="write it with tzinfo=UTC"
        )
    for stop in find_stops(track) if stops is None else stops:
        if stop.start <= when <= stop.end:
            return Place(
                latitude_deg=stop.latitude_deg,
                longitude_deg=stop.longitude_deg,
                height_m=stop.height_m,
                error_m=stop.error_m,
                error_basis=f"scatter of {stop.fixes} fixes at a stop",
                source=f"track at {when.astimezone(UTC):%H:%M:%S} UTC",
            )
    ms = (when - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1)
    for segment in track.segments:
        place = _between_fixes(_followed(segment), ms, longest_gap_s)
        if place is not None:
            return replace(place, source=f"track at {when.astimezone(UTC):%H:%M:%S} UTC")
    return None


def _between_fixes(timed: Segment, ms: int, longest_gap_s: float) -> Place | None:
    times = timed.time.astype(np.int64)
    after = int(np.searchsorted(times, ms))
    if after == times.size or (after == 0 and times[0] != ms):
        return None
    before = after if times[after] == ms else after - 1
    gap_s = float(times[after] - times[before]) / 1000.0
    if gap_s > longest_gap_s:
        return None
    part = (ms - float(times[before])) / (gap_s * 1000.0) if gap_s else 0.0
    ends = np.array([before, after])
    longitude, latitude, height = (
        (float(values[before]), float(values[after]))
        for values in (timed.longitude_deg, timed.latitude_deg, timed.height_m)
    )
    east_deg = (longitude[1] - longitude[0] + 180.0) % 360.0 - 180.0
    gap_m = float(path_lengths_m(timed.longitude_deg[ends], timed.latitude_deg[ends])[0])
    walked_m = gap_m * min(part, 1 - part)
    height_m = height[0] + part * (height[1] - height[0])
    basis = "assumed: open sky"
    return Place(
        latitude_deg=latitude[0] + part * (latitude[1] - latitude[0]),
        longitude_deg=(longitude[0] + part * east_deg + 180.0) % 360.0 - 180.0,
        height_m=height_m if math.isfinite(height_m) else None,
        error_m=math.hypot(POSITION_ERROR_M["open"], walked_m),
        error_basis=f"{basis}, between fixes {gap_s:.0f} s apart" if gap_s else basis,
    )
