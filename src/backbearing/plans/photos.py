"""Photos into the notebook: when each was taken and where, as far as its data and tracks say.

The photo itself is not kept, only what it says of itself and a small picture of it: a notebook
that is handed on gives no full picture away, and stays small.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, NotebookError, quoted
from backbearing.records import POSITION_ERROR_M, Bearing, Fault, Photo, Place

if TYPE_CHECKING:
    from pathlib import Path

    from backbearing.notebook import Notebook
    from backbearing.records import PhotoFile, StoredTrack, Track

# 95 %; common practice, no source
CHECKED_CLOCK_S = 5.0  # told how it went, or set right by the photo's own GPS time
UNCHECKED_CLOCK_S = 120.0
WALKING_M_S = 1.2  # where the track does not say how fast
# GPS time is that of the last fix: no farther from the clock than this, the two are of one moment
FIX_AGE_S = 300.0
# Exif names a radius without its confidence; receivers mean 68 % of a circular normal error
FROM_68_TO_95 = math.sqrt(math.log(0.05) / math.log(0.32))


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoChoices:
    """What the user says of the photos imported: how far the camera's clock went wrong [s, to be
    added], the subject they are of, and whether small pictures are kept."""

    clock_offset_s: float | None = None
    subject: str | None = None
    thumbnails: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoReport:
    """A photo as it was, or would be, put on record.

    zone: of the clock that names its time. thumbnail_bytes: of the small picture kept.
    """

    photo: Photo
    zone: str = "UTC"
    subject: str = ""
    thumbnail_bytes: int = 0
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoPlaced:
    """A photo on record without a place, which a track imported since covers."""

    file_name: str
    place: Place


def read_clock_offset(text: str, *, where: str = "--clock-offset") -> float:
    """What to add to a camera's clock [s]: `+207s`, `-1h`, or a sum of them, `-1h +207s`.

    Raises BadInput for anything else, a missing sign above all.
    """
    import re

    from backbearing.places.lengths import read_duration_s

    parts = re.findall(r"([+\-−])\s*([^+\-−]+)", text)
    if not parts or re.sub(r"\s", "", "".join(map("".join, parts))) != re.sub(r"\s", "", text):
        raise BadInput(
            f"{quoted(text)} is no offset with a sign",
            where=where,
            remedy="write what to add to the camera's clock, as +207s or -1h",
        )
    return sum(
        (1.0 if sign == "+" else -1.0) * read_duration_s(span.strip(), where=where)
        for sign, span in parts
    )


def store_photo(
    notebook: Notebook,
    path: str | Path,
    content: bytes,
    file_name: str,
    *,
    choices: PhotoChoices,
    tracks: PhotoTracks,
) -> PhotoReport | None:
    """Put a photo on record, placed by its own GPS or by its time on a track.

    None where the same bytes are on record already. file_name: as it is kept and shown.
    Raises BadFile as `readers.photos.read_photo` does, NotFound for an unknown subject,
    NotebookError.
    """
    import hashlib

    from backbearing.notebook import photos as shelf
    from backbearing.readers.photos import read_photo

    sha256 = hashlib.sha256(content).hexdigest()
    if shelf.find_photo(notebook, sha256) is not None:
        return None
    file = read_photo(path, content=content, thumbnail=choices.thumbnails)
    place = own_place(file)
    zone, zone_words = _zone(notebook, place)
    photo = taken(file, zone, zone_words, clock_offset_s=choices.clock_offset_s)
    photo = replace(photo, sha256=sha256, file_name=file_name, place=place)
    if place is not None:
        photo = replace(photo, placed_by="gps")
    elif (by_track := tracks.place(photo)) is not None:
        photo = replace(photo, placed_by="track", place=by_track)
    bearing, faults = _bearing(file, photo)
    subject = None
    if choices.subject is not None:
        from backbearing.notebook.subjects import find_subject

        subject = find_subject(notebook, choices.subject)
    photo = replace(photo, bearing=bearing, subject_id=subject.id if subject else None)
    with notebook.writing():
        if shelf.find_photo(notebook, sha256) is not None:
            return None
        number = shelf.store_photo(notebook, photo, file.thumbnail)
    return PhotoReport(
        photo=replace(photo, id=number),
        zone=zone,
        subject=subject.name if subject else "",
        thumbnail_bytes=len(file.thumbnail),
        faults=(*file.faults, *faults),
    )


def own_place(file: PhotoFile) -> Place | None:
    """Where a photo's own GPS says it was taken; None where it does not."""
    if file.latitude_deg is None or file.longitude_deg is None:
        return None
    error_m, basis = POSITION_ERROR_M["open"], "assumed: open sky"
    if file.gps_error_m is not None:
        error_m = file.gps_error_m * FROM_68_TO_95
        basis = f"the photo's ± {file.gps_error_m:.3g} m, taken as its 68 % circle"
    return Place(
        latitude_deg=file.latitude_deg,
        longitude_deg=file.longitude_deg,
        error_m=error_m,
        error_basis=basis,
        source="the photo's own GPS",
    )


