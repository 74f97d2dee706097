"""The next walk of a search: where to look, in which order, until when, and where to go then."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, quoted
from backbearing.models.detection import REPEAT_SHARE
from backbearing.models.leasttime import least_time
from backbearing.models.searchwalk import (
    SearchWalk,
    TriedWalk,
    WalkNodes,
    best_walk,
    chance_by,
    even_sweep,
    walk_trying,
)
from backbearing.models.usablelight import usable_light
from backbearing.places.geodesy import inverse
from backbearing.places.words import metres_text
from backbearing.places.zones import clock_text, day_bounds
from backbearing.plans.approach.ground import standing_cell, walker_ground
from backbearing.plans.approach.way import (
    CAUTIONS as WAY_CAUTIONS,
)
from backbearing.plans.approach.way import Going, carrying_factor, slower_cells, snow_limit_deg
from backbearing.plans.light import best_light
from backbearing.plans.outing.day import ASSUMED_EXPOSURE_S, Needs
from backbearing.plans.outing.ground import sky_seen
from backbearing.plans.outing.seconds import Exposures
from backbearing.plans.pace import pace_of
from backbearing.plans.passages import last_found_text
from backbearing.plans.search.likelihood import FOR_SUBJECTS, LOOKING_M_A_S
from backbearing.plans.search.stations import picked, stations
from backbearing.plans.search.walkanswer import (
    Branch,
    CurvePoint,
    Fallback,
    GiveUp,
    SearchStop,
    SearchWalkAnswer,
    Trying,
)
from backbearing.plans.search.ways import Gate, ways_between
from backbearing.plans.terraingrids import grids_round

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date

    from backbearing.notebook import Notebook
    from backbearing.plans.expose.seconds import Setup
    from backbearing.plans.pace import Pace
    from backbearing.plans.search.likelihood import Likely
    from backbearing.plans.search.stations import Stations
    from backbearing.plans.search.ways import Fields, Ways
    from backbearing.records import Floats, LightWindow, Place, Subject

MARGIN_S = 30.0 * 60.0
MOST_PLACES = 24
SHORTEST_S = 10.0 * 60.0
_FASTEST_S_PER_M = 0.6  # nobody is quicker: places farther off are out of reach
_WORTH_TRYING = 0.005  # of chance: for less no passage is gone to
_FIRST_LOOK_S = 1_800.0
_SEEN_BEFORE = 0.1  # from this chance to have seen it on, the next look is one again
_CURVE_S = 600.0
_NEAR_M = 4_000.0  # of the search's middle, for a fallback
_MOST_FALLBACKS = 3
CAUTIONS = (
    FOR_SUBJECTS,
    *WAY_CAUTIONS,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkQuestion:
    """What is asked of a search's next walk, as it was read."""

    start: Place
    start_name: str
    time_s: float
    leave: datetime | None  # None: so that it is over when the light is, or at first light
    day: date
    zone: str
    back_by: datetime | None = None
    needs: Needs = field(default_factory=Needs)
    going: Going = field(default_factory=Going)
    pace: str | None = None
    setup: Setup | None = None
    range_m: float = 15.0  # at which it is just seen


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Scene:
    """All that the walk's stops are worded from."""

    places: Stations
    nodes: WalkNodes
    ways: Ways
    found_by: datetime | None


