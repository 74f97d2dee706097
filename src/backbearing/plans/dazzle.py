"""Where the sun goes during light windows, and whether it comes near the camera's line.

 sun *
      \\  angle from the line
camera o-----------> subject, its foot to its top
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.plans.standins import camera_line
from backbearing.saying import phrase

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.models.wanted import Bools
    from backbearing.records import Bearing, CameraPosition, Floats, LightWindow, Subject

CAUTION = phrase(
    "Never look at the sun through a lens, finder, loupe or binocular: "
    "the eye burns before it hurts."
)
NEAR_LINE_DEG = 20.0  # a lens's half angle of view and a glance beside it; common practice
STEP_MIN = 10.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SunWay:
    """The sun through one window, from its start to its end: arrays of one length [deg]."""

    azimuth_deg: Floats  # without a jump at north
    altitude_deg: Floats


def sun_ways(subject: Subject, windows: Sequence[LightWindow]) -> list[SunWay]:
    """Where the sun stands every ten minutes or less of each window, seen from the subject."""
    import numpy as np

    from backbearing.models.sun import sun_position

    if not windows:
        return []
    moments = []
    for window in windows:
        minutes = max((window.end - window.start).total_seconds() / 60.0, 0.0)
        start = np.datetime64(window.start.replace(tzinfo=None), "ms")
        end = np.datetime64(window.end.replace(tzinfo=None), "ms")
        share = np.linspace(0.0, 1.0, int(minutes // STEP_MIN) + 2)
        moments.append(start + ((end - start) * share).astype("timedelta64[ms]"))
    place = subject.place
    sun = sun_position(
        np.concatenate(moments),
        place.latitude_deg,
        place.longitude_deg,
        height_m=place.height_m or 0.0,
    )
    cuts = np.cumsum([len(each) for each in moments])[:-1]
    return [
        SunWay(azimuth_deg=np.unwrap(azimuth, period=360.0), altitude_deg=altitude)
        for azimuth, altitude in zip(
            np.split(sun.azimuth_deg, cuts), np.split(sun.altitude_deg, cuts), strict=True
        )
    ]


def near_line(
    subject: Subject, cameras: Sequence[CameraPosition], window: LightWindow, way: SunWay
) -> bool:
    """Whether the sun may come within 20° of the camera's line to the subject in a window.

    The line runs level, or anywhere up to the subject's top where that was measured; what the
    bearing may be off is added. False where no bearing is known, and under an overcast sky.
    """
    camera = next((each for each in cameras if each.name == window.camera_position), None)
    bearing = camera_line(camera.bearing if camera else None, subject.facing_deg)
    if bearing is None or window.sky == "overcast":
        return False
    top_deg = camera.top_deg or 0.0 if camera else 0.0
    return bool(may_dazzle(way.azimuth_deg, way.altitude_deg, bearing, top_deg).any())


def may_dazzle(
    azimuth_deg: Floats, altitude_deg: Floats, bearing: Bearing, top_deg: float
) -> Bools:
    """Where the sun may stand within 20° of a camera's line (arrays of one shape).

    top_deg: the subject's top as seen from the camera; 0 or less: the line runs level.
    """
    import numpy as np

    altitude = np.radians(altitude_deg)
    line = np.radians(np.clip(altitude_deg, 0.0, max(top_deg, 0.0)))
    turn = np.radians(azimuth_deg - bearing.true_deg)
    cosine = np.sin(altitude) * np.sin(line) + np.cos(altitude) * np.cos(line) * np.cos(turn)
    apart_deg = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
    return np.asarray(apart_deg <= NEAR_LINE_DEG + bearing.error_deg)
