"""Putting a subject on record: where it is, from where it is seen, and all that is known of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING

from backbearing.errors import JOINERS, BadInput, quoted
from backbearing.notebook.names import name_key
from backbearing.plans.locate import locate, means_a_place, today
from backbearing.plans.marking.measuring import Measured, Written, measure
from backbearing.records import (
    CameraPosition,
    Note,
    Place,
    SkyOpenness,
    Subject,
    SubjectState,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.notebook import Notebook

LONGEST_NAME = 200  # characters
LONGEST_TEXT = 20_000
SAID = ("words", "blocked", "next_time", "note")


@dataclass(frozen=True, slots=True, kw_only=True)
class Remarks:
    """What is said of a subject rather than measured; None or '' where nothing is."""

    state: SubjectState | None = None
    words: str = ""
    blocked: str = ""
    next_time: str = ""
    note: str = ""
    at_water: bool = False  # on the lowest ground within its error


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkAnswer:
    """A subject as it is now on record, and everything that was assumed on the way.

    new: False where only a camera position was added.
    on: the day of the record, on which magnetic bearings were made true.
    """

    subject: Subject
    camera_position: CameraPosition | None
    note: Note | None
    new: bool
    on: date
    assumed: tuple[str, ...]


def mark(
    notebook: Notebook,
    name: str,
    at: str,
    *,
    written: Written | None = None,
    remarks: Remarks | None = None,
    subject_at: str | None = None,
    camera_position: str | None = None,
    sky: SkyOpenness | None = None,
    error_m: float | None = None,
    on: date | None = None,
    now: datetime | None = None,
) -> MarkAnswer:
    """Put a new subject on record, or a further camera position of one that is.

    at: the place, as `plans.locate` reads it: where the camera stands if anything was measured
        from it (a bearing, a distance, angles), else the subject itself.
    subject_at: the subject's own place, where it is known apart from the camera's.
    camera_position: the name of a camera position to add to the subject of that name.
    sky, error_m: how open the sky was at `at`, or its 95 % radius [m].
    on: the day of the record, kept with it (at midday, where no time is known); default the day
        of the track time or waypoint, else today.

    Raises BadInput where a value cannot be read or the name is taken, NotFound where a place or
    (with `camera_position`) the subject is not on record. Nothing is stored then.
    """
    written, remarks = written or Written(), remarks or Remarks()
    name = usable_name(name)
    if error_m is not None and not (math.isfinite(error_m) and error_m >= 0):
        raise BadInput("the position error is no length", where="--error")
    for field, text in (
        ("--words", remarks.words),
        ("--blocked", remarks.blocked),
        ("--next-time", remarks.next_time),
        ("--note", remarks.note),
    ):
        if len(text) > LONGEST_TEXT:
            raise BadInput(f"longer than {LONGEST_TEXT} characters", where=field)
    instant = now or datetime.now(UTC)
    with notebook.writing():
        located = locate(notebook, at, sky=sky, error_m=error_m, on=on)
        day = on or (located.when.date() if located.when else now.date() if now else today())
        if camera_position is None:
            _check_name_is_free(notebook, name)
            known, camera_name = None, "main"
            other = locate(notebook, subject_at, on=day).place if subject_at else None
        else:
            known = _to_add_to(notebook, name, remarks, subject_at)
            camera_name = usable_name(
                camera_position, where="--camera-position", what="camera position"
            )
            other = known.place
        measured = measure(
            located.place, written, on=day, subject_at=other, camera_name=camera_name, where="--"
        )
        made_at = located.when or _on_day(notebook, on, measured.place, instant)
        subject = known or _new_subject(name, remarks, measured, made_at)
        return _store(
            notebook,
            filled_in(subject, measured),
            measured.camera
            or (CameraPosition(name=camera_name, place=located.place) if known else None),
            Note(text=remarks.note, written_at=instant if known and not on else made_at),
            MarkAnswer(
                subject=subject,
                camera_position=None,
                note=None,
                new=known is None,
                on=day,
                assumed=measured.assumed,
            ),
        )


def mark_as_written(
    notebook: Notebook,
    name: str,
    at: str,
    *,
    sky: SkyOpenness | None,
    error: str | None,
    subject_at: str | None,
    camera_position: str | None,
    state: SubjectState | None,
    day: str | None,
    at_water: bool = False,
    now: datetime | None = None,
    **texts: str | Sequence[str] | None,
) -> MarkAnswer:
    """`mark` for options as they are typed: `texts` by the names of Written's and Remarks' fields.

    Raises as `mark` does.
    """
    from backbearing.places.clocks import read_day
    from backbearing.places.lengths import read_length

    known = {option: value for option, value in texts.items() if value}
    said = {option: str(known.pop(option, "")) for option in SAID}
    sightings = tuple(text for text in known.pop("sighting", ()) if text.strip())
    for edge in ("left", "right"):
        known[f"{edge}_edge"] = known.pop(edge, "")
    return mark(
        notebook,
        name,
        at,
        written=Written(sightings=sightings, **{k: str(v) for k, v in known.items()}),
        remarks=Remarks(state=state, at_water=at_water, **said),
        subject_at=subject_at,
        camera_position=camera_position,
        sky=sky,
        error_m=read_length(error, where="--error") if error else None,
        on=read_day(day, latest=today(), where="--date") if day else None,
        now=now,
    )


def usable_name(name: str, *, where: str = "name", what: str = "subject") -> str:
    """A name on single spaces.

    Raises BadInput where it is empty, overlong, unprintable or, for a subject, reads as a place.
    """
    written = " ".join(name.split())
    if not name_key(written):
        raise BadInput(f"a {what} needs a name", where=where, remedy="give one, as 'winding house'")
    if len(written) > LONGEST_NAME:
        raise BadInput(f"longer than {LONGEST_NAME} characters", where=where, remedy="shorten it")
    if not all(ch.isprintable() or ch in JOINERS for ch in written):
        raise BadInput(
            f"{quoted(written)} holds a character that cannot be printed",
            where=where,
            remedy="type it anew",
        )
    if what == "subject" and means_a_place(written):
        raise BadInput(
            f"{quoted(written)} reads as a place, so it cannot be the name of a {what}",
            where=where,
            remedy="name what stands there, as 'winding house'",
        )
    return written


def _on_day(notebook: Notebook, on: date | None, place: Place, instant: datetime) -> datetime:
    """Midday of that day on the clock there, when a record's time is not known; else now."""
    from backbearing.places.zones import local, zone, zone_name
    from backbearing.plans.settings import zone_setting

    if on is None:
        return instant
    there = zone_name(place.latitude_deg, place.longitude_deg, zone_setting(notebook))
    if on == local(instant, there).date():
        return instant
    return datetime.combine(on, time(12), zone(there)).astimezone(UTC)


