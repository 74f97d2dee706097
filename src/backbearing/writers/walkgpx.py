"""An outing's ways as GPX 1.1, for a receiver: routes, tracks, and waypoints that carry times."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.words import degrees_text, metres_text
from backbearing.plans.outing.answer import exposure_lost, too_far
from backbearing.writers.gpx import CREATOR, xml_words
from backbearing.writers.outingwords import does_not_work_text
from backbearing.writers.words import clock_on

if TYPE_CHECKING:
    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.taking import RouteRow


def walk_gpx(outing: OutingAnswer, route: tuple[RouteRow, ...]) -> str:
    """The ways out and back as routes of legs and as tracks; the same for the same plan.

    The waypoint at each leg's end is named after it and its times: 'BRIDGE, pass by 08:53, turn
    back 13:40'; later than the first the exposure is lost, than the second the way home not safe.
    A plan that does not work says so in the file's description and in each route's name.
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
    warning = does_not_work_text(outing)
    if warning:
        gpx.description = xml_words(warning)
    for row, out in zip([row for row in route if row.out], outing.out, strict=True):
        said = [row.to]
        if exposure_lost(outing, out):
            said.append("exposure lost")
        else:
            said.append(f"pass by {clock_on(out.pass_by, outing.zone, outing.day)}")
        if too_far(out):
            said.append("turn back before here")
        elif out.turn_back is not None:
            said.append(f"turn back {clock_on(out.turn_back, outing.zone, outing.day)}")
        gpx.waypoints.append(
            GPXWaypoint(
                latitude=round(row.latitude_deg, 7),
                longitude=round(row.longitude_deg, 7),
                name=xml_words(", ".join(said)),
                type="leg end",
                description=xml_words(
                    f"leg {row.number}: {metres_text(row.length_m)} at "
                    f"{degrees_text(row.bearing_true_deg)} true, {row.how}"
                ),
            )
        )
    for words, legs in (
        ("out", [one.leg for one in outing.out]),
        ("back", [one.leg for one in outing.back]),
    ):
        if not legs:
            continue
        name = xml_words(
            f"{'does not work: ' if warning else ''}{outing.subject} {words} {outing.day}"
        )
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
