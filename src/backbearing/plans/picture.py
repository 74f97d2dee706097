"""A subject on the plate: level, with the front moved, or with the camera tilted.

The picture is taken in the first way that holds all of it: level; level with rise or fall, as far
as camera and image circle go; tilted, which makes upright lines lean.
"""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from backbearing.models import lens as optics
from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.records import Camera, Lens

Fit = Literal["yes", "doubtful", "no"]
Way = Literal["level", "rise", "fall", "tilted up", "tilted down"]
_STEEPEST_DEG, _TILT_STEP_DEG = 40.0, 0.25
_FARTHEST_TIMES = 50.0
_NEARLY_UPRIGHT_DEG = 89.9


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """The angles a subject takes up, the camera aimed at its middle; errors 95 %."""

    top_deg: float
    foot_deg: float
    half_wide_deg: float | None  # None: width not known
    error_top_deg: float
    error_foot_deg: float
    error_side_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Margin:
    """Room between the subject and one side of the image; negative where it goes out."""

    side: Literal["left", "right", "top", "bottom"]
    mm: float
    plus_minus_mm: float
    share: float  # of the image's side along it


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """The plate with the subject in it; mm from the plate's middle, as the picture is seen."""

    upright: bool
    wide_mm: float
    high_mm: float
    image_distance_mm: float
    way: Way
    rise_mm: float  # negative: fall
    tilt_deg: float  # the camera up, negative down
    leaning_deg: float  # of the subject's upright edges; positive: leaning in at the top
    leaning_mm: float  # over its height on the plate
    left_mm: float | None
    right_mm: float | None
    top_mm: float
    foot_mm: float
    margins: tuple[Margin, ...]
    fits: Fit
    why: str
    holds_height: float  # share of its height that is on the plate
    holds_width: float | None
    rise_wanted_mm: float  # without bounds, to hold it level
    circle_needed_mm: float
    circle_mm: float | None  # at this extension; None: the lens's coverage is not known


def take_picture(
    view: View,
    camera: Camera,
    lens: Lens,
    *,
    upright: bool,
    distance_m: float,
    margin: float = 0.0,
) -> Picture:
    """How is the subject on the plate, and does it fit?

    margin: share of the side to be left free. Raises BadInput for a subject nearer than the
    focal length.
    """
    wide, high = camera.image_wide_mm, camera.image_high_mm
    if upright:
        wide, high = high, wide
    v = optics.image_distance_mm(lens.focal_mm, distance_m)
    circle = None if lens.coverage_mm is None else lens.coverage_mm * v / lens.focal_mm
    free = margin * high
    top = optics.project(0.0, view.top_deg, up_deg=0.0, v_mm=v).up_mm
    foot = optics.project(0.0, view.foot_deg, up_deg=0.0, v_mm=v).up_mm
    least, most = top + free - high / 2.0, foot - free + high / 2.0  # of the rise
    wanted = (least + most) / 2.0 if least > most else min(max(0.0, least), most)

    def covered(rise: float) -> bool:
        if circle is None:
            return True
        return optics.circle_needed_mm(wide, high, rise_mm=rise, shift_mm=0.0) <= circle + 1e-9

    made = _Plate(view, wide, high, v, circle, upright, margin, wanted)
    if least <= most:
        if wanted == 0.0:
            return made.picture("level", 0.0, 0.0)
        allowed = camera.rise_mm if wanted > 0.0 else camera.fall_mm
        if abs(wanted) <= allowed + 1e-9 and covered(wanted):
            return made.picture("rise" if wanted > 0.0 else "fall", wanted, 0.0)
    tilted = made.tilted()
    if tilted is not None:
        return tilted
    # it does not fit: shown level, with all the rise there is
    bound = camera.rise_mm if wanted > 0.0 else camera.fall_mm
    rise = math.copysign(min(abs(wanted), bound), wanted)
    if circle is not None and not covered(rise):
        room = math.sqrt(max(circle * circle / 4.0 - wide * wide / 4.0, 0.0)) - high / 2.0
        rise = math.copysign(max(min(abs(rise), room), 0.0), wanted)
    way: Way = "level" if rise == 0.0 else "rise" if rise > 0.0 else "fall"
    return made.picture(way, rise, 0.0)


