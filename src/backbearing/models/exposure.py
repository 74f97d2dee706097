"""Exposure: from light or a meter's reading to seconds.

lux ──► EV at ISO 100 ──► seconds ──► colour, filter, bellows (stops) ──► reciprocity, last
"""

from __future__ import annotations

import math
from bisect import bisect_left
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.lens import magnification

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike

    from backbearing.records import Floats

INCIDENT_C = 250.0  # ISO 2720, flat receptor, in lx s
REFLECTED_K = 12.5  # ISO 2720, in cd s / m²
LONGEST_S = 24 * 3600.0  # of an exposure; more is none
# what is set on shutters and counted by a watch, a third of a stop apart
_SHORT = (1, 1.25, 1.6, 2, 2.5, 3, 4, 5, 6, 8, 10, 13, 15, 20, 25, 30, 40, 50, 60)
_UNDER = (2, 2.5, 3, 4, 5, 6, 8, 10, 13, 15, 20, 25, 30, 40, 50, 60, 80, 100, 125)
_BRIEF = (160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000, 2500, 3200, 4000)
_OVER_MIN = (1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 13, 15, 20, 25, 30, 40, 50, 60)
STEPS_S: tuple[float, ...] = tuple(
    sorted(
        {1.0 / n for n in (*_UNDER, *_BRIEF)}
        | {1 / 1.25, 1 / 1.6}
        | {float(s) for s in _SHORT}
        | {60.0 * m for m in _OVER_MIN}
        | {3600.0 * h for h in (1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24)}
    )
)
_HALFWAY_S = [math.sqrt(less * more) for less, more in pairwise(STEPS_S)]  # in stops
_MOST_TURNS, _CLOSE = 60, 1e-12  # in seeking a time: turns, and share of it near enough


def ev_from_illuminance(lux: ArrayLike, *, constant_c: float = INCIDENT_C) -> Floats:
    """EV at ISO 100 for an incident light, any shape; -inf in the dark. ISO 2720: E S/C = 2^EV."""
    with np.errstate(divide="ignore"):
        answer: Floats = np.log2(np.asarray(lux, np.float64) * 100.0 / constant_c)
    return answer


def exposure_s(ev100: float, f_number: float, speed_iso: float, *, stops: float = 0.0) -> float:
    """Seconds for an EV at ISO 100; stops: more light needed for colour, filter and bellows.

    Before reciprocity. Raises BadInput for an aperture or speed not above 0.
    """
    for value, what in ((f_number, "aperture"), (speed_iso, "speed")):
        if not 0.0 < value < math.inf:
            raise BadInput(f"{value:g} is no {what}", remedy="give a number above 0")
    return float(f_number**2 / (2.0**ev100 * speed_iso / 100.0) * 2.0**stops)


def ev_of_time(seconds: float, f_number: float = 16.0, speed_iso: float = 100.0) -> float:
    """EV at ISO 100 from a time that is right at an aperture and speed."""
    if not (0.0 < seconds < math.inf and f_number > 0.0 and speed_iso > 0.0):
        raise BadInput("a time, an aperture and a speed must be above 0")
    return math.log2(f_number**2 / seconds * 100.0 / speed_iso)


def bellows_stops(focal_mm: float, distance_m: float) -> float:
    """Stops lost by racking out to a subject so far off: 2 log2(1 + m), m = f / (u − f).

    Raises BadInput as `lens.magnification`.
    """
    return 2.0 * math.log2(1.0 + magnification(focal_mm, distance_m))


def changing_s(
    relative_light: Callable[[float], float], steady_s: Callable[[float], float], first_s: float
) -> float:
    """How long must be exposed while the light changes?

    relative_light: the mean light from the start over so many seconds, 1 at the start.
    steady_s: seconds needed, reciprocity in, under a steady light of so many times the first.
    first_s: the answer for a steady light. An approximation: reciprocity is taken at the mean
    light of the exposure. inf where the light goes before the plate has had enough.
    """

    def lacking(over_s: float) -> float:
        return steady_s(relative_light(over_s)) - over_s

    low_s, high_s = 0.0, max(first_s, 1e-6)
    low_lacks = first_s
    while (high_lacks := lacking(high_s)) > 0.0:
        low_s, low_lacks, high_s = high_s, high_lacks, high_s * 1.5
        if high_s > LONGEST_S:
            return math.inf
    # where a straight line between the ends comes to nought; an end that stays twice counts half
    # (the Illinois rule), and every fourth turn takes the middle
    stays = 0
    for turn in range(1, _MOST_TURNS):
        if high_s - low_s <= _CLOSE * high_s or -high_lacks <= _CLOSE * high_s:
            break
        middle_s = (low_s + high_s) / 2.0
        if turn % 4:
            middle_s = (high_s * low_lacks - low_s * high_lacks) / (low_lacks - high_lacks)
        lacks = lacking(middle_s)
        if lacks > 0.0:
            low_s, low_lacks = middle_s, lacks
            high_lacks /= 2.0 if stays > 0 else 1.0
            stays = 1
        else:
            high_s, high_lacks = middle_s, lacks
            low_lacks /= 2.0 if stays < 0 else 1.0
            stays = -1
    return high_s


def step_s(seconds: float) -> float:
    """The nearest time, in stops, that is set or counted in practice."""
    if not math.isfinite(seconds):
        return seconds
    return STEPS_S[bisect_left(_HALFWAY_S, seconds)]