def taken(
    file: PhotoFile, zone: str, zone_words: str, *, clock_offset_s: float | None = None
) -> Photo:
    """When a photo was taken, as a record that says nothing yet of where.

    The camera's clock, in the zone its offset tag names; else in that which brings it nearest its
    GPS time; else in `zone`. Only without a clock does the GPS time itself count: it is that of
    the last fix. UTC = clock − offset of its zone + clock_offset_s.
    """
    from backbearing.places.zones import zone as zone_of

    at, error_s, basis = file.gps_time, FIX_AGE_S, "the photo's GPS time, that of its last fix"
    if at is None:
        error_s, basis = 0.0, "the photo names no time"
    if file.clock is not None:
        offset, said = file.zone_offset, "camera clock, its zone in the photo"
        if offset is None and (nearest := _offset_by_gps(file.clock, file.gps_time)) is not None:
            offset, said = nearest, "camera clock, its zone by the photo's GPS time"
        if offset is not None:
            at = (file.clock - offset).replace(tzinfo=UTC)
        else:
            at = file.clock.replace(tzinfo=zone_of(zone)).astimezone(UTC)
            said = f"camera clock, {zone_words}"
        apart_s = abs((at - file.gps_time).total_seconds()) if file.gps_time else math.inf
        if clock_offset_s is not None:
            at += timedelta(seconds=clock_offset_s)
            error_s, basis = CHECKED_CLOCK_S, f"{said}, {clock_offset_s:+.0f} s as told"
        elif apart_s <= FIX_AGE_S:
            error_s = max(CHECKED_CLOCK_S, apart_s)
            basis = f"{said}; {apart_s:.0f} s from its GPS time"
        else:
            error_s, basis = UNCHECKED_CLOCK_S, f"{said}; how far it went wrong is not known"
    return Photo(
        sha256="",
        file_name="",
        taken_at=at,
        time_error_s=error_s if at is not None else None,
        time_basis=basis,
        focal_mm=file.focal_mm,
    )


def _offset_by_gps(clock: datetime, gps_time: datetime | None) -> timedelta | None:
    """The zone of a clock, by quarter hours, that brings it nearest a GPS time; None for none."""
    if gps_time is None:
        return None
    ahead_s = (clock - gps_time.replace(tzinfo=None)).total_seconds()
    quarters = round(ahead_s / 900.0) * 900.0
    if abs(ahead_s - quarters) > FIX_AGE_S or abs(quarters) > 14 * 3600.0:
        return None
    return timedelta(seconds=quarters)


def _zone(notebook: Notebook, place: Place | None) -> tuple[str, str]:
    """The zone of a camera's clock that names none, and how it was come by, as a clause."""
    from backbearing.plans.settings import zone_at, zone_setting

    if place is not None:
        name = zone_at(notebook, place)
        return name, f"taken as {name}, where the photo was taken"
    setting = zone_setting(notebook)
    if setting is not None:
        return setting, f"taken as {setting}, the notebook's zone"
    return "UTC", "taken as UTC, as the notebook has no zone"


