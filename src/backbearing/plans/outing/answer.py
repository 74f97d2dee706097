"""An outing's plan as it is answered: clock times, legs, what is short, what else is near."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from datetime import date, datetime

    from backbearing.plans.expose.seconds import Seconds
    from backbearing.records import Approach, Leg, LightWindow

_ROUNDED = timedelta(seconds=1)  # instants are whole seconds
ShortOf = Literal["window", "arrival", "light on the way out", "light on the way back", "back by"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SunOnGround:
    """Whether sun has been on a leg's steepest ground, or where it crosses water, when passed.

    since, until: as `plans.sunsince.SunSince` has them.
    """

    latitude_deg: float
    longitude_deg: float
    what: Literal["steepest ground", "water crossing"]
    passed_at: datetime
    in_sun: bool
    since: datetime | None
    until: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutLeg:
    """A leg of the way out on the day."""

    leg: Leg
    needs_light: bool  # rough, trackless or across water
    usable_from: datetime | None  # None: all day, or never
    arrive_usual: datetime
    arrive_slow: datetime
    pass_by: datetime  # the latest at its end that still makes the exposure
    turn_back: datetime | None  # the latest at its end for the way home; None: nothing presses
    sun: SunOnGround | None  # None where no terrain is known


@dataclass(frozen=True, slots=True, kw_only=True)
class BackLeg:
    """A leg of the way back on the day."""

    leg: Leg
    needs_light: bool
    usable_until: datetime | None  # None: all day, or never
    sky_view: float  # at its darkest place: the share of an open plain's skylight
    canopy_stops: float  # taken by trees on record near
    arrive_usual: datetime
    arrive_slow: datetime
    sun: SunOnGround | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Short:
    """What stands in the way of the day, and by how much."""

    what: ShortOf
    leg: int | None  # of the way out or back, counted from 1
    short_s: float | None  # None: there is no usable light at all


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingTimes:
    """The clock of the day; the six to go by first, each kept in turn keeps the next."""

    leave_home: datetime | None  # None where no drive is given
    leave_start: datetime
    set_up_by: datetime
    expose: datetime
    away_by: datetime | None  # the latest; None: no limit given, and no leg that needs light
    back_by: datetime  # at the start when away at the latest, at the slow pace
    last_away: datetime  # `away_by`; where nothing presses, when the light is over and all packed
    back_slow: datetime  # at the start by plan, at the slow pace
    leave_start_by: datetime  # the latest that still makes the exposure
    expose_by: datetime  # the latest beginning of the exposures
    away: datetime  # by plan
    back_usual: datetime
    back_limit: datetime | None  # the limit that was asked for


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """What the day was planned with, in seconds."""

    drive_s: float | None
    park_s: float | None  # None without a drive
    set_up_s: float  # the first plate's handling included
    plates: int
    exposure_s: float  # of one plate, at the long end of its range
    exposing_s: float  # all plates and what lies between them
    pack_s: float
    margin_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherDay:
    """A day that works."""

    day: date
    window: LightWindow
    times: OutingTimes


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """Another subject that has its light before the limit, from the main one."""

    subject: str
    bearing_true_deg: float
    bearing_magnetic_deg: float | None
    distance_m: float
    usual_s: float  # on foot from the main camera position
    slow_s: float
    window: LightWindow
    begin: datetime  # of the light that is left when one is set up there
    end: datetime
    after: bool  # reached after the main exposures; else only in their place
    exposure: Seconds | None  # None: no batch, or dark


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingAnswer:
    """A day planned from door to door for one subject."""

    subject: str
    camera_position: str  # '' where none is on record
    zone: str
    day: date
    start_name: str
    window: LightWindow
    window_begun: bool  # before now: only what is left of it counts
    works: bool
    times: OutingTimes
    slack_start_s: float  # later than planned from the start, and the exposure still made
    slack_away_s: float | None  # later than planned from the subject, and still home in time
    out: tuple[OutLeg, ...]
    back: tuple[BackLeg, ...]
    short: tuple[Short, ...]
    next_day: OtherDay | None  # sought only where the day does not work
    sought_until: date | None
    near: tuple[Near, ...]
    batch: str
    f_number: float | None
    exposure: Seconds | None
    budget: Budget
    way: Approach
    blocked: str  # what stopped one last time
    next_time: str
    loaded: tuple[str, ...]  # sides of holders that are loaded, with their batch
    rests_on: tuple[str, ...]
    cautions: tuple[str, ...]


def can_be_kept(plan: datetime, latest: datetime | None) -> bool:
    """Whether a deadline is not over by plan already; of a day that works all can be kept."""
    return latest is None or latest >= plan - _ROUNDED


def exposure_lost(outing: OutingAnswer, leg: OutLeg) -> bool:
    """Whether by plan a leg's end is passed too late for the light, or all of it comes too late."""
    times = outing.times
    return not (
        can_be_kept(leg.arrive_slow, leg.pass_by) and can_be_kept(times.expose, times.expose_by)
    )


def too_far(leg: OutLeg) -> bool:
    """Whether by plan a leg's end is reached only after the time to turn back there."""
    return not can_be_kept(leg.arrive_slow, leg.turn_back)
