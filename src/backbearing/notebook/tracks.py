"""What files brought in: originals, tracks with their segments, routes, waypoints.

`list_tracks` reads the numbers kept with each track and needs no numpy; only `load_track`
and `store_track` touch fixes.
"""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from backbearing.errors import NotebookError, NotFound, quoted
from backbearing.notebook import columns, geometry
from backbearing.records import (
    MEDIA,
    Original,
    Route,
    Segment,
    StoredTrack,
    Track,
    WalkSummary,
    Waypoint,
)

if TYPE_CHECKING:
    from backbearing.notebook.connection import Notebook
    from backbearing.records import Media, Times

LARGEST_ORIGINAL = 1 << 29  # bytes; nothing that large is read in, so none can be on record

Bounds = tuple[float, float, float, float]  # west, south, east, north [deg]

# ---------------------------------------------------------------- originals


def find_original(notebook: Notebook, sha256: str) -> int | None:
    """The number of a file already on record, None where it is new."""
    rows = notebook.rows("SELECT id FROM originals WHERE sha256 = ?", (sha256,))
    return rows[0]["id"] if rows else None


def list_originals(notebook: Notebook, media: Media) -> list[int]:
    """The numbers of the files on record of one kind, in the order they came."""
    rows = notebook.rows("SELECT id FROM originals WHERE media = ? ORDER BY id", (media,))
    return [row["id"] for row in rows]


def binned_tracks_of(notebook: Notebook, original_id: int) -> list[int]:
    """The bin's numbers of the tracks that came from this file and were deleted since."""
    rows = notebook.rows(
        "SELECT DISTINCT bin_id FROM bin_rows WHERE table_name = 'tracks' "
        "AND json_extract(row, '$.original_id') = ? ORDER BY bin_id",
        (original_id,),
    )
    return [row["bin_id"] for row in rows]


def store_original(notebook: Notebook, original: Original) -> int:
    """Keep a file as it was given (packed); its number. The last part of its name only."""
    import zlib

    return notebook.run(
        "INSERT INTO originals (sha256, file_name, media, imported_at, size, faults, content) "
        "VALUES (?, ?, ?, ?, ?, ?, ?)",
        (
            original.sha256,
            columns.storable(original.file_name.replace("\\", "/").rsplit("/", 1)[-1]),
            original.media,
            columns.instant_text(datetime.now(UTC)),
            len(original.content),
            columns.faults_text(original.faults),
            # level 1: a third of the time of level 6 for a tenth more bytes on GPX
            zlib.compress(original.content, 1),
        ),
    )


def load_original(notebook: Notebook, original_id: int) -> Original:
    """A file as it was given. Raises NotFound, and NotebookError where it is damaged."""
    import zlib

    rows = notebook.rows("SELECT * FROM originals WHERE id = ?", (original_id,))
    if not rows:
        raise NotFound(f"there is no file number {original_id} on record")
    row = rows[0]
    size = columns.read_int(row["size"])
    content = b""
    try:
        if size is not None and 0 <= size <= LARGEST_ORIGINAL:
            # bounded: never more than the row says it holds
            content = zlib.decompressobj().decompress(row["content"], size + 1)
    except (zlib.error, TypeError):
        size = None
    if len(content) != size:
        raise NotebookError(
            f"the kept copy of {quoted(row['file_name'])} is damaged",
            where=f"notebook {quoted(notebook.path, 200)}",
            remedy="go back to a backup",
        )
    return Original(
        sha256=columns.read_text(row["sha256"]),
        file_name=columns.read_text(row["file_name"]),
        media=row["media"] if row["media"] in MEDIA else "gpx",
        content=content,
        faults=columns.read_faults(row["faults"]),
    )


# ---------------------------------------------------------------- tracks


