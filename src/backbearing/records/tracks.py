"""Walks as recorded and planned, and the files they came from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from backbearing.records.arrays import Floats, Times


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Segment:
    """Fixes recorded without a break: four arrays of one length; nothing is bridged between two."""

    longitude_deg: Floats
    latitude_deg: Floats
    height_m: Floats  # nan where missing
    time: Times  # datetime64[ms] UTC, NaT where missing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Track:
    """A recorded walk (GPX `trk`)."""

    name: str = ""
    comment: str = ""
    description: str = ""
    kind: str = ""  # GPX `type`
    segments: tuple[Segment, ...] = ()
    line: int | None = None  # where it starts in the file it came from


@dataclass(frozen=True, slots=True, kw_only=True)
class Waypoint:
    """A named point (GPX `wpt`, or a point of a route)."""

    latitude_deg: float
    longitude_deg: float
    height_m: float | None = None
    time: datetime | None = None
    name: str = ""
    comment: str = ""
    description: str = ""
    symbol: str = ""
    kind: str = ""
    line: int | None = None
    id: int | None = None  # its number in the notebook


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """A planned walk (GPX `rte`)."""

    name: str = ""
    comment: str = ""
    description: str = ""
    points: tuple[Waypoint, ...] = ()
    line: int | None = None
    id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing in a file that was not as it should be, and what was done about it."""

    line: int
    field: str  # "lat", "ele", "time", "trkseg", …
    what: str  # one clause, safe to print
    action: Literal["dropped", "repaired", "kept"]
    count: int = 1  # how many this line speaks for: a file may have more than can be listed


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GpxFile:
    """What one GPX file holds, in its own order, with every fault found on the way."""

    tracks: tuple[Track, ...] = ()
    routes: tuple[Route, ...] = ()
    waypoints: tuple[Waypoint, ...] = ()
    faults: tuple[Fault, ...] = ()
    version: str = "1.1"
    creator: str = ""
    truncated_at_line: int | None = None  # set where the file broke off and the part before stands


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A pause on a track: robust centre of its fixes, error from their scatter."""

    start: datetime
    end: datetime
    latitude_deg: float
    longitude_deg: float
    height_m: float | None
    error_m: float  # 95 %, from the scatter, never divided by the root of the count
    fixes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkSummary:
    """A track in numbers; None where the track carries no heights or no times."""

    points: int
    length_m: float
    ascent_m: float | None
    descent_m: float | None
    moving_s: float | None
    standing_s: float | None
    suspect_fixes: int
    gaps: int
    started: datetime | None
    ended: datetime | None
    bounds_deg: tuple[float, float, float, float] | None  # west, south, east, north


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredTrack:
    """A track's line in the notebook, without its fixes."""

    id: int
    name: str
    comment: str
    description: str
    kind: str
    file_name: str
    segments: int
    summary: WalkSummary


Media = Literal["gpx", "notes", "lines"]
MEDIA: tuple[Media, ...] = ("gpx", "notes", "lines")


@dataclass(frozen=True, slots=True, kw_only=True)
class Original:
    """A file as it was given, kept so that nothing of it is lost."""

    sha256: str
    file_name: str  # the last part only, never a path
    media: Media
    content: bytes
    faults: tuple[Fault, ...] = ()
