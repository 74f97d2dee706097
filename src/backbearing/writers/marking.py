"""What `mark` and `note` put on record, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.coordinates import decimal_text
from backbearing.places.words import bearing_text, error_text
from backbearing.writers.text import clean

if TYPE_CHECKING:
    from datetime import date

    from backbearing.plans.marking import MarkAnswer
    from backbearing.records import CameraPosition, Note, Place, Subject


def mark_text(answer: MarkAnswer) -> str:
    """The subject as it is now on record, its position and error, and all that was assumed."""
    subject, camera = answer.subject, answer.camera_position
    if answer.new:
        head = f"{subject.name}: on record as {subject.state}"
    else:
        head = f"{subject.name}: camera position '{camera.name if camera else ''}' added"
    rows = [*(_heads(subject)), ("position", place_text(subject.place))]
    rows += _subject_rows(subject)
    if camera is not None:
        rows += _camera_rows(camera, subject, answer.on)
    if answer.note is not None:
        rows.append(("note", answer.note.text))
    lines = [clean(head), *labelled(rows)]
    if answer.assumed:
        lines.append("Worked out or assumed:")
        lines += [f"  {clean(sentence)}" for sentence in answer.assumed]
    return "\n".join(lines)


def note_text(subject: Subject, note: Note, zone: str) -> str:
    """One line: what was noted of which subject, and when on the clock there."""
    from backbearing.places.zones import clock_text, local

    when = f"{local(note.written_at, zone):%Y-%m-%d} "
    when += clock_text(note.written_at, zone, abbreviation=True)
    return clean(f"{subject.name}: noted at {when}: {note.text}")


def labelled(rows: list[tuple[str, str]]) -> list[str]:
    """Rows of a label and its text, the texts under one another."""
    width = max((len(label) for label, _ in rows), default=0)
    return [f"  {label:<{width}}  {clean(text)}".rstrip() for label, text in rows]


def place_text(place: Place) -> str:
    """A position with its error and what that rests on."""
    where = decimal_text(place.latitude_deg, place.longitude_deg)
    source = "" if place.source in ("", "typed") else f"  {place.source}"
    return f"{where}{source}  {error_text(place)}"


def _heads(subject: Subject) -> list[tuple[str, str]]:
    """What stopped me and what to change stand first, wherever a subject is shown."""
    return [
        (label, text)
        for label, text in (("blocked", subject.blocked), ("next time", subject.next_time))
        if text
    ]


def _subject_rows(subject: Subject) -> list[tuple[str, str]]:
    rows = []
    if subject.words:
        rows.append(("words", subject.words))
    sizes = [
        f"{value:.1f} m {label}"
        for label, value in (("tall", subject.tall_m), ("wide", subject.wide_m))
        if value is not None
    ]
    if sizes:
        rows.append(("size", ", ".join(sizes)))
    if subject.facing_deg is not None:
        rows.append(("faces", f"{subject.facing_deg:.0f}° true"))
    return rows


def _camera_rows(camera: CameraPosition, subject: Subject, on: date) -> list[tuple[str, str]]:
    same = camera.place == subject.place
    where = "at the same place" if same else place_text(camera.place)
    rows = [("camera", f"'{camera.name}', {where}")]
    if camera.bearing is not None:
        rows.append(("bearing", f"camera to subject {bearing_text(camera.bearing, on)}"))
    else:
        rows.append(("bearing", "not known: which light it has cannot be told without one"))
    if camera.distance_m is not None:
        rows.append(("distance", f"{camera.distance_m:g} m"))
    angles = [
        f"{label} {value:g}°"
        for label, value in (("top", camera.top_deg), ("foot", camera.foot_deg))
        if value is not None
    ]
    if angles:
        rows.append(("angles", ", ".join(angles)))
    for label, edge in (("left edge", camera.left_edge), ("right edge", camera.right_edge)):
        if edge is not None:
            rows.append((label, bearing_text(edge, on)))
    return rows + [
        ("sighting", f"{sighting.to} {bearing_text(sighting.bearing, on)}")
        for sighting in camera.sightings
    ]
