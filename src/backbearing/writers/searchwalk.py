"""The next walk of a search in words: what it promises, its stops, when to stop and where to go."""

from __future__ import annotations

from datetime import timedelta
from textwrap import fill
from typing import TYPE_CHECKING

from backbearing.places.zones import clock_name, clock_text
from backbearing.plans.searchlines import numbered_stops
from backbearing.saying import say
from backbearing.writers.text import clean, table
from backbearing.writers.words import chance_text, day_text, duration_text, plus_minus_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from backbearing.plans.search.walkanswer import Branch, SearchStop, SearchWalkAnswer

_WIDE = 100
_A_MINUTE = timedelta(minutes=1)
_POINTS = 6  # of the curve
_A_HALF_POINT = 0.005  # of chance


def search_walk_text(answer: SearchWalkAnswer) -> str:
    """The walk on one screen."""
    return "\n".join(_lines(answer))


def until_text(answer: SearchWalkAnswer) -> str:
    """The sentence that ends a look: 'look until 15:05, then go to the arch'; '' without one."""
    found = answer.fallback
    if found is None or answer.look_until is None:
        return ""
    first = min((stop.arrive for _, stop in numbered_stops(answer)), default=None)
    if first is not None and answer.look_until <= first:
        return say(
            "No time for both: {subject}, {walk} on foot, has light "
            "{start}–{end} {plus_minus}, and is to be left for by {leave_by}, "
            "before the first place is reached.",
            subject=found.subject,
            walk=duration_text(found.walk_s),
            start=_clock(answer, found.window.start),
            end=_clock(answer, found.window.end),
            plus_minus=plus_minus_text(found.window),
            leave_by=_clock(answer, found.leave_by),
        )
    chance = answer.chance_by_then
    by_then = "" if chance is None else say(" (found by then with {small})", small=_small(chance))
    begin = say(
        "Look until {look_until}{by_then}, then go to {subject}: ",
        look_until=_clock(answer, answer.look_until),
        by_then=by_then,
        subject=found.subject,
    )
    if answer.look_until < found.leave_by:
        begin = say(
            "Look to the end, till {look_until}; not found, go to {subject} by {leave_by}: ",
            look_until=_clock(answer, answer.look_until),
            subject=found.subject,
            leave_by=_clock(answer, found.leave_by),
        )
    return say(
        "{begin}{walk} on foot, light {start}–{end} {plus_minus}.",
        begin=begin,
        walk=duration_text(found.walk_s),
        start=_clock(answer, found.window.start),
        end=_clock(answer, found.window.end),
        plus_minus=plus_minus_text(found.window),
    )


def late_text(answer: SearchWalkAnswer, stop: SearchStop) -> str:
    """What comes too late after this stop; '' where a find at its end is exposed still."""
    late = []
    if stop.too_late:
        late.append(say("too late to expose"))
    elif stop.expose_by is not None and stop.leave > stop.expose_by:
        late.append(
            say("to expose, find it by {expose_by}", expose_by=_clock(answer, stop.expose_by))
        )
    if answer.fallback is not None and stop.leave > answer.fallback.leave_by:
        late.append(say("too late for {subject} then", subject=answer.fallback.subject))
    return "; ".join(late)


def found_text(answer: SearchWalkAnswer) -> str:
    """How likely it is found in time to be exposed, where that is not the same as found at all,
    and by when one is back then; '' where that is at no place possible."""
    says = []
    in_time = answer.chance_in_time
    if in_time is not None and answer.chance - in_time >= _A_HALF_POINT:
        says.append(
            say(
                "In time to be exposed it is found with {in_time}; that comes first, the rest of "
                "the walk is to put it on record.",
                in_time=_small(in_time),
            )
        )
    if answer.back_if_found is not None:
        says.append(
            say(
                "Found, set up, exposed and packed, it is back by {back_if_found} at the latest.",
                back_if_found=_clock(answer, answer.back_if_found),
            )
        )
    return " ".join(says)


def give_up_text(answer: SearchWalkAnswer) -> str:
    """By when it must be found to be exposed still."""
    if answer.give_up is None:
        return say(
            "No light as wanted is left at {subject} that day: found, it is put on record.",
            subject=answer.subject,
        )
    found = answer.give_up
    by = last_find(answer)
    if by is not None and by < found.found_by:
        return say(
            "Found anywhere on this walk, by {found_by} at the latest, it can be set up ({set_up}) "
            "and exposed ({exposing}) in the light until {end} {plus_minus}.",
            found_by=_clock(answer, by),
            set_up=duration_text(found.set_up_s),
            exposing=duration_text(max(found.exposing_s, 60.0)),
            end=_clock(answer, found.window.end),
            plus_minus=plus_minus_text(found.window),
        )
    busy = timedelta(seconds=found.set_up_s + found.exposing_s)
    closes = found.window.end - timedelta(minutes=found.window.plus_minus_min)
    home = say(", and to be back in time") if closes - busy - found.found_by > _A_MINUTE else ""
    return say(
        "Find it by {found_by} to set up ({set_up}) and expose "
        "({exposing}) in the light until {end} {plus_minus}{home}.",
        found_by=_clock(answer, found.found_by),
        set_up=duration_text(found.set_up_s),
        exposing=duration_text(max(found.exposing_s, 60.0)),
        end=_clock(answer, found.window.end),
        plus_minus=plus_minus_text(found.window),
        home=home,
    )


def last_back(answer: SearchWalkAnswer) -> datetime:
    """By when one is back at the start where it is not found."""
    if answer.trying is not None:
        return max(answer.trying.if_open.back, answer.trying.if_shut.back)
    return answer.back_limit if answer.home is None else answer.home.back


