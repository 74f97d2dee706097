"""Which way a line is followed: water downstream, by the terrain; all else as it was drawn.

    drawn      A ──────────────► B          heights along it: they rise from A to B, by more than
    followed   A ◄────────────── B          the terrain's error: the water runs from B to A

Left, right, up and down go by the way it is followed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.models.trend import fall_along
from backbearing.places.words import metres_text
from backbearing.plans.search.ground import DERIVED, Plane, heights_at, on_plane
from backbearing.plans.terraingrids import grids_round
from backbearing.records import Place
from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.records import Floats, GroundLine, LineKind

FLOWING: tuple[LineKind, ...] = ("stream", "river", "leat")
_NAMED_WITHIN_M = 80.0  # a named place so near an end names it
_SAME_END_M = 100.0  # an end so near the one that was meant is the same
_RING = 0.02  # of its length, that the ends of a ring lie apart at most
_SAMPLES = 120
_MOST_LENGTH_M = 40_000.0  # of a line, that terrain is read along
_LEAST_KNOWN = 0.5  # of a line, whose heights are known
_POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


@dataclass(frozen=True, slots=True, kw_only=True)
class LineWay:
    """Which way a line is followed, from where to where, and how that is known."""

    runs: Literal["downstream", "as drawn"]
    ends: str  # "from waypoint 014 to pump wheel"
    why: str  # "it falls 10 m ± 8 m by the terrain"
    to: Place | None  # the end it leads to; None for a ring

    @property
    def words(self) -> str:
        """`looking downstream, from A to B` or `as drawn, from A to B`."""
        looking = say("looking downstream") if self.runs == "downstream" else "as drawn"
        return f"{looking}, {self.ends}"


def followed(
    notebook: Notebook,
    line: GroundLine,
    *,
    besides: int | None = None,
    towards: Place | None = None,
) -> tuple[GroundLine, LineWay]:
    """A line in the order it is followed, and which way that is.

    besides: the number of a subject whose place names no end. towards: the end that was meant
    when a clue was told, which holds whatever became of the terrain and the drawing since.
    """
    plane = Plane(
        latitude_deg=float(line.latitude_deg[0]), longitude_deg=float(line.longitude_deg[0])
    )
    line_m = on_plane(plane, line)
    length_m = float(np.hypot(*np.diff(line_m, axis=0).T).sum())
    ring = float(np.hypot(*(line_m[-1] - line_m[0]))) <= _RING * length_m
    downstream, why = None, say("a {kind} has no downstream", kind=say(line.kind))
    if line.kind in FLOWING:
        downstream, why = (None, say("it is a ring")) if ring else _runs_on(notebook, line, line_m)
    turned = downstream is False
    if towards is not None and not ring:
        meant = _end_meant(plane, line_m, towards)
        if meant is not None:
            # told before there was terrain, or since: what was meant then holds
            if downstream is not None and turned != (meant == "first"):
                downstream, why = None, say("so it was told")
            turned = meant == "first"
    if turned:
        line = replace(
            line,
            latitude_deg=line.latitude_deg[::-1].copy(),
            longitude_deg=line.longitude_deg[::-1].copy(),
        )
        line_m = line_m[::-1]
    names = _ends(notebook, plane, line_m, besides, ring=ring)
    return line, LineWay(
        runs="as drawn" if downstream is None else "downstream",
        ends=names,
        why=why,
        to=None if ring else _last(line),
    )


def way_said(line: GroundLine, way: LineWay) -> str:
    """`the leat: looking downstream, from A to B (it falls 10 m ± 8 m by the terrain)`."""
    return f"{line.name or line.kind}: {way.words} ({way.why})"


def named_places(
    notebook: Notebook, besides: int | None = None
) -> tuple[list[str], Floats, Floats]:
    """Names, latitudes and longitudes of the places on record by which others are told."""
    from backbearing.notebook.lines import list_passages
    from backbearing.notebook.subjects import list_subjects
    from backbearing.notebook.tracks import list_waypoints

    places = [
        (p.name, p.place.latitude_deg, p.place.longitude_deg) for p in list_passages(notebook)
    ]
    places += [
        (s.name, s.place.latitude_deg, s.place.longitude_deg)
        for s in list_subjects(notebook)
        if s.id != besides
    ]
    places += [
        (say("waypoint {name}", name=w.name), w.latitude_deg, w.longitude_deg)
        for w in list_waypoints(notebook)
        if w.name
    ]
    return (
        [name for name, _, _ in places],
        np.array([latitude for _, latitude, _ in places], dtype=float),
        np.array([longitude for _, _, longitude in places], dtype=float),
    )


def _runs_on(notebook: Notebook, line: GroundLine, line_m: Floats) -> tuple[bool | None, str]:
    """Whether water runs the way its line is drawn, None where that cannot be told, and why."""
    if line.source == DERIVED:
        return True, say("by where water gathers on the terrain")
    steps = np.hypot(*np.diff(line_m, axis=0).T)
    way = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.linspace(0.0, way[-1], _SAMPLES)
    latitude = np.interp(at, way, line.latitude_deg)
    longitude = np.interp(at, way, np.unwrap(line.longitude_deg, period=360.0))
    middle = len(at) // 2
    reach_m = float(np.hypot(*(line_m - line_m[len(line_m) // 2]).T).max()) + 100.0
    if way[-1] > _MOST_LENGTH_M:
        return None, say(
            "terrain is not read along more than {most_length}",
            most_length=metres_text(_MOST_LENGTH_M),
        )
    grids, why = grids_round(
        notebook, float(latitude[middle]), (float(longitude[middle]) + 180.0) % 360.0 - 180.0,
        max(reach_m, 0.6 * way[-1]),
    )  # fmt: skip
    if not grids:
        return None, why
    heights = heights_at(grids, latitude, (longitude + 180.0) % 360.0 - 180.0)
    known = np.isfinite(heights)
    if known.mean() < _LEAST_KNOWN:
        return None, say("the terrain on record knows less than half of it")
    finest = np.isfinite(heights_at(grids[:1], latitude, (longitude + 180.0) % 360.0 - 180.0))
    used = grids[:1] if finest[known].all() else grids
    fall = fall_along(at[known], heights[known], max(grid.vertical_error_m for grid in used))
    said = say(
        "{fall_m:.0f} m ± {error_m:.0f} m by the terrain",
        fall_m=abs(fall.fall_m),
        error_m=fall.error_m,
    )
    if abs(fall.fall_m) <= fall.error_m:
        return None, say("too flat to tell which way it runs: it falls {said}", said=said)
    return fall.fall_m > 0.0, say("it falls {said}", said=said)


def _end_meant(plane: Plane, line_m: Floats, towards: Place) -> Literal["first", "last"] | None:
    """Which end of a line a place is; None for neither."""
    x, y = plane.at(np.array([towards.latitude_deg]), np.array([towards.longitude_deg]))
    first, last = (float(np.hypot(*(end - (x[0], y[0])))) for end in (line_m[0], line_m[-1]))
    if min(first, last) > _SAME_END_M:
        return None
    return "first" if first < last else "last"


def _last(line: GroundLine) -> Place:
    return Place(
        latitude_deg=float(line.latitude_deg[-1]),
        longitude_deg=float(line.longitude_deg[-1]),
        error_m=0.0,
        error_basis="an end of a line",
    )


def _ends(
    notebook: Notebook, plane: Plane, line_m: Floats, besides: int | None, *, ring: bool
) -> str:
    """`from A to B`, by named places near the ends, else by where the ends lie."""
    if ring:
        x, y = line_m.T
        area = float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum())
        return "anticlockwise" if area > 0.0 else "clockwise"
    names, latitude, longitude = named_places(notebook, besides)
    found = ["", ""]
    if names:
        x, y = plane.at(latitude, longitude)
        for number, end in enumerate((line_m[0], line_m[-1])):
            away = np.hypot(x - end[0], y - end[1])
            if away.min() <= _NAMED_WITHIN_M:
                found[number] = names[int(np.argmin(away))]
    if found[0] == found[1]:
        found = ["", ""]
    east, north = line_m[0] - line_m[-1]
    towards = round(float(np.degrees(np.arctan2(east, north))) / 45.0)
    first, last = _POINTS[towards % 8], _POINTS[(towards + 4) % 8]
    return say(
        "from {found} to {found_2}",
        found=found[0] or say("its {first} end", first=first),
        found_2=found[1] or say("its {last} end", last=last),
    )
