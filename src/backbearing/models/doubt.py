"""How far a skyline may be off, and so how many minutes first and last sun may be.

   ____
  /    ╲ ± height error and the cell's blur       the edge seen from the spot: an angle,
 /      ╲                                         off by (height error ⊕ blur) / distance
/        ╲________ ✕ ± position                   and by what it is from beside the spot
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.sunlight import skyline_altitude_deg

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.records import Floats, Skyline

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


def too_near(skyline: Skyline) -> Floats:
    """In which azimuths is the skyline drawn by ground nearer than three cells (1.0), else 0.0?"""
    if skyline.cell_m is None:
        return np.zeros(skyline.azimuth_deg.shape)
    with np.errstate(invalid="ignore"):
        near = skyline.distance_m < NEAR_CELLS * skyline.cell_m
    return near.astype(np.float64)
