"""From when until when there is light enough to walk rough ground by, under a sky that is cut.

3.4 lx is what open level ground gets at the end of civil twilight. Under walls or trees that light
is gone earlier: what counts is the light of the open times the share of the sky that is seen.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.illuminance import STARS_AND_AIRGLOW_LUX, sun_level_lux
from backbearing.models.sun import sun_position

if TYPE_CHECKING:
    from backbearing.records import Times

USABLE_LUX = 3.4  # USNO Circular 171 for a sun 6° down
_LOWEST_DEG, _HIGHEST_DEG = -17.9, 60.0


def usable_sun_altitude_deg(sky_view: float, *, canopy_stops: float = 0.0) -> float:
    """How high must the sun stand [degrees, apparent] for usable light under a cut sky?

    sky_view: share of the sky's light that level ground gets there, above 0 to 1. canopy_stops:
    what leaves and branches take. Raises BadInput for no sky at all, or more than all of it.
    """
    if not 0.0 < sky_view <= 1.0 or not canopy_stops >= 0.0:
        raise BadInput(
            "the sky seen must be above 0 and at most all of it, and trees take light only",
            where="sky",
        )
    needed = USABLE_LUX / (sky_view * 2.0**-canopy_stops)
    low, high = _LOWEST_DEG, _HIGHEST_DEG
    if needed <= STARS_AND_AIRGLOW_LUX:
        return low
    for _ in range(50):
        middle = (low + high) / 2.0
        if float(sun_level_lux(middle)) >= needed:
            high = middle
        else:
            low = middle
    return high


def usable_light(
    latitude_deg: float,
    longitude_deg: float,
    start: np.datetime64,
    end: np.datetime64,
    *,
    sky_view: float = 1.0,
    canopy_stops: float = 0.0,
    height_m: float = 0.0,
) -> Times | None:
    """From when until when, between two instants, is there usable light (2,), to the minute?

    The first and the last minute with light; in between it may fail only where the sun crosses the
    limit more than twice, which no day but a polar one has. None where there is none.
    A clear sky; cloud takes a stop to three, half an hour or so: it is not in this.
    """
    limit = usable_sun_altitude_deg(sky_view, canopy_stops=canopy_stops)
    times = np.arange(start, end, np.timedelta64(60_000, "ms")).astype("datetime64[ms]")
    sun = sun_position(times, latitude_deg, longitude_deg, height_m=height_m)
    light = np.flatnonzero(sun.altitude_deg >= limit)
    if not len(light):
        return None
    return times[light[[0, -1]]]
