"""How much light falls on a subject, minute by minute, and what that rests on.

terrain ──► skyline ──► disc over it, sky seen by the face and by the ground before it
times   ──► sun, moon ─┘                        └──► lux from disc, sky and ground
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.arguments import as_times
from backbearing.models.edges import refraction_error_deg
from backbearing.models.illuminance import (
    GROUNDS,
    NIGHT_DOUBT_STOPS,
    Illuminance,
    canopy_stops,
    illuminance,
    moon_illuminance,
    scenario,
)
from backbearing.models.moon import moon_position
from backbearing.models.sun import sun_position
from backbearing.models.sunlight import (
    SEMIDIAMETER_AT_1_AU_DEG,
    above_skyline_deg,
    disc_fraction,
    semidiameter_deg,
)
from backbearing.places.words import error_text
from backbearing.plans.heights import place_with_height
from backbearing.plans.light import FLAT_HORIZON, SKYLINE_FROM
from backbearing.plans.light.sky import skies_of
from backbearing.plans.skyseen import Face, SkySeen, face_of, sky_seen

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike, NDArray

    from backbearing.notebook import Notebook
    from backbearing.plans.light.sky import Sky
    from backbearing.records import CameraPosition, Floats, Place, Subject, Times

    Bools = NDArray[np.bool_]

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
        basis = self.sky.skyline.basis
        ground = f"{SKYLINE_FROM} from {basis}"
        # 'flat horizon assumed: ground.tif is not there' says why; else the caution does
        flat = basis if ": " in basis else FLAT_HORIZON
        return (
            self.face.words,
            ground if self.sky.ground_known else flat,
            f"position {error_text(self.place)}",
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Brightness:
    """Light on a subject's face at some times: arrays of their shape."""

    time: Times
    sun_azimuth_deg: Floats
    sun_altitude_deg: Floats
    disc_fraction: Floats  # of the sun's disc over the skyline, less where branches dim it
    sun_in_doubt: Bools  # the disc is cut by the skyline, or would be within its error
    light: Illuminance
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
    canopy: str = "none",
    face_tilt_deg: float = 90.0,
) -> Brightness:
    """How much light falls on this subject at these times (datetime64 UTC, any shape)?

    The rest as `scene_of` and `brightness_of`, which this joins.
    """
    scene = scene_of(notebook, subject, camera=camera, face_tilt_deg=face_tilt_deg)
    return brightness_of(scene, times, sky=sky, ground=ground, canopy=canopy)


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
    canopy: str = "none",
) -> Brightness:
    """How much light falls on the face of a scene at these times (datetime64 UTC, any shape)?

    sky: "clear", "hazy" or "overcast". ground: what lies before it, a name of
    `models.illuminance.GROUNDS`. canopy: "none", "leafy" or "evergreen", over the subject.
    Raises BadInput for an unknown one of these, or times out of range.
    """
    when = as_times(times)
    spot = (scene.place.latitude_deg, scene.place.longitude_deg)
    height_m = scene.place.height_m or 0.0
    sun = sun_position(when, *spot, height_m=height_m)
    skyline = scene.sky.skyline
    disc = scene.sky.sun_share(when, sun.azimuth_deg, sun.altitude_deg, sun.distance_au)
    seen = sky_seen(scene.sky.skyline, scene.face, sky)
    light = illuminance(
        sun.altitude_deg,
        sun.azimuth_deg,
        disc_fraction=disc,
        face_azimuth_deg=scene.face.azimuth_deg,
        face_tilt_deg=scene.face.tilt_deg,
        face_sky_view=seen.face,
        level_sky_view=seen.level,
        ground_view=seen.ground,
        ground=ground,
        sky=sky,
        height_m=height_m,
    )
    from_edge = np.abs(above_skyline_deg(skyline, sun.azimuth_deg, sun.altitude_deg))
    edge_error = _edge_error_deg(scene.sky, sun.azimuth_deg, sun.altitude_deg)
    kind = scenario(sky)
    said = [
        f"{kind.words} ({kind.source}): ± {kind.doubt_low_stops:g} stop below 10° of sun, "
        f"± {kind.doubt_high_stops:g} above 20°",
        f"ground of {GROUNDS[ground].words} (albedo {GROUNDS[ground].albedo:g})",
    ]
    if bool((sun.altitude_deg < _NIGHT_FROM_DEG).any()):
        said.append(
            "by night only stars and airglow, 0.002 lx in the open, without moon or towns: "
            f"± {NIGHT_DOUBT_STOPS:g} stops"
        )
    if scene.sky.ground is not None:
        said.append("sun through leafless branches taken as 1½ ± ½ stops down: common practice")
    if canopy != "none":
        light = _under_trees(light, canopy, when, southern=spot[0] < 0.0)
        said.append(f"{canopy} canopy over it, in stops by month: common practice")
    return Brightness(
        time=when.astype("datetime64[ms]"),
        sun_azimuth_deg=sun.azimuth_deg,
        sun_altitude_deg=sun.altitude_deg,
        disc_fraction=disc,
        sun_in_doubt=from_edge <= edge_error + semidiameter_deg(sun.distance_au),
        light=light,
        sky=sky,
        ground=ground,
        sky_seen=seen,
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
    disc = disc_fraction(scene.sky.skyline, moon.azimuth_deg, moon.altitude_deg, as_far_au)
    seen = sky_seen(scene.sky.skyline, scene.face, sky)
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


def _under_trees(
    light: Illuminance, canopy: str, when: NDArray[np.datetime64], *, southern: bool
) -> Illuminance:
    month = when.astype("datetime64[M]").astype(np.int64) % 12
    by_month = np.array([canopy_stops(canopy, m + 1, southern=southern) for m in range(12)])
    stops, error = by_month[month, 0], by_month[month, 1]
    through = 2.0**-stops
    return replace(
        light,
        total_lux=light.total_lux * through,
        direct_lux=light.direct_lux * through,
        sky_lux=light.sky_lux * through,
        ground_lux=light.ground_lux * through,
        doubt_stops=np.hypot(light.doubt_stops, error),
    )


def _edge_error_deg(sky: Sky, azimuth_deg: Floats, altitude_deg: Floats) -> Floats:
    """How far sun and skyline together may be off, 95 %, at these places of the sun."""
    air = refraction_error_deg(altitude_deg)
    if sky.error_deg is None:
        return air
    ground = np.interp(azimuth_deg, sky.skyline.azimuth_deg, sky.error_deg, period=360.0)
    return np.hypot(air, ground)
