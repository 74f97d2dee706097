"""The map as a drawing that stands in the page itself: for scripts off, and for print."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil, cos, degrees, floor, log10, radians, sin
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from backbearing.writers.page.plane import RADIUS_M, Point, Sheet, Spot, round_step, sheet_over
from backbearing.writers.page.words import degrees_text, metres_text
from backbearing.writers.text import clean

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from backbearing.plans.page import ReturnPage, ReturnSubject
    from backbearing.records import Place, Waypoint

LEAST_CIRCLE = 10.0  # a smaller error circle hides under its mark, so it is drawn this wide …
STRIP = 88.0  # length of the strip towards the sun
NARROWEST_STRIP_DEG = 2.0
LONGEST_NAME = 26  # on the map; the whole name stands in the text


@dataclass
class _Labels:
    """Names set where they cover neither a mark nor each other."""

    sheet: Sheet
    size: float  # of the type, the largest the style sheet gives it at any width
    taken: list[tuple[float, float, float, float]] = field(default_factory=list)

    def keep_off(self, point: Point, reach: float) -> None:
        self.taken.append((point[0] - reach, point[1] - reach, point[0] + reach, point[1] + reach))

    def set(
        self, parent: ElementTree.Element, at: Point, texts: Sequence[str], kind: str, reach: float
    ) -> bool:
        """Write the first of `texts` that fits beside, under or over the mark at `at`."""
        for text in texts:
            wide, high = _width(text) * self.size, self.size
            for x, y, anchor in (
                (at[0] + reach, at[1] + high * 0.35, "start"),
                (at[0] - reach, at[1] + high * 0.35, "end"),
                (at[0], at[1] + reach + high * 0.8, "middle"),
                (at[0], at[1] - reach - high * 0.2, "middle"),
            ):
                left = x - {"start": 0.0, "end": wide, "middle": wide / 2}[anchor]
                box = (left, y - high * 0.85, left + wide, y + high * 0.25)
                inside = box[0] > 2 and box[2] < self.sheet.width - 2
                inside = inside and box[1] > 2 and box[3] < self.sheet.height - 2
                if inside and not any(_overlap(box, other) for other in self.taken):
                    self.taken.append(box)
                    _put(
                        parent,
                        "text",
                        {"class": kind, "x": _n(x), "y": _n(y), "text-anchor": anchor},
                        text,
                    )
                    return True
        return False


def whole_map(page: ReturnPage) -> str:
    """Everything on the page as one drawing; '' where there is nothing to draw."""
    spots = [spot for each in page.subjects for spot in _spots(each)]
    spots += [spot for each in page.tracks for line in each.lines for spot in line]
    spots += [(point.latitude_deg, point.longitude_deg) for point in page.waypoints]
    spots += [(p.latitude_deg, p.longitude_deg) for route in page.routes for p in route.points]
    if not spots:
        return ""

    def fitted(spots: list[Spot]) -> Sheet:
        return sheet_over(spots, width=480.0, height=400.0, margin=44.0, least_m=240.0)

    sheet = fitted(spots)
    sheet = fitted(spots + [tip for each in page.subjects for tip in _strip_tips(each, sheet)])
    return _draw(page, sheet, "Map of everything on this page", size=19.0)


def close_map(page: ReturnPage, each: ReturnSubject) -> str:
    """The ground round one subject: its error, camera positions and the strip to the sun."""
    sheet = _close_sheet(each)
    return _draw(page, sheet, f"The ground round {short_name(each.subject.name)}", size=14.0)


def _close_sheet(each: ReturnSubject) -> Sheet:
    place = each.subject.place
    reach_deg = degrees(place.error_m / RADIUS_M)
    across_deg = reach_deg / max(cos(radians(place.latitude_deg)), 1e-6)
    rim = [
        (place.latitude_deg + up * reach_deg, place.longitude_deg + side * across_deg)
        for up, side in ((1, 0), (-1, 0), (0, 1), (0, -1))
    ]

    def fitted(spots: list[Spot]) -> Sheet:
        return sheet_over(spots, width=360.0, height=300.0, margin=36.0, least_m=60.0)

    sheet = fitted([*_spots(each), *rim])
    return fitted([*_spots(each), *rim, *_strip_tips(each, sheet)])


def _strip_tips(each: ReturnSubject, sheet: Sheet) -> list[Spot]:
    """Where a strip would end on this sheet, so that the next one can be fitted round it."""
    at = sheet.at(_spots(each)[0])
    if not each.sun_azimuths_deg:
        return []
    ends = strip_azimuths_deg(each.sun_azimuths_deg)
    return [sheet.spot(_towards(at, azimuth, STRIP)) for azimuth in ends]


def strip_azimuths_deg(azimuths_deg: Sequence[float]) -> list[float]:
    """The azimuths that bound the strip, widened where it would be too narrow to see."""
    low, high = min(azimuths_deg), max(azimuths_deg)
    if high - low < NARROWEST_STRIP_DEG:
        middle = (low + high) / 2
        return [middle - NARROWEST_STRIP_DEG / 2, middle + NARROWEST_STRIP_DEG / 2]
    if high - low >= 360.0:
        return [low + step * 10.0 for step in range(37)]
    return list(azimuths_deg)


def strip_label(azimuths_deg: Sequence[float]) -> str:
    """`sun 234°–241°`."""
    if max(azimuths_deg) - min(azimuths_deg) >= 360.0:
        return "sun all round"
    first, last = degrees_text(azimuths_deg[0]), degrees_text(azimuths_deg[-1])
    return f"sun {first}" if first == last else f"sun {first}–{last}"


# ---------------------------------------------------------------- drawing


def _draw(page: ReturnPage, sheet: Sheet, title: str, *, size: float) -> str:
    svg = ElementTree.Element(
        "svg",
        {
            "class": "chart" if size < 19 else "chart whole",
            "viewBox": f"0 0 {_n(sheet.width)} {_n(sheet.height)}",
            "role": "img",
            "aria-label": clean(title),
        },
    )
    _put(svg, "rect", {"class": "ground", "width": _n(sheet.width), "height": _n(sheet.height)})
    labels = _Labels(sheet, size)
    edge = ElementTree.Element("g")  # scale, north and the grid's figures lie over all lines
    names = ElementTree.Element("g")
    _furnish(edge, sheet, labels)
    grid = ElementTree.SubElement(svg, "g")
    _ways(svg, page, sheet)
    for each in page.subjects:
        _subject(svg, each, sheet, labels)
    waypoints = [p for p in page.waypoints if _inside(_at(p, sheet), sheet)]
    for point in waypoints:
        x, y = _at(point, sheet)
        _put(svg, "circle", {"class": "waypoint", "cx": _n(x), "cy": _n(y), "r": "3"})
        labels.keep_off((x, y), 3.0)
    for number, each in enumerate(page.subjects, 1):
        _subject_name(names, each, number, sheet, labels)
    for each in page.subjects:
        _lesser_names(names, each, sheet, labels)
    for point in waypoints:
        if point.name:
            labels.set(names, _at(point, sheet), [short_name(point.name)], "second", 6.0)
    _grid(grid, edge, sheet, labels)
    svg.extend([edge, names])
    return ElementTree.tostring(svg, encoding="unicode")


def _ways(svg: ElementTree.Element, page: ReturnPage, sheet: Sheet) -> None:
    walked = [line for each in page.tracks for line in each.lines]
    planned = [
        tuple((p.latitude_deg, p.longitude_deg) for p in route.points) for route in page.routes
    ]
    for kind, lines in (("planned", planned), ("walked", walked)):
        drawn = "".join(_path(line, sheet) for line in lines)
        if drawn:
            _put(svg, "path", {"class": "casing", "d": drawn})
            _put(svg, "path", {"class": kind, "d": drawn})


def _path(line: Sequence[Spot], sheet: Sheet) -> str:
    """A line as SVG path data; the pieces that pass outside the paper are left out."""
    points = [sheet.at(spot) for spot in line]
    if len(points) == 1:
        points *= 2
    drawn, pen_down = [], False
    for before, after in pairwise(points):
        if _crosses(before, after, sheet):
            if not pen_down:
                drawn.append(f"M{_n(before[0])} {_n(before[1])}")
            drawn.append(f"L{_n(after[0])} {_n(after[1])}")
            pen_down = True
        else:
            pen_down = False
    return "".join(drawn)


def _subject(svg: ElementTree.Element, each: ReturnSubject, sheet: Sheet, labels: _Labels) -> None:
    """A subject's error circle, camera positions, sun strip and mark; names come later."""
    at = sheet.at(_spots(each)[0])
    radius = max(each.subject.place.error_m / sheet.metres_a_unit, LEAST_CIRCLE)
    if not (-radius < at[0] < sheet.width + radius and -radius < at[1] < sheet.height + radius):
        return
    _put(
        svg,
        "circle",
        {"class": "error", "cx": _n(at[0]), "cy": _n(at[1]), "r": _n(radius)},
    )
    if each.sun_azimuths_deg:
        tip = [_towards(at, a, STRIP) for a in strip_azimuths_deg(each.sun_azimuths_deg)]
        outline = " ".join(f"{_n(x)},{_n(y)}" for x, y in [at, *tip])
        _put(svg, "polygon", {"class": "sun case", "points": outline})
        _put(svg, "polygon", {"class": "sun", "points": outline})
        for x, y in tip:
            for part in (0.2, 0.45, 0.7, 0.9):
                labels.keep_off((at[0] + part * (x - at[0]), at[1] + part * (y - at[1])), 5.0)
    labels.keep_off(at, 7.0)
    for camera in each.cameras:
        spot = _at(camera.place, sheet)
        line = {"x1": _n(spot[0]), "y1": _n(spot[1]), "x2": _n(at[0]), "y2": _n(at[1])}
        _put(svg, "line", {"class": "sight", **line})
        _put(svg, "circle", {"class": "camera", "cx": _n(spot[0]), "cy": _n(spot[1]), "r": "4"})
        labels.keep_off(spot, 4.0)
    _put(
        svg,
        "rect",
        {
            "class": "subject" if each.subject.state != "gone" else "subject gone",
            "x": _n(at[0] - 4.5),
            "y": _n(at[1] - 6),
            "width": "9",
            "height": "12",
        },
    )