def next_walk(
    notebook: Notebook,
    subject: Subject,
    likely: Likely,
    question: WalkQuestion,
    *,
    progress: Callable[[str], None] | None = None,
) -> SearchWalkAnswer:
    """Where to look next, from and back to a start, so that it is most likely found in the time?

    likely: of `where_likely`. All walking counts at the slow pace; the walk ends by the time
    given, the limit, and usable light less half an hour. A passage that only looked blocked is
    tried where that raises the chance. A good walk, not a proven optimum.

    Raises BadInput where there is no time or light, no ground at the start, or nothing likely in
    reach.
    """
    tell = progress or (lambda line: None)
    sweep_m = likely.sweep_m
    pace = pace_of(notebook, question.pace, progress=progress)
    near = _worth_a_look(
        stations(likely.ground, likely.share, likely.seen_chance), question, sweep_m
    )
    tell("the ground of the search")
    leave, until, limited_by = _limits(notebook, subject, question, near)
    time_s = (until - leave).total_seconds()
    if time_s < SHORTEST_S:
        raise BadInput(
            f"no time is left for a walk: {limited_by} ends it at "
            f"{clock_text(until, question.zone)}",
            where="--time",
            remedy="leave earlier, or take another day",
        )
    ways = ways_between(
        notebook,
        question.start,
        question.start_name,
        near,
        on=question.day,
        pace=pace,
        going=question.going,
        limit_s=time_s,
        progress=tell,
    )
    if not ways.kept:
        raise _nothing_in_reach(subject)
    places = picked(near, np.array(ways.kept))
    nodes = _nodes(places, ways, sweep_m)
    tell("the order of places")
    plain = best_walk(nodes, time_s)
    gate, tried = _tried(nodes, ways, time_s, plain)
    chance = tried.chance if tried is not None else plain.chance
    if not chance > 0.0:
        raise _nothing_in_reach(subject)
    tell("what else has light")
    give_up = _give_up(notebook, subject, question, leave)
    scene = _Scene(
        places=places,
        nodes=nodes,
        ways=ways,
        found_by=None if give_up is None else give_up.found_by,
    )
    stops, trying, home = _told(scene, plain, tried, gate, leave)
    visited = _visited(plain, tried)
    fallback = _fallback(notebook, subject, question, ways, pace, visited, leave, until)
    here = float(likely.share.sum())
    size = np.zeros(len(nodes.share))
    size[1 : 1 + len(places.share)] = places.size_m2
    last_look = max((each.leave for each in _all_stops(stops, trying)), default=until)
    reached = np.zeros(len(nodes.share), dtype=bool)
    for each in (ways.shut, *(gate.opened for gate in ways.gates)):
        reached |= np.isfinite(each.slow_s[0])
    return SearchWalkAnswer(
        subject=subject.name,
        zone=question.zone,
        day=question.day,
        start_name=question.start_name,
        leave=leave,
        back_limit=until,
        limited_by=limited_by,
        chance=chance,
        chance_without_trying=plain.chance if tried is not None else None,
        even_chance=even_sweep(nodes, size, time_s).chance,
        here=here,
        elsewhere=likely.elsewhere,
        gone=likely.gone,
        not_reached=max(0.0, here - float(nodes.share[reached].sum())),
        stops=stops,
        trying=trying,
        home=home,
        curve=_curve(nodes, plain, tried, gate, leave, time_s),
        give_up=give_up,
        fallback=fallback,
        look_until=None if fallback is None else min(fallback.leave_by, last_look),
        range_m=question.range_m,
        sweep_m=sweep_m,
        places=len(places.share),
        rests_on=tuple(_rests_on(question, likely, pace, ways, sweep_m)),
        cautions=CAUTIONS,
    )


def _nothing_in_reach(subject: Subject) -> BadInput:
    return BadInput(
        f"no likely ground of {quoted(subject.name)} is reached and left again in the time",
        where="--time",
        remedy="give more time, or start nearer to it",
    )


# ---------------------------------------------------------------- places, limits, nodes


def _worth_a_look(found: Stations, question: WalkQuestion, sweep_m: float) -> Stations:
    """The places that half an hour of looking finds most in, within reach there and back."""
    if not len(found.share):
        raise BadInput("no ground is likely at all", where="search", remedy="look at the clues")
    _, away_m = inverse(
        np.full(len(found.share), question.start.latitude_deg),
        np.full(len(found.share), question.start.longitude_deg),
        found.latitude_deg,
        found.longitude_deg,
    )
    seen = -np.expm1(-_rate_per_s(found, sweep_m) * _FIRST_LOOK_S)
    worth = found.share * seen
    worth[2.0 * np.asarray(away_m) * _FASTEST_S_PER_M > question.time_s] = 0.0
    order = np.argsort(-worth, kind="stable")[:MOST_PLACES]
    order = order[worth[order] > 0.0]
    if not len(order):
        raise BadInput(
            "all ground where it is likely lies too far off to be reached and left again",
            where="--time",
            remedy="give more time, or start nearer to it",
        )
    return picked(found, order)


def _rate_per_s(places: Stations, sweep_m: float) -> Floats:
    """Coverage for a second of looking; ground seen before by the same eyes yields less."""
    again = np.where(places.seen_chance > _SEEN_BEFORE, REPEAT_SHARE, 1.0)
    return np.asarray(sweep_m * LOOKING_M_A_S / places.size_m2 * again)


