"""The stops of a search's walk as they are walked, with their times, and what they promise."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.searchwalk import SearchWalk, WalkNodes, chance_by
from backbearing.plans.passages import last_found_text
from backbearing.plans.search.afterwards import to_second
from backbearing.plans.search.walkanswer import Branch, CurvePoint, GiveUp, SearchStop, Trying

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import ArrayLike

    from backbearing.models.triedwalk import TriedWalk
    from backbearing.plans.search.stations import Stations
    from backbearing.plans.search.ways import Fields, Gate, Ways
    from backbearing.records import Floats

_CURVE_S = 600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LastFind:
    """What decides until when a find can still be exposed."""

    opens: datetime  # the light
    closes: datetime
    home_by: datetime
    ready_s: float  # to set up
    exposing_s: float
    pack_s: float

    def at(self, home_s: float) -> datetime | None:
        """The latest find, so long a way from the start, that is exposed and brought home; None:
        the light comes too late for that."""
        away_by = self.home_by - timedelta(seconds=home_s + self.pack_s)
        done = min(self.closes, away_by)
        exposing = timedelta(seconds=self.exposing_s)
        if done - self.opens < exposing:
            return None
        return done - exposing - timedelta(seconds=self.ready_s)

    def since(self, leave: datetime, home_s: Floats) -> Floats:
        """The same for many places, in seconds since leaving; -inf: never."""
        finds = [self.at(each) if np.isfinite(each) else None for each in home_s.tolist()]
        return np.array(
            [-np.inf if each is None else (each - leave).total_seconds() for each in finds]
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """All that the walk's stops are worded from."""

    places: Stations
    nodes: WalkNodes
    ways: Ways
    last_find: LastFind | None  # None: no light as wished is left that day


def told_stops(
    scene: Scene,
    plain: SearchWalk,
    tried: TriedWalk | None,
    gate: Gate | None,
    leave: datetime,
) -> tuple[tuple[SearchStop, ...], Trying | None, Branch | None]:
    """The walk's stops as they are walked; with a passage to try, both ways on."""
    shut = scene.ways.shut
    if tried is None or gate is None:
        stops = _stops(scene, shut, plain, leave, 0, 0.0)
        return stops, None, _home(scene, shut, plain, leave, 0)
    before = _stops(scene, shut, tried.before, leave, 0, 0.0)
    there = leave + timedelta(seconds=tried.before.end_s)
    last = tried.before.order[-1] if tried.before.order else 0
    found = tried.before.chance
    branches = []
    for fields, walk in ((gate.opened, tried.if_open), (shut, tried.if_shut)):
        home = _home(scene, fields, walk, there, gate.node)
        stops = _stops(scene, fields, walk, there, gate.node, found, after=tried.before)
        branches.append(
            Branch(
                stops=stops,
                chance=walk.chance,
                home_s=home.home_s,
                back=home.back,
                way_home=home.way_home,
            )
        )
    trying = Trying(
        name=gate.passage.name,
        kind=gate.passage.kind,
        chance_open=gate.chance,
        last_found=last_found_text(gate.passage),
        at=to_second(there),
        walk_s=float(scene.nodes.walk_s[last, gate.node]),
        way=shut.line(last, gate.node),
        if_open=branches[0],
        if_shut=branches[1],
    )
    return before, trying, None


def _home(scene: Scene, fields: Fields, walk: SearchWalk, begun: datetime, begin: int) -> Branch:
    """The way home after the last stop of a walk."""
    last = walk.order[-1] if walk.order else begin
    return Branch(
        stops=(),
        chance=0.0,
        home_s=float(fields.slow_s[last, 0]),
        back=to_second(begun + timedelta(seconds=walk.end_s)),
        way_home=fields.line(last, 0),
    )


