"""How far heights fall along a way, and how surely: which way water on it runs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

_TO_95 = 1.959964
_TO_SIGMA = 1.4826  # of a normal law, by the median of absolute deviations


@dataclass(frozen=True, slots=True, kw_only=True)
class Fall:
    """A fall from the beginning of a way to its end [m], negative where it rises; 95 % error."""

    fall_m: float
    error_m: float


def fall_along(way_m: ArrayLike, height_m: ArrayLike, vertical_error_m: float) -> Fall:
    """How far do heights (n,) fall along a way (n,), by their trend over the whole of it?

    The trend is the median of the slopes between all pairs (Theil 1950, Sen 1968: cited from
    memory), so that a line drawn over a bank, a wall or a pit does not turn it. Its error: that of
    the difference of two heights, each known to ± vertical_error_m (95 %), as though a whole
    half of the way were wrong together, and the scatter about the trend. Raises BadInput for fewer
    than two places.
    """
    way, height = np.asarray(way_m, dtype=float), np.asarray(height_m, dtype=float)
    if len(way) < 2 or not way[-1] > way[0]:
        raise BadInput("a fall needs two places or more", where="line")
    one, other = np.triu_indices(len(way), k=1)
    slope = float(np.median((height[other] - height[one]) / (way[other] - way[one])))
    off = height - slope * way
    spread = _TO_SIGMA * float(np.median(np.abs(off - np.median(off))))
    length_m = float(way[-1] - way[0])
    # a slope's standard error is spread / (σ of the places · √n), times the length of the way
    scatter = _TO_95 * spread * length_m / max(float(way.std()) * np.sqrt(len(way)), 1e-9)
    return Fall(
        fall_m=-slope * length_m,
        error_m=float(np.hypot(np.sqrt(2.0) * vertical_error_m, scatter)),
    )
