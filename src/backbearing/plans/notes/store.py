"""Field notes into the notebook: one transaction a file, and nothing of it lost."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Literal

from backbearing.errors import BadFile, BadInput
from backbearing.notebook.names import name_key
from backbearing.plans.locate import today
from backbearing.plans.notes.places import Reading, start_reading
from backbearing.plans.notes.turns import Decided, NoteOutcome, decide
from backbearing.records import Fault, Note, Original, Place, Subject

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.readers.notes import NotesFile

LINES_A_STEP = 500  # a second or less
FEWEST_TO_TELL = 8  # lines: fewer are taken whatever they say
LEAST_TELLING = 0.2  # of the lines; prose and code have under 0.02, kept records over 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class NotesReport:
    """What a file of field notes held and what was done with it, line by line.

    sea_clocks: the clocks, as "UTC−1", that times in it were read by only because the places
    lie at sea and the notebook has no zone setting.
    """

    file_name: str
    outcome: Literal["stored", "already on record", "dry run"]
    lines: tuple[NoteOutcome, ...] = ()
    faults: tuple[Fault, ...] = ()
    encoding: str = "utf-8"
    sea_clocks: tuple[str, ...] = ()

    def count(self, *became: str) -> int:
        """How many lines became one of these."""
        return sum(line.became in became for line in self.lines)


def store_notes(
    notebook: Notebook,
    content: bytes,
    file_name: str,
    *,
    dry_run: bool = False,
    any_text: bool = False,
    now: datetime | None = None,
    progress: Callable[[str], None] | None = None,
) -> NotesReport:
    """Read a file of field notes into the notebook, in one transaction.

    A record is placed by its coordinate, else its waypoint, else its time on the track that
    covers it, and moved by bearing and distance. A name on record takes what is new; another
    name with a state becomes a subject. Every line is kept as a note, word for word.
    A line that is on record word for word adds nothing; one that differs from a record of the
    same subject and minute corrects it.
    any_text: take a text in which hardly a line reads as a field record, too.
    dry_run: says how each line would be read, and writes nothing.
    progress: told every LINES_A_STEP lines how far it is.

    Raises BadFile where it is no text, too large, or no page of field notes; a line is never
    refused.
    """
    import hashlib

    from backbearing.notebook.tracks import find_original, store_original

    instant = now or datetime.now(UTC)
    file_name = file_name.replace("\\", "/").rpartition("/")[2]
    sha256 = hashlib.sha256(content).hexdigest()
    if dry_run:
        if find_original(notebook, sha256) is not None:
            return NotesReport(file_name=file_name, outcome="already on record")
        reading, decided, file = _decide_all(
            notebook, content, file_name, instant, any_text, progress
        )
        return _report("dry run", reading, decided, file)
    with notebook.writing():
        if find_original(notebook, sha256) is not None:
            return NotesReport(file_name=file_name, outcome="already on record")
        reading, decided, file = _decide_all(
            notebook, content, file_name, instant, any_text, progress
        )
        store_original(
            notebook,
            Original(
                sha256=sha256,
                file_name=file_name,
                media="notes",
                content=content,
                faults=file.faults,
            ),
        )
        _write(notebook, decided)
    return _report("stored", reading, decided, file)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedSince:
    """A record that had no place when its file was read, and has one now.

    sea_clock: the clock it was read by only because no zone is set, else ''.
    """

    source: str  # "notes.txt, line 3"
    subject: str
    place: Place
    sea_clock: str


def place_since(notebook: Notebook) -> tuple[PlacedSince, ...]:
    """Put on record what earlier field notes could not place and the tracks now can.

    Each such line is read once more, as it stands in the file that was kept. One whose subject
    was put on record meanwhile becomes a note of that subject, and nothing else of it changes.
    """
    from backbearing.notebook.subjects import list_loose_notes
    from backbearing.notebook.tracks import list_originals, load_original
    from backbearing.readers.notes import read_notes

    waiting = {n.source: n for n in list_loose_notes(notebook) if "unplaced" in n.observed}
    if not waiting:
        return ()
    placed = []
    with notebook.writing():
        for number in list_originals(notebook, "notes"):
            original = load_original(notebook, number)
            if not any(source.startswith(f"{original.file_name}, line ") for source in waiting):
                continue
            now = datetime.now(UTC)
            reading = start_reading(notebook, original.file_name, now)
            names = [subject.name for subject in reading.subjects.values()]
            known = {subject.id: subject for subject in reading.subjects.values()}
            file = read_notes(original.content, latest=max(today(), now.date()), names=names)
            decided = []
            for line in file.lines:
                note = waiting.get(f"{original.file_name}, line {line.line}")
                if note is None or note.text != line.text:
                    continue
                one = decide(reading, line)
                if one.subject is None or one.note is None or one.note.id != note.id:
                    continue
                if one.outcome.became == "known subject" and one.subject.id is not None:
                    one = replace(one, camera=None, subject=known[one.subject.id])
                decided.append(one)
                del waiting[note.source]
                if one.outcome.place is not None:
                    placed.append(
                        PlacedSince(
                            source=note.source,
                            subject=one.outcome.subject,
                            place=one.outcome.place,
                            sea_clock=" or ".join(sorted(reading.sea_clocks)),
                        )
                    )
            _write(notebook, decided)
    return tuple(placed)


def add_remark(
    notebook: Notebook, name: str, text: str, *, now: datetime | None = None
) -> tuple[Subject, Note, str]:
    """Add a remark to a subject, with the zone of its clock; remarks are added, never changed.

    Raises NotFound where there is no such subject, BadInput where there is no text.
    """
    from backbearing.notebook.subjects import add_note, find_subject
    from backbearing.places.zones import zone_name
    from backbearing.plans.marking import LONGEST_TEXT
    from backbearing.plans.settings import zone_setting

    if not text.strip():
        raise BadInput("there is nothing to note", where="text", remedy="write what you saw")
    if len(text) > LONGEST_TEXT:
        raise BadInput(f"longer than {LONGEST_TEXT} characters", where="text", remedy="split it")
    with notebook.writing():
        subject = find_subject(notebook, name)
        written_at = now or datetime.now(UTC)
        note = Note(text=text.strip(), written_at=written_at, subject_id=subject.id)
        place = subject.place
        zone = zone_name(place.latitude_deg, place.longitude_deg, zone_setting(notebook))
        return subject, add_note(notebook, note), zone


def _decide_all(
    notebook: Notebook,
    content: bytes,
    file_name: str,
    now: datetime,
    any_text: bool,
    progress: Callable[[str], None] | None,
) -> tuple[Reading, list[Decided], NotesFile]:
    from backbearing.readers.notes import read_notes

    reading = start_reading(notebook, file_name, now)
    names = [subject.name for subject in reading.subjects.values()]
    latest = max(today(), now.date())
    file = read_notes(content, latest=latest, names=names, path=file_name)
    if not any_text:
        _refuse_other_text(file, file_name)
    decided = []
    for number, line in enumerate(file.lines):
        if progress is not None and number % LINES_A_STEP == 0:
            progress(f"reading {file_name}: line {number + 1} of {len(file.lines)}")
        decided.append(decide(reading, line))
    return reading, decided, file


def _refuse_other_text(file: NotesFile, file_name: str) -> None:
    """Raise BadFile for a text, long enough to tell, in which hardly a line is of the field."""
    telling = sum(line.of_the_field for line in file.lines)
    if len(file.lines) < FEWEST_TO_TELL or telling >= LEAST_TELLING * len(file.lines):
        return
    raise BadFile(
        f"{telling or 'none'} of its {len(file.lines)} lines read{'s' * (telling == 1)} as a "
        "field record, with a day, a time, a place or a state",
        path=file_name,
        remedy="if it is a page of field notes all the same, add --as-notes",
    )


def _report(
    outcome: Literal["stored", "dry run"],
    reading: Reading,
    decided: list[Decided],
    file: NotesFile,
) -> NotesReport:
    return NotesReport(
        file_name=reading.file_name,
        outcome=outcome,
        lines=tuple(one.outcome for one in decided),
        faults=file.faults,
        encoding=file.encoding,
        sea_clocks=tuple(sorted(reading.sea_clocks)),
    )


def _write(notebook: Notebook, decided: list[Decided]) -> None:
    from backbearing.notebook.subjects import (
        add_camera_position,
        add_note,
        add_subject,
        place_note,
        update_camera_position,
        update_subject,
    )

    # as each subject is after its last line: one write is enough
    last = {name_key(d.subject.name) or "": d.subject for d in decided if d.subject is not None}
    stored: dict[str, Subject] = {}
    for one in decided:
        subject_id = None
        if one.subject is not None:
            key = name_key(one.subject.name) or ""
            if key not in stored:
                stored[key] = last[key]
                if stored[key].id is None:
                    stored[key] = add_subject(notebook, stored[key])
                else:
                    update_subject(notebook, stored[key])
            subject_id = stored[key].id
            if one.camera is not None:
                camera = replace(one.camera, subject_id=subject_id)
                if camera.id is None:
                    add_camera_position(notebook, camera)
                else:
                    update_camera_position(notebook, camera)
        if one.note is not None:
            note = replace(one.note, subject_id=subject_id)
            if note.id is None:
                add_note(notebook, note)
            else:
                place_note(notebook, note)
