"""The sun's day and moment at a place, as immutable answers.

Over the ground around where terrain on record reaches, else over a flat horizon only.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta, timezone
from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.errors import BadInput, quoted
from backbearing.models.events import (
    AstralName,
    EventKind,
    SunEvent,
    flat_events_by_name,
    minutes_of_doubt,
    sun_events,
)
from backbearing.models.sun import sun_position
from backbearing.places.bearings import declination_deg
from backbearing.places.clocks import read_clock, read_day, split_day_and_clock
from backbearing.places.zones import day_bounds, local
from backbearing.places.zones import zone as zone_of
from backbearing.plans.dazzle import CAUTION as CAUTION
from backbearing.plans.heights import place_with_height
from backbearing.plans.locate import Located, locate
from backbearing.plans.settings import zone_at

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.plans.horizon import Season, SunOfDay
    from backbearing.plans.sunsince import SunSince
    from backbearing.records import Place

FLAT_HORIZON = "flat horizon assumed: ground that rises makes first sun later and last sun earlier"
NO_HEIGHT = "height not on record: sea level assumed"
MEAN_AIR = "average air assumed: on a given day it lifts the sun at the horizon 0.1° more or less"

_DIP_SAID_FROM_M = 30.0  # lower, the dip is within what the air does to the horizon
_YEARS_AHEAD = 8  # 29 February comes within them, even around 2100

SunState = Literal["up", "civil twilight", "nautical twilight", "astronomical twilight", "night"]

# which of our events each of astral's names speaks of
SAME_AS_ASTRAL: dict[AstralName, EventKind] = {
    "dawn": "civil dawn",
    "sunrise": "sunrise",
    "noon": "noon",
    "sunset": "sunset",
    "dusk": "civil dusk",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class HourOfSun:
    """Where the sun's centre stands at an instant, as seen through average air."""

    when: datetime
    azimuth_deg: float
    altitude_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DayEvent:
    """One flat-horizon event; plus_minus_min only where the air at the horizon matters."""

    kind: EventKind
    when: datetime
    azimuth_deg: float
    altitude_deg: float
    plus_minus_min: float | None
    cannot_be_told: bool  # a rise or set so flat that an hour either way is possible


