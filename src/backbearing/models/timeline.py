"""An outing's clock: when to leave, when each leg must be passed, when to turn back.

    start ──leg──► ● ──leg──► ● ──leg──► subject: set up, expose, pack ──legs──► start
                   │          │
                   │          └ passed later than this, the exposure is lost
                   └ reached later than this, turn round: the way back would not be done in time

Everything is seconds on one clock. Deadlines count with the slow time of each leg, never the
usual one; what is left of a limit is the margin.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

LEAST_MARGIN_S = 30.0 * 60.0
MARGIN_SHARE = 0.25  # of the way out


@dataclass(frozen=True, slots=True, kw_only=True)
class LegTime:
    """What one leg takes, and the light it needs."""

    usual_s: float
    slow_s: float
    light_from: float = -inf  # not to be begun before: rough, trackless or at water
    light_until: float = inf  # to be left by


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """All that an outing's clock depends on, in seconds on one clock."""

    out: tuple[LegTime, ...]  # from the start to the camera position
    back: tuple[LegTime, ...]  # from the camera position to the start, in walking order
    opens: float  # the light window
    best: float
    closes: float
    plus_minus_s: float  # of its edges
    set_up_s: float
    exposing_s: float  # all exposures and what lies between them
    pack_s: float
    back_by: float = inf  # at the start
    not_before: float = -inf  # nobody leaves the start earlier
    margin_s: float | None = None  # None: the larger of half an hour and a quarter of the way out


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortfall:
    """What stands in the way of an outing, and by how many seconds."""

    what: str  # "window", "arrival", "light on the way back", "light on the way out", "back by"
    leg: int | None  # of the way back or out, counted from 0
    short_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """When everything happens, and how late it may."""

    margin_s: float
    leave: float  # the start, by plan: ready before the light, at the slow pace
    leave_by: float  # the latest that still makes the exposure
    arrive_usual: tuple[float, ...]  # the end of each leg out, leaving as planned
    arrive_slow: tuple[float, ...]
    pass_by: tuple[float, ...]  # the latest at the end of each leg out for the exposure
    turn_back: tuple[float, ...]  # the latest at the end of each leg out for the way home
    ready: float  # set up, at the slow pace
    expose: float  # by plan
    expose_by: float  # the latest start of the exposures
    away: float  # from the camera position, by plan
    away_by: float  # the latest
    back_usual: tuple[float, ...]  # the end of each leg back, leaving the subject as planned
    back_slow: tuple[float, ...]
    shortfalls: tuple[Shortfall, ...]

    @property
    def works(self) -> bool:
        """Whether all of it fits."""
        return not self.shortfalls


def margin_s(out: Sequence[LegTime]) -> float:
    """The usual margin: the larger of half an hour and a quarter of the way out, slowly walked."""
    return max(LEAST_MARGIN_S, MARGIN_SHARE * sum(leg.slow_s for leg in out))


def outing_clock(demand: Demand) -> Clock:
    """When must one leave, pass, expose, turn back, so that light and limits are kept?

    Leaving as planned, one is set up before the window opens, by its ±, even at the slow pace;
    but no earlier than `not_before` and than the light that the legs out need allows (reached at
    the usual pace). The exposure is planned for the best minute, or the nearest to it that fits.
    `shortfalls` says what does not fit, each by how much.

    Raises BadInput for negative times and a window that ends before it begins.
    """
    _check(demand)
    margin = margin_s(demand.out) if demand.margin_s is None else demand.margin_s
    out_slow = sum(leg.slow_s for leg in demand.out)
    # the way back, judged from each of its beginnings
    home_by = _home_by(demand, margin)
    away_by = home_by[0]
    closes = max(demand.best, demand.closes - demand.plus_minus_s)
    expose_by = min(closes - demand.exposing_s, away_by - demand.pack_s - demand.exposing_s)
    earliest = max(demand.not_before, _light_on_the_way_out(demand))
    ready_by = min(demand.opens - demand.plus_minus_s, expose_by)
    leave = max(earliest, ready_by - demand.set_up_s - out_slow)
    leave_by = expose_by - demand.set_up_s - out_slow
    arrive_usual, arrive_slow = _along(leave, demand.out)
    ready = leave + out_slow + demand.set_up_s
    expose = min(max(demand.best, ready), max(expose_by, ready, demand.opens))
    away = expose + demand.exposing_s + demand.pack_s
    back_usual, back_slow = _along(away, demand.back)
    pass_by, turn_back = [], []
    for number in range(1, len(demand.out) + 1):
        rest = sum(leg.slow_s for leg in demand.out[number:])
        pass_by.append(expose_by - demand.set_up_s - rest)
        turn_back.append(home_by[_same_place(demand, number)])
    return Clock(
        margin_s=margin,
        leave=leave,
        leave_by=leave_by,
        arrive_usual=arrive_usual,
        arrive_slow=arrive_slow,
        pass_by=tuple(pass_by),
        turn_back=tuple(turn_back),
        ready=ready,
        expose=expose,
        expose_by=expose_by,
        away=away,
        away_by=away_by,
        back_usual=back_usual,
        back_slow=back_slow,
        shortfalls=_shortfalls(demand, margin, earliest, closes),
    )