def store_track(notebook: Notebook, original_id: int, track: Track, summary: WalkSummary) -> int:
    """Put a track and its segments on record; its number. Each segment is one LINESTRING ZM."""
    track_id = notebook.run(
        "INSERT INTO tracks (original_id, name, comment, description, kind, line, points, "
        "length_m, ascent_m, descent_m, moving_s, standing_s, suspect_fixes, gaps, started, "
        "ended, west_deg, south_deg, east_deg, north_deg) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            original_id,
            columns.storable(track.name),
            columns.storable(track.comment),
            columns.storable(track.description),
            columns.storable(track.kind),
            track.line,
            int(summary.points),
            *map(_float, (summary.length_m, summary.ascent_m, summary.descent_m)),
            *map(_float, (summary.moving_s, summary.standing_s)),
            int(summary.suspect_fixes),
            int(summary.gaps),
            columns.optional_instant_text(summary.started),
            columns.optional_instant_text(summary.ended),
            *map(_float, summary.bounds_deg or (None,) * 4),
        ),
    )
    for number, segment in enumerate(track.segments):
        started, ended = _first_and_last(segment.time)
        blob = geometry.segment_blob(
            segment.longitude_deg, segment.latitude_deg, segment.height_m, segment.time
        )
        notebook.changed("segments", blob)
        notebook.run(
            "INSERT INTO segments (geom, track_id, number, points, started, ended) "
            "VALUES (?, ?, ?, ?, ?, ?)",
            (
                blob,
                track_id,
                number,
                len(segment.longitude_deg),
                started,
                ended,
            ),
        )
    notebook.changed("tracks")
    return track_id


_TRACK_ROWS = (
    "SELECT t.*, o.file_name, (SELECT count(*) FROM segments s WHERE s.track_id = t.id) "
    "AS segment_count FROM tracks t LEFT JOIN originals o ON o.id = t.original_id"
)


def list_tracks(
    notebook: Notebook,
    *,
    since: datetime | None = None,
    until: datetime | None = None,
    bounds_deg: Bounds | None = None,
) -> list[StoredTrack]:
    """The tracks on record, oldest first and those without times last, without their fixes.

    since, until: only what was under way between these instants; a track without times is
    left out then. bounds_deg: only what touches this box; west > east crosses the antimeridian.
    """
    found = []
    for row in notebook.rows(_TRACK_ROWS):
        track = _stored(row)
        if _within(track.summary, since, until) and _touches(track.summary.bounds_deg, bounds_deg):
            found.append(track)
    last = datetime.max.replace(tzinfo=UTC)
    return sorted(found, key=lambda t: (t.summary.started or last, t.id))


def load_track(notebook: Notebook, track_id: int) -> Track:
    """A track with all its fixes.

    Raises NotFound, and NotebookError where a segment's geometry cannot be read.
    """
    rows = notebook.rows("SELECT * FROM tracks WHERE id = ?", (track_id,))
    if not rows:
        raise NotFound(
            f"there is no track {track_id} on record",
            remedy="'backbearing tracks' lists them, 'backbearing restore' the bin",
        )
    segments: list[Segment] = []
    for row in notebook.rows(
        "SELECT id, geom, points FROM segments WHERE track_id = ? ORDER BY number, id", (track_id,)
    ):
        if row["geom"] is None:
            continue  # `check` reports it
        try:
            lines = geometry.read_segments(row["geom"], row["points"])
        except geometry.BadGeometry as error:
            raise NotebookError(
                f"segment {row['id']} of track {track_id} cannot be read: {error}",
                where=f"notebook {quoted(notebook.path, 200)}",
                remedy="run 'backbearing check' on it, and go back to a backup",
            ) from error
        segments.extend(
            Segment(longitude_deg=x, latitude_deg=y, height_m=z, time=t) for x, y, z, t in lines
        )
    row = rows[0]
    return Track(
        name=columns.read_text(row["name"]),
        comment=columns.read_text(row["comment"]),
        description=columns.read_text(row["description"]),
        kind=columns.read_text(row["kind"]),
        segments=tuple(segments),
        line=columns.read_int(row["line"]),
    )


def iterate_tracks(notebook: Notebook) -> Iterator[tuple[StoredTrack, Track]]:
    """Each track on record with its fixes, one after the other, oldest first."""
    for stored in list_tracks(notebook):
        yield stored, load_track(notebook, stored.id)


def _stored(row: sqlite3.Row) -> StoredTrack:
    sides = [columns.read_float(row[f"{side}_deg"]) for side in ("west", "south", "east", "north")]
    west, south, east, north = sides
    bounds = None
    if west is not None and south is not None and east is not None and north is not None:
        bounds = (west, south, east, north)
    return StoredTrack(
        id=row["id"],
        name=columns.read_text(row["name"]),
        comment=columns.read_text(row["comment"]),
        description=columns.read_text(row["description"]),
        kind=columns.read_text(row["kind"]),
        file_name=columns.read_text(row["file_name"]),
        segments=row["segment_count"],
        summary=WalkSummary(
            points=columns.read_int(row["points"]) or 0,
            length_m=columns.read_float(row["length_m"]) or 0.0,
            ascent_m=columns.read_float(row["ascent_m"]),
            descent_m=columns.read_float(row["descent_m"]),
            moving_s=columns.read_float(row["moving_s"]),
            standing_s=columns.read_float(row["standing_s"]),
            suspect_fixes=columns.read_int(row["suspect_fixes"]) or 0,
            gaps=columns.read_int(row["gaps"]) or 0,
            started=columns.read_instant(row["started"]),
            ended=columns.read_instant(row["ended"]),
            bounds_deg=bounds,
        ),
    )