@dataclass(frozen=True, slots=True, kw_only=True)
class SunDay:
    """A local civil day of the sun. `astral` gives that library's own figure for each name."""

    day: date
    zone: str
    start: datetime
    end: datetime
    states: tuple[str, ...]  # "sun stays down", …: what holds from start to end
    events: tuple[DayEvent, ...]
    astral: dict[AstralName, datetime | None]
    hours: tuple[HourOfSun, ...]
    assumptions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SunMoment:
    """The sun at one instant. The magnetic azimuth is None where a compass gives none."""

    when: datetime
    azimuth_deg: float
    altitude_deg: float  # as seen
    airless_altitude_deg: float
    state: SunState
    magnetic_azimuth_deg: float | None
    declination_deg: float | None  # east positive
    declination_error_deg: float | None  # 95 %
    no_compass: str  # why not, where there is none
    assumptions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OverGround:
    """The sun over the ground, trees and measured edges around a place; not over a plain."""

    basis: str
    day: SunOfDay | None  # of the day asked for
    now: SunSince | None  # of the moment asked for
    year_from: date
    seasons: tuple[Season, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SunAnswer:
    """What was asked of the sun at a place: its day or, with `day` None, one moment."""

    name: str
    place: Place
    zone: str
    day: SunDay | None
    moment: SunMoment | None
    over_ground: OverGround | None = None  # None where no terrain on record reaches
    caution: str = CAUTION


def ask_sun(
    notebook: Notebook | None,
    text: str,
    *,
    day: str | None = None,
    clock: str | None = None,
    now: datetime,
) -> SunAnswer:
    """What does the sun do at the place a text means, on the day or at the time written?

    notebook: where names are looked up and the zone may be set; None where there is none.
    day: as `places.clocks.read_day`; without a year the next such day; None is today there.
    clock: as `places.clocks.read_clock`, the same after a day of its own and, as in ISO 8601,
        with a zone; or "now". None asks for the whole day.
    now: aware; what "today" and "now" mean.
    Raises BadInput naming the option, and NotFound for a name that is not on record.
    """
    located = locate(notebook, text)
    place, lent_by = _with_height(notebook, located)
    rules = zone_at(notebook, place)
    today = local(now, rules).date()
    asked = _next_day(day, today, where="--date") if day else today
    if clock is None:
        answer = sun_day(place, asked, rules)
        answer = replace(answer, assumptions=(*answer.assumptions, *_lent_words(place, lent_by)))
        ground = _over_ground(notebook, located, rules, today, day=asked)
        if ground is not None:
            kept = [line for line in answer.assumptions if not line.startswith(FLAT_HORIZON)]
            answer = replace(answer, assumptions=(f"skyline from {ground.basis}", *kept))
        return SunAnswer(
            name=located.name,
            place=place,
            zone=rules,
            day=answer,
            moment=None,
            over_ground=ground,
        )
    dated = split_day_and_clock(clock, where="--time")
    is_now = clock.strip().casefold() == "now"
    if day and (dated or is_now):
        raise BadInput(
            f"{quoted(clock)} has its own day", where="--time", remedy="leave --date out"
        )
    if is_now:
        when, twice = now, False
    else:
        if dated:
            asked = _next_day(dated.day, today, where="--time")
        there = read_clock(dated.clock if dated else clock, where="--time")
        when, twice = instant_on_clock(asked, there, rules, offset=dated.zone if dated else None)
    moment = sun_moment(place, when)
    if twice:
        first = "the clock shows this time twice that day: the first is meant"
        moment = replace(moment, assumptions=(first, *moment.assumptions))
    moment = replace(moment, assumptions=(*moment.assumptions, *_lent_words(place, lent_by)))
    ground = _over_ground(notebook, located, rules, today, when=when)
    if ground is not None:
        moment = replace(moment, assumptions=(f"skyline from {ground.basis}", *moment.assumptions))
    return SunAnswer(
        name=located.name, place=place, zone=rules, day=None, moment=moment, over_ground=ground
    )


def _over_ground(
    notebook: Notebook | None,
    located: Located,
    zone: str,
    today: date,
    *,
    day: date | None = None,
    when: datetime | None = None,
) -> OverGround | None:
    """What the skyline makes of the day or the moment; None where it is a plain's."""
    if notebook is None:
        return None
    from backbearing.plans.horizon import seasons_of, sun_of_day
    from backbearing.plans.light.sky import skies_of
    from backbearing.plans.sunsince import in_sun_since

    place = located.place
    (sky,) = skies_of(notebook, [place], subjects=[located.subject])
    if not sky.ground_known:
        return None
    return OverGround(
        basis=sky.skyline.basis,
        day=None if day is None else sun_of_day(sky, place, day, zone),
        now=None if when is None else in_sun_since(sky, place, when, zone),
        year_from=today,
        seasons=tuple(seasons_of(sky, place, today, zone)) if day is not None else (),
    )


def _with_height(notebook: Notebook | None, located: Located) -> tuple[Place, str]:
    """The place with a subject's height or that of its camera, and which camera lent it."""
    if notebook is None or located.subject is None:
        return located.place, ""
    from backbearing.notebook.subjects import list_camera_positions

    cameras = list_camera_positions(notebook, located.subject.id)
    return place_with_height(located.place, cameras)


def _lent_words(place: Place, lent_by: str) -> tuple[str, ...]:
    if not lent_by:
        return ()
    return (f"height {place.height_m:.0f} m: that of its camera position '{lent_by}'",)


def _next_day(text: str, today: date, *, where: str) -> date:
    """The day written; without a year the next such one, today included.

    Of a weekday and a day that do not meet within eight years the last is taken.
    """
    asked = today
    for years in range(1, _YEARS_AHEAD + 1):
        # read_day takes the last such day: of a year's, that is the next to come
        latest = min(today.toordinal() + 365 * years - 1, date.max.toordinal())
        asked = read_day(text, latest=date.fromordinal(latest), where=where)
        if asked >= today:
            break
    return asked


def sun_day(place: Place, day: date, zone: str) -> SunDay:
    """What does the sun do at a place on a local civil day, over a flat horizon?

    day: by the clock of `zone` (IANA name); it has 23 to 25 hours where clocks are changed.
    Hours are given from local midnight on, each full hour that passes. Polar day and night
    stand in `states`. Raises BadInput for an unknown zone or a day out of range.
    """
    _check_day_exists(day, zone)
    start, end = day_bounds(day, zone)
    height = place.height_m or 0.0
    spot = (place.latitude_deg, place.longitude_deg)
    found = sun_events(*spot, start, end, height_m=height)
    count = -((start - end) // timedelta(hours=1))
    hours = [start + timedelta(hours=i) for i in range(count)]
    return SunDay(
        day=day,
        zone=zone,
        start=start,
        end=end,
        states=tuple(event.kind for event in found if event.when is None),
        events=tuple(
            _day_event(place, event, event.when) for event in found if event.when is not None
        ),
        astral=flat_events_by_name(*spot, day, zone_of(zone)),
        hours=_standing(place, hours),
        assumptions=(_horizon_words(place), MEAN_AIR, *_height_words(place)),
    )


def sun_moment(place: Place, when: datetime) -> SunMoment:
    """Where does the sun stand at a place at one instant (aware)?

    Raises BadInput for a naive instant or one outside the years of the sun's tables.
    """
    spot = (place.latitude_deg, place.longitude_deg)
    if when.tzinfo is None:
        raise BadInput(f"{when.isoformat()} has no zone", where="when", remedy="attach one")
    instant = _instants([when])
    height = place.height_m or 0.0
    airless = float(sun_position(instant, *spot, height_m=height, refraction=False).altitude_deg[0])
    (seen,) = _standing(place, [when])
    declination, error, why = _declination(place, when.date())
    return SunMoment(
        when=when,
        azimuth_deg=seen.azimuth_deg,
        altitude_deg=seen.altitude_deg,
        airless_altitude_deg=round(airless, 4),
        state=_state(airless),
        magnetic_azimuth_deg=(
            None if declination is None else round((seen.azimuth_deg - declination) % 360.0, 1)
        ),
        declination_deg=declination,
        declination_error_deg=error,
        no_compass=why,
        assumptions=(MEAN_AIR, *_height_words(place)),
    )


def instant_on_clock(
    day: date, clock: time, zone: str, *, offset: timezone | None = None
) -> tuple[datetime, bool]:
    """Which instant does a clock time mean, and does the clock show it twice that day?

    offset: the zone written with it, in place of the clock of `zone` (IANA name). Of two, the
    first is meant. Raises BadInput for a time that the clock jumps over or out of the calendar.
    """
    if offset is not None:
        try:
            return datetime.combine(day, clock, tzinfo=offset).astimezone(UTC), False
        except OverflowError:
            raise BadInput("the time is out of the calendar", where="--time") from None
    _check_day_exists(day, zone)
    there = zone_of(zone)
    wall = datetime.combine(day, clock, tzinfo=there)
    utc = wall.astimezone(UTC)
    if utc.astimezone(there).replace(tzinfo=None) != wall.replace(tzinfo=None):
        raise BadInput(
            f"the clock of {zone} jumps over {clock:%H:%M} on {day.isoformat()}",
            where="--time",
            remedy="name one an hour later",
        )
    twice = wall.utcoffset() != wall.replace(fold=1).utcoffset()
    return utc, twice


def _check_day_exists(day: date, zone: str) -> None:
    """Raises BadInput for a day left out where a place changed sides of the date line."""
    start, end = day_bounds(day, zone)
    if start >= end:
        raise BadInput(
            f"there was no {day.isoformat()} there: the clock of {zone} left it out",
            where="--date",
            remedy="name the day before or after",
        )


def _instants(when: list[datetime]) -> np.ndarray[tuple[int], np.dtype[np.datetime64]]:
    return np.array([w.astimezone(UTC).replace(tzinfo=None) for w in when], dtype="datetime64[ms]")


def _standing(place: Place, when: list[datetime]) -> tuple[HourOfSun, ...]:
    sun = sun_position(
        _instants(when), place.latitude_deg, place.longitude_deg, height_m=place.height_m or 0.0
    )
    return tuple(
        HourOfSun(
            when=instant,
            azimuth_deg=round(float(azimuth), 3) % 360.0,
            altitude_deg=round(float(altitude), 3),
        )
        for instant, azimuth, altitude in zip(when, sun.azimuth_deg, sun.altitude_deg, strict=True)
    )


def _day_event(place: Place, event: SunEvent, when: datetime) -> DayEvent:
    (seen,) = _standing(place, [when])
    doubt = minutes_of_doubt(place.latitude_deg, event)
    return DayEvent(
        kind=event.kind,
        when=when,
        azimuth_deg=seen.azimuth_deg,
        altitude_deg=seen.altitude_deg,
        plus_minus_min=None if doubt is None else round(doubt, 1),
        cannot_be_told=doubt is None and event.kind in ("sunrise", "sunset"),
    )


def _state(airless_altitude_deg: float) -> SunState:
    """Day, twilight or night, by the USNO's altitudes (see `models.events`)."""
    names: tuple[tuple[float, SunState], ...] = (
        (-50.0 / 60.0, "up"),
        (-6.0, "civil twilight"),
        (-12.0, "nautical twilight"),
        (-18.0, "astronomical twilight"),
    )
    return next((name for level, name in names if airless_altitude_deg >= level), "night")


def _declination(place: Place, on: date) -> tuple[float | None, float | None, str]:
    """Declination and its 95 % error [deg], or None and why a compass will not do."""
    try:
        value, sigma = declination_deg(place.latitude_deg, place.longitude_deg, place.height_m, on)
    except BadInput as error:
        return None, None, error.what
    return round(value, 1), round(1.96 * sigma, 1), ""


def _horizon_words(place: Place) -> str:
    """The flat horizon, and what being above one leaves out.

    Dip of a sea horizon in arcminutes: 1.76 √height, from memory.
    """
    if place.height_m is None or place.height_m < _DIP_SAID_FROM_M:
        return FLAT_HORIZON
    dip_deg = 1.76 * math.sqrt(place.height_m) / 60.0
    return (
        f"{FLAT_HORIZON}; from {place.height_m:.0f} m the open sea lies {dip_deg:.1f}° below "
        "level, and that is not counted: over it first sun is earlier and last sun later"
    )


def _height_words(place: Place) -> tuple[str, ...]:
    return () if place.height_m is not None else (NO_HEIGHT,)
