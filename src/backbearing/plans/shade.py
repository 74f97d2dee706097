"""What stands behind a subject along the camera's line, and whether it is in sun: for contrast.

        sky            sight lines over the subject's own height and beside it go on past it
  ╱╲  ─ ─ ─ ─ ─ ┐      to the ground behind, or to the sky; where they meet ground, the sun
 ╱  ╲_ ─ ─ ─ ─ ─│▌─ ◁  is looked for at the minute in question
╱     ╲_________│▌___
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.doubt import NEAR_CELLS
from backbearing.models.pointsun import first_met_m, heights_along, places_in_sun, ray_distances_m
from backbearing.models.sun import sun_position
from backbearing.models.sunlight import above_skyline_deg, semidiameter_deg
from backbearing.places.geodesy import destinations, inverse
from backbearing.places.words import metres_text
from backbearing.plans.light.sky import skies_of
from backbearing.plans.terraingrids import grids_round
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.light.sky import Sky
    from backbearing.records import (
        CameraPosition,
        Floats,
        Grid,
        LightWindow,
        Place,
        Subject,
    )

BACKDROP_REACH_M = 50_000.0
_SHARED_M = 5_000.0
_EYE_M = 1.5
_ASIDE_DEG = 6.0  # to each side, where the edges are not on record
_TOP_DEG = 12.0  # over the horizontal, where the top is not on record
_OVER = 0.3  # of its height, that counts as behind it too
_LINES, _HEIGHTS = 9, 7  # sight lines across and up
_CLEAR_OF_CELLS = 1.5  # ground nearer behind it than this is the subject's own
_MOSTLY = 0.8
_SKY = 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class Behind:
    """What stands behind a subject at a minute, as the camera sees it."""

    subject_in_sun: bool
    sky_share: float  # of the sight lines past it
    lit_share: float | None  # of those that meet ground; None where none does
    distance_m: float | None  # from the subject to the ground behind, in the middle
    near: bool = False  # nearer than a few cells or than the places are known

    @property
    def sentence(self) -> str:
        """`Lit against shade: ground 340 m behind it lies in shade.`"""
        own = say("Lit") if self.subject_in_sun else say("In shade")
        if self.lit_share is None or self.distance_m is None or self.sky_share >= _SKY:
            return say("{own}, against the sky.", own=own)
        ground = say("ground {round} behind it", round=metres_text(_round(self.distance_m)))
        if self.near:
            ground = say("the ground close behind it")
        if self.lit_share >= _MOSTLY:
            return say("{own} against sunlight: {ground} lies in sun.", own=own, ground=ground)
        if self.lit_share <= 1.0 - _MOSTLY:
            return say("{own} against shade: {ground} lies in shade.", own=own, ground=ground)
        return say(
            "{own} against broken light: {ground} lies partly in shade.", own=own, ground=ground
        )


def behind(
    subject: Subject,
    camera: CameraPosition,
    instants: Sequence[datetime],
    *,
    sky: Sky,
    grids: Sequence[Grid],
) -> tuple[Behind, ...]:
    """What stands behind a subject at these instants, as seen from a camera position?

    sky: of the subject. grids: the ground around, finest first; () where none is known. Sight
    lines run from the camera over the subject's width and height as they are on record (else 6°
    to each side and 12° up, a guess), and a third of its height more. Returns one Behind an
    instant, () where the camera's line or the ground under it is not known. Trees and buildings
    behind, which no terrain holds, are not seen.
    Raises BadInput where a projection is not known.
    """
    spots = _backdrop(subject, camera, grids)
    if spots is None:
        return ()
    latitude, longitude, distance_m, sky_share = spots
    behind_m = float(np.median(distance_m)) if latitude.size else math.inf
    near_m = max(NEAR_CELLS * grids[0].cell_m, subject.place.error_m, camera.place.error_m)
    found = []
    for at in instants:
        time = np.array([at.replace(tzinfo=None)], dtype="datetime64[ms]")
        place = subject.place
        sun = sun_position(
            time, place.latitude_deg, place.longitude_deg, height_m=place.height_m or 0.0
        )
        azimuth, altitude = float(sun.azimuth_deg[0]), float(sun.altitude_deg[0])
        limb = altitude + float(semidiameter_deg(sun.distance_au)[0])
        lit = None
        if latitude.size:
            lit = float(places_in_sun(grids, latitude, longitude, azimuth, limb).mean())
        found.append(
            Behind(
                subject_in_sun=float(above_skyline_deg(sky.sun_comes_over, azimuth, limb)) >= 0.0,
                sky_share=round(sky_share, 3),
                lit_share=None if lit is None else round(lit, 3),
                distance_m=round(behind_m, 1) if latitude.size else None,
                near=behind_m < near_m,
            )
        )
    return tuple(found)


class Backdrops:
    """What stands behind subjects in their light windows; ground read for one serves those near."""

    def __init__(self, notebook: Notebook) -> None:
        self.notebook = notebook
        self.read: tuple[float, float, tuple[Grid, ...]] | None = None

    def sentences(
        self, subject: Subject, cameras: Sequence[CameraPosition], windows: Sequence[LightWindow]
    ) -> tuple[str, ...]:
        """For each window, a sentence on what stands behind at its best minute; '' of overcast
        skies and where that is not known.

        Raises NotebookError, and BadInput where a projection is not known.
        """
        said = [""] * len(windows)
        for camera in cameras:
            own = [
                number
                for number, window in enumerate(windows)
                if window.camera_position == camera.name and window.sky == "clear"
            ]
            if not own:
                continue
            grids = self.grids(camera.place)
            if not grids:
                continue
            (sky,) = skies_of(self.notebook, [subject.place])
            best = [windows[number].best for number in own]
            answers = behind(subject, camera, best, sky=sky, grids=grids)
            for number, answer in zip(own, answers, strict=False):  # none of an unknown line
                said[number] = answer.sentence
        return tuple(said)

    def grids(self, place: Place) -> tuple[Grid, ...]:
        """The ground around a place, as it was read for one near by where that was the last."""
        here = place.latitude_deg, place.longitude_deg
        if self.read is None or inverse(*self.read[:2], *here)[1] > _SHARED_M:
            grids, _ = grids_round(self.notebook, *here, BACKDROP_REACH_M)
            self.read = (*here, grids)
        return self.read[2]


def _backdrop(
    subject: Subject, camera: CameraPosition, grids: Sequence[Grid]
) -> tuple[Floats, Floats, Floats, float] | None:
    """Where sight lines past a subject meet the ground: latitudes, longitudes, distances from the
    subject, and the share of the lines that meet none."""
    there = camera.place
    line_deg, away_m = inverse(
        there.latitude_deg,
        there.longitude_deg,
        subject.place.latitude_deg,
        subject.place.longitude_deg,
    )
    if camera.bearing is not None:
        line_deg = camera.bearing.true_deg
    elif away_m < 1.0:
        return None
    if not grids:
        return None
    spot = np.array([there.latitude_deg]), np.array([there.longitude_deg])
    eye = float(heights_along(grids, *spot, line_deg, np.zeros(1))[0, 0]) + _EYE_M
    if math.isnan(eye):
        return None
    left, right = _edges_deg(camera, line_deg)
    foot = camera.foot_deg if camera.foot_deg is not None else 0.0
    top = camera.top_deg if camera.top_deg is not None else foot + _TOP_DEG
    altitudes = np.linspace(foot, top + _OVER * abs(top - foot), _HEIGHTS)
    nearest_m = away_m + _CLEAR_OF_CELLS * grids[0].cell_m
    distance = ray_distances_m(0.5 * grids[0].cell_m, BACKDROP_REACH_M)
    distance = distance[distance >= nearest_m]
    latitudes, longitudes, beyond = [], [], []
    for azimuth in line_deg + np.linspace(-left, right, _LINES):
        heights = heights_along(grids, *spot, float(azimuth), distance)[:, 0]
        met = first_met_m(heights, distance, eye, altitudes)
        for met_m in met[~np.isnan(met)].tolist():
            (place,) = destinations(
                there.latitude_deg, there.longitude_deg, (float(azimuth),), met_m
            )
            latitudes.append(place[0])
            longitudes.append(place[1])
            beyond.append(met_m - away_m)
    lines = _LINES * _HEIGHTS
    return (
        np.array(latitudes),
        np.array(longitudes),
        np.array(beyond),
        (lines - len(latitudes)) / lines,
    )


def _edges_deg(camera: CameraPosition, line_deg: float) -> tuple[float, float]:
    """How far the subject's edges lie left and right of the camera's line."""
    found = []
    for edge, way in ((camera.left_edge, -1.0), (camera.right_edge, 1.0)):
        aside = _ASIDE_DEG
        if edge is not None:
            aside = max(0.5, way * ((edge.true_deg - line_deg + 180.0) % 360.0 - 180.0))
        found.append(aside)
    return found[0], found[1]


def _round(distance_m: float) -> float:
    """To two figures: no more is known of it."""
    if distance_m < 10.0:
        return float(round(distance_m))
    unit = 10.0 ** (math.floor(math.log10(distance_m)) - 1)
    return round(distance_m / unit) * unit
