"""How well places fit a remembered fact: 0 … 1 for each place, soft at the edges by its error.

A limit with an error is a step smoothed by a normal law: at the limit itself a place fits by half.
Errors are 95 %, so a standard deviation is half of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from backbearing.records import Floats

_TO_95 = 1.959964


def below(value: ArrayLike, limit: float, error: float) -> Floats:
    """How well do values lie below a limit known to ± error (95 %)? nan fits by half: not known.

    'Within 300 m of the beck', 'not more than half an hour away'. Raises BadInput for a negative
    error.
    """
    from scipy.special import ndtr

    if not error >= 0.0:
        raise BadInput("an error is negative", where="error", remedy="give 0 or more")
    values = np.asarray(value, dtype=float)
    if error == 0.0:
        found = np.where(values <= limit, 1.0, 0.0)
    else:
        found = ndtr((limit - values) / (error / _TO_95))
    return np.asarray(np.where(np.isnan(values), 0.5, found))


def above(value: ArrayLike, limit: float, error: float) -> Floats:
    """How well do values lie above a limit known to ± error (95 %)? nan fits by half."""
    return 1.0 - below(value, limit, error)


def between(value: ArrayLike, low: float, high: float, error: float) -> Floats:
    """How well do values lie between two limits, each known to ± error (95 %)?

    Raises BadInput where the limits are the wrong way round.
    """
    if high < low:
        raise BadInput(f"{high:g} is below {low:g}", where="range", remedy="swap them")
    return above(value, low, error) * below(value, high, error)


def near(value: ArrayLike, expected: float, error: float) -> Floats:
    """How well do values agree with one known to ± error (95 %): 1 where equal; nan by half.

    Raises BadInput for an error not above 0.
    """
    if not error > 0.0:
        raise BadInput("an error must be above 0", where="error")
    values = np.asarray(value, dtype=float)
    found = np.exp(-0.5 * ((values - expected) / (error / _TO_95)) ** 2)
    return np.asarray(np.where(np.isnan(values), 0.5, found))


def on_bearing(
    x_m: ArrayLike,
    y_m: ArrayLike,
    from_x_m: float,
    from_y_m: float,
    bearing_deg: float,
    error_deg: float,
    *,
    place_error_m: float = 0.0,
) -> Floats:
    """How well do places lie on a bearing taken from a known place?

    x_m, y_m: east and north on a plane whose north is true. bearing_deg: true, ± error_deg (95 %).
    place_error_m: 95 %, of where it was taken. What lies behind fits nothing.
    """
    east = np.asarray(x_m, dtype=float) - from_x_m
    north = np.asarray(y_m, dtype=float) - from_y_m
    away = np.hypot(east, north)
    azimuth = np.degrees(np.arctan2(east, north))
    off = (azimuth - bearing_deg + 180.0) % 360.0 - 180.0
    widened = np.degrees(np.arctan2(place_error_m, np.maximum(away, 1.0)))
    spread = np.hypot(error_deg, widened) / _TO_95
    if not np.all(spread > 0.0):
        raise BadInput("a bearing needs an error above 0", where="bearing")
    return np.asarray(np.exp(-0.5 * (off / spread) ** 2))


def faces(aspect_deg: ArrayLike, towards_deg: float, error_deg: float) -> Floats:
    """How well does the way slopes face agree with one remembered (± error, 95 %)? nan by half."""
    off = (np.asarray(aspect_deg, dtype=float) - towards_deg + 180.0) % 360.0 - 180.0
    return near(off, 0.0, error_deg)