def _subject_name(
    names: ElementTree.Element, each: ReturnSubject, number: int, sheet: Sheet, labels: _Labels
) -> None:
    """A subject's name, with its error where the circle is too small for it; else its number."""
    at = sheet.at(_spots(each)[0])
    if not _inside(at, sheet):
        return
    subject = each.subject
    name = short_name(subject.name) + (" (gone)" if subject.state == "gone" else "")
    texts = [name, str(number)]
    if subject.place.error_m / sheet.metres_a_unit < LEAST_CIRCLE:
        texts.insert(0, f"{name} ± {metres_text(ceil(subject.place.error_m))}")
    labels.set(names, at, texts, "name", 11.0)


def _lesser_names(
    names: ElementTree.Element, each: ReturnSubject, sheet: Sheet, labels: _Labels
) -> None:
    """The names of a subject's sun strip and camera positions."""
    at = sheet.at(_spots(each)[0])
    if each.sun_azimuths_deg and _inside(at, sheet):
        ends = strip_azimuths_deg(each.sun_azimuths_deg)
        tip = _towards(at, (ends[0] + ends[-1]) / 2, STRIP)
        labels.set(names, tip, [strip_label(each.sun_azimuths_deg)], "light", 12.0)
    for camera in each.cameras:
        spot = _at(camera.place, sheet)
        if _inside(spot, sheet) and _apart(spot, at) > 12.0:
            labels.set(names, spot, [camera_label(camera.name), "camera"], "second", 8.0)


