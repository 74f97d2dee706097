"""What frames a drawing: its grid of latitude and longitude, scale bar and north."""

from __future__ import annotations

from math import ceil, floor, log10
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from backbearing.places.words import metres_text
from backbearing.writers.page.labels import Labels, crossed, text_width
from backbearing.writers.page.lines import path_data
from backbearing.writers.page.plane import Point, Sheet, Spot, round_step
from backbearing.writers.page.svg import put

if TYPE_CHECKING:
    from collections.abc import Iterable


def draw_grid(
    svg: ElementTree.Element, edge: ElementTree.Element, sheet: Sheet, labels: Labels
) -> None:
    """Lines of latitude and longitude with their figures at the left and the lower edge."""
    frame = [sheet.spot(point) for point in _rim(sheet)]
    south, north = min(s[0] for s in frame), max(s[0] for s in frame)
    longitudes = [s[1] for s in frame]
    for pole in (90.0, -90.0):
        if sheet.holds(sheet.at((pole, sheet.centre[1]))):
            south, north = min(south, pole), max(north, pole)
            longitudes = [sheet.centre[1] - 180.0, sheet.centre[1] + 180.0]
    west, east = min(longitudes), max(longitudes)
    step = round_step(max((north - south) / 5.0, 1e-6))
    for latitude in _multiples(south, north, step):
        line = [(latitude, west + (east - west) * i / 24.0) for i in range(25)]
        _grid_line(svg, edge, sheet, labels, line, _degrees(latitude, step, "NS"), at_left=True)
    step = 30.0 if east - west >= 359.0 else round_step(max((east - west) / 5.0, 1e-6))
    for longitude in _multiples(west, east, step):
        line = [(south + (north - south) * i / 24.0, longitude) for i in range(25)]
        wrapped = (longitude + 180.0) % 360.0 - 180.0
        _grid_line(svg, edge, sheet, labels, line, _degrees(wrapped, step, "EW"), at_left=False)


def _grid_line(
    svg: ElementTree.Element,
    edge: ElementTree.Element,
    sheet: Sheet,
    labels: Labels,
    line: list[Spot],
    text: str,
    *,
    at_left: bool,
) -> None:
    drawn = path_data(line, sheet)
    if not drawn:
        return
    put(svg, "path", "grid", d=drawn)
    inside = [point for point in map(sheet.at, line) if sheet.holds(point)]
    if not inside:
        return
    wide = text_width(text) * labels.size + 4
    if at_left:
        x, y = 4.0, min(inside)[1] - 3
        box = (0.0, y - labels.size, wide, y)
    else:
        x, y = max(inside, key=lambda point: point[1])[0] + 3, sheet.height - 5
        box = (x, y - labels.size, x + wide, sheet.height)
    if box[2] < sheet.width and box[1] > 0 and not crossed(box, labels.taken):
        labels.taken.append(box)
        put(edge, "text", "figure", text, x=x, y=y)


def draw_scale_and_north(edge: ElementTree.Element, sheet: Sheet, labels: Labels) -> None:
    """Scale bar at the upper right, north at the upper left."""
    length_m = round_step(sheet.width * 0.11 * sheet.metres_a_unit)
    long, right = length_m / sheet.metres_a_unit, sheet.width - 12
    put(edge, "rect", "scale", x=right - long, width=long / 2, y=14, height=5)
    put(edge, "rect", "scale hollow", x=right - long / 2, width=long / 2, y=14, height=5)
    text, below = metres_text(length_m), 23 + labels.size * 0.8
    put(edge, "text", "name", text, x=right, y=below, text_anchor="end")
    wide = max(long, text_width(text) * labels.size) + 16
    labels.taken.append((sheet.width - wide, 0.0, sheet.width, 28 + labels.size))
    put(edge, "path", "north", d="M14 34V12M9.5 17.5L14 11L18.5 17.5")
    put(edge, "text", "name", "N", x=22, y=16 + labels.size * 0.4)
    labels.taken.append((0.0, 0.0, 26 + labels.size, 38.0))


def _rim(sheet: Sheet) -> Iterable[Point]:
    for i in range(17):
        x, y = sheet.width * i / 16, sheet.height * i / 16
        yield from ((x, 0.0), (x, sheet.height), (0.0, y), (sheet.width, y))


def _multiples(low: float, high: float, step: float) -> list[float]:
    return [step * i for i in range(ceil(low / step), floor(high / step) + 1)]


def _degrees(value: float, step: float, signs: str) -> str:
    decimals = max(0, ceil(-log10(step) - 1e-9))
    if round(abs(value), decimals) in (0.0, 180.0):
        return f"{abs(value):.{decimals}f}°"
    return f"{abs(value):.{decimals}f}° {signs[value < 0]}"
