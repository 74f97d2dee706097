"""Which window to build a day on: one that is longer than its own error leaves in doubt."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from backbearing.saying import phrase

if TYPE_CHECKING:
    from collections.abc import Iterable

    from backbearing.records import LightWindow

DOUBTFUL = phrase("doubtful: shorter than twice its ±, so it may not be there at all")
SOON = timedelta(days=14)  # worth waiting for a sound window; common practice, no source


def doubtful(window: LightWindow) -> bool:
    """Whether a window is shorter than twice its ±, so that it may not be there at all."""
    return too_short((window.end - window.start) / timedelta(minutes=1), window.plus_minus_min)


def too_short(length_min: float, plus_minus_min: float) -> bool:
    """Whether a window of this length may not be there at all, given its ±."""
    return length_min < 2.0 * plus_minus_min


def leading(windows: Iterable[LightWindow]) -> LightWindow | None:
    """The soonest window; in place of a doubtful one the next sound one within a fortnight.

    Sun is not given up for an overcast sky, nor the other way round. None of none.
    """
    by_time = sorted(windows, key=lambda window: window.start)
    if not by_time:
        return None
    first = by_time[0]
    sound = (
        window
        for window in by_time
        if not doubtful(window) and window.sky == first.sky and window.start - first.start <= SOON
    )
    return next(sound, first)
