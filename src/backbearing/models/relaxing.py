"""Where nothing matches: which condition stands in the way, and what letting go of it gives."""

from __future__ import annotations

from dataclasses import dataclass
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
    """What the period holds with one condition dropped or widened just enough."""

    name: ConditionName | None  # None: the minimum length
    windows: int  # with the condition dropped
    first: int  # index of the first of them
    low: float | None = None  # the range that would just do, where it is a range
    high: float | None = None
    longest_min: float | None = None  # for the minimum length: the longest there is


def relaxations(
    minutes: SpotMinutes, found: Sequence[Condition], *, inside: Bools, minimum_min: float
) -> tuple[Relaxation, ...]:
    """What each condition, dropped in turn, would give; most windows first, useless ones left out.

    Daylight is never dropped. A range also says how far it would have to reach for one window.
    """
    options: list[Relaxation] = []
    day = minutes.altitude_deg >= DAYLIGHT_ALTITUDE_DEG
    for condition in found:
        if condition.name == "daylight":
            continue
        others = all_met([c for c in found if c is not condition], inside)
        if condition.name in ("sun height", "direct sun"):
            others &= day  # what held the night away is gone; it must not be offered
        start, end = _long_runs(others, minutes.day, minimum_min)
        if len(start):
            low, high = _just_enough(condition, start, end, int(np.ceil(minimum_min)))
            options.append(
                Relaxation(
                    name=condition.name,
                    windows=len(start),
                    first=int(start[0]),
                    low=low,
                    high=high,
                )
            )
    start, end = runs(all_met(found, inside), minutes.day)
    if len(start):
        options.append(
            Relaxation(
                name=None,
                windows=len(start),
                first=int(start[0]),
                longest_min=float((end - start).max()),
            )
        )
    return tuple(sorted(options, key=lambda option: -option.windows))


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


def _long_runs(mask: Bools, day: Ints, minimum_min: float) -> tuple[Ints, Ints]:
    start, end = runs(mask, day)
    kept = end - start >= minimum_min
    return start[kept], end[kept]


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
