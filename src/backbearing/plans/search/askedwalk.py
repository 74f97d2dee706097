"""The next walk of a search as it is asked for in words."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, cast

from backbearing.errors import BadInput
from backbearing.places.clocks import read_clock
from backbearing.places.lengths import read_duration_s, read_length
from backbearing.places.zones import local, zone
from backbearing.plans.approach import Going
from backbearing.plans.approach.asked import refuse_far
from backbearing.plans.outing.asked import starting_place
from backbearing.plans.outing.day import DARK_CLOTH_SET_UP_S, SET_UP_S, Needs
from backbearing.plans.periods import read_coming_day
from backbearing.plans.search.afterwards import WalkQuestion
from backbearing.plans.search.likelihood import where_likely
from backbearing.plans.search.walk import SHORTEST_S, next_walk
from backbearing.plans.settings import zone_at

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from backbearing.models.walking import Snow
    from backbearing.notebook import Notebook
    from backbearing.plans.expose.seconds import Setup
    from backbearing.plans.search.walkanswer import SearchWalkAnswer

LONGEST_S = 16 * 3600.0


def ask_search_walk(
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
    seen_at: str = "15 m",
    set_up: str | None = None,
    dark_cloth: bool = False,
    plates: int = 1,
    exposure: str | None = None,
    batch: str | None = None,
    aperture: str | None = None,
    margin: str | None = None,
    pace: str | None = None,
    snow: str = "none",
    load_kg: float = 0.0,
    steepest_deg: float = 40.0,
    steep_snow: bool = False,
    wade: bool = False,
    progress: Callable[[str], None] | None = None,
) -> SearchWalkAnswer:
    """Read what was typed, then plan the walk (see `plans.search.walk.next_walk`).

    span: how long. start: None takes the notebook's setting. leave: None means now, or on another
    day so that the walk is over when the light is. Raises BadInput naming the option, NotFound.
    """
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    begin = starting_place(notebook, start)
    refuse_far(begin.place, subject.place, begin.name, subject.name)
    clock = zone_at(notebook, subject.place)
    today = local(now, clock).date()
    on = today if day is None else read_coming_day(day, today=today, where="--date")
    time_s = _span_s(span, "--time")
    if not SHORTEST_S <= time_s <= LONGEST_S:
        raise BadInput(
            f"a walk of a search takes {SHORTEST_S / 60:.0f} min to {LONGEST_S / 3600:.0f} h",
            where="--time",
            remedy="give a time within that, as '2h30'",
        )
    leaving = None if leave is None else _instant(on, leave, clock, "--leave")
    if on == today:
        earliest = now.replace(second=0, microsecond=0) + timedelta(minutes=1)
        leaving = earliest if leaving is None else max(leaving, earliest)
    range_m = read_length(seen_at, where="--seen-at", most_m=500.0)
    likely = where_likely(
        notebook,
        name,
        along_name=along,
        width_m=None if width is None else read_length(width, where="--width"),
        within_m=None if within is None else read_length(within, where="--within"),
        range_m=range_m,
    )
    set_up_s = DARK_CLOTH_SET_UP_S if dark_cloth else SET_UP_S
    return next_walk(
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
            needs=Needs(
                set_up_s=set_up_s if set_up is None else _span_s(set_up, "--set-up"),
                plates=plates,
                exposure_s=None if exposure is None else _span_s(exposure, "--exposure"),
                margin_s=None if margin is None else _span_s(margin, "--margin"),
            ),
            going=Going(
                snow=cast("Snow", snow),
                load_kg=load_kg,
                steepest_deg=steepest_deg,
                steep_snow=steep_snow,
                wade=wade,
            ),
            pace=pace,
            setup=_setup(notebook, batch, aperture),
            range_m=range_m,
        ),
        progress=progress,
    )


def _span_s(text: str, where: str) -> float:
    seconds = read_duration_s(text, where=where)
    if seconds > 24 * 3600.0:
        raise BadInput("that is longer than a day", where=where, remedy="give less than 24 h")
    return seconds


def _instant(day: date, text: str, clock: str, where: str) -> datetime:
    return datetime.combine(day, read_clock(text, where=where), tzinfo=zone(clock)).astimezone(UTC)


def _setup(notebook: Notebook, batch: str | None, aperture: str | None) -> Setup | None:
    """What the camera is set to, where a batch is named; an aperture alone takes the only batch."""
    if batch is None and aperture is None:
        return None
    from backbearing.places.apertures import f_number
    from backbearing.plans.expose.choosing import batch_to_use
    from backbearing.plans.expose.seconds import setup

    taken = batch_to_use(notebook, batch)
    assert taken is not None  # noqa: S101 - it has raised
    return setup(taken, f_number(aperture or "16", None, where="--aperture").f_number)
