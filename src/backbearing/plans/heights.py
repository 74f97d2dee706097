"""How high a subject lies, where its own place does not say."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.records import CameraPosition, Place


def place_with_height(place: Place, cameras: Sequence[CameraPosition]) -> tuple[Place, str]:
    """A subject's place with its own height, else that of its first camera position with one.

    Returns the place, and the name of the camera position that lent its height, '' where none
    did. A camera stands near enough to its subject for all that a height does to the sun.
    """
    if place.height_m is None:
        for camera in cameras:
            if camera.place.height_m is not None:
                return replace(place, height_m=camera.place.height_m), camera.name
    return place, ""
