"""What stands around a place, and when the sun comes over it: the question of `skyline`."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.doubt import NEAR_CELLS, edge_error_min
from backbearing.models.sun import sun_position
from backbearing.models.sundays import seasons, sun_days
from backbearing.models.sunlight import semidiameter_deg, skyline_altitude_deg, sunlit_spans
from backbearing.places.zones import day_bounds, local
from backbearing.plans.light.sky import FLAT, Sky, skies_of
from backbearing.plans.locate import locate
from backbearing.plans.periods import read_coming_day
from backbearing.plans.settings import zone_at
from backbearing.plans.skyseen import Face, face_of, sky_parts
from backbearing.plans.worthreading import ReadingSheet, reading_sheet
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from backbearing.notebook import Notebook
    from backbearing.plans.light.sky import EdgeFrom
    from backbearing.records import EdgeReading, Floats, Place, Skyline, Subject, Times, Trees

POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
MOST_DAYS = 6
_PATH_STEP_MIN = 4
YEAR_DAYS = 365


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocker:
    """What stands in one direction: how high, how far off, and how surely."""

    point: str  # "SW", or "highest"
    azimuth_deg: float
    altitude_deg: float
    error_deg: float | None  # None over a plain
    distance_m: float | None  # None where it is no ground: a plain, the sea
    near: bool  # nearer than three cells: one or two heights draw it, so measure it
    comes_from: EdgeFrom = "terrain"


@dataclass(frozen=True, slots=True, kw_only=True)
class Appearance:
    """A time in which some of the sun's disc stands over the skyline."""

    start: datetime
    end: datetime
    start_plus_minus_min: float | None  # None where the day cuts it
    end_plus_minus_min: float | None
    comes_over: Blocker | None
    goes_behind: Blocker | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SunOfDay:
    """The sun over one local day: when it is on the place, and the way it takes."""

    day: date
    appearances: tuple[Appearance, ...]
    time: tuple[datetime, ...]  # every few minutes while it is near the horizon or over it
    azimuth_deg: Floats
    altitude_deg: Floats
    on_place: tuple[bool, ...]
    through_branches: tuple[bool, ...]  # behind leafless trees, not behind the ground


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """Days in a row on which the sun reaches the place, and how many days both may be off, 95 %.

    None where the year looked at cuts it, or over a plain, where nothing is in doubt.
    """

    first: date
    last: date
    first_plus_minus_days: int | None = None
    last_plus_minus_days: int | None = None
    days_in_doubt: int = 0  # of these days, on so many the sun may not come at all


@dataclass(frozen=True, slots=True, kw_only=True)
class SkyView:
    """The share of an evenly bright sky's light that ground and trees around leave, 0 … 1."""

    level: float  # of level ground, 1 in the open
    face: float | None  # of a subject's upright face, ½ in the open; None where it has none
    face_azimuth_deg: float | None
    face_words: str  # which way it looks and how that is known
    months: tuple[int, ...] = ()  # of the days asked, in which it is so; () where it always is
    canopy_stops: float = 0.0  # taken by the trees of the light through them then
    canopy_doubt_stops: float = 0.0
    level_doubt_stops: float = 0.0  # either way, by that of the canopy alone
    face_doubt_stops: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SkylineAnswer:
    """The skyline of a place, what makes it, and when the sun comes over it."""

    name: str
    place: Place
    zone: str
    basis: str
    flat: bool
    reach_m: float | None  # the shortest of all azimuths
    blockers: tuple[Blocker, ...]  # the eight points, then the highest
    days: tuple[SunOfDay, ...]
    year_from: date
    seasons: tuple[Season, ...]  # in the year from then on; one of the whole year where always
    sky_views: tuple[SkyView, ...]  # one, or one for each state of the leaves on the days asked
    skyline: Skyline
    error_deg: Floats | None
    comes_from: tuple[EdgeFrom, ...]  # of each of the skyline's azimuths
    ground_deg: Floats | None  # the skyline without its trees; None where there are none
    trees: Trees | None
    readings: tuple[EdgeReading, ...]
    sheet: ReadingSheet | None  # the edges worth measuring, where asked for


