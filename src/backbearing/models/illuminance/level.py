"""Light on open level ground by the altitude of the sun or the moon, from day to deep night.

  log₁₀ lux  5 ┤              ___────   sun and sky
             3 ┤          _─▔
             0 ┤       ╱▔               twilight
            −3 ┤______╱                 stars and airglow: the floor
               └──┬────┬────┬────────►
                −18   −6    0       90  altitude

Cubics in altitude, from the Explanatory Supplement to the Astronomical Almanac (3rd ed.,
§12.3.4, table 12.8), which gives their error as 0.01 to 0.03 in log₁₀; for the sun they tell the
same as the formulas of Janiczek & DeYoung, U.S. Naval Observatory Circular 171 (1987), which take
the altitude as seen through the air. Both stand in public transcriptions; the books were not at
hand. Where two cubics meet they differ by up to 1 %, so they are faded into one another.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from backbearing.records import Floats

STARS_AND_AIRGLOW_LUX = 0.002  # Explanatory Supplement, §12.3.4.3
LOWEST_SUN_DEG = -18.0  # where twilight, and the cubics, end
LOWEST_MOON_DEG = -0.8
MOON_MEAN_PARALLAX_DEG = 0.951
_EARTH_RADIUS_KM = 6378.14
_FADE_DEG = 0.25  # on either side of a joint

_Pieces = tuple[tuple[float, tuple[float, float, float, float]], ...]
# from this altitude [°] up: log₁₀ lux = l0 + l1 x + l2 x² + l3 x³, x = altitude / 90
_SUN: _Pieces = (
    (-18.0, (13.84, 262.72, 1447.42, 2797.93)),
    (-12.0, (2.70, 12.17, -431.69, -1899.83)),
    (-5.0, (2.88, 21.81, -258.11, -858.36)),
    (-0.8, (2.88, 22.26, -207.64, 1034.30)),
    (5.0, (3.05, 13.28, -45.98, 64.33)),
    (20.0, (3.74, 3.97, -4.07, 1.47)),
)
_FULL_MOON: _Pieces = (
    (-0.8, (-2.79, 24.27, -252.95, 1321.29)),
    (5.0, (-2.58, 12.58, -42.58, 59.06)),
    (20.0, (-1.95, 4.06, -4.24, 1.56)),
)


def sun_level_lux(apparent_altitude_deg: ArrayLike) -> Floats:
    """How much light does open level ground get from sun and clear sky (any shape) [lx]?

    Never less than stars and airglow give, 0.002 lx, which rule from about −15° down.
    """
    altitude = np.clip(np.asarray(apparent_altitude_deg, dtype=np.float64), LOWEST_SUN_DEG, 90.0)
    return np.maximum(_cubics(_SUN, altitude), STARS_AND_AIRGLOW_LUX)


def moon_level_lux(
    apparent_altitude_deg: ArrayLike, elongation_deg: ArrayLike, distance_km: ArrayLike
) -> Floats:
    """How much light does open level ground get from the moon in a clear sky [lx]?

    elongation_deg: of the moon from the sun as seen from the Earth's centre, 0 … 180.
    distance_km: from the Earth's centre. All broadcast. Stars and airglow are not in it.
    Below −0.8°, where the published curve ends, the light goes as the sun's twilight does, which
    is our own continuation; by −4° a full one's is a thirtieth of what the stars give.
    """
    altitude = np.asarray(apparent_altitude_deg, dtype=np.float64)
    over = np.clip(altitude, LOWEST_MOON_DEG, 90.0)
    under = np.clip(altitude, LOWEST_SUN_DEG, LOWEST_MOON_DEG)
    twilight = _cubics(_SUN, under) / _cubics(_SUN, np.asarray(LOWEST_MOON_DEG))
    from_full = 180.0 - np.asarray(elongation_deg, dtype=np.float64)
    parallax = np.degrees(np.arcsin(_EARTH_RADIUS_KM / np.asarray(distance_km, dtype=np.float64)))
    dimmed = -8.68e-3 * from_full - 2.2e-9 * from_full**4
    answer: Floats = (
        _cubics(_FULL_MOON, over)
        * twilight
        * 10.0**dimmed
        * (parallax / MOON_MEAN_PARALLAX_DEG) ** 2
    )
    return answer


def _cubics(pieces: _Pieces, altitude_deg: Floats) -> Floats:
    x = altitude_deg / 90.0
    _, (l0, l1, l2, l3) = pieces[0]
    log_lux = l0 + x * (l1 + x * (l2 + x * l3))
    for joint, (l0, l1, l2, l3) in pieces[1:]:
        t = np.clip((altitude_deg - joint + _FADE_DEG) / (2.0 * _FADE_DEG), 0.0, 1.0)
        weight = t * t * (3.0 - 2.0 * t)
        # where the weight is nothing the other cubic may be anything, but finite
        log_lux = log_lux + weight * (l0 + x * (l1 + x * (l2 + x * l3)) - log_lux)
    answer: Floats = 10.0**log_lux
    return answer
