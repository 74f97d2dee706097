"""How much air a beam of light comes through."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from backbearing.records import Floats

_SEA_LEVEL_HPA = 1013.25


def air_mass(apparent_altitude_deg: ArrayLike, pressure_hpa: float = _SEA_LEVEL_HPA) -> Floats:
    """How many times the air straight overhead at sea level does a beam come through?

    apparent_altitude_deg: of its source, any shape; what is below 0 counts as 0.
    Method: Kasten & Young 1989, Applied Optics 28, 4735–4738, times pressure / 1013.25 hPa.
    """
    altitude = np.clip(np.asarray(apparent_altitude_deg, dtype=np.float64), 0.0, 90.0)
    at_sea_level = 1.0 / (np.sin(np.radians(altitude)) + 0.50572 * (altitude + 6.07995) ** -1.6364)
    answer: Floats = at_sea_level * (pressure_hpa / _SEA_LEVEL_HPA)
    return answer
