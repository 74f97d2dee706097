"""Since when a place has been in sun on a day, and for how long: over its own skyline."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from backbearing.models.sunlight import sunlit_spans
from backbearing.places.zones import day_bounds, local

if TYPE_CHECKING:
    from datetime import date

    from backbearing.plans.light.sky import Sky
    from backbearing.records import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class SunSince:
    """How the sun stands to a place at an instant, within that local day."""

    in_sun: bool
    since: datetime | None  # in sun: since when; in shade: when the last sun of the day went
    until: datetime | None  # in sun: the last sun of this stretch; in shade: the next sun


def in_sun_since(sky: Sky, place: Place, at: datetime, zone: str) -> SunSince:
    """Since when has a place been in sun on the day of an instant, and until when?

    sky: of the place (`plans.light.sky.skies_of`). at: aware. zone: IANA name of its clock.
    Sun is any part of the disc over the skyline, cloud left aside. None where the day holds
    none before, or after; a stretch runs from midnight where the sun does not set.
    Raises BadInput as `sunlit_spans` does.
    """
    return sun_at(sun_of_day(sky, place, local(at, zone).date(), zone), at)


def sun_of_day(sky: Sky, place: Place, day: date, zone: str) -> list[tuple[datetime, datetime]]:
    """When is a place in sun on a local day? The rest as `in_sun_since`."""
    start, end = day_bounds(day, zone)
    spans = sunlit_spans(
        sky.sun_comes_over,
        place.latitude_deg,
        place.longitude_deg,
        start,
        end,
        height_m=place.height_m or 0.0,
    )
    return [(begin.replace(tzinfo=UTC), end.replace(tzinfo=UTC)) for begin, end in spans.tolist()]


def sun_at(spans: list[tuple[datetime, datetime]], at: datetime) -> SunSince:
    """How the sun stands at an instant of a day with these spans of sun."""
    before = after = None
    for first, last in spans:
        if first <= at <= last:
            return SunSince(in_sun=True, since=first, until=last)
        if last < at:
            before = last
        elif after is None:
            after = first
    return SunSince(in_sun=False, since=before, until=after)
