"""The sheet's map: relief and contours in grey, the walk-in, grid labels at its edge."""

from __future__ import annotations

from itertools import pairwise
from math import hypot
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from backbearing.places.words import metres_text
from backbearing.saying import say
from backbearing.writers.apart import apart
from backbearing.writers.page.frame import draw_scale_and_north
from backbearing.writers.page.ground import draw_ground, ground_store
from backbearing.writers.page.labels import Labels, short_name
from backbearing.writers.page.lines import path_data
from backbearing.writers.page.plane import Point, Spot, sheet_over
from backbearing.writers.page.svg import put, short_number
from backbearing.writers.sheet.grid import draw_metric_grid

if TYPE_CHECKING:
    from backbearing.plans.taking import SheetAnswer

_SIZE = 13.0
_STYLE = """
.ground{fill:#fff}path.grid{fill:none;stroke:#999;stroke-width:.6}
.contour{fill:none;stroke:#000;stroke-width:.5;stroke-opacity:.35;vector-effect:non-scaling-stroke}
.contour.main{stroke-width:1;stroke-opacity:.5}.relief.dark{opacity:.7}.shade{display:none}
text{font:13px "Liberation Sans",Arial,sans-serif;fill:#000;stroke:#fff;stroke-width:3;
paint-order:stroke}text.name{font-weight:700}text.height{font-size:10px}text.figure{font-size:11px}
.scale{fill:#000;stroke:#000}.scale.hollow{fill:#fff}.north{fill:none;stroke:#000;stroke-width:2}
.casing{fill:none;stroke:#fff;stroke-width:6}.known{fill:none;stroke:#000;stroke-width:2.6}
.unknown{fill:none;stroke:#000;stroke-width:2.6;stroke-dasharray:8 5}
.error{fill:none;stroke:#000;stroke-width:1.3;stroke-dasharray:5 3}
.passage{fill:#fff;stroke:#000;stroke-width:1.6}
.mark{fill:#000;stroke:#fff;stroke-width:1.5}.end{fill:#fff;stroke:#000;stroke-width:2}
"""


def sheet_map(answer: SheetAnswer, *, width: float = 700.0, height: float = 205.0) -> str:
    """One self-contained SVG: the way out, its legs' ends, the subject with its error."""
    outing = answer.outing
    ways = [list(one.leg.line) for one in outing.out]
    subject = next(each for each in answer.page.subjects)
    place = subject.subject.place
    spots: list[Spot] = [spot for way in ways for spot in way]
    spots.append((place.latitude_deg, place.longitude_deg))
    sheet = sheet_over(spots, width=width, height=height, margin=34.0, least_m=400.0)
    svg = ElementTree.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {short_number(width)} {short_number(height)}",
            "width": short_number(width),
            "height": short_number(height),
        },
    )
    ElementTree.SubElement(svg, "style").text = _STYLE
    put(svg, "rect", "ground", width=width, height=height)
    labels = Labels(sheet, _SIZE)
    edge, heights, names = (ElementTree.Element("g") for _ in range(3))
    draw_scale_and_north(edge, sheet, labels)
    under = ElementTree.SubElement(svg, "g")
    grid = ElementTree.SubElement(svg, "g")
    for one, way in zip(outing.out, ways, strict=True):
        drawn = path_data(way, sheet)
        put(svg, "path", "casing", d=drawn)
        put(svg, "path", "unknown" if one.leg.trackless else "known", d=drawn)
        for x, y in _beside(list(map(sheet.at, way))):
            labels.ways.append((x - 3, y - 3, x + 3, y + 3))
    ends = [
        (number, one.leg.end_name, sheet.at(way[-1]))
        for number, (one, way) in enumerate(zip(outing.out, ways, strict=True), start=1)
    ]
    at = sheet.at((place.latitude_deg, place.longitude_deg))
    radius = max(place.error_m / sheet.metres_a_unit, 8.0)
    put(svg, "circle", "error", cx=at[0], cy=at[1], r=radius)
    put(svg, "rect", "mark", x=at[0] - 4, y=at[1] - 5, width=8, height=10)
    labels.keep_off(at, 6.0)
    start = sheet.at(ways[0][0]) if ways else at
    put(svg, "circle", "end", cx=start[0], cy=start[1], r=5)
    labels.keep_off(start, 6.0)
    for _, _, (x, y) in ends[:-1]:
        put(svg, "circle", "end", cx=x, cy=y, r=4)
        labels.keep_off((x, y), 5.0)
    for passage, _ in answer.passages:
        x, y = sheet.at((passage.place.latitude_deg, passage.place.longitude_deg))
        if sheet.holds((x, y)):
            put(svg, "path", "passage", d=f"M{x - 5:.1f} {y:.1f}l5 -5l5 5l-5 5z")
            labels.keep_off((x, y), 6.0)
    said = f"{short_name(outing.subject)} ± {metres_text(place.error_m)}"
    labels.set(names, at, [said, short_name(outing.subject)], "name", 9.0)
    labels.set(names, start, [short_name(outing.start_name)], "name", 8.0)
    for number, name, spot in ends[:-1]:
        labels.set(names, spot, [f"{number} {short_name(name)}", str(number)], "name", 7.0)
    for passage, state in answer.passages:
        spot = sheet.at((passage.place.latitude_deg, passage.place.longitude_deg))
        if sheet.holds(spot):
            name = short_name(passage.name)
            ended = any(each == passage.name for _, each, _ in ends)  # its name stands there
            words = [state] if ended else [f"{name}: {state}", name]
            labels.set(names, spot, words, "figure", 8.0)
    draw_metric_grid(grid, edge, sheet, labels)
    draw_ground(under, heights, answer.page.ground, sheet, labels)
    svg.extend([heights, edge, names])
    text = ElementTree.tostring(svg, encoding="unicode")
    store = ground_store(answer.page)
    if store:  # its pictures and lines, which `draw_ground` refers to
        defs = store[store.index("<defs>") : store.rindex("</defs>") + len("</defs>")]
        text = text.replace("</style>", f"</style>{defs}", 1)
    return _titled(text, outing.subject)


def _beside(points: list[Point], every: float = 5.0) -> list[Point]:
    """Points along a way so close that no label slips between them."""
    found: list[Point] = []
    for (x0, y0), (x1, y1) in pairwise(points):
        steps = max(1, int(hypot(x1 - x0, y1 - y0) / every))
        found += [(x0 + (x1 - x0) * i / steps, y0 + (y1 - y0) * i / steps) for i in range(steps)]
    return found + points[-1:]


def _titled(svg: str, subject: str) -> str:
    """The drawing with a title for screen readers."""
    title = ElementTree.Element("title")
    title.text = apart(say("The way to {subject}", subject=subject))
    words = ElementTree.tostring(title, encoding="unicode")
    return svg.replace("<style>", f"{words}<style>", 1)
