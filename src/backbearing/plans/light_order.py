"""All subjects' windows in one order: each one's best first, dates before their neighbours."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.ranking import alike_days, spread_tiers

if TYPE_CHECKING:
    from collections.abc import Sequence, Set

    from backbearing.plans.light_at import Candidate
    from backbearing.records import LightWindow

Order = tuple[int, int, bool, float, datetime, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """Windows that are offered together: one, and an overcast one of the same date beside it."""

    order: Order
    windows: tuple[Candidate, ...]
    clear: Sequence[Candidate]  # all of that subject, to tell how long each stays much the same
    overcast: Sequence[Candidate]


def offers(
    subject: str, clear: Sequence[Candidate], overcast: Sequence[Candidate], *, apart_days: int
) -> list[Offer]:
    """One subject's windows with their place in the order of all.

    apart_days: see `models.ranking.spread_tiers`. An overcast window of a date with a clear
    one goes with the best clear one of that date. Of the others, which are the same from day
    to day, the first of each stretch stands for all.
    """
    beside: dict[int, list[Candidate]] = {}
    for candidate in overcast:
        beside.setdefault(candidate.day, []).append(candidate)
    alone = _first_of_each_stretch(overcast, {candidate.day for candidate in clear})
    shown = sorted([*clear, *alone], key=lambda c: (-c.window.score, c.window.start))
    tiers = spread_tiers(
        np.array([c.day for c in shown], dtype=np.int64),
        np.array([c.window.score for c in shown]),
        apart_days=apart_days,
    )
    found: list[Offer] = []
    named = 0  # dates of this subject offered in the first round so far
    for candidate, tier in zip(shown, tiers.tolist(), strict=True):
        window = candidate.window
        is_clear = window.sky == "clear"
        together = beside.pop(candidate.day, []) if is_clear else []
        found.append(
            Offer(
                # every subject's best date, then every subject's second, …
                order=(tier, named, not is_clear, -window.score, window.start, subject),
                windows=(candidate, *together),
                clear=clear,
                overcast=overcast,
            )
        )
        named += tier == 0
    return found


def offered(offer: Offer) -> list[LightWindow]:
    """The windows of an offer, each saying on which days around it is much the same."""
    found = []
    for candidate in offer.windows:
        window = candidate.window
        every = offer.clear if window.sky == "clear" else offer.overcast
        kind = [c for c in every if c.window.camera_position == window.camera_position]
        first, last = _alike(candidate, kind)
        if first < last:
            stretch = (_date(first), _date(last))
            said = f"{window.why.rstrip('.')}; much the same {_stretch(window.day, *stretch)}."
            window = replace(window, alike=stretch, why=said)
        found.append(window)
    return found


def _first_of_each_stretch(overcast: Sequence[Candidate], clear_days: Set[int]) -> list[Candidate]:
    """Of overcast windows alike on neighbouring days the first; none where a clear day is in."""
    found: list[Candidate] = []
    rest = list(overcast)
    while rest:
        first = rest[0]
        _, last = _alike(first, overcast)
        if not any(c.day in clear_days for c in rest if c.day <= last):
            found.append(first)
        rest = [c for c in rest if c.day > last]
    return found


def _alike(candidate: Candidate, every: Sequence[Candidate]) -> tuple[int, int]:
    """First and last day of the stretch in which this window is much the same."""
    return alike_days(
        np.array([c.day for c in every]),
        np.array([c.start_min for c in every]),
        np.array([c.end_min for c in every]),
        next(i for i, c in enumerate(every) if c is candidate),
    )


def _date(day: int) -> date:
    return date(1970, 1, 1) + timedelta(days=day)


def _stretch(day: date, first: date, last: date) -> str:
    if first == day:
        return f"until {last.day} {last:%b}"
    if last == day:
        return f"since {first.day} {first:%b}"
    month = "" if (first.month, first.year) == (last.month, last.year) else f" {first:%b}"
    return f"from {first.day}{month} to {last.day} {last:%b}"
