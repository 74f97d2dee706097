"""How much light falls on a face: from the sun, from the sky over the ground, from the ground.

        sun ○                        direct: beam · visible share of the disc · cos i
             ╲ i ╱ normal            sky:    the dome's light · the share of it the face sees
     dome     ╲ ╱                    ground: what lies on level ground before the face ·
    ╱╲    ┃ face                             its albedo · the share of ground the face sees
___╱  ╲___┃_________________
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.arguments import within
from backbearing.models.illuminance.ground import albedo
from backbearing.models.illuminance.level import moon_level_lux, sun_level_lux
from backbearing.models.illuminance.skies import doubt_stops, low_sun, open_scene, scenario
from backbearing.models.skyview import sky_view_factor
from backbearing.models.sunlight import flat_skyline

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from backbearing.records import Floats

MOON_DOUBT_STOPS = 0.8  # published full moons lie 0.27 to 0.41 lx apart, 0.6 stop; and the sky
_SHADE_STOPS = 0.1  # more doubt above 20° where the dome alone lights the face


@dataclass(frozen=True, slots=True, eq=False)
class Illuminance:
    """Light on a face, in lux: arrays of the shape the arguments broadcast to."""

    total_lux: Floats
    direct_lux: Floats  # from the disc of the sun or the moon
    sky_lux: Floats
    ground_lux: Floats  # thrown back by the ground, and by slopes over the horizon
    ground_disc_lux: Floats  # of that, what the disc gave the ground: it has the disc's colour
    doubt_stops: Floats  # the total may be off by as many stops either way

    @property
    def disc_share(self) -> Floats:
        """Share of the light that is the disc's own, straight or thrown back by ground it lights.

        0 in the dark.
        """
        own = self.direct_lux + self.ground_disc_lux
        answer: Floats = np.divide(
            own, self.total_lux, out=np.zeros(own.shape), where=self.total_lux > 0.0
        )
        return answer


def illuminance(
    sun_altitude_deg: ArrayLike,
    sun_azimuth_deg: ArrayLike,
    *,
    disc_fraction: ArrayLike,
    face_azimuth_deg: ArrayLike | None = None,
    face_tilt_deg: float = 90.0,
    face_sky_view: ArrayLike | None = None,
    level_sky_view: ArrayLike = 1.0,
    ground_view: ArrayLike | None = None,
    foreground_disc_fraction: ArrayLike | None = None,
    ground: str = "grass",
    sky: str = "clear",
    height_m: float = 0.0,
) -> Illuminance:
    """How much light falls on a face of any tilt and aspect at these positions of the sun?

    sun_altitude_deg (through the air, as `sun_position` gives it; below −18° it is night),
    sun_azimuth_deg: true. disc_fraction: share of the sun's disc over the skyline, 0 … 1.
    face_azimuth_deg: true azimuth the face looks towards; None turns it to the sun.
    face_tilt_deg: 0 is level ground, 90 an upright face, 180 looks down.
    face_sky_view, level_sky_view: `skyview.sky_view_factor` of the face and of level ground
    before it, under the same kind of sky; None, and 1, mean open ground.
    ground_view: share of the face's view that is ground or slopes, of even brightness; None
    means all that is not sky. foreground_disc_fraction: of the disc, as seen from the ground
    before the face; None means as from the face. ground: a name of `GROUNDS`. sky: "clear",
    "hazy" or "overcast". height_m: above sea level.

    Method: see `skies` for beam and dome. The dome is taken as evenly bright, or as the CIE
    overcast sky: a real clear sky is brighter about the sun. Light thrown to and fro between
    slopes, and the sun's mirror image in water, are left out.
    doubt_stops: for level ground, see `skies.doubt_stops`; 0.1 more in shade above 20° of a
    clear sky, where models of the dome alone part farther.

    Raises BadInput naming the argument out of range, or an unknown ground or sky.
    """
    altitude = within("sun_altitude_deg", sun_altitude_deg, -90.0, 90.0)
    azimuth = within("sun_azimuth_deg", sun_azimuth_deg, -360.0, 720.0)
    scene = open_scene(altitude, sky, height_m)
    parts = direct, from_sky, from_ground, _ = _on_face(
        (scene.beam_lux, scene.dome_lux),
        altitude,
        azimuth,
        disc_fraction,
        face_azimuth_deg=face_azimuth_deg,
        face_tilt_deg=face_tilt_deg,
        face_sky_view=face_sky_view,
        level_sky_view=level_sky_view,
        ground_view=ground_view,
        foreground_disc_fraction=foreground_disc_fraction,
        ground=ground,
        sky=sky,
    )
    total = direct + from_sky + from_ground
    doubt = doubt_stops(altitude, sky)
    if sky == "clear":
        lit = np.divide(direct, total, out=np.zeros_like(total), where=total > 0.0)
        doubt = doubt + _SHADE_STOPS * (1.0 - low_sun(altitude)) * (1.0 - lit)
    return _answer(total, *parts, doubt)


def moon_illuminance(
    moon_altitude_deg: ArrayLike,
    moon_azimuth_deg: ArrayLike,
    *,
    elongation_deg: ArrayLike,
    distance_km: ArrayLike,
    disc_fraction: ArrayLike,
    face_azimuth_deg: ArrayLike | None = None,
    face_tilt_deg: float = 90.0,
    face_sky_view: ArrayLike | None = None,
    level_sky_view: ArrayLike = 1.0,
    ground_view: ArrayLike | None = None,
    foreground_disc_fraction: ArrayLike | None = None,
    ground: str = "grass",
    sky: str = "clear",
    height_m: float = 0.0,
) -> Illuminance:
    """How much light does the moon throw on a face? Without twilight, stars and airglow.

    moon_altitude_deg, moon_azimuth_deg, elongation_deg, distance_km: as `moon_position` gives
    them. disc_fraction: of the moon's disc over the skyline. The rest as `illuminance`.

    Method: the moon's light on level ground by its altitude, phase and distance (see `level`),
    parted between disc and sky as the sun's is at the same altitude and dimmed by the same
    sky. Raises BadInput as `illuminance` does, and for an elongation or distance out of range.
    """
    altitude = within("moon_altitude_deg", moon_altitude_deg, -90.0, 90.0)
    azimuth = within("moon_azimuth_deg", moon_azimuth_deg, -360.0, 720.0)
    elongation = within("elongation_deg", elongation_deg, 0.0, 180.0)
    distance = within("distance_km", distance_km, 300_000.0, 500_000.0)
    to_sun = moon_level_lux(altitude, elongation, distance) / sun_level_lux(altitude)
    scene = open_scene(altitude, sky, height_m)
    parts = direct, from_sky, from_ground, _ = _on_face(
        (scene.beam_lux * to_sun, scene.dome_lux * to_sun),
        altitude,
        azimuth,
        disc_fraction,
        face_azimuth_deg=face_azimuth_deg,
        face_tilt_deg=face_tilt_deg,
        face_sky_view=face_sky_view,
        level_sky_view=level_sky_view,
        ground_view=ground_view,
        foreground_disc_fraction=foreground_disc_fraction,
        ground=ground,
        sky=sky,
    )
    doubt = np.maximum(doubt_stops(altitude, sky), MOON_DOUBT_STOPS)
    return _answer(direct + from_sky + from_ground, *parts, doubt)


def _on_face(
    scene_lux: tuple[Floats, Floats],
    altitude_deg: Floats,
    azimuth_deg: Floats,
    disc_fraction: ArrayLike,
    *,
    face_azimuth_deg: ArrayLike | None,
    face_tilt_deg: float,
    face_sky_view: ArrayLike | None,
    level_sky_view: ArrayLike,
    ground_view: ArrayLike | None,
    foreground_disc_fraction: ArrayLike | None,
    ground: str,
    sky: str,
) -> tuple[Floats, Floats, Floats, Floats]:
    """Light on the face from disc, sky and ground, and of the ground's what the disc gave it."""
    beam, dome = scene_lux
    disc = within("disc_fraction", disc_fraction, 0.0, 1.0)
    tilt = float(within("face_tilt_deg", face_tilt_deg, 0.0, 180.0))
    level_view = within("level_sky_view", level_sky_view, 0.0, 1.0)
    if ground_view is not None:
        of_ground = within("ground_view", ground_view, 0.0, 1.0)
    elif face_sky_view is None:
        of_ground = np.asarray(0.5 * (1.0 - np.cos(np.radians(tilt))))
    else:
        of_ground = 1.0 - within("face_sky_view", face_sky_view, 0.0, 1.0)
    if face_sky_view is None:
        view = scenario(sky).view
        face_view = np.asarray(sky_view_factor(flat_skyline(), tilt_deg=tilt, sky=view))
    else:
        face_view = within("face_sky_view", face_sky_view, 0.0, 1.0)
    up, ahead = np.cos(np.radians(tilt)), np.sin(np.radians(tilt))
    rise = np.sin(np.radians(altitude_deg))
    turned: ArrayLike = 1.0
    if face_azimuth_deg is not None and ahead > 0.0:
        face = within("face_azimuth_deg", face_azimuth_deg, -360.0, 720.0)
        turned = np.cos(np.radians(azimuth_deg - face))
    cos_incidence = up * rise + ahead * np.sqrt(1.0 - rise * rise) * turned
    direct = beam * disc * np.maximum(cos_incidence, 0.0)
    before = disc
    if foreground_disc_fraction is not None:
        before = within("foreground_disc_fraction", foreground_disc_fraction, 0.0, 1.0)
    disc_on_ground = beam * before * np.maximum(rise, 0.0)
    back = albedo(ground) * of_ground
    from_ground = (disc_on_ground + dome * level_view) * back
    return direct, dome * face_view, from_ground, disc_on_ground * back


def _answer(*arrays: Floats) -> Illuminance:
    shape = np.broadcast_shapes(*(each.shape for each in arrays))
    return Illuminance(*(np.broadcast_to(each, shape) for each in arrays))
