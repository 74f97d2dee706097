"""A body of the sky as it is seen from a spot on the turning Earth, near ones included.

body ●╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌● Earth's centre       from the spot it stands lower, the
      ╲                 ╱                      moon by up to a degree (parallax)
       ╲______________ ● spot on WGS 84
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.arguments import within
from backbearing.models.refraction import air_scale, refraction_deg, standard_air

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from backbearing.records import Floats

AU_M = 149_597_870_700.0
_LIGHT_M_PER_S = 299_792_458.0
_EARTH_TURN_RAD_PER_S = 7.292115e-5
_EQUATOR_M, _FLATTENING = 6_378_137.0, 1.0 / 298.257223563  # WGS 84
_CHUNK = 16_384  # instants worked on at once: the working arrays then stay in the cache
_Flag = Literal["readonly", "writeonly", "allocate"]
_READ: list[_Flag] = ["readonly"]
_WRITE: list[_Flag] = ["writeonly", "allocate"]


def seen_from(
    vector_au: tuple[Floats, Floats, Floats],
    latitude_deg: ArrayLike,
    longitude_deg: ArrayLike,
    *,
    height_m: ArrayLike,
    pressure_hpa: ArrayLike | None,
    temperature_c: ArrayLike | None,
    refraction: bool,
) -> tuple[Floats, Floats, Floats]:
    """Azimuth [°], altitude [°] and distance from the Earth's centre [au] of a body.

    vector_au: its apparent place in the turning Earth's frame, from its centre: x (equator,
    Greenwich), y (equator, 90° east), z (north pole). The rest as `sun_position`; all broadcast.
    Counts parallax, diurnal aberration and, unless declined, refraction.
    Raises BadInput naming the argument that is out of range.
    """
    latitude = within("latitude_deg", latitude_deg, -90.0, 90.0)
    longitude = within("longitude_deg", longitude_deg, -180.0, 360.0)
    height = within("height_m", height_m, -1_000.0, 100_000.0)
    x, y, z = vector_au
    rho_au, z_au = _observer_au(latitude, height)
    phi, lam = np.radians(latitude), np.radians(longitude)
    sin_phi, cos_phi = np.sin(phi), np.cos(phi)
    # the observer's own place, in the local frame: a little south (or north) and mostly up
    own_north = cos_phi * z_au - sin_phi * rho_au
    own_up = cos_phi * rho_au + sin_phi * z_au
    drift = _EARTH_TURN_RAD_PER_S * rho_au * AU_M / _LIGHT_M_PER_S  # diurnal aberration, east
    scale: Floats = np.zeros(())
    if refraction:
        standard_hpa, standard_c = standard_air(height)
        pressure = standard_hpa if pressure_hpa is None else pressure_hpa
        warmth = standard_c if temperature_c is None else temperature_c
        scale = air_scale(
            within("pressure_hpa", pressure, 0.0, 1_200.0),
            within("temperature_c", warmth, -100.0, 70.0),
        )

    sources = (
        *(x, y, z),
        *(np.cos(lam), np.sin(lam), cos_phi, sin_phi, own_north, own_up, drift, scale),
    )
    try:
        walk = np.nditer(
            [*sources, None, None, None],
            flags=["external_loop", "buffered", "zerosize_ok"],
            op_flags=[_READ] * len(sources) + [_WRITE] * 3,
            op_dtypes=[np.float64] * (len(sources) + 3),
            order="C",
            buffersize=_CHUNK,
        )
    except ValueError as error:
        raise BadInput("times and places do not broadcast to one shape", where="times") from error
    with walk:
        for chunk in walk:
            _horizontal(*chunk, refraction=refraction)
        azimuth, altitude, far = walk.operands[-3:]
    return azimuth, altitude, far


def _horizontal(
    x: Floats,
    y: Floats,
    z: Floats,
    cos_lam: Floats,
    sin_lam: Floats,
    cos_phi: Floats,
    sin_phi: Floats,
    own_north: Floats,
    own_up: Floats,
    drift: Floats,
    scale: Floats,
    azimuth: Floats,
    altitude: Floats,
    distance: Floats,
    *,
    refraction: bool,
) -> None:
    """Fill azimuth [°], altitude [°] and distance [au] from the body's Earth-fixed vector [au]."""
    out = x * cos_lam + y * sin_lam  # away from the axis, in the observer's meridian
    east = y * cos_lam - x * sin_lam
    np.sqrt(x * x + y * y + z * z, out=distance)
    east += drift * distance
    north = z * cos_phi - out * sin_phi - own_north
    up = out * cos_phi + z * sin_phi - own_up
    np.degrees(np.arctan2(east, north), out=azimuth)
    azimuth[azimuth < 0.0] += 360.0
    azimuth[azimuth >= 360.0] = 0.0  # −1e-15 + 360 rounds to 360
    np.degrees(np.arctan2(up, np.hypot(east, north)), out=altitude)
    if refraction:
        altitude += refraction_deg(altitude, scale)


def _observer_au(latitude_deg: Floats, height_m: Floats) -> tuple[Floats, Floats]:
    """Distance of the observer from the Earth's axis and equator plane [au], on WGS 84."""
    phi = np.radians(latitude_deg)
    squash = (1.0 - _FLATTENING) ** 2
    normal_m = _EQUATOR_M / np.sqrt(np.cos(phi) ** 2 + squash * np.sin(phi) ** 2)
    return (
        (normal_m + height_m) * np.cos(phi) / AU_M,
        (squash * normal_m + height_m) * np.sin(phi) / AU_M,
    )
