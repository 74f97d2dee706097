"""The next walk of a search: which places to look through, in which order, for how long each.

start ──walk──► place ──walk──► place ──walk──► … ──walk──► start        all within a time
                look            look

Of a set of places in an order, the time that walking leaves is split by what it yields
(`effort.best_effort`, exact); sets and orders are tried by insertion and improved by turning,
moving, dropping, adding and swapping until nothing helps. That is a good walk, not a proven
optimum: places to visit within a time are an orienteering problem, which nobody solves exactly
but for a few dozen places. The same question always gives the same walk.

Where a find counts only until some moment (the light wished for its photograph), the walk first
finds as much as it can by then, and looks on in the time that is left. A moment until which a
place may be looked through is a longer way from it to the end, so that both are the same problem.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import expm1
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.effort import best_effort

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

    from backbearing.records import Floats

SEEDS = 8  # first places that walks are begun with, the most promising
MOST_ROUNDS = 50
LEAST_GAIN = 1e-9  # of chance: less is no reason to change a walk
_LEAST_LOOK_S = 60.0  # a place that is worth no minute is not worth a stop
LATE_WEIGHT = 0.1  # of what is found too late, against what is found in time
_WORTH_GOING_ON = 0.005  # of chance: for less one does not look on too late


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WalkNodes:
    """Nodes of a walk: places to look through, and those without a share (a start, a passage)."""

    share: Floats  # (n,) chance that it is there; 0 for nodes that are only passed
    rate_per_s: Floats  # (n,) coverage for one second of looking: sweep width × speed ÷ area
    walk_s: Floats  # (n, n) seconds from node to node; inf where no way leads


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SearchWalk:
    """A walk over places: its stops in order, and what it promises."""

    order: tuple[int, ...]  # nodes
    arrive_s: tuple[float, ...]  # at each stop, since the walk began
    look_s: tuple[float, ...]
    chance: float  # that it is found
    end_s: float  # at the end of the walk
    in_time: float  # that it is found in time, of that; all of it without such times

    @property
    def value(self) -> float:
        """What it is worth: a find too late counts little."""
        return self.in_time + LATE_WEIGHT * (self.chance - self.in_time)

    def gone_through(self, ground: WalkNodes, stops: int) -> WalkNodes:
        """The ground after the first so many stops found nothing, not normalised."""
        share = ground.share.copy()
        for node, look_s in zip(self.order[:stops], self.look_s[:stops], strict=True):
            share[node] *= np.exp(-ground.rate_per_s[node] * look_s)
        return WalkNodes(share=share, rate_per_s=ground.rate_per_s, walk_s=ground.walk_s)


def best_walk(
    ground: WalkNodes,
    time_s: float,
    *,
    begin: int = 0,
    end: int = 0,
    seeds: int = SEEDS,
    in_time_s: Floats | None = None,
) -> SearchWalk:
    """Which walk from one node to another within a time finds most?

    time_s: for all of it, walking and looking. in_time_s: (n,) until when since the walk began a
    find at each place is one in time; None: any time. Most is found in time first, whatever the
    walk finds later. Places that nothing reaches are left out; where the end itself cannot be
    reached in time, the walk has no stops and its end_s says how long the way takes. Random-search
    detection.

    Method: from each of the most promising single places, cheapest insertion of the place that
    raises the chance most, then 2-opt and or-opt on the walking time and adding, dropping and
    swapping by chance, until none helps; looking times after Charnes & Cooper 1958. Of a walk and
    the same turned round, that which finds earlier.

    Raises BadInput for shares, rates or a time below 0, and arrays that do not belong together.
    """
    _check(ground, time_s)
    if in_time_s is None or not np.any(in_time_s < time_s - ground.walk_s[:, end]):
        return _most_found(ground, time_s, begin, end, seeds)
    # so near to the end that nothing is looked at too late; holds for stops before the last as
    # well, as no way to the end is longer than one by another place
    until = ground.walk_s.copy()
    until[:, end] = np.maximum(until[:, end], time_s - in_time_s)
    until[[begin, end], end] = ground.walk_s[[begin, end], end]
    early = _most_found(
        WalkNodes(share=ground.share, rate_per_s=ground.rate_per_s, walk_s=until),
        time_s,
        begin,
        end,
        seeds,
    )
    if not early.order:
        late = _most_found(ground, time_s, begin, end, seeds)
        return replace(late, in_time=found_in_time(ground, late, in_time_s))
    last = early.order[-1]
    gone_s = early.arrive_s[-1] + early.look_s[-1]
    rest = early.gone_through(ground, len(early.order))
    late = _most_found(rest, time_s - gone_s, last, end, seeds)
    if late.chance < _WORTH_GOING_ON:
        walk = replace(early, end_s=gone_s + float(ground.walk_s[last, end]))
    else:
        walk = _one_after_other(early, late, gone_s)
    return replace(walk, in_time=found_in_time(ground, walk, in_time_s))


def _most_found(ground: WalkNodes, time_s: float, begin: int, end: int, seeds: int) -> SearchWalk:
    tour = _Tour(ground, time_s, begin, end)
    singles = sorted(((tour.chance((node,)), -node) for node in tour.places), reverse=True)
    best: tuple[int, ...] = ()
    found = 0.0
    for chance, node in singles[:seeds]:
        if chance <= 0.0:
            break
        route = tour.improved((-node,))
        got = tour.chance(route)
        if got > found + LEAST_GAIN:
            best, found = route, got
    return tour.earlier(best)


def _one_after_other(early: SearchWalk, late: SearchWalk, gone_s: float) -> SearchWalk:
    """Two walks in one, the other begun at the last stop of the first."""
    arrive = [gone_s + each for each in late.arrive_s]
    order, looks = late.order, late.look_s
    early_looks = early.look_s
    if order[0] == early.order[-1]:  # it is looked through on and on
        early_looks = (*early_looks[:-1], early_looks[-1] + looks[0])
        order, looks, arrive = order[1:], looks[1:], arrive[1:]
    return SearchWalk(
        order=(*early.order, *order),
        arrive_s=(*early.arrive_s, *arrive),
        look_s=(*early_looks, *looks),
        chance=early.chance + late.chance,
        end_s=gone_s + late.end_s,
        in_time=early.chance,
    )


def found_in_time(ground: WalkNodes, walk: SearchWalk, in_time_s: Floats | None) -> float:
    """How likely does a walk find it in time? in_time_s: as for `best_walk`."""
    if in_time_s is None:
        return walk.chance
    covered = np.zeros(len(ground.share))
    for node, arrive_s, look_s in zip(walk.order, walk.arrive_s, walk.look_s, strict=True):
        looked_s = min(max(float(in_time_s[node]) - arrive_s, 0.0), look_s)
        covered[node] += ground.rate_per_s[node] * looked_s
    return float(np.dot(ground.share, -np.expm1(-covered)))


def chance_by(ground: WalkNodes, walk: SearchWalk, times_s: ArrayLike) -> Floats:
    """How likely is it found by times (any shape) since the walk began?"""
    times = np.asarray(times_s, dtype=float)
    found = np.zeros(times.shape)
    covered: dict[int, Floats] = {}  # a place may be looked through twice
    for node, arrive_s, look_s in zip(walk.order, walk.arrive_s, walk.look_s, strict=True):
        before = covered.get(node, np.zeros(times.shape))
        covered[node] = before + ground.rate_per_s[node] * np.clip(times - arrive_s, 0.0, look_s)
        found += ground.share[node] * (np.exp(-before) - np.exp(-covered[node]))
    return found


def even_sweep(
    nodes: WalkNodes, size: ArrayLike, time_s: float, *, begin: int = 0, end: int = 0
) -> SearchWalk:
    """What does an even sweep of equal length find, to hold a planned walk against?

    size: (n,) of the places, in one unit. From the beginning on to the nearest place not yet
    swept, each with the same coverage, in the time that this walking leaves. How many places it
    takes in is chosen as suits it best, so it is the best of such sweeps, not a careless one.
    Raises BadInput as `best_walk` does.
    """
    _check(nodes, time_s)
    sizes = np.asarray(size, dtype=float)
    tour = _Tour(nodes, time_s, begin, end)
    left, best = set(tour.places), tour.timed(())
    route: list[int] = []
    while left:
        last = route[-1] if route else begin
        near = min(left, key=lambda node: (tour.walk[last][node], node))
        left.remove(near)
        route.append(near)
        looking_s = time_s - tour.walking_s(route)
        if not looking_s > 0.0:
            continue  # a later place may lie nearer to the end
        looks = looking_s * sizes[route] / sizes[route].sum()
        walk = tour.timed(tuple(route), looks.tolist())
        if walk.chance > best.chance:
            best = walk
    return best


class _Tour:
    """Orders of places between two nodes within a time, and what each promises."""

    def __init__(self, ground: WalkNodes, time_s: float, begin: int, end: int) -> None:
        self.ground, self.time_s, self.begin, self.end = ground, time_s, begin, end
        self.walk = ground.walk_s.tolist()
        worth = ground.share * ground.rate_per_s
        there = worth > 0.0
        there &= np.isfinite(ground.walk_s[begin]) & np.isfinite(ground.walk_s[:, end])
        self.places = np.flatnonzero(there).tolist()
        self.share, self.rate = ground.share.tolist(), ground.rate_per_s.tolist()
        self.known: dict[tuple[frozenset[int], float], float] = {}

    def walking_s(self, route: Sequence[int]) -> float:
        """All walking from begin over the places to the end."""
        stops = (self.begin, *route, self.end)
        return float(sum(self.walk[a][b] for a, b in pairwise(stops)))

    def chance(self, route: Sequence[int]) -> float:
        """The chance of success, with looking times at their best.

        0 where a stop is worth less than a minute: to walk through it would take that too.
        """
        if not route:
            return 0.0
        left_s = self.time_s - self.walking_s(route)
        if not left_s > 0.0:
            return 0.0
        key = (frozenset(route), left_s)
        if key not in self.known:
            looks = self.looks(route, left_s)
            share, rate = self.ground.share[list(route)], self.ground.rate_per_s[list(route)]
            found = float(np.dot(share, -np.expm1(-rate * looks)))
            least_s = min(_LEAST_LOOK_S, self.time_s / 10.0)
            self.known[key] = found if float(looks.min()) >= least_s else 0.0
        return self.known[key]

    def looks(self, route: Sequence[int], left_s: float) -> Floats:
        """How long to look through each place."""
        nodes = list(route)
        return best_effort(self.ground.share[nodes], self.ground.rate_per_s[nodes], left_s)

    def inserted(self, route: tuple[int, ...], node: int) -> tuple[int, ...]:
        """The route with a place more, where it lengthens the walk least."""
        stops = (self.begin, *route, self.end)
        longer = [
            self.walk[a][node] + self.walk[node][b] - self.walk[a][b] for a, b in pairwise(stops)
        ]
        at = longer.index(min(longer))
        return (*route[:at], node, *route[at:])

    def improved(self, route: tuple[int, ...]) -> tuple[int, ...]:
        """A route to which no single change does good any more."""
        now = self.chance(route)
        for _ in range(MOST_ROUNDS):
            route = self.shorter(route)
            now = self.chance(route)
            better, got = route, now
            rest = [node for node in self.places if node not in route]
            tries = [self.inserted(route, node) for node in rest]
            if not any(self.chance(each) > now + LEAST_GAIN for each in tries):
                without = [route[:at] + route[at + 1 :] for at in range(len(route))]
                tries = without + [self.inserted(each, node) for each in without for node in rest]
            for each in tries:
                chance = self.chance(each)
                if chance > got + LEAST_GAIN:
                    better, got = each, chance
            if better == route:
                return route
            route = better
        return route

    def shorter(self, route: tuple[int, ...]) -> tuple[int, ...]:
        """The same places in a shorter order: by turning stretches round and moving some."""
        length = self.walking_s(route)
        for _ in range(MOST_ROUNDS):
            best = route
            for first in range(len(route)):
                for last in range(first + 1, len(route) + 1):
                    piece, rest = route[first:last], route[:first] + route[last:]
                    tries = [route[:first] + piece[::-1] + route[last:]]
                    if len(piece) <= 3:
                        for at in range(len(rest) + 1):
                            tries += [rest[:at] + piece + rest[at:]]
                    for each in tries:
                        walked = self.walking_s(each)
                        if walked < length - 1e-6:
                            best, length = each, walked
            if best == route:
                return route
            route = best
        return route

    def earlier(self, route: tuple[int, ...]) -> SearchWalk:
        """The route as a walk, that way round which finds earlier, at no loss."""
        one, other = self.timed(route), self.timed(route[::-1])
        if other.chance < one.chance - LEAST_GAIN:
            return one
        if one.chance < other.chance - LEAST_GAIN:
            return other
        times = np.linspace(0.0, self.time_s, 65)
        sums = [chance_by(self.ground, each, times).sum() for each in (one, other)]
        return other if sums[1] > sums[0] + LEAST_GAIN else one

    def timed(self, route: tuple[int, ...], looks: Sequence[float] | None = None) -> SearchWalk:
        """The route with its times. looks: None means the best."""
        left_s = self.time_s - self.walking_s(route)
        if looks is None:
            looks = [0.0] * len(route)
            if route and left_s > 0.0:
                looks = self.looks(route, left_s).tolist()
        arrive, now, at = [], 0.0, self.begin
        for node, look_s in zip(route, looks, strict=True):
            now += self.walk[at][node]
            arrive.append(now)
            now, at = now + look_s, node
        chance = sum(
            self.share[node] * -expm1(-self.rate[node] * look_s)
            for node, look_s in zip(route, looks, strict=True)
        )
        return SearchWalk(
            order=route,
            arrive_s=tuple(arrive),
            look_s=tuple(looks),
            chance=chance,
            end_s=now + self.walk[at][self.end],
            in_time=chance,
        )


def _check(ground: WalkNodes, time_s: float) -> None:
    count = len(ground.share)
    if ground.rate_per_s.shape != (count,) or ground.walk_s.shape != (count, count):
        raise BadInput("shares, rates and ways do not belong together", where="walk")
    if np.any(ground.share < 0.0) or np.any(ground.rate_per_s < 0.0) or not time_s >= 0.0:
        raise BadInput(
            "shares, rates and times must be 0 or more", where="walk", remedy="give 0 or more"
        )
    if np.isnan(ground.walk_s).any() or np.any(ground.walk_s < 0.0):
        raise BadInput("a way takes less than no time", where="walk", remedy="give seconds")
