"""Which photos on record belong to a subject: those tied to it, and those taken where it stands."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.notebook import Notebook
    from backbearing.records import Photo, Place

MOST_PICTURES = 24  # on a page, each of up to 27 kB there; of the rest the words stand
MOST_OF_ONE = 8  # of them to one subject


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPhoto:
    """A photo of a subject, or from where it stands. away_m: None where the photo has no place.

    zone: of the clock there.
    """

    photo: Photo
    tied: bool  # the user said it is of the subject
    away_m: float | None
    zone: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PagePhoto:
    """A photo with its small picture, a JPEG; b"" where none is kept or the page holds enough."""

    shown: ShownPhoto
    picture: bytes


NEAR_M = 50.0  # beyond a subject's own error


def photos_of(
    photos: Sequence[Photo], subject_id: int | None, place: Place, zone: str
) -> tuple[ShownPhoto, ...]:
    """The photos tied to a subject, or taken within its error and NEAR_M of it, by their time."""
    shown = []
    for photo in photos:
        tied = photo.subject_id is not None and photo.subject_id == subject_id
        away_m = None
        if photo.place is not None:
            away_m = _away_m(photo.place, place)
        if tied or (away_m is not None and away_m <= place.error_m + NEAR_M):
            shown.append(
                ShownPhoto(
                    photo=photo,
                    tied=tied,
                    away_m=None if away_m is None else round(away_m, 1),
                    zone=zone,
                )
            )
    return tuple(shown)


class Album:
    """The photos of a page's subjects, with no more pictures than a page should hold."""

    def __init__(self, notebook: Notebook) -> None:
        from backbearing.notebook.photos import list_photos

        self._notebook = notebook
        self._photos = list_photos(notebook)
        self._left = MOST_PICTURES

    def of(self, subject_id: int | None, place: Place, zone: str) -> tuple[PagePhoto, ...]:
        """The photos of a subject, latest first; the latest have their picture."""
        from backbearing.notebook.photos import load_thumbnail

        found: list[PagePhoto] = []
        for shown in reversed(photos_of(self._photos, subject_id, place, zone)):
            picture = b""
            if self._left and len(found) < MOST_OF_ONE:
                picture = load_thumbnail(self._notebook, shown.photo.id)
                self._left -= bool(picture)
            found.append(PagePhoto(shown=shown, picture=picture))
        return tuple(found)


def _away_m(one: Place, other: Place) -> float:
    """How far apart two places are [m], on a sphere: `show` loads no numpy."""
    radius_m = 6_371_000.0
    first, second = math.radians(one.latitude_deg), math.radians(other.latitude_deg)
    east = math.radians(other.longitude_deg - one.longitude_deg)
    half = (
        math.sin((second - first) / 2) ** 2
        + math.cos(first) * math.cos(second) * math.sin(east / 2) ** 2
    )
    return 2 * radius_m * math.asin(math.sqrt(min(1.0, half)))
