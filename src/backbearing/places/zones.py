"""The clock of a place: its zone, local times and the bounds of a local day."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from backbearing.errors import BadInput, quoted


def zone_name(latitude_deg: float, longitude_deg: float, setting: str | None = None) -> str:
    """IANA name of the zone whose clock rules at a place; the notebook's setting, if any, wins.

    At sea it is a whole-hour nautical zone, "Etc/GMT+1".
    """
    if setting:
        return setting
    from tzfpy import get_tz  # its first look-up costs 80 ms

    return get_tz((longitude_deg + 180.0) % 360.0 - 180.0, latitude_deg) or "UTC"


@lru_cache(maxsize=32)
def zone(name: str) -> ZoneInfo:
    """The zone of an IANA name. Raises BadInput, with the nearest name, for an unknown one."""
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        from difflib import get_close_matches
        from zoneinfo import available_timezones

        by_lower = {known.lower(): known for known in available_timezones()}
        close = get_close_matches(name[:60].lower(), by_lower, n=1)
        raise BadInput(
            f"no time zone is called {quoted(name)}",
            where="zone",
            remedy=f"did you mean {by_lower[close[0]]}?"
            if close
            else "write an IANA name such as Atlantic/Azores",
        ) from None


def local(instant: datetime, zone_name: str) -> datetime:
    """An aware instant on the local clock. Raises ValueError for a naive one."""
    if instant.tzinfo is None:
        raise ValueError(f"{instant!r} has no zone; give it one, as datetime(…, tzinfo=UTC)")
    return instant.astimezone(zone(zone_name))


def clock_text(instant: datetime, zone_name: str, *, abbreviation: bool = False) -> str:
    """What a watch there shows, "16:41" or "16:41 CET"; seconds are cut off, as on a watch."""
    there = local(instant, zone_name)
    shown = f"{there:%H:%M}"
    if not abbreviation:
        return shown
    letters = there.tzname() or ""
    # zones without letters of their own carry an offset as their name
    return f"{shown} UTC{letters}" if letters[:1] in ("+", "-") else f"{shown} {letters}"


def day_bounds(day: date, zone_name: str) -> tuple[datetime, datetime]:
    """First instant of a local civil day and of the next, in UTC: 23, 24 or 25 hours apart.

    Raises BadInput for a day at the very ends of the calendar.
    """
    if not 2 <= day.year <= 9998:
        raise BadInput(f"{day.isoformat()} is outside the years 2…9998", where="date")
    there = zone(zone_name)
    start = datetime.combine(day, time(), tzinfo=there)
    end = datetime.combine(day + timedelta(days=1), time(), tzinfo=there)
    return start.astimezone(UTC), end.astimezone(UTC)
