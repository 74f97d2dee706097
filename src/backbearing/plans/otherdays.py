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
from backbearing.plans.soundness import leading

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from backbearing.notebook import Notebook
    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.page import ReturnPage
    from backbearing.records import LightWindow

_BEFORE = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherDays:
    """Days of a page besides the planned one."""

    exposed: tuple[tuple[ExposedDay, ...], ...]  # of each subject of the page's `chosen`
    outings: tuple[OutingAnswer, ...]  # to the planned subject, by the planned way


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

    asked: as `ask_outing` takes it, of the planned day; its day and window are left out. A day
    without light as wanted has no outing; nor has the first one where part of it is over. Raises
    NotebookError.
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
    windows = _windows(page, planned)
    if not windows:
        return ()
    progress("the day of other days")
    typed = {
        key: each
        for key, each in asked.items()
        if each is not None and key not in ("day", "number")
    }
    if page.tripod and page.tripod.batch:
        typed.setdefault("batch", page.tripod.batch.name)
    # not on the day that has begun, so that the minute the page is made at alters nothing
    if page.earliest_at is None:
        now = day_bounds(page.start - _BEFORE, planned.zone)[0]
    else:
        now = day_bounds(page.start, planned.zone)[1]
    answers = ask_other_days(
        notebook,
        planned.subject,
        [planned.window, *windows],  # the planned one first: its way is known
        now=now,
        **typed,
    )
    return tuple(answer for answer in answers if answer.day != planned.day)


def _windows(page: ReturnPage, planned: OutingAnswer) -> list[LightWindow]:
    """The window that leads on each held day of the planned subject, under the planned sky."""
    for year, days in zip(page.chosen, held_days(page), strict=True):
        if year.calendar.subject == planned.subject:
            begun = 0 if page.earliest_at is not None else -1
            every = [
                leading(w for w in year.calendar.every[day].windows if w.sky == planned.window.sky)
                for day in days
                if day > begun
            ]
            return [each for each in every if each is not None and each.day != planned.day]
    return []
