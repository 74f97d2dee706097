"""How much light falls on a subject, minute by minute, and what that rests on.

terrain ──► skyline ──► disc over it, sky seen by the face and by the ground before it
times   ──► sun, moon ─┘                        └──► lux from disc, sky and ground
"""

from __future__ import annotations

from calendar import month_abbr
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.arguments import as_times
from backbearing.models.edges import refraction_error_deg
from backbearing.models.illuminance import (
    GROUNDS,
    NIGHT_DOUBT_STOPS,
    Illuminance,
    illuminance,
    moon_illuminance,
    scenario,
)
from backbearing.models.moon import moon_position
from backbearing.models.sun import sun_position
from backbearing.models.sunlight import (
    SEMIDIAMETER_AT_1_AU_DEG,
    above_skyline_deg,
    semidiameter_deg,
)
from backbearing.places.words import error_text
from backbearing.plans.heights import place_with_height
from backbearing.plans.light import FLAT_HORIZON, SKYLINE_FROM
from backbearing.plans.light.sky import skies_of
from backbearing.plans.skyseen import Face, SkySeen, face_of, sky_parts, trees_take_words
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from numpy.typing import ArrayLike, NDArray

    from backbearing.models.sun import SunPosition
    from backbearing.notebook import Notebook
    from backbearing.plans.light.sky import Sky
    from backbearing.records import CameraPosition, Floats, Place, Subject, Times

    Bools = NDArray[np.bool_]

