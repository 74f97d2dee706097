"""All subjects' windows in one order: each one's best first, occasions before their neighbours."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.ranking import ALIKE, Spans, much_the_same, offer_rounds
from backbearing.places.days import short_month
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Sequence, Set

    from backbearing.plans.light.at import Candidate
    from backbearing.records import LightWindow

Order = tuple[bool, bool, int, int, bool, bool, float, datetime, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """Windows that are offered together: one, and an overcast one of the same date beside it."""

    order: Order
    alike: bool  # much the same as one of that subject that comes before it
    windows: tuple[Candidate, ...]
    among: Among


@dataclass(frozen=True, kw_only=True, eq=False)
class Among:
    """All windows of one subject, to tell which of them are much the same."""

    every: tuple[Candidate, ...]  # in order of time
    looked: tuple[date, date] | None = None  # first and last day asked about

    @cached_property
    def spans(self) -> Spans:
        kinds = [(c.window.camera_position, c.window.sky) for c in self.every]
        numbers = {kind: number for number, kind in enumerate(dict.fromkeys(kinds))}
        return Spans(
            day=np.array([c.day for c in self.every], dtype=np.int64),
            start_min=np.array([c.start_min for c in self.every], dtype=np.int64),
            end_min=np.array([c.end_min for c in self.every], dtype=np.int64),
            sun_altitude_deg=np.array(
                # under an overcast sky it matters little where the sun stands
                [c.window.sun_altitude_deg if c.window.sky == "clear" else 0.0 for c in self.every],
                dtype=np.float64,
            ),
            kind=np.array([numbers[kind] for kind in kinds], dtype=np.int64),
        )

    def alike_days(self, candidate: Candidate) -> tuple[int, int]:
        """First and last day of the stretch in which this window is much the same."""
        which = next(i for i, c in enumerate(self.every) if c is candidate)
        days = self.spans.day[much_the_same(self.spans, which)]
        return int(days[0]), int(days[-1])


def offers(
    subject: str,
    clear: Sequence[Candidate],
    overcast: Sequence[Candidate],
    *,
    apart_days: int,
    wished: bool = True,
    looked: tuple[date, date] | None = None,
) -> list[Offer]:
    """One subject's windows with their place in the order of all.

    apart_days: see `models.ranking.offer_rounds`. wished: whether the user asked for this
    light; what a generic default found comes after such windows of its round. Doubtful windows
    come after all that are surely there. An overcast window of a date with a clear
    one goes with the best clear one of that date. Of the others, which are the same from day
    to day, the first of each stretch stands for all. looked: the first and last day asked about;
    a stretch that ends with them may go on.
    """
    among = Among(every=_by_time([*clear, *overcast]), looked=looked)
    beside: dict[int, list[Candidate]] = {}
    for candidate in overcast:
        beside.setdefault(candidate.day, []).append(candidate)
    alone = _first_of_each_stretch(overcast, {candidate.day for candidate in clear}, among)
    shown = _by_time([*clear, *alone])
    rounds = offer_rounds(
        Among(every=shown).spans,
        np.array([c.window.score for c in shown]),
        apart_days=apart_days,
    )
    found: list[Offer] = []
    named = [0] * (ALIKE + 1)  # of this subject in each round so far
    best_first = sorted(
        zip(shown, rounds.tolist(), strict=True),
        key=lambda pair: (-pair[0].window.score, pair[0].window.start),
    )
    for candidate, number in best_first:
        window = candidate.window
        is_clear = window.sky == "clear"
        alike = number == ALIKE
        order: Order = (
            # every subject's best date, then every subject's second, …; those alike by date alone
            (True, False, 0, 0, False, False, 0.0, window.start, subject)
            if alike
            else (
                *(False, window.doubtful, number, named[number], not wished, not is_clear),
                *(-window.score, window.start, subject),
            )
        )
        named[number] += 1
        found.append(
            Offer(
                order=order,
                alike=alike,
                windows=(candidate, *(beside.pop(candidate.day, []) if is_clear else [])),
                among=among,
            )
        )
    return found


def offered(offer: Offer) -> list[LightWindow]:
    """The windows of an offer, each saying on which days around it is much the same."""
    found = []
    for candidate in offer.windows:
        window = candidate.window
        first, last = offer.among.alike_days(candidate)
        if first < last:
            stretch = (_date(first), _date(last))
            said = say(
                "{why}; much the same {stretch}.",
                why=window.why.rstrip("."),
                stretch=_stretch(window.day, *stretch)
                + _at_least(window.day, stretch, offer.among),
            )
            window = replace(window, alike=stretch, why=said)
        found.append(window)
    return found


def _by_time(candidates: Sequence[Candidate]) -> tuple[Candidate, ...]:
    return tuple(sorted(candidates, key=lambda c: c.window.start))


def _first_of_each_stretch(
    overcast: Sequence[Candidate], clear_days: Set[int], among: Among
) -> list[Candidate]:
    """Of overcast windows alike on neighbouring days the first; none where a clear day is in."""
    found: list[Candidate] = []
    rest = list(overcast)
    while rest:
        first = rest[0]
        _, last = among.alike_days(first)
        if not any(c.day in clear_days for c in rest if c.day <= last):
            found.append(first)
        rest = [c for c in rest if c.day > last]
    return found


def _date(day: int) -> date:
    return date(1970, 1, 1) + timedelta(days=day)


def _at_least(day: date, stretch: tuple[date, date], among: Among) -> str:
    """That a stretch may go on past the days looked at; '' where both its ends are its own."""
    if among.looked is None:
        return ""
    (first, last), (begin, end) = stretch, among.looked
    cut = last >= end > day or first <= begin < day
    return say(" at least") if cut else ""


def _stretch(day: date, first: date, last: date) -> str:
    if first == day:
        return say("until {last_day} {month}", last_day=last.day, month=short_month(last))
    if last == day:
        return say("since {first_day} {month}", first_day=first.day, month=short_month(first))
    month = "" if (first.month, first.year) == (last.month, last.year) else f" {short_month(first)}"
    return say(
        "from {first_day}{month} to {last_day} {month_2}",
        first_day=first.day,
        month=month,
        last_day=last.day,
        month_2=short_month(last),
    )
