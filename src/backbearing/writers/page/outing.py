"""The outing on the page: its six times for the head, the day line, legs, what is near."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.places.zones import clock_name
from backbearing.saying import say
from backbearing.writers.expose import range_text
from backbearing.writers.lightclocks import best_missed_text
from backbearing.writers.outingwords import (
    deadlines_text,
    does_not_work_text,
    ground_cautions,
    hangs_text,
    near_text,
    next_day_text,
    six_times,
    sun_text,
)
from backbearing.writers.page.dayline import day_line
from backbearing.writers.page.sixtimes import head_times
from backbearing.writers.way import leg_remark, passages_lines
from backbearing.writers.words import clock_on, day_text, duration_text, plus_minus_text

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.outing.answer import OutLeg
    from backbearing.plans.page import ReturnPage


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingWords:
    """The panel in words; `answer` is its sentence."""

    answer: str
    of_best: bool  # whether it is for the light the page leads with
    of_what: str
    best_missed: str  # why one is set up after the best minute; '' where one is not
    head: tuple[tuple[str, str, str], ...]  # the six times with what is needed at a glance
    six: tuple[tuple[str, str, str], ...]  # with all that is to be known of each
    line: str  # SVG
    warnings: tuple[str, ...]
    first: tuple[str, ...]  # of the warnings, those that stand at the head of the page
    out: tuple[tuple[str, ...], ...]  # to, length, usual, slow, pass by, turn back, remark
    back: tuple[tuple[str, ...], ...]  # to, length, usual, slow, light until, remark
    near: tuple[tuple[str, ...], ...]
    passages: tuple[str, ...]  # which are taken, tried or passed by, and what that saves
    rests_on: str
    cautions: tuple[str, ...]  # of the ground first
    other_day: bool  # besides the planned one: without what else is near


def outing_words(page: ReturnPage) -> OutingWords | None:
    """The panel of the page's outing; None where none is planned."""
    return None if page.outing is None else day_words(page, page.outing)


def day_words(page: ReturnPage, outing: OutingAnswer) -> OutingWords:
    """The panel of one outing, the page's own or the same on another day."""
    best, other = page.next_light, outing is not page.outing
    return OutingWords(
        answer=_answer(outing),
        of_best=best is not None
        and (best.subject, best.day) == (outing.subject, outing.window.day),
        of_what=f"{day_text(outing.day)}, {outing.subject}",
        best_missed=best_missed_text(outing),
        head=head_times(outing),
        six=six_times(outing),
        line=day_line(outing, page.calendar, every_width=not other),
        warnings=(*_doubts(outing, other), *_warnings(outing)),
        first=tuple(_doubts(outing, other)),
        out=tuple(
            (
                one.leg.end_name,
                metres_text(one.leg.length_m),
                _clock(outing, one.arrive_usual),
                _clock(outing, one.arrive_slow),
                *_deadlines(outing, one),
                _remark(leg_remark(one.leg), sun_text(one.sun, outing.zone, outing.day)),
            )
            for one in outing.out
        ),
        back=tuple(
            (
                one.leg.end_name,
                metres_text(one.leg.length_m),
                _clock(outing, one.arrive_usual),
                _clock(outing, one.arrive_slow),
                "" if one.usable_until is None else _clock(outing, one.usable_until),
                _remark(leg_remark(one.leg), sun_text(one.sun, outing.zone, outing.day)),
            )
            for one in outing.back
        ),
        near=tuple(
            (
                one.subject,
                near_text(one),
                metres_text(one.distance_m),
                duration_text(one.usual_s),
                f"{_clock(outing, one.begin)}–{_clock(outing, one.end)} "
                f"{plus_minus_text(one.window)}",
                "" if one.exposure is None else range_text(one.exposure),
                say("after it") if one.after else say("in its place"),
            )
            for one in outing.near
        ),
        passages=tuple(passages_lines(outing.way)),
        rests_on="; ".join(outing.rests_on),
        cautions=(*ground_cautions(outing)[:1], *outing.cautions),
        other_day=other,
    )


def _answer(outing: OutingAnswer) -> str:
    times = outing.times
    leave = times.leave_home or times.leave_start
    door = say("home") if times.leave_home is not None else outing.start_name
    limit = (
        ""
        if times.away_by is None
        else say(", away by {away_by}", away_by=_clock(outing, times.away_by))
    )
    return say(
        "{outing_day} to {subject}: leave {door} {leave}, be set up by "
        "{set_up_by}{limit}, back at {start_name} by {back_by}; clock of "
        "{zone}.",
        outing_day=day_text(outing.day),
        subject=outing.subject,
        door=door,
        leave=_clock(outing, leave),
        set_up_by=_clock(outing, times.set_up_by),
        limit=limit,
        start_name=outing.start_name,
        back_by=_clock(outing, times.back_by),
        zone=clock_name(outing.zone),
    )


def _doubts(outing: OutingAnswer, other_day: bool) -> Iterator[str]:
    if not outing.works:  # the next one that does was looked for from the planned day only
        yield f"{does_not_work_text(outing)} {'' if other_day else next_day_text(outing)}".strip()
    if hangs := hangs_text(outing):
        yield say("The day hangs on {hangs}.", hangs=hangs)


def _warnings(outing: OutingAnswer) -> Iterator[str]:
    if outing.window.doubtful:
        yield say(
            "Doubtful light: the window is shorter than twice its ±; it may not be there at all."
        )
    if outing.window.sky == "overcast":
        yield say("This window is one for an overcast sky.")
    yield from ground_cautions(outing)[1:]  # the legs that may slide


def _deadlines(outing: OutingAnswer, leg: OutLeg) -> tuple[str, str]:
    pass_by, turn_back = deadlines_text(outing, leg)
    return pass_by, say("no limit") if leg.turn_back is None else turn_back


def _clock(outing: OutingAnswer, at: datetime) -> str:
    return clock_on(at, outing.zone, outing.day)


def _remark(*parts: str) -> str:
    return "; ".join(part for part in parts if part)
