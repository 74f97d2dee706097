"""What each line of field notes turns into: a subject, more of one on record, or a note."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Literal, cast

from backbearing.errors import BadInput, quoted
from backbearing.notebook.names import name_key
from backbearing.plans.loosenotes import stood_at_text
from backbearing.plans.marking import filled_in, usable_name
from backbearing.plans.marking.measuring import Measured, Written, measure
from backbearing.plans.marking.moving import moved_along
from backbearing.plans.notes.places import Reading, Spot, find_spot, how_to_place, written_at
from backbearing.records import (
    SUBJECT_STATES,
    CameraPosition,
    Note,
    Place,
    Subject,
    SubjectState,
)

if TYPE_CHECKING:
    from backbearing.readers.noteitems import Item
    from backbearing.readers.notes import NoteLine

# Items of the card that only a note keeps; the others go into a subject or camera position
SEEN = (
    *("waypoint", "sky", "side", "left the path", "last sure", "facing"),
    *("lit", "wind", "water", "snow", "photo"),
)
# Items that a note keeps in its own time, or that its text is enough for
ELSEWHERE = ("day", "time", "state", "subject", "words", "blocked", "next time")

Became = Literal[
    "day", "new subject", "known subject", "note", "unplaced note", "already on record"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteOutcome:
    """What one line was read as, and what became of it.

    kept: words that fit no item; they stand in the note, as the whole line does.
    place: the subject's where it is new, else where the record was made.
    assumed, problems: sentences. remedy: what to do about a record without a place.
    """

    line: int
    text: str
    became: Became
    day: date | None
    items: tuple[Item, ...]
    kept: tuple[str, ...]
    subject: str = ""
    place: Place | None = None
    camera_position: CameraPosition | None = None
    assumed: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()
    remedy: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Decided:
    """What to write for one line; the subject has no number yet where it is new.

    A camera position or note with a number is written over the one on record.
    """

    outcome: NoteOutcome
    note: Note | None = None
    subject: Subject | None = None  # as it is to be
    camera: CameraPosition | None = None


def decide(reading: Reading, line: NoteLine) -> Decided:
    """Answer what a line turns into, and remember its subject for the lines after it.

    Nothing is written. A line is never refused: what cannot be used is a sentence in
    `outcome.problems`, and the line stands as a note.
    """
    problems = list(line.problems)
    assumed: list[str] = []
    plain = NoteOutcome(
        line=line.line,
        text=line.text,
        became="note",
        day=line.day,
        items=line.items,
        kept=line.kept,
    )
    if line.heading:
        return Decided(outcome=replace(plain, became="day", problems=tuple(problems)))
    named, state = _named(reading, line, assumed)
    known = reading.subjects.get(name_key(named) or "") if named else None
    spot = find_spot(reading, line, problems, assumed)
    note = _note(reading, line, spot, spot.place or (known.place if known else None), assumed)
    again = reading.known_note(line, note.written_at)
    if again is not None and ("unplaced" not in again.observed or spot.place is None):
        return Decided(
            outcome=replace(plain, became="already on record", subject=known.name if known else "")
        )
    if again is not None:
        note = replace(note, id=again.id)
    if known is None and named and state:
        try:
            named = usable_name(named)
        except BadInput as error:
            problems.append(str(error))
            named = ""
    if known is None and not (named and state):
        if named or _written(line).from_camera:
            assumed.append("kept as a note: no state (seen, scouted …) with a name stands in it")
        outcome = replace(plain, place=spot.place)
    elif known is None and spot.place is None:
        note = replace(note, observed={**note.observed, "unplaced": spot.missing})
        remedy = how_to_place(line, named, spot.missing)
        outcome = replace(plain, became="unplaced note", subject=named, remedy=remedy)
    else:
        return _about_subject(
            reading, line, plain, spot, note, named, state, known, problems, assumed
        )
    outcome = replace(outcome, assumed=tuple(assumed), problems=tuple(problems))
    return Decided(outcome=outcome, note=note)


def _named(reading: Reading, line: NoteLine, assumed: list[str]) -> tuple[str, SubjectState | None]:
    """The subject and state of a line; three words alone are a seen subject's name."""
    named = line.first("subject")
    state = cast("SubjectState | None", line.first("state") or None)
    words = line.first("words")
    if not named and words:
        assumed.append("the three words stand for the name")
        if state is None and (name_key(words) or "") not in reading.subjects:
            assumed.append("seen, as no state was written")
            state = "seen"
        return words, state
    return named, state


def _note(
    reading: Reading, line: NoteLine, spot: Spot, place: Place | None, assumed: list[str]
) -> Note:
    observed = {
        item.field: "; ".join(line.all(item.field))
        for item in line.items
        if item.field not in ELSEWHERE
    }
    if spot.place is not None:
        observed["stood at"] = stood_at_text(spot.place)
    return Note(
        text=line.text,
        written_at=written_at(reading, line, spot, place, assumed),
        observed=observed,
        source=f"{reading.file_name}, line {line.line}",
    )


