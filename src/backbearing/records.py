"""The nouns: frozen records with units in their names, and nothing that computes.

Angles are degrees; azimuths and bearings clockwise from true north; altitude is above the
horizontal, height is metres above sea level (or of a thing above its foot, `tall_m`).
Single instants are aware datetimes in UTC; arrays of instants are `datetime64[ms]` in UTC.
Missing heights are nan and missing times NaT in arrays, None in single values.
Latitude and longitude are WGS 84. `error_m` is the radius that holds the true place 95 times
in a hundred. numpy is named for types only, so a command that needs no arrays never loads it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, time
from math import nan
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Times = NDArray[np.datetime64]

SubjectState = Literal["seen", "scouted", "waiting for light", "made", "gone"]
SUBJECT_STATES: tuple[SubjectState, ...] = ("seen", "scouted", "waiting for light", "made", "gone")

SkyOpenness = Literal["open", "trees", "walls", "memory"]
POSITION_ERROR_M: dict[SkyOpenness, float] = {
    # 95 % radius where the user gives none; common practice, no source
    "open": 10.0,
    "trees": 20.0,
    "walls": 40.0,
    "memory": 100.0,
}

# ---------------------------------------------------------------- places


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A position with its error and how it was come by."""

    latitude_deg: float
    longitude_deg: float
    height_m: float | None = None
    error_m: float
    error_basis: str  # "given", or "assumed: open sky", "scatter of 14 fixes at a stop", …
    source: str = ""  # "typed", "waypoint 012", "track 3 at 14:32 UTC", "215° 8 m from …"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing:
    """A direction over the ground, made true, with what it was made from."""

    true_deg: float
    error_deg: float  # 95 %
    as_written: str  # "215M"
    declination_deg: float | None = None  # east positive; None where it was given as true
    basis: str = "given"  # or "assumed: back bearing of the facing wall", …


# ---------------------------------------------------------------- tracks


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Original:
    """A file as it was given, kept so that nothing of it is lost."""

    sha256: str
    file_name: str  # the last part only, never a path
    media: Literal["gpx", "notes"]
    content: bytes
    faults: tuple[Fault, ...] = ()


# ---------------------------------------------------------------- subjects


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
    kind: Literal["subject", "camera position", "track", "waypoint", "route"]
    name: str
    deleted_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that `check` has to say about the notebook."""

    grade: Literal["fault", "remark"]  # a fault: something is lost, wrong or against a rule
    where: str  # "subjects, row 4", "GeoPackage, requirement 11"
    what: str
    remedy: str


# ---------------------------------------------------------------- terrain

GroundKind = Literal["bare ground", "surface", "not known"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grid:
    """A window of ground heights, read and masked: numbers only, in the raster's own projection."""

    height_m: NDArray[np.float32]  # (rows, columns), row 0 northernmost, nan where void
    x_first: float  # centre of the cell in row 0, column 0, in units of the projection
    y_first: float
    x_step: float  # to the next column
    y_step: float  # to the next row, negative
    crs: str  # anything pyproj reads
    cell_m: float  # size of a cell over the ground
    vertical_error_m: float  # 95 %
    ground: GroundKind
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TerrainLayer:
    """A raster of ground heights by its description; its numbers stay in its own file."""

    path: str  # absolute
    came_with: str = ""  # the folder or VRT it was added with, '' where it was named itself
    kind: Literal["GeoTIFF", "HGT", "ASCII grid"]
    crs: str  # anything pyproj reads
    columns: int
    rows: int
    x_first: float  # centre of the north-western cell, in units of the projection
    y_first: float
    x_step: float  # to the next column, positive
    y_step: float  # to the next row, negative
    cell_m: float  # longer side of a cell over the ground, amid the raster
    ground: GroundKind
    vertical_error_m: float  # 95 %
    vertical_error_basis: Literal["given", "assumed from the cell size"]
    unit_m: float  # metres in one unit of its heights
    unit_basis: Literal["given", "stated in the file", "assumed"]
    void_value: float | None = None  # marks a void, beside what the file itself declares
    voids: float  # share of the cells looked at that hold no height
    lowest_m: float  # of the cells looked at
    highest_m: float
    bounds_deg: tuple[float, float, float, float]  # west, south, east, north; west > east at 180°
    fingerprint: str  # of its content
    stamp: str  # size and time of change, as last seen: equal stamps spare a new fingerprint
    id: int | None = None  # its number in the notebook


# ---------------------------------------------------------------- light


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Skyline:
    """The terrain's altitude angle in each azimuth as seen from a spot: arrays of one length."""

    azimuth_deg: Floats  # ascending, 0 ≤ a < 360
    altitude_deg: Floats
    distance_m: Floats  # to what blocks; nan where nothing does
    reach_m: Floats  # how far the data go
    basis: str  # "flat horizon assumed", "terrain of 10 m cells, bare ground …"
    # of a skyline worked out from terrain; None or nan where there was none
    eye_height_m: float = nan  # above sea level: the ground's height and the eye's over it
    cell_m: Floats | None = None  # of the grid that holds what blocks
    vertical_error_m: Floats | None = None  # 95 %, of the height of what blocks
    void_m: Floats | None = None  # ground within reach of which nothing is known


@dataclass(frozen=True, slots=True, kw_only=True)
class LightWindow:
    """A contiguous time in which the wanted light is met."""

    subject: str
    camera_position: str
    day: date  # local civil day
    zone: str  # IANA name of the local clock, "Atlantic/Azores"
    start: datetime
    best: datetime
    end: datetime
    plus_minus_min: float
    score: float  # 0 … 1, only for ordering
    sky: Literal["clear", "overcast"]
    sun_azimuth_deg: float  # at the best minute
    sun_altitude_deg: float
    delta_deg: float | None  # |sun azimuth − camera bearing|, None without a bearing
    lit_from: str  # "side-lit from the left", "no bearing on record", …
    why: str  # one sentence
    rests_on: tuple[str, ...]  # "flat horizon assumed", "position ± 40 m (assumed: under walls)"
    alike: tuple[date, date] | None = None  # the days around with much the same window
    doubtful: bool = False  # shorter than twice its own error: it may not be there at all


Json = dict[str, Any]
