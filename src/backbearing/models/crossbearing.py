"""A position from bearings taken at known places: where the lines cross, and how surely.

╲   ╱            two lines cut at g: the error's long axis grows as 1 / sin(g/2);
 ╲ ╱  ◦          under 30° the cut is flagged
  ╳  ╱ ╲
 ╱ ╲ ╲_╱
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from backbearing.records import Floats

SHALLOW_CUT_DEG = 30.0
_TO_95 = float(np.sqrt(-2.0 * np.log(0.05)))  # 2.4477: 95 % of a normal in two dimensions


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Crossing:
    """Where bearings cross, with the ellipse that holds the true place 95 times in a hundred."""

    x_m: float
    y_m: float
    covariance_m2: Floats  # (2, 2), of x and y
    long_axis_m: float  # 95 %
    short_axis_m: float
    long_axis_azimuth_deg: float
    cut_deg: float  # the best angle at which two of the lines meet, 0 … 90
    misfit: float  # root mean square of the lines' distances over their errors; about 1 or less

    @property
    def shallow(self) -> bool:
        """Whether the lines cross so flatly that the place is drawn out along them."""
        return self.cut_deg < SHALLOW_CUT_DEG


def cross_bearings(
    x_m: ArrayLike,
    y_m: ArrayLike,
    bearing_deg: ArrayLike,
    error_deg: ArrayLike,
    *,
    station_error_m: ArrayLike = 0.0,
) -> Crossing:
    """Where do bearings cross that were taken from known places?

    x_m, y_m: (n,) east and north of the stations on a plane whose north is true there; n ≥ 2.
    bearing_deg: (n,) true, from the station to the place sought. error_deg, station_error_m: one
    standard deviation of each bearing and each station.

    Least squares of the distances across the lines, each weighted by its error at the distance
    found (iterated). Raises BadInput for fewer than two bearings, no error, parallel lines, and
    lines that cross behind a station.
    """
    x, y = np.atleast_1d(np.asarray(x_m, float)), np.atleast_1d(np.asarray(y_m, float))
    theta = np.radians(np.atleast_1d(np.asarray(bearing_deg, float)))
    spread = np.broadcast_to(np.radians(np.asarray(error_deg, float)), theta.shape)
    stray = np.broadcast_to(np.asarray(station_error_m, float), theta.shape)
    if len(theta) < 2 or not np.all(spread > 0.0):
        raise BadInput(
            "a crossing needs two bearings or more, each with an error above 0°",
            where="bearings",
            remedy="take another from a place well to the side",
        )
    # a line's points keep x cos θ − y sin θ
    normal = np.stack([np.cos(theta), -np.sin(theta)], axis=1)
    offset = normal[:, 0] * x + normal[:, 1] * y
    cuts = np.abs(np.sin(theta[:, None] - theta[None, :]))
    cut_deg = float(np.degrees(np.arcsin(min(1.0, cuts.max()))))
    if cut_deg < 1.0:
        raise BadInput(
            "the bearings run side by side and cross nowhere near",
            where="bearings",
            remedy="take one from a place well to the side",
        )
    place = np.linalg.lstsq(normal, offset, rcond=None)[0]
    for _ in range(20):
        distance = np.hypot(place[0] - x, place[1] - y)
        error = np.hypot(np.maximum(distance, 1.0) * spread, stray)
        weighted = normal / error[:, None]
        covariance = np.linalg.inv(weighted.T @ weighted)
        moved = covariance @ (weighted.T @ (offset / error))
        step, place = float(np.hypot(*(moved - place))), moved
        if step < 1e-4:
            break
    ahead = (place[0] - x) * np.sin(theta) + (place[1] - y) * np.cos(theta)
    if np.any(ahead <= 0.0):
        raise BadInput(
            "the bearings cross behind a place they were taken from",
            where="bearings",
            remedy="see whether one is a back bearing (180° off), or magnetic where true was meant",
        )
    axes, directions = np.linalg.eigh(covariance)
    along = directions[:, 1]
    residual = (normal @ place - offset) / error
    return Crossing(
        x_m=float(place[0]),
        y_m=float(place[1]),
        covariance_m2=covariance,
        long_axis_m=float(np.sqrt(axes[1])) * _TO_95,
        short_axis_m=float(np.sqrt(axes[0])) * _TO_95,
        long_axis_azimuth_deg=float(np.degrees(np.arctan2(along[0], along[1])) % 180.0),
        cut_deg=cut_deg,
        misfit=float(np.sqrt(np.mean(residual**2))),
    )
