"""Where the moon stands and how much of it is lit, for any array of instants and places.

SOFA's moon every six hours ──► cubic through four of them ──► turned by the Earth's rotation
──► seen from the observer's spot (up to a degree lower) ──► azimuth, altitude ──► refraction
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import erfa
import numpy as np

from backbearing.models.arguments import as_times
from backbearing.models.deltat import delta_t_s
from backbearing.models.sun import (
    J2000_0H,
    LIGHT_AU_PER_DAY,
    TURNS_AT_2000,
    TURNS_PER_DAY,
    sun_vectors,
)
from backbearing.models.topocentric import AU_M, seen_from

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from backbearing.records import Floats

_STEP_US = 21_600_000_000  # six hours: a cubic through four then keeps within 0.1″
_STEPS_PER_DAY = 4
_RADIUS_KM = 1_737.4  # IAU


@dataclass(frozen=True, slots=True, eq=False)
class MoonPosition:
    """Where the moon's centre stands: arrays of the shape the arguments broadcast to.

    azimuth_deg: clockwise from true north, 0 ≤ a < 360.
    altitude_deg: above the horizontal at the spot, through the air unless that was declined.
    distance_km: from the centre of the Earth.
    elongation_deg: between moon and sun, seen from the centre of the Earth; 180 at full moon.
    phase_angle_deg: between sun and Earth, seen from the moon; 0 at full moon.
    illuminated_fraction: of the disc, 0 … 1.
    All are nan where the time is NaT.
    """

    azimuth_deg: Floats
    altitude_deg: Floats
    distance_km: Floats
    elongation_deg: Floats
    phase_angle_deg: Floats
    illuminated_fraction: Floats

    @property
    def semidiameter_deg(self) -> Floats:
        """Half the width of the disc from the centre of the Earth; up to 2 % more from a spot."""
        answer: Floats = np.degrees(np.arcsin(_RADIUS_KM / self.distance_km))
        return answer


def moon_position(
    times: ArrayLike,
    latitude_deg: ArrayLike,
    longitude_deg: ArrayLike,
    *,
    height_m: ArrayLike = 0.0,
    pressure_hpa: ArrayLike | None = None,
    temperature_c: ArrayLike | None = None,
    refraction: bool = True,
) -> MoonPosition:
    """Where does the moon stand at these times, seen from these places, and how much is lit?

    Arguments, broadcasting and errors as `sun.sun_position`.

    Method: SOFA moon98 (Meeus, Astronomical Algorithms, ch. 47, from ELP 2000), IAU 2000B
    precession-nutation (c2i00b), cubic interpolation of the vector, the Earth rotation angle,
    a WGS 84 observer, Saemundsson's refraction; phase by Meeus ch. 48. Within 0.005° of the
    JPL ephemeris DE421 over 1950–2050. UT1 is taken as UTC: up to 0.004°.
    """
    when = as_times(times)
    x, y, z = moon_vectors(when)
    azimuth, altitude, far_au = seen_from(
        (x, y, z),
        latitude_deg,
        longitude_deg,
        height_m=height_m,
        pressure_hpa=pressure_hpa,
        temperature_c=temperature_c,
        refraction=refraction,
    )
    sun_x, sun_y, sun_z = sun_vectors(when)
    distance = np.sqrt(x * x + y * y + z * z)
    sun_distance = np.sqrt(sun_x * sun_x + sun_y * sun_y + sun_z * sun_z)
    along = (x * sun_x + y * sun_y + z * sun_z) / (distance * sun_distance)
    elongation = np.arccos(np.clip(along, -1.0, 1.0))
    phase = np.arctan2(
        sun_distance * np.sin(elongation), distance - sun_distance * np.cos(elongation)
    )
    shape = azimuth.shape
    return MoonPosition(
        azimuth_deg=azimuth,
        altitude_deg=altitude,
        distance_km=far_au * (AU_M / 1_000.0),
        elongation_deg=np.broadcast_to(np.degrees(elongation), shape),
        phase_angle_deg=np.broadcast_to(np.degrees(phase), shape),
        illuminated_fraction=np.broadcast_to(0.5 * (1.0 + np.cos(phase)), shape),
    )


def moon_vectors(when: NDArray[np.datetime64]) -> tuple[Floats, Floats, Floats]:
    """The moon's apparent place in the turning Earth's frame, from its centre [au].

    when, and the answer's frame: as `sun.sun_vectors`.
    """
    since_2000 = (when - np.datetime64("2000-01-01", "us")).astype(np.int64).ravel()
    missing = np.isnat(when).ravel()
    since_2000[missing] = 0
    step = since_2000 // _STEP_US
    fraction = (since_2000 - step * _STEP_US) / _STEP_US
    if step.size:
        # counted, not np.unique: that loads numpy.ma
        first = int(step.min())
        present = np.flatnonzero(np.bincount(step - first))
        row_of = np.zeros(int(present[-1]) + 1, dtype=np.int64)
        row_of[present] = np.arange(present.size)
        row = row_of[step - first]
        nodes = [_apparent(present + first + way)[row] for way in (-1, 0, 1, 2)]
    else:
        nodes = [np.empty((0, 3))] * 4
    t = fraction[:, None]
    before, at, after, next_ = nodes
    # Lagrange's cubic through the steps −1, 0, 1, 2
    seen = (
        -before * t * (t - 1.0) * (t - 2.0) / 6.0
        + at * (t + 1.0) * (t - 1.0) * (t - 2.0) / 2.0
        - after * (t + 1.0) * t * (t - 2.0) / 2.0
        + next_ * (t + 1.0) * t * (t - 1.0) / 6.0
    )
    days, turned = step / _STEPS_PER_DAY, fraction / _STEPS_PER_DAY
    angle = 2.0 * np.pi * (TURNS_AT_2000 + TURNS_PER_DAY * (days + turned) + days % 1.0 + turned)
    cos_t, sin_t = np.cos(angle), np.sin(angle)
    x = seen[:, 0] * cos_t + seen[:, 1] * sin_t
    y = seen[:, 1] * cos_t - seen[:, 0] * sin_t
    z = seen[:, 2]
    for each in (x, y, z):
        each[missing] = np.nan
    return x.reshape(when.shape), y.reshape(when.shape), z.reshape(when.shape)


def _apparent(steps: NDArray[np.int64]) -> Floats:
    days = steps / _STEPS_PER_DAY
    return apparent_moon(J2000_0H, days + delta_t_s(days) / 86_400.0)


def apparent_moon(tt1: ArrayLike, tt2: ArrayLike) -> Floats:
    """The moon's apparent geocentric vector [au], shape (…, 3), at Julian dates tt1 + tt2 (TT).

    In the frame of `sun.apparent_sun`. It is seen where it stood when the light left it, 1.3 s
    or 0.7″ earlier; there is no aberration beyond that, since the moon goes along with the Earth.
    """
    moon = erfa.ufunc.moon98(tt1, tt2)
    away_days = np.linalg.norm(moon["p"], axis=-1, keepdims=True) / LIGHT_AU_PER_DAY
    turned: Floats = erfa.rxp(erfa.c2i00b(tt1, tt2), moon["p"] - moon["v"] * away_days)
    return turned
