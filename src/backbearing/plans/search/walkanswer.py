"""The next walk of a search as it is answered: its stops in order, and what they promise."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date, datetime

    from backbearing.records import LightWindow, PassageKind

Line = tuple[tuple[float, float], ...]  # latitude, longitude


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchStop:
    """A place to look through, when, for how long, and what that promises."""

    name: str  # "left side 0.9–1.1 km above the weir", as `likely` names it
    latitude_deg: float
    longitude_deg: float
    share: float  # chance that it is there, and no look before on this walk found it
    walk_s: float  # to it from the stop before, at the slow pace
    arrive: datetime
    look_s: float
    leave: datetime
    chance_seen: float  # chance I would see it, were it there
    chance_so_far: float  # that it is found by then
    home_s: float  # from it to the start, at the slow pace
    expose_by: datetime | None  # found here by then, it is exposed and one is back in time
    too_late: bool  # found here, it could not be set up and exposed any more
    way: Line  # to it


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """A row of stops and the way home; `chance` counts what it finds itself."""

    stops: tuple[SearchStop, ...]
    chance: float
    home_s: float  # the way back to the start, at the slow pace
    back: datetime
    way_home: Line


@dataclass(frozen=True, slots=True, kw_only=True)
class Trying:
    """A passage that the walk goes to see: nobody knows whether it is open."""

    name: str
    kind: PassageKind
    chance_open: float  # common practice, no source
    last_found: str
    at: datetime
    walk_s: float  # to it from the stop before, at the slow pace
    way: Line
    if_open: Branch
    if_shut: Branch


@dataclass(frozen=True, slots=True, kw_only=True)
class GiveUp:
    """The latest arrival at the subject that still leaves set-up and exposure."""

    found_by: datetime
    window: LightWindow
    set_up_s: float
    exposing_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Fallback:
    """The subject to go to when this one is not found, and when to leave for it."""

    subject: str
    leave_by: datetime
    walk_s: float  # from the stop farthest from it, at the slow pace
    window: LightWindow


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """How likely it is found by an instant, over what passages may turn out to be."""

    at: datetime
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchWalkAnswer:
    """The next walk for a subject that is not found yet."""

    subject: str
    zone: str
    day: date
    start_name: str
    leave: datetime
    back_limit: datetime
    limited_by: str  # "the time given", "usable light", "back by"
    kept_s: float  # between that and dark or the limit, for setting up, exposing and packing
    back_if_found: datetime | None  # found and exposed at any place; None: nowhere in time
    chance: float  # that this walk finds it
    chance_in_time: float | None  # that it is found in time to be exposed; None: no light for that
    chance_without_trying: float | None  # the best walk that tries no doubtful passage
    even_chance: float  # an even sweep of equal length, at its best, passages tried where it pays
    here: float  # chance that it is on the ground considered
    elsewhere: float
    gone: float
    not_reached: float  # chance on ground that this walk cannot reach in its time
    stops: tuple[SearchStop, ...]  # before the passage, or all
    trying: Trying | None
    home: Branch | None  # without a passage to try: the way home (no stops of its own)
    curve: tuple[CurvePoint, ...]
    give_up: GiveUp | None  # None: no light as wanted on the day
    fallback: Fallback | None
    look_until: datetime | None
    chance_by_then: float | None
    range_m: float  # at which it is just seen on open ground
    sweep_m: float  # on open ground
    places: int  # that were weighed
    missing: str  # terrain on record that is not there, said before all else; '' for none
    remarks: tuple[str, ...]  # on the shares it goes by: clues left out, and the like
    rests_on: tuple[str, ...]
    cautions: tuple[str, ...]
