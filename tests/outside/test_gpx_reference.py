"""Our reader against gpxpy, a general-purpose GPX library, on well-formed files of its making.

gpxpy writes the document from points we choose and reads it back; our reader must find the
same in it. Times are compared to the millisecond that ours keeps.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta, timezone

import gpxpy
import numpy as np
from gpxpy.gpx import (
    GPX,
    GPXRoute,
    GPXRoutePoint,
    GPXTrack,
    GPXTrackPoint,
    GPXTrackSegment,
    GPXWaypoint,
)
from hypothesis import given
from hypothesis import strategies as st

from backbearing.readers.gpx import read_gpx

LATITUDES = st.floats(-90, 90).map(lambda x: round(x, 7))
LONGITUDES = st.floats(-180, 179.9999).map(lambda x: round(x, 7))
HEIGHTS = st.none() | st.floats(-400, 8848).map(lambda x: round(x, 2))
ZONES = st.sampled_from(
    [UTC, timezone(timedelta(hours=5, minutes=45)), timezone(-timedelta(hours=9))]
)
FIRST, LAST = datetime(1990, 1, 2), datetime(2099, 12, 30)  # noqa: DTZ001 (hypothesis adds zones)
TIMES = st.none() | st.datetimes(FIRST, LAST, timezones=ZONES)
NAMES = st.text("abc <>&\"'éß水\U0001f5fb", max_size=12).map(lambda t: " ".join(t.split()))


@st.composite
def documents(draw: st.DrawFn, version: str) -> str:
    gpx = GPX()
    gpx.creator = "slate ledger"
    point = st.tuples(LATITUDES, LONGITUDES, HEIGHTS, TIMES)
    for _ in range(draw(st.integers(1, 3))):
        track = GPXTrack(name=draw(NAMES))
        gpx.tracks.append(track)
        for points in draw(st.lists(st.lists(point, min_size=1, max_size=6), max_size=3)):
            track.segments.append(
                GPXTrackSegment([GPXTrackPoint(a, o, e, t) for a, o, e, t in points])
            )
    for a, o, e, t in draw(st.lists(point, min_size=1, max_size=4)):
        gpx.waypoints.append(GPXWaypoint(a, o, e, t, name=draw(NAMES), comment=draw(NAMES)))
    route = GPXRoute(name=draw(NAMES))
    route.points = [GPXRoutePoint(a, o, e, t) for a, o, e, t in draw(st.lists(point, max_size=4))]
    gpx.routes.append(route)
    text: str = gpx.to_xml(version=version)
    return text


def check(text: str) -> None:
    ours, theirs = read_gpx("made.gpx", content=text.encode()), gpxpy.parse(text)
    assert ours.faults == ()
    assert [t.name for t in ours.tracks] == [t.name or "" for t in theirs.tracks]
    for track, their_track in zip(ours.tracks, theirs.tracks, strict=True):
        assert len(track.segments) == len(their_track.segments)
        for segment, their_segment in zip(track.segments, their_track.segments, strict=True):
            points = their_segment.points
            assert segment.latitude_deg.tolist() == [p.latitude for p in points]
            assert segment.longitude_deg.tolist() == [p.longitude for p in points]
            heights = [math.nan if p.elevation is None else p.elevation for p in points]
            assert np.array_equal(segment.height_m, heights, equal_nan=True)
            assert [t.item() for t in segment.time] == [in_utc(p.time) for p in points]
    for waypoint, theirs_too in zip(ours.waypoints, theirs.waypoints, strict=True):
        assert (waypoint.name, waypoint.comment) == (
            theirs_too.name or "",
            theirs_too.comment or "",
        )
        assert waypoint.height_m == theirs_too.elevation
        assert (waypoint.time and waypoint.time.replace(tzinfo=None)) == in_utc(theirs_too.time)
    (route,), (their_route,) = ours.routes, theirs.routes
    assert [p.latitude_deg for p in route.points] == [p.latitude for p in their_route.points]


def in_utc(time: datetime | None) -> datetime | None:
    if time is None:
        return None
    utc = time.astimezone(UTC).replace(tzinfo=None)
    return utc.replace(microsecond=utc.microsecond // 1000 * 1000)


@given(documents("1.1"))
def test_version_1_1(text: str) -> None:
    check(text)


@given(documents("1.0"))
def test_version_1_0(text: str) -> None:
    check(text)
