"""What is seen all round a place: one bundle of rays for many targets, instead of a ray for each.

            ╲ │ ╱      along each ray the highest tangent so far is kept; a target is seen
         ─── eye ───   where its own stands no lower than that of the ray next to it, just
            ╱ │ ╲      before it. At the rim two rays stand no more than a cell apart.

Beside a line drawn to each target (tests/models/linesight.py) it errs where a target lies at the
very edge of what hides it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import map_coordinates

from backbearing.errors import BadInput
from backbearing.models.skyline import REFRACTION_K, drop_per_m

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from backbearing.records import Floats

_MOST_RAYS = 6000


def seen_round(
    height_m: Floats | NDArray[np.float32],
    cell_m: float,
    eye: tuple[float, float],
    row: Floats,
    column: Floats,
    *,
    eye_height_m: float = 1.5,
    target_height_m: float = 0.0,
    refraction_k: float = REFRACTION_K,
) -> NDArray[np.bool_]:
    """Which of many targets are seen from an eye?

    height_m: (rows, columns) of square cells, nan where not known. eye: (row, column) in cells,
    fractions allowed, at the ground there plus eye_height_m. row, column: (n,) targets, at the
    ground plus target_height_m. Rays are sampled each cell, bilinear, over the Earth's curve bent
    with the air by k; unknown ground hides nothing, and a target whose own ground is not known is
    not seen. Raises BadInput where the eye stands on no known ground.
    """
    heights = np.asarray(height_m, dtype=np.float32)
    down, across = np.asarray(row, dtype=float) - eye[0], np.asarray(column, dtype=float) - eye[1]
    foot = float(_bilinear(heights, np.array([eye[0]]), np.array([eye[1]]))[0])
    if not np.isfinite(foot):
        raise BadInput("the eye stands where no height is known", where="place")
    stand = foot + eye_height_m
    drop = drop_per_m(refraction_k)
    span = np.hypot(down, across)
    ground = _bilinear(heights, np.asarray(row, dtype=float), np.asarray(column, dtype=float))
    known = np.isfinite(ground)
    steps = int(np.ceil(span[known].max(initial=1.0))) + 1
    rays = int(min(_MOST_RAYS, max(16, np.ceil(2.0 * np.pi * steps))))
    angle = np.arange(rays) * (2.0 * np.pi / rays)
    out = np.arange(1, steps + 1)
    along = _bilinear(
        heights,
        (eye[0] + np.outer(np.sin(angle), out)).ravel(),
        (eye[1] + np.outer(np.cos(angle), out)).ravel(),
    ).reshape(rays, steps)
    away = (out * cell_m).astype(np.float32)
    tangent = (along - np.float32(stand)) / away - np.float32(drop) * away
    tangent[np.isnan(tangent)] = -np.inf
    highest = np.maximum.accumulate(tangent, axis=1)
    ray = np.rint(np.arctan2(down, across) * (rays / (2.0 * np.pi))).astype(np.intp) % rays
    before = np.ceil(span).astype(np.intp) - 2  # the last sample that lies nearer than the target
    hidden_by = np.where(
        before >= 0, highest[ray, np.clip(before, 0, steps - 1)], np.float32(-np.inf)
    )
    distance = np.maximum(span * cell_m, 1e-9)
    needed = (ground + target_height_m - stand) / distance - drop * distance
    return np.asarray(known & ((span == 0.0) | (needed >= hidden_by - 1e-6)))


def _bilinear(heights: NDArray[np.float32], row: Floats, column: Floats) -> Floats:
    """Heights between cells; nan outside and beside unknown ones."""
    found = map_coordinates(heights, [row, column], order=1, mode="constant", cval=np.nan)
    return np.asarray(found)
