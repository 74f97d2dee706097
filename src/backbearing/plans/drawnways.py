"""Walks, water, walls and paths near subjects, as lines fine enough to draw."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import cos, radians
from typing import TYPE_CHECKING

from backbearing.records import POSITION_ERROR_M, WATER_KINDS
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.notebook import Notebook
    from backbearing.records import LineKind, Place, Segment, StoredTrack, Subject, Waypoint

WALKS_WITHIN_M = 20_000.0  # of a subject on the sheet; with no subject all are drawn
SIMPLIFIED_TO_M = 4.0  # under the error of the fixes, over the width of the drawn line
MOST_DRAWN_FIXES = 40_000  # beyond it lines are drawn coarser, and the sheet says how coarse
COARSEST_M = 256.0
HALF_ROUND_DEG = 180.0  # a line wider than this runs over the antimeridian
METRES_A_DEGREE = 111_195.0  # of a great circle on the mean sphere, radius 6371.009 km
STEP_M = 10.0  # of a planned way, to which walked ground is told from other ground
_MOST_CORNERS = 1000  # of one drawn line of water
Line = tuple[tuple[float, float], ...]  # (latitude, longitude) in degrees; longitude unwrapped


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnTrack:
    """A walk and its lines as they are drawn: a break or a silence in the recording is a break
    here, and suspect fixes are left out."""

    track: StoredTrack
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnLine:
    """A line of the ground on record: water, a wall, a path."""

    name: str
    kind: LineKind
    line: Line

    @property
    def is_water(self) -> bool:
        """Whether it is drawn as water."""
        return self.kind in WATER_KINDS


def drawn_tracks(
    notebook: Notebook, around: Sequence[Subject] | None
) -> tuple[tuple[DrawnTrack, ...], float, list[str]]:
    """The walks near these subjects (all where None), coarse enough to draw, how coarse, and
    what is to be said of walks that cannot be read."""
    from backbearing.errors import NotebookError
    from backbearing.models.choosing import followed_runs
    from backbearing.notebook.tracks import list_tracks, load_track

    kept: list[tuple[StoredTrack, list[Segment]]] = []
    not_drawn: list[str] = []
    for stored in list_tracks(notebook):
        if not _bounds_near(stored.summary.bounds_deg, around):
            continue
        try:
            segments = load_track(notebook, stored.id).segments
        except NotebookError as error:  # another program broke it: the others are still good
            not_drawn.append(
                say(
                    "track {stored_id} is not drawn: {what}; {remedy}",
                    stored_id=stored.id,
                    what=error.what,
                    remedy=error.remedy,
                )
            )
            continue
        kept.append((stored, [run for segment in segments for run in followed_runs(segment)]))
    tolerance_m = SIMPLIFIED_TO_M
    while True:
        drawn = tuple(
            DrawnTrack(
                track=stored,
                lines=tuple(line for r in runs if (line := simplify(r, tolerance_m))),
            )
            for stored, runs in kept
        )
        fixes = sum(len(line) for each in drawn for line in each.lines)
        if fixes <= MOST_DRAWN_FIXES or tolerance_m >= COARSEST_M:
            return drawn, tolerance_m, not_drawn
        tolerance_m *= 2.0


def simplify(segment: Segment, tolerance_m: float) -> Line:
    """A segment's line with the fewest fixes that keep it within `tolerance_m` of the recorded one.

    Returns (latitude, longitude) pairs in degrees to 1e-6 (0.1 m), longitude unwrapped so that
    a line over the antimeridian has no jump; () for a segment without a fix. Fixes whose
    position is not a number are left out.
    Source: Douglas and Peucker 1973, as shapely does it, on a plane true at the segment's middle.
    """
    import numpy as np
    import shapely

    good = np.isfinite(segment.latitude_deg) & np.isfinite(segment.longitude_deg)
    latitude = segment.latitude_deg[good]
    if not latitude.size:
        return ()
    longitude = np.unwrap(segment.longitude_deg[good], period=360.0)
    east = np.cos(np.radians(float(np.median(latitude)))) * METRES_A_DEGREE
    plane = np.column_stack([longitude * east, latitude * METRES_A_DEGREE])
    if len(plane) > 2:
        line = shapely.simplify(shapely.LineString(plane), tolerance_m, preserve_topology=False)
        plane = shapely.get_coordinates(line)
    return tuple(
        (round(float(y) / METRES_A_DEGREE, 6), round(float(x) / east, 6)) for x, y in plane
    )


def drawn_lines(notebook: Notebook, around: Sequence[Subject] | None) -> tuple[DrawnLine, ...]:
    """Water, walls and paths near the subjects, each with no more corners than can be seen."""
    from backbearing.notebook.lines import list_lines

    found = []
    for each in list_lines(notebook):
        west, east = float(each.longitude_deg.min()), float(each.longitude_deg.max())
        south, north = float(each.latitude_deg.min()), float(each.latitude_deg.max())
        if east - west < HALF_ROUND_DEG and not _bounds_near((west, south, east, north), around):
            continue
        step = max(1, len(each.latitude_deg) // _MOST_CORNERS)
        corners = list(zip(each.latitude_deg.tolist(), each.longitude_deg.tolist(), strict=True))
        line = [*corners[:-1:step], corners[-1]]
        found.append(DrawnLine(name=each.name, kind=each.kind, line=tuple(line)))
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class WayPiece:
    """A stretch of a planned way that lies on one's own tracks throughout, or nowhere on them."""

    walked: bool
    line: Line
    length_m: float