def _bearing(file: PhotoFile, photo: Photo) -> tuple[Bearing | None, tuple[Fault, ...]]:
    """The way the camera looked, true; with magnetic north only where a place makes it so."""
    from backbearing.places.bearings import read_bearing

    if file.direction_deg is None:
        return None, ()
    letter = "M" if file.direction_is_magnetic else "T"
    place, day = photo.place, (photo.taken_at or datetime(2000, 1, 1, tzinfo=UTC)).date()
    why = "it is magnetic, and where it was taken is not known"
    if letter == "T" or (place is not None and photo.taken_at is not None):
        try:
            read = read_bearing(
                f"{file.direction_deg:.2f}{letter}",
                latitude_deg=place.latitude_deg if place else 0.0,
                longitude_deg=place.longitude_deg if place else 0.0,
                height_m=None,
                on=day,
                instrument="phone",
                where="GPSImgDirection",
            )
        except BadInput as error:  # no model of the field for that day or place
            why = error.what
        else:
            return replace(read, basis="the photo's compass, assumed ± 10°"), ()
    return None, (Fault(line=0, field="GPSImgDirection", what=why, action="dropped"),)


class PhotoTracks:
    """The tracks on record, each loaded once, to say where one was at a photo's time."""

    def __init__(self, notebook: Notebook) -> None:
        from backbearing.notebook.tracks import list_tracks

        self._notebook = notebook
        self._stored: list[StoredTrack] = list_tracks(notebook)
        self._loaded: dict[int, Track | None] = {}

    def place(self, photo: Photo) -> Place | None:
        """Where a track was when the photo was taken; None where none covers it.

        Its error: the track's own, joined by how far it had got in the time the clock may be
        wrong. Nothing is bridged over five minutes without a fix.
        """
        from backbearing.models.walk import position_at

        at = photo.taken_at
        if at is None:
            return None
        for stored in self._stored:
            started, ended = stored.summary.started, stored.summary.ended
            if started is None or ended is None or not started <= at <= ended:
                continue
            track = self._track(stored.id)
            place = position_at(track, at) if track is not None else None
            if track is None or place is None:
                continue
            doubt_s = photo.time_error_s or 0.0
            strayed_m = _strayed_m(track, at, doubt_s, place)
            return replace(
                place,
                error_m=math.hypot(place.error_m, strayed_m),
                error_basis=f"{place.error_basis}; {strayed_m:.0f} m more, as the camera's clock "
                f"is known to ± {doubt_s:.0f} s",
                source=f"track {stored.id} at {at:%H:%M:%S} UTC",
            )
        return None

    def _track(self, number: int) -> Track | None:
        from backbearing.notebook.tracks import load_track

        if number not in self._loaded:
            try:
                self._loaded[number] = load_track(self._notebook, number)
            except NotebookError:  # damaged: `check` names it
                self._loaded[number] = None
        return self._loaded[number]


def _strayed_m(track: Track, at: datetime, doubt_s: float, place: Place) -> float:
    """How far from a place a track was at most in the time a clock may be wrong."""
    from backbearing.models.walk import position_at
    from backbearing.places.geodesy import inverse

    farthest = 0.0
    for part in (-1.0, -0.5, 0.5, 1.0):
        there = position_at(track, at + timedelta(seconds=part * doubt_s))
        away_m = WALKING_M_S * abs(part) * doubt_s
        if there is not None:
            _, distance = inverse(
                place.latitude_deg, place.longitude_deg, there.latitude_deg, there.longitude_deg
            )
            away_m = float(distance)
        farthest = max(farthest, away_m)
    return farthest


def place_photos_since(notebook: Notebook) -> tuple[PhotoPlaced, ...]:
    """Put photos without a place where tracks imported since were at their time."""
    from backbearing.notebook.photos import list_photos, place_photo

    waiting = [one for one in list_photos(notebook) if one.place is None and one.taken_at]
    if not waiting:
        return ()
    tracks = PhotoTracks(notebook)
    found = [(one, place) for one in waiting if (place := tracks.place(one)) is not None]
    if found:
        with notebook.writing():
            for photo, place in found:
                place_photo(notebook, photo.id, place)
    return tuple(PhotoPlaced(file_name=photo.file_name, place=place) for photo, place in found)
