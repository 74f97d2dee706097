"""Does a subject fit the plate from where the camera stands, and what else would do?"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, NotFound, quoted
from backbearing.models import lens as optics
from backbearing.plans.aiming import Side, Turn, turned
from backbearing.plans.fartherback import ASSUMED_M, DISTANCE_SHARE, FarBack, farther_back
from backbearing.plans.picture import Fit, Picture, View, seen_from, shrunk_deg, take_picture
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from backbearing.notebook import Notebook
    from backbearing.records import Camera, CameraPosition, Kit, Lens, Place, Subject

MOST_ANGLE_DEG = 89.0
ANGLE_ERROR_DEG = 1.0  # 95 %, of a clinometer read by eye; common practice, no source
SIZE_SHARE = 0.1  # 95 %, of a size on record
EYE_M = 1.5  # of the lens over the ground at the subject's foot, where no angle says more


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """Another lens or camera, or the plate turned, that would do from here."""

    camera: str
    lens: str
    upright: bool
    way: str
    fits: Fit


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What of a subject the plate takes, in metres at its distance (± 10 % like that)."""

    low_m: float  # over its foot
    high_m: float
    tall_m: float  # the whole of it
    across_m: float | None  # of its width; None: width not known
    wide_m: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SkyInFrame:
    """The skyline in the frame, left to right, in mm on the plate."""

    right_mm: tuple[float, ...]
    up_mm: tuple[float, ...]
    share: float  # of the frame, sky over the ground; what the subject hides is not taken off
    share_plus_minus: float
    highest_below_top_mm: float  # negative where the ground goes out at the top
    plus_minus_mm: float
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameAnswer:
    """Whether a subject fits, how, and what else would do."""

    subject: str
    position: str
    camera: str
    lens: str
    distance_m: float | None
    bearing_deg: float | None
    view: View
    picture: Picture
    finder_crop: tuple[float, float, float, float]
    part: Part | None  # None: it fits, or its distance is not known
    farther: FarBack | None
    others: tuple[Alternative, ...]
    turn: Turn | None
    sky: SkyInFrame | None
    rests_on: tuple[str, ...]

    @property
    def sees_m(self) -> float | None:
        """How wide the plate sees at the subject [m]; None where its distance is not known."""
        if self.distance_m is None:
            return None
        return self.distance_m * self.picture.wide_mm / self.picture.image_distance_mm


def frame(
    notebook: Notebook,
    name: str,
    *,
    camera_name: str | None = None,
    lens_name: str | None = None,
    position_name: str | None = None,
    distance_m: float | None = None,
    upright: bool | None = None,
    margin: float = 0.0,
    less: tuple[Side, float] | None = None,
) -> FrameAnswer:
    """Does a subject on record fit the plate from a camera position?

    upright: the plate's way; None: level, unless only the other way does. margin: share of the
    frame to be left free at each side. less: a side and the share of the frame to go there.
    Raises NotFound for a subject, position, camera or lens that is not on record; BadInput where
    too little is known of the subject, or it is nearer than the focal length.
    """
    from backbearing.notebook import kit as shelf
    from backbearing.notebook import subjects

    subject = subjects.find_subject(notebook, name)
    position = _position(subjects.list_camera_positions(notebook, subject.id), position_name)
    kit = shelf.load_kit(notebook)
    if not kit.cameras or not kit.lenses:
        raise NotFound(
            (say("no lens is on record") if kit.cameras else say("no camera is on record")),
            remedy=say("'backbearing kit blank' prints a file to start from, 'kit take' reads it"),
        )
    camera = shelf.find_camera(notebook, camera_name) if camera_name else kit.cameras[0]
    lens = shelf.find_lens(notebook, lens_name) if lens_name else kit.lenses[0]
    distance = distance_m or (None if position is None else position.distance_m)
    view, rests_on = view_of(subject, position, distance)
    if not camera_name and len(kit.cameras) > 1:
        rests_on.append(say("camera {camera}, the first on record", camera=quoted(camera.name)))
    if not lens_name and len(kit.lenses) > 1:
        rests_on.append(say("lens {lens}, the first on record", lens=quoted(lens.name)))

    def taken(glass: Lens, body: Camera, turned: bool) -> Picture:
        u = distance if distance is not None else ASSUMED_M
        return take_picture(view, body, glass, upright=turned, distance_m=u, margin=margin)

    level = taken(lens, camera, bool(upright))
    if upright is None and level.fits == "no" and not camera.fixed_way_up:
        on_end = taken(lens, camera, True)
        level = on_end if on_end.fits != "no" else level
    bearing = None
    if position is not None:
        if position.left_edge and position.right_edge:
            gap = (position.right_edge.true_deg - position.left_edge.true_deg) % 360.0
            bearing = (position.left_edge.true_deg + gap / 2.0) % 360.0
        elif position.bearing:
            bearing = position.bearing.true_deg
    return FrameAnswer(
        subject=subject.name,
        position="" if position is None else position.name,
        camera=camera.name,
        lens=lens.name,
        distance_m=distance,
        bearing_deg=bearing,
        view=view,
        picture=level,
        finder_crop=camera.finder_crop,
        part=None if level.fits == "yes" else _part(view, level, distance),
        farther=farther_back(
            notebook,
            view,
            camera,
            lens,
            level,
            distance_m=distance,
            margin=margin,
            place=_standing(position, distance, bearing),
            bearing_deg=bearing,
        ),
        others=()
        if level.fits == "yes"
        else tuple(_alternatives(kit, camera, lens, level.upright, taken)),
        turn=turned(level, camera, less, bearing, _declination_deg(position)),
        sky=_sky(notebook, position, bearing, level),
        rests_on=tuple(rests_on),
    )


