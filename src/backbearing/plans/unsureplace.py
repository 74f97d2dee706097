"""Whether a place is known well enough for what is told of it.

An error of position matters where something of the answer turns on it. It is told first of all
where it reaches

    the ground over which the leading light comes or goes   another spot of it has another sun
    a camera position from which no bearing was taken       which way it looks is then not known
    farther than one sees                                   who goes there must look for it first

and with it how much earlier or later the sun comes from its one end to its other, where that is
more than a minute.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from math import cos, radians
from typing import TYPE_CHECKING

from backbearing.plans.soundness import leading
from backbearing.plans.standins import BETWEEN_PLACES, stood_in
from backbearing.records import FARTHEST_LOOK_M

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.plans.horizon import SkylineAnswer
    from backbearing.plans.page import ReturnSubject
    from backbearing.records import LightWindow

_TURNS_M_PER_MIN = 40_075_017.0 / 1440.0  # of the equator under the sun


@dataclass(frozen=True, slots=True, kw_only=True)
class UnsurePlace:
    """What an error of position reaches, of what is told."""

    error_m: float
    edge_m: float | None  # to the ground over which the light comes or goes
    camera: str  # the position that looks at it by no bearing; '' where none is so near
    out_of_sight: bool
    clock_min: float  # how much earlier or later the sun comes for it alone


def unsure_place(each: ReturnSubject, skyline: SkylineAnswer | None) -> UnsurePlace | None:
    """Of a place whose error reaches what is told: that; None where all stands.

    skyline: that of the subject, with the day of its leading light; None where it is not known.
    """
    place = each.subject.place
    edge_m = _edge_m(skyline, leading(each.windows)) if skyline is not None else None
    found = UnsurePlace(
        error_m=place.error_m,
        edge_m=edge_m if edge_m is not None and edge_m <= place.error_m else None,
        camera=_camera(each),
        out_of_sight=place.error_m > FARTHEST_LOOK_M,
        clock_min=place.error_m / max(_TURNS_M_PER_MIN * cos(radians(place.latitude_deg)), 1.0),
    )
    return found if found.edge_m is not None or found.camera or found.out_of_sight else None


def _edge_m(skyline: SkylineAnswer, light: LightWindow | None) -> float | None:
    """How far off the nearest ground is over which the sun comes or goes at the ends of a light.

    Without a light all edges of the days told count.
    """

    def counts(at: datetime) -> bool:
        if light is None:
            return True
        off = timedelta(minutes=light.plus_minus_min + 1.0)  # windows are of whole minutes
        return abs(at - light.start) <= off or abs(at - light.end) <= off

    suns = [sun for day in skyline.days for sun in day.appearances]
    edges = [(sun.start, sun.comes_over) for sun in suns]
    edges += [(sun.end, sun.goes_behind) for sun in suns]
    far = [edge.distance_m for at, edge in edges if edge is not None and counts(at)]
    return min((one for one in far if one is not None), default=None)


def _camera(each: ReturnSubject) -> str:
    from backbearing.places.geodesy import inverse

    place = each.subject.place
    for camera in each.cameras:
        taken = camera.bearing is not None and stood_in(camera.bearing) != BETWEEN_PLACES
        if taken or camera.distance_m is not None:
            continue
        stands = camera.place
        _, away_m = inverse(
            stands.latitude_deg, stands.longitude_deg, place.latitude_deg, place.longitude_deg
        )
        if float(away_m) <= place.error_m:
            return camera.name
    return ""
