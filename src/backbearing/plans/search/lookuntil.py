"""Until when to look through the likeliest ground, and where to go then: the end of `likely`'s
one sentence. No walk is laid; `search` does that.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BackbearingError, BadInput
from backbearing.places.clocks import read_clock
from backbearing.places.zones import clock_text, local, zone
from backbearing.plans.approach.asked import refuse_far
from backbearing.plans.light import best_light
from backbearing.plans.outing.asked import TypedDay, camera_setup, starting_place
from backbearing.plans.pace import pace_of
from backbearing.plans.periods import read_day_to_come
from backbearing.plans.search.afterwards import (
    WalkQuestion,
    fallback_from,
    give_up_by,
    to_second,
)
from backbearing.plans.search.limits import day_limits
from backbearing.plans.search.sought import refuse_sought
from backbearing.plans.search.stations import Stations
from backbearing.plans.search.ways import ways_between
from backbearing.plans.settings import start_setting, zone_at
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from datetime import date, time

    from backbearing.notebook import Notebook
    from backbearing.plans.pace import Pace
    from backbearing.plans.search.likelihood import Likely
    from backbearing.plans.search.limits import DayLimits
    from backbearing.plans.search.walkanswer import Fallback
    from backbearing.plans.search.ways import Fields, Ways

DAYS = 30  # looked ahead for the light wished
_MOST_DAYS = 3  # of these worked out
_LEAST_LOOK = timedelta(minutes=5)
_LONGEST_S = 16.0 * 3600.0
NO_START = phrase(
    "until when to look is told with --start PLACE, or once "
    "'backbearing setting start PLACE' says where walks begin"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LookUntil:
    """Until when to look through a stretch on a day, and where to go then."""

    day: date
    today: bool
    zone: str
    start_name: str
    walk_s: float  # from the start to the stretch, at the slow pace
    arrive: datetime  # at the earliest
    until: datetime
    find_by: datetime | None  # to expose it still; None: that day has no light as wished for it
    then: Fallback | None  # None: home
    passage: str = ""  # a doubtful one: the way's only one, or the one that shortens it
    passage_chance: float | None = None  # that it is open
    dearer_s: float | None = None  # more on foot where it is shut; None: no other way is known

    @property
    def words(self) -> str:
        """`look until 15:05, then go to arch`, with the day where it is not today's."""
        on = "" if self.today else say(" on {day}", day=self.day.isoformat())
        goal = say("home") if self.then is None else say("to {subject}", subject=self.then.subject)
        return say(
            "look until {until}{on}, then go {goal}",
            until=clock_text(self.until, self.zone),
            on=on,
            goal=goal,
        )


def with_until(
    notebook: Notebook,
    likely: Likely,
    *,
    now: datetime,
    start: str | None = None,
    day: str | None = None,
    back_by: str | None = None,
) -> Likely:
    """The answer with until when to look and where to go then, or why that cannot be said.

    Raises BadInput for what is typed amiss.
    """
    found = look_until(notebook, likely, now=now, start=start, day=day, back_by=back_by)
    if isinstance(found, str):
        return replace(likely, until_why=found)
    return replace(likely, until=found)


def look_until(
    notebook: Notebook,
    likely: Likely,
    *,
    now: datetime,
    start: str | None = None,
    day: str | None = None,
    back_by: str | None = None,
) -> LookUntil | str:
    """Until when is the likeliest stretch to be looked through, and where does one go then?

    day: None takes today, or the next day with the light wished of the subject. It ends when a
    find can no more be exposed, when the best fallback must be left for, or in time to be home
    before dark or the limit, whichever comes first. Where it cannot be said, why.

    Raises BadInput for what is typed amiss.
    """
    if not likely.stretches or any(look.found for look in likely.looks):
        return ""
    subject = likely.subject
    clock = zone_at(notebook, subject.place)
    today = local(now, clock).date()
    typed = None if day is None else read_day_to_come(day, today=today, where="--date")
    limit = None if back_by is None else read_clock(back_by, where="--back-by")
    if start is None and start_setting(notebook) is None:
        return say(NO_START)
    try:
        begin = starting_place(notebook, start)
        refuse_sought(begin, subject, "--start")
    except BackbearingError as error:
        if start is not None:
            raise
        return unsaid(error.what)
    # what was typed is read: nothing from here on keeps the shares from being told
    try:
        refuse_far(begin.place, subject.place, begin.name, subject.name)
        days = [typed] if typed is not None else _days(notebook, subject.name, now, today)
        setup, lens = camera_setup(notebook, None, None)
        asked = [
            WalkQuestion(
                start=begin.place,
                start_name=begin.name,
                time_s=_LONGEST_S,
                leave=now if on == today else None,
                day=on,
                zone=clock,
                back_by=None if limit is None else _instant(on, limit, clock),
                needs=TypedDay().needs(plates=1),
                setup=setup,
                lens=lens,
            )
            for on in days
        ]
        found = _first(notebook, likely, asked, now)
    except BackbearingError as error:
        return unsaid(error.what)
    if isinstance(found, str):
        return found
    return replace(found, today=found.day == today)


