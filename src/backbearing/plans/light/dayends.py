"""When the days of an answer end: sunset and civil dusk over a flat horizon."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.models.events import ends_of_days
from backbearing.places.zones import day_bounds

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from backbearing.plans.light.at import Asked
    from backbearing.records import LightWindow


@dataclass(frozen=True, slots=True, kw_only=True)
class DayEnd:
    """The end of one local day at a subject, over a flat horizon; None where there is none."""

    day: date
    zone: str  # IANA name of the local clock
    at: str  # the subject where it was worked out: a degree further east is 4 minutes earlier
    sunset: datetime | None
    civil_dusk: datetime | None


def day_ends(asked: Sequence[Asked], windows: Sequence[LightWindow]) -> tuple[DayEnd, ...]:
    """The ends of the windows' days, by date; on each clock at the first subject named."""
    found: list[DayEnd] = []
    for zone in dict.fromkeys(window.zone for window in windows):
        days = sorted({window.day for window in windows if window.zone == zone})
        first = next(window.subject for window in windows if window.zone == zone)
        place = next(one.place for one in asked if one.subject.name == first)
        ends = ends_of_days(
            place.latitude_deg,
            place.longitude_deg,
            [day_bounds(day, zone) for day in days],
            height_m=place.height_m or 0.0,
        )
        found += [
            DayEnd(day=day, zone=zone, at=first, sunset=sunset, civil_dusk=dusk)
            for day, (sunset, dusk) in zip(days, ends, strict=True)
        ]
    return tuple(sorted(found, key=lambda end: (end.day, end.zone)))
