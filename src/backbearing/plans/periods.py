"""The days a question about light looks at, as people name them."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.places.clocks import weekday_named

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.notebook import Notebook

ONE_SUBJECT_DAYS = 365
MANY_SUBJECTS_DAYS = 14


def today_there(notebook: Notebook, now: datetime) -> date:
    """Which day today is: on the notebook's own clock where it has one, else this machine's."""
    from backbearing.notebook.settings import get_setting
    from backbearing.places.zones import local

    setting = get_setting(notebook, "zone")
    return (local(now, setting) if setting else now.astimezone()).date()


def read_period(
    first: str | None, last: str | None, on: str | None, *, today: date, many: bool
) -> tuple[date, date]:
    """First and last local day; without any, from today over a year, or a fortnight for many.

    first, last: the ends as typed; on: one day in place of both.
    Raises BadInput for what is no day, and for `on` beside an end.
    """
    if on is not None:
        if first is not None or last is not None:
            raise BadInput("one day and a period cannot both be asked for", where="--on")
        day = read_coming_day(on, today=today, where="--on")
        return day, day
    length = MANY_SUBJECTS_DAYS if many else ONE_SUBJECT_DAYS
    start = today if first is None else read_coming_day(first, today=today, where="--from")
    if last is not None:
        return start, read_coming_day(last, today=start, where="--to")
    try:
        return start, start + timedelta(days=length - 1)
    except OverflowError:
        return start, date.max


def read_coming_day(text: str, *, today: date, where: str) -> date:
    """A day as `2026-11-28`, `today`, `tomorrow`, or a weekday: the next one, today included.

    Raises BadInput where it is none of them.
    """
    word = text.strip().lower()
    if word in ("today", "tomorrow"):
        return today + timedelta(days=word == "tomorrow")
    weekday = weekday_named(word)
    if weekday is not None:
        return today + timedelta(days=(weekday - today.weekday()) % 7)
    try:
        return date.fromisoformat(word)
    except ValueError:
        raise BadInput(
            f"{quoted(text)} is not a day",
            where=where,
            remedy="write 2026-11-28, today, tomorrow or a weekday",
        ) from None


def read_day_to_come(text: str, *, today: date, where: str) -> date:
    """As `read_coming_day`, for what is still to be done. Raises BadInput for a day that is over
    too.
    """
    day = read_coming_day(text, today=today, where=where)
    if day < today:
        raise BadInput(
            f"{day.isoformat()} is over", where=where, remedy="give today or a day to come"
        )
    return day
