"""When the sun's disc stands over the skyline of a spot.

          ╭─╮   ← upper limb = apparent altitude of the centre + semidiameter
  ________│ │____
 ╱        ╰─╯    ╲      first sun: the upper limb clears the skyline at its own azimuth
╱   skyline       ╲     last sun: it goes under
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.arguments import as_span, every
from backbearing.models.crossings import crossings
from backbearing.models.refraction import air_scale, refraction_deg, standard_air
from backbearing.models.sun import sun_position
from backbearing.records import Skyline
from backbearing.saying import phrase

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from numpy.typing import ArrayLike

    from backbearing.models.sun import SunPosition
    from backbearing.records import Floats, Times

SEMIDIAMETER_AT_1_AU_DEG = 959.63 / 3600.0  # from memory
_RISEN_DEG = -50.0 / 60.0  # of the centre without air, as almanacs count it
PLAIN_EDGE_DEG = float(
    _RISEN_DEG
    + refraction_deg(_RISEN_DEG, air_scale(*standard_air(0.0)))
    + SEMIDIAMETER_AT_1_AU_DEG
)
_SAMPLE_MS = 60_000
_STRIPS = 24  # of the disc


def flat_skyline(step_deg: float = 0.5) -> Skyline:
    """The skyline of a plain: altitude 0 all round, nothing known of what blocks.

    Raises BadInput where the step is not in 0.01 … 90 degrees.
    """
    if not 0.01 <= step_deg <= 90.0:
        raise BadInput(f"{step_deg:g} is outside 0.01 to 90", where="step_deg")
    azimuth = np.arange(0.0, 360.0, step_deg)
    unknown = np.full(azimuth.shape, np.nan)
    return Skyline(
        azimuth_deg=azimuth,
        altitude_deg=np.zeros(azimuth.shape),
        distance_m=unknown,
        reach_m=unknown.copy(),
        basis=phrase("flat horizon assumed"),
    )


def plain_skyline(step_deg: float = 0.5) -> Skyline:
    """The skyline of a plain with sunrise and sunset where almanacs have them.

    They count the upper limb on a level horizon with the centre 50' under it (34' of refraction
    and 16' of radius; USNO, Rise, Set and Twilight Definitions). Here the limb stands half a round
    disc over the refracted centre, though air flattens a low disc: over `flat_skyline` it comes
    too soon by 2' to 3', minutes of the clock in the far north. The edge is raised by as much,
    `PLAIN_EDGE_DEG`. Raises BadInput as `flat_skyline`.
    """
    flat = flat_skyline(step_deg)
    return replace(flat, altitude_deg=np.full(flat.altitude_deg.shape, PLAIN_EDGE_DEG))


def skyline_altitude_deg(skyline: Skyline, azimuth_deg: ArrayLike) -> Floats:
    """How high is the skyline at these azimuths (any shape, any turn of the circle)?

    Straight lines between the skyline's azimuths, across north too.
    Raises BadInput where the skyline has no azimuths, unequal arrays, a gap (nan), or azimuths
    that do not ascend within 0 … 360.
    """
    azimuth, altitude = skyline.azimuth_deg, skyline.altitude_deg
    if azimuth.size == 0 or azimuth.shape != altitude.shape or azimuth.ndim != 1:
        raise BadInput(
            "azimuths and altitudes must be two lists of one length, not empty", where="skyline"
        )
    if not np.isfinite(altitude).all():
        raise BadInput("every altitude must be a number", where="skyline")
    if not (azimuth[0] >= 0.0 and azimuth[-1] < 360.0 and (np.diff(azimuth) > 0.0).all()):
        raise BadInput("azimuths must ascend from 0 to below 360", where="skyline")
    round_azimuth = np.concatenate(([azimuth[-1] - 360.0], azimuth, [azimuth[0] + 360.0]))
    round_altitude = np.concatenate((altitude[-1:], altitude, altitude[:1]))
    answer: Floats = np.interp(np.mod(azimuth_deg, 360.0), round_azimuth, round_altitude)
    return answer


def above_skyline_deg(skyline: Skyline, azimuth_deg: ArrayLike, altitude_deg: ArrayLike) -> Floats:
    """How far do directions stand over the skyline (any shapes that broadcast)?

    altitude_deg: apparent. Returns degrees, negative behind the ground.
    Raises BadInput as `skyline_altitude_deg` does.
    """
    answer: Floats = np.asarray(altitude_deg) - skyline_altitude_deg(skyline, azimuth_deg)
    return answer


def semidiameter_deg(distance_au: Floats) -> Floats:
    """Half the width of the sun's disc at these distances [au] (any shape)."""
    answer: Floats = SEMIDIAMETER_AT_1_AU_DEG / distance_au
    return answer


