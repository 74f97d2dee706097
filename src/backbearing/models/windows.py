"""Light windows: the contiguous times in which every condition holds, at whole minutes.

A window runs from its first to its last whole minute, both of which meet everything: it is
rounded inwards and never promises light that is not there. Runs of a day and longer (polar
day, or a wish that hardly asks for anything) are cut at local midnight.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.edges import edge_off_deg, minutes_off, refraction_error_deg
from backbearing.models.sunlight import skyline_altitude_deg
from backbearing.models.wanted import FACE_BEST_DEG

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from backbearing.models.wanted import Bools, Condition, Ints, SpotMinutes
    from backbearing.records import Floats

_USEFUL_LENGTH_MIN = 30.0  # half of the length's share in the score
_SUN_WELL_UP_DEG = 2.0  # lower, the disc may be behind grass, haze or a swell; common practice
_WORTH_OF_SURE, _WORTH_OF_WELL_UP = 4.0, 2.0  # each more than any comfort


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Windows:
    """Windows in order of time: arrays of one length, indices into the spot's minutes.

    score, 0 … 1, is for putting windows in order and nothing else: seven parts for how far
    inside every range the best minute lies (the tightest range counts), three for length
    (half of them at 30 minutes), the whole made smaller as the error nears the length.
    """

    start: Ints
    best: Ints
    end: Ints
    plus_minus_min: Floats
    score: Floats


def find_windows(
    minutes: SpotMinutes,
    found: Sequence[Condition],
    *,
    inside: Bools,
    begins: Bools | None = None,
    minimum_min: float,
    bearing_error_deg: float = 0.0,
    facing_error_deg: float = 0.0,
) -> Windows:
    """When all conditions hold together for long enough, the best minute, and how sure.

    minutes, found: one spot's minutes and the conditions over them. inside: which minutes
    a window may hold (the arrays may reach beyond them). begins: which of them it may begin at;
    None: all. minimum_min: shorter windows are left out [minutes]. bearing_error_deg,
    facing_error_deg: 95 % errors of the camera bearing and of the way the face looks.
    Returns windows in order of time, never overlapping. The best minute lies at least the
    error inside both ends where the window has room for that, and then where the sun stands
    2° up or more, if it does so at all and nobody asked for it below the horizon.
    """
    mask = all_met(found, inside)
    start, end = runs(mask, minutes.day)
    kept = end - start >= minimum_min
    if begins is not None:
        kept &= begins[start]
    start, end = start[kept], end[kept]
    if not len(start):
        none: Floats = np.empty(0)
        return Windows(start=start, best=start, end=end, plus_minus_min=none, score=none)
    errors_deg = (bearing_error_deg, facing_error_deg)
    plus_minus = np.maximum(
        _edge_error_min(minutes, found, start, start - 1, inside, errors_deg),
        _edge_error_min(minutes, found, end, end + 1, inside, errors_deg),
    )
    best, comfort = _best_minutes(minutes, found, start, end, np.ceil(plus_minus))
    length = (end - start).astype(np.float64)
    score = 0.7 * comfort + 0.3 * length / (length + _USEFUL_LENGTH_MIN)
    score *= (length + 1.0) / (length + 1.0 + plus_minus)
    return Windows(start=start, best=best, end=end, plus_minus_min=plus_minus, score=score)


def all_met(found: Sequence[Condition], inside: Bools) -> Bools:
    """Which minutes inside the period meet every condition."""
    mask = inside.copy()
    for condition in found:
        mask &= condition.met
    return mask


def runs(mask: Bools, day: Ints) -> tuple[Ints, Ints]:
    """First and last index of each run of True; runs over a day long are cut at local midnight."""
    padded = np.zeros(len(mask) + 2, dtype=np.int8)
    padded[1:-1] = mask
    step = np.diff(padded)
    start, end = np.flatnonzero(step == 1), np.flatnonzero(step == -1) - 1
    long = end - start >= 1440
    if not long.any():
        return start, end
    midnights = np.flatnonzero(np.diff(day)) + 1
    which = np.searchsorted(start, midnights, side="right") - 1
    cut = midnights[
        (which >= 0) & long[which] & (midnights > start[which]) & (midnights <= end[which])
    ]
    return np.sort(np.concatenate([start, cut])), np.sort(np.concatenate([end, cut - 1]))


def holds_at(found: Sequence[Condition], minute: int) -> bool:
    """Whether every condition is met at one minute."""
    return all(condition.met[minute] for condition in found)


def every_minute(start: Ints, end: Ints) -> tuple[Ints, Ints]:
    """The indices of all windows' minutes in a row, and where in it each window begins."""
    length = end - start + 1
    first: Ints = np.cumsum(length) - length
    return np.arange(int(length.sum())) - np.repeat(first - start, length), first


