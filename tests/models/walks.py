"""Walks made for the tests: metres and seconds in, segments out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from backbearing.records import Segment, Track

if TYPE_CHECKING:
    from backbearing.records import Floats

START = np.datetime64("2026-03-14T08:00:00", "ms")
LATITUDE_DEG, LONGITUDE_DEG = 47.0, -21.0
# one degree at 47° N on WGS 84 (NGA.STND.0036, radii of curvature): 111 171 m and 76 052 m
NORTH_M, EAST_M = 111_171.0, 76_052.0


def segment(
    east_m: Sequence[float] | Floats,
    north_m: Sequence[float] | Floats,
    seconds: Sequence[float] | Floats | None = None,
    height_m: Sequence[float] | Floats | None = None,
    *,
    longitude_deg: float = LONGITUDE_DEG,
) -> Segment:
    """A segment of fixes so far east and north of 47° N; one a second where no times are given."""
    east, north = np.asarray(east_m, dtype=float), np.asarray(north_m, dtype=float)
    passed = np.arange(east.size, dtype=float) if seconds is None else np.asarray(seconds)
    heights = np.full(east.size, np.nan) if height_m is None else np.asarray(height_m, dtype=float)
    longitude = longitude_deg + east / EAST_M
    return Segment(
        longitude_deg=(longitude + 180.0) % 360.0 - 180.0,
        latitude_deg=LATITUDE_DEG + north / NORTH_M,
        height_m=heights,
        time=START + (passed * 1000).astype("timedelta64[ms]"),
    )


def timeless(one: Segment) -> Segment:
    return Segment(
        longitude_deg=one.longitude_deg,
        latitude_deg=one.latitude_deg,
        height_m=one.height_m,
        time=np.full(one.time.shape, np.datetime64("NaT"), dtype="datetime64[ms]"),
    )


def track(*segments: Segment) -> Track:
    return Track(name="made", segments=segments)


def wander(count: int, sigma_m: float, seed: int, *, memory: float = 0.95) -> Floats:
    """A receiver's error: correlated from fix to fix, of this standard deviation."""
    rng = np.random.default_rng(seed)
    noise = rng.normal(0.0, sigma_m * np.sqrt(1 - memory**2), count)
    error = np.empty(count)
    error[0] = rng.normal(0.0, sigma_m)
    for i in range(1, count):
        error[i] = memory * error[i - 1] + noise[i]
    return error
