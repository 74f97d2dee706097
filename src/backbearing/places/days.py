"""How days, weekdays and months are called, wherever they are shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from datetime import date

_DAYS = (
    *(phrase("Monday"), phrase("Tuesday"), phrase("Wednesday"), phrase("Thursday")),
    *(phrase("Friday"), phrase("Saturday"), phrase("Sunday")),
)
_SHORT_DAYS = (
    *(
        phrase("Mon"),
        phrase("Tue"),
        phrase("Wed"),
        phrase("Thu"),
        phrase("Fri"),
        phrase("Sat"),
        phrase("Sun"),
    ),
)
_MONTHS = (
    *(
        phrase("January"),
        phrase("February"),
        phrase("March"),
        phrase("April"),
        phrase("May"),
        phrase("June"),
    ),
    *(phrase("July"), phrase("August"), phrase("September"), phrase("October"), phrase("November")),
    phrase("December"),
)
_SHORT_MONTHS = (
    *(phrase("Jan"), phrase("Feb"), phrase("Mar"), phrase("Apr"), phrase("May"), phrase("Jun")),
    *(phrase("Jul"), phrase("Aug"), phrase("Sep"), phrase("Oct"), phrase("Nov"), phrase("Dec")),
)


def weekday(day: date) -> str:
    """`Sunday`."""
    return say(_DAYS[day.weekday()])


def short_weekday(day: date) -> str:
    """`Sun`."""
    return say(_SHORT_DAYS[day.weekday()])


def month(day: date) -> str:
    """`October`."""
    return say(_MONTHS[day.month - 1])


def short_month(day: date) -> str:
    """`Oct`."""
    return say(_SHORT_MONTHS[day.month - 1])
