"""The next walk of a search as it is drawn: its ways as lines, its stops by number."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.saying import phrase

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.plans.search.walkanswer import Branch, Line, SearchStop, SearchWalkAnswer

FOR_SUBJECTS = phrase(
    "This is for photographic subjects. For a missing person call the emergency services at once."
)


def branches(walk: SearchWalkAnswer) -> tuple[Branch, ...]:
    """How the walk may end: with the passage open, then shut; one way where none is tried."""
    if walk.trying is not None:
        return walk.trying.if_open, walk.trying.if_shut
    return () if walk.home is None else (walk.home,)


def numbered_stops(walk: SearchWalkAnswer) -> Iterator[tuple[int, SearchStop]]:
    """Every stop with its number: those before the passage, if it is open, if it is shut."""
    stops = [*walk.stops, *(stop for branch in branches(walk) for stop in branch.stops)]
    yield from enumerate(stops, start=1)


def walk_lines(walk: SearchWalkAnswer) -> tuple[Line, ...]:
    """Every way of the walk, as (latitude, longitude) in degrees, that from the start first; none
    is empty."""
    lines = [stop.way for stop in walk.stops]
    if walk.trying is not None:
        lines.append(walk.trying.way)
    for branch in branches(walk):
        lines += [*(stop.way for stop in branch.stops), branch.way_home]
    return tuple(line for line in lines if line)
