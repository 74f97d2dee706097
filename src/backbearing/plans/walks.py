"""Where have I been? Past walks in a list, and one of them in full.

The list reads what is kept with each track and loads no numpy, unless a place is asked for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, NotebookError
from backbearing.places.zones import local, zone_name

if TYPE_CHECKING:
    from backbearing.models.walk import Gap
    from backbearing.notebook import Notebook
    from backbearing.records import Place, Stop, StoredTrack, SubjectState, Track

STOP_WITHIN_M = 25.0
STOP_AT_LEAST_S = 180.0
STOP_METHOD = (
    f"{STOP_AT_LEAST_S / 60:.0f} min or more within {STOP_WITHIN_M:.0f} m; the error is the "
    "scatter of the fixes, never less than 5 m, of fewer than 5 fixes never less than 10 m"
)
PASSED_WITHIN_M = 100.0
SUSPECTS_NAMED = 100
BELIEVABLE_YEARS = range(1990, 2100)


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedWalk:
    """A walk's line in the list; `near_m` is how near it came to the place asked for."""

    track: StoredTrack
    zone: str
    near_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkList:
    """The walks asked for, oldest first; those without times last."""

    walks: tuple[ListedWalk, ...]
    left_out: int
    unreadable: tuple[int, ...] = ()  # numbers of walks that cannot be told near or far
    near: Place | None = None
    within_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SuspectFix:
    """One fix that is not to be believed: kept in the track, left out of its figures."""

    segment: int  # counted from 1
    fix: int  # in its segment, counted from 1
    when: datetime | None
    latitude_deg: float
    longitude_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Passed:
    """A subject the walk came by: the nearest it came, and when."""

    subject_id: int | None
    name: str
    state: SubjectState
    distance_m: float
    error_m: float  # of the subject's own place
    when: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkAnswer:
    """One walk in full, with the methods behind its figures."""

    track: StoredTrack
    zone: str
    length_method: str
    climb_method: str
    moving_method: str
    stop_method: str
    stops: tuple[Stop, ...]
    gaps: tuple[Gap, ...]
    suspects: tuple[SuspectFix, ...]  # the first SUSPECTS_NAMED; the summary has their number
    passed: tuple[Passed, ...]
    passed_within_m: float
    doubts: tuple[str, ...]


def walk_zone(track: StoredTrack, setting: str | None) -> str:
    """The zone of the clock on that walk: by where it was, at sea the notebook's setting."""
    west, south, east, north = track.summary.bounds_deg or (0.0, 0.0, 0.0, 0.0)
    # a walk over the antimeridian has west > east: its west end is still on the walk
    longitude = (west + east) / 2 if west <= east else west
    return zone_name((south + north) / 2, longitude, setting)


def list_walks(
    notebook: Notebook,
    *,
    since: date | None = None,
    until: date | None = None,
    near: Place | None = None,
    within_m: float = 500.0,
) -> WalkList:
    """Which walks are on record, of a time and an area.

    since, until: local days, both included; walks without times are left out then.
    near, within_m: only walks that came within so many metres of a place.

    Raises BadInput where `until` is before `since`.
    """
    from backbearing.notebook.settings import get_setting
    from backbearing.notebook.tracks import list_tracks

    if since is not None and until is not None and until < since:
        raise BadInput(f"{until} is before {since}", where="--until", remedy="swap the two days")
    setting = get_setting(notebook, "zone")
    every = list_tracks(notebook)
    bounds = None if near is None else _box(near, within_m)
    touching = every if bounds is None else list_tracks(notebook, bounds_deg=bounds)
    walks = []
    unreadable = []
    for track in touching:
        zone = walk_zone(track, setting)
        if not _on_days(track, zone, since, until):
            continue
        near_m = None
        if near is not None:
            try:
                near_m = _near_m(notebook, track, near)
            except NotebookError:  # another program broke it: the others are still good
                unreadable.append(track.id)
                continue
            if near_m is None or near_m > within_m:
                continue
        walks.append(ListedWalk(track=track, zone=zone, near_m=near_m))
    return WalkList(
        walks=tuple(walks),
        left_out=len(every) - len(walks) - len(unreadable),
        unreadable=tuple(unreadable),
        near=near,
        within_m=None if near is None else within_m,
    )


def _on_days(track: StoredTrack, zone: str, since: date | None, until: date | None) -> bool:
    if since is None and until is None:
        return True
    started, ended = track.summary.started, track.summary.ended
    if started is None or ended is None:
        return False
    first, last = local(started, zone).date(), local(ended, zone).date()
    return (since is None or last >= since) and (until is None or first <= until)