def _limits(
    notebook: Notebook, subject: Subject, question: WalkQuestion, places: Stations
) -> tuple[datetime, datetime, str]:
    """When the walk begins, when it must be over, and by what."""
    margin_s = MARGIN_S if question.needs.margin_s is None else question.needs.margin_s
    margin = timedelta(seconds=margin_s)
    begin, end = day_bounds(question.day, question.zone)
    sky = _darkest_sky(notebook, places)
    spot = int(np.argmax(places.share))
    span = usable_light(
        float(places.latitude_deg[spot]),
        float(places.longitude_deg[spot]),
        np.datetime64(begin.astimezone(UTC).replace(tzinfo=None), "ms"),
        np.datetime64(end.astimezone(UTC).replace(tzinfo=None), "ms"),
        sky_view=sky,
    )
    if span is None:
        raise BadInput(
            "there is no usable light that day", where="--date", remedy="take another day"
        )
    first, last = (
        datetime.fromtimestamp(int(each.astype("datetime64[s]").astype(np.int64)), UTC)
        for each in span
    )
    leave = first
    if question.leave is not None:
        leave = max(question.leave, first)
    else:
        found_by = _give_up(notebook, subject, question, first)
        if found_by is not None:
            leave = max(first, found_by.found_by - timedelta(seconds=question.time_s))
    found = [(leave + timedelta(seconds=question.time_s), "the time given")]
    found.append((last - margin, "usable light"))
    if question.back_by is not None:
        found.append((question.back_by - margin, "the limit given"))
    until, by = min(found, key=lambda each: each[0])
    return leave, until, by


def _darkest_sky(notebook: Notebook, places: Stations) -> float:
    """The least share of an open plain's sky at the places, as ground within 1.5 km leaves it."""
    likeliest = int(np.argmax(places.share))
    latitude, longitude = (
        float(places.latitude_deg[likeliest]),
        float(places.longitude_deg[likeliest]),
    )
    _, away_m = inverse(
        np.full(len(places.share), latitude),
        np.full(len(places.share), longitude),
        places.latitude_deg,
        places.longitude_deg,
    )
    grids, _ = grids_round(notebook, latitude, longitude, float(np.max(away_m)) + 2_000.0)
    return float(np.min(sky_seen(grids, places.latitude_deg, places.longitude_deg)))


def _nodes(places: Stations, ways: Ways, sweep_m: float) -> WalkNodes:
    """The start, the places, and what stands before gates, with slow walking times."""
    count = len(ways.shut.cells)
    share, rate = np.zeros(count), np.zeros(count)
    share[1 : 1 + len(places.share)] = places.share
    rate[1 : 1 + len(places.share)] = _rate_per_s(places, sweep_m)
    return WalkNodes(share=share, rate_per_s=rate, walk_s=ways.shut.slow_s)


def _tried(
    nodes: WalkNodes, ways: Ways, time_s: float, plain: SearchWalk
) -> tuple[Gate | None, TriedWalk | None]:
    """The passage that is most worth trying, and the walk that does; None where none is."""
    best: tuple[Gate | None, TriedWalk | None] = (None, None)
    chance = plain.chance + _WORTH_TRYING
    for gate in ways.gates:
        found = walk_trying(
            nodes,
            gate.opened.slow_s,
            gate.node,
            gate.chance,
            time_s,
            without=plain,
        )
        if found is not None and found.chance > chance:
            best, chance = (gate, found), found.chance
    return best


# ---------------------------------------------------------------- stops


def _told(
    scene: _Scene,
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
        at=_second(there),
        walk_s=float(scene.nodes.walk_s[last, gate.node]),
        way=shut.line(last, gate.node),
        if_open=branches[0],
        if_shut=branches[1],
    )
    return before, trying, None


def _home(scene: _Scene, fields: Fields, walk: SearchWalk, begun: datetime, begin: int) -> Branch:
    """The way home after the last stop of a walk."""
    last = walk.order[-1] if walk.order else begin
    return Branch(
        stops=(),
        chance=0.0,
        home_s=float(fields.slow_s[last, 0]),
        back=_second(begun + timedelta(seconds=walk.end_s)),
        way_home=fields.line(last, 0),
    )