def _check(demand: Demand) -> None:
    numbers = [demand.set_up_s, demand.exposing_s, demand.pack_s, demand.plus_minus_s]
    numbers += [leg.usual_s for leg in (*demand.out, *demand.back)]
    numbers += [leg.slow_s for leg in (*demand.out, *demand.back)]
    if demand.margin_s is not None:
        numbers.append(demand.margin_s)
    if not all(0.0 <= number < inf for number in numbers):
        raise BadInput(
            "a time of the outing is negative or without end",
            where="outing",
            remedy="give minutes, 0 or more",
        )
    if not demand.opens <= demand.best <= demand.closes:
        raise BadInput(
            "the light window ends before it begins, or its best minute lies outside",
            where="window",
            remedy="give from, best and to in this order",
        )


def _home_by(demand: Demand, margin: float) -> list[float]:
    """The latest instant at the beginning of each leg back (and at the start itself, last)."""
    latest = [demand.back_by - margin]
    for leg in reversed(demand.back):
        latest.append(min(latest[-1], leg.light_until - margin) - leg.slow_s)
    return latest[::-1]


def _same_place(demand: Demand, number: int) -> int:
    """Which beginning of the way back is where the leg `number` out has ended.

    Both ways have the same legs where they are the same way; where they differ in number, the
    beginning is taken that leaves the larger part of the way back to walk.
    """
    left = len(demand.out) - number
    if len(demand.back) == len(demand.out):
        return left
    share = left / max(1, len(demand.out))
    return int(share * len(demand.back))


def _light_on_the_way_out(demand: Demand) -> float:
    """The earliest to leave so that no leg out is begun before its light, at the usual pace."""
    earliest, walked = -inf, 0.0
    for leg in demand.out:
        earliest = max(earliest, leg.light_from - walked)
        walked += leg.usual_s
    return earliest


def _along(begin: float, legs: Sequence[LegTime]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    usual, slow = [], []
    usual_at = slow_at = begin
    for leg in legs:
        usual_at += leg.usual_s
        slow_at += leg.slow_s
        usual.append(usual_at)
        slow.append(slow_at)
    return tuple(usual), tuple(slow)


def _shortfalls(
    demand: Demand, margin: float, earliest: float, closes: float
) -> tuple[Shortfall, ...]:
    """What cannot be kept when all goes as fast as may be planned: at the slow pace."""
    found = []
    if closes - demand.opens < demand.exposing_s:
        found.append(
            Shortfall(what="window", leg=None, short_s=demand.exposing_s - (closes - demand.opens))
        )
    ready = earliest + sum(leg.slow_s for leg in demand.out) + demand.set_up_s
    begin = max(ready, demand.opens)  # of the exposures, at the earliest
    late = begin + demand.exposing_s - closes
    if late > 0.0 and ready > demand.opens:
        found.append(Shortfall(what="arrival", leg=None, short_s=late))
    at = begin + demand.exposing_s + demand.pack_s
    for number, leg in enumerate(demand.back):
        at += leg.slow_s
        if at > leg.light_until - margin:
            found.append(
                Shortfall(
                    what="light on the way back",
                    leg=number,
                    short_s=at - (leg.light_until - margin),
                )
            )
    if at > demand.back_by - margin:
        found.append(Shortfall(what="back by", leg=None, short_s=at - (demand.back_by - margin)))
    walked = 0.0
    begun = max(earliest, demand.not_before)
    if begun > -inf:
        for number, leg in enumerate(demand.out):
            walked += leg.slow_s
            if begun + walked > leg.light_until:
                found.append(
                    Shortfall(
                        what="light on the way out",
                        leg=number,
                        short_s=begun + walked - leg.light_until,
                    )
                )
    return tuple(found)
