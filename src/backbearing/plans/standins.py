"""What may stand in for a camera bearing that nobody took; each says that it was assumed."""

from __future__ import annotations

import math
from dataclasses import replace

from backbearing.errors import BadInput
from backbearing.records import Bearing, Place

SQUARE_ON_ERROR_DEG = 20.0  # 95 %, of a camera taken to stand square to a wall; common practice
FACING_ERROR_DEG = 5.0  # 95 %, of the way a wall looks, none being on record; common practice
_MIDWAY = "assumed: midway between its edges"
BETWEEN_PLACES = "from the two places"
_FROM_PLACES = f"assumed: {BETWEEN_PLACES}"
_BACK_OF_FACING = "assumed: back bearing of the facing wall"


def stood_in(bearing: Bearing | None) -> str:
    """What stands in for a bearing nobody took, '' where one was taken (with whatever compass)."""
    if bearing is None or bearing.basis not in (_MIDWAY, _FROM_PLACES, _BACK_OF_FACING):
        return ""
    return bearing.basis.removeprefix("assumed: ")


def square_to_wall(facing_deg: float) -> Bearing:
    """The camera bearing of one standing square to a wall that looks to a true azimuth."""
    back_deg = (facing_deg + 180.0) % 360.0
    return Bearing(
        true_deg=back_deg,
        error_deg=SQUARE_ON_ERROR_DEG,
        as_written=f"{back_deg:.0f}T",
        basis=_BACK_OF_FACING,
    )


def camera_line(bearing: Bearing | None, facing_deg: float | None) -> Bearing | None:
    """The bearing to judge a camera by: the one taken, else square to the wall as it now faces.

    One assumed from a facing that was mended since follows it.
    """
    if facing_deg is None or (bearing is not None and bearing.basis != _BACK_OF_FACING):
        return bearing
    square = square_to_wall(facing_deg)
    if bearing is not None and abs((bearing.true_deg - square.true_deg + 180) % 360 - 180) < 0.1:
        return bearing
    return square


def facing_behind(bearing: Bearing | None) -> float | None:
    """The way a wall looks whose back bearing stands in for this one; None of any other."""
    if bearing is None or bearing.basis != _BACK_OF_FACING:
        return None
    return (bearing.true_deg + 180.0) % 360.0


def between_edges_deg(left: Bearing | None, right: Bearing | None, where: str) -> float:
    """How far apart the edges are [deg]. Raises BadInput where they are the wrong way round."""
    from backbearing.places.bearings import true_degrees

    apart_deg = true_degrees(right.true_deg - left.true_deg) if left and right else 0.0
    if not 0 < apart_deg < 180:
        raise BadInput(
            "the left edge does not lie to the left of the right one",
            where=f"{where}left",
            remedy="swap the two bearings",
        )
    return apart_deg


def midway(left: Bearing, right: Bearing, apart_deg: float, assumed: list[str]) -> Bearing:
    """The bearing midway between two edges that lie `apart_deg` apart."""
    from backbearing.places.bearings import true_degrees

    middle_deg = true_degrees(left.true_deg + apart_deg / 2)
    # each edge moves the middle by half of its own error, the declination's both alike
    error_deg = (left.error_deg + right.error_deg) / 2
    assumed.append(
        f"camera bearing {middle_deg:.0f}° true ± {error_deg:.0f}°: midway between its edges"
    )
    return Bearing(
        true_deg=middle_deg,
        error_deg=error_deg,
        as_written=f"midway {left.as_written} {right.as_written}",
        basis=_MIDWAY,
    )


def from_places(stood: Place, subject_at: Place, assumed: list[str]) -> Bearing | None:
    """The bearing from one place to the other; None where their errors hide it."""
    azimuth_deg, apart_m, both_m = _line(stood, subject_at)
    if apart_m <= both_m:
        assumed.append(
            f"no camera bearing: the two places are {apart_m:.0f} m apart, within their errors"
        )
        return None
    error_deg = math.degrees(math.asin(both_m / apart_m))
    assumed.append(
        f"camera bearing {azimuth_deg:.0f}° true ± {error_deg:.0f}°: from the two places"
    )
    return Bearing(
        true_deg=azimuth_deg,
        error_deg=error_deg,
        as_written=f"{azimuth_deg:.0f}T",
        basis=_FROM_PLACES,
    )


def back_of_facing(facing: Bearing, assumed: list[str]) -> Bearing:
    """The back bearing of the wall, as wide as a camera may stand off its square."""
    from backbearing.places.bearings import back_bearing

    error_deg = math.hypot(facing.error_deg, SQUARE_ON_ERROR_DEG)
    bearing = replace(
        back_bearing(facing),
        error_deg=error_deg,
        basis=_BACK_OF_FACING,
    )
    assumed.append(
        f"camera bearing {bearing.true_deg:.0f}° true ± {error_deg:.0f}°: the back bearing of the "
        "facing wall, as if the camera stood square to it"
    )
    return bearing


def disagreement(taken: Bearing, stood: Place, subject_at: Place) -> str:
    """A sentence where a bearing and the line between the two places are further apart than both
    errors allow; '' where they agree. The bearing as taken stays the primary fact."""
    azimuth_deg, apart_m, both_m = _line(stood, subject_at)
    if apart_m <= both_m:
        return ""
    off_deg = abs((taken.true_deg - azimuth_deg + 180.0) % 360.0 - 180.0)
    if off_deg <= taken.error_deg + math.degrees(math.asin(both_m / apart_m)):
        return ""
    return (
        f"the bearing taken is {off_deg:.0f}° off the line between the two places "
        f"({azimuth_deg:.0f}° true); the bearing is kept, so look at the places"
    )


def outside_edges(taken: Bearing, left: Bearing, apart_deg: float) -> str:
    """A sentence where a bearing lies further outside the subject's edges than its error allows."""
    from_left_deg = (taken.true_deg - left.true_deg) % 360.0
    off_deg = min(from_left_deg - apart_deg, 360.0 - from_left_deg)
    if off_deg <= taken.error_deg + left.error_deg:
        return ""
    return (
        f"the bearing taken lies {off_deg:.0f}° outside the edges; it is kept, so look at all three"
    )


def _line(stood: Place, subject_at: Place) -> tuple[float, float, float]:
    """Azimuth [deg], length [m] and the joint error of its ends [m]."""
    from backbearing.places.geodesy import inverse

    azimuth_deg, apart_m = inverse(
        stood.latitude_deg, stood.longitude_deg, subject_at.latitude_deg, subject_at.longitude_deg
    )
    return azimuth_deg, apart_m, math.hypot(stood.error_m, subject_at.error_m)
