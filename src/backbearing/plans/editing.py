"""Changing what is on record of a subject: only what is given changes, and each change is said."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from datetime import UTC, date
from typing import TYPE_CHECKING, Literal, cast

from backbearing.errors import BadInput, quoted
from backbearing.places.lengths import FARTHEST_CAMERA_M, LONGEST_M, read_angle, read_length
from backbearing.plans.differences import camera_differences, differences
from backbearing.plans.locate import locate, today
from backbearing.plans.marking import LONGEST_TEXT, usable_name
from backbearing.plans.marking.moving import moved_along
from backbearing.records import (
    POSITION_ERROR_M,
    Bearing,
    CameraPosition,
    Place,
    SkyOpenness,
    Subject,
    SubjectState,
)

if TYPE_CHECKING:
    from backbearing.notebook import Notebook

NONE_WORD = "none"  # takes a value off the record


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """What to change, in the words it was given in; None leaves a thing as it is.

    'none' takes a measured value off the record, '' empties a text. camera_position: which one
    the bearing, distance, angles and `camera_at` belong to; needed where there are several.
    """

    name: str | None = None
    state: SubjectState | None = None
    at: str | None = None
    error: str | None = None
    sky: SkyOpenness | None = None
    words: str | None = None
    tall: str | None = None
    wide: str | None = None
    facing: str | None = None
    at_water: bool | None = None
    blocked: str | None = None
    next_time: str | None = None
    camera_position: str | None = None
    camera_at: str | None = None
    bearing: str | None = None
    bearing_error: str | None = None
    instrument: str | None = None
    distance: str | None = None
    measured: Literal["taped", "paced"] | None = None
    top: str | None = None
    foot: str | None = None

    @property
    def at_camera(self) -> bool:
        """Whether anything is to change that belongs to a camera position."""
        return any(
            value is not None
            for value in (self.camera_at, self.bearing, self.distance, self.top, self.foot)
        )

    @property
    def of_measuring(self) -> str:
        """The option given that says how something was measured, '' where none is."""
        for option, value in (
            ("--camera-position", self.camera_position),
            ("--instrument", self.instrument),
            ("--bearing-error", self.bearing_error),
            ("--measured", self.measured),
        ):
            if value is not None:
                return option
        return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class EditAnswer:
    """The subject as it now is, what changed and what was assumed, as clauses."""

    subject: Subject
    changed: tuple[str, ...]
    assumed: tuple[str, ...]


def edit(notebook: Notebook, name: str, changes: Changes, *, on: date | None = None) -> EditAnswer:
    """Change the subject of this name; all of it or nothing.

    on: the day on which a magnetic bearing was taken; default the day of the record.
    Raises NotFound for an unknown name, BadInput where nothing is to change, a value cannot be
    read, the new name is taken, or it is not clear which camera position is meant.
    """
    from backbearing.notebook.subjects import (
        add_camera_position,
        find_subject,
        update_camera_position,
        update_subject,
    )

    if all(getattr(changes, field.name) is None for field in fields(changes)):
        raise BadInput("nothing to change is given", remedy="add an option; --help lists them")
    assumed: list[str] = []
    with notebook.writing():
        before = find_subject(notebook, name)
        day = on or (before.marked_at.astimezone(UTC).date() if before.marked_at else today())
        after = _subject(notebook, before, changes, day)
        camera_before, camera_after = None, None
        if changes.at_camera:
            camera_before = _camera_meant(notebook, before, changes.camera_position)
            camera = camera_before or _new_camera(before, changes, assumed)
            camera_after = _camera(notebook, camera, changes, day, assumed)
            if changes.at is None:
                moved = moved_along(after.place, camera, camera_after, changes.measured)
                after = replace(after, place=moved)
            if camera_before is None:
                add_camera_position(notebook, camera_after)
            else:
                update_camera_position(notebook, camera_after)
        elif changes.of_measuring:
            raise BadInput(
                "no bearing, distance or angle to change is given", where=changes.of_measuring
            )
        update_subject(notebook, after)
    said = differences(before, after)
    if camera_after is not None:
        said += camera_differences(camera_before, camera_after)
    return EditAnswer(subject=after, changed=tuple(said), assumed=tuple(assumed))


# ---------------------------------------------------------------- the subject itself


def _subject(notebook: Notebook, subject: Subject, changes: Changes, day: date) -> Subject:
    for option, text in (
        ("--words", changes.words),
        ("--blocked", changes.blocked),
        ("--next-time", changes.next_time),
    ):
        if text is not None and len(text) > LONGEST_TEXT:
            raise BadInput(f"longer than {LONGEST_TEXT} characters", where=option)
    return replace(
        subject,
        name=subject.name if changes.name is None else usable_name(changes.name, where="--name"),
        state=changes.state or subject.state,
        words=subject.words if changes.words is None else changes.words,
        blocked=subject.blocked if changes.blocked is None else changes.blocked,
        next_time=subject.next_time if changes.next_time is None else changes.next_time,
        place=_place(notebook, subject.place, changes, day),
        tall_m=_length_or(subject.tall_m, changes.tall, "--tall"),
        wide_m=_length_or(subject.wide_m, changes.wide, "--wide"),
        facing_deg=_facing_or(subject, changes.facing, day),
        at_water=subject.at_water if changes.at_water is None else changes.at_water,
    )


def _place(notebook: Notebook, place: Place, changes: Changes, day: date) -> Place:
    from backbearing.places.coordinates import SKY_WORDS

    error_m = None if changes.error is None else read_length(changes.error, where="--error")
    if changes.at is not None:
        return locate(notebook, changes.at, sky=changes.sky, error_m=error_m, on=day).place
    if error_m is not None:
        return replace(place, error_m=error_m, error_basis="given")
    if changes.sky is not None:
        return replace(
            place, error_m=POSITION_ERROR_M[changes.sky], error_basis=SKY_WORDS[changes.sky]
        )
    return place


def _length_or(
    old_m: float | None, text: str | None, where: str, *, most_m: float = LONGEST_M
) -> float | None:
    if text is None:
        return old_m
    if _is_none(text):
        return None
    length_m = read_length(text, where=where, most_m=most_m)
    if length_m == 0:
        raise BadInput(
            f"{quoted(text)} has no length", where=where, remedy="'none' takes it off the record"
        )
    return length_m


def _facing_or(subject: Subject, text: str | None, day: date) -> float | None:
    if text is None:
        return subject.facing_deg
    return (
        None
        if _is_none(text)
        else _read_bearing(text, subject.place, day, where="--facing").true_deg
    )


def _is_none(text: str) -> bool:
    return text.strip().lower() == NONE_WORD


def _read_bearing(
    text: str,
    stood: Place,
    day: date,
    instrument: str | None = None,
    error: str | None = None,
    where: str = "--bearing",
) -> Bearing:
    from backbearing.places.bearings import Instrument, read_bearing

    error_deg = None
    if error is not None:
        error_deg = read_angle(error, where="--bearing-error", low_deg=0.0, high_deg=180.0)
    return read_bearing(
        text,
        latitude_deg=stood.latitude_deg,
        longitude_deg=stood.longitude_deg,
        height_m=stood.height_m,
        on=day,
        instrument=cast("Instrument | None", instrument),
        error_deg=error_deg,
        where=where,
    )


# ---------------------------------------------------------------- its camera positions


def _camera_meant(notebook: Notebook, subject: Subject, name: str | None) -> CameraPosition | None:
    """The camera position to change; None where the subject has none yet."""
    from backbearing.notebook.subjects import list_camera_positions

    known = list_camera_positions(notebook, subject.id)
    if name is not None:
        return camera_of_name(known, subject, name)
    if len(known) > 1:
        listed = ", ".join(quoted(camera.name) for camera in known[:5])
        raise BadInput(
            f"{quoted(subject.name)} has {len(known)} camera positions ({listed})",
            where="--camera-position",
            remedy="say which one",
        )
    return known[0] if known else None


def camera_of_name(
    known: list[CameraPosition], subject: Subject, name: str, *, where: str = "--camera-position"
) -> CameraPosition:
    """The camera position of this name among a subject's. Raises BadInput where there is none."""
    from backbearing.notebook.names import name_key

    for camera in known:
        if name_key(camera.name) == name_key(name):
            return camera
    listed = ", ".join(quoted(camera.name) for camera in known[:5]) or "none"
    raise BadInput(
        f"{quoted(subject.name)} has no camera position {quoted(name)} (on record: {listed})",
        where=where,
        remedy="'backbearing mark' adds one",
    )