def _position(found: Sequence[CameraPosition], wanted: str | None) -> CameraPosition | None:
    if wanted is None:
        return found[0] if found else None
    for each in found:
        if each.name.casefold() == wanted.strip().casefold():
            return each
    have = ", ".join(quoted(each.name) for each in found) or "none"
    raise NotFound(
        say("no camera position is called {wanted}", wanted=quoted(wanted)),
        where="--from",
        remedy=say("on record: {have}", have=have),
    )


def view_of(
    subject: Subject, position: CameraPosition | None, distance_m: float | None
) -> tuple[View, list[str]]:
    """Which angles does a subject take up from a camera position, and what do they rest on?

    Measured angles and edges go before sizes and distance. They were measured from the distance
    on record, and are carried from there to another one.
    Raises BadInput where neither answers for its height, and for angles that cannot be.
    """
    rests_on: list[str] = []
    top, foot = (None, None) if position is None else (position.top_deg, position.foot_deg)
    for angle_deg, where in ((top, "top"), (foot, "foot")):
        if angle_deg is not None and not abs(angle_deg) <= MOST_ANGLE_DEG:
            raise BadInput(
                say("an angle of {angle_deg:g}° cannot be", angle_deg=angle_deg),
                where=where,
                remedy=say(
                    "it lies within ± {most_angle_deg:g}°: edit the camera position",
                    most_angle_deg=MOST_ANGLE_DEG,
                ),
            )
    if distance_m is not None:
        optics.positive(distance_m, "distance")
    measured_m = None if position is None else position.distance_m
    times = 1.0
    if measured_m and distance_m is not None:
        times = distance_m / optics.positive(measured_m, "distance on record")
    both = top is not None and foot is not None
    if not both:  # the one there is goes with the size, at the distance asked about
        top = None if top is None else shrunk_deg(top, times)
        foot = None if foot is None else shrunk_deg(foot, times)
    if top is not None and foot is not None:
        if not top > foot:
            raise BadInput(say("the top does not lie above the foot"), where="top")
        error_top = error_foot = ANGLE_ERROR_DEG
        angles = say("{top:g}° and {foot:g}°", top=top, foot=foot).replace("-", "−")
        rests_on.append(
            say(
                "height by the angles {angles} ± {angle_error_deg:g}°",
                angles=angles,
                angle_error_deg=ANGLE_ERROR_DEG,
            )
        )
        if times != 1.0 and measured_m and distance_m is not None:
            rests_on.append(
                say(
                    "the angles measured from {measured_m:g} m (± 10 %, not in the "
                    "room told), carried over level ground to {distance_m:g} m",
                    measured_m=measured_m,
                    distance_m=distance_m,
                )
            )
    elif subject.tall_m is not None and distance_m is not None:
        up = subject.tall_m - EYE_M
        if top is not None:
            foot = _deg(math.tan(math.radians(top)) - subject.tall_m / distance_m)
        elif foot is not None:
            top = _deg(math.tan(math.radians(foot)) + subject.tall_m / distance_m)
        else:
            foot, top = _deg(-EYE_M / distance_m), _deg(up / distance_m)
            rests_on.append(
                say("the lens {eye_m:g} m above the subject's foot (assumed)", eye_m=EYE_M)
            )
        off = math.hypot(SIZE_SHARE, DISTANCE_SHARE)
        error_top = abs(_deg(up / distance_m * (1 + off)) - _deg(up / distance_m))
        error_foot = abs(_deg(EYE_M / distance_m * (1 + off)) - _deg(EYE_M / distance_m))
        rests_on.append(
            say(
                "height {tall_m:g} m ± 10 % at {distance_m:g} m ± 10 % (assumed errors)",
                tall_m=subject.tall_m,
                distance_m=distance_m,
            )
        )
    else:
        raise BadInput(
            say("its height in the picture is not known"),
            where=quoted(subject.name),
            remedy=say("measure the angles to top and foot, or give its height and the distance"),
        )
    half: float | None = None
    error_side, half_measured = 0.0, False
    if position is not None and position.left_edge and position.right_edge:
        left, right = position.left_edge, position.right_edge
        half = ((right.true_deg - left.true_deg) % 360.0) / 2.0
        error_side, half_measured = math.hypot(left.error_deg, right.error_deg) / 2.0, True
        rests_on.append(
            say("width by the bearings of its edges, {half:.0f}° between them", half=2 * half)
        )
        if not half < 80.0:
            raise BadInput(say("its edges are more than 160° apart"), where="edges")
    elif subject.wide_m is not None and distance_m is not None:
        half = _deg(subject.wide_m / 2.0 / distance_m)
        off = math.hypot(SIZE_SHARE, DISTANCE_SHARE)
        error_side = _deg(subject.wide_m / 2.0 / distance_m * (1 + off)) - half
        rests_on.append(say("width {wide_m:g} m ± 10 % (assumed error)", wide_m=subject.wide_m))
    else:
        rests_on.append(say("width not known: only the height was fitted"))
    if distance_m is None:
        rests_on.append(
            say(
                "distance not known; the lens is taken as focused at {assumed_m:g} m",
                assumed_m=ASSUMED_M,
            )
        )
    rests_on.append(say("aimed at the middle of the subject"))
    here = View(
        top_deg=top,
        foot_deg=foot,
        half_wide_deg=half,
        error_top_deg=error_top,
        error_foot_deg=error_foot,
        error_side_deg=error_side,
    )
    there = seen_from(here, times)
    if both:
        here = replace(
            here,
            top_deg=there.top_deg,
            foot_deg=there.foot_deg,
            error_top_deg=there.error_top_deg,
            error_foot_deg=there.error_foot_deg,
        )
    if half_measured:
        here = replace(here, half_wide_deg=there.half_wide_deg, error_side_deg=there.error_side_deg)
    return here, rests_on