def back_times(
    view: View,
    camera: Camera,
    lens: Lens,
    *,
    upright: bool,
    distance_m: float,
    margin: float = 0.0,
) -> tuple[float, Picture] | None:
    """How many times the distance holds the subject surely, over level ground; and how?

    None where even fifty times would not.
    """

    def taken(times: float) -> Picture:
        return take_picture(
            seen_from(view, times),
            camera,
            lens,
            upright=upright,
            distance_m=distance_m * times,
            margin=margin,
        )

    def fits(times: float) -> bool:
        return taken(times).fits == "yes"

    low, high = 1.0, 1.0
    while not fits(high):
        low, high = high, high * 1.25
        if high > _FARTHEST_TIMES:
            return None
    for _ in range(12):
        middle = (low + high) / 2.0
        low, high = (low, middle) if fits(middle) else (middle, high)
    return high, taken(high)


def seen_from(view: View, times: float) -> View:
    """Which angles does it take up from so many times the distance, at the same level?"""

    def error(angle_deg: float, error_deg: float) -> float:
        most_deg = min(abs(angle_deg) + error_deg, max(abs(angle_deg), _NEARLY_UPRIGHT_DEG))
        return shrunk_deg(most_deg, times) - shrunk_deg(abs(angle_deg), times)

    half = view.half_wide_deg
    return View(
        top_deg=shrunk_deg(view.top_deg, times),
        foot_deg=shrunk_deg(view.foot_deg, times),
        half_wide_deg=None if half is None else shrunk_deg(half, times),
        error_top_deg=error(view.top_deg, view.error_top_deg),
        error_foot_deg=error(view.foot_deg, view.error_foot_deg),
        error_side_deg=error(half or 0.0, view.error_side_deg),
    )


def shrunk_deg(angle_deg: float, times: float) -> float:
    """An angle off the axis, from so many times the distance."""
    return math.degrees(math.atan(math.tan(math.radians(angle_deg)) / times))


