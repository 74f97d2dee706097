"""Passages that are not counted on: what each would save, and which one the way hangs on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.leasttime import least_time
from backbearing.models.passages import worth_trying
from backbearing.plans.approach.gates import TRUSTED_CHANCE, disc, shut_reach, spot_of
from backbearing.plans.passages import last_found_text
from backbearing.records import OtherPassage, PassageOffer, PassageUse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from backbearing.models.leasttime import Ground, LeastTime
    from backbearing.plans.approach.ground import Area
    from backbearing.plans.pace import Pace
    from backbearing.records import Floats, Leg, Passage

LEAST_SAVED_S = 60.0  # less than this is not worth a word
BEFORE_IT = 1.5  # cells: so near to a shut passage's ground one sees whether it is open


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubtful:
    """A passage that is shut as it is counted on, and the way by it if it were open."""

    passage: Passage
    chance: float
    by_s: float  # from start to end through it; inf where it leads nowhere
    check_s: float  # from start to end by way of where one sees it, without going through


def doubtful(
    area: Area,
    ground: Ground,
    out: LeastTime,
    end: tuple[int, int],
    pace: Pace,
) -> list[Doubtful]:
    """What would each passage that is shut, but may be open, make of the way out?

    out: least times from the start over `ground`, on which these passages are shut. end: the cell
    the way leads to, reached or not. Costs one more field of least times, and none where no such
    passage is near.

    Method: the least sum of the time to a cell on one side of the passage, across it in a straight
    line, and on from a cell on the other side.
    """
    shut = [
        (passage, chance)
        for passage, chance in area.passages
        if chance > 0.0 and passage.id not in area.opened
    ]
    usual_s = float(out.seconds[end])
    near = []
    for passage, chance in shut:
        spot = spot_of(area.grid, passage)
        round_it = disc(area.shut.shape, spot, shut_reach(area.grid, passage) + BEFORE_IT)
        if np.isfinite(out.seconds[round_it]).any() and out.seconds[round_it].min() < usual_s:
            near.append((passage, chance, np.argwhere(round_it & ~ground.closed)))
    if not near:
        return []
    limit_s = 2.0 * usual_s if np.isfinite(usual_s) else np.inf
    on = least_time(ground, end, pace.usual_s_per_m, towards=True, limit_s=limit_s)
    found = []
    for passage, chance, cells in near:
        to_s = out.seconds[cells[:, 0], cells[:, 1]]
        from_s = on.seconds[cells[:, 0], cells[:, 1]]
        across_s = _across_s(ground, cells, pace)
        found.append(
            Doubtful(
                passage=passage,
                chance=chance,
                by_s=float((to_s[:, None] + across_s + from_s[None, :]).min()),
                check_s=float((to_s + from_s).min()),
            )
        )
    return found


def offers(found: Sequence[Doubtful], usual_s: float) -> tuple[PassageOffer, ...]:
    """Which of them are worth going to see, where the way takes `usual_s` without? Best first."""
    made = []
    for each in found:
        saved_s = usual_s - each.by_s
        check_s = max(0.0, each.check_s - usual_s)
        if saved_s < LEAST_SAVED_S:
            continue
        gain_s = worth_trying(each.chance, check_s, saved_s, lost_s=check_s)
        if gain_s > 0.0:
            made.append(
                PassageOffer(
                    name=each.passage.name,
                    kind=each.passage.kind,
                    chance=each.chance,
                    last_found=last_found_text(each.passage),
                    check_s=check_s,
                    saved_s=saved_s,
                    gain_s=gain_s,
                )
            )
    return tuple(sorted(made, key=lambda offer: -offer.gain_s))


def likeliest(found: Sequence[Doubtful]) -> list[Doubtful]:
    """Those that would make a way where there is none, by time for their chance, best first."""
    leading = [each for each in found if np.isfinite(each.by_s)]
    return sorted(leading, key=lambda each: each.by_s / each.chance)


def uses(area: Area, legs: Sequence[Leg], others: Sequence[Doubtful]) -> tuple[PassageUse, ...]:
    """The passages that legs go by, in the order they come; others: what else there would be."""
    names = dict.fromkeys(name for leg in legs for name in leg.passages)
    by_name = {passage.name: (passage, chance) for passage, chance in area.passages}
    found = []
    for name in names:
        passage, chance = by_name[name]
        sure = chance >= TRUSTED_CHANCE
        found.append(
            PassageUse(
                name=name,
                kind=passage.kind,
                chance=chance,
                last_found=last_found_text(passage),
                trusted=sure,
                others=() if sure else _others(passage, others),
            )
        )
    return tuple(found)


def _others(passage: Passage, found: Sequence[Doubtful]) -> tuple[OtherPassage, ...]:
    by_s = next((one.by_s for one in found if one.passage.id == passage.id), np.inf)
    return tuple(
        OtherPassage(name=one.passage.name, chance=one.chance, longer_s=one.by_s - by_s)
        for one in found
        if one.passage.id != passage.id and np.isfinite(by_s)
    )


def _across_s(ground: Ground, cells: NDArray[np.int64], pace: Pace) -> Floats:
    """Seconds in a straight line from each of some cells (n, 2) to each other one: (n, n)."""
    row, column = cells[:, 0], cells[:, 1]
    down = np.subtract.outer(row, row).T * ground.cell_y_m
    right = np.subtract.outer(column, column).T * ground.cell_x_m
    length_m = np.hypot(down, right)
    height_m, slower = ground.height_m[row, column], ground.slower[row, column]
    rise_m = np.subtract.outer(height_m, height_m).T
    slope = np.divide(rise_m, length_m, out=np.zeros_like(rise_m), where=length_m > 0.0)
    mean = np.add.outer(slower, slower) / 2.0
    return np.asarray(length_m * mean * pace.usual_s_per_m(slope))
