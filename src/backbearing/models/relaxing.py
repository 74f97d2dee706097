"""Where nothing matches: which condition stands in the way, and what letting go of it gives."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.wanted import (
    DAYLIGHT_ALTITUDE_DEG,
    Bools,
    Condition,
    ConditionName,
    Ints,
    SpotMinutes,
)
from backbearing.models.windows import all_met, runs

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.records import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Relaxation:
    """What the period holds with something dropped, or a range widened just enough."""

    names: tuple[ConditionName, ...]  # empty: the minimum length
    windows: int  # with that dropped
    first: int  # index of the first of them
    low: float | None = None  # the range that would just do, where it is a range
    high: float | None = None
    longest_min: float | None = None  # for the minimum length: the longest there is


def relaxations(
    minutes: SpotMinutes, found: Sequence[Condition], *, inside: Bools, minimum_min: float
) -> tuple[Relaxation, ...]:
    """What each condition, dropped in turn, would give; most windows first, useless ones left out.

    Daylight is never dropped. A range also says how far it would have to reach for one window.
    Where no single thing helps, what each two dropped together would give.
    """
    options = [
        option
        for condition in found
        if (option := _without(minutes, found, [condition], inside, minimum_min))
    ]
    start, end = runs(all_met(found, inside), minutes.day)
    if len(start):
        options.append(
            Relaxation(
                names=(),
                windows=len(start),
                first=int(start[0]),
                longest_min=float((end - start).max()),
            )
        )
    if not options:
        options = [
            option
            for pair in combinations(found, 2)
            if (option := _without(minutes, found, pair, inside, minimum_min))
        ]
    return tuple(sorted(options, key=lambda option: -option.windows))


def _without(
    minutes: SpotMinutes,
    found: Sequence[Condition],
    dropped: Sequence[Condition],
    inside: Bools,
    minimum_min: float,
) -> Relaxation | None:
    names = tuple(condition.name for condition in dropped)
    if "daylight" in names:
        return None
    others = all_met([c for c in found if not any(c is d for d in dropped)], inside)
    if "sun height" in names or "direct sun" in names:
        # what held the night away is gone; it must not be offered
        others &= minutes.altitude_deg >= DAYLIGHT_ALTITUDE_DEG
    start, end = runs(others, minutes.day)
    kept = end - start >= minimum_min
    start, end = start[kept], end[kept]
    if not len(start):
        return None
    low, high = None, None
    if len(dropped) == 1:
        low, high = _just_enough(dropped[0], start, end, int(np.ceil(minimum_min)))
    return Relaxation(names=names, windows=len(start), first=int(start[0]), low=low, high=high)


def narrowest(
    minutes: SpotMinutes, found: Sequence[Condition], *, inside: Bools
) -> tuple[ConditionName, int] | None:
    """The condition met on the fewest daylight minutes of the period, and how many those are."""
    day = inside & (minutes.altitude_deg >= DAYLIGHT_ALTITUDE_DEG)
    counts = [(int(np.count_nonzero(c.met & day)), c.name) for c in found if c.name != "daylight"]
    if not counts:
        return None
    count, name = min(counts)
    return name, count


def _just_enough(
    condition: Condition, start: Ints, end: Ints, length_min: int
) -> tuple[float | None, float | None]:
    """The narrowest widening of a range that lets in one window of `length_min`.

    start, end: runs in which everything else holds. Returns (low, high), or Nones where the
    condition is no range, or no widening helps (the sun on the wrong side of the frame).
    """
    if condition.value is None:
        return None, None
    least = np.inf
    chosen: Floats | None = None
    for first, last in zip(start, end, strict=True):
        value = condition.value[first : last + 1]
        if condition.name == "sun azimuth":
            # counted clockwise from the range's start: beyond the middle of the rest, come
            # to it from the other side
            value = np.where(value > (condition.high + 360.0) / 2.0, value - 360.0, value)
        short = np.maximum(np.maximum(condition.low - value, value - condition.high), 0.0)
        wrong_side = (short == 0.0) & ~condition.met[first : last + 1]
        short = np.where(np.isnan(short) | wrong_side, np.inf, short)
        worst = np.lib.stride_tricks.sliding_window_view(short, length_min + 1).max(axis=1)
        at = int(worst.argmin())
        if worst[at] < least:
            least = float(worst[at])
            chosen = value[at : at + length_min + 1]
    if chosen is None:
        return None, None
    return float(min(condition.low, chosen.min())), float(max(condition.high, chosen.max()))
