"""Moving things to the bin and bringing them back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from backbearing.errors import NotFound, quoted
from backbearing.plans.settings import zone_setting

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.notebook import Notebook
    from backbearing.records import Deleted, Note


@dataclass(frozen=True, slots=True, kw_only=True)
class Discarded:
    """What went to the bin, and what went along with it, as a clause ('' where nothing did)."""

    deleted: Deleted
    along: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BinAnswer:
    """What was brought back, if anything, and what the bin now holds, last deleted first.

    zone: of the clock that dates them, the notebook's or UTC.
    """

    restored: Deleted | None
    bin: tuple[Deleted, ...]
    zone: str


def discard_subject(
    notebook: Notebook, name: str, *, camera_position: str | None = None
) -> Discarded:
    """Move a subject with its camera positions and notes to the bin, or one camera position.

    Raises NotFound for an unknown subject, BadInput for an unknown camera position.
    """
    from backbearing.notebook.bin import discard
    from backbearing.notebook.subjects import find_subject, list_camera_positions, list_notes
    from backbearing.plans.editing import camera_of_name

    with notebook.writing():
        subject = find_subject(notebook, name)
        cameras = list_camera_positions(notebook, subject.id)
        if camera_position is not None:
            camera = camera_of_name(cameras, subject, camera_position)
            deleted = discard(notebook, "camera position", camera.id or 0)
            return Discarded(deleted=deleted, along=f"a camera position of {subject.name}")
        notes = list_notes(notebook, subject.id)
        deleted = discard(notebook, "subject", subject.id or 0)
    counted = [
        f"{count} {word}{'' if count == 1 else 's'}"
        for count, word in ((len(cameras), "camera position"), (len(notes), "note"))
        if count
    ]
    return Discarded(deleted=deleted, along=f"with {' and '.join(counted)}" if counted else "")


def discard_file(notebook: Notebook, file_name: str) -> Discarded:
    """Take back the import of a file of field notes or of lines over the ground, by its name.

    Of several of one name the last goes: they come off in the order they went on.
    Raises NotFound where none of that name is on record.
    """
    from backbearing.notebook.tracks import list_originals, load_original

    names: dict[int, str] = {}
    lines = list_originals(notebook, "lines")
    for number in (*list_originals(notebook, "notes"), *lines):
        names[number] = load_original(notebook, number).file_name
    found = [number for number, name in names.items() if name == file_name]
    if not found:
        shown = ", ".join(sorted({quoted(name) for name in names.values()})[:5])
        raise NotFound(
            f"no field notes or lines on record came from {quoted(file_name)}",
            where="--file",
            remedy=f"on record: {shown}" if shown else "'backbearing delete NAME' for a subject",
        )
    if max(found) in lines:
        return _discard_lines_file(notebook, max(found))
    return _discard_notes_file(notebook, file_name)


def _discard_lines_file(notebook: Notebook, number: int) -> Discarded:
    from backbearing.notebook.bin import discard_file_lines
    from backbearing.notebook.lines import list_lines

    with notebook.writing():
        before = len(list_lines(notebook))
        deleted = discard_file_lines(notebook, number)
        count = before - len(list_lines(notebook))
    return Discarded(deleted=deleted, along=f"with {count} line{'' if count == 1 else 's'}")


def discard_passage(notebook: Notebook, name: str) -> Discarded:
    """Move a passage to the bin with all that was found there. Raises NotFound."""
    from backbearing.notebook.bin import discard
    from backbearing.notebook.lines import find_passage

    with notebook.writing():
        passage = find_passage(notebook, name)
        deleted = discard(notebook, "passage", passage.id or 0)
    count = len(passage.reports)
    along = f"with {count} report{'' if count == 1 else 's'}" if count else ""
    return Discarded(deleted=deleted, along=along)


def _discard_notes_file(notebook: Notebook, file_name: str) -> Discarded:
    """The notes of a file on record, and what they put there.

    Subjects that it was the first to name go, with all that hangs on them; of others the camera
    positions it measured. What it changed at others (their state, words, what stopped me) stays.
    """
    from backbearing.notebook.bin import discard_field_notes
    from backbearing.notebook.subjects import list_camera_positions, list_notes, list_subjects
    from backbearing.notebook.tracks import list_originals, load_original
    from backbearing.places.zones import zone_name
    from backbearing.plans.notes.cameras import camera_of_record

    with notebook.writing():
        files = {n: load_original(notebook, n) for n in list_originals(notebook, "notes")}
        found = [number for number, file in files.items() if file.file_name == file_name]
        # of several under one name the last: they come off in the order they went on
        number = found[-1]
        content = files[number].content
        every = list_notes(notebook)
        ours = [
            note
            for note in every
            if note.source.startswith(f"{file_name}, line ")
            and note.text in _lines(content)
            and not any(note.text in _lines(files[other].content) for other in found[:-1])
        ]
        subjects = list_subjects(notebook)
        first = {
            note.subject_id: note for note in sorted(every, key=lambda n: n.id or 0, reverse=True)
        }
        made = [
            subject.id
            for subject in subjects
            if subject.id is not None
            and (note := first.get(subject.id)) in ours
            and note is not None
            and subject.marked_at == note.written_at
        ]
        setting = zone_setting(notebook)
        cameras = set()
        for subject in subjects:
            place = subject.place
            zone = zone_name(place.latitude_deg, place.longitude_deg, setting)
            standing = list_camera_positions(notebook, subject.id)
            if subject.id in made:
                continue
            for note in ours:
                if note.subject_id == subject.id:
                    camera = camera_of_record(standing, subject, note.written_at, zone)
                    if (
                        camera is not None
                        and camera.id is not None
                        and not _of_others(note, every, ours)
                    ):
                        cameras.add(camera.id)
        deleted = discard_field_notes(
            notebook,
            number,
            subjects=made,
            camera_positions=sorted(cameras),
            notes=[n.id for n in ours if n.id is not None and n.subject_id not in made],
        )
    counted = [
        f"{count} {word}{'' if count == 1 else 's'}"
        for count, word in (
            (len(ours), "note"),
            (len(made), "subject"),
            (len(cameras), "camera position"),
        )
        if count
    ]
    return Discarded(deleted=deleted, along=f"with {', '.join(counted)}" if counted else "")


def _of_others(note: Note, every: Sequence[Note], ours: Sequence[Note]) -> bool:
    """Whether a record that stays is of the same subject and instant: then it has the camera."""
    return any(
        other.subject_id == note.subject_id and other.written_at == note.written_at
        for other in every
        if other not in ours
    )


def _lines(content: bytes) -> frozenset[str]:
    """The lines of a file of notes, as its notes hold them."""
    from datetime import date

    from backbearing.readers.notes import read_notes

    return frozenset(line.text for line in read_notes(content, latest=date.max).lines)


def discard_number(
    notebook: Notebook, kind: Literal["track", "waypoint", "route", "photo"], number: int
) -> Discarded:
    """Move a track, waypoint, route or photo to the bin by its number.

    Raises NotFound where there is none of that number.
    """
    from backbearing.notebook.bin import discard

    with notebook.writing():
        return Discarded(deleted=discard(notebook, kind, number), along="")


def look_in_bin(notebook: Notebook) -> BinAnswer:
    """What the bin holds, last deleted first."""
    from backbearing.notebook.bin import list_bin

    return BinAnswer(
        restored=None, bin=tuple(list_bin(notebook)), zone=zone_setting(notebook) or "UTC"
    )


def bring_back(notebook: Notebook, number: int) -> BinAnswer:
    """Bring something back from the bin with all that went along.

    Raises NotFound where the bin holds no such number, BadInput where its name is taken.
    """
    from backbearing.notebook.bin import list_bin, restore

    with notebook.writing():
        restored = restore(notebook, number)
        return BinAnswer(
            restored=restored, bin=tuple(list_bin(notebook)), zone=zone_setting(notebook) or "UTC"
        )
