"""How each line of field notes was read, and what became of it, in words."""

from __future__ import annotations

import shlex
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
    lines = [clean(f"{report.file_name}: {_counts(report)}"), *_clock(report)]
    lines += [
        clean(f"  line {fault.line}: {fault.what} ({fault.action})") for fault in report.faults
    ]
    for outcome in report.lines:
        if report.outcome == "dry run":
            lines += _in_full(outcome)
        elif outcome.became not in ("day", "already on record"):
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
            ("already on record", "line already on record", "lines already on record"),
        )
        if (count := report.count(became))
    ]
    done = "would become" if report.outcome == "dry run" else "stored"
    return f"{done} {', '.join(counted)}" if counted else "no records in it"


def _clock(report: NotesReport) -> list[str]:
    """Which clock was taken for want of a setting: where that is wrong, so is every place."""
    if not report.sea_clocks:
        return []
    clocks = " and ".join(report.sea_clocks)
    lines = [
        f"  look at: clock assumed {clocks}: at sea and no zone is set; where another was kept,"
    ]
    if report.outcome == "dry run":
        return [*lines, "    set it first: backbearing setting zone Atlantic/Azores, as an example"]
    undo = shlex.join(["backbearing", "delete", "--file", report.file_name])
    return [
        *lines,
        "    times and places are wrong. Set it (backbearing setting zone Atlantic/Azores, as an",
        clean(f"    example), then '{undo}', and import the file again"),
    ]


def _in_short(outcome: NoteOutcome) -> list[str]:
    """A stored line: what it became, and only what needs a look."""
    head = f"  line {outcome.line}: {_became(outcome)}"
    if outcome.kept:
        head += f"; kept as a remark: {', '.join(outcome.kept)}"
    return [clean(head), *_remarks(outcome)]


def _in_full(outcome: NoteOutcome) -> list[str]:
    """A line of a dry run: item by item."""
    lines = [clean(f"line {outcome.line}: {outcome.text}")]
    rows = [(item.field, _item(item.value, item.written)) for item in outcome.items]
    rows += [("remark", text) for text in outcome.kept]
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
    if outcome.became == "already on record":
        return "already on record word for word, nothing added"
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