def last_find(answer: SearchWalkAnswer) -> datetime | None:
    """By when this walk must find it for a photograph still: before its last look is over."""
    if answer.give_up is None:
        return None
    ends = [stop.leave for _, stop in numbered_stops(answer)]
    return min([answer.give_up.found_by, *([max(ends)] if ends else [])])


def even_text(answer: SearchWalkAnswer) -> str:
    """By how much the walk beats an even sweep, and that it is no proven optimum."""
    more = answer.chance - answer.even_chance
    beats = (
        say("{more:.0f} points more than an even sweep of equal length", more=more * 100.0)
        if more >= _A_HALF_POINT
        else say("no more than an even sweep of equal length")
    )
    return (
        say(
            "A good walk, not a proven optimum: {beats} ({even_chance}; nearest place next, each "
            "looked through alike).",
            beats=beats,
            even_chance=chance_text(answer.even_chance),
        )
        if answer.trying is None
        else say(
            "A good walk, not a proven optimum: {beats} ({even_chance}; nearest place next, each "
            "looked through alike, the passage tried where that finds more).",
            beats=beats,
            even_chance=chance_text(answer.even_chance),
        )
    )


def _lines(answer: SearchWalkAnswer) -> Iterator[str]:
    last = last_back(answer)
    if answer.missing:
        yield fill(clean(answer.missing), _WIDE)
        yield ""
    yield clean(
        say(
            "Looking for {subject} from {start_name}, {day}: leave {leave}, "
            "back by {last} at the slow pace ({limited_by} ends it at "
            "{back_limit}; times by {zone}).",
            subject=answer.subject,
            start_name=answer.start_name,
            day=day_text(answer.day),
            leave=_clock(answer, answer.leave),
            last=_clock(answer, last),
            limited_by=answer.limited_by,
            back_limit=_clock(answer, answer.back_limit),
            zone=clock_name(answer.zone),
        )
    )
    yield say("This walk finds it with a chance of {chance}.", chance=chance_text(answer.chance))
    yield fill(even_text(answer), _WIDE)
    for words in (until_text(answer), give_up_text(answer), found_text(answer)):
        if words:
            yield fill(clean(words), _WIDE)
    if answer.stops:
        yield ""
        yield _table(answer, answer.stops)
    if answer.trying is not None:
        trying = answer.trying
        yield ""
        yield fill(
            clean(
                say(
                    "{at}  Go and see {trying}: chance open {chance_open}, "
                    "{last_found}; {walk} on foot.",
                    at=_clock(answer, trying.at),
                    trying=trying.name,
                    chance_open=chance_text(trying.chance_open),
                    last_found=trying.last_found,
                    walk=duration_text(trying.walk_s),
                )
            ),
            _WIDE,
        )
        for words, branch in ((say("open"), trying.if_open), (say("shut"), trying.if_shut)):
            yield ""
            yield say("If it is {words}:", words=words)
            if branch.stops:
                yield _table(answer, branch.stops)
            yield _home(answer, branch)
        if answer.chance_without_trying is not None:
            yield ""
            chance = chance_text(answer.chance_without_trying)
            yield say("Without trying it the best walk finds with {chance}.", chance=chance)
    elif answer.home is not None:
        yield _home(answer, answer.home)
    yield ""
    yield say("Chance it is found by then: {curve}.", curve=_curve(answer))
    yield fill(
        say(
            "Before this walk it is on this ground with {here} ({small} at "
            "places too far or too slight for it), elsewhere with {elsewhere}, "
            "gone with {gone}.",
            here=chance_text(answer.here),
            small=_small(answer.not_reached),
            elsewhere=chance_text(answer.elsewhere),
            gone=chance_text(answer.gone),
        ),
        _WIDE,
    )
    for remark in answer.remarks:
        yield fill(clean(f"{remark[:1].upper()}{remark[1:]}."), _WIDE)
    yield ""
    yield say("Rests on:")
    for words in answer.rests_on:
        yield fill(clean(words), _WIDE, initial_indent="  ", subsequent_indent="    ")
    for words in answer.cautions:
        yield fill(clean(words), _WIDE)


def _table(answer: SearchWalkAnswer, stops: Sequence[SearchStop]) -> str:
    rows = [
        [
            duration_text(stop.walk_s),
            _clock(answer, stop.arrive),
            stop.name,
            duration_text(stop.look_s),
            _clock(answer, stop.leave),
            chance_text(stop.share),
            chance_text(stop.chance_seen),
            chance_text(stop.chance_so_far),
            late_text(answer, stop),
        ]
        for stop in stops
    ]
    head = [
        say("walk"),
        say("there"),
        say("look through"),
        say("for"),
        say("leave"),
        say("share"),
        say("I would see it"),
        say("so far"),
        "",
    ]
    return table(head, rows, right=[0, 1, 3, 4, 5, 6, 7])


def _home(answer: SearchWalkAnswer, branch: Branch) -> str:
    return say(
        "Then {home} back, at the start by {back}.",
        home=duration_text(branch.home_s),
        back=_clock(answer, branch.back),
    )


def _curve(answer: SearchWalkAnswer) -> str:
    every = max(1, round((len(answer.curve) - 1) / _POINTS))
    points = [*answer.curve[every:-1:every], answer.curve[-1]]
    return ", ".join(f"{_clock(answer, point.at)} {_small(point.chance)}" for point in points)


def _small(chance: float) -> str:
    """`0 %` is said of what is less than half of one."""
    return "0 %" if chance < _A_HALF_POINT else chance_text(chance)


def _clock(answer: SearchWalkAnswer, at: datetime) -> str:
    return clock_text(at, answer.zone)
