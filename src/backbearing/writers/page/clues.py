"""A small drawing of each clue: the ground that fits it, and the places and bearings it names."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.etree import ElementTree

import numpy as np

from backbearing.plans.search.ground import Plane
from backbearing.saying import say
from backbearing.writers.apart import apart
from backbearing.writers.page.svg import put

if TYPE_CHECKING:
    from collections.abc import Callable

    from backbearing.plans.search.crossing import CrossedBearings
    from backbearing.plans.search.likelihood import ClueSays, Likely
    from backbearing.records import MemoryClue, Place
    from backbearing.writers.page.plane import Sheet, Spot

_WIDE, _HIGH = 120.0, 90.0
_FITS, _WELL = 0.25, 0.6  # from which ground is drawn as fitting, and as fitting well
_FAR_M = 20_000.0  # of a bearing, that is drawn


def clue_drawn(
    search: Likely,
    clue: ClueSays,
    sheet: Sheet,
    shape: Callable[[int], str],
    shapes_fit: list[float],
) -> str:
    """The ground of a search by how well it fits one clue, as SVG.

    sheet: the ground on paper. shape: the path of an outline by its number. shapes_fit: how well
    each outline fits.
    """
    svg = ElementTree.Element(
        "svg",
        {
            "class": "chart likely clue",
            "viewBox": f"0 0 {sheet.width:.0f} {sheet.height:.0f}",
            "width": f"{_WIDE:.0f}",
            "height": f"{_HIGH:.0f}",
            "role": "img",
            "aria-label": apart(say("Where it fits: {clue}", clue=clue.words)),
        },
    )
    put(svg, "rect", "ground", width=sheet.width, height=sheet.height)
    for kind, low, high in (("rest", -1.0, _FITS), ("nine", _FITS, _WELL), ("half", _WELL, 2.0)):
        parts = [shape(i) for i, fits in enumerate(shapes_fit) if low <= fits < high]
        if parts:
            put(svg, "path", f"share {kind}", d="".join(parts))
    if max(shapes_fit, default=0.0) < _FITS:
        put(
            svg,
            "text",
            "name",
            say("nowhere here"),
            x=sheet.width / 2,
            y=sheet.height - 20,
            text_anchor="middle",
        )
    if search.ground.line is not None:
        line = search.ground.line
        spots = zip(line.latitude_deg.tolist(), line.longitude_deg.tolist(), strict=True)
        put(svg, "path", "along", d=_way([sheet.at(spot) for spot in spots]))
    if clue.told is not None:
        draw_named(svg, sheet, clue.told)
    return ElementTree.tostring(svg, encoding="unicode")


def draw_named(svg: ElementTree.Element, sheet: Sheet, told: MemoryClue) -> None:
    """The places a clue names, its bearing with its error, its reach and its area."""
    if told.kind == "on a bearing" and told.place is not None:
        error = told.error or 0.0
        ends = [_off(told.place, (told.low or 0.0) + by, _FAR_M) for by in (-error, 0.0, error)]
        here = _spot(told.place)
        for end, kind in zip(ends, ("edge", "ray", "edge"), strict=True):
            put(svg, "path", kind, d=_way([sheet.at(here), sheet.at(end)]))
    if told.kind == "near a place" and told.place is not None:
        x, y = sheet.at(_spot(told.place))
        put(svg, "circle", "edge", cx=x, cy=y, r=(told.high or 0.0) / sheet.metres_a_unit)
    if len(told.corners) > 2:
        corners = [sheet.at(_spot(corner)) for corner in told.corners]
        put(svg, "path", "edge", d=_way(corners) + "z")
    ends_line = told.kind in ("side of a line", "along a line")
    for place in (told.place, None if ends_line else told.other):
        if place is not None:
            x, y = sheet.at(_spot(place))
            put(svg, "circle", "camera", cx=x, cy=y, r=9)


def draw_crossing(svg: ElementTree.Element, sheet: Sheet, crossing: CrossedBearings) -> None:
    """The ellipse in which bearings cross, 95 %."""
    plane = Plane(latitude_deg=crossing.latitude_deg, longitude_deg=crossing.longitude_deg)
    turn = np.radians(np.arange(0.0, 360.0, 6.0))
    azimuth = np.radians(crossing.long_axis_azimuth_deg)
    long, short = crossing.long_axis_m * np.cos(turn), crossing.short_axis_m * np.sin(turn)
    east = long * np.sin(azimuth) + short * np.cos(azimuth)
    north = long * np.cos(azimuth) - short * np.sin(azimuth)
    latitude, longitude = plane.places(east, north)
    spots = zip(latitude.tolist(), longitude.tolist(), strict=True)
    put(svg, "path", "ellipse", d=_way([sheet.at(spot) for spot in spots]) + "z")


def _spot(place: Place) -> Spot:
    return place.latitude_deg, place.longitude_deg


def _off(place: Place, azimuth_deg: float, away_m: float) -> Spot:
    plane = Plane(latitude_deg=place.latitude_deg, longitude_deg=place.longitude_deg)
    azimuth = np.radians(azimuth_deg)
    latitude, longitude = plane.places(away_m * np.sin(azimuth), away_m * np.cos(azimuth))
    return float(latitude), float(longitude)


def _way(points: list[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