def ask_skyline(
    notebook: Notebook | None,
    words: str,
    *,
    days: Sequence[str],
    now: datetime,
    measure: bool = False,
) -> SkylineAnswer:
    """What stands around the place that `words` mean, and when does the sun come over it?

    days: as typed; none means today and the two solstices next to come. notebook: None where
    there is none; the horizon is flat then, and `basis` says so. measure: whether the edges worth
    measuring are answered too.
    Raises BadInput and NotFound as `locate` and `read_coming_day` do, and BadInput for too many
    days.
    """
    located = locate(notebook, words)
    place = located.place
    zone = zone_at(notebook, place)
    today = local(now, zone).date()
    if len(days) > MOST_DAYS:
        raise BadInput(
            say("more than {most_days} days", most_days=MOST_DAYS),
            where="--date",
            remedy=say("name fewer"),
        )
    asked = [read_coming_day(text, today=today, where="--date") for text in days]
    (sky,) = (
        skies_of(notebook, [place], subjects=[located.subject]) if notebook is not None else (FLAT,)
    )
    listed = list(dict.fromkeys(asked or [today, *_solstices(today)]))
    return SkylineAnswer(
        name=located.name,
        place=place,
        zone=zone,
        basis=say(sky.skyline.basis),
        flat=not sky.ground_known,
        reach_m=None if sky.skyline.cell_m is None else float(sky.skyline.reach_m.min()),
        blockers=tuple(_blockers(sky)),
        days=tuple(sun_of_day(sky, place, day, zone) for day in listed),
        year_from=today,
        seasons=tuple(seasons_of(sky, place, today, zone)),
        sky_views=tuple(_sky_views(notebook, located.subject, sky, listed)),
        skyline=sky.skyline,
        error_deg=sky.error_deg,
        comes_from=tuple(sky.edge_from(i) for i in range(len(sky.skyline.azimuth_deg))),
        ground_deg=None if sky.ground is None else sky.ground.altitude_deg,
        trees=sky.trees,
        readings=sky.readings,
        sheet=reading_sheet(
            notebook, located.name, place, located.subject, sky, zone=zone, today=today
        )
        if measure
        else None,
    )


def _sky_views(
    notebook: Notebook | None, subject: Subject | None, sky: Sky, days: Sequence[date]
) -> Iterator[SkyView]:
    """Of level ground, and of the subject's face where it is known which way that looks."""
    from backbearing.notebook.subjects import list_camera_positions

    face = Face(azimuth_deg=None, tilt_deg=90.0, basis="not known", words="")
    if notebook is not None and subject is not None:
        face = face_of(subject, next(iter(list_camera_positions(notebook, subject.id)), None))
    known = face.azimuth_deg is not None
    parts = sky_parts(sky, face)
    states: dict[tuple[float, float], list[int]] = {}
    for day in days:
        of_state = states.setdefault(sky.tree_stops(day.month), [])
        if day.month not in of_state:
            of_state.append(day.month)
    for (stops, doubt), months in states.items():
        darker, seen, lighter = (
            parts.seen(min(2.0 ** -(stops + more), 1.0)) for more in (doubt, 0.0, -doubt)
        )

        def off(shares: tuple[float, float, float]) -> float:
            low, middle, high = (np.log2(max(share, 1e-9)) for share in shares)
            return round(float(max(middle - low, high - middle)), 2)

        of_face = (float(darker.face), float(seen.face), float(lighter.face))
        yield SkyView(
            level=round(float(seen.level), 3),
            face=round(of_face[1], 3) if known else None,
            face_azimuth_deg=face.azimuth_deg,
            face_words=face.words if known else "",
            months=tuple(months) if sky.ground is not None else (),
            canopy_stops=stops,
            canopy_doubt_stops=doubt,
            level_doubt_stops=off((float(darker.level), float(seen.level), float(lighter.level))),
            face_doubt_stops=off(of_face) if known else None,
        )


def _blockers(sky: Sky) -> Iterator[Blocker]:
    for number, point in enumerate(POINTS):
        yield _blocker(sky, 45.0 * number, point)
    if sky.ground_known:
        highest = int(np.argmax(sky.skyline.altitude_deg))
        yield _blocker(sky, float(sky.skyline.azimuth_deg[highest]), "highest")


def _blocker(sky: Sky, azimuth_deg: float, point: str) -> Blocker:
    index = sky.nearest(azimuth_deg)
    distance_m = float(sky.skyline.distance_m[index])
    cell_m = sky.skyline.cell_m
    return Blocker(
        point=point,
        azimuth_deg=round(azimuth_deg, 1),
        altitude_deg=round(float(skyline_altitude_deg(sky.skyline, azimuth_deg)), 2),
        error_deg=None if sky.error_deg is None else round(float(sky.error_deg[index]), 2),
        distance_m=round(distance_m, 1) if np.isfinite(distance_m) else None,
        near=cell_m is not None and bool(distance_m < NEAR_CELLS * cell_m[index]),
        comes_from=sky.edge_from(index),
    )