def camera_label(name: str) -> str:
    """`camera`, with its name where it has one of its own."""
    return "camera" if name == "main" else f"camera {short_name(name)}"


def _grid(
    svg: ElementTree.Element, edge: ElementTree.Element, sheet: Sheet, labels: _Labels
) -> None:
    """Lines of latitude and longitude with their figures at the left and the lower edge."""
    frame = [sheet.spot(point) for point in _rim(sheet)]
    south, north = min(s[0] for s in frame), max(s[0] for s in frame)
    longitudes = [s[1] for s in frame]
    for pole in (90.0, -90.0):
        if _inside(sheet.at((pole, sheet.centre[1])), sheet):
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
    labels: _Labels,
    line: list[Spot],
    text: str,
    *,
    at_left: bool,
) -> None:
    drawn = _path(line, sheet)
    if not drawn:
        return
    _put(svg, "path", {"class": "grid", "d": drawn})
    inside = [point for point in map(sheet.at, line) if _inside(point, sheet)]
    if not inside:
        return
    if at_left:
        y = min(inside)[1]
        box = (0.0, y - labels.size, _width(text) * labels.size + 4, y)
        spot = {"x": "4", "y": _n(y - 3)}
    else:
        x = max(inside, key=lambda point: point[1])[0]
        box = (x, sheet.height - labels.size - 4, x + _width(text) * labels.size + 4, sheet.height)
        spot = {"x": _n(x + 3), "y": _n(sheet.height - 5)}
    if box[2] < sheet.width and box[1] > 0 and not any(_overlap(box, o) for o in labels.taken):
        labels.taken.append(box)
        _put(edge, "text", {"class": "figure", **spot}, text)


