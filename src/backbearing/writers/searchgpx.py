"""The next walk of a search as GPX 1.1: its stops as waypoints in order, its ways as tracks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.zones import clock_text
from backbearing.writers.gpx import CREATOR, xml_words
from backbearing.writers.words import chance_text, duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from backbearing.plans.search.walkanswer import Branch, Line, SearchStop, SearchWalkAnswer


def search_gpx(answer: SearchWalkAnswer) -> str:
    """A GPX 1.1 document, the same for the same walk.

    Waypoints are named by their order, minutes and when to leave: '2 look 25 min, leave 14:05';
    with a passage to try, 'A' stands before those if it is open and 'B' if it is shut. Tracks
    carry no times, for nobody has walked them.
    """
    from gpxpy.gpx import GPX, GPXTrack, GPXTrackPoint, GPXTrackSegment, GPXWaypoint

    gpx = GPX()
    gpx.creator = CREATOR
    for mark, stop in _marked(answer):
        waypoint = GPXWaypoint(latitude=stop.latitude_deg, longitude=stop.longitude_deg)
        leave = clock_text(stop.leave, answer.zone)
        waypoint.name = xml_words(f"{mark} look {duration_text(stop.look_s)}, leave {leave}")
        waypoint.type = "look here"
        waypoint.description = xml_words(
            f"{stop.name}: {chance_text(stop.share)}, there by "
            f"{clock_text(stop.arrive, answer.zone)}"
        )
        gpx.waypoints.append(waypoint)
    trying = answer.trying
    if trying is not None and trying.way:
        latitude, longitude = trying.way[-1]
        waypoint = GPXWaypoint(latitude=latitude, longitude=longitude)
        waypoint.name = xml_words(f"see {trying.name} {clock_text(trying.at, answer.zone)}")
        waypoint.type = "passage to try"
        waypoint.description = xml_words(
            f"chance open {chance_text(trying.chance_open)}, {trying.last_found}"
        )
        gpx.waypoints.append(waypoint)
    for words, line in _lines(answer):
        if not line:
            continue
        track = GPXTrack(name=xml_words(f"{answer.subject} {words} {answer.day}"))
        points = [GPXTrackPoint(latitude, longitude) for latitude, longitude in line]
        track.segments.append(GPXTrackSegment(points))
        gpx.tracks.append(track)
    text: str = gpx.to_xml(version="1.1")
    return text + "\n"


def _marked(answer: SearchWalkAnswer) -> Iterator[tuple[str, SearchStop]]:
    for number, stop in enumerate(answer.stops, start=1):
        yield f"{number}", stop
    if answer.trying is not None:
        for mark, branch in (("A", answer.trying.if_open), ("B", answer.trying.if_shut)):
            for number, stop in enumerate(branch.stops, start=len(answer.stops) + 1):
                yield f"{mark}{number}", stop


def _lines(answer: SearchWalkAnswer) -> Iterator[tuple[str, Line]]:
    first = _joined(answer.stops)
    if answer.trying is None:
        yield "search", first + (answer.home.way_home if answer.home is not None else ())
        return
    yield "search", first + answer.trying.way
    for words, branch in (("open", answer.trying.if_open), ("shut", answer.trying.if_shut)):
        yield f"if {answer.trying.name} is {words}", _branch(branch)


def _branch(branch: Branch) -> Line:
    return _joined(branch.stops) + branch.way_home


def _joined(stops: Sequence[SearchStop]) -> Line:
    return tuple(point for stop in stops for point in stop.way)
