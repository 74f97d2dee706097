"""Ways over the ellipsoid: from one place by bearing and distance, and between places."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Literal, overload

from backbearing.errors import BadInput
from backbearing.places.words import metres_text, offset_basis
from backbearing.records import Bearing, Place

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pyproj import Geod

    from backbearing.records import Floats

DISTANCE_ERROR: dict[Literal["taped", "paced"], float] = {
    # 95 %, as a part of the distance; common practice, no source
    "taped": 0.01,
    "paced": 0.10,
}

# WGS 84
EQUATOR_RADIUS_M = 6378137.0
ECCENTRICITY_SQUARED = 0.00669437999014


@lru_cache(maxsize=1)
def _ellipsoid() -> Geod:
    from pyproj import Geod

    return Geod(ellps="WGS84")


def offset(
    place: Place,
    bearing: Bearing,
    distance_m: float,
    *,
    distance_error_m: float | None = None,
    distance_by: Literal["taped", "paced"] = "paced",
) -> Place:
    """Which place lies at a bearing and distance from another, by the geodesic on WGS 84.

    Its error joins, as independent 95 % figures, the place's own, the bearing's at that distance
    and the distance's [m] (a tenth where it is paced, a hundredth where taped, unless told).
    The height is not carried over.
    Raises BadInput for a distance that is negative or not finite.
    """
    if not (math.isfinite(distance_m) and distance_m >= 0):
        raise BadInput(f"distance {distance_m} is not a length", where="distance")
    longitude_deg, latitude_deg, _ = _ellipsoid().fwd(
        place.longitude_deg, place.latitude_deg, bearing.true_deg, distance_m
    )
    along_m = (
        distance_m * DISTANCE_ERROR[distance_by] if distance_error_m is None else distance_error_m
    )
    across_m = 2 * distance_m * math.sin(math.radians(min(bearing.error_deg, 180.0)) / 2)
    start = "a typed place" if place.source.startswith("typed") else place.source or "a place"
    how = f"± {metres_text(along_m)}"
    how = f"{distance_by} {how}" if distance_error_m is None else f"{how} given"
    return Place(
        latitude_deg=latitude_deg,
        longitude_deg=-180.0 if longitude_deg == 180 else longitude_deg,
        error_m=math.hypot(place.error_m, along_m, across_m),
        error_basis=offset_basis(place, bearing, distance_m, how),
        source=f"{bearing.as_written} {distance_m:g} m from {start}",
    )


def destinations(
    latitude_deg: float, longitude_deg: float, azimuths_deg: Sequence[float], distance_m: float
) -> list[tuple[float, float]]:
    """The places (latitude, longitude) at one distance from a place, in these true azimuths.

    Within 1 km and below 80° of latitude by the ellipsoid's radii at the place, which is good to
    a decimetre and loads no pyproj; else geodesic on WGS 84 (pyproj).
    """
    if distance_m <= 1000.0 and abs(latitude_deg) <= 80.0:
        latitude = math.radians(latitude_deg)
        flattening = 1.0 - ECCENTRICITY_SQUARED * math.sin(latitude) ** 2
        meridian_m = EQUATOR_RADIUS_M * (1.0 - ECCENTRICITY_SQUARED) / flattening**1.5
        parallel_m = EQUATOR_RADIUS_M / math.sqrt(flattening) * math.cos(latitude)
        return [
            (
                latitude_deg + math.degrees(distance_m * math.cos(azimuth) / meridian_m),
                longitude_deg + math.degrees(distance_m * math.sin(azimuth) / parallel_m),
            )
            for azimuth in map(math.radians, azimuths_deg)
        ]
    many = len(azimuths_deg)
    longitudes, latitudes, _ = _ellipsoid().fwd(
        [longitude_deg] * many, [latitude_deg] * many, list(azimuths_deg), [distance_m] * many
    )
    return list(zip(latitudes, longitudes, strict=True))


@overload
def inverse(lat1: float, lon1: float, lat2: float, lon2: float) -> tuple[float, float]: ...
@overload
def inverse(lat1: Any, lon1: Any, lat2: Any, lon2: Any) -> tuple[Any, Any]: ...
def inverse(lat1: Any, lon1: Any, lat2: Any, lon2: Any) -> tuple[Any, Any]:
    """Azimuth at the first place [deg, 0 ≤ a < 360] and distance [m] of the second from it.

    Scalars, or arrays that broadcast against each other; geodesic on WGS 84 (pyproj, Karney).
    """
    if all(isinstance(value, int | float) for value in (lat1, lon1, lat2, lon2)):
        azimuth_deg, _, distance_m = _ellipsoid().inv(lon1, lat1, lon2, lat2)
        turned = azimuth_deg % 360.0
        return (0.0 if turned == 360.0 else turned), distance_m
    import numpy as np

    # copies, as pyproj wants arrays of one shape, and contiguous
    here_lon, here_lat, there_lon, there_lat = (
        np.array(value, dtype=np.float64) for value in np.broadcast_arrays(lon1, lat1, lon2, lat2)
    )
    azimuth, _, distance = _ellipsoid().inv(here_lon, here_lat, there_lon, there_lat)
    azimuth = np.asarray(azimuth) % 360.0
    return np.where(azimuth == 360.0, 0.0, azimuth), np.asarray(distance)


def distances_m(
    longitude_deg: Floats, latitude_deg: Floats, to_longitude_deg: Floats, to_latitude_deg: Floats
) -> Floats:
    """Distance [m] between points pair by pair: four arrays (n,) → (n,).

    Within 1 km and up to 80° of latitude by the radii of curvature at the middle latitude, which
    is the geodesic to 1e-7 of it and five times faster; else by the geodesic itself (pyproj).
    """
    import numpy as np

    middle = np.radians((latitude_deg + to_latitude_deg) / 2)
    east = np.radians(np.remainder(to_longitude_deg - longitude_deg + 180.0, 360.0) - 180.0)
    north = np.radians(to_latitude_deg - latitude_deg)
    flattening = 1 - ECCENTRICITY_SQUARED * np.sin(middle) ** 2
    meridian_m = EQUATOR_RADIUS_M * (1 - ECCENTRICITY_SQUARED) / flattening**1.5
    parallel_m = EQUATOR_RADIUS_M / np.sqrt(flattening) * np.cos(middle)
    distance: Floats = np.hypot(north * meridian_m, east * parallel_m)
    far = np.flatnonzero((distance > 1000.0) | (np.abs(middle) > math.radians(80.0)))
    if far.size:
        distance[far] = inverse(
            latitude_deg[far], longitude_deg[far], to_latitude_deg[far], to_longitude_deg[far]
        )[1]
    return distance


def path_lengths_m(longitude_deg: Floats, latitude_deg: Floats) -> Floats:
    """Distance [m] from each point of a path to the next: (n,) → (n − 1,), empty for n < 2."""
    return distances_m(longitude_deg[:-1], latitude_deg[:-1], longitude_deg[1:], latitude_deg[1:])
