"""A segment's fixes, chosen: some of them, those whose times can be followed, or the runs of
them between two silences."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.fixes import suspect_heights, suspect_positions
from backbearing.places.geodesy import distances_m
from backbearing.records import Segment

if TYPE_CHECKING:
    from numpy.typing import NDArray

LONGEST_SILENCE_S = 300.0  # without a fix for longer, and it is not known where one was
SILENCE_MOVED_M = 25.0  # a recorder that pauses itself at a stop leaves no gap


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
    if _in_order(segment):
        return segment
    return chosen(segment, _timed(segment))


def believed_heights(segment: Segment) -> Segment:
    """The segment with every height that is suspect (models/fixes.py) made nan."""
    suspect = suspect_heights(segment)
    if not suspect.any():
        return segment
    return Segment(
        longitude_deg=segment.longitude_deg,
        latitude_deg=segment.latitude_deg,
        height_m=np.where(suspect, np.nan, segment.height_m),
        time=segment.time,
    )


def followed_runs(segment: Segment) -> list[Segment]:
    """The stretches of a segment in which it is known where one walked; none of them empty.

    Fixes in suspect positions are left out. It is broken where no fix came for
    LONGEST_SILENCE_S while one moved on by more than SILENCE_MOVED_M: whatever follows a walk
    follows these, and nothing is bridged between one and the next.
    """
    suspect = suspect_positions(segment)
    good = chosen(segment, ~suspect) if suspect.any() else segment
    fixes = len(good.longitude_deg)
    breaks = _after_silences(good)
    if not breaks:
        return [good] if fixes else []
    return [
        Segment(
            longitude_deg=good.longitude_deg[start:end],
            latitude_deg=good.latitude_deg[start:end],
            height_m=good.height_m[start:end],
            time=good.time[start:end],
        )
        for start, end in zip([0, *breaks], [*breaks, fixes], strict=True)
    ]


def _after_silences(segment: Segment) -> list[int]:
    """The fixes that end a silence, in order."""
    timed = None if _in_order(segment) else np.flatnonzero(_timed(segment))
    time = segment.time if timed is None else segment.time[timed]
    silence = np.timedelta64(int(LONGEST_SILENCE_S * 1000), "ms")
    before = np.flatnonzero(np.diff(time) >= silence)
    after = before + 1
    if timed is not None:
        before, after = timed[before], timed[after]
    moved_m = distances_m(
        segment.longitude_deg[before],
        segment.latitude_deg[before],
        segment.longitude_deg[after],
        segment.latitude_deg[after],
    )
    ends: list[int] = after[moved_m > SILENCE_MOVED_M].tolist()
    return ends


def _in_order(segment: Segment) -> bool:
    time = segment.time
    return bool(not np.isnat(time).any() and (np.diff(time) >= np.timedelta64(0, "ms")).all())


def _timed(segment: Segment) -> NDArray[np.bool_]:
    """Which fixes have a time that is not earlier than one before: (n,)."""
    keep: NDArray[np.bool_] = ~np.isnat(segment.time)
    known = segment.time[keep]
    keep[keep] = known >= np.maximum.accumulate(known)
    return keep
