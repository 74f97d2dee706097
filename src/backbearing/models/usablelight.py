"""Until when can one see where one steps: light on the ground under a piece of sky and trees.

lux on open ground ┤‾‾──__             What reaches the ground is the dome's light times the
                   │      ‾─_          share of it that the spot sees, less what a canopy takes.
              3.4  ┤─ ─ ─ ─ ─ ╲ ─ ─    Under cover 3.4 lx comes earlier than civil dusk, and in
                   └───────────┴──► t  the morning later than civil dawn.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.arguments import within
from backbearing.models.illuminance import open_scene
from backbearing.models.sun import sun_position

if TYPE_CHECKING:
    from backbearing.records import Floats, Times

USABLE_LUX = 3.4  # an open plain with the sun 6° down, by Circular 171
_LOWEST_DEG, _STEP_DEG = -18.0, 0.02


def usable_sun_altitude_deg(sky_view: float, *, canopy_stops: float = 0.0) -> float:
    """How high must the sun stand for usable light on level ground under a cut sky?

    sky_view: `skyview.sky_view_factor`, 0 … 1. canopy_stops: what leaves and branches take.
    Returns the altitude to hold against that of the sun's centre without refraction; inf where no
    sun is enough. Circular 171's altitudes are as seen through the air. To hold them against the
    lower ones without it is on purpose, on the dark side: it changes nothing at 6° down; at 46° N
    in winter it ends the light up to 0.7 min early with 10 % of the sky, 1½ min with 5 % and 3 min
    with 2 %. The sky is clear: under cloud it goes dark earlier. Direct sun and light thrown back
    by slopes are left out, so the answer is on the dark side.
    Method: the clear dome of `illuminance.open_scene`, which below the horizon is US Naval
    Observatory Circular 171 (Janiczek & DeYoung 1987).

    Raises BadInput for a share outside 0 … 1, or stops below 0.
    """
    share = float(within("sky_view", sky_view, 0.0, 1.0))
    share *= 2.0 ** -float(within("canopy_stops", canopy_stops, 0.0, 30.0))
    altitude = np.arange(_LOWEST_DEG, 90.0 + 0.5 * _STEP_DEG, _STEP_DEG)
    light = open_scene(altitude).dome_lux * share
    last = int(np.flatnonzero(light < USABLE_LUX)[-1])  # night is too dark on any plain
    if last == altitude.size - 1:
        return float("inf")
    # between two steps light grows evenly in its logarithm
    before, after = np.log(light[last : last + 2])
    return float(altitude[last] + (np.log(USABLE_LUX) - before) / (after - before) * _STEP_DEG)


def usable_spans(
    times: Times, sun_altitude_deg: Floats, least_deg: float
) -> tuple[tuple[np.datetime64, np.datetime64], ...]:
    """From when until when does the sun stand as high as wanted?

    times (n,): datetime64[ms], ascending, a minute apart or so. sun_altitude_deg (n,): its
    centre's then, without refraction. least_deg: of `usable_sun_altitude_deg`. A span that
    reaches an end of the times begins or ends there. Crossings lie on straight lines between
    the samples.
    """
    bright = sun_altitude_deg >= least_deg
    turns = np.flatnonzero(bright[1:] != bright[:-1])
    rise = sun_altitude_deg[turns + 1] - sun_altitude_deg[turns]
    part = (least_deg - sun_altitude_deg[turns]) / rise
    step = (times[turns + 1] - times[turns]).astype("timedelta64[ms]").astype(np.int64)
    at = times[turns] + np.round(part * step).astype("timedelta64[ms]")
    edges = [*([times[0]] if bright[0] else []), *at, *([times[-1]] if bright[-1] else [])]
    return tuple(zip(edges[::2], edges[1::2], strict=True))


def usable_light(
    latitude_deg: float,
    longitude_deg: float,
    start: np.datetime64,
    end: np.datetime64,
    *,
    sky_view: float = 1.0,
    canopy_stops: float = 0.0,
    height_m: float = 0.0,
) -> tuple[tuple[np.datetime64, np.datetime64], ...]:
    """From when until when, between two instants, is there usable light?

    The spans in their order, with the dark between them left out; one that reaches `start` or
    `end` is light there too, and may be longer. Raises BadInput as `usable_sun_altitude_deg` does.
    """
    least = usable_sun_altitude_deg(sky_view, canopy_stops=canopy_stops)
    minute = np.timedelta64(60_000, "ms")
    times: Times = np.arange(start, end + minute, minute).astype("datetime64[ms]")
    times[-1] = end
    sun = sun_position(times, latitude_deg, longitude_deg, height_m=height_m, refraction=False)
    return usable_spans(times, sun.altitude_deg, least)