def _within(summary: WalkSummary, since: datetime | None, until: datetime | None) -> bool:
    if since is None and until is None:
        return True
    if summary.started is None:
        return False
    ended = summary.ended or summary.started
    return (since is None or ended >= since) and (until is None or summary.started <= until)


def _touches(box: Bounds | None, asked: Bounds | None) -> bool:
    if asked is None:
        return True
    if box is None:
        return False
    if box[3] < asked[1] or box[1] > asked[3]:
        return False
    spans = [_spans(b[0], b[2]) for b in (box, asked)]
    return any(a[0] <= b[1] and b[0] <= a[1] for a in spans[0] for b in spans[1])


def _spans(west: float, east: float) -> list[tuple[float, float]]:
    """A range of longitudes as one span, or two where it crosses the antimeridian."""
    return [(west, east)] if west <= east else [(west, 180.0), (-180.0, east)]


def _first_and_last(time: Times) -> tuple[str | None, str | None]:
    import numpy as np

    known = time[~np.isnat(time)]
    if not known.size:
        return None, None
    first, last = known.min(), known.max()
    return f"{first.astype('datetime64[ms]')}Z", f"{last.astype('datetime64[ms]')}Z"


def _float(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else float(value)


# ---------------------------------------------------------------- routes and waypoints


def store_route(notebook: Notebook, original_id: int, route: Route) -> int:
    """Put a planned walk on record; its number."""
    blob = geometry.route_blob(
        [(p.longitude_deg, p.latitude_deg, p.height_m) for p in route.points]
    )
    notebook.changed("routes", blob)
    return notebook.run(
        "INSERT INTO routes (geom, original_id, name, comment, description, line, points) "
        "VALUES (?, ?, ?, ?, ?, ?, ?)",
        (
            blob,
            original_id,
            columns.storable(route.name),
            columns.storable(route.comment),
            columns.storable(route.description),
            route.line,
            columns.route_points_text(route.points),
        ),
    )


def list_routes(notebook: Notebook) -> list[Route]:
    """The planned walks on record, in the order they came."""
    found = []
    for row in notebook.rows("SELECT * FROM routes ORDER BY id"):
        try:
            vertices = geometry.vertices(row["geom"])
        except geometry.BadGeometry:
            continue  # `check` reports it
        found.append(
            Route(
                name=columns.read_text(row["name"]),
                comment=columns.read_text(row["comment"]),
                description=columns.read_text(row["description"]),
                points=columns.read_route_points(row["points"], vertices),
                line=columns.read_int(row["line"]),
                id=row["id"],
            )
        )
    return found


def store_waypoint(notebook: Notebook, original_id: int, waypoint: Waypoint) -> int:
    """Put a named point on record; its number."""
    blob = geometry.point_blob(waypoint.longitude_deg, waypoint.latitude_deg, waypoint.height_m)
    notebook.changed("waypoints", blob)
    return notebook.run(
        "INSERT INTO waypoints (geom, original_id, name, comment, description, symbol, kind, "
        "time, line) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            blob,
            original_id,
            *map(
                columns.storable,
                (
                    waypoint.name,
                    waypoint.comment,
                    waypoint.description,
                    waypoint.symbol,
                    waypoint.kind,
                ),
            ),
            columns.optional_instant_text(waypoint.time),
            waypoint.line,
        ),
    )


def list_waypoints(notebook: Notebook) -> list[Waypoint]:
    """The named points on record, in the order they came."""
    found = []
    for row in notebook.rows("SELECT * FROM waypoints ORDER BY id"):
        try:
            longitude_deg, latitude_deg, height_m = geometry.read_point(row["geom"])
        except geometry.BadGeometry:
            continue  # `check` reports it
        found.append(
            Waypoint(
                latitude_deg=latitude_deg,
                longitude_deg=longitude_deg,
                height_m=height_m,
                time=columns.read_instant(row["time"]),
                name=columns.read_text(row["name"]),
                comment=columns.read_text(row["comment"]),
                description=columns.read_text(row["description"]),
                symbol=columns.read_text(row["symbol"]),
                kind=columns.read_text(row["kind"]),
                line=columns.read_int(row["line"]),
                id=row["id"],
            )
        )
    return found
