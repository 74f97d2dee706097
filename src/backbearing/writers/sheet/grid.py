"""The metric grid of the route card's references on a drawing: UTM lines, 100 m to 10 km apart."""

from __future__ import annotations

from math import ceil, floor
from typing import TYPE_CHECKING

from backbearing.places.grids import utm_grid
from backbearing.writers.page.labels import crossed, text_width
from backbearing.writers.page.lines import path_data
from backbearing.writers.page.svg import put

if TYPE_CHECKING:
    from xml.etree import ElementTree

    from backbearing.writers.page.labels import Labels
    from backbearing.writers.page.plane import Sheet, Spot

_STEPS_M = (100.0, 200.0, 500.0, 1_000.0, 2_000.0, 5_000.0, 10_000.0, 50_000.0)
_MOST_LINES = 6.0


def draw_metric_grid(
    svg: ElementTree.Element, edge: ElementTree.Element, sheet: Sheet, labels: Labels
) -> None:
    """Grid lines with their figures at the left and the lower edge, as the references write them.

    The figures are the first two (or three) of each half of a reference: '02' of easting '0201'.
    At the edge of two zones the lines of the middle's zone are drawn over both. Nothing is drawn
    near the poles, where references are degrees.
    """
    grid = utm_grid(*sheet.spot((sheet.width / 2, sheet.height / 2)))
    if grid is None:
        return
    rim = [
        grid.of(*sheet.spot((sheet.width * i / 8, sheet.height * j / 8)))
        for i in range(9)
        for j in range(9)
        if {i, j} & {0, 8}
    ]
    west, east = min(p[0] for p in rim), max(p[0] for p in rim)
    south, north = min(p[1] for p in rim), max(p[1] for p in rim)
    step = next((s for s in _STEPS_M if (east - west) / s <= _MOST_LINES), _STEPS_M[-1])
    for upright, low, high in ((True, west, east), (False, south, north)):
        for number in range(ceil(low / step), floor(high / step) + 1):
            at = number * step
            line = [
                grid.spot(at, south + (north - south) * i / 8)
                if upright
                else grid.spot(west + (east - west) * i / 8, at)
                for i in range(9)
            ]
            _line(svg, edge, sheet, labels, line, _figures(at, step), upright=upright)


def _figures(at_m: float, step_m: float) -> str:
    """A grid line as in a reference's half: '02', or '025' where lines stand closer than 1 km."""
    within_m = int(at_m) % 100_000
    return f"{within_m // 1000:02d}" if step_m >= 1000.0 else f"{within_m // 100:03d}"


def _line(
    svg: ElementTree.Element,
    edge: ElementTree.Element,
    sheet: Sheet,
    labels: Labels,
    line: list[Spot],
    text: str,
    *,
    upright: bool,
) -> None:
    drawn = path_data(line, sheet)
    if not drawn:
        return
    put(svg, "path", "grid", d=drawn)
    ends = sorted(map(sheet.at, line), key=lambda point: -point[1] if upright else point[0])
    wide = text_width(text) * labels.size + 4
    if upright:
        x, y = ends[0][0] + 3, sheet.height - 5
    else:
        x, y = 4.0, ends[0][1] - 3
    box = (x, y - labels.size, x + wide, y + 2)
    inside = box[0] >= 0 and box[2] < sheet.width and box[1] > 0 and box[3] <= sheet.height
    if inside and not crossed(box, labels.taken):
        labels.taken.append(box)
        put(edge, "text", "figure", text, x=x, y=y)