def _about_subject(
    reading: Reading,
    line: NoteLine,
    plain: NoteOutcome,
    spot: Spot,
    note: Note,
    named: str,
    state: SubjectState | None,
    known: Subject | None,
    problems: list[str],
    assumed: list[str],
) -> Decided:
    written = _written(line)
    key = name_key(named) or ""
    measured = None
    if spot.place is not None:
        measured = measure(
            spot.place,
            written,
            on=line.day or note.written_at.date(),
            camera_name=_camera_name(reading, key, line),
            problems=problems,
        )
        assumed.extend(measured.assumed)
        assumed.extend(_taken_as_true(measured))
    elif written.from_camera:
        problems.append(f"what was measured has no place to stand on: {spot.missing}")
    camera = measured.camera if measured else None
    if known is None and measured is not None:
        _look_at_name(reading, named, line, assumed, problems)
        subject = _new_subject(line, named, state or "seen", note, measured)
    elif known is not None:
        subject = _more_of(known, line, state, measured, assumed)
        if not written.from_camera:
            camera = None  # a place alone says nothing new of where it is seen from
        before = None
        if camera is not None:
            source = camera.place.source
            before = reading.corrected_camera(line, known, note.written_at, source)
        if before is not None and camera is not None and measured is not None:
            subject = _corrected(subject, line, before, camera, measured)
            camera = replace(camera, name=before.name, id=before.id)
            assumed.append(
                f"a correction of the record of {line.first('time')[:5]}: camera position "
                f"{quoted(before.name)} is measured anew"
            )
    reading.subjects[key] = subject
    if camera is not None:
        reading.camera_names.setdefault(key, set()).add(name_key(camera.name) or "")
    outcome = replace(
        plain,
        became="known subject" if known else "new subject",
        subject=subject.name,
        place=spot.place if known else subject.place,
        camera_position=camera,
        assumed=tuple(assumed),
        problems=tuple(problems),
    )
    if camera is not None:  # which holds the measurements, with their errors
        seen = {key: text for key, text in note.observed.items() if key in SEEN}
        note = replace(note, observed=seen)
    return Decided(outcome=outcome, note=note, subject=subject, camera=camera)


def _taken_as_true(measured: Measured) -> list[str]:
    """A sentence for each bearing without T or M; a magnetic one may be 20° off then."""
    camera = measured.camera
    taken = (camera.bearing, camera.left_edge, camera.right_edge) if camera else ()
    return [
        f"{bearing.as_written} taken as true, as no T or M was written"
        for bearing in taken
        if bearing is not None and "assumed: true" in bearing.basis
    ]


def _look_at_name(
    reading: Reading, named: str, line: NoteLine, assumed: list[str], problems: list[str]
) -> None:
    """Say where a new name may be one on record with more words, or hold a bearing."""
    words = named.split()
    shorter = [name_key(" ".join(words[:n])) or "" for n in range(len(words) - 1, 0, -1)]
    known = next((reading.subjects[key] for key in shorter if key in reading.subjects), None)
    if known is not None:
        assumed.append(f"a subject of its own beside {quoted(known.name)}")
    last = words[-1]
    if re.fullmatch("[0-3][0-9]{2}", last) and not line.first("bearing"):
        problems.append(f"if {last} is a bearing, write it as {last}M or {last}T behind a comma")


def _new_subject(
    line: NoteLine, named: str, state: SubjectState, note: Note, measured: Measured
) -> Subject:
    return Subject(
        name=named,
        place=measured.place,
        state=state,
        words=line.first("words"),
        tall_m=measured.tall_m,
        wide_m=measured.wide_m,
        facing_deg=measured.facing_deg,
        at_water=bool(line.first("at water")),
        blocked=line.first("blocked"),
        next_time=line.first("next time"),
        marked_at=note.written_at,
    )


def _more_of(
    known: Subject,
    line: NoteLine,
    state: SubjectState | None,
    measured: Measured | None,
    assumed: list[str],
) -> Subject:
    """The subject on record with what the line adds; the notes keep what stood there before."""
    if state and SUBJECT_STATES.index(state) > SUBJECT_STATES.index(known.state):
        assumed.append(f"now {state}, was {known.state}")
    else:
        state = known.state  # never back by a note: what is scouted can still be seen again
    filled = filled_in(known, measured) if measured else known
    return replace(
        filled,
        state=state,
        words=known.words or line.first("words"),
        at_water=known.at_water or bool(line.first("at water")),
        blocked=line.first("blocked") or known.blocked,
        next_time=line.first("next time") or known.next_time,
    )


def _corrected(
    subject: Subject,
    line: NoteLine,
    before: CameraPosition,
    camera: CameraPosition,
    measured: Measured,
) -> Subject:
    """The subject after a record of the same minute, written once more: the new figures hold."""
    return replace(
        subject,
        place=moved_along(subject.place, before, camera, line.first("measured") or None),
        words=line.first("words") or subject.words,
        tall_m=subject.tall_m if measured.tall_m is None else measured.tall_m,
        wide_m=subject.wide_m if measured.wide_m is None else measured.wide_m,
        facing_deg=subject.facing_deg if measured.facing_deg is None else measured.facing_deg,
    )


def _written(line: NoteLine) -> Written:
    return Written(
        bearing=line.first("bearing"),
        instrument=line.first("instrument"),
        distance=line.first("distance"),
        measured=line.first("measured"),
        top=line.first("top"),
        foot=line.first("foot"),
        left_edge=line.first("left edge"),
        right_edge=line.first("right edge"),
        facing=line.first("facing"),
        tall=line.first("tall"),
        wide=line.first("wide"),
        sightings=line.all("sighting"),
        bare="magnetic",
    )


def _camera_name(reading: Reading, key: str, line: NoteLine) -> str:
    """'main' for the first, then when it was taken, then a number."""
    taken = reading.camera_names.get(key, set())
    dated = " ".join(part for part in (str(line.day or ""), line.first("time")[:5]) if part)
    number = 2
    for name in ("main", dated):
        if name and name not in taken:
            return name
    while f"{dated or 'main'} ({number})" in taken:
        number += 1
    return f"{dated or 'main'} ({number})"
