"""Which camera position did a field record put there? Told by its name, which is dated, or main."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from backbearing.records import CameraPosition, Subject


def camera_of_record(
    cameras: Iterable[CameraPosition],
    subject: Subject,
    written_at: datetime,
    zone: str,
    *,
    source: str = "",
) -> CameraPosition | None:
    """Answer which camera position of a subject a record of that instant measured, if any.

    zone: of the clock that dated the name. source: where the record's place came from ("track 6
    at 14:32"); a camera position from the same is the same.
    """
    from backbearing.places.zones import local

    dated = f"{local(written_at, zone):%Y-%m-%d %H:%M}"
    for camera in cameras:
        if camera.name == dated or camera.name.startswith(f"{dated} ("):
            return camera
        if camera.name == "main" and subject.marked_at == written_at:
            return camera
        if source not in ("", "typed") and camera.place.source == source:
            return camera
    return None
