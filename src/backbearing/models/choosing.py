"""A segment's fixes, chosen: some of them, or those whose times can be followed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.records import Segment

if TYPE_CHECKING:
    from numpy.typing import NDArray

LONGEST_SILENCE_S = 300.0  # without a fix for longer, and it is not known where one was


def instant(time: np.datetime64) -> datetime:
    """A datetime64[ms] in UTC as an aware datetime."""
    since_epoch = timedelta(milliseconds=int(time.astype("datetime64[ms]").astype(np.int64)))
    return datetime(1970, 1, 1, tzinfo=UTC) + since_epoch


def chosen(segment: Segment, keep: NDArray[np.bool_]) -> Segment:
    """The segment's fixes where `keep` (n,) is true."""
    return Segment(
        longitude_deg=segment.longitude_deg[keep],
        latitude_deg=segment.latitude_deg[keep],
        height_m=segment.height_m[keep],
        time=segment.time[keep],
    )


def timed_fixes(segment: Segment) -> Segment:
    """The segment's fixes that have a time, and none stamped earlier than one before it."""
    time = segment.time
    if not np.isnat(time).any() and (np.diff(time) >= np.timedelta64(0, "ms")).all():
        return segment
    known = chosen(segment, ~np.isnat(time))
    return chosen(known, known.time >= np.maximum.accumulate(known.time))
