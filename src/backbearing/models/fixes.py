"""Which fixes of a recorded walk are not to be believed? They are flagged, never deleted."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from backbearing.places.geodesy import path_lengths_m

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from backbearing.records import Floats, Segment

    Flags = NDArray[np.bool_]

# Common practice, no source: fixes above 8–10 m/s are dropped on foot.
FASTEST_ON_FOOT_M_S = 10.0
# … but a drive to the start is no fault: what stands out among its neighbours is.
FASTER_THAN_NEIGHBOURS = 3.0
NEIGHBOURS = 10  # steps on either side
# Without times only a step far out and straight back can be told from a walk.
LONGEST_STEP_M = 50.0
LONGER_THAN_NEIGHBOURS = 10.0
# A height that leaves the ground: this much, and steeper than 45°.
HEIGHT_STEP_M = 30.0
STEEPEST_SLOPE = 1.0
LONGEST_EXCURSION = 10  # fixes; a receiver under a wall stays off for some while
SHORTEST_INTERVAL_S = 1.0  # fixes stamped alike are taken as this far apart


def suspect_fixes(segment: Segment) -> Flags:
    """Which fixes are likely wrong, in position or in height: (n,) of bool, one for each fix."""
    return suspect_positions(segment) | suspect_heights(segment)


def suspect_positions(segment: Segment) -> Flags:
    """Which fixes likely stand where the walk was not: (n,) of bool.

    Flagged are fixes reached at a speed no walker has and the neighbouring steps have not;
    excursions of up to LONGEST_EXCURSION fixes that jump off and come back; and fixes stamped
    earlier than the one before. Of a jump that does not come back, the fix after it is flagged,
    or the first fixes, where so few stand before it.
    """
    fixes = len(segment.longitude_deg)
    flags: Flags = np.zeros(fixes, dtype=bool)
    if fixes < 2:
        return flags
    step_m = path_lengths_m(segment.longitude_deg, segment.latitude_deg)
    seconds = np.diff(segment.time).astype(np.float64) / 1000.0
    seconds[np.isnat(np.diff(segment.time))] = np.nan
    flags[1:] |= seconds < 0

    def apart_m(i: int, j: int) -> float:
        pair = [i, j]
        return float(path_lengths_m(segment.longitude_deg[pair], segment.latitude_deg[pair])[0])

    speed_m_s = step_m / np.maximum(np.abs(seconds), SHORTEST_INTERVAL_S)
    too_fast = _stands_out(speed_m_s, FASTEST_ON_FOOT_M_S, FASTER_THAN_NEIGHBOURS)
    timeless = np.isnan(seconds)
    too_long = timeless & _stands_out(
        np.where(timeless, step_m, np.nan), LONGEST_STEP_M, LONGER_THAN_NEIGHBOURS
    )
    return flags | _excursions(too_fast | too_long, step_m, apart_m, alone=too_fast)


def suspect_heights(segment: Segment) -> Flags:
    """Which fixes carry a height that their neighbours' do not bear out: (n,) of bool.

    A step of more than HEIGHT_STEP_M that is steeper than STEEPEST_SLOPE as well, with
    excursions and single jumps told apart as for positions. Missing heights are not suspect.
    """
    flags: Flags = np.zeros(len(segment.height_m), dtype=bool)
    known = np.flatnonzero(np.isfinite(segment.height_m))
    if known.size < 2:
        return flags
    step_m = path_lengths_m(segment.longitude_deg, segment.latitude_deg)
    along_m = np.concatenate(([0.0], np.cumsum(step_m)))[known]
    height = segment.height_m[known]
    rise_m = np.abs(np.diff(height))
    bad_step = rise_m > HEIGHT_STEP_M + STEEPEST_SLOPE * np.diff(along_m)
    flags[known] = _excursions(
        bad_step, rise_m, lambda i, j: abs(float(height[j] - height[i])), alone=bad_step
    )
    return flags


def _stands_out(value: Floats, least: float, times: float) -> Flags:
    """Where a value is over `least` and over `times` the median of its neighbours' and its own."""
    over: Flags = value > least
    chosen = np.flatnonzero(over)
    if chosen.size:
        padded = np.pad(value, NEIGHBOURS, constant_values=np.nan)
        windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * NEIGHBOURS + 1)
        for start in range(0, chosen.size, 10_000):  # a drive is over everywhere: keep it small
            some = chosen[start : start + 10_000]
            over[some] = value[some] > times * np.nanmedian(windows[some], axis=1)
    return over


def _excursions(
    bad_step: Flags, size: Floats, apart: Callable[[int, int], float], *, alone: Flags
) -> Flags:
    """Flags (n,) for the fixes to blame for the bad ones among n − 1 steps.

    size: of each step; apart(i, j): the same measure between any two fixes. alone: steps that
    are bad even where nothing comes back.
    """
    fixes = len(bad_step) + 1
    flags: Flags = np.zeros(fixes, dtype=bool)
    steps = np.flatnonzero(bad_step).tolist()
    k = 0
    while k < len(steps):
        out = steps[k]
        back = steps[k + 1] if k + 1 < len(steps) else None
        if (
            back is not None
            and back - out <= LONGEST_EXCURSION
            and apart(out, back + 1) < 0.5 * min(size[out], size[back])
        ):
            flags[out + 1 : back + 1] = True
            k += 2
            continue
        if alone[out]:
            before, after = out + 1, fixes - out - 1
            if k == 0 and before <= LONGEST_EXCURSION and before < after:
                flags[:before] = True  # a receiver that had not settled
            else:
                flags[out + 1] = True
        k += 1
    return flags
