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
    from collections.abc import Sequence

    from backbearing.notebook import Notebook
    from backbearing.plans.search.afterwards import WalkQuestion
    from backbearing.plans.search.stations import Stations
    from backbearing.records import Subject

SHORTEST_S = 10.0 * 60.0
_ON_AFTER = timedelta(days=1)  # before and after the day light is followed; longer than any walk


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

    That is the span of usable light in which the walk begins, or the next one of the day; without
    a time to leave at, the one with most of the day. It may go on over midnight. Where it does not
    end within a day after that, dark sets no limit. Raises BadInput where there is no usable light
    that day.
    """
    margin_s = MARGIN_S if question.needs.margin_s is None else question.needs.margin_s
    margin = timedelta(seconds=margin_s)
    begin, end = day_bounds(question.day, question.zone)
    spot = int(np.argmax(places.share))
    after = end + _ON_AFTER
    spans = [
        (max(_instant(first), begin), _instant(last))
        for first, last in usable_light(
            float(places.latitude_deg[spot]),
            float(places.longitude_deg[spot]),
            _utc(begin - _ON_AFTER),
            _utc(after),
            sky_view=_darkest_sky(notebook, places),
        )
        if _instant(last) > begin and _instant(first) < end
    ]
    if not spans:
        raise BadInput(
            say("there is no usable light that day"), where="--date", remedy=say("take another day")
        )
    first, last = _span_of(spans, question.leave, end, margin)
    found = [
        (after, say("the end of the next day"))
        if last >= after
        else (last - margin, say("usable light"))
    ]
    if question.back_by is not None:
        found.append((question.back_by - margin, say("the limit given")))
    home_by, by = min(found, key=lambda each: each[0])
    return DayLimits(first=first, home_by=home_by, limited_by=by)


def _span_of(
    spans: Sequence[tuple[datetime, datetime]],
    leave: datetime | None,
    end: datetime,
    margin: timedelta,
) -> tuple[datetime, datetime]:
    """The span of light a walk is in: the first that still holds the shortest walk after leaving.

    Where none does, the day's last, which the refusal then tells of.
    """
    if leave is None:
        return max(spans, key=lambda span: min(span[1], end) - span[0])
    least = margin + timedelta(seconds=SHORTEST_S)
    return next((span for span in spans if span[1] - max(span[0], leave) >= least), spans[-1])


def _utc(instant: datetime) -> np.datetime64:
    return np.datetime64(instant.astimezone(UTC).replace(tzinfo=None), "ms")


def _instant(instant: np.datetime64) -> datetime:
    return datetime.fromtimestamp(int(instant.astype("datetime64[s]").astype(np.int64)), UTC)


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