def _box(place: Place, within_m: float) -> tuple[float, float, float, float] | None:
    """West, south, east, north [deg] of a box that surely holds the circle; None near a pole."""
    north_deg = 1.01 * within_m / 110_500.0  # the shortest degree of latitude, and a margin
    south, north = place.latitude_deg - north_deg, place.latitude_deg + north_deg
    if max(abs(south), abs(north)) >= 89.0:
        return None
    widest = math.cos(math.radians(max(abs(south), abs(north))))
    east_deg = north_deg / widest
    if east_deg >= 180.0:
        return None
    west, east = (
        (place.longitude_deg + side + 180.0) % 360.0 - 180.0 for side in (-east_deg, east_deg)
    )
    return west, south, east, north


def _near_m(notebook: Notebook, track: StoredTrack, place: Place) -> float | None:
    from backbearing.models.passing import nearest_approach
    from backbearing.notebook.tracks import load_track

    approach = nearest_approach(
        load_track(notebook, track.id), place.latitude_deg, place.longitude_deg
    )
    return None if approach is None else approach.distance_m


def describe_walk(
    notebook: Notebook, track_id: int, *, within_m: float = PASSED_WITHIN_M
) -> WalkAnswer:
    """What there is to say of one walk.

    within_m: subjects the walk's line came so near to are named.

    Raises NotFound where there is no such track, NotebookError where it cannot be read.
    """
    from backbearing.models import walk
    from backbearing.notebook.settings import get_setting
    from backbearing.notebook.tracks import list_tracks, load_track

    track = load_track(notebook, track_id)
    stored = next(one for one in list_tracks(notebook) if one.id == track_id)
    stored = replace(stored, summary=walk.summarise(track))
    return WalkAnswer(
        track=stored,
        zone=walk_zone(stored, get_setting(notebook, "zone")),
        length_method=walk.LENGTH_METHOD,
        climb_method=walk.CLIMB_METHOD,
        moving_method=walk.MOVING_METHOD,
        stop_method=STOP_METHOD,
        stops=tuple(walk.find_stops(track, within_m=STOP_WITHIN_M, at_least_s=STOP_AT_LEAST_S)),
        gaps=tuple(walk.find_gaps(track)),
        suspects=_suspects(track),
        passed=_passed(notebook, track, within_m),
        passed_within_m=within_m,
        doubts=_doubts(stored),
    )


def _suspects(track: Track) -> tuple[SuspectFix, ...]:
    import numpy as np

    from backbearing.models.choosing import instant
    from backbearing.models.fixes import suspect_fixes

    found: list[SuspectFix] = []
    for number, segment in enumerate(track.segments, start=1):
        for fix in np.flatnonzero(suspect_fixes(segment))[:SUSPECTS_NAMED].tolist():
            time = segment.time[fix]
            found.append(
                SuspectFix(
                    segment=number,
                    fix=fix + 1,
                    when=None if np.isnat(time) else instant(time),
                    latitude_deg=float(segment.latitude_deg[fix]),
                    longitude_deg=float(segment.longitude_deg[fix]),
                )
            )
    return tuple(found[:SUSPECTS_NAMED])


def _passed(notebook: Notebook, track: Track, within_m: float) -> tuple[Passed, ...]:
    from backbearing.models.passing import nearest_approach
    from backbearing.notebook.subjects import list_subjects

    passed = []
    for subject in list_subjects(notebook):
        place = subject.place
        approach = nearest_approach(track, place.latitude_deg, place.longitude_deg)
        if approach is not None and approach.distance_m <= within_m:
            passed.append(
                Passed(
                    subject_id=subject.id,
                    name=subject.name,
                    state=subject.state,
                    distance_m=approach.distance_m,
                    error_m=place.error_m,
                    when=approach.when,
                )
            )
    never = datetime.max.replace(tzinfo=UTC) - timedelta(days=1)
    return tuple(sorted(passed, key=lambda p: (p.when or never, p.distance_m, p.name)))


def _doubts(stored: StoredTrack) -> tuple[str, ...]:
    summary = stored.summary
    doubts = []
    if summary.started is not None and summary.started.year not in BELIEVABLE_YEARS:
        doubts.append(f"its times say the year {summary.started.year}: the clock was not set")
    if summary.started is None:
        doubts.append("it carries no times: a planned walk, or one stripped of them")
    if summary.ascent_m is None:
        doubts.append("it carries no heights")
    return tuple(doubts)