def unsaid(why: str) -> str:
    """The remark in place of until when to look."""
    return say("until when to look cannot be said: {what}", what=why)


def _days(notebook: Notebook, name: str, now: datetime, today: date) -> list[date]:
    light = best_light(
        notebook, [name], start=today, end=today + timedelta(days=DAYS), earliest_at=now
    )
    return sorted({window.day for window in light.windows})[:_MOST_DAYS] or [today]


def _instant(on: date, at: time, clock: str) -> datetime:
    return datetime.combine(on, at, tzinfo=zone(clock)).astimezone(UTC)


def _first(
    notebook: Notebook, likely: Likely, asked: list[WalkQuestion], now: datetime
) -> LookUntil | str:
    """The first of the days on which there is time to look."""
    best = likely.stretches[0]
    near = Stations(
        names=(best.words,),
        latitude_deg=np.array([best.latitude_deg]),
        longitude_deg=np.array([best.longitude_deg]),
        share=np.array([best.share]),
        size_m2=np.array([best.size_m2]),
        seen_chance=np.array([best.seen_chance]),
        sweep_m=np.array([likely.sweep_m]),
    )
    pace = pace_of(notebook, None)
    ways = ways_between(
        notebook,
        asked[0].start,
        asked[0].start_name,
        near,
        on=asked[0].day,
        pace=pace,
        going=asked[0].going,
        limit_s=_LONGEST_S,
        progress=lambda line: None,
    )
    there = _there(ways)
    if there is None:
        return unsaid(say("no way is known from {start_name}", start_name=asked[0].start_name))
    why = ""
    for question in asked:
        try:
            limits = day_limits(notebook, question, near)
        except BadInput as error:  # dark all day
            why = why or unsaid(error.what)
            continue
        found = _on_day(notebook, likely, question, limits, there, pace, now)
        if found is not None:
            return found
        why = say(
            "no time to look on {asked_day}: {out_min:.0f} min on foot from "
            "{start_name}; --date takes another day",
            asked_day=question.day.isoformat(),
            out_min=there.out_s / 60,
            start_name=question.start_name,
        )
    return why


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _There:
    """The way to the stretch and back, and the doubtful passage it hangs on, if any."""

    ways: Ways  # its `shut` the ground that is walked
    out_s: float
    home_s: float
    passage: str = ""
    chance: float | None = None
    dearer_s: float | None = None


def _there(ways: Ways) -> _There | None:
    """By ways that are counted on, else through the doubtful passage that is the only one."""
    if not ways.kept:
        return None
    out_s, home_s = _both(ways.shut)
    gate = min(ways.gates, key=lambda each: sum(_both(each.opened)), default=None)
    if gate is None:
        return _There(ways=ways, out_s=out_s, home_s=home_s) if _known(out_s + home_s) else None
    gate_out_s, gate_home_s = _both(gate.opened)
    if _known(out_s + home_s):
        dearer_s = out_s + home_s - gate_out_s - gate_home_s
        if dearer_s <= 0.0:
            return _There(ways=ways, out_s=out_s, home_s=home_s)
        return _There(
            ways=ways,
            out_s=out_s,
            home_s=home_s,
            passage=gate.passage.name,
            chance=gate.chance,
            dearer_s=dearer_s,
        )
    if not _known(gate_out_s + gate_home_s):
        return None
    return _There(
        ways=replace(ways, shut=gate.opened),
        out_s=gate_out_s,
        home_s=gate_home_s,
        passage=gate.passage.name,
        chance=gate.chance,
    )


def _both(fields: Fields) -> tuple[float, float]:
    return float(fields.slow_s[0, 1]), float(fields.slow_s[1, 0])


def _known(seconds: float) -> bool:
    return bool(np.isfinite(seconds))


def _on_day(
    notebook: Notebook,
    likely: Likely,
    question: WalkQuestion,
    limits: DayLimits,
    there: _There,
    pace: Pace,
    now: datetime,
) -> LookUntil | None:
    """Until when on this day; None where there is no time to look."""
    subject = likely.subject
    leave = max(now, limits.first)
    arrive = leave + timedelta(seconds=there.out_s)
    away_by = limits.home_by - timedelta(seconds=there.home_s)
    give_up = give_up_by(notebook, subject, question, leave, away_by=away_by)
    then = fallback_from(
        notebook,
        subject,
        question,
        there.ways,
        pace,
        [1],
        arrive,
        limits.home_by,
        from_start=False,
    )
    ends = [away_by]
    if give_up is not None:
        ends.append(give_up.found_by)
    if then is not None and then.leave_by - arrive < _LEAST_LOOK:
        then = None  # no time for both
    if then is not None:
        ends.append(then.leave_by)
    if min(ends) - arrive < _LEAST_LOOK:
        return None
    return LookUntil(
        day=question.day,
        today=False,
        zone=question.zone,
        start_name=question.start_name,
        walk_s=there.out_s,
        arrive=to_second(arrive),
        until=to_second(min(ends)),
        find_by=None if give_up is None else give_up.found_by,
        then=then,
        passage=there.passage,
        passage_chance=there.chance,
        dearer_s=there.dearer_s,
    )
