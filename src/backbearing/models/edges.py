"""How far the edge of the sky may be off where the sun crosses it, and what that is in minutes.

The one computation for every ± of first and last sun: light windows, the skyline of a place and
its day all ask here, so that one edge has one figure wherever it is named.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.events import HORIZON_DOUBT_DEG
from backbearing.models.sunlight import skyline_altitude_deg

if TYPE_CHECKING:
    from backbearing.records import Floats, Skyline

# The doubt of refraction is that of sunrise and sunset right at the horizon, and next to
# nothing of it is left 2° up (Saemundsson 1986: refraction itself has halved there, and the layer
# that strays lies below). The fading is common practice, no source.
_REFRACTION_DOUBT_AT_DEG = (0.5, 2.0)
_REFRACTION_DOUBT_DEG = (HORIZON_DOUBT_DEG, HORIZON_DOUBT_DEG / 10.0)
LONGEST_ERROR_MIN = 720.0  # where the sun only grazes an edge, half a day says 'unknown'
_BESIDE_DEG = (-1.0, 0.0, 1.0)


def refraction_error_deg(altitude_deg: Floats) -> Floats:
    """How far refraction strays at an apparent altitude: most on the horizon, soon nothing."""
    return np.interp(altitude_deg, _REFRACTION_DOUBT_AT_DEG, _REFRACTION_DOUBT_DEG)


def edge_off_deg(
    skyline: Skyline | None, error_deg: Floats | None, azimuth_deg: Floats, altitude_deg: Floats
) -> Floats:
    """How far may the edge be off where the sun stands on it, 95 % [degrees]?

    skyline, error_deg: as seen from the spot, and its error in each azimuth (None over a plain,
    where only refraction strays). An edge a little to the side may be the one that counts: the
    worst within a degree is taken, and refraction's own added as independent.
    """
    off = refraction_error_deg(altitude_deg)
    if skyline is None or error_deg is None:
        return off
    known = replace(skyline, altitude_deg=error_deg)
    own = np.max([skyline_altitude_deg(known, azimuth_deg + turn) for turn in _BESIDE_DEG], axis=0)
    return np.asarray(np.hypot(off, own))


def minutes_off(off_deg: Floats, rate_deg_min: Floats) -> Floats:
    """How many minutes is such an error, of a sun that leaves the edge at such a rate?

    Never under a minute, and half a day where the sun only grazes the edge.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        taken = np.where(rate_deg_min > 0.0, off_deg / rate_deg_min, LONGEST_ERROR_MIN)
    return np.clip(taken, 1.0, LONGEST_ERROR_MIN)
