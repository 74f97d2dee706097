"""When a search's walk begins, by when it must be over, and what a find asks of that.

leave ── looks ── last find ── set up, expose, pack ── way home ── home_by   (dusk, the limit)
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.usablelight import usable_light
from backbearing.places.geodesy import inverse
from backbearing.places.zones import clock_text, day_bounds
from backbearing.plans.outing.ground import sky_seen
from backbearing.plans.search.afterwards import MARGIN_S, give_up_by
from backbearing.plans.terraingrids import grids_round
from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.plans.search.afterwards import WalkQuestion
    from backbearing.plans.search.stations import Stations
    from backbearing.records import Subject

SHORTEST_S = 10.0 * 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLimits:
    """What a day leaves at all."""

    first: datetime  # usable light
    home_by: datetime  # at the start, margin taken off
    limited_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkLimits:
    """When a walk begins and must be over."""

    leave: datetime
    until: datetime
    limited_by: str
    home_by: datetime  # found or not
    kept_s: float  # between the two, for setting up, exposing and packing


def day_limits(notebook: Notebook, question: WalkQuestion, places: Stations) -> DayLimits:
    """From when is there light to look by, and by when must one be back at all?

    Raises BadInput where there is no usable light that day.
    """
    margin_s = MARGIN_S if question.needs.margin_s is None else question.needs.margin_s
    margin = timedelta(seconds=margin_s)
    begin, end = day_bounds(question.day, question.zone)
    spot = int(np.argmax(places.share))
    span = usable_light(
        float(places.latitude_deg[spot]),
        float(places.longitude_deg[spot]),
        np.datetime64(begin.astimezone(UTC).replace(tzinfo=None), "ms"),
        np.datetime64(end.astimezone(UTC).replace(tzinfo=None), "ms"),
        sky_view=_darkest_sky(notebook, places),
    )
    if span is None:
        raise BadInput(
            say("there is no usable light that day"), where="--date", remedy=say("take another day")
        )
    first, last = (
        datetime.fromtimestamp(int(each.astype("datetime64[s]").astype(np.int64)), UTC)
        for each in span
    )
    found = [(last - margin, say("usable light"))]
    if question.back_by is not None:
        found.append((question.back_by - margin, say("the limit given")))
    home_by, by = min(found, key=lambda each: each[0])
    return DayLimits(first=first, home_by=home_by, limited_by=by)


def walk_limits(
    notebook: Notebook, subject: Subject, question: WalkQuestion, places: Stations
) -> WalkLimits:
    """When does the walk begin, when must it be over, and by what?

    It ends so early that a find at its last moment can still be set up, exposed and packed before
    dark and the limit, where the day has light as wished for that. Left to itself it is over when
    that light is. Raises BadInput where there is no time or light.
    """
    of_day = day_limits(notebook, question, places)
    leave = of_day.first if question.leave is None else max(question.leave, of_day.first)
    span = timedelta(seconds=question.time_s)
    last_find = give_up_by(notebook, subject, question, leave, away_by=of_day.home_by)
    kept = timedelta(0)
    if last_find is not None:
        busy = last_find.set_up_s + last_find.exposing_s + question.needs.pack_s
        kept = timedelta(seconds=busy)
        # no way home is longer than half of the walk: found so early, home comes before dark
        if last_find.found_by + kept + span / 2.0 <= of_day.home_by:
            kept = timedelta(0)
        if of_day.home_by - kept - leave < timedelta(seconds=SHORTEST_S):
            kept = timedelta(0)  # found now, it can only be put on record
        if question.leave is None:
            leave = max(of_day.first, min(last_find.found_by, of_day.home_by - kept) - span)
    until, by = min(
        (leave + span, say("the time given")),
        (of_day.home_by - kept, of_day.limited_by),
        key=lambda each: each[0],
    )
    if (until - leave).total_seconds() < SHORTEST_S:
        raise BadInput(
            say(
                "no time is left for a walk: {by} ends it at {until}",
                by=by,
                until=clock_text(until, question.zone),
            ),
            where="--time",
            remedy=say("leave earlier, or take another day"),
        )
    return WalkLimits(
        leave=leave,
        until=until,
        limited_by=by,
        home_by=of_day.home_by,
        kept_s=kept.total_seconds(),
    )


def _darkest_sky(notebook: Notebook, places: Stations) -> float:
    """The least share of an open plain's sky at the places, as ground within 1.5 km leaves it."""
    likeliest = int(np.argmax(places.share))
    latitude, longitude = (
        float(places.latitude_deg[likeliest]),
        float(places.longitude_deg[likeliest]),
    )
    _, away_m = inverse(
        np.full(len(places.share), latitude),
        np.full(len(places.share), longitude),
        places.latitude_deg,
        places.longitude_deg,
    )
    grids, _ = grids_round(notebook, latitude, longitude, float(np.max(away_m)) + 2_000.0)
    return float(np.min(sky_seen(grids, places.latitude_deg, places.longitude_deg)))
