"""An outing's clock: when to leave, when each leg must be passed, when to turn back.

    start ──leg──► ● ──leg──► ● ──leg──► subject: set up, expose, pack ──legs──► start
                   │          │
                   │          └ passed later than this, the exposure is lost
                   └ reached later than this, turn round: the way back would not be done in time

Everything is seconds on one clock. Deadlines count with the slow time of each leg, never the
usual one, longer by torch, and with exposures as long as they are when begun then; what is left
of a limit is the margin.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite
from typing import TYPE_CHECKING

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.models.exposing import Exposing

LEAST_MARGIN_S = 30.0 * 60.0
MARGIN_SHARE = 0.25  # of the way out


@dataclass(frozen=True, slots=True, kw_only=True)
class LegTime:
    """What one leg takes, its usable light, and whether it is walked in that alone."""

    usual_s: float
    slow_s: float
    light_from: float = -inf
    light_until: float = inf
    needs_light: bool = False  # rough, trackless or at water: not in the dark
    dark_factor: float = 1.0  # of its time without usable light

    def end(self, begin: float, seconds: float) -> float:
        """When the leg is walked that takes so long by light; where it needs light, it waits."""
        if self.needs_light:
            begin = max(begin, self.light_from)
        if begin < self.light_from:
            by_torch = (self.light_from - begin) / self.dark_factor
            if seconds <= by_torch:
                return begin + seconds * self.dark_factor
            begin, seconds = self.light_from, seconds - by_torch
        if begin < self.light_until:
            by_light = self.light_until - begin
            if seconds <= by_light:
                return begin + seconds
            begin, seconds = self.light_until, seconds - by_light
        return begin + seconds * self.dark_factor

    def begin(self, end: float, seconds: float) -> float:
        """The latest to begin it so as to have walked it by then; no wait for light in it."""
        if end > self.light_until:
            by_torch = (end - self.light_until) / self.dark_factor
            if seconds <= by_torch:
                return end - seconds * self.dark_factor
            end, seconds = self.light_until, seconds - by_torch
        if end > self.light_from:
            by_light = end - self.light_from
            if seconds <= by_light:
                return end - seconds
            end, seconds = self.light_from, seconds - by_light
        return end - seconds * self.dark_factor

    def leave_by(self, margin: float) -> float:
        """When it must be left for its light; −inf where it has none."""
        return self.light_until - margin if self.needs_light else inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """All that an outing's clock depends on, in seconds on one clock."""

    out: tuple[LegTime, ...]  # from the start to the camera position
    back: tuple[LegTime, ...]  # from the camera position to the start, in walking order
    retraced: tuple[LegTime, ...]  # each leg out walked the other way, in the order of `out`
    opens: float  # the light window
    best: float
    closes: float
    plus_minus_s: float  # of its edges
    set_up_s: float
    exposing: Exposing  # all exposures and what lies between them
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
    turn_back: tuple[float, ...]  # the latest there for the way home, as one came
    ready: float  # set up, at the slow pace
    expose: float  # by plan
    exposing_s: float  # what they take begun then
    expose_by: float  # the latest start of the exposures
    done_by: float  # those begun then are done
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
    From the end of a leg out one turns back the way one came, from the subject by the way back.
    `shortfalls` says what does not fit, each by how much.

    Raises BadInput for negative times and a window that ends before it begins.
    """
    _check(demand)
    margin = margin_s(demand.out) if demand.margin_s is None else demand.margin_s
    away_by = _home_by(demand.back[::-1], demand.back_by, margin)[-1]
    closes = max(demand.best, demand.closes - demand.plus_minus_s)
    # a way back that never has light is a shortfall; the rest is planned as without it
    done_by = closes if away_by == -inf else min(closes, away_by - demand.pack_s)
    expose_by = demand.exposing.latest(done_by)
    if expose_by == -inf:
        expose_by = done_by
    earliest = max(demand.not_before, _light_on_the_way_out(demand))
    ready_by = min(demand.opens - demand.plus_minus_s, expose_by)
    leave = max(earliest, _pass_by(demand, ready_by, margin)[0])
    leave_by, *pass_by = _pass_by(demand, expose_by, margin)
    arrive_usual, arrive_slow = _along(leave, demand.out)
    ready = (arrive_slow[-1] if arrive_slow else leave) + demand.set_up_s
    expose = _planned(demand, ready, expose_by, done_by)
    exposing_s = _or_none(demand.exposing.lasts(expose))
    away = expose + exposing_s + demand.pack_s
    back_usual, back_slow = _along(away, demand.back)
    turn_back = _home_by(demand.retraced, demand.back_by, margin)
    return Clock(
        margin_s=margin,
        leave=leave,
        leave_by=leave_by,
        arrive_usual=arrive_usual,
        arrive_slow=arrive_slow,
        pass_by=tuple(pass_by),
        turn_back=(*turn_back[1:-1], away_by) if demand.out else (),
        ready=ready,
        expose=expose,
        exposing_s=exposing_s,
        expose_by=expose_by,
        done_by=expose_by + _or_none(demand.exposing.lasts(expose_by)),
        away=away,
        away_by=away_by,
        back_usual=back_usual,
        back_slow=back_slow,
        shortfalls=_shortfalls(demand, margin, earliest, closes),
    )


def home_at(demand: Demand, away: float) -> float:
    """When is one at the start, slowly walked, leaving the camera position then?"""
    return _along(away, demand.back)[1][-1] if demand.back else away


def _check(demand: Demand) -> None:
    legs = (*demand.out, *demand.back, *demand.retraced)
    numbers = [demand.set_up_s, demand.pack_s, demand.plus_minus_s]
    numbers += [seconds for leg in legs for seconds in (leg.usual_s, leg.slow_s)]
    # where it is too dark to expose, the exposure has no end
    numbers += [seconds for seconds in demand.exposing.lasts_s if seconds != inf]
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


def _home_by(nearest_first: Sequence[LegTime], back_by: float, margin: float) -> list[float]:
    """The latest at the start, and at the beginning of each leg towards it, the last leg first."""
    latest = [back_by - margin]
    for leg in nearest_first:
        latest.append(leg.begin(min(latest[-1], leg.leave_by(margin)), leg.slow_s))
    return latest


def _pass_by(demand: Demand, ready: float, margin: float) -> list[float]:
    """The latest at the start and at the end of each leg out, to be set up by then.

    A leg that needs light and never has any is a shortfall; the rest is planned as without it.
    """
    latest = [ready - demand.set_up_s]
    for leg in reversed(demand.out):
        leave_by = leg.leave_by(margin)
        if leave_by > -inf:
            latest[0] = min(latest[0], leave_by)
        latest.insert(0, leg.begin(latest[0], leg.slow_s))
    return latest


def _planned(demand: Demand, ready: float, expose_by: float, done_by: float) -> float:
    """The begin of the exposures: the best minute, or the nearest to it at which they fit."""
    first = max(ready, demand.opens)
    best = min(max(demand.best, ready), max(expose_by, first))
    fit = [
        begin
        for begin in (best, expose_by, *demand.exposing.begins)
        if first <= begin <= expose_by and begin + demand.exposing.lasts(begin) <= done_by
    ]
    return min(fit, key=lambda begin: abs(begin - best), default=best)


def _or_none(seconds: float) -> float:
    return seconds if isfinite(seconds) else 0.0


def _light_on_the_way_out(demand: Demand) -> float:
    """The earliest to leave so that no leg out is begun before its light, at the usual pace."""
    earliest = -inf
    for number, leg in enumerate(demand.out):
        at = leg.light_from if leg.needs_light else -inf
        for before in reversed(demand.out[:number]):
            at = before.begin(at, before.usual_s)
        earliest = max(earliest, at)
    return earliest


def _along(begin: float, legs: Sequence[LegTime]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    usual, slow = [], []
    usual_at = slow_at = begin
    for leg in legs:
        usual_at = leg.end(usual_at, leg.usual_s)
        slow_at = leg.end(slow_at, leg.slow_s)
        usual.append(usual_at)
        slow.append(slow_at)
    return tuple(usual), tuple(slow)


def _shortfalls(
    demand: Demand, margin: float, earliest: float, closes: float
) -> tuple[Shortfall, ...]:
    """What cannot be kept when all goes as fast as may be planned: at the slow pace."""
    found = []

    def short(what: str, at: float, limit: float, leg: int | None = None) -> None:
        if at > limit or limit == -inf:
            found.append(
                Shortfall(what=what, leg=leg, short_s=inf if limit == -inf else at - limit)
            )

    done = demand.exposing.soonest_end(demand.opens)
    short("window", done, closes)
    at = earliest
    for number, leg in enumerate(demand.out):
        at = leg.end(at, leg.slow_s)
        short("light on the way out", at, leg.leave_by(margin), number)
    ready = at + demand.set_up_s
    if ready > demand.opens:
        done = demand.exposing.soonest_end(ready)
        short("arrival", done, closes)
    if not isfinite(done):  # too dark: what comes after it is told as for a plate of no time
        done = max(ready, demand.opens)
    at = done + demand.pack_s
    for number, leg in enumerate(demand.back):
        at = leg.end(at, leg.slow_s)
        short("light on the way back", at, leg.leave_by(margin), number)
    short("back by", at, demand.back_by - margin)
    return tuple(found)
