"""Offered before any memory is asked: where own tracks stood for a while on the ground searched."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import NotebookError
from backbearing.models.stops import find_stops
from backbearing.places.zones import local
from backbearing.plans.search.ground import along
from backbearing.plans.settings import zone_at
from backbearing.plans.walks import STOP_AT_LEAST_S, STOP_WITHIN_M

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import date

    from backbearing.notebook import Notebook
    from backbearing.plans.search.ground import SearchGround
    from backbearing.plans.search.likelihood import Likely
    from backbearing.records import Place

MOST_OFFERED = 12
_KNOWN_M = 50.0  # a stop so near another subject was for that one


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedStop:
    """A pause on a track, on the ground of a search: was it there?

    along_m, side: along the ground's line; None and '' on a grid. at_subject: another subject on
    record that it was likely for, '' for none.
    """

    track_id: int
    day: date
    clock: str  # local
    minutes: float
    latitude_deg: float
    longitude_deg: float
    error_m: float
    along_m: float | None
    side: str
    at_subject: str


def offered_stops(
    notebook: Notebook, ground: SearchGround, near: Place, *, months: Collection[int] = ()
) -> tuple[OfferedStop, ...]:
    """Which stops of three minutes or more lie on the ground, in these months: the longest first.

    near: where the ground's clock is read. months: 1 … 12; all where there are none. Stops at
    another subject come last. Tracks that cannot be read are left out (`check` names them).
    """
    from backbearing.notebook.subjects import list_subjects
    from backbearing.notebook.tracks import list_tracks, load_track

    zone = zone_at(notebook, near)
    others = [each for each in list_subjects(notebook) if each.place != near]
    other_x, other_y = ground.plane.at(
        np.array([each.place.latitude_deg for each in others]),
        np.array([each.place.longitude_deg for each in others]),
    )
    found = []
    for stored in list_tracks(notebook, bounds_deg=_bounds(ground)):
        try:
            track = load_track(notebook, stored.id)
        except NotebookError:
            continue
        for stop in find_stops(track, within_m=STOP_WITHIN_M, at_least_s=STOP_AT_LEAST_S):
            there = local(stop.start, zone)
            if months and there.month not in months:
                continue
            x, y = ground.plane.at(np.array([stop.latitude_deg]), np.array([stop.longitude_deg]))
            on = on_ground(ground, stop.error_m, x, y)
            if on is None:
                continue
            away = np.hypot(other_x - x, other_y - y)
            at = others[int(np.argmin(away))] if len(away) and away.min() <= _KNOWN_M else None
            found.append(
                OfferedStop(
                    track_id=stored.id,
                    day=there.date(),
                    clock=f"{there:%H:%M}",
                    minutes=round((stop.end - stop.start).total_seconds() / 60.0, 1),
                    latitude_deg=stop.latitude_deg,
                    longitude_deg=stop.longitude_deg,
                    error_m=stop.error_m,
                    along_m=on[0],
                    side=on[1],
                    at_subject="" if at is None else at.name,
                )
            )
    found.sort(key=lambda each: (bool(each.at_subject), -each.minutes))
    return tuple(found[:MOST_OFFERED])


def with_offers(notebook: Notebook, likely: Likely) -> Likely:
    """The same answer; where nothing is remembered yet, with what own tracks offer."""
    from backbearing.notebook.search import list_clues

    if list_clues(notebook, likely.subject.id):
        return likely
    return replace(likely, offers=offered_stops(notebook, likely.ground, likely.subject.place))


def on_ground(
    ground: SearchGround, error_m: float, x: np.ndarray, y: np.ndarray
) -> tuple[float | None, str] | None:
    """Chainage and side of a place on the ground, its own error allowed; None beyond it."""
    if ground.line_m is None:
        reach = float(np.max(np.abs(ground.x_m)))
        return (None, "") if float(np.hypot(x, y)[0]) <= reach + error_m else None
    chainage, away, side = along(ground.line_m, x, y)
    if float(away[0]) > ground.width_m + error_m:
        return None
    told = "" if float(away[0]) <= error_m else "left" if side[0] < 0 else "right"
    return round(float(chainage[0]), 1), told


def _bounds(ground: SearchGround) -> tuple[float, float, float, float]:
    margin = ground.width_m + 100.0
    x = np.array([ground.x_m.min() - margin, ground.x_m.max() + margin])
    y = np.array([ground.y_m.min() - margin, ground.y_m.max() + margin])
    latitude, longitude = ground.plane.places(x, y)
    return float(longitude[0]), float(latitude[0]), float(longitude[1]), float(latitude[1])
