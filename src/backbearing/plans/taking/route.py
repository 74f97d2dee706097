"""The route card: for each leg where to, which way, how far, how long, and what guides one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.guides import attack_point, catching_feature, handrail
from backbearing.places.bearings import declination_deg
from backbearing.places.grids import mgrs_text
from backbearing.places.words import degrees_text, metres_text
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.outing import OutingAnswer
    from backbearing.records import Floats, GroundLine, Leg

_METRES_A_DEGREE = 111_195.0
ESCAPE_WITHIN_M = 2_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteRow:
    """One leg of the route card."""

    number: int
    out: bool  # of the way out; else of the way back
    to: str
    grid: str  # MGRS of its end, to 10 m
    latitude_deg: float
    longitude_deg: float
    bearing_true_deg: float  # straight from its beginning to its end
    bearing_magnetic_deg: float | None
    length_m: float
    ascent_m: float | None
    descent_m: float | None
    usual_s: float
    slow_s: float
    how: str
    handrail: str  # '' where no line on record runs beside it
    attack_point: str
    catching: str
    escape: str
    rough: bool
    turn_back: datetime | None  # at its end, on the way out
    pass_by: datetime | None
    usable_until: datetime | None  # on the way back


def route_card(notebook: Notebook, outing: OutingAnswer) -> tuple[RouteRow, ...]:
    """The legs of an outing as a route card, out and back.

    Guides come from the lines, waypoints and passages on record; where none is near a leg the field
    is empty, which says nothing of the ground. Method: `models.guides`. Raises NotebookError.
    """
    lines, marks = _lines(notebook), _marks(notebook)
    rows = []
    legs = [(True, one.leg, one.turn_back, one.pass_by, None) for one in outing.out]
    back = [(False, one.leg, None, None, one.usable_until) for one in outing.back]
    numbers = {True: 0, False: 0}
    for is_out, leg, turn_back, pass_by, usable in (*legs, *back):
        numbers[is_out] += 1
        end = leg.line[-1]
        true_deg = _bearing_deg(leg.line[0], end)
        turn = _declination(leg.line[0], outing.day)
        rows.append(
            RouteRow(
                number=numbers[is_out],
                out=is_out,
                to=leg.end_name,
                grid=_grid(end),
                latitude_deg=end[0],
                longitude_deg=end[1],
                bearing_true_deg=round(true_deg, 1),
                bearing_magnetic_deg=None if turn is None else round((true_deg - turn) % 360.0, 1),
                length_m=leg.length_m,
                ascent_m=leg.ascent_m,
                descent_m=leg.descent_m,
                usual_s=leg.usual_s,
                slow_s=leg.slow_s,
                how=leg.name,
                **_guides(leg, lines, marks),
                escape=_escape(leg, lines),
                rough=leg.rough,
                turn_back=turn_back,
                pass_by=pass_by,
                usable_until=usable,
            )
        )
    return tuple(rows)


def _guides(
    leg: Leg, lines: Sequence[GroundLine], marks: Sequence[tuple[str, float, float]]
) -> dict[str, str]:
    flat = _Flat(leg.line[0])
    way = flat.of(leg.line)
    drawn = [flat.of(list(zip(one.latitude_deg, one.longitude_deg, strict=True))) for one in lines]
    near = [i for i, line in enumerate(drawn) if _touches(way, line)]
    beside = handrail(way, [drawn[i] for i in near])
    beyond = catching_feature(way, [drawn[i] for i in near])
    last = attack_point(way, flat.of([(lat, lon) for _, lat, lon in marks]))
    return {
        "handrail": ""
        if beside is None
        else say(
            "{called} on the {side}",
            called=_called(lines[near[beside.line]]),
            side=say(beside.side),
        ),
        "catching": ""
        if beyond is None
        else say(
            "{called}, {distance} beyond",
            called=_called(lines[near[beyond.line]]),
            distance=metres_text(beyond.distance_m),
        ),
        "attack_point": ""
        if last is None
        else say("{marks}, {last} before", marks=marks[last[0]][0], last=metres_text(last[1])),
    }


def _escape(leg: Leg, lines: Sequence[GroundLine]) -> str:
    """The way off a leg: back along one's track, or to the nearest path on record."""
    if leg.footing != "trackless":
        return say("back along it")
    flat = _Flat(leg.line[len(leg.line) // 2])
    best: tuple[float, GroundLine, Floats] | None = None
    for line in lines:
        if line.kind == "path":
            points = flat.of(list(zip(line.latitude_deg, line.longitude_deg, strict=True)))
            away = np.hypot(*points.T)
            at = int(np.argmin(away))
            if best is None or away[at] < best[0]:
                best = float(away[at]), line, points[at]
    if best is None or best[0] > ESCAPE_WITHIN_M:
        return say("back the way one came")
    bearing = float(np.degrees(np.arctan2(*best[2]))) % 360.0
    return say(
        "{called}, {best} at {bearing}",
        called=_called(best[1]),
        best=metres_text(best[0]),
        bearing=degrees_text(bearing),
    )


class _Flat:
    """Metres east and north of a spot; straight enough over a leg."""

    def __init__(self, spot: tuple[float, float]) -> None:
        self.latitude, self.longitude = spot
        self.narrowed = float(np.cos(np.radians(self.latitude)))

    def of(self, spots: Sequence[tuple[float, float]]) -> Floats:
        if not len(spots):
            return np.empty((0, 2))
        latitude, longitude = np.asarray(spots, dtype=float).T
        turn = (longitude - self.longitude + 180.0) % 360.0 - 180.0
        return np.stack(
            [
                turn * self.narrowed * _METRES_A_DEGREE,
                (latitude - self.latitude) * _METRES_A_DEGREE,
            ],
            axis=1,
        )


def _touches(way: Floats, line: Floats, reach_m: float = 600.0) -> bool:
    """Whether the boxes around two lines come within reach of each other."""
    low, high = way.min(axis=0) - reach_m, way.max(axis=0) + reach_m
    return bool((line.max(axis=0) >= low).all() and (line.min(axis=0) <= high).all())


def _called(line: GroundLine) -> str:
    return line.name or f"a {line.kind}"


def _grid(spot: tuple[float, float]) -> str:
    """MGRS to 10 m, or decimal degrees where there is no such grid."""
    try:
        whole = mgrs_text(*spot)
    except BadInput:
        return f"{spot[0]:.4f}, {spot[1]:.4f}"
    zone, square, easting, northing = whole.split()
    return f"{zone} {square} {easting[:4]} {northing[:4]}"


def _bearing_deg(start: tuple[float, float], end: tuple[float, float]) -> float:
    from backbearing.places.geodesy import inverse

    azimuth, _ = inverse(*start, *end)
    return float(azimuth) % 360.0


def _declination(spot: tuple[float, float], on: date) -> float | None:
    try:
        return declination_deg(spot[0], spot[1], None, on)[0]
    except BadInput:
        return None


def _lines(notebook: Notebook) -> list[GroundLine]:
    from backbearing.notebook.lines import list_lines

    return list_lines(notebook)


def _marks(notebook: Notebook) -> list[tuple[str, float, float]]:
    """Named points a walker can be sure of: waypoints and passages."""
    from backbearing.notebook.lines import list_passages
    from backbearing.notebook.tracks import list_waypoints

    found = [
        (point.name, point.latitude_deg, point.longitude_deg)
        for point in list_waypoints(notebook)
        if point.name
    ]
    found += [
        (one.name, one.place.latitude_deg, one.place.longitude_deg)
        for one in list_passages(notebook)
    ]
    return found
