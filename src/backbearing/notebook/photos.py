"""Photos on record: when, where and which way, and a small picture; never the photo itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from backbearing.errors import NotFound
from backbearing.notebook import columns
from backbearing.notebook.placed import insert_row, place_values, read_place, update_row
from backbearing.records import PHOTO_PLACINGS, PHOTO_THUMBNAIL_BYTES, Photo, PhotoPlacing

if TYPE_CHECKING:
    import sqlite3

    from backbearing.notebook.connection import Notebook
    from backbearing.records import Place

_JPEG = b"\xff\xd8\xff"
_COLUMNS = (  # all but the thumbnail
    "id, geom, sha256, file_name, subject_id, taken_at, time_error_s, time_basis, placed_by, "
    "error_m, error_basis, place_source, bearing_true_deg, bearing_error_deg, "
    "bearing_as_written, bearing_declination_deg, bearing_basis, focal_mm"
)


def store_photo(notebook: Notebook, photo: Photo, thumbnail: bytes) -> int:
    """Put a photo on record with its thumbnail (b"" for none); its number."""
    bearing = photo.bearing
    values: dict[str, Any] = {
        "geom": None,
        "sha256": photo.sha256,
        "file_name": columns.storable(photo.file_name),
        "subject_id": photo.subject_id,
        "taken_at": columns.optional_instant_text(photo.taken_at),
        "time_error_s": photo.time_error_s,
        "time_basis": columns.storable(photo.time_basis),
        "placed_by": photo.placed_by,
        "bearing_true_deg": bearing.true_deg if bearing else None,
        "bearing_error_deg": bearing.error_deg if bearing else None,
        "bearing_as_written": columns.storable(bearing.as_written) if bearing else None,
        "bearing_declination_deg": bearing.declination_deg if bearing else None,
        "bearing_basis": columns.storable(bearing.basis) if bearing else None,
        "focal_mm": photo.focal_mm,
        "thumbnail": thumbnail or None,
    }
    if photo.place is not None:
        values |= place_values(photo.place)
    return insert_row(notebook, "photos", values)


def place_photo(notebook: Notebook, photo_id: int | None, place: Place) -> None:
    """Put a photo where a track was at its time. Raises NotFound where there is none."""
    update_row(notebook, "photos", photo_id, {**place_values(place), "placed_by": "track"})


def find_photo(notebook: Notebook, sha256: str) -> int | None:
    """The number of the photo with these bytes; None where it is not on record."""
    rows = notebook.rows("SELECT id FROM photos WHERE sha256 = ? ORDER BY id", (sha256,))
    return rows[0]["id"] if rows else None


def list_photos(notebook: Notebook) -> list[Photo]:
    """The photos on record by their time, those without one last."""
    rows = notebook.rows(f"SELECT {_COLUMNS} FROM photos ORDER BY id")  # noqa: S608
    photos = [_photo(row) for row in rows]
    return sorted(photos, key=_by_time)


def load_thumbnail(notebook: Notebook, photo_id: int | None) -> bytes:
    """The small JPEG of a photo; b"" where it has none that can be shown. Raises NotFound."""
    rows = notebook.rows("SELECT thumbnail FROM photos WHERE id = ?", (photo_id,))
    if not rows:
        raise NotFound(f"there is no photo number {photo_id} on record")
    thumbnail = rows[0]["thumbnail"]
    return thumbnail if sound_thumbnail(thumbnail) else b""


def sound_thumbnail(value: object) -> bool:
    """Whether a value is a JPEG as small as we make them: another program may have put it in."""
    return (
        isinstance(value, bytes) and len(value) <= PHOTO_THUMBNAIL_BYTES and value.startswith(_JPEG)
    )


def _photo(row: sqlite3.Row) -> Photo:
    place = None if row["geom"] is None else read_place(row)
    placed_by = row["placed_by"] if row["placed_by"] in PHOTO_PLACINGS else ""
    return Photo(
        sha256=columns.read_text(row["sha256"]),
        file_name=columns.read_text(row["file_name"]) or f"photo {row['id']}",
        taken_at=columns.read_instant(row["taken_at"]),
        time_error_s=columns.read_float(row["time_error_s"]),
        time_basis=columns.read_text(row["time_basis"]),
        placed_by=cast("PhotoPlacing", placed_by if place is not None else ""),
        place=place,
        bearing=columns.bearing_from(
            {name: row[f"bearing_{name}"] for name in columns.BEARING_FIELDS}
        ),
        focal_mm=columns.read_float(row["focal_mm"]),
        subject_id=columns.read_int(row["subject_id"]),
        id=row["id"],
    )


def _by_time(photo: Photo) -> tuple[bool, float, int]:
    at = photo.taken_at
    return at is None, at.timestamp() if at else 0.0, photo.id or 0
