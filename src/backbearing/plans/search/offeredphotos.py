"""Offered beside the pauses, before any memory is asked: photos taken on the ground searched."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.places.zones import local
from backbearing.plans.search.offered import MOST_OFFERED, on_ground
from backbearing.plans.settings import zone_at

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import date

    from backbearing.notebook import Notebook
    from backbearing.plans.search.ground import SearchGround
    from backbearing.records import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedPhoto:
    """A photo taken on the ground of a search: is it on it?

    along_m, side: along the ground's line; None and '' on a grid. looking_deg: the way the camera
    looked, true. of_subject: another subject that it is of, '' for none.
    """

    photo_id: int
    file_name: str
    day: date
    clock: str  # local
    latitude_deg: float
    longitude_deg: float
    error_m: float
    looking_deg: float | None
    along_m: float | None
    side: str
    of_subject: str


def offered_photos(
    notebook: Notebook,
    ground: SearchGround,
    near: Place,
    *,
    subject_id: int | None,
    months: Collection[int] = (),
) -> tuple[OfferedPhoto, ...]:
    """Which photos with a time were taken on the ground, in these months: by their time.

    near: where the ground's clock is read. subject_id: of the subject searched. months: 1 … 12;
    all where there are none. Photos of another subject come last.
    """
    from backbearing.notebook.photos import list_photos
    from backbearing.notebook.subjects import list_subjects

    zone = zone_at(notebook, near)
    names = {each.id: each.name for each in list_subjects(notebook) if each.id != subject_id}
    found = []
    for photo in list_photos(notebook):
        place = photo.place
        if place is None or photo.taken_at is None:
            continue
        there = local(photo.taken_at, zone)
        if months and there.month not in months:
            continue
        x, y = ground.plane.at(np.array([place.latitude_deg]), np.array([place.longitude_deg]))
        on = on_ground(ground, place.error_m, x, y)
        if on is None:
            continue
        found.append(
            OfferedPhoto(
                photo_id=photo.id or 0,
                file_name=photo.file_name,
                day=there.date(),
                clock=f"{there:%H:%M}",
                latitude_deg=place.latitude_deg,
                longitude_deg=place.longitude_deg,
                error_m=place.error_m,
                looking_deg=photo.bearing.true_deg if photo.bearing else None,
                along_m=on[0],
                side=on[1],
                of_subject=names.get(photo.subject_id, ""),
            )
        )
    found.sort(key=lambda each: bool(each.of_subject))
    return tuple(found[:MOST_OFFERED])
