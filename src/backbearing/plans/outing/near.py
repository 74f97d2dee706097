"""What else has its light within reach of the main subject, should that fail or be done early."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite, isinf
from typing import TYPE_CHECKING

from backbearing.errors import BackbearingError
from backbearing.models.exposing import Exposing
from backbearing.models.leasttime import least_time
from backbearing.places.geodesy import inverse
from backbearing.plans.approach.ground import area_between, standing_cell, walker_ground
from backbearing.plans.approach.way import slower_cells, snow_limit_deg
from backbearing.plans.kept import kept
from backbearing.plans.outing.answer import Near
from backbearing.plans.outing.day import at

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.approach.way import Going
    from backbearing.plans.outing.day import Day, Needs
    from backbearing.plans.outing.seconds import Exposures
    from backbearing.plans.pace import Pace
    from backbearing.records import LightWindow, Place, Subject

MOST_NEAR = 5
NEAR_M = 3_000.0
_ROOM_M = 500.0  # for ways round
_LONGEST_S = 2.0 * 3600.0  # on foot from the main subject
_QUICKEST_M_S = 2.0  # nobody is quicker with a camera
_MOMENTS = 20  # of a window, to which its exposure is worked out
_NO_LIMIT_S = 12 * 3600.0  # looked at after the main window, where nothing presses


@dataclass(frozen=True, slots=True, kw_only=True)
class Other:
    """Another subject, one place to stand for it, and its windows of the day from there."""

    subject: Subject
    place: Place
    windows: tuple[LightWindow, ...]


def others_near(
    notebook: Notebook,
    here: Place,
    day: Day,
    others: Sequence[Other],
    *,
    needs: Needs,
    pace: Pace,
    going: Going,
    exposures: Exposures,
) -> tuple[Near, ...]:
    """Which other subjects have light that can be used from the main one, nearest in time first?

    here: the main camera position. others: with their windows of the day. Each is judged from
    the moment one stands at the main subject, and from when one has done there: walk there
    slowly, set up, expose, pack, and be back at the main subject before the latest time away
    from it, so that the way home is safe as planned. One least-time field out and one back serve
    all. Where no known way leads, a subject is left out. Raises NotebookError.
    """
    from_arrival = max(day.clock.arrive_slow, default=day.clock.leave)
    limit = min([day.clock.away_by, *(end for _, end in day.back_light[:1])])
    if isinf(limit):
        limit = day.window.end.timestamp() + _NO_LIMIT_S
    within = []
    no_time = Exposing.steady(1.0)
    for other in others:
        bearing_deg, away_m = inverse(
            here.latitude_deg,
            here.longitude_deg,
            other.place.latitude_deg,
            other.place.longitude_deg,
        )
        walk_s = float(away_m) / _QUICKEST_M_S
        first, last = from_arrival + walk_s + needs.ready_s, limit - needs.pack_s - walk_s
        if away_m <= NEAR_M and any(_left(each, first, last, no_time) for each in other.windows):
            within.append((other, float(bearing_deg) % 360.0, float(away_m)))
    if not within:
        return ()
    places = [other.place for other, _, _ in within]
    farthest_m = max(away_m for _, _, away_m in within)
    walks = kept(
        notebook,
        "walks",
        (here, places, farthest_m, day.window.day, pace, going),
        lambda: _walks(notebook, here, places, farthest_m, day, pace, going),
    )
    declination = _declination_deg(here, day)
    found = []
    for (other, bearing_deg, away_m), (out_s, back_s) in zip(within, walks, strict=True):
        if not isfinite(out_s + back_s):
            continue
        there_s = out_s * pace.slow + needs.ready_s
        last = limit - needs.pack_s - back_s * pace.slow
        for window in other.windows:
            one = exposures.through(other.subject, window, _MOMENTS) or Exposing.steady(
                day.exposure_s
            )
            exposing = needs.exposing(one)
            after = _left(window, day.clock.away + there_s, last, exposing)
            span = after or _left(window, from_arrival + there_s, last, exposing)
            if span is None:
                continue
            latest = at(exposing.latest(span[1].timestamp() + 1.0))
            begun = max(span[0], min(window.best, latest))
            found.append(
                Near(
                    subject=other.subject.name,
                    bearing_true_deg=round(bearing_deg, 1),
                    bearing_magnetic_deg=(
                        None
                        if declination is None
                        else round((bearing_deg - declination) % 360.0, 1)
                    ),
                    distance_m=round(away_m, 1),
                    usual_s=round(out_s, 1),
                    slow_s=round(out_s * pace.slow, 1),
                    window=window,
                    begin=span[0],
                    end=span[1],
                    after=after is not None,
                    exposure=exposures.at(other.subject, begun, window.sky, window.camera_position),
                )
            )
            break
    found.sort(key=lambda near: (not near.after, near.slow_s))
    best = {near.subject: near for near in reversed(found)}  # of several camera positions
    return tuple(near for near in found if best[near.subject] is near)[:MOST_NEAR]


def _left(
    window: LightWindow, first: float, last: float, exposing: Exposing
) -> tuple[datetime, datetime] | None:
    """What is left of a window between two instants, None where the exposures do not fit."""
    begin, end = max(window.start.timestamp(), first), min(window.end.timestamp(), last)
    fits = end - begin >= 1.0 and exposing.soonest_end(begin) <= end
    return (at(begin), at(end)) if fits else None


def _walks(
    notebook: Notebook,
    here: Place,
    places: Sequence[Place],
    farthest_m: float,
    day: Day,
    pace: Pace,
    going: Going,
) -> list[tuple[float, float]]:
    """Usual seconds to each place and back; inf where there is no way."""
    nowhere = [(inf, inf)] * len(places)
    area = area_between(
        notebook,
        here,
        here,
        on=day.window.day,
        wade=going.wade,
        beyond_m=max(0.0, farthest_m + _ROOM_M - 1_000.0),
    )
    ground = walker_ground(
        area,
        slower_cells(area, pace, going),
        steepest_deg=going.steepest_deg,
        snow_steepest_deg=snow_limit_deg(going),
    )
    cell = standing_cell(area, ground, here)
    if cell is None:
        return nowhere
    out, back = (
        least_time(ground, cell, pace.usual_s_per_m, towards=towards, limit_s=_LONGEST_S).seconds
        for towards in (False, True)
    )
    cells = [standing_cell(area, ground, place) for place in places]
    return [(inf, inf) if each is None else (float(out[each]), float(back[each])) for each in cells]


def _declination_deg(here: Place, day: Day) -> float | None:
    """Magnetic declination there on the day, None where no model or no compass holds."""
    from backbearing.places.bearings import declination_deg

    try:
        value, _ = declination_deg(
            here.latitude_deg, here.longitude_deg, here.height_m, day.window.day
        )
    except BackbearingError:
        return None
    return value
