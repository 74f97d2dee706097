"""Subjects and camera positions as GPX 1.1 waypoints, for a receiver or another program."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from backbearing.places.words import bearing_text, error_text, metres_text
from backbearing.writers.text import clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gpxpy.gpx import GPXWaypoint

    from backbearing.plans.exporting import Export
    from backbearing.records import CameraPosition, Place, Subject

CREATOR = "Backbearing"
# production 2 of XML 1.0 (W3C, 5th edition): what no document may hold, even escaped
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def gpx_text(export: Export) -> str:
    """A GPX 1.1 document, the same for the same records.

    Each subject is a waypoint of type 'subject', each place to stand for it one of type
    'camera position'. What is known of it stands in `cmt` and `desc` as words; positions are
    written to 1 cm, heights as they are on record, in metres above sea level.
    """
    from gpxpy.gpx import GPX

    gpx = GPX()
    gpx.creator = CREATOR
    for one in export.subjects:
        gpx.waypoints.append(_subject(one.subject))
        gpx.waypoints.extend(_camera(one.subject, camera) for camera in one.camera_positions)
    text: str = gpx.to_xml(version="1.1")
    return text + "\n"


def _subject(subject: Subject) -> GPXWaypoint:
    waypoint = _waypoint(subject.place)
    waypoint.name = xml_words(subject.name)
    waypoint.type = "subject"
    waypoint.time = subject.marked_at
    waypoint.comment = xml_words("; ".join(_state(subject)))
    waypoint.description = xml_words("; ".join(_known(subject)))
    return waypoint


def _state(subject: Subject) -> Iterator[str]:
    """The lines that head a subject everywhere."""
    yield subject.state
    if subject.blocked:
        yield f"blocked: {subject.blocked}"
    if subject.next_time:
        yield f"next time: {subject.next_time}"


def _known(subject: Subject) -> Iterator[str]:
    if subject.words:
        yield subject.words
    if subject.tall_m is not None:
        yield f"{metres_text(subject.tall_m)} tall"
    if subject.wide_m is not None:
        yield f"{metres_text(subject.wide_m)} wide"
    yield f"position {error_text(subject.place)}"


def _camera(subject: Subject, camera: CameraPosition) -> GPXWaypoint:
    waypoint = _waypoint(camera.place)
    which = "" if camera.name == "main" else f" {camera.name}"
    waypoint.name = xml_words(f"{subject.name}, camera{which}")
    waypoint.type = "camera position"
    known = []
    if camera.bearing is not None:
        known.append(f"subject at {bearing_text(camera.bearing)}")
    if camera.distance_m is not None:
        known.append(f"{metres_text(camera.distance_m)} away")
    known.append(f"position {error_text(camera.place)}")
    waypoint.description = xml_words("; ".join(known))
    return waypoint


def _waypoint(place: Place) -> GPXWaypoint:
    from gpxpy.gpx import GPXWaypoint

    longitude_deg = round(place.longitude_deg, 7)
    return GPXWaypoint(
        latitude=round(place.latitude_deg, 7),
        longitude=-180.0 if longitude_deg == 180.0 else longitude_deg,  # the schema's bound
        elevation=None if place.height_m is None else round(place.height_m, 2),
    )


def xml_words(text: str) -> str:
    """Text that XML can hold, in one line: what it forbids or turns text is made visible."""
    return _NOT_XML.sub("�", clean(" ".join(text.split())))
