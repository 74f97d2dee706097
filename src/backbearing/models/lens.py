"""What a lens draws on a plate: angle, size, focus, depth, and where a direction falls.

Thin lens, distances from its optical centre, as Ray, *Applied Photographic Optics* (3rd ed. 2002)
has them: magnification m = f/(u − f), image distance v = f(1 + m), hyperfocal H = f²/(Nc) + f,
near s(H − f)/(H + s − 2f), far s(H − f)/(H − s). Plate sides in mm, distances in m.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from backbearing.errors import BadInput

BLUE_MM, GREEN_MM = 430e-6, 550e-6  # wavelengths an ordinary plate sees, and the eye
PRINT_BLUR_MM = 0.2  # common practice: what the eye still takes for sharp at 250 mm
DIAGONAL_PARTS = 1500.0  # common practice: the circle of confusion is the diagonal's 1500th


class Sharp(NamedTuple):
    """What is sharp: from, to [m]; `far_m` is infinite from the hyperfocal distance on."""

    near_m: float
    far_m: float


def positive(value: float, where: str) -> float:
    """The value itself. Raises BadInput where it is not a number above 0."""
    if not (math.isfinite(value) and value > 0.0):
        raise BadInput(f"{value:g} is not above 0", where=where, remedy="give a number above 0")
    return value


def magnification(focal_mm: float, distance_m: float) -> float:
    """How large is the image of a subject against itself? 0 at infinity.

    Raises BadInput for a focal length not above 0, or a subject nearer than it.
    """
    positive(focal_mm, "focal length")
    if not distance_m * 1000.0 > focal_mm:
        raise BadInput(
            f"a subject {distance_m:g} m away is nearer than the focal length of {focal_mm:g} mm",
            where="distance",
            remedy="no image forms there; give the distance in metres",
        )
    return focal_mm / (distance_m * 1000.0 - focal_mm)


def image_distance_mm(focal_mm: float, distance_m: float) -> float:
    """How far behind the lens does the image of a distance lie?"""
    return focal_mm * (1.0 + magnification(focal_mm, distance_m))


def angle_of_view_deg(side_mm: float, image_distance_mm: float) -> float:
    """Which angle does a side of the plate see, the lens opposite its middle?"""
    positive(side_mm, "plate")
    return math.degrees(2.0 * math.atan(side_mm / (2.0 * positive(image_distance_mm, "lens"))))


def covered_m(side_mm: float, focal_mm: float, distance_m: float) -> float:
    """How much of an upright plane at a distance does a side of the plate take in?"""
    return positive(side_mm, "plate") / magnification(focal_mm, distance_m) / 1000.0


def distance_for_m(side_mm: float, focal_mm: float, size_m: float) -> float:
    """From how far does a size fill a side of the plate?"""
    m = positive(side_mm, "plate") / (positive(size_m, "size") * 1000.0)
    return positive(focal_mm, "focal length") * (1.0 + 1.0 / m) / 1000.0


def hyperfocal_m(focal_mm: float, f_number: float, blur_mm: float) -> float:
    """From which focus on is everything sharp to infinity?"""
    positive(focal_mm, "focal length")
    aperture_mm = focal_mm / positive(f_number, "aperture")
    return (focal_mm * aperture_mm / positive(blur_mm, "circle of confusion") + focal_mm) / 1000.0


def sharp_range(focal_mm: float, f_number: float, blur_mm: float, focus_m: float) -> Sharp:
    """From where to where is it sharp, focused at a distance (may be infinite)?"""
    h, f = hyperfocal_m(focal_mm, f_number, blur_mm), focal_mm / 1000.0
    if math.isinf(focus_m):
        return Sharp(h - f, math.inf)
    magnification(focal_mm, focus_m)  # refuses what lies nearer than the focal length
    near_m = focus_m * (h - f) / (h + focus_m - 2.0 * f)
    return Sharp(near_m, math.inf if focus_m >= h else focus_m * (h - f) / (h - focus_m))


class FocusFor(NamedTuple):
    """Where to focus [m], and the f-number, so that both planes are just sharp."""

    focus_m: float
    f_number: float


def focus_for(focal_mm: float, blur_mm: float, near_m: float, far_m: float) -> FocusFor:
    """Which focus and f-number hold everything between two distances sharp?

    far_m: may be infinite. Raises BadInput where far is not beyond near.
    """
    magnification(focal_mm, near_m)
    f = focal_mm / 1000.0
    c = positive(blur_mm, "circle of confusion") / 1000.0
    if math.isinf(far_m):  # the hyperfocal distance whose near limit is near_m: N = f²/(c(H − f))
        h = 2.0 * near_m  # near of H is H/2, exactly
        return FocusFor(h, f * f / (c * (h - f)))
    if not far_m > near_m:
        raise BadInput(
            f"{far_m:g} m is not beyond {near_m:g} m", where="far", remedy="give near, then far"
        )
    focus_m = 2.0 * near_m * far_m / (near_m + far_m)
    spread = 2.0 * near_m * far_m - f * (near_m + far_m)
    return FocusFor(focus_m, f * f * (far_m - near_m) / (c * spread))


def airy_mm(f_number: float, wavelength_mm: float = BLUE_MM) -> float:
    """How wide is the spot that diffraction makes of a point (2.44 λN)?"""
    return 2.44 * wavelength_mm * positive(f_number, "aperture")


def blur_of_diagonal_mm(wide_mm: float, high_mm: float) -> float:
    """The circle of confusion by the plate's diagonal / 1500 (common practice)."""
    return math.hypot(positive(wide_mm, "plate"), positive(high_mm, "plate")) / DIAGONAL_PARTS


