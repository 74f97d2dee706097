"""Photos in words: when, where and which way they were taken."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.words import bearing_text, whole_error_m
from backbearing.writers.text import clean

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.plans.photos import PhotoReport
    from backbearing.plans.photosof import ShownPhoto
    from backbearing.records import Photo, Place

NO_PLACE = "no place: it has no GPS, and no track on record covers its time"


def photo_lines(report: PhotoReport, path: str, dry_run: bool) -> list[str]:
    """What became of a photo: its time and what that rests on, its place, what was dropped."""
    photo = report.photo
    word = "would be kept" if dry_run else "kept"
    picture = (
        f", a picture of {report.thumbnail_bytes / 1000:.0f} kB" if report.thumbnail_bytes else ""
    )
    tied = f", of {report.subject}" if report.subject else ""
    lines = [
        f"photo    {path}: {word}{tied}: its data{picture}, not the photo itself",
        f"  {when_words(photo, report.zone, error=True)} ({photo.time_basis})",
        f"  {place_words(photo.place) if photo.place else NO_PLACE}",
    ]
    if photo.bearing is not None:
        lines.append(f"  looking {bearing_text(photo.bearing)}")
    lines += [f"  left out {fault.field}: {fault.what}" for fault in report.faults]
    return [clean(line) for line in lines]


def when_words(photo: Photo, zone: str, *, error: bool = False) -> str:
    """Day and clock there, and on request how far the clock may be wrong."""
    from backbearing.places.zones import clock_text, local

    if photo.taken_at is None:
        return "no time"
    day = local(photo.taken_at, zone).date().isoformat()
    told = f"{day} {clock_text(photo.taken_at, zone, abbreviation=True)}"
    if not error or not photo.time_error_s:
        return told
    seconds = photo.time_error_s
    doubt = f"{seconds / 60:.0f} min" if seconds >= 120.0 else f"{seconds:.0f} s"
    return f"{told} ± {doubt}"


def place_words(place: Place) -> str:
    """Where a photo was taken, how sure, and what says so."""
    from backbearing.places.coordinates import decimal_text

    where = decimal_text(place.latitude_deg, place.longitude_deg)
    return f"{where} ± {whole_error_m(place.error_m)} m, {place.source} ({place.error_basis})"


def shown_lines(photos: Sequence[ShownPhoto]) -> list[str]:
    """The photos of a subject, two lines each."""
    lines = []
    for shown in photos:
        photo = shown.photo
        parts = [photo.file_name, *said_of(shown)]
        lines.append(f"  {photo.id}  {when_words(photo, shown.zone)}  {', '.join(parts)}")
    return [clean(line) for line in lines]


def said_of(shown: ShownPhoto) -> list[str]:
    """Which way a photo looks, how far off it was taken and what says where, each if known."""
    photo = shown.photo
    parts = []
    if photo.bearing is not None:
        parts.append(f"looking {photo.bearing.true_deg:.0f}° ± {photo.bearing.error_deg:.0f}°")
    if photo.place is None:
        parts.append("place not known")
    else:
        by = "by its GPS" if photo.placed_by == "gps" else f"by {photo.place.source}"
        parts.append(
            f"{shown.away_m or 0.0:.0f} m away ± {whole_error_m(photo.place.error_m)} m {by}"
        )
    return parts