def upper_limb_above_skyline_deg(
    skyline: Skyline,
    times: Times,
    latitude_deg: float,
    longitude_deg: float,
    *,
    height_m: float = 0.0,
    pressure_hpa: float | None = None,
    temperature_c: float | None = None,
) -> Floats:
    """How far does the sun's upper limb stand over the skyline at these times (n,)?

    Returns degrees, zero or more where the spot has sun. Arguments as `sun_position`.
    Raises BadInput as `sun_position` and `skyline_altitude_deg` do.
    """
    sun = sun_position(
        times,
        latitude_deg,
        longitude_deg,
        height_m=height_m,
        pressure_hpa=pressure_hpa,
        temperature_c=temperature_c,
    )
    return _limb_over(skyline, sun)


def disc_fraction(
    skyline: Skyline, azimuth_deg: ArrayLike, altitude_deg: ArrayLike, distance_au: ArrayLike = 1.0
) -> Floats:
    """How much of the sun's disc stands over the skyline, 0 … 1, of where its centre stands?

    azimuth_deg, altitude_deg (apparent), distance_au: as `sun_position` gives them; any shapes
    that broadcast. Over an edge that is not level a corner of the disc can show before its upper
    limb clears the skyline at its own azimuth, which is what first sun is counted from.
    The disc is cut into upright strips (Gauss and Chebyshev, second kind): good to 0.01. It is
    taken as round, though the air flattens it by a sixth at a flat horizon.
    Raises BadInput as `skyline_altitude_deg` does.
    """
    shape = np.broadcast_shapes(*map(np.shape, (azimuth_deg, altitude_deg, distance_au)))
    azimuth, altitude, radius = (
        np.broadcast_to(np.asarray(one, dtype=np.float64), shape).ravel()
        for one in (azimuth_deg, altitude_deg, semidiameter_deg(np.asarray(distance_au)))
    )
    lowest, highest = _bounds_about(skyline, float(radius.max(initial=0.0)))
    fraction = (altitude - radius >= skyline_altitude_deg(highest, azimuth)).astype(np.float64)
    fraction[np.isnan(altitude)] = np.nan
    cut = np.flatnonzero(
        (fraction == 0.0) & (altitude + radius > skyline_altitude_deg(lowest, azimuth))
    )
    azimuth, altitude, radius = azimuth[cut], altitude[cut], radius[cut]
    # strips draw together towards a pole, where no skyline is
    sideways = radius / np.maximum(np.cos(np.radians(altitude)), 0.02)
    seen = np.zeros(cut.shape)
    for angle in np.arange(1, _STRIPS + 1) * (np.pi / (_STRIPS + 1)):
        half = radius * np.sin(angle)
        over = above_skyline_deg(skyline, azimuth + sideways * np.cos(angle), altitude + half)
        share = 2.0 / (_STRIPS + 1) * np.sin(angle) ** 2
        seen += share * np.clip(over / (2.0 * half), 0.0, 1.0)
    fraction[cut] = seen
    return fraction.reshape(shape)


