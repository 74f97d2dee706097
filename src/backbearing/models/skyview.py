"""How much of the sky's light reaches a face under a skyline.

          zenith                 i  angle between the face's normal and a piece of sky
            │   ╲ i ╱            a piece counts by cos i, as it lights the face,
       sky  │    ╲ ╱ normal      and only where it stands over the skyline and
 ╱╲         │   face             in front of the face
╱  ╲________│____╱_______
skyline    spot
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.arguments import within
from backbearing.models.sunlight import skyline_altitude_deg

if TYPE_CHECKING:
    from backbearing.records import Floats, Skyline

Sky = Literal["even", "overcast"]
_STEP_DEG = 0.1  # of azimuth; the middles of the steps are summed


def sky_view_factor(
    skyline: Skyline, *, tilt_deg: float = 0.0, aspect_deg: float = 0.0, sky: Sky = "even"
) -> float:
    """How much of the light that open level ground gets from the sky does this face get?

    skyline: as seen from the face. tilt_deg: 0 lies flat and looks up, 90 is a wall, 180
    looks down. aspect_deg: true azimuth the face looks towards. sky: "even" is equally bright
    all over; "overcast" is the CIE standard overcast sky, three times brighter at the zenith
    than at the horizon. Ground gives no light here. A clear sky is brighter near the sun
    and near the horizon, so its true share may differ by half a stop.

    Method: even sky, Dozier & Frew 1990 (IEEE Trans. Geosci. Remote Sens. 28, 963–969)
    eq. 7b; overcast, the same integral with the luminance (1 + 2 sin h) / 3 in it. Beyond a
    tilt of 90° the face's own edge bounds the sky from above instead of from below.

    Raises BadInput for a tilt outside 0 … 180, an aspect outside −360 … 360, or a malformed
    skyline.
    """
    tilt = np.radians(within("tilt_deg", tilt_deg, 0.0, 180.0))
    aspect = np.radians(within("aspect_deg", aspect_deg, -360.0, 360.0))
    if sky not in ("even", "overcast"):
        raise BadInput(f"{sky} is neither even nor overcast", where="sky")
    azimuth_deg = np.arange(0.5 * _STEP_DEG, 360.0, _STEP_DEG)
    ground = np.radians(skyline_altitude_deg(skyline, azimuth_deg))
    up = np.cos(tilt)
    facing = np.sin(tilt) * np.cos(np.radians(azimuth_deg) - aspect)
    # the face's own plane cuts the sky where up · sin h + facing · cos h = 0
    own = np.arctan2(-facing, up) if up >= 0.0 else np.arctan2(facing, -up)
    if up >= 0.0:
        lowest, highest = np.maximum(ground, own), np.full(own.shape, 0.5 * np.pi)
    else:
        lowest, highest = ground, own
    lit = highest > lowest
    from_sky = _light_below(highest[lit], up, facing[lit], sky)
    from_sky -= _light_below(lowest[lit], up, facing[lit], sky)
    return float(from_sky.sum() / azimuth_deg.size)


def _light_below(altitude: Floats, up: Floats, facing: Floats, sky: Sky) -> Floats:
    """The share of light from a whole turn of sky up to this altitude [rad], plus a constant.

    The antiderivative in altitude h of 2 L(h) cos h (up sin h + facing cos h), L the sky's
    brightness, scaled so that flat open ground gets 1.
    """
    s, c = np.sin(altitude), np.cos(altitude)
    even: Floats = up * s * s + facing * (altitude + s * c)
    if sky == "even":
        return even
    brighter_up: Floats = 4.0 / 3.0 * (up * s**3 - facing * c**3)
    return (even + brighter_up) * (3.0 / 7.0)
