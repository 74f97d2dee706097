"""What the page says, in reading order: the sentence, the cautions, each subject, the walks."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import zip_longest
from typing import TYPE_CHECKING

from backbearing.places.words import bearing_text, metres_text
from backbearing.places.zones import clock_text, offset_text
from backbearing.plans.soundness import leading
from backbearing.plans.sun import CAUTION
from backbearing.saying import say
from backbearing.writers.frame import fits_not_text
from backbearing.writers.page import chart
from backbearing.writers.page.head import (
    clock_words,
    cut,
    ground,
    light_answer,
    rests_line,
    rests_on,
    sentence,
    why_day,
)
from backbearing.writers.page.noted import (
    LooseWords,
    NoteWords,
    PhotoWords,
    local_day_text,
    loose_words,
    note_words,
    photo_words,
)
from backbearing.writers.subjects import size_words
from backbearing.writers.words import (
    PlaceWords,
    WindowWords,
    day_text,
    duration_text,
    place_words,
    window_words,
)

if TYPE_CHECKING:
    from datetime import datetime

    from markupsafe import Markup

    from backbearing.plans.drawnways import DrawnTrack
    from backbearing.plans.page import ReturnPage, ReturnSubject
    from backbearing.records import CameraPosition
    from backbearing.writers.page.lines import Ways

SOONEST = 8  # rows in the list of all subjects together
IN_THE_WAY = 3  # notes of no subject in the head; the rest stand in their panel
CARES = 4  # subjects whose hindrances stand in the head; the rest stand in their panels


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraWords:
    """A camera position in words."""

    name: str
    latitude_deg: float
    longitude_deg: float
    place: PlaceWords
    bearing: str
    measured: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SubjectWords:
    """A subject in words."""

    each: ReturnSubject
    number: int
    anchor: str
    name: str
    name_and_state: str
    light: str
    no_light: str
    place: PlaceWords
    size: str
    cameras: tuple[CameraWords, ...]
    notes: tuple[NoteWords, ...]
    photos: tuple[PhotoWords, ...]
    windows: tuple[WindowWords, ...]
    rests_on: tuple[str, ...]
    drawing: Markup


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackWords:
    """A walk in words."""

    track: DrawnTrack
    name: str
    day: str
    length: str
    climb: str
    moving: str
    standing: str
    flagged: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PageWords:
    """The whole page in words."""

    title: str
    start: str
    lead: str  # the answer, in bold
    about: str  # the rest of the sentence up to the subject's name
    subject: str
    after: str
    best: WindowWords | None
    why_day: str
    caution: str  # of the eyes, where a window listed has the sun near the camera's line
    clock: str
    subjects: tuple[SubjectWords, ...]
    soonest: tuple[tuple[SubjectWords, WindowWords], ...]
    against: bool  # whether any window listed says what stands behind
    cares: tuple[SubjectWords, ...]  # what hinders, that of the answer's subject first
    more_cares: int
    fits_not: str  # that the plate does not hold the subject of the answer, and how much of it
    loose: tuple[LooseWords, ...]
    in_the_way: tuple[LooseWords, ...]  # those of them that say something is blocked
    rests_line: str
    rests_on: tuple[str, ...]
    tracks: tuple[TrackWords, ...]
    ground: str  # the map's answer
    light: str  # the answer over the list of windows


def page_words(page: ReturnPage, ways: Ways) -> PageWords:
    """Put a page into words."""
    first = page.next_light
    clock = offset_text(first.start, first.zone) if first else ""
    subjects = tuple(
        _subject_words(page, each, number, clock, ways)
        for number, each in enumerate(page.subjects, 1)
    )
    soonest = _soonest(subjects)
    hindered = sorted(
        (w for w in subjects if w.each.hindered),
        key=lambda w: first is None or w.each.subject.name != first.subject,
    )
    loose = tuple(
        loose_words(note, page.zone, number) for number, note in enumerate(page.loose_notes, 1)
    )
    lead, about, subject, after = sentence(page, subjects, first)
    best = next((w for each in subjects for w in each.windows if w.window is first), None)
    rested = rests_on(page, first)
    count = len(subjects)
    title = (
        cut(subjects[0].name)
        if count == 1
        else say("{count} subjects", count=count)
        if count
        else say("No subject")
    )
    return PageWords(
        title=title,
        start=_start_text(page),
        lead=lead,
        about=about,
        subject=subject,
        after=after,
        best=best,
        why_day=why_day(page, best),
        caution=say(CAUTION) if any(w.near_line for each in subjects for w in each.windows) else "",
        clock=clock_words(page, first),
        subjects=subjects,
        soonest=soonest,
        against=any(row.behind for _, row in soonest),
        cares=tuple(hindered[:CARES]),
        more_cares=len(hindered[CARES:]),
        fits_not=_fits_not(page),
        loose=loose,
        in_the_way=_in_the_way(loose),
        rests_line=rests_line(rested),
        rests_on=rested,
        tracks=tuple(_track_words(each, page.zone) for each in page.tracks),
        ground=ground(page),
        light=light_answer(page, subjects, len({w.number for w, _ in soonest})),
    )


def _fits_not(page: ReturnPage) -> str:
    """Of the subject that leads, or of the planned day's: what of it the plate does not hold."""
    lead = page.next_light
    name = page.outing.subject if page.outing else lead.subject if lead else ""
    for each in page.tripod.pictures if page.tripod else ():
        if each.frame is not None and each.subject == name:
            return fits_not_text(each.frame)
    return ""