def _new_camera(subject: Subject, changes: Changes, assumed: list[str]) -> CameraPosition:
    """A first camera position, for a bearing known before anything else is."""
    if changes.camera_at is None:
        if changes.distance is not None:
            raise BadInput(
                f"{quoted(subject.name)} has no camera position to measure a distance from",
                where="--distance",
                remedy="say where the camera stands with --camera-at",
            )
        assumed.append("the camera position was put where the subject is")
    return CameraPosition(place=subject.place, subject_id=subject.id)


def _camera(
    notebook: Notebook, camera: CameraPosition, changes: Changes, day: date, assumed: list[str]
) -> CameraPosition:
    place = camera.place
    if changes.camera_at is not None:
        place = locate(notebook, changes.camera_at, sky=changes.sky, on=day).place
    bearing = camera.bearing
    if changes.bearing is not None and _is_none(changes.bearing):
        bearing = None
    elif changes.bearing is not None:
        bearing = _read_bearing(
            changes.bearing, place, day, changes.instrument, changes.bearing_error
        )
        if bearing.basis != "given":
            basis = bearing.basis.replace("assumed: ", "")
            assumed.append(f"bearing {bearing.as_written}: {basis}")
        if bearing.declination_deg is not None:
            assumed.append(f"declination of {day.isoformat()}; --date names another day")

    def angle_or(old_deg: float | None, text: str | None, where: str) -> float | None:
        if text is None:
            return old_deg
        if _is_none(text):
            return None
        return read_angle(text, where=where, low_deg=-89.0, high_deg=89.0)

    top_deg = angle_or(camera.top_deg, changes.top, "--top")
    foot_deg = angle_or(camera.foot_deg, changes.foot, "--foot")
    if top_deg is not None and foot_deg is not None and not top_deg > foot_deg:
        raise BadInput(
            f"the top at {top_deg:g}° does not lie above the foot at {foot_deg:g}°",
            where="--top" if changes.top is not None else "--foot",
            remedy="angles below the level are negative",
        )
    return replace(
        camera,
        place=place,
        bearing=bearing,
        distance_m=_length_or(
            camera.distance_m, changes.distance, "--distance", most_m=FARTHEST_CAMERA_M
        ),
        top_deg=top_deg,
        foot_deg=foot_deg,
    )
