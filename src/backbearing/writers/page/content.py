"""What the page says, in reading order: the sentence, the cautions, each subject, the walks."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

from backbearing.places.words import bearing_text, metres_text
from backbearing.places.zones import clock_name, clock_text, local, offset_text
from backbearing.writers.page import chart
from backbearing.writers.words import (
    PlaceWords,
    WindowWords,
    day_text,
    duration_text,
    long_day_text,
    place_words,
    window_words,
)

if TYPE_CHECKING:
    from datetime import date, datetime

    from markupsafe import Markup

    from backbearing.plans.page import DrawnTrack, ReturnPage, ReturnSubject
    from backbearing.records import CameraPosition, LightWindow, Note
    from backbearing.writers.page.lines import Ways

SOONEST = 8  # rows in the list of all subjects together
CARES = 4  # subjects whose hindrances stand in the head; the rest stand in their panels
LONGEST_IN_SENTENCE = 60


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
class NoteWords:
    """A note, its lines kept, and what was observed."""

    day: str
    lines: tuple[str, ...]
    observed: str
    source: str


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
    clock: str
    subjects: tuple[SubjectWords, ...]
    soonest: tuple[tuple[SubjectWords, WindowWords], ...]
    cares: tuple[SubjectWords, ...]  # what hinders, that of the answer's subject first
    more_cares: int
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
    soonest = sorted(
        ((w, window) for w in subjects for window in w.windows),
        key=lambda pair: (pair[1].window.start, pair[0].number),
    )
    hindered = sorted(
        (w for w in subjects if w.each.hindered),
        key=lambda w: first is None or w.each.subject.name != first.subject,
    )
    lead, about, subject, after = _sentence(page, subjects, first)
    count = len(subjects)
    title = cut(subjects[0].name) if count == 1 else f"{count} subjects" if count else "No subject"
    return PageWords(
        title=title,
        start=day_text(page.start),
        lead=lead,
        about=about,
        subject=subject,
        after=after,
        best=window_words(first, start=page.start, clock=clock) if first else None,
        clock=_clock_words(page, first),
        subjects=subjects,
        soonest=tuple(soonest[:SOONEST] if count > 1 else soonest),
        cares=tuple(hindered[:CARES]),
        more_cares=len(hindered[CARES:]),
        rests_on=_rests_on(page, first),
        tracks=tuple(_track_words(each, page.zone) for each in page.tracks),
        ground=_ground(page),
        light=_light_answer(page, subjects),
    )


def _rests_on(page: ReturnPage, first: LightWindow | None) -> tuple[str, ...]:
    """What the answer rests on; what is said at length elsewhere in it is said once."""
    every = list(dict.fromkeys([*(first.rests_on if first else ()), *page.assumptions]))
    return tuple(
        text
        for text in every
        if not any(other != text and other.startswith(text) for other in every)
    )


def _sentence(
    page: ReturnPage, subjects: tuple[SubjectWords, ...], first: LightWindow | None
) -> tuple[str, str, str, str]:
    if not page.subjects:
        return (
            "No subject on record yet.",
            "Put one on record with backbearing mark, then make this page again.",
            "",
            "",
        )
    if first is None:
        looked = [each.looked_until for each in page.subjects if each.looked_until]
        if not looked:
            return "No light was looked for:", "all on this page is made or gone.", "", ""
        until = long_day_text(max(looked), year_of=page.start)
        if len(subjects) == 1:
            return (f"No good light up to {until}:", "", cut(subjects[0].name), ".")
        return f"No good light up to {until}", "at any subject on this page.", "", ""
    lasts_min = (first.end - first.start).total_seconds() / 60.0
    doubtful = first.plus_minus_min > lasts_min / 2
    lead = (
        f"{long_day_text(first.day, year_of=page.start)}, {'about ' if doubtful else ''}"
        f"{clock_text(first.start, first.zone)} to {clock_text(first.end, first.zone)},"
    )
    about = f"give or take {_minutes(first.plus_minus_min)}:" if first.plus_minus_min else "for"
    after = ", without sun, under an overcast sky." if first.sky == "overcast" else ""
    if not after:
        after = f", {first.lit_from}." if first.lit_from else "."
    return lead, about, cut(first.subject), after


def _minutes(minutes: float) -> str:
    count = ceil(minutes)
    return f"{count} minute{'' if count == 1 else 's'}"


def _clock_words(page: ReturnPage, first: LightWindow | None) -> str:
    """Which clock the times are of, said once."""
    if first is None:
        return ""
    zones = dict.fromkeys(w.zone for each in page.subjects for w in each.windows)
    name, offset = clock_name(first.zone), offset_text(first.start, first.zone)
    said = f"Clock: {name}."
    if not name.startswith("UTC"):
        said = f"Clock: {name}, {offset} on {day_text(first.day)}."
    if len(zones) > 1:
        others = ", ".join(clock_name(z) for z in zones if z != first.zone)
        said += f" Also {others}, each at its own subjects."
    return said


def _light_answer(page: ReturnPage, subjects: tuple[SubjectWords, ...]) -> str:
    lit = sum(bool(w.windows) for w in subjects)
    if not subjects:
        return "Nothing to look for light at."
    if not lit:
        return "None found; each subject below says why."
    if len(subjects) == 1:
        return f"{subjects[0].light}."
    bare = len(subjects) - lit
    tail = f" None found at {bare} of them; its panel says why." if bare == 1 else ""
    if bare > 1:
        tail = f" None found at {bare} of them; their panels say why."
    return f"The soonest at {lit} of {len(subjects)} subjects.{tail}"


def _ground(page: ReturnPage) -> str:
    counts = [
        (len(page.tracks), "walk"),
        (len(page.routes), "planned route"),
        (len(page.waypoints), "waypoint"),
    ]
    said = [f"{n} {word}{'' if n == 1 else 's'}" for n, word in counts if n]
    if not said:
        return "No walks, routes or waypoints on record here."
    text = ", ".join(said[:-1]) + " and " * (len(said) > 1) + said[-1]
    if page.walks_within_m is not None:
        text += f" within {metres_text(page.walks_within_m)} of the subjects"
    return f"{text[0].upper()}{text[1:]}."


def _subject_words(
    page: ReturnPage, each: ReturnSubject, number: int, clock: str, ways: Ways
) -> SubjectWords:
    from markupsafe import Markup

    subject = each.subject
    name = subject.name.strip() or "unnamed"
    windows = tuple(window_words(w, start=page.start, clock=clock) for w in each.windows)
    if windows:
        light = f"Next good light {windows[0].short}"
    elif each.looked_until is None:
        light = f"{subject.state.capitalize()}; no light was looked for"
    else:
        light = f"No good light up to {day_text(each.looked_until, year_of=page.start)}"
    size = [
        *([f"{metres_text(subject.tall_m)} high"] if subject.tall_m is not None else []),
        *([f"{metres_text(subject.wide_m)} wide"] if subject.wide_m is not None else []),
        *(
            [f"its face looks towards {round(subject.facing_deg) % 360:03d}°"]
            if subject.facing_deg is not None
            else []
        ),
    ]
    return SubjectWords(
        each=each,
        number=number,
        anchor=f"subject-{number}",
        name=name,
        name_and_state=f"{name}, {subject.state}",
        light=light,
        no_light=each.no_light,
        place=place_words(subject.place),
        size=", ".join(size),
        cameras=tuple(_camera_words(camera) for camera in each.cameras),
        notes=tuple(_note_words(note, each.zone) for note in each.notes),
        windows=windows,
        rests_on=tuple(dict.fromkeys(t for w in each.windows for t in w.rests_on)),
        drawing=Markup(chart.close_map(page, each, ways)),  # noqa: S704  built by ElementTree, escaped
    )


def _camera_words(camera: CameraPosition) -> CameraWords:
    measured = [
        *([f"{metres_text(camera.distance_m)} away"] if camera.distance_m is not None else []),
        *([f"top {camera.top_deg:+g}°"] if camera.top_deg is not None else []),
        *([f"foot {camera.foot_deg:+g}°"] if camera.foot_deg is not None else []),
        *([f"left edge {bearing_text(camera.left_edge)}"] if camera.left_edge else []),
        *([f"right edge {bearing_text(camera.right_edge)}"] if camera.right_edge else []),
        *(f"{sight.to} at {bearing_text(sight.bearing)}" for sight in camera.sightings),
    ]
    return CameraWords(
        name=camera.name,
        latitude_deg=camera.place.latitude_deg,
        longitude_deg=camera.place.longitude_deg,
        place=place_words(camera.place),
        bearing=bearing_text(camera.bearing) if camera.bearing else "no bearing on record",
        measured="; ".join(measured).replace("-", "−"),
    )


def _note_words(note: Note, zone: str) -> NoteWords:
    told = note.text.lower()
    more = {
        key: value
        for key, value in sorted(note.observed.items())
        if key not in ("day", "time") and value.lower() not in told
    }
    return NoteWords(
        day=_when(note.written_at, zone),
        lines=tuple(note.text.splitlines()) or ("",),
        observed=", ".join(f"{key}: {value}" for key, value in more.items()),
        source="" if note.source == "typed" else note.source,
    )


def _when(instant: datetime, zone: str) -> str:
    return f"{_day(instant, zone)}, {clock_text(instant, zone, abbreviation=True)}"


def _day(instant: datetime, zone: str) -> str:
    there: date = local(instant, zone).date()
    return day_text(there)


def _track_words(each: DrawnTrack, zone: str) -> TrackWords:
    walk = each.track.summary
    return TrackWords(
        track=each,
        name=each.track.name or f"walk {each.track.id}",
        day=_day(walk.started, zone) if walk.started else "no times",
        length=metres_text(walk.length_m),
        climb="–" if walk.ascent_m is None else f"{walk.ascent_m:.0f} m",
        moving=duration_text(walk.moving_s),
        standing=duration_text(walk.standing_s),
        flagged=str(walk.suspect_fixes) if walk.suspect_fixes else "none",
    )


def cut(name: str, longest: int = LONGEST_IN_SENTENCE) -> str:
    """A name short enough to stand in a sentence; the whole stands in its panel."""
    name = " ".join(name.split()) or "unnamed"
    return name if len(name) <= longest else name[: longest - 1] + "…"