def blur_of_print_mm(enlarged: float = 1.0, viewed_mm: float = 250.0) -> float:
    """The circle of confusion by the print: 0.2 mm at 250 mm, shared out over the enlargement."""
    seen = PRINT_BLUR_MM * positive(viewed_mm, "viewing distance") / 250.0
    return seen / positive(enlarged, "enlargement")


def from_lens_m(focal_mm: float, from_plate_m: float) -> float:
    """How far from the lens is what a tape from the plate says?

    Of the two places a lens may stand between subject and plate, that near the plate.
    Raises BadInput where it is nearer than four focal lengths, where no image forms.
    """
    f = positive(focal_mm, "focal length") / 1000.0
    spare = from_plate_m - 2.0 * f
    if not from_plate_m >= 4.0 * f:
        raise BadInput(
            f"{from_plate_m:g} m from the plate is nearer than four focal lengths",
            where="distance",
            remedy="no image forms there",
        )
    if math.isinf(from_plate_m):
        return math.inf
    return f + (spare + math.sqrt(max(spare * spare - 4.0 * f * f, 0.0))) / 2.0


def from_plate_m(focal_mm: float, from_lens_m: float) -> float:
    """How far from the plate is what lies this far from the lens?"""
    if math.isinf(from_lens_m):
        return math.inf
    return from_lens_m + image_distance_mm(focal_mm, from_lens_m) / 1000.0


def moved_focus_m(focal_mm: float, focus_m: float, plate_offset_mm: float) -> float:
    """Where is it sharp in truth, the plate lying behind the plane the scale was made for?

    plate_offset_mm: negative where it lies in front. Infinite where the plate then lies at the
    focal plane or in front of it, where nothing is quite sharp.
    """
    v = focal_mm if math.isinf(focus_m) else image_distance_mm(focal_mm, focus_m)
    moved = v + plate_offset_mm
    if moved <= focal_mm * (1.0 + 1e-12):
        return math.inf
    return focal_mm * moved / (moved - focal_mm) / 1000.0


# ---------------------------------------------------------------- on the plate


class Spot(NamedTuple):
    """Where on the plate, seen as the picture is: mm right of and above the lens's axis."""

    right_mm: float
    up_mm: float


def project(aside_deg: float, altitude_deg: float, *, up_deg: float, v_mm: float) -> Spot:
    """Where does a direction fall on the plate of a camera that points `up_deg` over the level?

    aside_deg: of the direction, to the right of the camera's bearing. v_mm: image distance.
    The spot is nan where the direction is not in front of the camera.
    """
    a, e, p = map(math.radians, (aside_deg, altitude_deg, up_deg))
    ahead, right, up = math.cos(e) * math.cos(a), math.cos(e) * math.sin(a), math.sin(e)
    depth = ahead * math.cos(p) + up * math.sin(p)
    if depth <= 1e-9:
        return Spot(math.nan, math.nan)
    return Spot(v_mm * right / depth, v_mm * (up * math.cos(p) - ahead * math.sin(p)) / depth)


def leaning_deg(right_mm: float, up_mm: float, *, up_deg: float, v_mm: float) -> float:
    """How far does an upright line through a spot of the plate lean towards the middle?

    Positive: its upper end leans in, as when the camera points up. All upright lines meet in one
    point, v / tan(up) above the axis.
    """
    if abs(up_deg) < 1e-9:
        return 0.0
    vanishing_mm = v_mm / math.tan(math.radians(up_deg))
    return math.degrees(math.atan2(abs(right_mm), abs(vanishing_mm - up_mm))) * math.copysign(
        1.0, up_deg
    )


def circle_needed_mm(wide_mm: float, high_mm: float, *, rise_mm: float, shift_mm: float) -> float:
    """How wide an image circle takes in the whole plate, the lens moved off its middle?"""
    return 2.0 * math.hypot(wide_mm / 2.0 + abs(shift_mm), high_mm / 2.0 + abs(rise_mm))


def turn_deg(side_mm: float, share: float, v_mm: float) -> float:
    """How far must the camera turn for a share of the frame to go out at one side?

    share: of the side, 0 … 1; negative for more to come in there.
    """
    half = positive(side_mm, "plate") / 2.0
    gone = half - share * side_mm
    return math.degrees(math.atan(half / v_mm) - math.atan(gone / v_mm))
