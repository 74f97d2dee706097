"""Photos in words: when, where and which way they were taken."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.words import bearing_text, whole_error_m
from backbearing.saying import phrase, say
from backbearing.writers.text import clean

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.plans.photos import PhotoReport
    from backbearing.plans.photosof import ShownPhoto
    from backbearing.records import Photo, Place

NO_PLACE = phrase("no place: it has no GPS, and no track on record covers its time")


def photo_lines(report: PhotoReport, path: str, dry_run: bool) -> list[str]:
    """What became of a photo: its time and what that rests on, its place, what was dropped."""
    photo = report.photo
    word = say("would be kept") if dry_run else "kept"
    picture = (
        say(
            ", a picture of {thumbnail_bytes:.0f} kB", thumbnail_bytes=report.thumbnail_bytes / 1000
        )
        if report.thumbnail_bytes
        else ""
    )
    tied = say(", of {subject}", subject=report.subject) if report.subject else ""
    lines = [
        say(
            "photo    {path}: {word}{tied}: its data{picture}, not the photo itself",
            path=path,
            word=word,
            tied=tied,
            picture=picture,
        ),
        f"  {when_words(photo, report.zone, error=True)} ({photo.time_basis})",
        f"  {place_words(photo.place) if photo.place else say(NO_PLACE)}",
    ]
    if photo.bearing is not None:
        lines.append(say("  looking {bearing}", bearing=bearing_text(photo.bearing)))
    lines += [
        say("  left out {field}: {what}", field=fault.field, what=fault.what)
        for fault in report.faults
    ]
    return [clean(line) for line in lines]


def when_words(photo: Photo, zone: str, *, error: bool = False) -> str:
    """Day and clock there, and on request how far the clock may be wrong."""
    from backbearing.places.zones import clock_text, local

    if photo.taken_at is None:
        return say("no time")
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
        parts.append(
            say(
                "looking {true_deg:.0f}° ± {error_deg:.0f}°",
                true_deg=photo.bearing.true_deg,
                error_deg=photo.bearing.error_deg,
            )
        )
    if photo.place is None:
        parts.append(say("place not known"))
    else:
        by = (
            say("by its GPS")
            if photo.placed_by == "gps"
            else say("by {source}", source=photo.place.source)
        )
        parts.append(
            say(
                "{away_m:.0f} m away ± {error_m} m {by}",
                away_m=shown.away_m or 0.0,
                error_m=whole_error_m(photo.place.error_m),
                by=by,
            )
        )
    return parts