def _furnish(edge: ElementTree.Element, sheet: Sheet, labels: _Labels) -> None:
    """Scale bar and north, in the corners at the right."""
    length_m = round_step(sheet.width * 0.11 * sheet.metres_a_unit)
    long = length_m / sheet.metres_a_unit
    x, y = sheet.width - long - 12, 14.0
    bar = {"y": _n(y), "height": "5"}
    _put(edge, "rect", {"class": "scale", "x": _n(x), "width": _n(long / 2), **bar})
    hollow = {"class": "scale hollow", "x": _n(x + long / 2), "width": _n(long / 2)}
    _put(edge, "rect", {**hollow, **bar})
    text = metres_text(length_m)
    right = {"x": _n(sheet.width - 12), "y": _n(y + 9 + labels.size * 0.8), "text-anchor": "end"}
    _put(edge, "text", {"class": "name", **right}, text)
    wide = max(long, _width(text) * labels.size) + 16
    labels.taken.append((sheet.width - wide, 0.0, sheet.width, y + 14 + labels.size))
    _put(edge, "path", {"class": "north", "d": "M14 34V12M9.5 17.5L14 11L18.5 17.5"})
    _put(edge, "text", {"class": "name", "x": "22", "y": _n(16 + labels.size * 0.4)}, "N")
    labels.taken.append((0.0, 0.0, 26 + labels.size, 38.0))


# ---------------------------------------------------------------- geometry


def _spots(each: ReturnSubject) -> list[Spot]:
    places = [each.subject.place, *(camera.place for camera in each.cameras)]
    return [(place.latitude_deg, place.longitude_deg) for place in places]


def _at(place: Place | Waypoint, sheet: Sheet) -> Point:
    return sheet.at((place.latitude_deg, place.longitude_deg))


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


def _towards(at: Point, azimuth_deg: float, length: float) -> Point:
    turn = radians(azimuth_deg)
    return at[0] + length * sin(turn), at[1] - length * cos(turn)


def _apart(one: Point, other: Point) -> float:
    return max(abs(one[0] - other[0]), abs(one[1] - other[1]))


def _inside(point: Point, sheet: Sheet) -> bool:
    return 0 <= point[0] <= sheet.width and 0 <= point[1] <= sheet.height


def _crosses(one: Point, other: Point, sheet: Sheet) -> bool:
    """Whether the box of a piece of line meets the paper."""
    return (
        max(one[0], other[0]) >= 0
        and min(one[0], other[0]) <= sheet.width
        and max(one[1], other[1]) >= 0
        and min(one[1], other[1]) <= sheet.height
    )


def _overlap(
    one: tuple[float, float, float, float], other: tuple[float, float, float, float]
) -> bool:
    return one[0] < other[2] and one[2] > other[0] and one[1] < other[3] and one[3] > other[1]


def _width(text: str) -> float:
    """About how wide a text is, in ems of a bold sans-serif."""
    return sum(1.05 if unicodedata.east_asian_width(ch) in "WF" else 0.64 for ch in text)


def short_name(name: str) -> str:
    name = clean(name).strip() or "unnamed"
    return name if len(name) <= LONGEST_NAME else name[: LONGEST_NAME - 1] + "…"


def _n(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _put(parent: ElementTree.Element, tag: str, attributes: dict[str, str], text: str = "") -> None:
    child = ElementTree.SubElement(parent, tag, attributes)
    if text:
        child.text = clean(text)