def _stops(
    scene: Scene,
    fields: Fields,
    walk: SearchWalk,
    begun: datetime,
    begin: int,
    found: float,
    *,
    after: SearchWalk | None = None,
) -> tuple[SearchStop, ...]:
    """The stops of a walk, or of a part of one. found: the chance that they add to."""
    told, at = [], begin
    nodes = scene.nodes if after is None else after.gone_through(scene.nodes, len(after.order))
    left = nodes.share.copy()  # what looks before did not find
    for node, arrive_s, look_s in zip(walk.order, walk.arrive_s, walk.look_s, strict=True):
        place = node - 1
        seen = float(-np.expm1(-nodes.rate_per_s[node] * look_s))
        share = float(left[node])
        found += share * seen
        left[node] *= 1.0 - seen
        arrive = begun + timedelta(seconds=arrive_s)
        home_s = float(fields.slow_s[node, 0])
        expose_by = None if scene.last_find is None else scene.last_find.at(home_s)
        told.append(
            SearchStop(
                name=scene.places.names[place],
                latitude_deg=round(float(scene.places.latitude_deg[place]), 7),
                longitude_deg=round(float(scene.places.longitude_deg[place]), 7),
                share=share,
                walk_s=float(fields.slow_s[at, node]),
                arrive=to_second(arrive),
                look_s=look_s,
                leave=to_second(arrive + timedelta(seconds=look_s)),
                chance_seen=seen,
                chance_so_far=found,
                home_s=home_s,
                expose_by=None if expose_by is None else to_second(expose_by),
                too_late=scene.last_find is not None and (expose_by is None or arrive > expose_by),
                way=fields.line(at, node),
            )
        )
        at = node
    return tuple(told)


def all_stops(stops: tuple[SearchStop, ...], trying: Trying | None) -> tuple[SearchStop, ...]:
    if trying is None:
        return stops
    return (*stops, *trying.if_open.stops, *trying.if_shut.stops)


def visited_nodes(plain: SearchWalk, tried: TriedWalk | None) -> tuple[list[int], list[int]]:
    """The stops looked at whatever a passage is or where it is shut, and those where it is open."""
    if tried is None:
        return list(plain.order), []
    return [*tried.before.order, *tried.if_shut.order], list(tried.if_open.order)


def found_by(stops: tuple[SearchStop, ...], give_up: GiveUp) -> datetime:
    """By when it must be found wherever the walk finds it in time at all."""
    ends = [stop.expose_by for stop in stops if stop.expose_by is not None and not stop.too_late]
    return min(ends, default=give_up.found_by)


def back_if_found(
    stops: tuple[SearchStop, ...], give_up: GiveUp | None, pack_s: float
) -> datetime | None:
    """By when one is back where it is found and exposed, at whatever place; None: nowhere."""
    latest = None
    for stop in stops:
        if give_up is None or stop.expose_by is None or stop.too_late:
            continue
        ready = min(stop.leave, stop.expose_by) + timedelta(seconds=give_up.set_up_s)
        exposed = max(ready, give_up.window.start) + timedelta(seconds=give_up.exposing_s)
        back = exposed + timedelta(seconds=pack_s + stop.home_s)
        latest = back if latest is None else max(latest, back)
    return None if latest is None else to_second(latest)


def chance_at(
    nodes: WalkNodes,
    plain: SearchWalk,
    tried: TriedWalk | None,
    gate: Gate | None,
    times_s: ArrayLike,
) -> Floats:
    """The chance that it is found by times since the walk began; over both ways on where a
    passage is tried."""
    times = np.asarray(times_s, dtype=float)
    if tried is None or gate is None:
        return chance_by(nodes, plain, times)
    chances = chance_by(nodes, tried.before, times)
    rest = tried.before.gone_through(nodes, len(tried.before.order))
    since = times - tried.before.end_s
    for part, walk in ((gate.chance, tried.if_open), (1.0 - gate.chance, tried.if_shut)):
        chances = chances + part * chance_by(rest, walk, since)
    return chances


def chance_curve(
    nodes: WalkNodes,
    plain: SearchWalk,
    tried: TriedWalk | None,
    gate: Gate | None,
    leave: datetime,
    time_s: float,
) -> tuple[CurvePoint, ...]:
    """The chance against time, each ten minutes."""
    times = np.append(np.arange(0.0, time_s, _CURVE_S), time_s)
    chances = chance_at(nodes, plain, tried, gate, times)
    return tuple(
        CurvePoint(at=to_second(leave + timedelta(seconds=each)), chance=round(chance, 6))
        for each, chance in zip(times.tolist(), chances.tolist(), strict=True)
    )
