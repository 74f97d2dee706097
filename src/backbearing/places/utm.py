"""The projections most rasters come in, worked out here: UTM on WGS 84, and plain degrees.

pyproj knows every projection, but loading it costs as much as half of numpy, at each start of a
command that reads terrain. These two give the same to a micrometre; all others are pyproj's.
Also the geodesic from a spot outwards, for distances a skyline reaches.

Sources: Krüger's series to the sixth order as Karney (2011), "Transverse Mercator with an accuracy
of a few nanometers", eqs. 7 to 9, 35 and 36, gives them; Vincenty (1975), the direct formula.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

if TYPE_CHECKING:
    from backbearing.records import Floats

_RADIUS_M, _FLATTENING = 6378137.0, 1.0 / 298.257223563  # WGS 84
_N = _FLATTENING / (2.0 - _FLATTENING)
_ECCENTRICITY = (_FLATTENING * (2.0 - _FLATTENING)) ** 0.5
_SCALE, _FALSE_EAST_M, _FALSE_NORTH_M = 0.9996, 500_000.0, 10_000_000.0
_RECTIFYING_M = _RADIUS_M / (1 + _N) * (1 + _N**2 / 4 + _N**4 / 64 + _N**6 / 256)
_WIDEST_DEG = 8.0  # from the zone's middle; farther away pyproj is asked
_ALPHA = (
    _N / 2
    - _N**2 * 2 / 3
    + _N**3 * 5 / 16
    + _N**4 * 41 / 180
    - _N**5 * 127 / 288
    + _N**6 * 7891 / 37800,
    _N**2 * 13 / 48 - _N**3 * 3 / 5 + _N**4 * 557 / 1440 + _N**5 * 281 / 630
    - _N**6 * 1983433 / 1935360,
    _N**3 * 61 / 240 - _N**4 * 103 / 140 + _N**5 * 15061 / 26880 + _N**6 * 167603 / 181440,
    _N**4 * 49561 / 161280 - _N**5 * 179 / 168 + _N**6 * 6601661 / 7257600,
    _N**5 * 34729 / 80640 - _N**6 * 3418889 / 1995840,
    _N**6 * 212378941 / 319334400,
)  # fmt: skip


class Projection(Protocol):
    """What takes longitudes and latitudes into a grid, as pyproj's Transformer does."""

    def transform(self, xx: Any, yy: Any, **options: Any) -> tuple[Any, Any]: ...


@lru_cache(maxsize=64)
def projection(crs: str) -> tuple[Projection, bool]:
    """From WGS 84 into a projection, and whether that counts in degrees of longitude.

    Raises pyproj.exceptions.CRSError for one that is not known.
    """
    own = re.fullmatch(r"EPSG:(?:(4326)|32(6|7)(\d\d))", crs)
    if own and own[1]:
        return _Degrees(), True
    if own and 1 <= int(own[3]) <= 60:
        return _Utm(crs=crs, middle_deg=int(own[3]) * 6.0 - 183.0, south=own[2] == "7"), False
    return _by_pyproj(crs)


def _by_pyproj(crs: str) -> tuple[Any, bool]:
    from pyproj import CRS, Transformer

    system = CRS.from_user_input(crs)
    return Transformer.from_crs("EPSG:4326", system, always_xy=True), system.is_geographic


class _Degrees:
    def transform(self, xx: Any, yy: Any, **_: Any) -> tuple[Any, Any]:
        return xx, yy


@dataclass(eq=False)
class _Utm:
    crs: str
    middle_deg: float
    south: bool

    def transform(
        self, xx: Any, yy: Any, *, direction: str = "FORWARD", **options: Any
    ) -> tuple[Any, Any]:
        if direction != "FORWARD":
            return self._pyproj.transform(xx, yy, direction=direction, **options)
        longitude, latitude = np.asarray(xx, dtype=np.float64), np.asarray(yy, dtype=np.float64)
        off_deg = np.remainder(longitude - self.middle_deg + 180.0, 360.0) - 180.0
        if not (np.abs(off_deg) <= _WIDEST_DEG).all():
            return self._pyproj.transform(xx, yy, **options)
        x, y = _from_the_middle(off_deg, latitude)
        y += _FALSE_NORTH_M if self.south else 0.0
        return (float(x), float(y)) if x.ndim == 0 else (x, y)

    @cached_property
    def _pyproj(self) -> Projection:
        found: Projection = _by_pyproj(self.crs)[0]
        return found


