"""Where the sun stands, for any array of instants and places.

The sun's apparent place is worked out once a day with the IAU SOFA routines (pyerfa) and
interpolated; what changes within the day, the turning of the Earth, is done for each instant.

    SOFA at 0h UT of each day ──► cubic through four days ──► turned by the Earth's rotation
    ──► seen from the observer's spot on WGS 84 ──► azimuth, altitude ──► refraction
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import erfa
import numpy as np

from backbearing.models.arguments import as_times
from backbearing.models.deltat import delta_t_s
from backbearing.models.topocentric import seen_from

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from backbearing.records import Floats

J2000_0H = 2451544.5  # Julian date of 2000-01-01 0h, the zero of the day count here
_DAY_US = 86_400_000_000
LIGHT_AU_PER_DAY = 173.144632674240
# Earth rotation angle (IAU 2000): turns at 2000-01-01 0h UT1, and the excess a day brings
TURNS_AT_2000 = 0.7790572732640 - 0.5 * 0.00273781191135448 + 0.5
TURNS_PER_DAY = 0.00273781191135448
_BLOCK_DAYS = 32  # days whose nodes are made, and remembered, together
_BLOCK_US = _BLOCK_DAYS * _DAY_US
_CHUNK = 16_384  # instants worked on at once: the working arrays then stay in the cache


@dataclass(frozen=True, slots=True, eq=False)
class SunPosition:
    """Where the sun's centre stands: arrays of the shape the arguments broadcast to.

    azimuth_deg: clockwise from true north, 0 ≤ a < 360.
    altitude_deg: above the horizontal, as seen through the air unless that was declined.
    distance_au: from the centre of the Earth, for the size of the disc.
    All three are nan where the time is NaT.
    """

    azimuth_deg: Floats
    altitude_deg: Floats
    distance_au: Floats


def sun_position(
    times: ArrayLike,
    latitude_deg: ArrayLike,
    longitude_deg: ArrayLike,
    *,
    height_m: ArrayLike = 0.0,
    pressure_hpa: ArrayLike | None = None,
    temperature_c: ArrayLike | None = None,
    refraction: bool = True,
) -> SunPosition:
    """Where does the sun stand at these times, seen from these places?

    times: datetime64 of any unit, in UTC, years 1800 to 2199; NaT gives nan.
    latitude_deg, longitude_deg: WGS 84, −90 … 90 and −180 … 360, east positive.
    height_m: of the eye above sea level; used for parallax and, unless given, for the air's
        pressure_hpa and temperature_c (standard atmosphere).
    All broadcast against each other. `refraction=False` gives the airless altitude.

    Method: Earth's place from SOFA epv00, light time, annual aberration (ab), IAU 2000B
    precession-nutation with the CIO (c2i00b), at 0h of each day, cubic interpolation of the
    vector; the Earth rotation angle for each instant; WGS 84 observer, diurnal aberration;
    Saemundsson's refraction. Within 5e-5° of the JPL ephemeris DE421 over 1950–2050 where
    UT1 = UTC is assumed on both sides. UT1 is taken as UTC, since nobody publishes their
    difference years ahead: that costs up to 0.9 s, or 0.004°, of the Earth's turning. Polar
    motion (0.0002°) is left out.

    Raises BadInput naming the argument that is out of range or not a time.
    """
    when = as_times(times)
    azimuth, altitude, far = seen_from(
        sun_vectors(when),
        latitude_deg,
        longitude_deg,
        height_m=height_m,
        pressure_hpa=pressure_hpa,
        temperature_c=temperature_c,
        refraction=refraction,
    )
    return SunPosition(azimuth, altitude, far)


def sun_vectors(when: NDArray[np.datetime64]) -> tuple[Floats, Floats, Floats]:
    """The sun's apparent place in the turning Earth's frame, from its centre [au].

    when: datetime64[us] UTC of any shape, checked by `as_times`; NaT gives nan.
    Returns x (equator, Greenwich), y (equator, 90° east), z (north pole), each of that shape.
    """
    since_2000 = (when - np.datetime64("2000-01-01", "us")).astype(np.int64).ravel()
    missing = np.isnat(when).ravel()
    any_missing = bool(missing.any())
    if any_missing:
        since_2000[missing] = 0
    x, y, z = (np.empty(since_2000.shape) for _ in range(3))
    if since_2000.size:
        block_of = since_2000 // _BLOCK_US
        first = int(block_of.min())
        block_of -= first
        # counted, not np.unique: that sorts, and loads numpy.ma, 20 ms in all
        present = np.flatnonzero(np.bincount(block_of))
        row_of_block = np.zeros(int(present[-1]) + 1, dtype=np.int64)
        row_of_block[present] = np.arange(present.size) * _BLOCK_DAYS
        cubic = np.concatenate([_cubics(first + int(block)) for block in present], axis=1)
        for start in range(0, since_2000.size, _CHUNK):
            part = slice(start, start + _CHUNK)
            block = block_of[part]
            days = (since_2000[part] - (block + first) * _BLOCK_US) / _DAY_US
            day = np.floor(days)
            fraction = days - day
            of_day = cubic.take(day.astype(np.int64) + row_of_block[block], axis=1)
            # sine and cosine by the half angle's tangent, which numpy works out seven times faster
            tangent = np.tan(np.pi * (of_day[12] + fraction * (1.0 + TURNS_PER_DAY)))
            cos_t = 2.0 / (1.0 + tangent * tangent)
            sin_t = tangent * cos_t
            cos_t -= 1.0
            a, b, c = (
                ((of_day[i + 3] * fraction + of_day[i + 2]) * fraction + of_day[i + 1]) * fraction
                + of_day[i]
                for i in (0, 4, 8)
            )
            x[part] = a * cos_t + b * sin_t
            y[part] = b * cos_t - a * sin_t
            z[part] = c
    if any_missing:
        x[missing] = y[missing] = z[missing] = np.nan
    return x.reshape(when.shape), y.reshape(when.shape), z.reshape(when.shape)


@lru_cache(maxsize=512)
def _cubics(block: int) -> Floats:
    """For each day of a block, the cubics of the sun's vector and the Earth's turn at 0h.

    Returns (13, days): four coefficients of x, of y, of z in the fraction of the day [au],
    then the Earth rotation angle [turns]. The same block always gives the same numbers, so
    remembering them changes no answer; 512 blocks are 45 years and 1.7 MB.
    """
    days = np.arange(-1.0, _BLOCK_DAYS + 2.0) + block * _BLOCK_DAYS
    nodes = apparent_sun(J2000_0H, days + delta_t_s(days) / 86_400.0).T
    before, at, after, next_ = (nodes[:, i : i + _BLOCK_DAYS] for i in range(4))
    # Lagrange's cubic through the days −1, 0, 1, 2, sorted by powers of the fraction
    powers = np.stack(
        (
            at,
            -before / 3.0 - at / 2.0 + after - next_ / 6.0,
            before / 2.0 - at + after / 2.0,
            -before / 6.0 + at / 2.0 - after / 2.0 + next_ / 6.0,
        ),
        axis=1,
    )
    turns = (TURNS_AT_2000 + TURNS_PER_DAY * days[1:-2]) % 1.0
    answer: Floats = np.concatenate((powers.reshape(12, _BLOCK_DAYS), turns[None, :]))
    answer.flags.writeable = False
    return answer


def apparent_sun(tt1: ArrayLike, tt2: ArrayLike) -> Floats:
    """The sun's apparent geocentric vector [au], shape (…, 3), at Julian dates tt1 + tt2 (TT).

    In the frame of the Celestial Intermediate Pole and Origin of date (CIRS): subtract the
    equation of the origins from its right ascension to have the one counted from the equinox.
    """
    # the plain ufunc, since the wrapper warns outside 1900–2100, where a longer ΔT and the
    # series' slow drift still leave the sun within a few seconds of arc (tested against Meeus)
    heliocentric, barycentric, _ = erfa.ufunc.epv00(tt1, tt2)
    earth_speed = barycentric["v"]
    sun_speed = earth_speed - heliocentric["v"]
    seen = -heliocentric["p"]
    for _ in range(2):  # light time: the sun hardly moves, so this settles at once
        delay = np.linalg.norm(seen, axis=-1, keepdims=True) / LIGHT_AU_PER_DAY
        seen = -heliocentric["p"] - sun_speed * delay
    distance = np.linalg.norm(seen, axis=-1, keepdims=True)
    velocity = earth_speed / LIGHT_AU_PER_DAY
    lorentz = np.sqrt(1.0 - np.sum(velocity * velocity, axis=-1))
    direction = erfa.ab(seen / distance, velocity, distance[..., 0], lorentz)
    turned: Floats = erfa.rxp(erfa.c2i00b(tt1, tt2), direction) * distance
    return turned
