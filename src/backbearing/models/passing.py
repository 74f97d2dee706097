"""How near did a walk come to a place, and when?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.choosing import followed_runs, instant

if TYPE_CHECKING:
    from backbearing.records import Segment, Track

METRES_PER_DEGREE = 111_195.0  # on a sphere of 6371 km


@dataclass(frozen=True, slots=True, kw_only=True)
class Approach:
    """The nearest that a walk came to a place; `when` is None where it has no times."""

    distance_m: float
    when: datetime | None


def nearest_approach(track: Track, latitude_deg: float, longitude_deg: float) -> Approach | None:
    """The nearest point of the walk's line to a place, None for a walk without fixes.

    On the plane that touches at the place, of a sphere: to half a part in a hundred within
    some kilometres, only an order of magnitude far beyond. Nothing is bridged between two
    segments or over a silence, and suspect fixes are left out.
    """
    best: Approach | None = None
    for segment in track.segments:
        for run in followed_runs(segment):
            approach = _nearest(run, latitude_deg, longitude_deg)
            if best is None or approach.distance_m < best.distance_m:
                best = approach
    return best


def _nearest(segment: Segment, latitude_deg: float, longitude_deg: float) -> Approach:
    squeeze = math.cos(math.radians(latitude_deg))
    east_deg = np.remainder(segment.longitude_deg - longitude_deg + 180.0, 360.0) - 180.0
    x = east_deg * squeeze * METRES_PER_DEGREE
    y = (segment.latitude_deg - latitude_deg) * METRES_PER_DEGREE
    if x.size == 1:
        x, y = np.repeat(x, 2), np.repeat(y, 2)
    # how far along each step its foot lies, the place being the origin
    step_x, step_y = np.diff(x), np.diff(y)
    length_2 = step_x**2 + step_y**2
    along = -(x[:-1] * step_x + y[:-1] * step_y) / np.where(length_2 > 0, length_2, 1.0)
    along = np.clip(along, 0.0, 1.0)
    distance = np.hypot(x[:-1] + along * step_x, y[:-1] + along * step_y)
    at = int(np.argmin(distance))
    when = None
    after = min(at + 1, len(segment.time) - 1)
    start, end = segment.time[at], segment.time[after]
    if not (np.isnat(start) or np.isnat(end)):
        when = instant(start) + (instant(end) - instant(start)) * float(along[at])
        when = when.replace(microsecond=0)
    return Approach(distance_m=float(distance[at]), when=when)