class _Plate:
    """One plate before one subject: the picture for any rise and tilt."""

    def __init__(
        self,
        view: View,
        wide: float,
        high: float,
        v: float,
        circle: float | None,
        upright: bool,
        margin: float,
        wanted: float,
    ) -> None:
        self.view, self.wide, self.high, self.v = view, wide, high, v
        self.circle, self.upright, self.margin, self.wanted = circle, upright, margin, wanted

    def tilted(self) -> Picture | None:
        """The least tilt that holds it all; None where none does."""
        sign = 1.0 if self.view.top_deg + self.view.foot_deg > 0.0 else -1.0
        room = 0.5 - self.margin + 1e-9  # from the middle, as a share of the side
        for step in range(1, int(_STEEPEST_DEG / _TILT_STEP_DEG) + 1):
            up = sign * step * _TILT_STEP_DEG
            half, top, foot, _ = self.box(self.view, 0.0, up)
            if half <= room * self.wide and top <= room * self.high and -foot <= room * self.high:
                return self.picture("tilted up" if sign > 0.0 else "tilted down", 0.0, up)
        return None

    def box(self, view: View, rise: float, up_deg: float) -> tuple[float, float, float, float]:
        """Half width, top, foot of the subject on the plate, and its upper half width."""
        half = view.half_wide_deg or 0.0
        spots = [
            optics.project(aside, e, up_deg=up_deg, v_mm=self.v)
            # the face is flat, across the camera's bearing: its corners lie at the face's height
            for e, aside in (
                (_corner(view.top_deg, half), half),
                (view.top_deg, 0.0),
                (_corner(view.foot_deg, half), half),
                (view.foot_deg, 0.0),
            )
        ]
        tops = max(spots[0].up_mm, spots[1].up_mm)
        feet = min(spots[2].up_mm, spots[3].up_mm)
        return (
            max(spots[0].right_mm, spots[2].right_mm),
            tops - rise,
            feet - rise,
            spots[0].right_mm,
        )

    def picture(self, way: Way, rise: float, up_deg: float) -> Picture:
        view = self.view
        half, top, foot, upper = self.box(view, rise, up_deg)
        known = view.half_wide_deg is not None
        more = self.box(
            dataclasses.replace(
                view,
                top_deg=min(view.top_deg + view.error_top_deg, 89.0),
                foot_deg=max(view.foot_deg - view.error_foot_deg, -89.0),
                half_wide_deg=(
                    None
                    if view.half_wide_deg is None
                    else min(view.half_wide_deg + view.error_side_deg, 85.0)
                ),
            ),
            rise,
            up_deg,
        )
        margins = [
            Margin(
                side="top",
                mm=self.high / 2 - top,
                plus_minus_mm=abs(more[1] - top),
                share=(self.high / 2 - top) / self.high,
            ),
            Margin(
                side="bottom",
                mm=foot + self.high / 2,
                plus_minus_mm=abs(foot - more[2]),
                share=(foot + self.high / 2) / self.high,
            ),
        ]
        if known:
            room = self.wide / 2 - half
            error = abs(more[0] - half)
            sides: tuple[Literal["left", "right"], ...] = ("left", "right")
            margins = [
                Margin(side=side, mm=room, plus_minus_mm=error, share=room / self.wide)
                for side in sides
            ] + margins
        fits, why = _verdict(margins, self.margin, self.wide, self.high)
        needed = optics.circle_needed_mm(self.wide, self.high, rise_mm=rise, shift_mm=0.0)
        if self.circle is not None and needed > self.circle + 1e-9 and fits == "yes":
            fits = "doubtful"
            why = say(
                "the lens covers {circle:.0f} mm, the plate needs {needed:.0f}: dark corners",
                circle=self.circle,
                needed=needed,
            )
        height, width = top - foot, 2.0 * half
        shown = min(top, self.high / 2) - max(foot, -self.high / 2)
        leaning = optics.leaning_deg(upper, top + rise, up_deg=up_deg, v_mm=self.v)
        return Picture(
            upright=self.upright,
            wide_mm=self.wide,
            high_mm=self.high,
            image_distance_mm=self.v,
            way=way,
            rise_mm=rise,
            tilt_deg=up_deg,
            leaning_deg=leaning if known else 0.0,
            leaning_mm=height * math.tan(math.radians(leaning)) if known else 0.0,
            left_mm=-half if known else None,
            right_mm=half if known else None,
            top_mm=top,
            foot_mm=foot,
            margins=tuple(margins),
            fits=fits,
            why=why,
            holds_height=max(0.0, min(1.0, shown / height)),
            holds_width=min(1.0, self.wide / width) if known and width > 0.0 else None,
            rise_wanted_mm=self.wanted,
            circle_needed_mm=needed,
            circle_mm=self.circle,
        )


def _corner(altitude_deg: float, half_deg: float) -> float:
    slope = math.tan(math.radians(altitude_deg)) * math.cos(math.radians(half_deg))
    return math.degrees(math.atan(slope))


def _verdict(
    margins: list[Margin], wanted: float, wide_mm: float, high_mm: float
) -> tuple[Fit, str]:
    over = {
        each: each.mm - wanted * (wide_mm if each.side in ("left", "right") else high_mm)
        for each in margins
    }
    worst = min(margins, key=lambda each: over[each])
    spare, error = over[worst], worst.plus_minus_mm
    if spare < -1e-6 and -spare > error:
        return "no", say(
            "{spare:.0f} mm ± {error:.0f} too much at the {side}",
            spare=-spare,
            error=error,
            side=say(worst.side),
        )
    if spare < error:
        return (
            "doubtful",
            say(
                "{spare:.0f} mm to spare at the {side}, known to ± {error:.0f} mm",
                spare=spare,
                side=say(worst.side),
                error=error,
            ),
        )
    return "yes", say(
        "{spare:.0f} mm ± {error:.0f} to spare at the {side}, the tightest side",
        spare=spare,
        error=error,
        side=say(worst.side),
    )
