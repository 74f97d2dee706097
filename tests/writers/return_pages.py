"""Return pages made by hand for the tests: an invented quarry, and names out of bad dreams."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from math import cos, radians, sin

import numpy as np

from backbearing.plans.drawnways import DrawnTrack
from backbearing.plans.loosenotes import LooseNote
from backbearing.plans.page import ReturnPage, ReturnSubject
from backbearing.plans.relief import Contour, GroundPicture, Moment, Shade
from backbearing.records import (
    Bearing,
    CameraPosition,
    LightWindow,
    Note,
    Place,
    Route,
    Sighting,
    StoredTrack,
    Subject,
    WalkSummary,
    Waypoint,
)

LATITUDE, LONGITUDE = 47.0812, -21.3347
ZONE = "Atlantic/Azores"

HOSTILE = (
    "<script>window.__ran=1</script>",
    "</script><script>window.__ran=1</script>",
    "<img src=x onerror=window.__ran=1>",
    "${window.__ran=1}",
    "`+(window.__ran=1)+`",
    "{{ 7 * 7 }}{% raw %}",
    "\"'><svg onload=window.__ran=1>",
    "javascript:window.__ran=1",
    "</title><base href='https://elsewhere.example/'>",
    "شاهد ‮gnp.exe",
    "🏔️ 写真 山の小屋 🏚️",
    "line\u2028separator\x00nul\x1b[31mred\x07",
    "<!-- <!--[if",
    "x" * 10_000,
)


def place(east_m: float = 0.0, north_m: float = 0.0, *, error_m: float = 18.0) -> Place:
    return Place(
        latitude_deg=LATITUDE + north_m / 111_195,
        longitude_deg=LONGITUDE + east_m / (111_195 * cos(radians(LATITUDE))),
        height_m=212.0,
        error_m=error_m,
        error_basis="scatter of 14 fixes at a stop",
        source="track 3 at 14:32 UTC",
    )


def window(name: str, day: date = date(2026, 10, 18), *, minute: int = 41) -> LightWindow:
    start = datetime(day.year, day.month, day.day, 16, minute, tzinfo=UTC)
    return LightWindow(
        subject=name,
        camera_position="main",
        day=day,
        zone=ZONE,
        start=start,
        best=start + timedelta(minutes=10),
        end=start + timedelta(minutes=27),
        plus_minus_min=3.4,
        score=0.8,
        sky="clear",
        sun_azimuth_deg=237.4,
        sun_altitude_deg=14.6,
        delta_deg=87.4,
        lit_from="side-lit from the right",
        why="Side-lit from the right, sun 15° up; opens as the sun sinks to 17°, "
        "closes as the sun sinks to 12°.",
        rests_on=("flat horizon assumed", "position ±18 m (scatter of 14 fixes at a stop)"),
    )


def quarry_subject(
    name: str = "Winding house",
    *,
    east_m: float = 0.0,
    north_m: float = 0.0,
    windows: int = 6,
    **kwargs: str,
) -> ReturnSubject:
    found = tuple(
        window(name, date(2026, 10, 18) + timedelta(days=3 * i), minute=41 - 3 * i)
        for i in range(windows)
    )
    return ReturnSubject(
        subject=Subject(
            name=name,
            place=place(east_m, north_m),
            state="waiting for light",
            words=kwargs.get("words", "roofless, drum still in it"),
            tall_m=6.5,
            wide_m=9.0,
            facing_deg=330.0,
            blocked=kwargs.get(
                "blocked", "the upper incline had slid away above the third sleeper"
            ),
            next_time=kwargs.get("next_time", "come round by the leat and bring the 300 mm"),
            id=1,
        ),
        cameras=(
            CameraPosition(
                name="main",
                place=place(east_m + 14, north_m - 26, error_m=10.0),
                bearing=Bearing(
                    true_deg=330.0, error_deg=2.0, as_written="339M", declination_deg=-9.1
                ),
                distance_m=29.5,
                top_deg=12.0,
                foot_deg=-4.0,
                sightings=(
                    Sighting(
                        to="landing stage",
                        bearing=Bearing(true_deg=112.0, error_deg=2.0, as_written="112T"),
                    ),
                ),
                id=1,
                subject_id=1,
            ),
        ),
        notes=(
            Note(
                text=kwargs.get("note", "Drum has lost two staves.\nGround wet on the left."),
                written_at=datetime(2026, 9, 27, 15, 4, tzinfo=UTC),
                observed={"water": "low", "wind": "none"},
                source="notes.txt, line 3",
            ),
        ),
        windows=found,
        zone=ZONE,
        looked_until=date(2027, 10, 12),
        wanted="side-lit from the right, sun 10–20° high (on record)",
        no_light="" if found else "'sun 10–20° high' excludes most: without it 41 windows",
    )


def walk(number: int, name: str, *, turn: float = 0.0) -> DrawnTrack:
    """A winding walk up to the quarry from the shore."""
    spots = []
    for i in range(60):
        along = 2400 * (1 - i / 59)
        across = 260 * sin(i / 7 + turn) * (1 - i / 59)
        spot = place(along * 0.8 + across, -along * 0.55 + across * 0.6 + 8)
        spots.append((round(spot.latitude_deg, 6), round(spot.longitude_deg, 6)))
    return DrawnTrack(
        track=StoredTrack(
            id=number,
            name=name,
            comment="",
            description="",
            kind="walk",
            file_name="up to the quarry.gpx",
            segments=1,
            summary=WalkSummary(
                points=2410,
                length_m=3420.0,
                ascent_m=231.0,
                descent_m=18.0,
                moving_s=4310.0,
                standing_s=1510.0,
                suspect_fixes=12,
                gaps=1,
                started=datetime(2026, 9, 27, 13, 5, tzinfo=UTC),
                ended=datetime(2026, 9, 27, 15, 40, tzinfo=UTC),
                bounds_deg=(-21.34, 47.06, -21.30, 47.09),
            ),
        ),
        lines=(tuple(spots),),
    )


def waypoint(name: str, east_m: float, north_m: float, comment: str = "") -> Waypoint:
    spot = place(east_m, north_m)
    return Waypoint(
        latitude_deg=spot.latitude_deg,
        longitude_deg=spot.longitude_deg,
        name=name,
        comment=comment,
        symbol="Flag",
    )


def quarry_page(*subjects: ReturnSubject, **kwargs: object) -> ReturnPage:
    """The invented quarry: one subject unless others are given, two walks, a planned route."""
    return ReturnPage(
        start=date(2026, 10, 12),
        subjects=subjects or (quarry_subject(),),
        tracks=(walk(3, "Up to the quarry"), walk(4, "By the leat", turn=1.3)),
        waypoints=(
            waypoint("012", 900, -640, "gate, left of the leat"),
            waypoint("landing", 1900, -1330),
        ),
        routes=(
            Route(
                name="Round by the leat",
                points=(waypoint("a", 900, -640), waypoint("b", 500, -120), waypoint("c", 14, -26)),
            ),
        ),
        assumptions=("clear sky",),
        zone=ZONE,
        walks_within_m=20_000.0,
    )


def several() -> ReturnPage:
    """Four subjects at one quarry, one without light, one gone."""
    gone = quarry_subject("Pump wheel", east_m=-180, north_m=120, windows=0)
    return quarry_page(
        quarry_subject(),
        quarry_subject("Slate arch", east_m=160, north_m=90, blocked="", windows=4),
        quarry_subject("Landing stage", east_m=1880, north_m=-1300, blocked="", next_time=""),
        gone,
    )


def hostile() -> ReturnPage:
    """Every text field that a file or a user fills, filled with markup and worse."""
    subjects = [
        quarry_subject(
            text, east_m=70 * i, north_m=40 * i, words=text, blocked=text, next_time=text, note=text
        )
        for i, text in enumerate(HOSTILE)
    ]
    made = quarry_page(*subjects)
    return ReturnPage(
        start=made.start,
        subjects=made.subjects,
        tracks=tuple(walk(i, text) for i, text in enumerate(HOSTILE)),
        waypoints=tuple(waypoint(t, 10 * i, 30 * i, t) for i, t in enumerate(HOSTILE)),
        loose_notes=tuple(
            LooseNote(
                note=Note(text=t, written_at=datetime(2026, 9, 27, tzinfo=UTC), source=t),
                place=replace(place(30 * i, 10 * i), source=t) if i % 2 else None,
                missing=t,
            )
            for i, t in enumerate(HOSTILE)
        ),
        routes=tuple(
            Route(name=t, comment=t, points=(waypoint(t, 0, 0), waypoint(t, 9, 9))) for t in HOSTILE
        ),
        assumptions=HOSTILE,
        zone=ZONE,
        walks_within_m=20_000.0,
    )


def with_ground(page: ReturnPage) -> ReturnPage:
    """The page over invented ground: a hill, two contours, and shade at three minutes."""
    rows, columns = np.mgrid[0:60, 0:80]
    away = np.hypot(rows - 30, columns - 40)
    light = (0.7 + 0.25 * np.cos(np.arctan2(rows - 30, columns - 40) - 3.9)).astype(np.float32)
    light[:5, :5] = np.nan
    around = np.linspace(0.0, 2.0 * np.pi, 25)
    rings = [np.stack((40 + r * np.cos(around), 30 + r * np.sin(around)), axis=1) for r in (10, 20)]
    best = page.subjects[0].windows[0].best
    moments: tuple[tuple[int, Moment], ...] = ((-10, "light from"), (0, "best"), (17, "light to"))
    return replace(
        page,
        ground=GroundPicture(
            south_deg=LATITUDE - 0.02,
            north_deg=LATITUDE + 0.02,
            west_deg=LONGITUDE - 0.04,
            east_deg=LONGITUDE + 0.04,
            cell_m=75.0,
            light=light,
            contours=tuple(
                Contour(height, bool(spots), (ring,), spots)
                for height, ring, spots in zip(
                    (120.0, 100.0), rings, ((), ((60.0, 30.0),)), strict=True
                )
            ),
            interval_m=20.0,
            rasters=("quarry.tif",),
            finest_m=10.0,
            coarsest_m=10.0,
            shades=tuple(
                Shade(
                    at=best + timedelta(minutes=minutes),
                    moment=moment,
                    sun_azimuth_deg=237.0,
                    sun_altitude_deg=14.0,
                    dark=((away < 12 + number) * 2).astype(np.uint8),
                )
                for number, (minutes, moment) in enumerate(moments)
            ),
            shown=1,
        ),
    )
