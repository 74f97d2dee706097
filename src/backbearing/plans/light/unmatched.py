"""Why a subject has no window, and what letting go of one thing would give."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, floor
from typing import TYPE_CHECKING

from backbearing.models.relaxing import Relaxation, narrowest, relaxations
from backbearing.places.days import short_month, short_weekday
from backbearing.plans.wanted import range_words, wanted_clauses
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.models.wanted import Bools, Condition, SpotMinutes
    from backbearing.records import WantedLight


@dataclass(frozen=True, slots=True, kw_only=True)
class Relaxing:
    """What the period would hold with one condition let go, or two where one does not help."""

    conditions: tuple[str, ...]  # their clauses: "sun 5–25° high"
    windows: int
    first_day: date
    enough: str  # how little would do for one window: "2.3–25°"; '' where it is no range


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmatched:
    """A subject without a window under a clear sky, and what stands in the way."""

    subject: str
    sentence: str
    excludes_most: str  # the clause of the wish; '' where it is not one of the wish's
    relaxing: tuple[Relaxing, ...]  # most windows first


def no_bearing(subject: str) -> Unmatched:
    """The answer where a direction of light is wanted and no bearing is on record."""
    return Unmatched(
        subject=subject,
        sentence=(
            say(
                "no bearing from camera to subject is on record, so where it is "
                "lit from cannot be judged; put one on record, or wish for light "
                "without a direction"
            )
        ),
        excludes_most="",
        relaxing=(),
    )


def no_shade(subject: str) -> Unmatched:
    """The answer where shade is wanted, and nothing on record can throw any."""
    return Unmatched(
        subject=subject,
        sentence=say(
            "shade cannot be worked out without a facing or a skyline; put the "
            "way its face looks on record"
        ),
        excludes_most="",
        relaxing=(),
    )


def why_unmatched(
    subject: str,
    minutes: SpotMinutes,
    found: Sequence[Condition],
    inside: Bools,
    wanted: WantedLight,
    *,
    facing_deg: float | None = None,
) -> Unmatched:
    """Which condition excludes most, and what each, let go in turn, would give."""
    clauses = wanted_clauses(wanted, facing_deg=facing_deg)
    options = relaxations(minutes, found, inside=inside, minimum_min=wanted.minimum_min)
    relaxing = tuple(_relaxing(option, minutes, clauses, wanted) for option in options)
    if relaxing:
        most = relaxing[0]
        named = say(" and ").join(f"'{clause}'" for clause in most.conditions)
        one = len(most.conditions) == 1
        day = (
            f"{short_weekday(most.first_day)} {most.first_day.day} "
            f"{short_month(most.first_day)} {most.first_day.year}"
        )
        sentence = (
            say(
                "{named} excludes most: without it {count}, the first on {day}",
                named=named,
                count=_count(most.windows),
                day=day,
            )
            if one
            else say(
                "{named} exclude most: without both {count}, the first on {day}",
                named=named,
                count=_count(most.windows),
                day=day,
            )
        )
        if most.enough:
            sentence += say("; {enough} would do for one", enough=most.enough)
        return Unmatched(
            subject=subject,
            sentence=sentence,
            excludes_most=say(" and ").join(most.conditions),
            relaxing=relaxing,
        )
    if not inside.any():
        return Unmatched(
            subject=subject,
            sentence=say("nothing is left of the time asked for"),
            excludes_most="",
            relaxing=(),
        )
    return _nothing_helps(subject, minutes, found, inside, clauses)


def _nothing_helps(
    subject: str,
    minutes: SpotMinutes,
    found: Sequence[Condition],
    inside: Bools,
    clauses: dict[str, str],
) -> Unmatched:
    lit = minutes.sunlit[inside]
    excludes = ""
    if not lit.any():
        sentence = say("the sun does not come up over the horizon in this time")
    else:
        least = narrowest(minutes, found, inside=inside)
        sentence = say("no condition let go, nor any two, would give a window")
        if least is not None:
            name, count = least
            excludes = clauses.get(name, name)
            sentence += say(
                "; '{excludes}' is met least, on {count} min of daylight",
                excludes=excludes,
                count=count,
            )
        if lit.all():
            sentence += say("; the sun stays up all the time, so there is no first or last sun")
    return Unmatched(subject=subject, sentence=sentence, excludes_most=excludes, relaxing=())


def _relaxing(
    option: Relaxation,
    minutes: SpotMinutes,
    clauses: dict[str, str],
    wanted: WantedLight,
) -> Relaxing:
    first_day = date(1970, 1, 1) + timedelta(days=int(minutes.day[option.first]))
    if not option.names:
        let_go: tuple[str, ...] = (clauses["minimum length"],)
        enough = f"{option.longest_min or 0.0:.0f} min"
    else:
        let_go = tuple(clauses[name] for name in option.names)
        enough = _enough(option, wanted)
    return Relaxing(conditions=let_go, windows=option.windows, first_day=first_day, enough=enough)


def _enough(option: Relaxation, wanted: WantedLight) -> str:
    """The widened range in the wish's own unit, rounded outwards to whole ones."""
    if option.low is None or option.high is None:
        return ""
    low, high = _outwards(option.low, -1), _outwards(option.high, +1)
    if option.names == ("sun azimuth",) and wanted.sun_azimuth_deg is not None:
        turn = wanted.sun_azimuth_deg[0]
        return f"{(turn + low) % 360.0:g}–{(turn + high) % 360.0:g}°"
    unit = " min" if option.names[0] in ("after first sun", "before last sun") else "°"
    return f"{range_words((low, high))}{unit}"


def _outwards(value: float, sign: int) -> float:
    return float((ceil if sign > 0 else floor)(round(value, 6)))


def _count(windows: int) -> str:
    return (
        say("there is {windows} window", windows=windows)
        if windows == 1
        else say("there are {windows} windows", windows=windows)
    )
