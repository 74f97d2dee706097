"""Walks and planned routes as lines on a sheet."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import TYPE_CHECKING

from backbearing.plans.searchlines import walk_lines
from backbearing.writers.page.plane import Point, Sheet, Spot, away_m, middle
from backbearing.writers.page.svg import put, short_number

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree import ElementTree

    from backbearing.plans.page import ReturnPage

PIECE_FIXES = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A stretch of a line, with what tells cheaply that it is nowhere near a sheet."""

    spots: Sequence[Spot]
    middle: Spot
    reach_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """All lines of a page, cut up once for its many drawings."""

    walked: tuple[Piece, ...]
    planned: tuple[Piece, ...]
    water: tuple[Piece, ...] = ()
    walls: tuple[Piece, ...] = ()
    way_in: tuple[Piece, ...] = ()
    way_new: tuple[Piece, ...] = ()  # of the planned day's, what was never walked


def ways_of(page: ReturnPage) -> Ways:
    """Cut a page's lines into pieces."""
    walked = [line for each in page.tracks for line in each.lines]
    planned = [
        tuple((p.latitude_deg, p.longitude_deg) for p in route.points) for route in page.routes
    ]
    planned += [line for walk in page.search_walks for line in walk_lines(walk)]
    return Ways(
        walked=_pieces(walked, PIECE_FIXES),
        planned=_pieces(planned, 10**9),
        water=_pieces([each.line for each in page.lines if each.is_water], PIECE_FIXES),
        walls=_pieces([each.line for each in page.lines if not each.is_water], PIECE_FIXES),
        way_in=_pieces([one.line for one in page.way_pieces if one.walked], PIECE_FIXES),
        way_new=_pieces([one.line for one in page.way_pieces if not one.walked], PIECE_FIXES),
    )


def draw_ways(svg: ElementTree.Element, ways: Ways, sheet: Sheet) -> None:
    """Draw water and walls, then planned ways and walked ones, each on a casing in the ground's
    tone, and the way of the planned day, hollow, over them."""
    for kind, pieces in (("water", ways.water), ("wall", ways.walls)):
        drawn = "".join(path_data(p.spots, sheet) for p in pieces if _near(p, sheet))
        if drawn:
            put(svg, "path", kind, d=drawn)
    for kind, pieces in (("planned", ways.planned), ("walked", ways.walked)):
        drawn = "".join(path_data(p.spots, sheet) for p in pieces if _near(p, sheet))
        if drawn:
            put(svg, "path", "casing", d=drawn)
            put(svg, "path", kind, d=drawn)
    for new, pieces in (("", ways.way_in), (" new", ways.way_new)):
        drawn = "".join(path_data(p.spots, sheet) for p in pieces if _near(p, sheet))
        if drawn:
            put(svg, "path", f"way-in{new}", d=drawn)
            put(svg, "path", f"way-in{new} hollow", d=drawn)


def way_points(ways: Ways, sheet: Sheet) -> list[Point]:
    """Points on the paper along all ways, close enough that no name slips between."""
    found = []
    for piece in (*ways.planned, *ways.walked):
        if not _near(piece, sheet):
            continue
        points = [sheet.at(spot) for spot in piece.spots]
        for before, after in pairwise(points):
            if _crosses(before, after, sheet):
                steps = min(int(hypot(after[0] - before[0], after[1] - before[1]) / 10.0), 200) + 1
                for i in range(1, steps + 1):
                    x, y = (b + (a - b) * i / steps for a, b in zip(after, before, strict=True))
                    if sheet.holds((x, y)):
                        found.append((x, y))
    return found


def path_data(line: Sequence[Spot], sheet: Sheet) -> str:
    """A line as SVG path data; what passes outside the paper is left out."""
    points = [sheet.at(spot) for spot in line]
    if len(points) == 1:
        points *= 2
    drawn, pen_down = [], False
    for before, after in pairwise(points):
        if _crosses(before, after, sheet):
            if not pen_down:
                drawn.append(f"M{short_number(before[0])} {short_number(before[1])}")
            drawn.append(f"L{short_number(after[0])} {short_number(after[1])}")
            pen_down = True
        else:
            pen_down = False
    return "".join(drawn)


def _pieces(lines: Sequence[Sequence[Spot]], longest: int) -> tuple[Piece, ...]:
    pieces = []
    for line in lines:
        for first in range(0, max(len(line) - 1, 1), longest):
            spots = line[first : first + longest + 1]
            if spots:
                centre = middle(list(spots))
                reach_m = max(away_m(spot, centre) for spot in spots)
                pieces.append(Piece(spots=spots, middle=centre, reach_m=reach_m))
    return tuple(pieces)


def _near(piece: Piece, sheet: Sheet) -> bool:
    """False only where no part can be on the paper: far off the sheet stretches up to twofold."""
    x, y = sheet.at(piece.middle)
    reach = 2.0 * piece.reach_m / sheet.metres_a_unit + 1.0
    return -reach <= x <= sheet.width + reach and -reach <= y <= sheet.height + reach


def _crosses(one: Point, other: Point, sheet: Sheet) -> bool:
    """Whether the box of a piece of line meets the paper."""
    return (
        (one[0] >= 0 or other[0] >= 0)
        and (one[0] <= sheet.width or other[0] <= sheet.width)
        and (one[1] >= 0 or other[1] >= 0)
        and (one[1] <= sheet.height or other[1] <= sheet.height)
    )
