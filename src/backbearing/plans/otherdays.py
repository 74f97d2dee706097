"""What a page holds of days other than the planned one: the same outing, and seconds.

the page ──► days held: the near ones, those listed, one of each week of the year
                 │
                 ├─► the planned outing in each one's light
                 └─► exposures through each one's light, for every subject that can be chosen
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from backbearing.places.zones import day_bounds
from backbearing.plans.exposeddays import ExposedDay, exposed_days
from backbearing.plans.lightcalendar import NEAR_DAYS, WEEK

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.page import ReturnPage

_BEFORE = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherDays:
    """Days of a page besides the planned one."""

    exposed: tuple[tuple[ExposedDay, ...], ...]  # of each subject of the page's `chosen`
    outings: tuple[OutingAnswer, ...]  # to the planned subject


def held_days(page: ReturnPage) -> tuple[tuple[int, ...], ...]:
    """The days a page holds seconds of, by the calendar of each subject that can be chosen.

    The days listed; of the subject that leads and of the planned one the near days too, and one
    of each week of the year.
    """
    planned = page.outing.subject if page.outing else ""
    found = []
    for number, year in enumerate(page.chosen):
        every = year.calendar.every
        name = year.calendar.subject
        listed = next((each.windows for each in page.subjects if each.subject.name == name), ())
        days = {(window.day - page.start).days for window in listed}
        if number == 0 or name == planned:
            days |= {*range(NEAR_DAYS), *range(0, len(every), WEEK)}
        found.append(tuple(sorted(day for day in days if 0 <= day < len(every))))
    return tuple(found)


def other_days(
    notebook: Notebook,
    page: ReturnPage,
    asked: Mapping[str, Any],
    *,
    progress: Callable[[str], None],
) -> OtherDays:
    """What is planned and exposed on the days that `held_days` names?

    asked: as `ask_outing` takes it, of the planned day; its day and window are left out. The
    outings are as `ask_outing` plans these days; the first one has none where part of it is over.
    Raises NotebookError.
    """
    exposed = []
    for number, (year, days) in enumerate(zip(page.chosen, held_days(page), strict=True), start=1):
        progress(f"seconds of other days: {number} of {len(page.chosen)}")
        name = year.calendar.subject
        each = next(one for one in page.subjects if one.subject.name == name)
        exposed.append(exposed_days(notebook, each, year.calendar, page.tripod, days))
    return OtherDays(exposed=tuple(exposed), outings=_outings(notebook, page, asked, progress))


def _outings(
    notebook: Notebook,
    page: ReturnPage,
    asked: Mapping[str, Any],
    progress: Callable[[str], None],
) -> tuple[OutingAnswer, ...]:
    from backbearing.plans.outing import ask_other_days

    planned = page.outing
    if planned is None:
        return ()
    every = {
        page.start + timedelta(days=day)
        for year, days in zip(page.chosen, held_days(page), strict=True)
        if year.calendar.subject == planned.subject
        for day in days
        if day > 0 or page.earliest_at is None
    }
    days = sorted(every - {planned.day})
    if not days:
        return ()
    progress("the day of other days")
    typed = {
        key: each
        for key, each in asked.items()
        if each is not None and key not in ("day", "number")
    }
    if page.tripod and page.tripod.batch:
        typed.setdefault("batch", page.tripod.batch.name)
    answers = ask_other_days(
        notebook,
        planned.subject,
        [planned.day, *days],  # the planned one first: its way is known
        now=_from(page, planned.zone),
        **typed,
    )
    return tuple(answer for answer in answers if answer.day != planned.day)


def _from(page: ReturnPage, zone: str) -> datetime:
    """When one may set out: the evening before the first day; where that has begun, from the next
    whole hour on, so that a page made again in the same hour asks nothing anew."""
    if page.earliest_at is None:
        return day_bounds(page.start - _BEFORE, zone)[0]
    return page.earliest_at.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)


def rests_on(page: ReturnPage) -> tuple[object, ...]:
    """All of a page that its other days go by, besides what its notebook answers in making them."""
    tripod, planned = page.tripod, page.outing
    by_name = {each.subject.name: each for each in page.subjects}
    years = [
        (
            by_name[year.calendar.subject].subject,
            by_name[year.calendar.subject].cameras,
            [(day, year.calendar.every[day].windows) for day in days],
        )
        for year, days in zip(page.chosen, held_days(page), strict=True)
    ]
    return (
        page.start,
        years,
        None if tripod is None else (tripod.batch, tripod.aperture, tripod.focal_mm),
        len(tripod.courses) if tripod is not None else 0,
        None if planned is None else (planned.subject, planned.day, _from(page, planned.zone)),
    )