def _stops(
    scene: _Scene,
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
    for node, arrive_s, look_s in zip(walk.order, walk.arrive_s, walk.look_s, strict=True):
        place = node - 1
        seen = float(-np.expm1(-nodes.rate_per_s[node] * look_s))
        found += float(nodes.share[node]) * seen
        arrive = begun + timedelta(seconds=arrive_s)
        told.append(
            SearchStop(
                name=scene.places.names[place],
                latitude_deg=round(float(scene.places.latitude_deg[place]), 7),
                longitude_deg=round(float(scene.places.longitude_deg[place]), 7),
                share=float(scene.places.share[place]),
                walk_s=float(fields.slow_s[at, node]),
                arrive=_second(arrive),
                look_s=look_s,
                leave=_second(arrive + timedelta(seconds=look_s)),
                chance_seen=seen,
                chance_so_far=found,
                too_late=scene.found_by is not None and arrive > scene.found_by,
                way=fields.line(at, node),
            )
        )
        at = node
    return tuple(told)


def _all_stops(stops: tuple[SearchStop, ...], trying: Trying | None) -> tuple[SearchStop, ...]:
    if trying is None:
        return stops
    return (*stops, *trying.if_open.stops, *trying.if_shut.stops)


def _visited(plain: SearchWalk, tried: TriedWalk | None) -> list[int]:
    if tried is None:
        return list(plain.order)
    return [*tried.before.order, *tried.if_open.order, *tried.if_shut.order]


def _curve(
    nodes: WalkNodes,
    plain: SearchWalk,
    tried: TriedWalk | None,
    gate: Gate | None,
    leave: datetime,
    time_s: float,
) -> tuple[CurvePoint, ...]:
    """The chance against time, each ten minutes; over both ways on where a passage is tried."""
    times = np.append(np.arange(0.0, time_s, _CURVE_S), time_s)
    if tried is None or gate is None:
        chances = chance_by(nodes, plain, times)
    else:
        chances = chance_by(nodes, tried.before, times)
        rest = tried.before.gone_through(nodes, len(tried.before.order))
        since = times - tried.before.end_s
        for part, walk in ((gate.chance, tried.if_open), (1.0 - gate.chance, tried.if_shut)):
            chances = chances + part * chance_by(rest, walk, since)
    return tuple(
        CurvePoint(at=_second(leave + timedelta(seconds=each)), chance=round(chance, 6))
        for each, chance in zip(times.tolist(), chances.tolist(), strict=True)
    )


# ---------------------------------------------------------------- when to stop, where to go


def _give_up(
    notebook: Notebook, subject: Subject, question: WalkQuestion, leave: datetime
) -> GiveUp | None:
    """The latest arrival that still leaves set-up and exposure in the day's best light."""
    exposures = Exposures(notebook, question.setup)
    for window in _windows(notebook, [subject.name], question, leave):
        exposing_s = _exposing_s(question, exposures, subject, window)
        last = _closes(window) - timedelta(seconds=exposing_s + question.needs.ready_s)
        if last > leave:
            return GiveUp(
                found_by=_second(last),
                window=window,
                set_up_s=question.needs.ready_s,
                exposing_s=exposing_s,
            )
    return None


def _fallback(
    notebook: Notebook,
    subject: Subject,
    question: WalkQuestion,
    ways: Ways,
    pace: Pace,
    visited: Sequence[int],
    leave: datetime,
    until: datetime,
) -> Fallback | None:
    """The best subject near to go to when this one is not found, safely back from it included.

    Its way is counted from that stop of the walk from which it is longest; best by its light.
    """
    from backbearing.notebook.subjects import list_camera_positions, list_subjects

    by_name = {one.name: one for one in list_subjects(notebook) if one.id != subject.id}
    windows = [each for each in _windows(notebook, [], question, leave) if each.subject in by_name]
    area, exposures = ways.shut.area, Exposures(notebook, question.setup)
    ground = walker_ground(
        area,
        slower_cells(area, pace, question.going),
        steepest_deg=question.going.steepest_deg,
        snow_steepest_deg=snow_limit_deg(question.going),
    )
    looked: dict[str, Floats | None] = {}
    for window in windows:
        other = by_name[window.subject]
        if other.name not in looked:
            if len(looked) >= _MOST_FALLBACKS:
                continue
            cameras = list_camera_positions(notebook, other.id)
            named = (each for each in cameras if each.name == window.camera_position)
            camera = next(named, cameras[0] if cameras else None)
            place = other.place if camera is None else camera.place
            cell = standing_cell(area, ground, place)
            if cell is None:
                continue
            to = least_time(ground, cell, pace.usual_s_per_m, towards=True)
            home = least_time(ground, cell, pace.usual_s_per_m)
            stops = np.array([to.seconds[ways.shut.cells[node]] for node in (0, *visited)])
            stops = stops[np.isfinite(stops)]
            home_s = float(home.seconds[ways.shut.cells[0]])
            looked[other.name] = (
                np.array([stops.max(), home_s]) * pace.slow
                if len(stops) and np.isfinite(home_s)
                else None
            )
        found = looked[other.name]
        if found is None:
            continue
        walk_s, home_s = (float(each) for each in found)
        exposing_s = _exposing_s(question, exposures, other, window)
        home_by = _safe_until(question, leave, until)
        done = min(_closes(window), home_by - timedelta(seconds=home_s + question.needs.pack_s))
        leave_by = done - timedelta(seconds=exposing_s + question.needs.ready_s + walk_s)
        if leave_by > leave and done - window.start >= timedelta(seconds=exposing_s):
            return Fallback(
                subject=other.name,
                leave_by=_second(leave_by),
                walk_s=walk_s,
                window=window,
            )
    return None


def _safe_until(question: WalkQuestion, leave: datetime, until: datetime) -> datetime:
    """By when one must be back from a fallback: the limits of the walk, but not its length."""
    if until < leave + timedelta(seconds=question.time_s):
        return until  # light or a limit ends it already
    margin_s = MARGIN_S if question.needs.margin_s is None else question.needs.margin_s
    if question.back_by is not None:
        return question.back_by - timedelta(seconds=margin_s)
    return day_bounds(question.day, question.zone)[1]


def _windows(
    notebook: Notebook, names: Sequence[str], question: WalkQuestion, leave: datetime
) -> list[LightWindow]:
    found = best_light(
        notebook, list(names), start=question.day, end=question.day, earliest_at=leave
    )
    return list(found.windows)


def _exposing_s(
    question: WalkQuestion, exposures: Exposures, subject: Subject, window: LightWindow
) -> float:
    one_s = question.needs.exposure_s
    if one_s is None:
        exposure = exposures.at(subject, window.best, window.sky)
        one_s = ASSUMED_EXPOSURE_S if exposure is None else exposure.high_s
    return question.needs.exposing_s(one_s)


def _closes(window: LightWindow) -> datetime:
    """The end of a window, its error taken off."""
    return window.end - timedelta(minutes=window.plus_minus_min)


def _second(instant: datetime) -> datetime:
    return datetime.fromtimestamp(round(instant.timestamp()), UTC)


# ---------------------------------------------------------------- what it rests on


def _rests_on(
    question: WalkQuestion, likely: Likely, pace: Pace, ways: Ways, sweep_m: float
) -> list[str]:
    found = [*likely.rests_on]
    found.append(
        f"it is just seen at {metres_text(question.range_m)}, so that a walk sweeps "
        f"{metres_text(sweep_m)} (Koester et al. 2014); chances to have seen it by random search "
        "(Koopman 1946), ground seen before by the same eyes at half"
    )
    found.append(
        f"looking at {LOOKING_M_A_S:g} m/s, {MARGIN_S / 60:.0f} min in hand before dark and "
        "before the limit: common practice, no source"
    )
    found.append(
        f"pace: {pace.basis}; all walking at the slow end, {pace.slow:.2f} of the usual; cells of "
        f"{metres_text(ways.shut.area.grid.cell_m)}"
    )
    if question.going.load_kg > 0.0:
        found.append(
            f"load {question.going.load_kg:g} kg: × {carrying_factor(pace, question.going):.2f}"
        )
    found.append(
        f"the {MOST_PLACES} most promising places weighed; a look begins and ends at their edges, "
        "walking between them finds nothing; usable light is 3.4 lx at the darkest of them under "
        "a clear sky, trees left aside"
    )
    if ways.gates:
        names = ", ".join(gate.passage.name for gate in ways.gates)
        found.append(f"passages weighed as to try: {names}; others as they are counted on")
    if ways.shut.area.why_no_terrain:
        found.append(f"past tracks and paths alone: {ways.shut.area.why_no_terrain}")
    return found
