"""The next walk of a search as it is asked for in words."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from backbearing.errors import BadInput, quoted
from backbearing.places.clocks import read_clock
from backbearing.places.lengths import read_duration_s, read_length
from backbearing.places.zones import local, zone
from backbearing.plans.approach.asked import refuse_far
from backbearing.plans.outing.asked import TypedDay, camera_setup, starting_place
from backbearing.plans.periods import read_day_to_come
from backbearing.plans.search.afterwards import WalkQuestion
from backbearing.plans.search.likelihood import where_likely
from backbearing.plans.search.limits import SHORTEST_S
from backbearing.plans.search.sought import refuse_sought
from backbearing.plans.search.walk import next_walk
from backbearing.plans.settings import zone_at
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from backbearing.notebook import Notebook
    from backbearing.plans.search.likelihood import Likely
    from backbearing.plans.search.walkanswer import SearchWalkAnswer

LONGEST_S = 16 * 3600.0


def ask_search(
    notebook: Notebook,
    name: str,
    *,
    now: datetime,
    span: str,
    start: str | None = None,
    day: str | None = None,
    leave: str | None = None,
    back_by: str | None = None,
    along: str | None = None,
    width: str | None = None,
    within: str | None = None,
    range_text: str | None = None,
    progress: Callable[[str], None] | None = None,
    **typed: Any,
) -> tuple[SearchWalkAnswer, Likely]:
    """Read what was typed, then plan the walk (see `plans.search.walk.next_walk`); with where the
    subject most likely is, which it goes by.

    span: how long. start: None takes the notebook's setting. leave: None means now, or on another
    day so that the walk is over when the light is. typed: the fields of `TypedDay`. Raises
    BadInput naming the option, NotFound.
    """
    from backbearing.notebook.search import list_looks
    from backbearing.notebook.subjects import find_subject

    asked = TypedDay(**typed)
    subject = find_subject(notebook, name)
    if any(look.found for look in list_looks(notebook, subject.id)):
        raise BadInput(
            say("{subject} was found: its place is on record", subject=quoted(subject.name)),
            where="search",
            remedy=say("'backbearing outing' plans the way there"),
        )
    begin = starting_place(notebook, start)
    refuse_sought(begin, subject, "--start")
    refuse_far(begin.place, subject.place, begin.name, subject.name)
    clock = zone_at(notebook, subject.place)
    today = local(now, clock).date()
    on = today if day is None else read_day_to_come(day, today=today, where="--date")
    time_s = read_duration_s(span, where="--time")
    if not SHORTEST_S <= time_s <= LONGEST_S:
        raise BadInput(
            say(
                "a walk of a search takes {shortest_min:.0f} min to {longest_min:.0f} h",
                shortest_min=SHORTEST_S / 60,
                longest_min=LONGEST_S / 3600,
            ),
            where="--time",
            remedy=say("give a time within that, as '2h30'"),
        )
    leaving = None if leave is None else _instant(on, leave, clock, "--leave")
    if on == today:
        earliest = now.replace(second=0, microsecond=0) + timedelta(minutes=1)
        leaving = earliest if leaving is None else max(leaving, earliest)
    likely = where_likely(
        notebook,
        name,
        along_name=along,
        width_m=None if width is None else read_length(width, where="--width"),
        within_m=None if within is None else read_length(within, where="--within"),
        range_text=range_text,
    )
    setup, lens = camera_setup(notebook, asked.batch, asked.aperture)
    walk = next_walk(
        notebook,
        subject,
        likely,
        WalkQuestion(
            start=begin.place,
            start_name=begin.name,
            time_s=time_s,
            leave=leaving,
            day=on,
            zone=clock,
            back_by=None if back_by is None else _instant(on, back_by, clock, "--back-by"),
            needs=asked.needs(plates=1),
            going=asked.going,
            pace=asked.pace,
            setup=setup,
            lens=lens,
        ),
        progress=progress,
    )
    return walk, likely


def _instant(day: date, text: str, clock: str, where: str) -> datetime:
    return datetime.combine(day, read_clock(text, where=where), tzinfo=zone(clock)).astimezone(UTC)