def _from_the_middle(off_deg: Floats, latitude_deg: Floats) -> tuple[Floats, Floats]:
    """Metres east and north, false easting counted, of places off a zone's middle."""
    off, latitude = np.radians(off_deg), np.radians(latitude_deg)
    tau = np.tan(latitude)
    sigma = np.sinh(_ECCENTRICITY * np.arctanh(_ECCENTRICITY * np.sin(latitude)))
    tau = tau * np.hypot(1.0, sigma) - sigma * np.hypot(1.0, tau)
    xi = np.arctan2(tau, np.cos(off))
    eta = np.arcsinh(np.sin(off) / np.hypot(tau, np.cos(off)))
    x, y = eta.copy(), xi.copy()
    for order, factor in enumerate(_ALPHA, start=1):
        x += factor * np.cos(2 * order * xi) * np.sinh(2 * order * eta)
        y += factor * np.sin(2 * order * xi) * np.cosh(2 * order * eta)
    return _FALSE_EAST_M + _SCALE * _RECTIFYING_M * x, _SCALE * _RECTIFYING_M * y


def outwards(
    latitude_deg: float, longitude_deg: float, azimuth_deg: Floats, distance_m: Floats
) -> tuple[Floats, Floats]:
    """The latitudes and longitudes [deg] at the ends of geodesics (any shape) from one spot."""
    minor_m = _RADIUS_M * (1.0 - _FLATTENING)
    azimuth = np.radians(azimuth_deg)
    sin_a1, cos_a1 = np.sin(azimuth), np.cos(azimuth)
    tan_u1 = (1.0 - _FLATTENING) * np.tan(np.radians(latitude_deg))
    cos_u1 = 1.0 / np.hypot(1.0, tan_u1)
    sin_u1 = tan_u1 * cos_u1
    sigma_1 = np.arctan2(tan_u1, cos_a1)
    sin_a = cos_u1 * sin_a1
    cos_a_squared = 1.0 - sin_a**2
    u_squared = cos_a_squared * (_RADIUS_M**2 - minor_m**2) / minor_m**2
    a = 1.0 + u_squared / 16384 * (4096 + u_squared * (-768 + u_squared * (320 - 175 * u_squared)))
    b = u_squared / 1024 * (256 + u_squared * (-128 + u_squared * (74 - 47 * u_squared)))
    sigma = distance_m / (minor_m * a)
    for _ in range(6):  # each gains three figures and more
        twice = np.cos(2 * sigma_1 + sigma)
        sin_s, cos_s = np.sin(sigma), np.cos(sigma)
        inner = cos_s * (2 * twice**2 - 1) - b / 6 * twice * (4 * sin_s**2 - 3) * (4 * twice**2 - 3)
        sigma = distance_m / (minor_m * a) + b * sin_s * (twice + b / 4 * inner)
    sin_s, cos_s, twice = np.sin(sigma), np.cos(sigma), np.cos(2 * sigma_1 + sigma)
    part = sin_u1 * sin_s - cos_u1 * cos_s * cos_a1
    latitude = np.arctan2(
        sin_u1 * cos_s + cos_u1 * sin_s * cos_a1, (1.0 - _FLATTENING) * np.hypot(sin_a, part)
    )
    turned = np.arctan2(sin_s * sin_a1, cos_u1 * cos_s - sin_u1 * sin_s * cos_a1)
    c = _FLATTENING / 16 * cos_a_squared * (4 + _FLATTENING * (4 - 3 * cos_a_squared))
    bent = (1 - c) * _FLATTENING * sin_a
    bent = bent * (sigma + c * sin_s * (twice + c * cos_s * (2 * twice**2 - 1)))
    longitude = longitude_deg + np.degrees(turned - bent)
    return np.degrees(latitude), np.remainder(longitude + 180.0, 360.0) - 180.0
