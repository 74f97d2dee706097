"""Photos from a phone or camera: what a file says of itself, and what is kept of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from backbearing.records.places import Bearing, Place
    from backbearing.records.tracks import Fault

PhotoPlacing = Literal["", "gps", "track"]
PHOTO_PLACINGS: tuple[PhotoPlacing, ...] = ("", "gps", "track")  # "": not known where
PHOTO_THUMBNAIL_BYTES = 20_000  # at most


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoFile:
    """What a photo's own data say, each None where the file does not, or says nonsense.

    clock: the camera's, without a zone; zone_offset: of that clock from UTC. gps_time: UTC.
    gps_error_m: as the file gives it, its confidence not stated. direction_deg: of the image, by
    magnetic north where `direction_is_magnetic`. thumbnail: JPEG, upright, with no data of its
    own; b"" where none could be or was to be made.
    """

    clock: datetime | None = None
    zone_offset: timedelta | None = None
    gps_time: datetime | None = None
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    gps_error_m: float | None = None
    direction_deg: float | None = None
    direction_is_magnetic: bool = False
    focal_mm: float | None = None
    thumbnail: bytes = b""
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A photo on record, without its thumbnail; the picture itself is not kept.

    taken_at ± time_error_s (95 %), resting on time_basis. placed_by: what says where it was
    taken; place is None where nothing does. bearing: the way the camera looked.
    """

    sha256: str
    file_name: str  # the last part only, never a path
    taken_at: datetime | None
    time_error_s: float | None
    time_basis: str
    placed_by: PhotoPlacing = ""
    place: Place | None = None
    bearing: Bearing | None = None
    focal_mm: float | None = None
    subject_id: int | None = None
    id: int | None = None