def _solstices(today: date) -> list[date]:
    """The next 21 June and 21 December: the days of the solstices, give or take one."""
    found = []
    for month in (6, 12):
        day = date(today.year, month, 21)
        found.append(day if day >= today else date(today.year + 1, month, 21))
    return sorted(found)


def sun_of_day(sky: Sky, place: Place, day: date, zone: str) -> SunOfDay:
    """When is the sun on a place on one local day, and what does it come over?"""
    start, end = day_bounds(day, zone)
    spot = (place.latitude_deg, place.longitude_deg)
    height_m = place.height_m or 0.0
    spans = sunlit_spans(sky.sun_comes_over, *spot, start, end, height_m=height_m)
    sun = sun_position(spans.ravel(), *spot, height_m=height_m)
    azimuth = sun.azimuth_deg.reshape(spans.shape)
    error = edge_error_min(
        sky.skyline, sky.error_deg, _minutes_inside(spans).ravel(), *spot, height_m=height_m
    ).reshape(spans.shape)
    step = np.timedelta64(_PATH_STEP_MIN, "m")
    time = np.arange(_utc(start), _utc(end) + step, step)
    way = sun_position(time, *spot, height_m=height_m)
    seen = way.altitude_deg > -3.0
    time, on = time[seen], np.zeros(int(seen.sum()), dtype=np.bool_)
    for begin, finish in spans:
        on |= (time >= begin) & (time <= finish)
    return SunOfDay(
        day=day,
        appearances=tuple(
            _appearance(sky, (start, end), span.tolist(), azimuth[i].tolist(), error[i].tolist())
            for i, span in enumerate(spans)
        ),
        time=tuple(each.replace(tzinfo=UTC) for each in time.tolist()),
        azimuth_deg=way.azimuth_deg[seen],
        altitude_deg=way.altitude_deg[seen],
        on_place=tuple(on.tolist()),
        through_branches=tuple(
            sky.through_branches(
                time,
                way.azimuth_deg[seen],
                way.altitude_deg[seen] + semidiameter_deg(way.distance_au[seen]),
            ).tolist()
        ),
    )


def _minutes_inside(spans: Times) -> Times:
    """The first and last whole minute of each span, as a light window has them."""
    minute = np.timedelta64(60_000, "ms")
    whole = spans.astype("datetime64[m]").astype("datetime64[ms]")
    first = np.where(whole[:, 0] < spans[:, 0], whole[:, 0] + minute, whole[:, 0])
    return np.stack((first, whole[:, 1]), axis=1)


def _appearance(
    sky: Sky,
    bounds: tuple[datetime, datetime],
    span: list[datetime],
    azimuth_deg: list[float],
    error_min: list[float],
) -> Appearance:
    begin, finish = (each.replace(tzinfo=UTC) for each in span)
    opened, closed = begin > bounds[0], finish < bounds[1]
    return Appearance(
        start=begin,
        end=finish,
        start_plus_minus_min=float(np.ceil(error_min[0])) if opened else None,
        end_plus_minus_min=float(np.ceil(error_min[1])) if closed else None,
        comes_over=_blocker(sky, azimuth_deg[0], "") if opened else None,
        goes_behind=_blocker(sky, azimuth_deg[1], "") if closed else None,
    )


def seasons_of(sky: Sky, place: Place, first: date, zone: str) -> Iterator[Season]:
    """Runs of local days with sun in the year from `first` on, and how sure their ends are."""
    days = [first + timedelta(days=n) for n in range(YEAR_DAYS + 1)]
    year = sun_days(
        sky.sun_comes_over,
        place.latitude_deg,
        place.longitude_deg,
        np.array([_utc(day_bounds(day, zone)[0]) for day in days]),
        height_m=place.height_m or 0.0,
        error_deg=sky.error_deg,
    )
    perhaps, surely = seasons(year.perhaps), seasons(year.surely)
    for begins, ends in seasons(year.reached):
        low = next((run for run in perhaps if run[0] <= begins <= run[1]), (begins, ends))
        high = [run for run in surely if run[0] <= ends and begins <= run[1]] or [(ends, begins)]
        off = (
            max(begins - low[0], high[0][0] - begins),
            max(low[1] - ends, ends - high[-1][1]),
        )
        known = sky.ground_known
        yield Season(
            first=days[begins],
            last=days[ends],
            first_plus_minus_days=off[0] if known and begins > 0 else None,
            last_plus_minus_days=off[1] if known and ends < YEAR_DAYS - 1 else None,
            days_in_doubt=int((~year.surely[begins : ends + 1]).sum()) if known else 0,
        )


def _utc(instant: datetime) -> np.datetime64:
    return np.datetime64(instant.astimezone(UTC).replace(tzinfo=None), "ms")
