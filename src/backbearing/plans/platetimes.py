"""When a plate was exposed, as it is said: a local day and clock where the subject stands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.notebook import Notebook


def read_when(notebook: Notebook, subject: str, text: str | None, *, now: datetime) -> datetime:
    """The instant that is meant: '2026-03-14 14:32' or '14:32' (today) by the subject's clock.

    None means now. Raises BadInput for what is no time, or one that is still to come.
    """
    from datetime import datetime as datetimes

    from backbearing.notebook.subjects import find_subject
    from backbearing.places.clocks import read_clock, read_day, split_day_and_clock
    from backbearing.places.zones import local, zone, zone_name
    from backbearing.plans.settings import zone_setting

    if text is None:
        return now
    place = find_subject(notebook, subject).place
    name = zone_name(place.latitude_deg, place.longitude_deg, zone_setting(notebook))
    today = local(now, name).date()
    split = split_day_and_clock(text, where="--at")
    clock = read_clock(split.clock if split else text, where="--at")
    day = read_day(split.day, latest=today, where="--at") if split else today
    when = datetimes.combine(day, clock, (split.zone if split else None) or zone(name))
    if when > now:
        raise BadInput(f"{quoted(text)} is still to come", where="--at")
    return when
