"""A way of cells cut into legs, each with one kind of footing, a name, and what it crosses."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.gridframe import cells_at, places_at
from backbearing.models.walk import ascent_descent_m
from backbearing.models.walkground import cut_at_changes
from backbearing.places.days import short_month
from backbearing.places.zones import local, zone_name
from backbearing.plans.approach.ground import OWN_TRACK, PATH, TRACKLESS, Area, line_touches
from backbearing.plans.settings import zone_setting
from backbearing.records import Leg
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from backbearing.notebook import Notebook
    from backbearing.records import Floats, Footing, Passage

SHORTEST_LEG_M = 150.0
NAMED_APART_M = 400.0  # legs end at waypoints and water no closer than this
WAYPOINT_REACH_M = 20.0
ROUGH_DEG = 25.0  # steep enough to want usable light, tracks or not; common practice, no source
CLIMB_THRESHOLD_M = 5.0
_FOOTING: dict[int, Footing] = {TRACKLESS: "trackless", PATH: "path", OWN_TRACK: "own track"}


def legs_of(
    notebook: Notebook,
    area: Area,
    cells: NDArray[np.int32],
    seconds: Floats,
    *,
    slow: float,
    names: tuple[str, str],
    like: Sequence[Leg] = (),
    retraced: Floats | None = None,
) -> list[Leg]:
    """The legs of a way over an area.

    cells: (n, 2) rows and columns in walking order. seconds: (n,) since its beginning. slow: the
    slow time over the usual one. names: of its two ends. Legs end where the footing changes for
    good and at passages; shorter stretches join their neighbours. like: legs of the way out, whose
    ends are kept where the way back passes them. retraced: (n,) seconds of each step from one
    cell to the next walked the other way, nothing for the first cell.
    """
    row, column = cells[:, 0].astype(float), cells[:, 1].astype(float)
    if len(cells) < 2:
        return []
    at_m = np.concatenate(
        [[0.0], np.cumsum(np.hypot(np.diff(row), np.diff(column)) * area.grid.cell_m)]
    )
    footing = area.footing[cells[:, 0], cells[:, 1]]
    passed = _passed(area, row, column, lambda passage: passage.id in area.opened)
    waded = _passed(area, row, column, lambda passage: _waded(area, passage))
    by_name = {passage.name: passage for passage, _ in area.passages}
    ends = _same_ends(area, row, column, like)
    begins = [0, *ends]
    if not ends:
        begins = cut_at_changes(footing, at_m, shortest_m=SHORTEST_LEG_M)
    touches = line_touches(area.water, area.grid, row, column)
    named = {point: area.water[line].name for point, line in touches if area.water[line].name}
    worth = [(passed, SHORTEST_LEG_M), (_waypoints(notebook, area, row, column), NAMED_APART_M)]
    for places, apart_m in () if ends else (*worth, (named, NAMED_APART_M)):
        for point, name in places.items():
            cuts = [*(at_m[begin] for begin in begins), at_m[-1]]
            if all(abs(at_m[point] - cut) >= apart_m for cut in cuts):
                begins.append(point)
                ends[point] = name
    begins = sorted(set(begins))
    latitude, longitude = places_at(area.grid, column, row)
    heights = area.height_m[cells[:, 0], cells[:, 1]]
    known = area.heights_from in ("terrain", "tracks") and bool(np.isfinite(heights).all())
    found: list[Leg] = []
    for number, first in enumerate(begins):
        last = begins[number + 1] if number + 1 < len(begins) else len(cells) - 1
        part = slice(first, last + 1)
        kind = int(np.bincount(footing[part]).argmax())
        up, down = ascent_descent_m(heights[part], threshold_m=CLIMB_THRESHOLD_M)
        steepest = float(area.steep_deg[cells[part, 0], cells[part, 1]].max())
        lines = [area.water[line] for point, line in touches if first <= point < last]
        water = tuple(dict.fromkeys(line.name or f"a {line.kind}" for line in lines))
        passages = tuple(name for point, name in passed.items() if first <= point <= last)
        used = [by_name[name] for name in passages]
        # a ford is water, a line of it on record or not
        water = water or tuple(each.name for each in used if _wet(each))
        water = water or tuple(name for point, name in waded.items() if first <= point <= last)
        usual_s = float(seconds[last] - seconds[first])
        found.append(
            Leg(
                name=_name(notebook, area, cells[part], kind),
                start_name=names[0] if first == 0 else _at(ends, first, len(found)),
                end_name=names[1] if last == len(cells) - 1 else _at(ends, last, len(found) + 1),
                line=tuple(zip(latitude[part].tolist(), longitude[part].tolist(), strict=True)),
                length_m=float(at_m[last] - at_m[first]),
                ascent_m=up if known else None,
                descent_m=down if known else None,
                usual_s=usual_s,
                slow_s=usual_s * slow,
                footing=_FOOTING[kind],
                steepest_deg=round(steepest, 1) if known else None,
                steepest_at=_steepest_at(area, cells[part], latitude[part], longitude[part])
                if known
                else None,
                rough=kind == TRACKLESS or wants_light(steepest, water, used),
                water=water,
                passages=passages,
                retraced_s=None
                if retraced is None
                else float(retraced[first + 1 : last + 1].sum()),
            )
        )
    return found


def _steepest_at(
    area: Area, cells: NDArray[np.int32], latitude: Floats, longitude: Floats
) -> tuple[float, float]:
    point = int(np.argmax(area.steep_deg[cells[:, 0], cells[:, 1]]))
    return round(float(latitude[point]), 6), round(float(longitude[point]), 6)


def _same_ends(area: Area, row: Floats, column: Floats, like: Sequence[Leg]) -> dict[int, str]:
    """Where a way passes the ends of legs walked the other way before: its points, and names."""
    found: dict[int, str] = {}
    for leg in like[:-1]:
        at_column, at_row = cells_at(
            area.grid, np.array(leg.line[-1][0]), np.array(leg.line[-1][1])
        )
        away = np.hypot(row - at_row, column - at_column)
        point = int(np.argmin(away))
        if away[point] <= 3.0 and 0 < point < len(row) - 1:
            found[point] = leg.end_name
    return dict(sorted(found.items()))


def wants_light(steepest_deg: float, water: Sequence[str], passages: Sequence[Passage]) -> bool:
    """Whether a leg is to be left in usable light also on a track: steep, wet, or by hands."""
    by_hands = any(each.kind == "step" for each in passages)
    return steepest_deg >= ROUGH_DEG or bool(water) or by_hands or any(map(_wet, passages))


def _wet(passage: Passage) -> bool:
    """Whether one goes through water at a passage, whatever lines are on record."""
    at_water = any(each.cause == "water" for each in passage.reports)
    return passage.kind == "ford" or (passage.kind == "gap" and at_water)


def _waded(area: Area, passage: Passage) -> bool:
    """Whether it is where whoever wades may go through the water, not by the passage."""
    return area.wade and passage.kind in ("bridge", "ford") and passage.id not in area.opened


def _passed(
    area: Area, row: Floats, column: Floats, which: Callable[[Passage], bool]
) -> dict[int, str]:
    """The passages of some kind a way goes through: the point nearest to each, and its name."""
    found: dict[int, str] = {}
    for passage, _ in area.passages:
        if not which(passage):
            continue
        at_column, at_row = cells_at(
            area.grid, np.array(passage.place.latitude_deg), np.array(passage.place.longitude_deg)
        )
        away = np.hypot(row - at_row, column - at_column)
        point = int(np.argmin(away))
        reach = max(passage.place.error_m, 15.0) / area.grid.cell_m + 1.0
        if away[point] <= reach:
            found[point] = passage.name
    return dict(sorted(found.items()))


def _waypoints(notebook: Notebook, area: Area, row: Floats, column: Floats) -> dict[int, str]:
    """The named points on record that lie on the way: the point of it nearest to each."""
    from backbearing.notebook.tracks import list_waypoints

    found: dict[int, str] = {}
    for waypoint in list_waypoints(notebook):
        if not waypoint.name:
            continue
        at_column, at_row = cells_at(
            area.grid, np.array(waypoint.latitude_deg), np.array(waypoint.longitude_deg)
        )
        away = np.hypot(row - at_row, column - at_column)
        point = int(np.argmin(away))
        if away[point] * area.grid.cell_m <= WAYPOINT_REACH_M + area.grid.cell_m:
            found[point] = waypoint.name
    return dict(sorted(found.items()))


def _at(ends: dict[int, str], point: int, number: int) -> str:
    return ends.get(point, say("point {number}", number=number))


def _name(notebook: Notebook, area: Area, cells: NDArray[np.int32], kind: int) -> str:
    if kind == PATH:
        return say("along a path")
    if kind == TRACKLESS:
        return say("over open ground")
    numbers: Sequence[int] = area.track[cells[:, 0], cells[:, 1]].tolist()
    walked = [number for number in numbers if number]
    if not walked:
        return say("along a track")
    number = max(set(walked), key=walked.count)
    return say("along the track of {day_of}", day_of=_day_of(notebook, number))


def _day_of(notebook: Notebook, number: int) -> str:
    from backbearing.notebook.tracks import list_tracks

    for stored in list_tracks(notebook):
        started, bounds = stored.summary.started, stored.summary.bounds_deg
        if stored.id == number and started is not None and bounds is not None:
            zone = zone_name(bounds[1], bounds[0], zone_setting(notebook))
            day = local(started, zone).date()
            return f"{day.day} {short_month(day)} {day.year}"
    return say("number {number}", number=number)
