"""Does a subject fit the plate from where the camera stands, and what else would do?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from backbearing.errors import BadInput, NotFound, quoted
from backbearing.models import lens as optics
from backbearing.plans.picture import Fit, Picture, View, back_times, take_picture

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.notebook import Notebook
    from backbearing.records import Camera, CameraPosition, Lens, Subject

ANGLE_ERROR_DEG = 1.0  # 95 %, of a clinometer read by eye; common practice, no source
DISTANCE_SHARE = 0.1  # 95 %, of a paced distance; common practice, no source
SIZE_SHARE = 0.1  # 95 %, of a size on record
EYE_M = 1.5  # of the lens over the ground at the subject's foot, where no angle says more
ASSUMED_M = 30.0  # for the image distance alone, where no distance is known

Side = Literal["left", "right", "top", "bottom"]
SIDES: tuple[Side, ...] = ("left", "right", "top", "bottom")


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """Another lens, or the plate turned, that would do from here."""

    camera: str
    lens: str
    upright: bool
    way: str
    fits: Fit


@dataclass(frozen=True, slots=True, kw_only=True)
class FarBack:
    """How far from the subject is far enough."""

    times: float  # the distance now
    distance_m: float | None  # None where the distance now is not known
    plus_minus_m: float | None
    back_m: float | None
    ground: str  # what is known of the ground there


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """A share of the frame taken away at one side, as a turn of the camera."""

    side: Side
    share: float
    turn_deg: float
    way: Literal["left", "right", "up", "down"]
    bearing_deg: float | None  # of the camera afterwards, true
    mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SkyInFrame:
    """The skyline in the frame, left to right, in mm on the plate."""

    right_mm: tuple[float, ...]
    up_mm: tuple[float, ...]
    share: float  # of the frame, sky over the ground; what the subject hides is not taken off
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
    farther: FarBack | None
    others: tuple[Alternative, ...]
    turn: Turn | None
    sky: SkyInFrame | None
    rests_on: tuple[str, ...]


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
            f"no {'lens' if kit.cameras else 'camera'} is on record",
            remedy="'backbearing kit blank' prints a file to start from, 'kit take' reads it",
        )
    camera = shelf.find_camera(notebook, camera_name) if camera_name else kit.cameras[0]
    lens = shelf.find_lens(notebook, lens_name) if lens_name else kit.lenses[0]
    distance = distance_m or (None if position is None else position.distance_m)
    view, rests_on = view_of(subject, position, distance)
    if not camera_name and len(kit.cameras) > 1:
        rests_on.append(f"camera {quoted(camera.name)}, the first on record")
    if not lens_name and len(kit.lenses) > 1:
        rests_on.append(f"lens {quoted(lens.name)}, the first on record")

    def taken(glass: Lens, body: Camera, turned: bool) -> Picture:
        u = distance if distance is not None else ASSUMED_M
        return take_picture(view, body, glass, upright=turned, distance_m=u, margin=margin)

    level = taken(lens, camera, bool(upright))
    if upright is None and level.fits == "no" and not camera.fixed_way_up:
        turned = taken(lens, camera, True)
        level = turned if turned.fits != "no" else level
    others = []
    if level.fits != "yes":
        for glass in kit.lenses:
            for turned_way in (False, True):
                if turned_way and camera.fixed_way_up:
                    continue
                if glass.name == lens.name and turned_way == level.upright:
                    continue
                if distance is not None and distance * 1000 <= glass.focal_mm:
                    continue
                got = taken(glass, camera, turned_way)
                if got.fits != "no":
                    others.append(
                        Alternative(
                            camera=camera.name,
                            lens=glass.name,
                            upright=turned_way,
                            way=got.way,
                            fits=got.fits,
                        )
                    )
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
        farther=_farther(view, camera, lens, level, distance, margin),
        others=tuple(others),
        turn=_turn(level, less, bearing),
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
        f"no camera position is called {quoted(wanted)}",
        where="--from",
        remedy=f"on record: {have}",
    )


def view_of(
    subject: Subject, position: CameraPosition | None, distance_m: float | None
) -> tuple[View, list[str]]:
    """Which angles does a subject take up from a camera position, and what do they rest on?

    Measured angles and edges go before sizes and distance.
    Raises BadInput where neither answers for its height.
    """
    rests_on: list[str] = []
    top, foot = (None, None) if position is None else (position.top_deg, position.foot_deg)
    if distance_m is not None:
        optics.positive(distance_m, "distance")
    if top is not None and foot is not None:
        if not top > foot:
            raise BadInput("the top does not lie above the foot", where="top")
        error_top = error_foot = ANGLE_ERROR_DEG
        rests_on.append(f"height by the angles {top:g}° and {foot:g}° ± {ANGLE_ERROR_DEG:g}°")
    elif subject.tall_m is not None and distance_m is not None:
        up = subject.tall_m - EYE_M
        if top is not None:
            foot = _deg(math.tan(math.radians(top)) - subject.tall_m / distance_m)
        elif foot is not None:
            top = _deg(math.tan(math.radians(foot)) + subject.tall_m / distance_m)
        else:
            foot, top = _deg(-EYE_M / distance_m), _deg(up / distance_m)
            rests_on.append(f"the lens {EYE_M:g} m above the subject's foot (assumed)")
        off = math.hypot(SIZE_SHARE, DISTANCE_SHARE)
        error_top = abs(_deg(up / distance_m * (1 + off)) - _deg(up / distance_m))
        error_foot = abs(_deg(EYE_M / distance_m * (1 + off)) - _deg(EYE_M / distance_m))
        rests_on.append(
            f"height {subject.tall_m:g} m ± 10 % at {distance_m:g} m ± 10 % (assumed errors)"
        )
    else:
        raise BadInput(
            "its height in the picture is not known",
            where=quoted(subject.name),
            remedy="measure the angles to top and foot, or give its height and the distance",
        )
    half: float | None = None
    error_side = 0.0
    if position is not None and position.left_edge and position.right_edge:
        left, right = position.left_edge, position.right_edge
        half = ((right.true_deg - left.true_deg) % 360.0) / 2.0
        error_side = math.hypot(left.error_deg, right.error_deg) / 2.0
        rests_on.append(f"width by the bearings of its edges, {2 * half:.0f}° between them")
        if half >= 80.0:
            raise BadInput("its edges are more than 160° apart", where="edges")
    elif subject.wide_m is not None and distance_m is not None:
        half = _deg(subject.wide_m / 2.0 / distance_m)
        off = math.hypot(SIZE_SHARE, DISTANCE_SHARE)
        error_side = _deg(subject.wide_m / 2.0 / distance_m * (1 + off)) - half
        rests_on.append(f"width {subject.wide_m:g} m ± 10 % (assumed error)")
    else:
        rests_on.append("width not known: only the height was fitted")
    if distance_m is None:
        rests_on.append(f"distance not known; the lens is taken as focused at {ASSUMED_M:g} m")
    rests_on.append("aimed at the middle of the subject")
    return (
        View(
            top_deg=top,
            foot_deg=foot,
            half_wide_deg=half,
            error_top_deg=error_top,
            error_foot_deg=error_foot,
            error_side_deg=error_side,
        ),
        rests_on,
    )


def _deg(slope: float) -> float:
    return math.degrees(math.atan(slope))


def _farther(
    view: View,
    camera: Camera,
    lens: Lens,
    picture: Picture,
    distance_m: float | None,
    margin: float,
) -> FarBack | None:
    if picture.fits == "yes":
        return None
    times = back_times(
        view,
        camera,
        lens,
        upright=picture.upright,
        distance_m=distance_m if distance_m is not None else ASSUMED_M,
        margin=margin,
    )
    if times is None:
        return None
    ground = "whether one can stand there is not on record; look at the map before counting on it"
    if distance_m is None:
        return FarBack(times=times, distance_m=None, plus_minus_m=None, back_m=None, ground=ground)
    rise = math.tan(math.radians(view.top_deg)) - math.tan(math.radians(view.foot_deg))
    of_angle = math.radians(math.hypot(view.error_top_deg, view.error_foot_deg)) / rise
    return FarBack(
        times=times,
        distance_m=times * distance_m,
        plus_minus_m=times * distance_m * math.hypot(of_angle, DISTANCE_SHARE),
        back_m=(times - 1.0) * distance_m,
        ground=ground,
    )


def _turn(
    picture: Picture, less: tuple[Side, float] | None, bearing_deg: float | None
) -> Turn | None:
    if less is None:
        return None
    side, share = less
    if not -0.9 <= share <= 0.9 or share == 0.0:
        raise BadInput("is not between 1 and 90 %", where="--less")
    across = side in ("left", "right")
    length = picture.wide_mm if across else picture.high_mm
    turned = optics.turn_deg(length, abs(share), picture.image_distance_mm)
    away: dict[Side, Literal["left", "right", "up", "down"]] = {
        "left": "right",
        "right": "left",
        "top": "down",
        "bottom": "up",
    }
    towards: dict[Side, Literal["left", "right", "up", "down"]] = {
        "left": "left",
        "right": "right",
        "top": "up",
        "bottom": "down",
    }
    way = away[side] if share > 0 else towards[side]
    if share < 0:
        turned = -optics.turn_deg(length, share, picture.image_distance_mm)
    new = None
    if across and bearing_deg is not None:
        new = (bearing_deg + (turned if way == "right" else -turned)) % 360.0
    return Turn(
        side=side,
        share=share,
        turn_deg=turned,
        way=way,
        bearing_deg=new,
        mm=abs(share) * length,
    )


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
    share = float(np.mean(np.clip(top - edge, 0.0, picture.high_mm)) / picture.high_mm)
    middle = int(np.argmin(np.abs(sky.skyline.azimuth_deg - bearing_deg)))
    slope = picture.image_distance_mm / math.cos(math.radians(float(altitude[48]))) ** 2
    return SkyInFrame(
        right_mm=tuple(round(float(x), 2) for x in right),
        up_mm=tuple(round(float(y), 2) for y in up),
        share=share,
        highest_below_top_mm=float(top - edge.max()),
        plus_minus_mm=float(math.radians(sky.error_deg[middle]) * slope),
        basis=sky.skyline.basis,
    )
