"""An outing's ways as GPX 1.1, for a receiver: routes, tracks, and waypoints that carry times."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.words import degrees_text, metres_text
from backbearing.places.zones import clock_text
from backbearing.writers.gpx import CREATOR, xml_words

if TYPE_CHECKING:
    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.taking import RouteRow


def walk_gpx(outing: OutingAnswer, route: tuple[RouteRow, ...]) -> str:
    """The ways out and back as routes of legs and as tracks; the same for the same plan.

    The waypoint at each leg's end is named after it and its times: 'BRIDGE, pass by 08:53, turn
    back 13:40'; later than the first the exposure is lost, than the second the way home not safe.
    Positions are written to 1 cm; tracks carry no times, for nobody has walked them.
    """
    from gpxpy.gpx import (
        GPX,
        GPXRoute,
        GPXRoutePoint,
        GPXTrack,
        GPXTrackPoint,
        GPXTrackSegment,
        GPXWaypoint,
    )

    gpx = GPX()
    gpx.creator = CREATOR
    for row in route:
        if row.out:
            waypoint = GPXWaypoint(
                latitude=round(row.latitude_deg, 7), longitude=round(row.longitude_deg, 7)
            )
            said = [row.to]
            for word, deadline in (("pass by", row.pass_by), ("turn back", row.turn_back)):
                if deadline is not None:
                    said.append(f"{word} {clock_text(deadline, outing.zone)}")
            waypoint.name = xml_words(", ".join(said))
            waypoint.type = "leg end"
            waypoint.description = xml_words(
                f"leg {row.number}: {metres_text(row.length_m)} at "
                f"{degrees_text(row.bearing_true_deg)} true, {row.how}"
            )
            gpx.waypoints.append(waypoint)
    for words, legs in (
        ("out", [one.leg for one in outing.out]),
        ("back", [one.leg for one in outing.back]),
    ):
        if not legs:
            continue
        name = xml_words(f"{outing.subject} {words} {outing.day}")
        planned, drawn = GPXRoute(name=name), GPXTrack(name=name)
        segment = GPXTrackSegment()
        for number, leg in enumerate(legs):
            ends = [leg.line[0], leg.line[-1]] if number == 0 else [leg.line[-1]]
            for latitude, longitude in ends:
                planned.points.append(GPXRoutePoint(round(latitude, 7), round(longitude, 7)))
            for latitude, longitude in leg.line if number == 0 else leg.line[1:]:
                segment.points.append(GPXTrackPoint(round(latitude, 7), round(longitude, 7)))
        planned.points[-1].name = xml_words(legs[-1].end_name)
        drawn.segments.append(segment)
        gpx.routes.append(planned)
        gpx.tracks.append(drawn)
    text: str = gpx.to_xml(version="1.1")
    return text + "\n"
