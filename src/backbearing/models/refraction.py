"""How far the air lifts what is seen near the horizon.

                apparent altitude = true altitude + refraction

refraction ▲  ____
           │ ╱    ╲           from −1° up: Saemundsson's formula
           │╱      ╲___       −5° … −1°: its −1° value, faded out smoothly
     ──────┴───────────────►  below −5°: none
         −5° −1°        90°   true altitude
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from backbearing.records import Floats

# Saemundsson's formula is singular at −5.11°, yet a summit's skyline can lie below 0°:
# so it is trusted to −1° and let go by −5°, where no sun is seen from any mountain.
LAST_TRUSTED_DEG = -1.0
FADED_OUT_DEG = -5.0

# ISO 2533 / ICAO standard atmosphere, troposphere
_SEA_LEVEL_HPA = 1013.25
_SEA_LEVEL_C = 15.0
_LAPSE_C_PER_M = 0.0065
_TROPOPAUSE_M = 11_000.0
_PRESSURE_EXPONENT = 5.25588


def standard_air(height_m: ArrayLike) -> tuple[Floats, Floats]:
    """Pressure [hPa] and temperature [°C] of the ISO 2533 standard atmosphere at heights [m].

    Heights above 11 km are taken as 11 km, where the formula for the lower air ends.
    """
    height = np.minimum(np.asarray(height_m, dtype=np.float64), _TROPOPAUSE_M)
    cooling = _LAPSE_C_PER_M * height
    ratio = 1.0 - cooling / (_SEA_LEVEL_C + 273.15)
    return _SEA_LEVEL_HPA * ratio**_PRESSURE_EXPONENT, _SEA_LEVEL_C - cooling


def air_scale(pressure_hpa: ArrayLike, temperature_c: ArrayLike) -> Floats:
    """Refraction in this air, relative to the formula's own 1010 hPa and 10 °C.

    (P / 1010) (283 / (273 + T)): Meeus, Astronomical Algorithms, ch. 16.
    """
    pressure = np.asarray(pressure_hpa, dtype=np.float64)
    scale: Floats = pressure / 1010.0 * 283.0 / (273.0 + np.asarray(temperature_c))
    return scale


def refraction_deg(true_altitude_deg: ArrayLike, scale: ArrayLike = 1.0) -> Floats:
    """How many degrees higher than it is a body seems, at these true altitudes (any shape).

    Saemundsson 1986 (Sky & Telescope 72, 70), R' = 1.02 cot(h + 10.3 / (h + 5.11)), times
    `scale` (see `air_scale`). Below −1° the value there is held and tapered to nothing at −5°.
    Near the horizon real air strays from this by several minutes of arc from day to day.
    """
    altitude = np.asarray(true_altitude_deg, dtype=np.float64)
    trusted = np.maximum(altitude, LAST_TRUSTED_DEG)
    lifted = 0.017 / np.tan(np.radians(trusted + 10.3 / (trusted + 5.11)))
    if altitude.size and float(np.fmin.reduce(altitude, axis=None)) < LAST_TRUSTED_DEG:
        kept = (altitude - FADED_OUT_DEG) / (LAST_TRUSTED_DEG - FADED_OUT_DEG)
        kept = np.clip(kept, 0.0, 1.0)
        lifted *= kept * kept * (3.0 - 2.0 * kept)
    answer: Floats = lifted * np.asarray(scale)
    return answer
