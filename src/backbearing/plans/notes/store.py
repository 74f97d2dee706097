"""Field notes into the notebook: one transaction a file, and nothing of it lost."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Literal

from backbearing.errors import BadInput
from backbearing.notebook.names import name_key
from backbearing.plans.locate import today
from backbearing.plans.notes.places import start_reading
from backbearing.plans.notes.turns import Decided, NoteOutcome, decide
from backbearing.records import Fault, Note, Original, Subject

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.readers.notes import NotesFile

LINES_A_STEP = 500  # a second or less


@dataclass(frozen=True, slots=True, kw_only=True)
class NotesReport:
    """What a file of field notes held and what was done with it, line by line."""

    file_name: str
    outcome: Literal["stored", "already on record", "dry run"]
    lines: tuple[NoteOutcome, ...] = ()
    faults: tuple[Fault, ...] = ()
    encoding: str = "utf-8"

    def count(self, *became: str) -> int:
        """How many lines became one of these."""
        return sum(line.became in became for line in self.lines)


def store_notes(
    notebook: Notebook,
    content: bytes,
    file_name: str,
    *,
    dry_run: bool = False,
    now: datetime | None = None,
    progress: Callable[[str], None] | None = None,
) -> NotesReport:
    """Read a file of field notes into the notebook, in one transaction.

    A record is placed by its coordinate, else its waypoint, else its time on the track that
    covers it, and moved by bearing and distance. A name on record takes what is new; another
    name with a state becomes a subject. Every line is kept as a note, word for word.
    dry_run: says how each line would be read, and writes nothing.
    progress: told every LINES_A_STEP lines how far it is.

    Raises BadFile where it is no text or too large; a line is never refused.
    """
    import hashlib

    from backbearing.notebook.tracks import find_original, store_original

    instant = now or datetime.now(UTC)
    file_name = file_name.replace("\\", "/").rpartition("/")[2]
    sha256 = hashlib.sha256(content).hexdigest()
    if dry_run:
        if find_original(notebook, sha256) is not None:
            return NotesReport(file_name=file_name, outcome="already on record")
        decided, file = _decide_all(notebook, content, file_name, instant, progress)
        return _report("dry run", file_name, decided, file)
    with notebook.writing():
        if find_original(notebook, sha256) is not None:
            return NotesReport(file_name=file_name, outcome="already on record")
        decided, file = _decide_all(notebook, content, file_name, instant, progress)
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
    return _report("stored", file_name, decided, file)


def add_remark(
    notebook: Notebook, name: str, text: str, *, now: datetime | None = None
) -> tuple[Subject, Note]:
    """Add a remark to a subject; remarks are added, never changed.

    Raises NotFound where there is no such subject, BadInput where there is no text.
    """
    from backbearing.notebook.subjects import add_note, find_subject
    from backbearing.plans.marking import LONGEST_TEXT

    if not text.strip():
        raise BadInput("there is nothing to note", where="text", remedy="write what you saw")
    if len(text) > LONGEST_TEXT:
        raise BadInput(f"longer than {LONGEST_TEXT} characters", where="text", remedy="split it")
    with notebook.writing():
        subject = find_subject(notebook, name)
        written_at = now or datetime.now(UTC)
        note = Note(text=text.strip(), written_at=written_at, subject_id=subject.id)
        return subject, add_note(notebook, note)


def _decide_all(
    notebook: Notebook,
    content: bytes,
    file_name: str,
    now: datetime,
    progress: Callable[[str], None] | None,
) -> tuple[list[Decided], NotesFile]:
    from backbearing.readers.notes import read_notes

    reading = start_reading(notebook, file_name, now)
    names = [subject.name for subject in reading.subjects.values()]
    latest = max(today(), now.date())
    file = read_notes(content, latest=latest, names=names, path=file_name)
    decided = []
    for number, line in enumerate(file.lines):
        if progress is not None and number % LINES_A_STEP == 0:
            progress(f"reading {file_name}: line {number + 1} of {len(file.lines)}")
        decided.append(decide(reading, line))
    return decided, file


def _report(
    outcome: Literal["stored", "dry run"], file_name: str, decided: list[Decided], file: NotesFile
) -> NotesReport:
    return NotesReport(
        file_name=file_name,
        outcome=outcome,
        lines=tuple(one.outcome for one in decided),
        faults=file.faults,
        encoding=file.encoding,
    )


def _write(notebook: Notebook, decided: list[Decided]) -> None:
    from backbearing.notebook.subjects import (
        add_camera_position,
        add_note,
        add_subject,
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
                add_camera_position(notebook, replace(one.camera, subject_id=subject_id))
        if one.note is not None:
            add_note(notebook, replace(one.note, subject_id=subject_id))
