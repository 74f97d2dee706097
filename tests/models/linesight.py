"""The measure of `models.sightfield`: a straight line of sight over the ground to each target.

eye ●
     ╲· · · · · · · · ·● target         seen where nothing between stands higher than the
  ____╲__   ___╱╲_______              straight line, bent with the air by k
          ╲╱
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.skyline import REFRACTION_K, drop_per_m

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from backbearing.records import Floats

MOST_STEPS = 1500


def in_sight(
    height_m: Floats,
    cell_m: float,
    eye: tuple[float, float],
    row: Floats,
    column: Floats,
    *,
    eye_height_m: float = 1.5,
    target_height_m: float = 0.0,
    refraction_k: float = REFRACTION_K,
) -> NDArray[np.bool_]:
    """Which targets are seen from an eye?

    height_m: (rows, columns) of square cells, nan where not known (seen over, and said by nobody:
    such ground hides nothing here). eye: (row, column) in cells, fractions allowed, at the ground
    there plus eye_height_m. row, column: (n,) targets, at the ground plus target_height_m.
    Lines are sampled each cell (coarser beyond MOST_STEPS cells), bilinear between cells; a target
    whose own ground is not known is not seen.

    Raises BadInput where the eye stands on no known ground.
    """
    rows, columns = (np.asarray(each, dtype=float) for each in (row, column))
    foot = float(_bilinear(height_m, np.array([eye[0]]), np.array([eye[1]]))[0])
    if not np.isfinite(foot):
        raise BadInput("the eye stands where no height is known", where="place")
    stand = foot + eye_height_m
    drop = drop_per_m(refraction_k)
    span = np.hypot(rows - eye[0], columns - eye[1])
    target = _bilinear(height_m, rows, columns) + target_height_m
    distance = span * cell_m
    with np.errstate(divide="ignore", invalid="ignore"):
        needed = (target - stand) / distance - drop * distance
    highest = np.full(rows.shape, -np.inf)
    steps = int(min(MOST_STEPS, np.ceil(np.nanmax(span, initial=1.0))))
    for step in range(1, steps):
        # each line in as many steps as it has cells; short ones are done sooner
        share = step / np.maximum(np.minimum(np.ceil(span), steps), 1.0)
        on = share < 1.0
        if not on.any():
            break
        at_row = eye[0] + share[on] * (rows[on] - eye[0])
        at_column = eye[1] + share[on] * (columns[on] - eye[1])
        away = share[on] * distance[on]
        with np.errstate(divide="ignore", invalid="ignore"):
            tangent = (_bilinear(height_m, at_row, at_column) - stand) / away - drop * away
        highest[on] = np.fmax(highest[on], tangent)
    seen = needed >= highest - 1e-9
    return np.asarray(np.where(distance > 0.0, seen & np.isfinite(target), np.isfinite(target)))


def _bilinear(height_m: Floats, row: Floats, column: Floats) -> Floats:
    """Heights between cells; nan outside and beside unknown ones."""
    rows, columns = height_m.shape
    inside = (row >= 0) & (row <= rows - 1) & (column >= 0) & (column <= columns - 1)
    top = np.clip(row, 0, max(rows - 2, 0)).astype(np.int64)
    left = np.clip(column, 0, max(columns - 2, 0)).astype(np.int64)
    down, across = row - top, column - left
    below, right = np.minimum(top + 1, rows - 1), np.minimum(left + 1, columns - 1)
    upper = height_m[top, left] * (1.0 - across) + height_m[top, right] * across
    lower = height_m[below, left] * (1.0 - across) + height_m[below, right] * across
    return np.asarray(np.where(inside, upper * (1.0 - down) + lower * down, np.nan))
