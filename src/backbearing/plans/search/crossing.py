"""Where the bearings that are remembered cross, with the ellipse that holds the true place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.errors import BadInput
from backbearing.models.crossbearing import cross_bearings
from backbearing.places.coordinates import decimal_text
from backbearing.places.words import degrees_text, metres_text
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.plans.search.ground import SearchGround
    from backbearing.records import MemoryClue

_TO_95, _RADIUS_TO_95 = 1.959964, 2.447747  # of a normal law, in one dimension and in two


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossedBearings:
    """Where all bearings cross; axes of the ellipse that holds it 95 times in a hundred."""

    words: str
    latitude_deg: float
    longitude_deg: float
    long_axis_m: float  # half the ellipse, 95 %
    short_axis_m: float
    long_axis_azimuth_deg: float
    cut_deg: float
    shallow: bool


def crossed(told: Sequence[MemoryClue], ground: SearchGround) -> tuple[CrossedBearings | None, str]:
    """Where the bearings told cross, and what is to be remarked; None for fewer than two.

    It takes every bearing as right: shares weigh each by how sure it is.
    """
    bearings = [clue for clue in told if clue.kind == "on a bearing" and clue.place is not None]
    if len(bearings) < 2:
        return None, ""
    places = [clue.place for clue in bearings if clue.place is not None]
    at = [
        tuple(float(each) for each in ground.plane.at(place.latitude_deg, place.longitude_deg))  # type: ignore[arg-type]
        for place in places
    ]
    try:
        found = cross_bearings(
            [x for x, _ in at],
            [y for _, y in at],
            [clue.low or 0.0 for clue in bearings],
            [(clue.error or 5.0) / _TO_95 for clue in bearings],
            station_error_m=[place.error_m / _RADIUS_TO_95 for place in places],
        )
    except BadInput as error:
        return None, error.what
    latitude, longitude = (float(v) for v in ground.plane.places(found.x_m, found.y_m))  # type: ignore[arg-type]
    words = say(
        "the bearings cross at {decimal}, 95 % within {long_axis} along "
        "{long_axis_azimuth} true and {short_axis} across, were all of "
        "them right; they cut at {cut_deg:.0f}°",
        decimal=decimal_text(latitude, longitude),
        long_axis=metres_text(found.long_axis_m),
        long_axis_azimuth=degrees_text(found.long_axis_azimuth_deg),
        short_axis=metres_text(found.short_axis_m),
        cut_deg=found.cut_deg,
    )
    if found.shallow:
        words += say(", too flatly to trust: take one from well to the side")
    if found.misfit > 2.0:
        words += say("; they miss each other by more than their errors, so one may be wrong")
    return CrossedBearings(
        words=words,
        latitude_deg=latitude,
        longitude_deg=longitude,
        long_axis_m=round(found.long_axis_m, 1),
        short_axis_m=round(found.short_axis_m, 1),
        long_axis_azimuth_deg=round(found.long_axis_azimuth_deg, 1),
        cut_deg=round(found.cut_deg, 1),
        shallow=found.shallow,
    ), ""