def _standing(
    position: CameraPosition | None, distance_m: float | None, bearing_deg: float | None
) -> Place | None:
    """Where the camera stands at this distance: the place on record, moved along its bearing."""
    if position is None or not position.distance_m or distance_m is None or bearing_deg is None:
        return None if position is None else position.place
    from backbearing.places.geodesy import destinations

    back_m = distance_m - position.distance_m
    if back_m == 0.0:
        return position.place
    place = position.place
    towards_deg = (bearing_deg + (180.0 if back_m > 0.0 else 0.0)) % 360.0
    ((latitude, longitude),) = destinations(
        place.latitude_deg, place.longitude_deg, [towards_deg], abs(back_m)
    )
    return replace(place, latitude_deg=latitude, longitude_deg=longitude)


def _deg(slope: float) -> float:
    return math.degrees(math.atan(slope))


def _part(view: View, picture: Picture, distance_m: float | None) -> Part | None:
    """What of it is on the plate; None without a distance, or where the camera is tilted."""
    if distance_m is None or picture.tilt_deg:
        return None
    scale = distance_m / picture.image_distance_mm  # m on its face in a mm of the plate
    half_high = picture.high_mm / 2.0
    low = max(-half_high, picture.foot_mm) - picture.foot_mm
    high = min(half_high, picture.top_mm) - picture.foot_mm
    wide = None
    if picture.left_mm is not None and picture.right_mm is not None:
        wide = (picture.right_mm - picture.left_mm) * scale
    return Part(
        low_m=low * scale,
        high_m=max(low, high) * scale,
        tall_m=(picture.top_mm - picture.foot_mm) * scale,
        across_m=None if wide is None else min(wide, picture.wide_mm * scale),
        wide_m=wide,
    )