_NONE_LUX = 1e-12  # as good as none
_NIGHT_FROM_DEG = -15.0  # of the sun: lower down twilight is less than the stars give


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """A subject with all that its light depends on but the time and the weather."""

    subject: Subject
    camera: CameraPosition | None  # whose bearing stands in for the facing
    place: Place  # with a height, if any is on record
    face: Face
    sky: Sky  # its skyline, and how surely it is known

    @property
    def rests_on(self) -> tuple[str, ...]:
        """What of its light is not the weather's, in sentences' parts."""
        basis = say(self.sky.skyline.basis)
        ground = say("{skyline_from} from {basis}", skyline_from=say(SKYLINE_FROM), basis=basis)
        # 'flat horizon assumed: ground.tif is not there' says why; else the caution does
        flat = basis if ": " in basis else say(FLAT_HORIZON)
        return (
            self.face.words,
            ground if self.sky.ground_known else flat,
            say("position {place}", place=error_text(self.place)),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Brightness:
    """Light on a subject's face at some times: arrays of their shape."""

    time: Times
    sun_azimuth_deg: Floats
    sun_altitude_deg: Floats
    disc_fraction: Floats  # of the sun's disc over the skyline, less where trees dim it
    behind_trees: Bools  # none of the disc over the skyline, but some over the bare ground
    sun_in_doubt: Bools  # the disc is cut by the skyline, or would be within its error
    light: Illuminance
    # with the sun off the face, or on it, as far as skyline and facing leave that open
    darker: Illuminance
    brighter: Illuminance
    sky: str  # "clear", "hazy", "overcast"
    ground: str
    sky_seen: SkySeen
    scene: Scene
    rests_on: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moonlight:
    """The moon's light on a subject's face at some times: arrays of their shape."""

    time: Times
    moon_azimuth_deg: Floats
    moon_altitude_deg: Floats
    illuminated_fraction: Floats
    disc_fraction: Floats  # of the whole disc, lit or not, over the skyline
    light: Illuminance


def subject_brightness(
    notebook: Notebook,
    subject: Subject,
    times: ArrayLike,
    *,
    sky: str = "clear",
    ground: str = "grass",
    camera: CameraPosition | None = None,
    face_tilt_deg: float = 90.0,
) -> Brightness:
    """How much light falls on this subject at these times (datetime64 UTC, any shape)?

    The rest as `scene_of` and `brightness_of`, which this joins.
    """
    scene = scene_of(notebook, subject, camera=camera, face_tilt_deg=face_tilt_deg)
    return brightness_of(scene, times, sky=sky, ground=ground)


def scene_of(
    notebook: Notebook,
    subject: Subject,
    *,
    camera: CameraPosition | None = None,
    face_tilt_deg: float = 90.0,
    progress: Callable[[str], None] | None = None,
) -> Scene:
    """What does a subject's light depend on, time and weather apart?

    camera: the position to photograph from; None takes the first on record. Where no facing
    is on record the face is taken to look towards the camera, and where there is no bearing
    either, to be turned to the sun; `Face.words` says so. Raises NotebookError.
    """
    from backbearing.notebook.subjects import list_camera_positions

    cameras = list_camera_positions(notebook, subject.id) if subject.id is not None else []
    if camera is None:
        camera = next(iter(cameras), None)
    (sky,) = skies_of(notebook, [subject.place], progress, subjects=[subject])
    return Scene(
        subject=subject,
        camera=camera,
        place=place_with_height(subject.place, cameras)[0],
        face=face_of(subject, camera, face_tilt_deg),
        sky=sky,
    )


def brightness_of(
    scene: Scene,
    times: ArrayLike,
    *,
    sky: str = "clear",
    ground: str = "grass",
) -> Brightness:
    """How much light falls on the face of a scene at these times (datetime64 UTC, any shape)?

    sky: "clear", "hazy" or "overcast". ground: what lies before it, a name of
    `models.illuminance.GROUNDS`. What comes through the trees on record, of sun and of sky, is
    dimmed by the month, and the doubt grows by what that may be off.
    Raises BadInput for an unknown one of these, or times out of range.
    """
    when = as_times(times)
    spot = (scene.place.latitude_deg, scene.place.longitude_deg)
    height_m = scene.place.height_m or 0.0
    sun = sun_position(when, *spot, height_m=height_m)
    skyline = scene.sky.skyline
    free, behind = scene.sky.disc_free_and_behind(
        sun.azimuth_deg, sun.altitude_deg, sun.distance_au
    )
    parts = sky_parts(scene.sky, scene.face, sky)
    let_through, off_stops = scene.sky.let_through(when)

    def lit(
        let_through: Floats, disc: Floats | None = None, face_deg: Floats | float | None = None
    ) -> Illuminance:
        seen = parts.seen(let_through)
        return illuminance(
            sun.altitude_deg,
            sun.azimuth_deg,
            disc_fraction=np.minimum(free + let_through * behind, 1.0) if disc is None else disc,
            face_azimuth_deg=scene.face.azimuth_deg if face_deg is None else face_deg,
            face_tilt_deg=scene.face.tilt_deg,
            face_sky_view=seen.face,
            level_sky_view=seen.level,
            ground_view=seen.ground,
            ground=ground,
            sky=sky,
            height_m=height_m,
        )

    light = lit(let_through)
    if scene.sky.ground is not None:
        light = _in_doubt(light, [lit(let_through * 2.0**by) for by in (-off_stops, off_stops)])
    from_edge = np.abs(above_skyline_deg(skyline, sun.azimuth_deg, sun.altitude_deg))
    within = _edge_error_deg(scene.sky, sun.azimuth_deg, sun.altitude_deg) + semidiameter_deg(
        sun.distance_au
    )
    in_doubt = from_edge <= within
    disc = np.minimum(free + let_through * behind, 1.0)
    darker = brighter = light
    if scenario(sky).extinction is not None:  # else there is no sun to be off it or on it
        towards_deg, away_deg = _face_turned(scene.face, sun.azimuth_deg)
        hidden = np.where(in_doubt, _left_of_disc(scene.sky, sun, let_through, within), disc)
        darker = lit(let_through, hidden, away_deg)
        brighter = lit(let_through, np.where(in_doubt, 1.0, disc), towards_deg)
    kind = scenario(sky)
    said = [
        say(
            "{kind} ({source}): ± {doubt_low_stops:g} stop below 10° of sun, ± "
            "{doubt_high_stops:g} above 20°",
            kind=say(kind.words),
            source=say(kind.source),
            doubt_low_stops=kind.doubt_low_stops,
            doubt_high_stops=kind.doubt_high_stops,
        ),
        say(
            "ground of {grounds} (albedo {albedo:g})",
            grounds=say(GROUNDS[ground].words),
            albedo=GROUNDS[ground].albedo,
        ),
    ]
    if bool((sun.altitude_deg < _NIGHT_FROM_DEG).any()):
        said.append(
            say(
                "by night only stars and airglow, 0.002 lx in the open, without "
                "moon or towns: ± {night_doubt_stops:g} stops",
                night_doubt_stops=NIGHT_DOUBT_STOPS,
            )
        )
    said += _trees_take(scene.sky, when)
    return Brightness(
        time=when.astype("datetime64[ms]"),
        sun_azimuth_deg=sun.azimuth_deg,
        sun_altitude_deg=sun.altitude_deg,
        disc_fraction=disc,
        behind_trees=(free <= 0.0) & (behind > 0.0),
        sun_in_doubt=in_doubt,
        light=light,
        darker=darker,
        brighter=brighter,
        sky=sky,
        ground=ground,
        sky_seen=parts.seen(let_through),
        scene=scene,
        rests_on=(*scene.rests_on, *said),
    )


def moonlight_of(
    scene: Scene, times: ArrayLike, *, sky: str = "clear", ground: str = "grass"
) -> Moonlight:
    """How much light does the moon throw on the face of a scene? Arguments as `brightness_of`.

    Twilight, stars and airglow are in `brightness_of`; the two add up.
    """
    when = as_times(times)
    height_m = scene.place.height_m or 0.0
    moon = moon_position(
        when, scene.place.latitude_deg, scene.place.longitude_deg, height_m=height_m
    )
    # `disc_fraction` takes a disc by the distance that the sun would have to show as large a one
    as_far_au = SEMIDIAMETER_AT_1_AU_DEG / moon.semidiameter_deg
    free, behind = scene.sky.disc_free_and_behind(moon.azimuth_deg, moon.altitude_deg, as_far_au)
    let_through, _ = scene.sky.let_through(when)
    disc = np.minimum(free + let_through * behind, 1.0)
    seen = sky_parts(scene.sky, scene.face, sky).seen(let_through)
    face_deg = scene.face.azimuth_deg
    return Moonlight(
        time=when.astype("datetime64[ms]"),
        moon_azimuth_deg=moon.azimuth_deg,
        moon_altitude_deg=moon.altitude_deg,
        illuminated_fraction=moon.illuminated_fraction,
        disc_fraction=disc,
        light=moon_illuminance(
            moon.altitude_deg,
            moon.azimuth_deg,
            elongation_deg=moon.elongation_deg,
            distance_km=moon.distance_km,
            disc_fraction=disc,
            face_azimuth_deg=face_deg,
            face_tilt_deg=scene.face.tilt_deg,
            face_sky_view=seen.face,
            level_sky_view=seen.level,
            ground_view=seen.ground,
            ground=ground,
            sky=sky,
            height_m=height_m,
        ),
    )


def _left_of_disc(sky: Sky, sun: SunPosition, let_through: Floats, within_deg: Floats) -> Floats:
    """What is left of the disc where the skyline hides it: nothing, or what trees let through."""
    if sky.ground is None:
        return np.zeros(within_deg.shape)
    over_ground = above_skyline_deg(sky.ground, sun.azimuth_deg, sun.altitude_deg)
    return np.where(over_ground <= within_deg, 0.0, np.minimum(let_through, 1.0))


def _face_turned(face: Face, sun_azimuth_deg: Floats) -> tuple[Floats, Floats]:
    """The aspects nearest to the sun and farthest from it that a face may have."""
    off = np.zeros(sun_azimuth_deg.shape)
    if face.azimuth_deg is not None:
        off = (face.azimuth_deg - sun_azimuth_deg + 180.0) % 360.0 - 180.0
    side, apart = np.where(off < 0.0, -1.0, 1.0), np.abs(off)
    nearest = sun_azimuth_deg + side * np.maximum(apart - face.error_deg, 0.0)
    return nearest, sun_azimuth_deg + side * np.minimum(apart + face.error_deg, 180.0)


def _in_doubt(light: Illuminance, others: Sequence[Illuminance]) -> Illuminance:
    """The light, in as many more stops of doubt as the others lie from it."""
    off = [
        np.abs(np.log2(np.maximum(other.total_lux, _NONE_LUX)) - log_lux)
        for log_lux in [np.log2(np.maximum(light.total_lux, _NONE_LUX))]
        for other in others
    ]
    return replace(light, doubt_stops=np.hypot(light.doubt_stops, np.maximum.reduce(off)))


def _trees_take(sky: Sky, when: Times) -> Iterator[str]:
    """What the trees take in the months of these times, in sentences' parts."""
    if sky.ground is None:
        return
    months = np.unique(when.astype("datetime64[M]").astype(np.int64) % 12 + 1).tolist()
    for take in sorted({sky.tree_stops(month) for month in months}):
        then = [month_abbr[month] for month in months if sky.tree_stops(month) == take]
        yield say(
            "in {then} {trees_take}, their leaves throwing none back",
            then=", ".join(then),
            trees_take=trees_take_words(*take),
        )


def _edge_error_deg(sky: Sky, azimuth_deg: Floats, altitude_deg: Floats) -> Floats:
    """How far sun and skyline together may be off, 95 %, at these places of the sun."""
    air = refraction_error_deg(altitude_deg)
    if sky.error_deg is None:
        return air
    ground = np.interp(azimuth_deg, sky.skyline.azimuth_deg, sky.error_deg, period=360.0)
    return np.hypot(air, ground)
