"""A way as it is asked for in words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backbearing.errors import BadInput, quoted
from backbearing.places.zones import local
from backbearing.plans.approach.way import Going, approach
from backbearing.plans.locate import locate
from backbearing.plans.pace import pace_of
from backbearing.plans.periods import read_coming_day
from backbearing.plans.settings import zone_at
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.locate import Located
    from backbearing.records import Approach, Place

FARTHEST_M = 40_000.0  # a day's walk out and back


def ask_way(
    notebook: Notebook,
    start: str,
    place: str,
    *,
    day: str | None,
    pace: str | None,
    now: datetime,
    progress: Callable[[str], None] | None = None,
    **going: Any,
) -> Approach:
    """Which way leads from a start to a place, both in words, and back?

    day: as typed; None means today. going: the fields of `Going`. Raises BadInput and NotFound as
    `locate`, `pace_of` and `approach` do, and BadInput for places farther apart than a day's walk.
    """
    begin, end = locate(notebook, start), locate(notebook, place)
    zone = zone_at(notebook, begin.place)
    today = local(now, zone).date()
    on = today if day is None else read_coming_day(day, today=today, where="--date")
    target, target_name = standing_place(notebook, end)
    refuse_far(begin.place, target, begin.name, target_name)
    return approach(
        notebook,
        begin.place,
        target,
        on=on,
        pace=pace_of(notebook, pace, progress=progress),
        going=Going(**going),
        start_name=begin.name,
        end_name=target_name,
        progress=progress,
    )


def standing_place(notebook: Notebook, located: Located) -> tuple[Place, str]:
    """Where one stands for a place asked about: a subject's first camera position, else itself."""
    from backbearing.notebook.subjects import list_camera_positions

    if located.subject is not None:
        for camera in list_camera_positions(notebook, located.subject.id):
            return camera.place, say(
                "{located}, camera position {camera}", located=located.name, camera=camera.name
            )
    return located.place, located.name


def refuse_far(start: Place, end: Place, start_name: str, end_name: str) -> None:
    """Raise BadInput where two places are farther apart than anybody walks in a day."""
    from backbearing.places.geodesy import inverse

    _, apart_m = inverse(
        start.latitude_deg, start.longitude_deg, end.latitude_deg, end.longitude_deg
    )
    if apart_m > FARTHEST_M:
        raise BadInput(
            say(
                "{start_name} and {end_name} are {apart_km:.0f} km apart",
                start_name=quoted(start_name),
                end_name=quoted(end_name),
                apart_km=apart_m / 1000,
            ),
            where="way",
            remedy=say("start within {farthest_km:.0f} km of it", farthest_km=FARTHEST_M / 1000),
        )
