"""The next walk of a search: where to look, in which order, until when, and where to go then."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, quoted
from backbearing.models.detection import REPEAT_SHARE
from backbearing.models.searchwalk import SearchWalk, WalkNodes, best_walk, even_sweep
from backbearing.models.triedwalk import TriedWalk, even_trying, walk_trying
from backbearing.places.geodesy import inverse
from backbearing.places.words import metres_text
from backbearing.places.zones import clock_text
from backbearing.plans.approach.way import (
    CAUTIONS as WAY_CAUTIONS,
)
from backbearing.plans.approach.way import carrying_factor
from backbearing.plans.pace import pace_of
from backbearing.plans.search.afterwards import MARGIN_S, closes, fallback_from, give_up_by
from backbearing.plans.search.likelihood import LOOKING_M_A_S
from backbearing.plans.search.limits import walk_limits
from backbearing.plans.search.naming import Naming
from backbearing.plans.search.stations import named_by, picked, stations
from backbearing.plans.search.walkanswer import (
    SearchWalkAnswer,
)
from backbearing.plans.search.walkstops import (
    LastFind,
    Scene,
    all_stops,
    back_if_found,
    chance_at,
    chance_curve,
    found_by,
    told_stops,
    visited_nodes,
)
from backbearing.plans.search.ways import Gate, ways_between
from backbearing.plans.searchlines import FOR_SUBJECTS
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from backbearing.notebook import Notebook
    from backbearing.plans.pace import Pace
    from backbearing.plans.search.afterwards import WalkQuestion
    from backbearing.plans.search.likelihood import Likely
    from backbearing.plans.search.stations import Stations
    from backbearing.plans.search.ways import Fields, Ways
    from backbearing.records import Floats, Place, Subject

MOST_PLACES = 24
_FASTEST_S_PER_M = 0.6  # nobody is quicker: places farther off are out of reach
_WORTH_TRYING = 0.005  # of chance: for less no passage is gone to
_FIRST_LOOK_S = 1_800.0
_SEEN_BEFORE = 0.1  # from this chance to have seen it on, the next look is one again
CAUTIONS = (
    FOR_SUBJECTS,
    *WAY_CAUTIONS,
)


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
    pace = pace_of(notebook, question.pace, progress=progress)
    near = _worth_a_look(
        stations(
            likely.ground,
            likely.share,
            likely.seen_chance,
            likely.sweeps_m,
            Naming(notebook, subject, likely.ground).words,
        ),
        question,
    )
    tell("the ground of the search")
    limits = walk_limits(notebook, subject, question, near)
    leave, home_by = limits.leave, limits.home_by
    time_s = (limits.until - leave).total_seconds()
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
    places = named_by(picked(near, np.array(ways.kept)), _known(notebook, subject))
    nodes = _nodes(places, ways)
    tell("what has light")
    give_up = give_up_by(
        notebook,
        subject,
        question,
        leave,
        away_by=home_by - timedelta(seconds=_usual_home_s(nodes, ways)),
    )
    needs = question.needs
    last_find = None
    if give_up is not None:
        last_find = LastFind(
            opens=give_up.window.start,
            closes=closes(give_up.window),
            home_by=home_by,
            ready_s=give_up.set_up_s,
            exposing_s=give_up.exposing_s,
            pack_s=needs.pack_s,
        )

    def in_time_s(fields: Fields) -> Floats | None:
        """Until when since the walk began a find at each node is one in time."""
        return None if last_find is None else last_find.since(leave, fields.slow_s[:, 0])

    plain = best_walk(nodes, time_s, in_time_s=in_time_s(ways.shut))
    gate, tried = _tried(nodes, ways, time_s, plain, in_time_s)
    chance = tried.chance if tried is not None else plain.chance
    if not chance > 0.0:
        raise _nothing_in_reach(subject)
    here_on, beyond = visited_nodes(plain, tried)
    opened = None if gate is None else (gate.opened, beyond)
    scene = Scene(places=places, nodes=nodes, ways=ways, last_find=last_find)
    stops, trying, home = told_stops(scene, plain, tried, gate, leave)
    if give_up is not None:
        give_up = replace(give_up, found_by=found_by(all_stops(stops, trying), give_up))
    fallback = fallback_from(
        notebook, subject, question, ways, pace, here_on, leave, home_by, beyond=opened
    )
    here = float(likely.share.sum())
    size = np.zeros(len(nodes.share))
    size[1 : 1 + len(places.share)] = places.size_m2
    last_look = max((each.leave for each in all_stops(stops, trying)), default=limits.until)
    look_until = None if fallback is None else min(fallback.leave_by, last_look)
    reached = np.zeros(len(nodes.share), dtype=bool)
    for each in _all_fields(ways):
        reached |= np.isfinite(each.slow_s[0])
    return SearchWalkAnswer(
        subject=subject.name,
        zone=question.zone,
        day=question.day,
        start_name=question.start_name,
        leave=leave,
        back_limit=limits.until,
        limited_by=limits.limited_by,
        kept_s=limits.kept_s,
        back_if_found=back_if_found(all_stops(stops, trying), give_up, needs.pack_s),
        chance=chance,
        chance_without_trying=plain.chance if tried is not None else None,
        chance_in_time=None if give_up is None else (plain if tried is None else tried).in_time,
        even_chance=_even_chance(nodes, ways, size, time_s),
        here=here,
        elsewhere=likely.elsewhere,
        gone=likely.gone,
        not_reached=max(0.0, here - float(nodes.share[reached].sum())),
        stops=stops,
        trying=trying,
        home=home,
        curve=chance_curve(nodes, plain, tried, gate, leave, time_s),
        give_up=give_up,
        fallback=fallback,
        look_until=look_until,
        chance_by_then=None
        if look_until is None
        else float(chance_at(nodes, plain, tried, gate, (look_until - leave).total_seconds())),
        range_m=likely.sight.open_m,
        sweep_m=likely.sweep_m,
        places=len(places.share),
        missing=likely.missing,
        remarks=likely.remarks,
        rests_on=(
            *_rests_on(question, likely, pace, ways),
            *_left_later(question, leave),
            *_kept(limits.kept_s),
        ),
        cautions=tuple(map(say, CAUTIONS)),
    )


def _known(notebook: Notebook, subject: Subject) -> list[tuple[str, Place]]:
    """What the walker knows by name: other subjects and passages."""
    from backbearing.notebook.lines import list_passages
    from backbearing.notebook.subjects import list_subjects

    found = [(one.name, one.place) for one in list_subjects(notebook) if one.id != subject.id]
    return found + [(one.name, one.place) for one in list_passages(notebook)]


def _left_later(question: WalkQuestion, leave: datetime) -> Iterator[str]:
    if question.leave is not None and leave > question.leave:
        yield (
            say(
                "left at first usable light, {leave}, not at {leave_2}: looking wants it",
                leave=clock_text(leave, question.zone),
                leave_2=clock_text(question.leave, question.zone),
            )
        )


def _kept(kept_s: float) -> Iterator[str]:
    if kept_s > 0.0:
        yield (
            say(
                "{kept_min:.0f} min are kept before dark and the limit, so that a "
                "find at any place is set up, exposed and packed before the way "
                "home",
                kept_min=kept_s / 60.0,
            )
        )


def _usual_home_s(nodes: WalkNodes, ways: Ways) -> float:
    """The slow way back to the start from the middle of the chance, by the shortest way known."""
    home_s = np.min([each.slow_s[:, 0] for each in _all_fields(ways)], axis=0)
    known = np.isfinite(home_s) & (nodes.share > 0.0)
    if not known.any():
        return 0.0
    order = np.argsort(home_s[known], kind="stable")
    sums = np.cumsum(nodes.share[known][order])
    return float(home_s[known][order][np.searchsorted(sums, sums[-1] / 2.0)])


def _all_fields(ways: Ways) -> list[Fields]:
    return [ways.shut, *(gate.opened for gate in ways.gates)]


def _even_chance(nodes: WalkNodes, ways: Ways, size: Floats, time_s: float) -> float:
    """What an even sweep finds; it may try the same passages as the walk."""
    return max(
        even_sweep(nodes, size, time_s).chance,
        *(
            even_trying(nodes, gate.opened.slow_s, gate.node, gate.chance, size, time_s)
            for gate in ways.gates
        ),
        0.0,
    )


def _nothing_in_reach(subject: Subject) -> BadInput:
    return BadInput(
        say(
            "no likely ground of {subject} is reached and left again in the time",
            subject=quoted(subject.name),
        ),
        where="--time",
        remedy=say("give more time, or start nearer to it"),
    )


# ---------------------------------------------------------------- places, limits, nodes


def _worth_a_look(found: Stations, question: WalkQuestion) -> Stations:
    """The places that half an hour of looking finds most in, within reach there and back."""
    if not len(found.share):
        raise BadInput(
            say("no ground is likely at all"), where="search", remedy=say("look at the clues")
        )
    _, away_m = inverse(
        np.full(len(found.share), question.start.latitude_deg),
        np.full(len(found.share), question.start.longitude_deg),
        found.latitude_deg,
        found.longitude_deg,
    )
    seen = -np.expm1(-_rate_per_s(found) * _FIRST_LOOK_S)
    worth = found.share * seen
    worth[2.0 * np.asarray(away_m) * _FASTEST_S_PER_M > question.time_s] = 0.0
    order = np.argsort(-worth, kind="stable")[:MOST_PLACES]
    order = order[worth[order] > 0.0]
    if not len(order):
        raise BadInput(
            say("all ground where it is likely lies too far off to be reached and left again"),
            where="--time",
            remedy=say("give more time, or start nearer to it"),
        )
    return picked(found, order)


def _rate_per_s(places: Stations) -> Floats:
    """Coverage for a second of looking; ground seen before by the same eyes yields less."""
    again = np.where(places.seen_chance > _SEEN_BEFORE, REPEAT_SHARE, 1.0)
    return np.asarray(places.sweep_m * LOOKING_M_A_S / places.size_m2 * again)


def _nodes(places: Stations, ways: Ways) -> WalkNodes:
    """The start, the places, and what stands before gates, with slow walking times."""
    count = len(ways.shut.cells)
    share, rate = np.zeros(count), np.zeros(count)
    share[1 : 1 + len(places.share)] = places.share
    rate[1 : 1 + len(places.share)] = _rate_per_s(places)
    return WalkNodes(share=share, rate_per_s=rate, walk_s=ways.shut.slow_s)


def _tried(
    nodes: WalkNodes,
    ways: Ways,
    time_s: float,
    plain: SearchWalk,
    in_time_s: Callable[[Fields], Floats | None],
) -> tuple[Gate | None, TriedWalk | None]:
    """The passage that is most worth trying, and the walk that does; None where none is."""
    best: tuple[Gate | None, TriedWalk | None] = (None, None)
    value = plain.value + _WORTH_TRYING
    shut_s = in_time_s(ways.shut)
    for gate in ways.gates:
        open_s = in_time_s(gate.opened)
        found = walk_trying(
            nodes,
            gate.opened.slow_s,
            gate.node,
            gate.chance,
            time_s,
            without=plain,
            in_time_s=None if shut_s is None or open_s is None else (shut_s, open_s),
        )
        if found is not None and found.value > value:
            best, value = (gate, found), found.value
    return best


# ---------------------------------------------------------------- what it rests on


def _rests_on(question: WalkQuestion, likely: Likely, pace: Pace, ways: Ways) -> list[str]:
    found = [*likely.rests_on]
    found.append(
        say(
            "chances to have seen it by random search (Koopman 1946), ground "
            "seen before by the same eyes at half"
        )
    )
    found.append(
        say(
            "looking at {looking_m_a_s:g} m/s, {margin_min:.0f} min in hand "
            "before dark and before the limit: common practice, no source",
            looking_m_a_s=LOOKING_M_A_S,
            margin_min=MARGIN_S / 60,
        )
    )
    found.append(
        say(
            "pace: {basis}; all walking at the slow end, {slow:.2f} of the usual; cells of {cell}",
            basis=pace.basis,
            slow=pace.slow,
            cell=metres_text(ways.shut.area.grid.cell_m),
        )
    )
    if question.going.load_kg > 0.0:
        found.append(
            say(
                "load {load_kg:g} kg: × {carrying_factor:.2f}",
                load_kg=question.going.load_kg,
                carrying_factor=carrying_factor(pace, question.going),
            )
        )
    found.append(
        say(
            "the {most_places} most promising places weighed; a look begins "
            "and ends at their edges, walking between them finds nothing; "
            "usable light is 3.4 lx at the darkest of them under a clear sky, "
            "trees left aside",
            most_places=MOST_PLACES,
        )
    )
    if ways.gates:
        names = ", ".join(gate.passage.name for gate in ways.gates)
        found.append(
            say("passages weighed as to try: {names}; others as they are counted on", names=names)
        )
    if ways.shut.area.why_no_terrain:
        found.append(
            say(
                "past tracks and paths alone: {why_no_terrain}",
                why_no_terrain=ways.shut.area.why_no_terrain,
            )
        )
    return found
