"""Less of one side, more of the other: as a turn of the camera, or as a shift of its front."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from backbearing.errors import BadInput
from backbearing.models import lens as optics
from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.plans.picture import Picture
    from backbearing.records import Camera

Side = Literal["left", "right", "top", "bottom"]
Towards = Literal["left", "right", "up", "down"]
SIDES: tuple[Side, ...] = ("left", "right", "top", "bottom")
_TO: dict[Side, Towards] = {"left": "left", "right": "right", "top": "up", "bottom": "down"}
_FROM: dict[Side, Towards] = {"left": "right", "right": "left", "top": "down", "bottom": "up"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """A share of the frame taken away at one side, as a turn of the camera."""

    side: Side
    share: float
    turn_deg: float
    way: Towards
    bearing_deg: float | None  # of the camera afterwards, true
    compass_deg: float | None  # the same by the compass, where its declination is on record
    mm: float
    by_front: bool  # whether the front can go `mm` that way in its place, by camera and lens


def turned(
    picture: Picture,
    camera: Camera,
    less: tuple[Side, float] | None,
    bearing_deg: float | None,
    declination_deg: float | None = None,
) -> Turn | None:
    """How far must the camera turn for a share of the frame to go at one side?

    less: the side and the share, negative for more to come in there. Raises BadInput.
    """
    if less is None:
        return None
    side, share = less
    if not -0.9 <= share <= 0.9 or share == 0.0:
        raise BadInput(say("is not between 1 and 90 %"), where="--turn")
    across = side in ("left", "right")
    length = picture.wide_mm if across else picture.high_mm
    way = (_FROM if share > 0 else _TO)[side]
    by = abs(optics.turn_deg(length, share, picture.image_distance_mm))
    new = None
    if across and bearing_deg is not None:
        new = (bearing_deg + (by if way == "right" else -by)) % 360.0
    mm = abs(share) * length
    return Turn(
        side=side,
        share=share,
        turn_deg=by,
        way=way,
        bearing_deg=new,
        compass_deg=None
        if new is None or declination_deg is None
        else (new - declination_deg) % 360.0,
        mm=mm,
        by_front=_by_front(picture, camera, way, mm),
    )


def _by_front(picture: Picture, camera: Camera, way: Towards, mm: float) -> bool:
    """Whether the front goes as far: its travel, and the lens's circle where that is known."""
    shift, rise = 0.0, picture.rise_mm
    if way in ("left", "right"):
        shift = mm
    else:
        rise += mm if way == "up" else -mm
    if shift > camera.shift_mm or rise > camera.rise_mm or -rise > camera.fall_mm:
        return False
    needed = optics.circle_needed_mm(picture.wide_mm, picture.high_mm, rise_mm=rise, shift_mm=shift)
    return picture.circle_mm is None or needed <= picture.circle_mm
