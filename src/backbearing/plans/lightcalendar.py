"""The light of a year at one subject: night, twilight, shade and sun by the clock, and good light.

subject ──► its sky ──► tone of each minute ──┐
                                              ├─► one day a week for a year, and the near days
wish on record ──► light windows ─────────────┘
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from backbearing.plans.light import best_light
from backbearing.plans.light.best import LAST_YEAR
from backbearing.plans.light.sky import skies_of
from backbearing.plans.tones import days_tones

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.light import LightAnswer
    from backbearing.plans.tones import Stretch
    from backbearing.records import LightWindow, Subject

DAYS, NEAR_DAYS, WEEK = 365, 15, 7


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarDay:
    """A local day: stretches of one tone by the clock, and the good light in it."""

    day: date
    tones: tuple[Stretch, ...]
    windows: tuple[LightWindow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LightCalendar:
    """A year of light at a subject."""

    subject: str
    zone: str
    every: tuple[CalendarDay, ...]  # a day each, in order
    good: tuple[tuple[date, date], ...]  # runs of days with good light under a clear sky
    good_days: int
    days: int
    ground_known: bool
    assumptions: tuple[str, ...]

    @property
    def weeks(self) -> tuple[CalendarDay, ...]:
        """One day of each week."""
        return self.every[::WEEK]

    @property
    def near(self) -> tuple[CalendarDay, ...]:
        """The first days, each of them."""
        return self.every[:NEAR_DAYS]


def light_calendar(
    notebook: Notebook,
    subject: Subject,
    zone_name: str,
    *,
    start: date,
    earliest_at: datetime | None = None,
    answer: LightAnswer | None = None,
    progress: Callable[[str], None] | None = None,
) -> LightCalendar:
    """What is the light at a subject over the year from a day on, and when is it good?

    Tones are those of `days_tones`. earliest_at: an aware instant before which no good light
    counts. answer: the light of this year where it is known already, of this subject or of more.
    Raises BadInput for a day the sun is not known for, and NotebookError.
    """
    last = last_day(start)
    if answer is None:
        answer = best_light(
            notebook,
            [subject.name],
            start=start,
            end=last,
            earliest_at=earliest_at,
            progress=progress,
        )
    by_day: dict[date, list[LightWindow]] = {}
    for window in sorted(answer.windows, key=lambda each: each.start):
        if window.subject == subject.name:
            by_day.setdefault(window.day, []).append(window)
    sky = skies_of(notebook, [subject.place], subjects=[subject])[0]
    tones = days_tones(sky, subject.place, start, last, zone_name)
    days = [start + timedelta(days=n) for n in range(len(tones))]
    clear = sorted(day for day, found in by_day.items() if any(w.sky == "clear" for w in found))
    return LightCalendar(
        subject=subject.name,
        zone=zone_name,
        every=tuple(
            CalendarDay(day=day, tones=own, windows=tuple(by_day.get(day, ())))
            for day, own in zip(days, tones, strict=True)
        ),
        good=tuple(_runs(clear)),
        good_days=len(clear),
        days=len(days),
        ground_known=sky.ground_known,
        assumptions=answer.assumptions,
    )


def last_day(start: date) -> date:
    """The last day of a year of light that starts on one, or the last the sun is known for."""
    return min(start + timedelta(days=DAYS - 1), date(LAST_YEAR, 12, 31))


def _runs(days: list[date]) -> Iterator[tuple[date, date]]:
    """Days that follow one another, put together."""
    first = last = None
    for day in days:
        if last is not None and first is not None and day - last > timedelta(days=1):
            yield first, last
            first = None
        first, last = first or day, day
    if first is not None and last is not None:
        yield first, last
