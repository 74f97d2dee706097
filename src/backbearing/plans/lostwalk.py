"""The demo's walk that finds the lost subject: the planned one, as a receiver would have kept it.

Invented like the island, and it says so: nobody walked it. It goes through the doubtful passage,
finds it open, looks through the places beyond in their order until it stands before the subject,
and comes home. Times are those of the plan; in each place it goes round in circles.
"""

from __future__ import annotations

import math
from datetime import timedelta
from typing import TYPE_CHECKING
from xml.etree import ElementTree

import numpy as np

from backbearing.errors import BadInput
from backbearing.places.geodesy import inverse, path_lengths_m

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.plans.search.walkanswer import Line, SearchStop, SearchWalkAnswer
    from backbearing.records import Place

INVENTED = "Invented for the demo from the planned walk; nobody walked it."
_ROUND_M, _FIX_S = 30.0, 30.0  # of a circle looked round in; between fixes
_LOOKING_M_A_S = 0.5
_Fix = tuple[float, float, "datetime"]


def walked_gpx(walk: SearchWalkAnswer, found_at: Place) -> str:
    """The walk as a GPX 1.1 track with times, up to the place and home again.

    found_at: where it stands; it is seen from the nearest of the places beyond the passage, when
    that was looked through. Raises BadInput where the walk tries no passage, or goes nowhere
    beyond it.
    """
    if walk.trying is None or not walk.trying.if_open.stops:
        raise BadInput("the walk goes through no passage", where="walk", remedy="give more time")
    beyond = walk.trying.if_open
    nearest = min(beyond.stops, key=lambda stop: _away_m(stop, found_at))
    looked = [*walk.stops, *beyond.stops[: beyond.stops.index(nearest) + 1]]
    fixes: list[_Fix] = []
    now = walk.leave
    for number, stop in enumerate(looked):
        if number == len(walk.stops):  # first to the passage
            _along(fixes, walk.trying.way, now, walk.trying.at)
            now = walk.trying.at
        _along(fixes, stop.way, now, stop.arrive)
        _round(fixes, stop)
        now = stop.leave
    last = fixes[-1]
    there = (found_at.latitude_deg, found_at.longitude_deg)
    step = timedelta(minutes=2)
    _along(fixes, ((last[0], last[1]), there), now, now + step)
    back = beyond.back + 2.0 * step
    home = (there, *(beyond.way_home if nearest is beyond.stops[-1] else _back(looked, walk)))
    _along(fixes, home, now + step, back)
    return _gpx(walk, fixes)


def _back(looked: list[SearchStop], walk: SearchWalkAnswer) -> Line:
    """Home by the way that was come."""
    assert walk.trying is not None  # noqa: S101 - it was asked before
    ways = [each.way for each in looked]
    out = [*ways[: len(walk.stops)], walk.trying.way, *ways[len(walk.stops) :]]
    return tuple(point for way in reversed(out) for point in reversed(way))


def _away_m(stop: SearchStop, place: Place) -> float:
    _, away = inverse(
        stop.latitude_deg, stop.longitude_deg, place.latitude_deg, place.longitude_deg
    )
    return float(away)


def _along(fixes: list[_Fix], way: Line, begin: datetime, end: datetime) -> None:
    """Fixes along a way, evenly walked from one time to another."""
    if not way:
        return
    latitude, longitude = np.array(way).T
    steps = path_lengths_m(longitude, latitude)
    at = np.concatenate([[0.0], np.cumsum(steps)])
    whole_s = (end - begin).total_seconds()
    count = max(2, int(whole_s / _FIX_S) + 1)
    where = np.linspace(0.0, at[-1], count)
    for number, (lat, lon) in enumerate(
        zip(np.interp(where, at, latitude), np.interp(where, at, longitude), strict=True)
    ):
        since_s = round(whole_s * number / (count - 1))
        fixes.append((float(lat), float(lon), begin + timedelta(seconds=since_s)))


def _round(fixes: list[_Fix], stop: SearchStop) -> None:
    """Round in circles about the middle of a place, as long as it is looked through."""
    turn = _LOOKING_M_A_S * _FIX_S / _ROUND_M  # radians from fix to fix
    east = math.cos(math.radians(stop.latitude_deg))
    for number in range(1, int(stop.look_s / _FIX_S)):
        north_m, east_m = (_ROUND_M * each(number * turn) for each in (math.cos, math.sin))
        fixes.append(
            (
                stop.latitude_deg + north_m / 111_195.0,
                stop.longitude_deg + east_m / 111_195.0 / east,
                stop.arrive + timedelta(seconds=number * _FIX_S),
            )
        )


def _gpx(walk: SearchWalkAnswer, fixes: list[_Fix]) -> str:
    root = ElementTree.Element(
        "gpx",
        {
            "version": "1.1",
            "creator": "an invented receiver",
            "xmlns": "http://www.topografix.com/GPX/1/1",
        },
    )
    track = ElementTree.SubElement(root, "trk")
    for tag, text in (("name", f"looking for the {walk.subject}"), ("desc", INVENTED)):
        ElementTree.SubElement(track, tag).text = text
    segment = ElementTree.SubElement(track, "trkseg")
    last = None
    for latitude, longitude, at in fixes:
        if last is not None and at <= last:
            continue
        last = at
        point = ElementTree.SubElement(
            segment, "trkpt", {"lat": f"{latitude:.6f}", "lon": f"{longitude:.6f}"}
        )
        ElementTree.SubElement(point, "time").text = f"{at:%Y-%m-%dT%H:%M:%SZ}"
    ElementTree.indent(root)
    return ElementTree.tostring(root, encoding="unicode", xml_declaration=True) + "\n"
