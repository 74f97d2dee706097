"""Putting windows in order, so that different dates come before neighbours of the same one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from backbearing.models.wanted import Ints
    from backbearing.records import Floats

_ALIKE_MIN = 20  # a start and an end that move no more than this are much the same window
_ALIKE_GAP_DAYS = 7  # so that a weekly wish still makes one stretch


def spacing_days(period_days: int) -> int:
    """How far apart the first dates offered should lie: a thirtieth of the period, from a week."""
    return max(7, period_days // 30)


def spread_tiers(day: Ints, score: Floats, *, apart_days: int) -> Ints:
    """In which round each window of one subject is offered: 0, 1 or 2.

    day: local day of each window [days]. score: its worth. In round 0 the best are taken one
    by one, none nearer than `apart_days` to another taken; in round 1 further dates; in
    round 2 what is left, further windows of a date already named.
    """
    tier = np.full(len(day), 2, dtype=np.int64)
    order = np.lexsort((day, -score))
    taken = np.empty(0, dtype=np.int64)
    for round_number, apart in enumerate((apart_days, 1)):
        for i in order:
            if tier[i] == 2 and not np.any(np.abs(taken - day[i]) < apart):
                tier[i] = round_number
                taken = np.append(taken, day[i])
    return tier


def alike_days(day: Ints, start_min: Ints, end_min: Ints, which: int) -> tuple[int, int]:
    """First and last day of the stretch in which one subject's window is much the same.

    day, start_min, end_min: each window's local day and clock edges [minutes], in order of
    time; which: the window asked about. A stretch holds windows whose edges lie within 20
    minutes of it, with no gap over a week.
    """
    near = (np.abs(start_min - start_min[which]) <= _ALIKE_MIN) & (
        np.abs(end_min - end_min[which]) <= _ALIKE_MIN
    )
    days = day[near]
    gaps = np.flatnonzero(np.diff(days) > _ALIKE_GAP_DAYS) + 1
    at = int(np.searchsorted(days, day[which]))
    stretch = int(np.searchsorted(gaps, at, side="right"))
    first = 0 if stretch == 0 else int(gaps[stretch - 1])
    last = len(days) - 1 if stretch == len(gaps) else int(gaps[stretch]) - 1
    return int(days[first]), int(days[last])
