"""Which way the face of a subject looks, and how much sky it sees over its skyline."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.models.illuminance import scenario
from backbearing.models.skyview import sky_view_factor
from backbearing.places.words import degrees_text
from backbearing.plans.standins import FACING_ERROR_DEG, camera_line
from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.plans.light.sky import Sky
    from backbearing.records import CameraPosition, Floats, Skyline, Subject

# 95 %, of a face that is only known to be looked at from the camera; common practice, no source
SEEN_FACE_ERROR_DEG = 45.0
_ASPECTS = 8  # whose sky views are averaged where the face's own aspect is not known


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """The face that is photographed: which way it looks, and how that is known."""

    azimuth_deg: float | None  # None: turned to the sun
    tilt_deg: float  # 0 lies flat, 90 upright
    basis: Literal["facing on record", "towards the camera", "not known"]
    words: str
    error_deg: float = 180.0  # either way; 180: it may look anywhere


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SkySeen:
    """The share of the sky's light that ground and trees leave, 1 for open level ground.

    Each a number, or an array of the times' shape where trees change with the months.
    """

    face: float | Floats
    level: float | Floats  # of level ground before the face
    ground: float  # of the face's view, that is ground or slopes


@dataclass(frozen=True, slots=True, kw_only=True)
class SkyParts:
    """The sky over the trees, and all of it over the bare ground; the same where there are none."""

    over_trees: SkySeen
    over_ground: SkySeen

    def seen(self, let_through: float | Floats) -> SkySeen:
        """Both put together, the part behind the trees by the share of light they let through.

        Leaves and branches are taken to throw nothing back themselves.
        """
        trees, ground = self.over_trees, self.over_ground
        return SkySeen(
            face=trees.face + let_through * np.maximum(ground.face - trees.face, 0.0),
            level=trees.level + let_through * np.maximum(ground.level - trees.level, 0.0),
            ground=ground.ground,
        )


def face_of(subject: Subject, camera: CameraPosition | None, tilt_deg: float = 90.0) -> Face:
    """Which way does the face of a subject look: on record, else towards this camera, if any?"""
    if subject.facing_deg is not None:
        return Face(
            azimuth_deg=subject.facing_deg,
            tilt_deg=tilt_deg,
            basis="facing on record",
            words=say("its face looks to {facing}", facing=degrees_text(subject.facing_deg)),
            error_deg=FACING_ERROR_DEG,
        )
    bearing = camera_line(camera.bearing, None) if camera is not None else None
    if bearing is None:
        return Face(
            azimuth_deg=None,
            tilt_deg=tilt_deg,
            basis="not known",
            words=say("no facing and no bearing on record: its face is taken as turned to the sun"),
        )
    back_deg = (bearing.true_deg + 180.0) % 360.0
    return Face(
        azimuth_deg=back_deg,
        tilt_deg=tilt_deg,
        basis="towards the camera",
        words=say(
            "no facing on record: its face is taken to look at the camera, to "
            "{back} ± {seen_face_error_deg:.0f}°",
            back=degrees_text(back_deg),
            seen_face_error_deg=SEEN_FACE_ERROR_DEG,
        ),
        error_deg=SEEN_FACE_ERROR_DEG,
    )


@lru_cache(maxsize=8)  # the same sky is asked of day after day
def sky_parts(sky: Sky, face: Face, kind: str = "clear") -> SkyParts:
    """How much of the sky's light reaches a face over the trees, and how much over the ground?

    kind: of sky. Raises BadInput for an unknown one.
    """
    over_trees = sky_seen(sky.skyline, face, kind)
    if sky.ground is None:
        return SkyParts(over_trees=over_trees, over_ground=over_trees)
    return SkyParts(over_trees=over_trees, over_ground=sky_seen(sky.ground, face, kind))


def trees_take_words(stops: float, doubt_stops: float) -> str:
    """'4 ± 1 stops taken by the trees of the light through them (common practice, no source)'."""
    return say(
        "{stops:g} ± {doubt_stops:g} stops taken by the trees of the light "
        "through them (common practice, no source)",
        stops=stops,
        doubt_stops=doubt_stops,
    )


def sky_seen(skyline: Skyline, face: Face, sky: str = "clear") -> SkySeen:
    """How much of the sky's light reaches a face under a skyline, and the ground before it?

    Where the face's aspect is not known its views are averaged over all aspects.
    Raises BadInput for an unknown sky.
    """
    aspects = [360.0 / _ASPECTS * number for number in range(_ASPECTS)]
    if face.azimuth_deg is not None:
        aspects = [face.azimuth_deg]
    view = scenario(sky).view

    def mean(view: Literal["even", "overcast"]) -> float:
        found = [
            sky_view_factor(skyline, tilt_deg=face.tilt_deg, aspect_deg=aspect, sky=view)
            for aspect in aspects
        ]
        return sum(found) / len(found)

    even = mean("even")
    return SkySeen(
        face=min(even if view == "even" else mean(view), 1.0),
        level=min(sky_view_factor(skyline, sky=view), 1.0),
        ground=min(max(1.0 - even, 0.0), 1.0),
    )
