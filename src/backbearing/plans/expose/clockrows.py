"""Clock to seconds: the minutes round a window or an instant, under each kind of sky."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from backbearing.plans.expose.sunthen import SunThen, sun_then

if TYPE_CHECKING:
    from backbearing.plans.expose.course import Course
    from backbearing.plans.expose.seconds import Seconds, Setup

SKIES = ("clear", "hazy", "overcast")
_BEFORE, _AFTER, _STEP = timedelta(minutes=30), timedelta(minutes=60), timedelta(minutes=10)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockRow:
    """A minute of the day: EV at ISO 100 and seconds under each of SKIES."""

    at: datetime
    sun_altitude_deg: float
    sun_share: float  # of the disc over the skyline
    sun: SunThen  # where it stands to the face, under a clear sky
    sun_in_doubt: bool  # the skyline's error leaves open whether it is seen
    ev100: tuple[float, ...]
    seconds: tuple[Seconds | None, ...]  # None: no batch, or dark


def clock_rows(
    courses: dict[str, Course], way: Setup | None, first: datetime, last: datetime
) -> tuple[ClockRow, ...]:
    """Rows from half an hour before the first instant to an hour past the last.

    courses: of SKIES. way: None for no seconds.
    """
    first, last = first - _BEFORE, last + _AFTER
    rows = []
    step = _STEP * max(1, round((last - first) / _STEP / 16))
    at = first.replace(second=0, microsecond=0, minute=first.minute // 10 * 10)
    light = courses["clear"].light
    while at <= last:
        i = courses["clear"].at(at)
        rows.append(
            ClockRow(
                at=at,
                sun_altitude_deg=float(light.sun_altitude_deg[i]),
                sun_share=float(light.disc_fraction[i]),
                sun=sun_then(light, i),
                sun_in_doubt=bool(light.sun_in_doubt[i]),
                ev100=tuple(float(courses[sky].ev100[i]) for sky in SKIES),
                seconds=tuple(
                    courses[sky].seconds(way, i)[0] if way is not None else None for sky in SKIES
                ),
            )
        )
        at += step
    return tuple(rows)
