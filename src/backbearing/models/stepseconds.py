"""What a given way of cells takes, step by step, as `models.leasttime` counts its moves."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from backbearing.models.leasttime import Ground
    from backbearing.records import Floats


def step_seconds(
    ground: Ground,
    cells: NDArray[np.int32],
    seconds_per_m: Callable[[Floats], Floats],
    *,
    back: bool = False,
) -> Floats:
    """How long does each step of a way take (n,), from the cell before it; 0 for the first cell?

    cells: (n, 2) rows and columns, each one of the sixteen moves from the one before.
    seconds_per_m: as for `least_time`. back: the steps walked the other way. Whether a step is
    open is not asked: it was walked.
    """
    seconds = np.zeros(len(cells))
    if len(cells) < 2:
        return seconds
    start, end = cells[:-1], cells[1:]
    step = end - start
    length_m = np.hypot(step[:, 0] * ground.cell_y_m, step[:, 1] * ground.cell_x_m)
    # a knight's move goes between two cells: straight on along its longer side, and aslant
    unit = np.sign(step)
    straight = np.where(np.abs(step) == 2, unit, 0)
    knight = np.abs(step).sum(axis=1) == 3
    side = tuple((start + np.where(knight[:, None], straight, 0)).T)
    other = tuple((start + np.where(knight[:, None], unit, step)).T)
    first, last = tuple(start.T), tuple(end.T)
    height, slower = ground.height_m, ground.slower
    middle = np.where(
        knight, (height[side] + height[other]) / 2.0, (height[first] + height[last]) / 2.0
    )
    factor = (slower[first] + slower[last] + slower[side] + slower[other]) / 4.0
    rises = (middle - height[first], height[last] - middle)
    for rise in rises:
        slope = rise / (length_m / 2.0)
        paces = np.asarray(seconds_per_m(-slope if back else slope))
        seconds[1:] += length_m / 2.0 * paces * factor
    return seconds
