"""Records to store: plain ones with everything set, and Hypothesis strategies for any."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from backbearing.records import (
    SUBJECT_STATES,
    Bearing,
    CameraPosition,
    EdgeReading,
    GroundLine,
    Note,
    Original,
    OtherSky,
    Passage,
    PassageReport,
    Photo,
    Place,
    Route,
    Segment,
    Sighting,
    Subject,
    Track,
    Trees,
    WalkSummary,
    WantedLight,
    Waypoint,
)

NOON = datetime(2024, 5, 1, 12, 0, 0, 123000, tzinfo=UTC)


def place(latitude_deg: float = 47.01, longitude_deg: float = -21.02) -> Place:
    return Place(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        height_m=212.5,
        error_m=10.0,
        error_basis="given",
        source="typed",
    )


def subject(name: str = "Winding house") -> Subject:
    return Subject(name=name, place=place())


def bearing(true_deg: float = 204.5) -> Bearing:
    return Bearing(
        true_deg=true_deg, error_deg=2.0, as_written="215M", declination_deg=-10.5, basis="given"
    )


def camera_position(subject_id: int | None, name: str = "main") -> CameraPosition:
    return CameraPosition(
        name=name,
        place=place(47.011, -21.021),
        bearing=bearing(),
        distance_m=8.0,
        top_deg=38.0,
        foot_deg=-6.0,
        left_edge=bearing(190.0),
        right_edge=bearing(220.0),
        sightings=(Sighting(to="the far islet", bearing=bearing(12.0)),),
        subject_id=subject_id,
    )


def note(subject_id: int | None, text: str = "left of the leat") -> Note:
    return Note(
        text=text, written_at=NOON, subject_id=subject_id, observed={"water": "low"}, source="typed"
    )


def original(content: bytes = b"<gpx/>", file_name: str = "walk.gpx") -> Original:
    return Original(
        sha256=hashlib.sha256(content).hexdigest(),
        file_name=file_name,
        media="gpx",
        content=content,
    )


def segment(count: int = 3, start: str = "2024-05-01T10:00:00.250") -> Segment:
    return Segment(
        longitude_deg=-21.0 + np.arange(count) * 1e-4,
        latitude_deg=47.0 + np.arange(count) * 2e-4,
        height_m=np.linspace(10.0, 40.0, count),
        time=np.datetime64(start, "ms") + np.arange(count) * np.timedelta64(5000, "ms"),
    )


def track(*segments: Segment, name: str = "to the quarry") -> Track:
    return Track(name=name, comment="c", description="d", kind="walking", segments=segments, line=4)


def summary(walked: Track, started: datetime | None = NOON) -> WalkSummary:
    points = sum(len(s.longitude_deg) for s in walked.segments)
    return WalkSummary(
        points=points,
        length_m=1234.5,
        ascent_m=None,
        descent_m=7.0,
        moving_s=600.0,
        standing_s=None,
        suspect_fixes=1,
        gaps=max(0, len(walked.segments) - 1),
        started=started,
        ended=None if started is None else started + timedelta(hours=2),
        bounds_deg=(-21.0, 47.0, -20.9, 47.1),
    )


def route() -> Route:
    return Route(
        name="way out",
        points=(
            Waypoint(latitude_deg=47.0, longitude_deg=-21.0, name="landing stage", line=3),
            Waypoint(latitude_deg=47.1, longitude_deg=-21.1, height_m=5.0, time=NOON),
            Waypoint(latitude_deg=47.2, longitude_deg=-21.1, symbol="gate", comment="shut"),
        ),
    )


# ---------------------------------------------------------------- any record

any_text = st.text(max_size=40)
any_name = any_text.filter(lambda text: bool(text.split()))
latitudes = st.floats(-90, 90)
longitudes = st.floats(-180, 180)
figures = st.floats(allow_nan=False, allow_infinity=False)
radii = st.floats(0, 1e6)
maybe = st.none
instants = st.datetimes(timezones=st.just(UTC)).map(
    lambda t: t.replace(microsecond=t.microsecond // 1000 * 1000)
)
clocks = st.times()

places = st.builds(
    Place,
    latitude_deg=latitudes,
    longitude_deg=longitudes,
    height_m=maybe() | figures,
    error_m=radii,
    error_basis=any_text,
    source=any_text,
)
bearings = st.builds(
    Bearing,
    true_deg=st.floats(0, 360, exclude_max=True),
    error_deg=radii,
    as_written=any_text,
    declination_deg=maybe() | figures,
    basis=any_text,
)
pairs = st.tuples(figures, figures)
wanted_lights = st.builds(
    WantedLight,
    delta_deg=maybe() | pairs,
    side=st.sampled_from([None, "left", "right"]),
    sun_altitude_deg=maybe() | pairs,
    sun_azimuth_deg=maybe() | pairs,
    direct_sun=st.sampled_from([None, True, False]),
    after_first_sun_min=maybe() | pairs,
    before_last_sun_min=maybe() | pairs,
    months=st.lists(st.integers(1, 12), max_size=3).map(tuple),
    weekdays=st.lists(st.integers(0, 6), max_size=3).map(tuple),
    earliest=maybe() | clocks,
    latest=maybe() | clocks,
    minimum_min=figures,
    other_sky=maybe() | st.builds(OtherSky, earliest=clocks, latest=clocks),
)
subjects = st.builds(
    Subject,
    name=any_name,
    place=places,
    state=st.sampled_from(SUBJECT_STATES),
    words=any_text,
    tall_m=maybe() | figures,
    wide_m=maybe() | figures,
    facing_deg=maybe() | figures,
    blocked=any_text,
    next_time=any_text,
    wanted=maybe() | wanted_lights,
    uid=st.just(""),
    marked_at=maybe() | instants,
    id=st.none(),
)
camera_positions = st.builds(
    CameraPosition,
    name=any_name,
    place=places,
    bearing=maybe() | bearings,
    distance_m=maybe() | figures,
    top_deg=maybe() | figures,
    foot_deg=maybe() | figures,
    left_edge=maybe() | bearings,
    right_edge=maybe() | bearings,
    sightings=st.lists(st.builds(Sighting, to=any_text, bearing=bearings), max_size=2).map(tuple),
    id=st.none(),
    subject_id=st.none(),
)
notes = st.builds(
    Note,
    text=any_text,
    written_at=instants,
    subject_id=st.none(),
    observed=st.dictionaries(any_text, any_text, max_size=3),
    source=any_text,
    id=st.none(),
)
waypoints = st.builds(
    Waypoint,
    latitude_deg=latitudes,
    longitude_deg=longitudes,
    height_m=maybe() | figures,
    time=maybe() | instants,
    name=any_text,
    comment=any_text,
    description=any_text,
    symbol=any_text,
    kind=any_text,
    line=maybe() | st.integers(1, 10**9),
    id=st.none(),
)
routes = st.builds(
    Route,
    name=any_text,
    comment=any_text,
    description=any_text,
    points=st.lists(waypoints, max_size=4).map(tuple),
    line=maybe() | st.integers(1, 10**9),
    id=st.none(),
)

# years 1 to 9999: what the calendar of Python, SQLite and GPX can name
_FIRST_MS = int(np.datetime64("0001-01-01", "ms").astype(np.int64))
_LAST_MS = int(np.datetime64("9999-12-31", "ms").astype(np.int64))


@st.composite
def segments(draw: st.DrawFn) -> Segment:
    count = draw(st.integers(0, 5))
    times = draw(
        st.lists(maybe() | st.integers(_FIRST_MS, _LAST_MS), min_size=count, max_size=count)
    )
    return Segment(
        longitude_deg=draw(hnp.arrays(np.float64, count, elements=longitudes)),
        latitude_deg=draw(hnp.arrays(np.float64, count, elements=latitudes)),
        height_m=draw(hnp.arrays(np.float64, count, elements=figures | st.just(float("nan")))),
        time=np.array(
            [np.datetime64("NaT") if t is None else np.datetime64(t, "ms") for t in times],
            dtype="datetime64[ms]",
        ),
    )


def same_segment(one: Segment, other: Segment) -> bool:
    return all(
        getattr(one, name).dtype == getattr(other, name).dtype
        and np.array_equal(getattr(one, name).view(np.int64), getattr(other, name).view(np.int64))
        for name in ("longitude_deg", "latitude_deg", "time")
    ) and np.array_equal(one.height_m, other.height_m, equal_nan=True)


def reading(subject_id: int | None, text: str = "215M") -> EdgeReading:
    return EdgeReading(
        azimuth=replace(bearing(), as_written=text),
        altitude_deg=12.5,
        altitude_error_deg=0.5,
        effect="replaces",
        note=text,
        taken_at=NOON,
        subject_id=subject_id,
    )


def photo(subject_id: int | None = None) -> Photo:
    return Photo(
        sha256="ab" * 32,
        file_name="wheel.jpg",
        taken_at=NOON,
        time_error_s=5.0,
        time_basis="camera clock, its zone in the photo; 2 s from its GPS time",
        placed_by="gps",
        place=replace(place(), height_m=None),
        bearing=bearing(),
        focal_mm=4.25,
        subject_id=subject_id,
    )


def trees(text: str = "birch") -> Trees:
    return Trees(tall_m=12.0, beyond_m=15.0, leaf_months=(5, 6, 7, 8, 9), note=text)


def line(text: str = "the leat") -> GroundLine:
    return GroundLine(
        name=text,
        kind="leat",
        longitude_deg=np.array([-21.0, -21.01, -21.02]),
        latitude_deg=np.array([47.0, 47.01, 47.0]),
        source=text,
    )


def passage(text: str = "the gap") -> Passage:
    return Passage(
        name=text,
        kind="gap",
        place=Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=10.0, error_basis="given"),
        reports=(
            PassageReport(state="unknown", on=date(2025, 5, 17), note=text),
            PassageReport(
                state="looked blocked", cause="windfall", on=date(2026, 2, 8), side=text, note=text
            ),
        ),
    )
