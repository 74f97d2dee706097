"""Walks of a search that go to see whether a passage is open, and go on by what they find."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from backbearing.errors import BadInput
from backbearing.models.searchwalk import (
    LATE_WEIGHT,
    LEAST_GAIN,
    SearchWalk,
    WalkNodes,
    best_walk,
    even_sweep,
    found_in_time,
)

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from backbearing.records import Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TriedWalk:
    """A walk that goes to see whether a passage is open, and goes on by what it finds."""

    before: SearchWalk  # stops before it; ends there
    if_open: SearchWalk  # from the passage on; its times since the passage
    if_shut: SearchWalk
    chance: float  # that it is found, over both
    in_time: float  # the same, in time

    @property
    def value(self) -> float:
        """What it is worth: a find too late counts little."""
        return self.in_time + LATE_WEIGHT * (self.chance - self.in_time)


def walk_trying(
    ground: WalkNodes,
    open_walk_s: Floats,
    passage: int,
    chance_open: float,
    time_s: float,
    *,
    begin: int = 0,
    end: int = 0,
    without: SearchWalk | None = None,
    in_time_s: tuple[Floats, Floats] | None = None,
) -> TriedWalk | None:
    """What is gained on average by going to see whether a passage is open?

    ground: with the passage shut. open_walk_s: (n, n) with it open. passage: the node before it.
    without: the best walk that does not try it, if known already. in_time_s: as for `best_walk`,
    with the passage shut and with it open. The passage is tried at once,
    or after some first stops of that walk; what is found there decides how the rest of the time
    is best spent. None where it cannot be tried in time. Raises BadInput as `best_walk`, and for
    a chance outside 0 … 1.
    """
    if not 0.0 <= chance_open <= 1.0:
        raise BadInput("a chance lies outside 0 to 1", where="passage", remedy="give 0 to 1")
    shut_s, open_s = (None, None) if in_time_s is None else in_time_s
    plain = without or best_walk(ground, time_s, begin=begin, end=end, in_time_s=shut_s)
    best: TriedWalk | None = None
    for stops in range(len(plain.order) + 1):
        last = plain.order[stops - 1] if stops else begin
        so_far_s = plain.arrive_s[stops - 1] + plain.look_s[stops - 1] if stops else 0.0
        at_s = so_far_s + float(ground.walk_s[last, passage])
        left_s = time_s - at_s
        if not left_s >= float(ground.walk_s[passage, end]):
            continue
        rest = plain.gone_through(ground, stops)
        got = float(ground.share.sum() - rest.share.sum())
        opened = WalkNodes(share=rest.share, rate_per_s=rest.rate_per_s, walk_s=open_walk_s)
        if_open, if_shut = (
            best_walk(
                each,
                left_s,
                begin=passage,
                end=end,
                in_time_s=None if until_s is None else until_s - at_s,
            )
            for each, until_s in ((opened, open_s), (rest, shut_s))
        )
        before = SearchWalk(
            order=plain.order[:stops],
            arrive_s=plain.arrive_s[:stops],
            look_s=plain.look_s[:stops],
            chance=got,
            end_s=at_s,
            in_time=got,
        )
        before = replace(before, in_time=found_in_time(ground, before, shut_s))
        odds = (chance_open, 1.0 - chance_open)
        tried = TriedWalk(
            before=before,
            if_open=if_open,
            if_shut=if_shut,
            chance=got + odds[0] * if_open.chance + odds[1] * if_shut.chance,
            in_time=before.in_time + odds[0] * if_open.in_time + odds[1] * if_shut.in_time,
        )
        if best is None or tried.value > best.value + LEAST_GAIN:
            best = tried
    return best


def even_trying(
    nodes: WalkNodes,
    open_walk_s: Floats,
    passage: int,
    chance_open: float,
    size: ArrayLike,
    time_s: float,
    *,
    begin: int = 0,
    end: int = 0,
) -> float:
    """What does an even sweep find that first goes to see whether a passage is open?

    0 where it cannot be tried in time. Fields as for `walk_trying` and `even_sweep`.
    """
    left_s = time_s - float(nodes.walk_s[begin, passage])
    if not left_s >= float(nodes.walk_s[passage, end]):
        return 0.0
    opened = WalkNodes(share=nodes.share, rate_per_s=nodes.rate_per_s, walk_s=open_walk_s)
    if_open, if_shut = (
        even_sweep(each, size, left_s, begin=passage, end=end).chance for each in (opened, nodes)
    )
    return chance_open * if_open + (1.0 - chance_open) * if_shut