def _check_name_is_free(notebook: Notebook, name: str) -> None:
    from backbearing.notebook.subjects import list_subjects

    for subject in list_subjects(notebook):
        if name_key(subject.name) == name_key(name):
            raise BadInput(
                f"{quoted(subject.name)} is already on record",
                where="name",
                remedy="change it with 'backbearing edit', choose another name, or add a place to "
                "see it from with --camera-position NAME",
            )


def _to_add_to(notebook: Notebook, name: str, remarks: Remarks, subject_at: str | None) -> Subject:
    """The subject that gets a further camera position. Raises BadInput where more is to change."""
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    given = [
        option
        for option, value in (
            ("--state", remarks.state),
            ("--at-water", remarks.at_water),
            ("--words", remarks.words),
            ("--blocked", remarks.blocked),
            ("--next-time", remarks.next_time),
            ("--subject-at", subject_at),
        )
        if value
    ]
    if given:
        raise BadInput(
            f"{' and '.join(given)} would change {quoted(subject.name)} itself",
            where="--camera-position",
            remedy="leave it out here and use 'backbearing edit'",
        )
    return subject


def _new_subject(name: str, remarks: Remarks, measured: Measured, marked_at: datetime) -> Subject:
    return Subject(
        name=name,
        place=measured.place,
        state=remarks.state or "seen",
        words=remarks.words,
        blocked=remarks.blocked,
        next_time=remarks.next_time,
        at_water=remarks.at_water,
        marked_at=marked_at,
    )


def _store(
    notebook: Notebook,
    subject: Subject,
    camera: CameraPosition | None,
    note: Note,
    answer: MarkAnswer,
) -> MarkAnswer:
    """Write what is new or changed; the answer with what is now on record."""
    from backbearing.notebook.subjects import (
        add_camera_position,
        add_note,
        add_subject,
        update_subject,
    )

    if answer.new:
        subject = add_subject(notebook, subject)
    if camera is not None:
        camera = add_camera_position(notebook, replace(camera, subject_id=subject.id))
    if not answer.new and subject != answer.subject:
        update_subject(notebook, subject)
    noted = None
    if note.text.strip():
        noted = add_note(notebook, replace(note, subject_id=subject.id))
    return replace(answer, subject=subject, camera_position=camera, note=noted)


def filled_in(subject: Subject, measured: Measured) -> Subject:
    """The subject with what was not known of its size and facing; what was known stays."""
    return replace(
        subject,
        tall_m=measured.tall_m if subject.tall_m is None else subject.tall_m,
        wide_m=measured.wide_m if subject.wide_m is None else subject.wide_m,
        facing_deg=measured.facing_deg if subject.facing_deg is None else subject.facing_deg,
    )
