"""Putting windows in order, so that truly different occasions come before neighbours of one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from backbearing.models.wanted import Bools, Ints
    from backbearing.records import Floats

# two windows are much the same where none of these has moved further
_ALIKE_MIN = 20  # start and end
_ALIKE_DEG = 5.0  # the sun's height
_ALIKE_GAP_DAYS = 7  # between two days of a stretch, so that a weekly wish still makes one

ALIKE = 3  # the round of windows that are much the same as one offered in an earlier round


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spans:
    """Windows of one subject by its local clock, in order of time: arrays of one length."""

    day: Ints  # days since 1970-01-01
    start_min: Ints  # minutes since midnight
    end_min: Ints
    sun_altitude_deg: Floats  # at the best minute; of no matter where it is the same in all
    kind: Ints  # only windows of one kind can be much the same: one camera position, one sky


def spacing_days(period_days: int) -> int:
    """How far apart the first dates offered should lie: a thirtieth of the period, from a week."""
    return max(7, period_days // 30)


def offer_rounds(spans: Spans, score: Floats, *, apart_days: int) -> Ints:
    """In which round each window of one subject is offered: 0, 1, 2 or `ALIKE`.

    score: each window's worth. In round 0 the best are taken one by one, none nearer than
    `apart_days` to another taken; in round 1 further dates; in round 2 further windows of a
    date already named. None of them is much the same as another: those are left for the last.
    """
    rounds = np.full(len(spans.day), ALIKE, dtype=np.int64)
    left = np.ones(len(spans.day), dtype=bool)
    taken = np.empty(0, dtype=np.int64)
    order = np.lexsort((spans.day, -score))
    for number, apart in enumerate((apart_days, 1, 0)):
        for i in order[left[order]].tolist():
            if left[i] and not np.any(np.abs(taken - spans.day[i]) < apart):
                rounds[i] = number
                taken = np.append(taken, spans.day[i])
                left &= ~much_the_same(spans, i)
    return rounds


def much_the_same(spans: Spans, which: int) -> Bools:
    """Which windows are much the same as one of them, itself included, without a long break.

    A stretch holds windows whose clock edges lie within 20 minutes of its own and whose sun
    stands within 5° as high, with no gap over a week; the limits are a choice of ours.
    """
    near = np.flatnonzero(
        (spans.kind == spans.kind[which])
        & (np.abs(spans.start_min - spans.start_min[which]) <= _ALIKE_MIN)
        & (np.abs(spans.end_min - spans.end_min[which]) <= _ALIKE_MIN)
        & (np.abs(spans.sun_altitude_deg - spans.sun_altitude_deg[which]) <= _ALIKE_DEG)
    )
    stretch = np.concatenate([[0], np.cumsum(np.diff(spans.day[near]) > _ALIKE_GAP_DAYS)])
    same = np.zeros(len(spans.day), dtype=bool)
    same[near[stretch == stretch[near == which]]] = True
    return same
