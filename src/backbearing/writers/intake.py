"""What an import brought in, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.writers.notes import notes_text
from backbearing.writers.photos import photo_lines, place_words
from backbearing.writers.plain import plain
from backbearing.writers.text import clean, counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.plans.intake import FileReport, IntakeReport, TrackReport
    from backbearing.records import Fault

LINES_SHOWN = 5  # of the faults of one kind


def intake_json(report: IntakeReport) -> object:
    """The report as JSON values, with what can be read off it at once."""
    return {
        "notebook": plain(report.notebook),
        "dry_run": report.dry_run,
        "all_good": report.all_good,
        "stored": report.count("stored"),
        "already_on_record": report.count("already on record"),
        "refused": report.count("refused"),
        "not_reached": report.count("not reached"),
        "stopped": report.stopped,
        "files": plain(report.files),
        "placed_since": plain(report.placed_since),
        "photos_placed": plain(report.photos_placed),
    }


def intake_text(report: IntakeReport) -> str:
    """File by file what became of it, then the sum of them."""
    lines = []
    for file in report.files:
        lines += _file(file, report.dry_run)
    lines += [
        clean(
            f"placed   '{one.subject}', of {one.source}: on record now, as {one.place.source} "
            "covers its time"
            + (f" (clock assumed {one.sea_clock}: no zone is set)" if one.sea_clock else "")
        )
        for one in report.placed_since
    ]
    lines += [
        clean(f"placed   {one.file_name}: {place_words(one.place)}") for one in report.photos_placed
    ]
    lines.append(_sum(report))
    return "\n".join(lines)


def _file(file: FileReport, dry_run: bool) -> list[str]:
    if file.outcome == "refused":
        return [clean(f"refused  {file.path}")]  # why, stderr says
    if file.outcome == "not reached":
        why = f": nothing of that file is on record, as {file.why}" if file.why else ""
        return [clean(f"not reached  {file.path}{why}")]
    if file.outcome == "already on record":
        return [
            clean(f"known    {file.path}: already on record, nothing added"),
            *(f"  a track of it is in the bin; 'restore {n}' brings it back" for n in file.in_bin),
        ]
    if file.notes is not None:
        return [f"notes    {notes_text(file.notes)}"]
    if file.photo is not None:
        return photo_lines(file.photo, file.path, dry_run)
    feature = "feature" if file.kind == "lines" else "line"
    word = "would be stored" if dry_run else "stored"
    lines = [clean(f"{word}  {file.path}: {_held(file)}")]
    lines += [clean(f"  {_track(track)}") for track in file.tracks]
    if file.truncated_at_line is not None:
        lines.append(
            f"  the file breaks off at line {file.truncated_at_line}; what stood before is kept"
        )
    return lines + [clean(f"  {line}") for line in _faults(file.faults, feature)]


def _held(file: FileReport) -> str:
    if file.lines is not None:
        held = [
            counted(count, "other line" if kind == "other" else kind)
            for kind, count in file.lines.kinds.items()
        ]
        if file.lines.left_out:
            held.append(f"{counted(file.lines.left_out, 'feature')} left out, no line")
        return ", ".join(held)
    counts = (
        (len(file.tracks), "track"),
        (file.empty_tracks, "empty track"),
        (file.routes, "route"),
        (file.waypoints, "waypoint"),
    )
    return ", ".join(counted(count, kind) for count, kind in counts if count) or "nothing new"


def _track(track: TrackReport) -> str:
    summary = track.summary
    number = f"track {track.id}" if track.id is not None else "track"
    name = f" '{track.name}'" if track.name else ""
    parts = [counted(summary.points, "fix", "fixes")]
    parts.append(f"{summary.length_m / 1000:.1f} km")
    if track.segments > 1:
        parts.append(f"{track.segments} segments")
    if summary.started is None:
        parts.append("no times")
    if summary.ascent_m is None:
        parts.append("no heights")
    if summary.suspect_fixes:
        parts.append(f"{summary.suspect_fixes:,} suspect, flagged and kept")
    return f"{number}{name}: {', '.join(parts)}"


def _faults(faults: Sequence[Fault], unit: str) -> list[str]:
    """One line for each field and action, with the first lines and what was wrong there.

    unit: what a fault's number counts: lines, or features.
    """
    kinds: dict[tuple[str, str], list[Fault]] = {}
    for fault in faults:
        kinds.setdefault((fault.action, fault.field), []).append(fault)
    lines = []
    for (action, field), some in kinds.items():
        first = "; ".join(f"{unit} {fault.line}: {fault.what}" for fault in some[:LINES_SHOWN])
        more = "; …" if len(some) > LINES_SHOWN else ""
        lines.append(f"{action} {sum(f.count for f in some):,} × {field} ({first}{more})")
    return lines


def _sum(report: IntakeReport) -> str:
    parts = [
        f"{count} {word}"
        for count, word in (
            (report.count("stored"), "that would be stored" if report.dry_run else "stored"),
            (report.count("already on record"), "already on record"),
            (report.count("refused"), "refused"),
            (report.count("not reached"), "not reached"),
        )
        if count
    ]
    files = len(report.files)
    lost = report.count("refused") + report.count("not reached")
    kept = not report.dry_run and lost < files
    where = f"in {report.notebook}" if kept else "nothing was written"
    return clean(f"{counted(files, 'file')}: {', '.join(parts)}; {where}")