def _alternatives(
    kit: Kit,
    camera: Camera,
    lens: Lens,
    upright: bool,
    taken: Callable[[Lens, Camera, bool], Picture],
) -> Iterator[Alternative]:
    """Other lenses, the plate turned, other cameras: what holds it from here, this camera first."""
    for body in sorted(kit.cameras, key=lambda each: each.name != camera.name):
        for glass in kit.lenses:
            for turned_way in (False, True):
                if turned_way and body.fixed_way_up:
                    continue
                if (body.name, glass.name, turned_way) == (camera.name, lens.name, upright):
                    continue
                try:
                    got = taken(glass, body, turned_way)
                except BadInput:  # nearer than this lens's focal length
                    continue
                if got.fits != "no":
                    yield Alternative(
                        camera=body.name,
                        lens=glass.name,
                        upright=turned_way,
                        way=got.way,
                        fits=got.fits,
                    )


def _declination_deg(position: CameraPosition | None) -> float | None:
    """Of the bearings taken from a camera position; None where none was magnetic."""
    if position is None:
        return None
    taken = (position.bearing, position.left_edge, position.right_edge)
    return next((b.declination_deg for b in taken if b and b.declination_deg is not None), None)


def _sky(
    notebook: Notebook,
    position: CameraPosition | None,
    bearing_deg: float | None,
    picture: Picture,
) -> SkyInFrame | None:
    """The skyline at the camera position across the frame; None without terrain or bearing."""
    if position is None or bearing_deg is None:
        return None
    import numpy as np

    from backbearing.models.sunlight import skyline_altitude_deg
    from backbearing.plans.light.sky import skies_of

    (sky,) = skies_of(notebook, [position.place])
    if sky.error_deg is None:
        return None
    half = math.degrees(math.atan(picture.wide_mm / 2.0 / picture.image_distance_mm))
    aside = np.linspace(-half * 1.2, half * 1.2, 97)
    altitude = skyline_altitude_deg(sky.skyline, aside + bearing_deg)
    spots = [
        optics.project(float(a), float(e), up_deg=picture.tilt_deg, v_mm=picture.image_distance_mm)
        for a, e in zip(aside, altitude, strict=True)
    ]
    right = np.array([spot.right_mm for spot in spots])
    up = np.array([spot.up_mm - picture.rise_mm for spot in spots])
    across = np.linspace(-picture.wide_mm / 2.0, picture.wide_mm / 2.0, 201)
    edge = np.interp(across, right, up)
    top = picture.high_mm / 2.0

    def _share(lower_mm: float = 0.0) -> float:
        seen = np.clip(top - edge + lower_mm, 0.0, picture.high_mm)
        return float(np.mean(seen) / picture.high_mm)

    share = _share()
    middle = int(np.argmin(np.abs(sky.skyline.azimuth_deg - bearing_deg)))
    slope = picture.image_distance_mm / math.cos(math.radians(float(altitude[48]))) ** 2
    off = float(math.radians(sky.error_deg[middle]) * slope)
    return SkyInFrame(
        right_mm=tuple(round(float(x), 2) for x in right),
        up_mm=tuple(round(float(y), 2) for y in up),
        share=share,
        share_plus_minus=max(abs(other - share) for other in (_share(off), _share(-off))),
        highest_below_top_mm=float(top - edge.max()),
        plus_minus_mm=off,
        basis=say(sky.skyline.basis),
    )
