"""Files into the notebook: each one whole or not at all, and one bad file stops no other."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from backbearing.errors import BadFile, NotebookError
from backbearing.plans.foundfiles import FileKind, file_kind, found_files, shown_path, size_words
from backbearing.plans.lines import LinesReport, store_lines
from backbearing.plans.notes import NotesReport, PlacedSince, place_since, store_notes
from backbearing.plans.photos import (
    PhotoChoices,
    PhotoPlaced,
    PhotoReport,
    PhotoTracks,
    place_photos_since,
    store_photo,
)
from backbearing.records import Fault, GpxFile, Original, Track, WalkSummary

if TYPE_CHECKING:
    from backbearing.notebook import Notebook


Progress = Callable[[str], None]
Outcome = Literal["stored", "already on record", "refused", "not reached"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackReport:
    """One walk of a file: its number in the notebook (None after a dry run) and its figures."""

    id: int | None
    name: str
    segments: int
    summary: WalkSummary


@dataclass(frozen=True, slots=True, kw_only=True)
class FileReport:
    """What one file held and what became of it.

    why: for a refused file the one sentence that says why, and for the first that was not
    reached what stood in the way; nothing of such files is on record. truncated_at_line: where
    a GPX file broke off; what stood before is stored. in_bin: the bin's numbers of tracks of a
    file that is on record whose tracks were deleted since. notes: the lines of a file of field
    notes. lines: what a stored file of lines over the ground held. photo: when and where it was
    taken.
    """

    path: str
    kind: FileKind
    outcome: Outcome
    why: str = ""
    tracks: tuple[TrackReport, ...] = ()
    empty_tracks: int = 0
    routes: int = 0
    waypoints: int = 0
    faults: tuple[Fault, ...] = ()
    truncated_at_line: int | None = None
    in_bin: tuple[int, ...] = ()
    notes: NotesReport | None = None
    lines: LinesReport | None = None
    photo: PhotoReport | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class IntakeReport:
    """What became of every file; `dry_run` where nothing was written.

    placed_since: records of earlier field notes that the new tracks put in their place;
    photos_placed: photos they did so with.
    stopped: the user broke it off; what is not "stored" then is "not reached".
    """

    notebook: str
    dry_run: bool
    files: tuple[FileReport, ...]
    placed_since: tuple[PlacedSince, ...] = ()
    photos_placed: tuple[PhotoPlaced, ...] = ()
    stopped: bool = False

    @property
    def all_good(self) -> bool:
        """Whether no file was refused, and none not reached."""
        return not (self.count("refused") or self.count("not reached"))

    def count(self, outcome: Outcome) -> int:
        return sum(file.outcome == outcome for file in self.files)


def import_files(
    notebook: Notebook | None,
    paths: Sequence[str | Path],
    *,
    dry_run: bool = False,
    any_text: bool = False,
    photos: PhotoChoices | None = None,
    progress: Progress | None = None,
) -> IntakeReport:
    """Read files and folders into the notebook, and say what became of each.

    paths: files, and folders, searched for `foundfiles.ENDINGS` through all their subfolders. What
    a file is, its content says: GPX, field notes, lines over the ground, photos. GPX comes first,
    so that notes and photos find the tracks they belong to. Each file is one transaction; the same
    bytes are taken once. any_text: take texts as field notes that hardly read as such. photos: what
    the user says of them.
    dry_run: the same on a copy of the notebook that is thrown away; `notebook` may be None.

    Raises NotebookError where the notebook cannot be written and nothing was stored; where some
    was, the file at which it failed and those behind it are "not reached"; NotFound for a subject
    of photos that is not on record. A bad file is a FileReport.
    """
    photos = photos or PhotoChoices()
    if dry_run:
        return _rehearse(notebook, paths, any_text, photos, progress)
    if notebook is None:
        raise TypeError("without a notebook there can only be a dry run")
    return _import(notebook, paths, any_text, photos, progress, rehearsal_of=None)


def _rehearse(
    notebook: Notebook | None,
    paths: Sequence[str | Path],
    any_text: bool,
    photos: PhotoChoices,
    progress: Progress | None,
) -> IntakeReport:
    from backbearing.notebook import open_notebook
    from backbearing.notebook.backup import backup

    with tempfile.TemporaryDirectory(prefix="backbearing-") as folder:
        copy = Path(folder) / "notebook.gpkg"
        if notebook is not None:
            backup(notebook, copy)
        with open_notebook(copy, create=notebook is None) as scratch:
            return _import(
                scratch,
                paths,
                any_text,
                photos,
                progress,
                rehearsal_of="" if notebook is None else str(notebook.path),
            )


def _import(
    notebook: Notebook,
    paths: Sequence[str | Path],
    any_text: bool,
    photos: PhotoChoices,
    progress: Progress | None,
    *,
    rehearsal_of: str | None,
) -> IntakeReport:
    if photos.subject is not None:
        from backbearing.notebook.subjects import find_subject

        find_subject(notebook, photos.subject)
    dry_run = rehearsal_of is not None
    stopped = False
    reports: list[FileReport] = []
    tracks: PhotoTracks | None = None
    wanted: dict[FileKind, list[Path]] = {"gpx": [], "lines": [], "notes": [], "photo": []}
    for found in found_files(paths):
        try:
            wanted[file_kind(found)].append(found)
        except BadFile as error:
            reports.append(_refused(found, "gpx", error))
    ordered = [(path, kind) for kind, some in wanted.items() for path in some]
    for number, (path, kind) in enumerate(ordered, start=1):
        if progress is not None:
            progress(f"reading {shown_path(path)} ({number} of {len(ordered)}{size_words(path)})")
        try:
            if kind == "gpx":
                reports.append(_gpx(notebook, path, dry_run, progress))
            elif kind == "lines":
                reports.append(_lines(notebook, path))
            elif kind == "photo":
                tracks = tracks or PhotoTracks(notebook)
                reports.append(_photo(notebook, path, dry_run, photos, tracks))
            else:
                reports.append(_notes(notebook, path, dry_run, any_text, progress))
        except BadFile as error:
            reports.append(_refused(path, kind, error))
        except NotebookError as error:  # no room left, or another program keeps it
            if not any(report.outcome == "stored" for report in reports):
                raise
            reports += _not_reached(ordered[number - 1 :], str(error))
            break
        except KeyboardInterrupt:  # each file is one transaction: those before it are whole
            if not any(report.outcome == "stored" for report in reports):
                raise
            reports += _not_reached(ordered[number - 1 :], "")
            stopped = True
            break
    placed: tuple[PlacedSince, ...] = ()
    photos_placed: tuple[PhotoPlaced, ...] = ()
    if not stopped and any(report.tracks for report in reports):
        placed = place_since(notebook)
        photos_placed = place_photos_since(notebook)
    target = rehearsal_of if rehearsal_of is not None else str(notebook.path)
    return IntakeReport(
        notebook=target,
        dry_run=dry_run,
        files=tuple(reports),
        placed_since=placed,
        photos_placed=photos_placed,
        stopped=stopped,
    )


def _refused(path: Path, kind: FileKind, error: BadFile) -> FileReport:
    return FileReport(path=shown_path(path), kind=kind, outcome="refused", why=str(error))


def _not_reached(left: Sequence[tuple[Path, FileKind]], why: str) -> Iterable[FileReport]:
    for path, kind in left:
        yield FileReport(path=shown_path(path), kind=kind, outcome="not reached", why=why)
        why = ""


def _gpx(notebook: Notebook, path: Path, dry_run: bool, progress: Progress | None) -> FileReport:
    import hashlib

    from backbearing.models.walk import summarise
    from backbearing.notebook import tracks
    from backbearing.readers.gpx import read_gpx
    from backbearing.readers.gunzip import read_whole

    content = read_whole(path)
    sha256 = hashlib.sha256(content).hexdigest()
    known = tracks.find_original(notebook, sha256)
    if known is None:
        file = read_gpx(path, content=content, progress=progress)
        # outside the transaction: others may write while this is worked out
        walks = [(track, summarise(track)) for track in file.tracks if track.segments]
        with notebook.writing():
            known = tracks.find_original(notebook, sha256)
            if known is None:
                original = Original(
                    sha256=sha256,
                    file_name=shown_path(Path(path.name)),
                    media="gpx",
                    content=content,
                    faults=file.faults,
                )
                return _store(notebook, path, original, file, walks, dry_run)
    return FileReport(
        path=shown_path(path),
        kind="gpx",
        outcome="already on record",
        in_bin=tuple(tracks.binned_tracks_of(notebook, known)),
    )


def _store(
    notebook: Notebook,
    path: Path,
    original: Original,
    file: GpxFile,
    walks: list[tuple[Track, WalkSummary]],
    dry_run: bool,
) -> FileReport:
    from backbearing.notebook.tracks import (
        store_original,
        store_route,
        store_track,
        store_waypoint,
    )

    number = store_original(notebook, original)
    stored = []
    for track, summary in walks:
        track_id = store_track(notebook, number, track, summary)
        stored.append(
            TrackReport(
                id=None if dry_run else track_id,
                name=track.name,
                segments=len(track.segments),
                summary=summary,
            )
        )
    routes = [route for route in file.routes if route.points]
    for route in routes:
        store_route(notebook, number, route)
    for waypoint in file.waypoints:
        store_waypoint(notebook, number, waypoint)
    return FileReport(
        path=shown_path(path),
        kind="gpx",
        outcome="stored",
        tracks=tuple(stored),
        empty_tracks=len(file.tracks) - len(walks),
        routes=len(routes),
        waypoints=len(file.waypoints),
        faults=file.faults,
        truncated_at_line=file.truncated_at_line,
    )


def _notes(
    notebook: Notebook, path: Path, dry_run: bool, any_text: bool, progress: Progress | None
) -> FileReport:
    from backbearing.readers.gunzip import read_whole

    name = shown_path(Path(path.name))
    report = store_notes(
        notebook, read_whole(path), name, dry_run=dry_run, any_text=any_text, progress=progress
    )
    known = report.outcome == "already on record"
    return FileReport(
        path=shown_path(path),
        kind="notes",
        outcome="already on record" if known else "stored",
        faults=report.faults,
        notes=report,
    )


def _lines(notebook: Notebook, path: Path) -> FileReport:
    from backbearing.readers.gunzip import read_whole

    report = store_lines(notebook, path, read_whole(path), shown_path(Path(path.name)))
    known = report.outcome == "already on record"
    return FileReport(
        path=shown_path(path),
        kind="lines",
        outcome=report.outcome,
        faults=report.faults,
        lines=None if known else report,
    )


def _photo(
    notebook: Notebook, path: Path, dry_run: bool, choices: PhotoChoices, tracks: PhotoTracks
) -> FileReport:
    from backbearing.readers.gunzip import read_whole

    report = store_photo(
        notebook,
        path,
        read_whole(path),
        shown_path(Path(path.name)),
        choices=choices,
        tracks=tracks,
    )
    if report is None:
        return FileReport(path=shown_path(path), kind="photo", outcome="already on record")
    if dry_run:
        report = replace(report, photo=replace(report.photo, id=None))
    return FileReport(
        path=shown_path(path), kind="photo", outcome="stored", faults=report.faults, photo=report
    )
