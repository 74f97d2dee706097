"""How far back is far enough for a subject to fit, and how the ground runs back to there."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.plans.picture import Way, back_times
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.plans.picture import Picture, View
    from backbearing.records import Camera, Floats, Grid, Lens, Place

DISTANCE_SHARE = 0.1  # 95 %, of a paced distance; common practice, no source
ASSUMED_M = 30.0  # for the image distance alone, where no distance is known
DROP_DEG = 45.0  # of the ground over one cell, downwards; steeper is called a drop

_NOT_KNOWN = phrase(
    "whether one can stand there is not on record; look at the map before counting on it"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundBehind:
    """The ground from the camera straight back, away from the subject, by terrain on record."""

    known_m: float  # how far back it is known without a gap
    rise_m: float  # from the camera to there, negative down
    plus_minus_m: float
    steepest_deg: float  # over one cell, up or down
    drop_at_m: float | None  # behind the camera; None: none found, which is not none there
    cell_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FarBack:
    """How far from the subject is far enough."""

    times: float  # the distance now
    distance_m: float | None  # None where the distance now is not known
    plus_minus_m: float | None
    back_m: float | None
    way: Way  # of the camera there
    tilt_deg: float
    ground: str  # what is known of the ground there
    behind: GroundBehind | None  # None: not known


def farther_back(
    notebook: Notebook,
    view: View,
    camera: Camera,
    lens: Lens,
    picture: Picture,
    *,
    distance_m: float | None,
    margin: float,
    place: Place | None,
    bearing_deg: float | None,
) -> FarBack | None:
    """How far must the camera go back for the subject to fit surely, and over which ground?

    The fit is counted over level ground. place, bearing_deg: of the camera now, for the ground.
    None where it fits, or would not from fifty times as far.
    """
    if picture.fits == "yes":
        return None
    found = back_times(
        view,
        camera,
        lens,
        upright=picture.upright,
        distance_m=distance_m if distance_m is not None else ASSUMED_M,
        margin=margin,
    )
    if found is None:
        return None
    times, there = found
    if distance_m is None:
        times = math.ceil(times * 10.0) / 10.0
    else:
        times = told_up_m(times * distance_m) / distance_m
    back_m = None if distance_m is None else (times - 1.0) * distance_m
    behind, why = None, ""
    if back_m is not None and place is not None and bearing_deg is not None:
        behind, why = ground_behind(notebook, place, bearing_deg, back_m)
    off_m = None
    if distance_m is not None:
        rise = math.tan(math.radians(view.top_deg)) - math.tan(math.radians(view.foot_deg))
        of_angle = math.radians(math.hypot(view.error_top_deg, view.error_foot_deg)) / rise
        off_m = times * distance_m * math.hypot(of_angle, DISTANCE_SHARE)
    return FarBack(
        times=times,
        distance_m=None if distance_m is None else times * distance_m,
        plus_minus_m=off_m,
        back_m=back_m,
        way=there.way,
        tilt_deg=there.tilt_deg,
        ground=(why or say(_NOT_KNOWN)) if behind is None else ground_words(behind, back_m or 0.0),
        behind=behind,
    )


def told_up_m(distance_m: float) -> float:
    """A distance rounded up to what `metres_text` shows of it, so that the words hold as told."""
    step = 0.1 if distance_m < 9.9 else 1.0 if distance_m < 999.0 else 100.0
    step = 1000.0 if distance_m >= 9900.0 else step
    return round(math.ceil(distance_m / step - 1e-9) * step, 1)


def ground_behind(
    notebook: Notebook, place: Place, bearing_deg: float, back_m: float
) -> tuple[GroundBehind | None, str]:
    """How does the ground run from a camera straight back, and '' or why that is not known?

    bearing_deg: the camera's. Raises NotebookError.
    """
    from backbearing.plans.terraingrids import grids_round

    reach_m = back_m + 4.0 * place.error_m
    grids, why = grids_round(notebook, place.latitude_deg, place.longitude_deg, reach_m)
    if not grids:
        return None, say("the ground there is not known: {why}", why=why)
    behind = _along(grids, place, (bearing_deg + 180.0) % 360.0, back_m)
    return behind, "" if behind else say("the ground there is not known: a void in the terrain")


def _along(
    grids: tuple[Grid, ...], place: Place, azimuth_deg: float, back_m: float
) -> GroundBehind | None:
    import numpy as np

    from backbearing.models.pointsun import heights_along

    cell_m = grids[0].cell_m
    # whole cells, so that a slope is the data's own and not that of a part of a cell
    cells = max(1, math.ceil(back_m / cell_m))
    distance: Floats = np.linspace(0.0, max(back_m, cell_m), cells + 1)
    here = np.array([place.latitude_deg]), np.array([place.longitude_deg])
    height = heights_along(grids, *here, azimuth_deg, distance)[:, 0]
    known = height[: int(np.argmax(np.isnan(height)))] if np.isnan(height).any() else height
    if known.size < 2:
        return None
    slope = np.degrees(np.arctan(np.diff(known) / np.diff(distance[: known.size])))
    drops = np.flatnonzero(slope < -DROP_DEG)
    return GroundBehind(
        known_m=float(distance[known.size - 1]),
        rise_m=float(known[-1] - known[0]),
        # two heights of one raster: their errors are taken as their own
        plus_minus_m=float(math.sqrt(2.0) * grids[0].vertical_error_m),
        steepest_deg=float(np.abs(slope).max()),
        drop_at_m=float(distance[drops[0]]) if drops.size else None,
        cell_m=cell_m,
    )


def ground_words(behind: GroundBehind, back_m: float) -> str:
    """`rises 4 m ± 3 back to there, 12° at its steepest; no drop found in cells of 5 m, …`."""
    rise, off = abs(behind.rise_m), behind.plus_minus_m
    if behind.known_m < back_m - 1e-6:
        where = say(
            "on the first {known} back, beyond which it is not known",
            known=metres_text(behind.known_m),
        )
    else:
        where = say("back to there")
    runs = (
        say(
            "rises or falls no more than the data tell (± {off:.0f} m) {where}",
            off=off,
            where=where,
        )
        if rise < off
        else (
            f"{say('rises') if behind.rise_m > 0 else say('falls')} {rise:.0f} m ± "
            f"{off:.0f} {where}"
        )
    )
    if behind.drop_at_m is not None:
        drop = say(
            "a drop steeper than {drop_deg:.0f}° {drop_at} behind the camera",
            drop_deg=DROP_DEG,
            drop_at=metres_text(max(behind.drop_at_m, 1.0)),
        )
    else:
        drop = say(
            "no drop found in cells of {cell_m:.0f} m, which does not say there is none",
            cell_m=behind.cell_m,
        )
    level = "" if rise < off else say("; the fit is counted over level ground")
    return say(
        "the ground {runs}, {steepest_deg:.0f}° at its steepest; {drop}{level}",
        runs=runs,
        steepest_deg=behind.steepest_deg,
        drop=drop,
        level=level,
    )