def binding(found: Sequence[Condition], outside: int) -> tuple[Condition, ...]:
    """The conditions that fail at the minute just outside a window: what its edge is made by.

    Empty at the edge of the period, or where a long run was only cut at midnight.
    """
    if not found or not 0 <= outside < len(found[0].met):
        return ()
    return tuple(c for c in found if not c.met[outside])


def _best_minutes(
    minutes: SpotMinutes, found: Sequence[Condition], start: Ints, end: Ints, error_min: Floats
) -> tuple[Ints, Floats]:
    """The minute of each window farthest inside all its ranges, and how far (0 … 1).

    Minutes surely inside (by the error of its ends) come first, then those with the sun well
    up. Among equals the one nearest the middle, so that being early or late costs least.
    """
    length = end - start + 1
    index, first = every_minute(start, end)
    comfort = np.ones(len(index))
    for condition in found:
        np.minimum(comfort, _comfort(condition, index), out=comfort)
    middle = np.repeat((start + end) / 2.0, length)
    half = np.repeat(length / 2.0, length)
    choice = comfort + 1e-3 * (1.0 - np.abs(index - middle) / half)
    from_end = np.minimum(index - np.repeat(start, length), np.repeat(end, length) - index)
    # where the window has no room for its error, only its middle is as sure as can be
    room_min = np.minimum(error_min, (end - start) // 2)
    choice += _WORTH_OF_SURE * (from_end >= np.repeat(room_min, length))
    if not any(c.name == "sun height" and c.low < 0.0 for c in found):
        choice += _WORTH_OF_WELL_UP * (minutes.altitude_deg[index] >= _SUN_WELL_UP_DEG)
    top = np.maximum.reduceat(choice, first)
    at = np.flatnonzero(choice == np.repeat(top, length))
    window = np.searchsorted(first, at, side="right") - 1
    chosen = at[np.flatnonzero(np.diff(window, prepend=-1))]
    return index[chosen], comfort[chosen]


def _comfort(condition: Condition, index: Ints) -> Floats:
    """How far inside its range a condition lies: 0 on the edge, 1 where it is best.

    That is farthest from both edges, unless the condition says where.
    """
    if condition.name == "direct sun" and condition.incidence_deg is not None:
        return _comfort_on_face(condition.incidence_deg[index])
    width = condition.high - condition.low
    if condition.value is None or width <= 0.0:
        return np.ones(len(index))
    value = condition.value[index]
    if condition.best is not None:
        first, last = condition.best
        risen = (value - condition.low) / (first - condition.low)
        fallen = (condition.high - value) / (condition.high - last)
        return np.clip(np.minimum(risen, fallen), 0.0, 1.0)
    from_low, from_high = (value - condition.low) / width, (condition.high - value) / width
    if condition.edge_low and condition.edge_high:
        return np.clip(2.0 * np.minimum(from_low, from_high), 0.0, 1.0)
    if condition.edge_low or condition.edge_high:
        return np.clip(from_low if condition.edge_low else from_high, 0.0, 1.0)
    return np.ones(len(index))


def _comfort_on_face(incidence_deg: Floats) -> Floats:
    """1 where the sun models a face best, half where it stands square to it, 0 where it leaves."""
    return np.interp(incidence_deg, (0.0, *FACE_BEST_DEG, 90.0), (0.5, 1.0, 1.0, 0.0))


# ---------------------------------------------------------------- how sure


def _edge_error_min(
    minutes: SpotMinutes,
    found: Sequence[Condition],
    edge: Ints,
    outside: Ints,
    inside: Bools,
    errors_deg: tuple[float, float],
) -> Floats:
    """95 % error of each window's edge, from the conditions that make it [minutes].

    An edge made by the clock or the period is exact; one made by the sun is never better than
    a minute.
    """
    error = np.zeros(len(edge))
    reachable = (outside >= 0) & (outside < len(inside))
    outside = np.clip(outside, 0, len(inside) - 1)
    reachable &= inside[outside]
    for condition in found:
        bound = reachable & ~condition.met[outside]
        if bound.any():
            own = _condition_error_min(minutes, condition, edge[bound], outside[bound], errors_deg)
            error[bound] = np.maximum(error[bound], own)
    return error


def _condition_error_min(
    minutes: SpotMinutes,
    condition: Condition,
    edge: Ints,
    outside: Ints,
    errors_deg: tuple[float, float],
) -> NDArray[np.float64]:
    bearing_error_deg, facing_error_deg = errors_deg
    if condition.name in ("months", "weekdays", "clock"):
        return np.zeros(len(edge))
    if condition.name == "lit from":
        rate = np.abs(_per_minute(minutes.azimuth_deg, edge, turn=360.0))
        error_deg = np.full(len(edge), bearing_error_deg)
    elif condition.name == "sun azimuth":
        return np.ones(len(edge))
    else:
        at = edge
        if condition.value is not None and condition.name != "sun height":
            # counted from first sun or to last sun: its error is the event's own
            sign = -1 if condition.name == "after first sun" else 1
            at = np.clip(
                edge + sign * np.rint(condition.value[edge]).astype(np.int64),
                0,
                len(minutes.time) - 1,
            )
        rate = np.abs(_per_minute(minutes.altitude_deg, at))
        error_deg = refraction_error_deg(minutes.altitude_deg[at])
        if condition.name != "sun height":
            rate = _along_skyline(minutes, at, rate)
            error_deg = edge_off_deg(
                minutes.skyline,
                minutes.skyline_error_deg,
                minutes.azimuth_deg[at],
                minutes.altitude_deg[at],
            )
        if condition.incidence_deg is not None:
            by_face = made_by_face(condition, edge, outside)
            turn = np.abs(_per_minute(minutes.azimuth_deg, at, turn=360.0))
            rate = np.where(by_face, turn, rate)
            error_deg = np.where(by_face, facing_error_deg, error_deg)
    return minutes_off(error_deg, rate)


def _along_skyline(minutes: SpotMinutes, at: Ints, rate: Floats) -> Floats:
    """The sun's rate over the skyline [°/min], in place of the one over a plain."""
    if minutes.skyline is None or minutes.skyline_error_deg is None:
        return rate
    over = [
        minutes.altitude_deg[i] - skyline_altitude_deg(minutes.skyline, minutes.azimuth_deg[i])
        for i in (np.maximum(at - 1, 0), np.minimum(at + 1, len(minutes.time) - 1))
    ]
    return np.abs(over[1] - over[0]) / 2.0


def made_by_face(condition: Condition, edge: Ints, outside: Ints) -> Bools:
    """Whether it is the sun's coming on to the face, or leaving it, that makes these edges.

    condition: of sun or shade. edge: the last minutes that meet it; outside: those beyond.
    False everywhere without a facing.
    """
    if condition.incidence_deg is None:
        return np.zeros(np.shape(edge), dtype=np.bool_)
    off = condition.incidence_deg
    return np.asarray((off[edge] < 90.0) != (off[outside] < 90.0))


def _per_minute(angle_deg: Floats, index: Ints, turn: float | None = None) -> Floats:
    """Change of an angle over the minute after (at the end: before) each index."""
    at = np.clip(index, 0, len(angle_deg) - 2)
    change = angle_deg[at + 1] - angle_deg[at]
    if turn is not None:
        change = (change + turn / 2.0) % turn - turn / 2.0
    return np.asarray(change)