def walked_within_m(drawn_to_m: float) -> float:
    """How near a drawn track a way counts as walked [m]."""
    return POSITION_ERROR_M["open"] + drawn_to_m + STEP_M


def way_pieces(way: Line, tracks: Sequence[DrawnTrack], drawn_to_m: float) -> tuple[WayPiece, ...]:
    """Which of a planned way was walked: what lies within the error of one's own tracks.

    That is a fix's under open sky, 95 in 100, what drawing took off (drawn_to_m), and a step of
    STEP_M, in which the way is judged and goes from cell to cell; lengths are on the mean sphere.
    """
    import numpy as np
    import shapely

    if len(way) < 2:
        return ()
    east = cos(radians(way[0][0])) * METRES_A_DEGREE
    plane = np.array([(lon * east, lat * METRES_A_DEGREE) for lat, lon in way])
    ways = [
        np.array([((lon - way[0][1] + 540) % 360 - 180 + way[0][1], lat) for lat, lon in line])
        * (east, METRES_A_DEGREE)
        for each in tracks
        for line in each.lines
        if len(line) > 1
    ]
    walked = shapely.MultiLineString(ways)
    shapely.prepare(walked)
    cut = shapely.get_coordinates(shapely.segmentize(shapely.linestrings(plane), STEP_M))
    middles = (cut[1:] + cut[:-1]) / 2
    near = shapely.dwithin(walked, shapely.points(middles), walked_within_m(drawn_to_m))
    lengths = np.hypot(*(cut[1:] - cut[:-1]).T)
    turns = [0, *(np.flatnonzero(np.diff(near.astype(int))) + 1).tolist(), len(near)]
    return tuple(
        WayPiece(
            walked=bool(near[begin]),
            line=tuple(
                (float(y) / METRES_A_DEGREE, float(x) / east) for x, y in cut[begin : end + 1]
            ),
            length_m=float(lengths[begin:end].sum()),
        )
        for begin, end in pairwise(turns)
        if end > begin
    )


def is_near(points: Sequence[Waypoint | Place], around: Sequence[Subject] | None) -> bool:
    if not points:
        return around is None
    longitudes = [p.longitude_deg for p in points]
    west = longitudes[0]
    east = west
    for longitude in longitudes[1:]:  # the shorter way round, as a walker goes
        step = (longitude - east + 540.0) % 360.0 - 180.0
        west, east = min(west, east + step), max(east, east + step)
    latitudes = [p.latitude_deg for p in points]
    return _bounds_near((west, min(latitudes), east, max(latitudes)), around)


def _bounds_near(
    bounds_deg: tuple[float, float, float, float] | None, around: Sequence[Subject] | None
) -> bool:
    """Whether a box comes within WALKS_WITHIN_M of a subject; the walk in it may pass wider."""
    if around is None:
        return True
    if bounds_deg is None:
        return False
    west, south, east, north = bounds_deg
    for subject in around:
        place = subject.place
        up = WALKS_WITHIN_M / METRES_A_DEGREE
        side = min(up / max(cos(radians(place.latitude_deg)), 1e-6), 180.0)
        past_west = (place.longitude_deg - west) % 360.0
        wide = east - west if east - west >= 360.0 else (east - west) % 360.0
        off_side = 0.0 if past_west <= wide else min(past_west - wide, 360.0 - past_west)
        if south - up <= place.latitude_deg <= north + up and off_side <= side:
            return True
    return False
