"""The clock of a place: its zone, local times and the bounds of a local day."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from backbearing.errors import BadInput, quoted

_ANY_TIME = datetime(2026, 1, 1, tzinfo=UTC)  # an Etc zone never changes its clock


def zone_name(latitude_deg: float, longitude_deg: float, setting: str | None = None) -> str:
    """IANA name of the zone whose clock rules at a place.

    On land it is the land's own. At sea it is the setting, if any (the notebook's `zone`), else
    a whole-hour nautical zone, "Etc/GMT+1".
    """
    return ruling_zone(zone_there(latitude_deg, longitude_deg), setting)


def zone_there(latitude_deg: float, longitude_deg: float) -> str:
    """IANA name of the zone a place lies in, "Etc/GMT+1" and the like at sea."""
    from tzfpy import get_tz  # its first look-up costs 80 ms

    return get_tz((longitude_deg + 180.0) % 360.0 - 180.0, latitude_deg) or "UTC"


def ruling_zone(there: str, setting: str | None) -> str:
    """The zone whose clock rules where `zone_there` says this, under the notebook's setting."""
    at_sea = there == "UTC" or there.startswith("Etc/")
    return setting or there if at_sea else there


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
    """An aware instant on the local clock; within a day of the calendar's ends, in UTC.

    Raises ValueError for a naive one.
    """
    if instant.tzinfo is None:
        raise ValueError(f"{instant!r} has no zone; give it one, as datetime(…, tzinfo=UTC)")
    try:
        return instant.astimezone(zone(zone_name))
    except OverflowError:  # a recorder whose clock was never set
        return instant.astimezone(UTC)


def clock_text(instant: datetime, zone_name: str, *, abbreviation: bool = False) -> str:
    """What a watch there shows, "16:41" or "16:41 CET"; seconds are cut off, as on a watch."""
    there = local(instant, zone_name)
    shown = f"{there:%H:%M}"
    if not abbreviation:
        return shown
    letters = there.tzname() or ""
    # zones without letters of their own carry an offset as their name
    named = letters and letters[:1] not in "+-"
    return f"{shown} {letters if named else offset_text(instant, zone_name)}"


def offset_text(instant: datetime, zone_name: str) -> str:
    """How far the zone's clock is from UTC at an instant: "UTC−1", "UTC+5:30", "UTC+0"."""
    shift = local(instant, zone_name).utcoffset()
    minutes = 0 if shift is None else round(shift.total_seconds() / 60.0)
    hours, rest = divmod(abs(minutes), 60)
    return f"UTC{'−' if minutes < 0 else '+'}{hours}{f':{rest:02d}' if rest else ''}"


def clock_name(zone_name: str) -> str:
    """What a clock is called before people: "Atlantic/Azores", "UTC−1", "UTC".

    "Etc/GMT+1" has its sign the other way round from what everybody reads in it, so such a
    zone goes by its offset.
    """
    if not zone_name.startswith("Etc/"):
        return zone_name
    shown = offset_text(_ANY_TIME, zone_name)
    return "UTC" if shown == "UTC+0" else shown


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