def _start_text(page: ReturnPage) -> str:
    """The day from which light was looked for, and the time where that is in the midst of it."""
    if page.earliest_at is None:
        return day_text(page.start)
    return f"{day_text(page.start)}, {clock_text(page.earliest_at, page.zone)}"


def _soonest(
    subjects: tuple[SubjectWords, ...],
) -> tuple[tuple[SubjectWords, WindowWords], ...]:
    """Windows of all subjects by time: that which leads at each, then the soonest of the rest."""

    def by_time(pair: tuple[SubjectWords, WindowWords]) -> tuple[datetime, int]:
        return pair[1].window.start, pair[0].number

    every = sorted(((w, row) for w in subjects for row in w.windows), key=by_time)
    if len(subjects) < 2:
        return tuple(every)
    chosen = {id(leading(w.each.windows)) for w in subjects}
    leads = [pair for pair in every if id(pair[1].window) in chosen]
    rest = [pair for pair in every if id(pair[1].window) not in chosen]
    kept = [*leads[:SOONEST], *rest[: max(0, SOONEST - len(leads))]]
    return tuple(sorted(kept, key=by_time))


def _in_the_way(loose: tuple[LooseWords, ...]) -> tuple[LooseWords, ...]:
    """The latest notes of no subject that say something is blocked, and where."""
    blocked = [n for n in loose if n.place and "blocked" in " ".join(n.lines).lower()]
    return tuple(reversed(blocked[-IN_THE_WAY:]))


def _subject_words(
    page: ReturnPage, each: ReturnSubject, number: int, clock: str, ways: Ways
) -> SubjectWords:
    from markupsafe import Markup

    subject = each.subject
    name = subject.name.strip() or say("unnamed")
    windows = tuple(
        window_words(
            window,
            start=page.start,
            clock=clock,
            camera=window.camera_position if len(each.cameras) > 1 else "",
            near_line=bool(near),
            behind=said or "",
            declination_deg=each.declination_deg,
        )
        for window, near, said in zip_longest(
            each.windows,
            each.sun_near_line[: len(each.windows)],
            each.behind[: len(each.windows)],
        )
    )
    lead = leading(each.windows)
    if lead:
        light = say(
            "Next good light {short}", short=next(w for w in windows if w.window is lead).short
        )
    elif each.looked_until is None:
        light = say("{state}; no light was looked for", state=subject.state.capitalize())
    else:
        light = say(
            "No good light up to {looked_until}",
            looked_until=day_text(each.looked_until, year_of=page.start),
        )
    return SubjectWords(
        each=each,
        number=number,
        anchor=f"subject-{number}",
        name=name,
        name_and_state=f"{name}, {subject.state}",
        light=light,
        no_light=each.no_light,
        place=place_words(subject.place),
        size=size_words(subject, each.tall_error_m),
        cameras=tuple(_camera_words(camera) for camera in each.cameras),
        notes=tuple(note_words(note, each.zone) for note in each.notes),
        photos=tuple(photo_words(photo) for photo in each.photos),
        windows=windows,
        rests_on=tuple(dict.fromkeys(t for w in each.windows for t in w.rests_on)),
        drawing=Markup(chart.close_map(page, each, ways)),  # noqa: S704  built by ElementTree, escaped
    )


def _camera_words(camera: CameraPosition) -> CameraWords:
    measured = [
        *(
            [say("{distance} away", distance=metres_text(camera.distance_m))]
            if camera.distance_m is not None
            else []
        ),
        *([say("top {top_deg:+g}°", top_deg=camera.top_deg)] if camera.top_deg is not None else []),
        *(
            [say("foot {foot_deg:+g}°", foot_deg=camera.foot_deg)]
            if camera.foot_deg is not None
            else []
        ),
        *(
            [say("left edge {left_edge}", left_edge=bearing_text(camera.left_edge))]
            if camera.left_edge
            else []
        ),
        *(
            [say("right edge {right_edge}", right_edge=bearing_text(camera.right_edge))]
            if camera.right_edge
            else []
        ),
        *(
            say("{to} at {bearing}", to=sight.to, bearing=bearing_text(sight.bearing))
            for sight in camera.sightings
        ),
    ]
    return CameraWords(
        name=camera.name,
        latitude_deg=camera.place.latitude_deg,
        longitude_deg=camera.place.longitude_deg,
        place=place_words(camera.place),
        bearing=bearing_text(camera.bearing) if camera.bearing else say("no bearing on record"),
        measured="; ".join(measured).replace("-", "−"),
    )


def _track_words(each: DrawnTrack, zone: str) -> TrackWords:
    walk = each.track.summary
    return TrackWords(
        track=each,
        name=each.track.name or say("walk {track_id}", track_id=each.track.id),
        day=local_day_text(walk.started, zone) if walk.started else say("no times"),
        length=metres_text(walk.length_m),
        climb="–" if walk.ascent_m is None else f"{walk.ascent_m:.0f} m",
        moving=duration_text(walk.moving_s),
        standing=duration_text(walk.standing_s),
        flagged=str(walk.suspect_fixes) if walk.suspect_fixes else say("none"),
    )
