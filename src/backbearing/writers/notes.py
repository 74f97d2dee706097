"""How each line of field notes was read, and what became of it, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.words import bearing_text
from backbearing.writers.marking import labelled, place_text
from backbearing.writers.text import clean

if TYPE_CHECKING:
    from backbearing.plans.notes import NotesReport
    from backbearing.plans.notes.turns import NoteOutcome


def notes_text(report: NotesReport) -> str:
    """The report in words: counts, then what needs a look; after a dry run, every line."""
    if report.outcome == "already on record":
        return clean(f"{report.file_name}: already on record, nothing added")
    lines = [clean(f"{report.file_name}: {_counts(report)}")]
    lines += [
        clean(f"  line {fault.line}: {fault.what} ({fault.action})") for fault in report.faults
    ]
    for outcome in report.lines:
        if report.outcome == "dry run":
            lines += _in_full(outcome)
        elif outcome.became != "day":
            lines += _in_short(outcome)
    return "\n".join(lines)


def _counts(report: NotesReport) -> str:
    counted = [
        f"{count} {words if count == 1 else more}"
        for became, words, more in (
            ("new subject", "new subject", "new subjects"),
            ("known subject", "line about a known subject", "lines about known subjects"),
            ("note", "note", "notes"),
            ("unplaced note", "record without a place", "records without a place"),
        )
        if (count := report.count(became))
    ]
    done = "would become" if report.outcome == "dry run" else "stored"
    return f"{done} {', '.join(counted)}" if counted else "no records in it"


def _in_short(outcome: NoteOutcome) -> list[str]:
    """A stored line: what it became, and only what needs a look."""
    head = f"  line {outcome.line}: {_became(outcome)}"
    if outcome.kept:
        head += f"; not understood, kept in the note: {', '.join(outcome.kept)}"
    return [clean(head), *_remarks(outcome)]


def _in_full(outcome: NoteOutcome) -> list[str]:
    """A line of a dry run: item by item."""
    lines = [clean(f"line {outcome.line}: {outcome.text}")]
    rows = [(item.field, _item(item.value, item.written)) for item in outcome.items]
    rows += [("not understood", text) for text in outcome.kept]
    if outcome.became != "day":
        rows.append(("becomes", _became(outcome)))
    if outcome.place is not None:
        rows.append(("place", place_text(outcome.place)))
    camera = outcome.camera_position
    if camera is not None and camera.bearing is not None:
        rows.append(("camera to it", bearing_text(camera.bearing)))
    return [*lines, *labelled(rows), *_remarks(outcome)]


def _item(value: str, written: str) -> str:
    return value if value == written else f"{value}  (from '{written}')"


def _became(outcome: NoteOutcome) -> str:
    if outcome.became == "unplaced note":
        return f"a note on '{outcome.subject}', which has no place yet"
    if outcome.became == "note":
        return "a note"
    camera = outcome.camera_position
    seen_from = f", camera position '{camera.name}'" if camera is not None else ""
    return f"{outcome.became} '{outcome.subject}'{seen_from}"


def _remarks(outcome: NoteOutcome) -> list[str]:
    lines = [f"    assumed: {sentence}" for sentence in outcome.assumed]
    lines += [f"    look at: {sentence}" for sentence in outcome.problems]
    if outcome.remedy:
        lines.append(f"    to do: {outcome.remedy}")
    return [clean(line) for line in lines]
