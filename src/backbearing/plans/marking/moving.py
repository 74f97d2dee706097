"""Moving a subject along when what it was worked out from is measured anew."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from backbearing.records import CameraPosition, Place

SAME_SPOT_M = 0.5  # two places worked out the same way differ by rounding only


def moved_along(
    place: Place, before: CameraPosition, after: CameraPosition, measured: str | None
) -> Place:
    """The subject's place, worked out anew where it had been worked out from the camera's."""
    from backbearing.places.geodesy import inverse

    was_taped = " taped ± " in place.error_basis
    is_taped = was_taped if measured is None else measured == "taped"
    was, now = _seen_from(before, was_taped), _seen_from(after, is_taped)
    _, apart_m = inverse(
        was.latitude_deg, was.longitude_deg, place.latitude_deg, place.longitude_deg
    )
    _, moved_m = inverse(was.latitude_deg, was.longitude_deg, now.latitude_deg, now.longitude_deg)
    return now if apart_m <= SAME_SPOT_M and moved_m > 0 else place


def _seen_from(camera: CameraPosition, taped: bool) -> Place:
    """Where bearing and distance put the subject; the camera's own place without both."""
    from backbearing.places.geodesy import offset

    if camera.bearing is None or camera.distance_m is None:
        return camera.place
    return offset(
        camera.place,
        camera.bearing,
        camera.distance_m,
        distance_by="taped" if taped else "paced",
    )
