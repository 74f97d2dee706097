"""How far a skyline may be off, and so how many minutes first and last sun may be.

   ____
  /    ╲ ± height error and the cell's blur       the edge seen from the spot: an angle,
 /      ╲                                         off by (height error ⊕ blur) / distance
/        ╲________ ✕ ± position                   and by what it is from beside the spot
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.edges import edge_off_deg, minutes_off
from backbearing.models.sun import sun_position
from backbearing.models.sunlight import skyline_altitude_deg, upper_limb_above_skyline_deg

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.records import Floats, Skyline, Times

# A grid holds a crest lower or higher than it stands by about the slope of its sides times a
# quarter of a cell; sides of 45°. Common practice, no source.
CREST_BLUR_CELLS = 0.25
NEAR_CELLS = 3.0  # an edge nearer than this many cells is drawn by one or two heights


def skyline_error_deg(skyline: Skyline, moved: Sequence[Skyline] = ()) -> Floats:
    """How far may a skyline be off in each of its azimuths, 95 % [degrees]?

    skyline: as seen from the spot, with what terrain told of it (cell and vertical error of
    what blocks); a flat one has no such error, and 0 is returned. moved: the skylines seen from
    places around the spot, as far off as its position error (95 %); their largest difference
    counts. Both parts are taken as independent.

    Returns an array of the skyline's length. Where what blocks is no ground (a sea horizon), the
    first part is 0.
    """
    answer = np.zeros(skyline.azimuth_deg.shape)
    if skyline.cell_m is not None and skyline.vertical_error_m is not None:
        height_m = np.hypot(skyline.vertical_error_m, CREST_BLUR_CELLS * skyline.cell_m)
        # across the line of sight: a height error counts by the cosine of the sight's altitude
        cos_altitude = np.cos(np.radians(skyline.altitude_deg))
        with np.errstate(invalid="ignore", divide="ignore"):
            sight_m = skyline.distance_m / cos_altitude
            ground = np.degrees(np.arctan(height_m * cos_altitude / sight_m))
        answer = np.where(np.isfinite(ground), ground, 0.0)
    shift = np.zeros(answer.shape)
    for other in moved:
        there = skyline_altitude_deg(other, skyline.azimuth_deg)
        np.maximum(shift, np.abs(there - skyline.altitude_deg), out=shift)
    return np.asarray(np.hypot(answer, shift))


def edge_error_min(
    skyline: Skyline,
    error_deg: Floats | None,
    times: Times,
    latitude_deg: float,
    longitude_deg: float,
    *,
    height_m: float = 0.0,
) -> Floats:
    """How many minutes may first or last sun be off at these instants (n,), 95 %?

    skyline, error_deg: as seen from the spot, and its error in each azimuth (None over a plain,
    where only refraction strays). times: datetime64 UTC of the upper limb on the skyline.
    As `models.windows` counts it for a window's edge at the same whole minute: the rate at which
    sun and skyline part is that over the two minutes around; never under a minute, and half a
    day where the sun only grazes the edge.
    """
    minute = np.timedelta64(60_000, "ms")
    spot = (latitude_deg, longitude_deg)
    before, after = (
        upper_limb_above_skyline_deg(skyline, times + shift, *spot, height_m=height_m)
        for shift in (-minute, minute)
    )
    sun = sun_position(times, *spot, height_m=height_m)
    off = edge_off_deg(skyline, error_deg, sun.azimuth_deg, sun.altitude_deg)
    return minutes_off(off, np.abs(after - before) / 2.0)