def _bounds_about(skyline: Skyline, radius_deg: float) -> tuple[Skyline, Skyline]:
    """Two skylines that nowhere lie over, or under, the one within a disc's width to the side."""
    azimuth, altitude = skyline.azimuth_deg, skyline.altitude_deg
    skyline_altitude_deg(skyline, 0.0)  # refuses a malformed one
    top = min(float(altitude.max()) + 2.0 * radius_deg, 88.8)
    width = radius_deg / np.cos(np.radians(top))
    lowest, highest = altitude.copy(), altitude.copy()
    for way in (1, -1):
        to_next = (np.roll(azimuth, -way) - azimuth) * way % 360.0
        back = (azimuth - np.roll(azimuth, way)) * way % 360.0
        within = width + np.maximum(to_next, back)  # of an azimuth on either side of this one
        for step in range(1, azimuth.size):
            near = (np.roll(azimuth, -way * (step - 1)) - azimuth) * way % 360.0 <= within
            if not near.any():
                break
            there = np.roll(altitude, -way * step)
            np.minimum(lowest, there, out=lowest, where=near)
            np.maximum(highest, there, out=highest, where=near)
    return replace(skyline, altitude_deg=lowest), replace(skyline, altitude_deg=highest)


def sunlit_spans(
    skyline: Skyline,
    latitude_deg: float,
    longitude_deg: float,
    start: datetime | np.datetime64,
    end: datetime | np.datetime64,
    *,
    height_m: float = 0.0,
    pressure_hpa: float | None = None,
    temperature_c: float | None = None,
) -> Times:
    """When, from start to end, does any of the sun's disc stand over the skyline?

    skyline: as seen from the spot. latitude_deg, longitude_deg: WGS 84. start, end: UTC
    datetime64 or aware datetimes. height_m, pressure_hpa, temperature_c: as `sun_position`.
    Returns (n, 2) datetime64[ms] UTC, first and last sun of each span in order of time,
    cut off at start and end; n = 0 where the sun stays behind the ground.
    Raises BadInput for arguments out of range or a malformed skyline.

    Sampled each minute and refined to 0.1 s; sun or shade shorter than a minute can be missed.
    The computation is finer than the air: refraction near the horizon varies by several
    minutes of arc, so first and last sun at a flat horizon are good to a minute at best.
    """
    (spans,) = spans_over_each(
        [skyline],
        latitude_deg,
        longitude_deg,
        start,
        end,
        height_m=height_m,
        pressure_hpa=pressure_hpa,
        temperature_c=temperature_c,
    )
    return spans


def spans_over_each(
    skylines: Sequence[Skyline],
    latitude_deg: float,
    longitude_deg: float,
    start: datetime | np.datetime64,
    end: datetime | np.datetime64,
    *,
    height_m: float = 0.0,
    pressure_hpa: float | None = None,
    temperature_c: float | None = None,
) -> list[Times]:
    """`sunlit_spans` over several skylines of one spot, the sun worked out once for all."""
    first, last = as_span(start, end)

    def sun_at(times: Times) -> SunPosition:
        return sun_position(
            times,
            latitude_deg,
            longitude_deg,
            height_m=height_m,
            pressure_hpa=pressure_hpa,
            temperature_c=temperature_c,
        )

    times = every(first, last, _SAMPLE_MS)
    sampled = sun_at(times)
    found = []
    for skyline in skylines:

        def clearance(times: Times, skyline: Skyline = skyline) -> Floats:
            return _limb_over(skyline, sun_at(times))

        values = _limb_over(skyline, sampled)
        instants, rising = crossings(clearance, times, values)
        begins, ends = instants[rising], instants[~rising]
        if values[0] >= 0.0:
            begins = np.concatenate(([first], begins))
        if values[-1] >= 0.0:
            ends = np.concatenate((ends, [last]))
        spans: Times = np.stack((begins, ends), axis=1).astype("datetime64[ms]")
        found.append(spans[spans[:, 1] > spans[:, 0]])
    return found


def _limb_over(skyline: Skyline, sun: SunPosition) -> Floats:
    over = above_skyline_deg(skyline, sun.azimuth_deg, sun.altitude_deg)
    over += semidiameter_deg(sun.distance_au)
    return over
