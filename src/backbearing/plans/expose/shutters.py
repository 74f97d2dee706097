"""The shortest time the shutters on record give, and what to do where a plate needs less."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from backbearing.errors import quoted
from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.records import Kit, Shutter

# by hand, one after the other; common practice, no source
_CAP_S, _TIME_S, _BULB_S = 1.0, 1.0, 0.5
_NEAR = 0.8  # a third of a stop under it will do


def shortest_s(shutter: Shutter) -> float:
    """The shortest time of a shutter, as tested where it was; inf where it gives none."""
    times = [
        speed.marked_s if speed.tested_s is None else speed.tested_s for speed in shutter.speeds
    ]
    by_hand = ((shutter.cap, _CAP_S), (shutter.time, _TIME_S), (shutter.bulb, _BULB_S))
    return min([*times, *(seconds for there, seconds in by_hand if there)], default=math.inf)


def too_short_words(kit: Kit, seconds: float, f_number: float) -> str:
    """What to do where no shutter on record gives so short a time; '' where one does."""
    quickest = min(kit.shutters, key=shortest_s, default=None)
    if quickest is None:
        return ""
    least_s = shortest_s(quickest)
    if math.isinf(least_s) or seconds >= _NEAR * least_s:
        return ""
    stops = math.log2(least_s / seconds)
    smaller = f_number * math.sqrt(least_s / seconds)
    basis = "" if quickest.speeds else say(", common practice")
    return say(
        "shorter than {quickest} gives ({least_s:g} s{basis}): stop down "
        "to f/{smaller:.2g} or put a filter of {stops:.1f} stops in",
        quickest=quoted(quickest.name),
        least_s=least_s,
        basis=basis,
        smaller=smaller,
        stops=stops,
    )
