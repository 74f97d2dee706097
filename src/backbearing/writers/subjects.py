"""Subjects in words: the list, and one subject with all that is known of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.words import (
    bearing_text,
    degrees_text,
    error_text,
    metres_text,
    size_text,
    whole_error_m,
)
from backbearing.saying import phrase, say, say_n
from backbearing.writers.photos import shown_lines
from backbearing.writers.plates import plate_line
from backbearing.writers.text import clean, table

if TYPE_CHECKING:
    from collections.abc import Iterable

    from backbearing.plans.discarding import BinAnswer, Discarded
    from backbearing.plans.editing import EditAnswer
    from backbearing.plans.loosenotes import LooseNote
    from backbearing.plans.settings import Reread, Setting
    from backbearing.plans.subjects import SubjectAnswer, SubjectList
    from backbearing.records import CameraPosition, Note, Place, Subject

_LABEL_WIDTH = 11
_LOOSE_SHOWN = 20
NO_WISH = phrase("none on record; 'light' takes a generic one and says so")


def subjects_text(answer: SubjectList) -> str:
    """The list of subjects, one a line, then the loose notes; '' where there is nothing."""
    parts = [_list_text(answer)] if answer.subjects else []
    if answer.loose_notes:
        count = len(answer.loose_notes)
        shown = answer.loose_notes[-_LOOSE_SHOWN:]
        head = say("notes that belong to no subject")
        if len(shown) < count:
            head += say(
                ", the last {shown} of {count} (--json has them all)", shown=len(shown), count=count
            )
        parts.append("\n".join([head, *(_loose_words(each, answer.zone) for each in shown)]))
    return "\n\n".join(parts)


def _loose_words(each: LooseNote, zone: str) -> str:
    """A note without a subject: its words, then where it was written."""
    from backbearing.places.coordinates import decimal_text
    from backbearing.places.zones import local

    note, place = each.note, each.place
    if place is None:
        where = (
            say("no place: {missing}", missing=each.missing) if each.missing else say("no place")
        )
    else:
        where = decimal_text(place.latitude_deg, place.longitude_deg)
        where += f" ± {whole_error_m(place.error_m)} m"
        where += f", {place.source}" if place.source else ""
    source = "" if note.source in ("", "typed") else f" ({note.source})"
    day = local(note.written_at, zone).date().isoformat()
    return f"  {day}  {clean(note.text + source)}\n              {clean(where)}"


def _list_text(answer: SubjectList) -> str:
    from backbearing.places.coordinates import decimal_text

    rows = (
        (
            subject.name,
            subject.state + (say(", blocked") if subject.blocked else ""),
            decimal_text(subject.place.latitude_deg, subject.place.longitude_deg),
            str(whole_error_m(subject.place.error_m)),
            subject.words,
        )
        for subject in answer.subjects
    )
    return table(
        (say("subject"), say("state"), say("latitude, longitude"), "± m", say("words")),
        rows,
        right=(3,),
    )


def subject_text(answer: SubjectAnswer) -> str:
    """One subject: what stopped me and what to change, then all else that is on record."""
    subject = answer.subject
    lines = []
    if subject.blocked:
        lines.append(_line("blocked", subject.blocked))
    if subject.next_time:
        lines.append(_line(say("next time"), subject.next_time))
    if lines:
        lines.append("")
    lines.append(clean(subject.name))
    lines.append(_line("state", _state_words(subject, answer.zone)))
    if subject.words:
        lines.append(_line("words", subject.words))
    lines += _labelled("place", _place_lines(subject.place, answer.place_texts))
    size = size_words(subject, answer.tall_error_m)
    if size:
        lines.append(_line("size", size))
    lines.append(_line("light", answer.wanted_light or say(NO_WISH)))
    for camera, light in zip(answer.camera_positions, answer.position_light, strict=True):
        lines += [
            "",
            say("camera position {camera}", camera=clean(camera.name)),
            *_camera_lines(camera),
        ]
        if light:
            lines.append(_line(say("  light"), light))
    if answer.plates:
        lines += ["", "plates", *(plate_line(each) for each in answer.plates)]
    if answer.notes:
        lines += [
            "",
            "notes",
            *(line for n in answer.notes for line in _note_lines(n, answer.zone)),
        ]
    if answer.photos:
        lines += ["", "photos", *shown_lines(answer.photos)]
    return "\n".join(lines)


def _line(label: str, text: str) -> str:
    return f"{label:<{_LABEL_WIDTH}}{clean(text)}"


def _labelled(label: str, texts: Iterable[str]) -> list[str]:
    return [_line(label if i == 0 else "", text) for i, text in enumerate(texts)]


def _state_words(subject: Subject, zone: str) -> str:
    from backbearing.places.zones import clock_text, local

    if subject.marked_at is None:
        return subject.state
    day = local(subject.marked_at, zone).date().isoformat()
    clock = clock_text(subject.marked_at, zone, abbreviation=True)
    return say("{state}, marked {day} {clock}", state=say(subject.state), day=day, clock=clock)


def _place_lines(place: Place, texts: dict[str, str]) -> list[str]:
    lines = list(texts.values())
    lines.append(error_text(place))
    if place.height_m is not None:
        lines.append(say("{place_height_m:.0f} m above the sea", place_height_m=place.height_m))
    if place.source:
        lines.append(say("from: {source}", source=place.source))
    return lines


def size_words(subject: Subject, tall_error_m: float | None) -> str:
    """How tall and wide a subject is, and where its face looks; '' where nothing is known."""
    parts = []
    if subject.tall_m is not None:
        parts.append(say("{tall_m} tall", tall_m=size_text(subject.tall_m, tall_error_m)))
    if subject.wide_m is not None:
        parts.append(say("{wide_m} wide", wide_m=size_text(subject.wide_m)))
    if subject.facing_deg is not None:
        parts.append(say("faces {facing} true", facing=degrees_text(subject.facing_deg)))
    if subject.at_water:
        parts.append(say("at the water: on the lowest ground within its error"))
    return ", ".join(parts)


def _camera_lines(camera: CameraPosition) -> list[str]:
    from backbearing.places.coordinates import decimal_text, utm_text

    place = camera.place
    where = {
        "decimal": decimal_text(place.latitude_deg, place.longitude_deg),
        "utm": utm_text(place.latitude_deg, place.longitude_deg),
    }
    lines = _labelled(say("  place"), _place_lines(place, where))
    if camera.bearing is not None:
        lines.append(_line(say("  bearing"), bearing_text(camera.bearing)))
    if camera.distance_m is not None:
        lines.append(_line(say("  distance"), metres_text(camera.distance_m)))
    angles = [
        f"{word} {angle_deg:.3g}°".replace("-", "−")
        for word, angle_deg in ((say("top"), camera.top_deg), (say("foot"), camera.foot_deg))
        if angle_deg is not None
    ]
    if angles:
        lines.append(_line(say("  angles"), ", ".join(angles)))
    for label, edge in ((say("  left"), camera.left_edge), (say("  right"), camera.right_edge)):
        if edge is not None:
            lines.append(_line(label, say("edge {edge}", edge=bearing_text(edge))))
    lines += _labelled(
        say("  back to"), [f"{seen.to}: {bearing_text(seen.bearing)}" for seen in camera.sightings]
    )
    return lines


def _note_lines(note: Note, zone: str) -> list[str]:
    """When it was written and where it stands, its words, and what was read from them.

    The day and clock a field record begins with stand in the first line already.
    """
    from textwrap import wrap

    from backbearing.places.zones import clock_text, local

    day, clock = local(note.written_at, zone).date().isoformat(), clock_text(note.written_at, zone)
    head = f"  {day} {clock}" + ("" if note.source in ("", "typed") else f"  ({note.source})")
    text = clean(note.text)
    for part in (day, clock):
        text = text.removeprefix(part).lstrip()
    read = "; ".join(f"{key} {value}" for key, value in note.observed.items())
    lines = [clean(head)]
    for each in (text, say("read as: {read}", read=read) if read else ""):
        lines += wrap(clean(each), 92, initial_indent="    ", subsequent_indent="    ")
    return lines


# ---------------------------------------------------------------- changes


def edit_text(answer: EditAnswer) -> str:
    """What changed at a subject, one thing a line."""
    head = clean(answer.subject.name)
    if not answer.changed:
        return say("{head}: it was so already", head=head)
    lines = [
        say("{head}: changed", head=head),
        *(f"  {clean(change)}" for change in answer.changed),
    ]
    return "\n".join(
        [*lines, *(say("  assumed: {step}", step=clean(step)) for step in answer.assumed)]
    )


def discarded_text(answer: Discarded) -> str:
    """What went to the bin and how it comes back."""
    deleted = answer.deleted
    along = f", {clean(answer.along)}," if answer.along else ""
    return say(
        "{kind} {deleted}{along} is in the bin; 'backbearing restore {deleted_id}' brings it back",
        kind=say(deleted.kind),
        deleted=clean(deleted.name),
        along=along,
        deleted_id=deleted.id,
    )


def bin_text(answer: BinAnswer) -> str:
    """What came back from the bin, or what it holds; '' where it is empty."""
    if answer.restored is not None:
        return say(
            "{kind} {restored} is back on record",
            kind=say(answer.restored.kind),
            restored=clean(answer.restored.name),
        )
    if not answer.bin:
        return ""
    from backbearing.places.zones import clock_text, local

    rows = (
        (
            str(entry.id),
            entry.kind,
            entry.name,
            f"{local(entry.deleted_at, answer.zone):%Y-%m-%d} "
            + clock_text(entry.deleted_at, answer.zone, abbreviation=True),
        )
        for entry in answer.bin
    )
    return table((say("number"), say("kind"), say("name"), say("deleted")), rows, right=(0,))


def reread_lines(reread: Reread) -> list[str]:
    """What a new zone leaves as it was, and how it is read anew; [] where nothing is."""
    import shlex

    lines = []
    for file_name, count in reread.files:
        undo = shlex.join(["backbearing", "delete", "--file", file_name])
        lines.append(
            say_n(
                "{number} record of {file_name} was read by another clock and stays so; to have "
                "it read anew: {undo}, then import the file again",
                "{number} records of {file_name} were read by another clock and stay so; to have "
                "them read anew: {undo}, then import the file again",
                count,
                file_name=file_name,
                undo=undo,
            )
        )
    return lines


def settings_text(settings: Iterable[Setting]) -> str:
    """Settings, one a line, with what they mean."""
    rows = ((each.key, each.value or say("not set"), each.meaning) for each in settings)
    return table((say("setting"), say("value"), say("meaning")), rows)
