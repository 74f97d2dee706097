"""What is to be photographed, from where, in what light; remarks, the bin and findings."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, time
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Mapping

    from backbearing.records.places import Bearing, Place


SubjectState = Literal["seen", "scouted", "waiting for light", "made", "gone"]
SUBJECT_STATES: tuple[SubjectState, ...] = ("seen", "scouted", "waiting for light", "made", "gone")


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherSky:
    """Light without sun that will also do, between two local clock times."""

    earliest: time
    latest: time


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedLight:
    """What the user wants of sun and sky at a subject; None or empty means 'no matter'."""

    delta_deg: tuple[float, float] | None = None  # |sun azimuth − camera bearing|, 0 … 180
    side: Literal["left", "right"] | None = None  # of the frame, where the sun must stand
    sun_altitude_deg: tuple[float, float] | None = None
    sun_azimuth_deg: tuple[float, float] | None = None  # clockwise from … to …
    direct_sun: bool | None = None  # True: sun on it; False: shade
    after_first_sun_min: tuple[float, float] | None = None  # first sun of the day at the spot
    before_last_sun_min: tuple[float, float] | None = None
    months: tuple[int, ...] = ()  # 1 … 12
    weekdays: tuple[int, ...] = ()  # 0 = Monday
    earliest: time | None = None  # local clock
    latest: time | None = None
    minimum_min: float = 10.0  # shorter windows are not worth the walk
    other_sky: OtherSky | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """A bearing taken to something else, to find the place again."""

    to: str
    bearing: Bearing


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraPosition:
    """Where the camera stands for a subject, and what was measured from there."""

    name: str = "main"
    place: Place
    bearing: Bearing | None = None  # camera → subject, the primary fact
    distance_m: float | None = None
    top_deg: float | None = None  # altitude angle of the subject's top from the camera
    foot_deg: float | None = None
    left_edge: Bearing | None = None
    right_edge: Bearing | None = None
    sightings: tuple[Sighting, ...] = ()
    wanted: WantedLight | None = None  # None: the subject's
    id: int | None = None
    subject_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """A thing to be photographed. A seen subject needs only a place and three words."""

    name: str
    place: Place
    state: SubjectState = "seen"
    words: str = ""
    tall_m: float | None = None
    wide_m: float | None = None
    facing_deg: float | None = None  # true azimuth the subject's face looks towards
    at_water: bool = False  # on the lowest ground within its error
    blocked: str = ""  # what stopped me
    next_time: str = ""  # what to change
    wanted: WantedLight | None = None
    uid: str = ""  # stays the same when the name changes
    marked_at: datetime | None = None
    id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A remark, kept as it was written; notes are added, never changed."""

    text: str
    written_at: datetime
    subject_id: int | None = None
    observed: Mapping[str, str] = field(default_factory=dict)  # "water": "low", "lit": "no", …
    source: str = "typed"  # or "notes.txt, line 3"
    id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Deleted:
    """Something in the bin, which `restore` brings back."""

    id: int
    kind: Literal[
        "subject",
        "camera position",
        "track",
        "waypoint",
        "route",
        "reading",
        "line",
        "passage",
        "plate",
        "photo",
        "field notes",
        "lines of a file",
    ]
    name: str
    deleted_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that `check` has to say about the notebook."""

    grade: Literal["fault", "remark"]  # a fault: something is lost, wrong or against a rule
    where: str  # "subjects, row 4", "GeoPackage, requirement 11"
    what: str
    remedy: str
