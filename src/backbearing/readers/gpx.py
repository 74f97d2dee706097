"""GPX 1.0 and 1.1 as it is met in the wild → a GpxFile, with every fault and its line.

A streaming expat parser with a table of what may stand where. Everything else (extensions,
other namespaces, elements in the wrong place) is passed over, so a point inside an extension
is never taken for one of the track's. A field that cannot be read is dropped alone, a point
without a usable position is dropped alone, and both are counted. A document type declaration
is refused where it stands, so nothing is ever expanded or fetched.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from xml.parsers import expat

import numpy as np

from backbearing.errors import BadFile, quoted
from backbearing.readers.faults import Action, Faults
from backbearing.readers.gpxfixes import fix_handlers
from backbearing.readers.gunzip import pieces
from backbearing.readers.mending import REPLACED, mended
from backbearing.readers.safexml import Handlers, SafeXml
from backbearing.readers.values import (
    FARTHEST_HEIGHT_M,
    NO_TIME,
    XML_SPACE,
    Instants,
    decimal,
    one_line,
    words,
)
from backbearing.records import GpxFile, Route, Segment, Track, Waypoint

NAMESPACES = frozenset(
    ("", "http://www.topografix.com/GPX/1/0", "http://www.topografix.com/GPX/1/1")
)
LONGEST_TEXT = {"name": 300, "sym": 300, "type": 300, "cmt": 20_000, "desc": 20_000}  # characters
MOST_FIXES = 2_000_000  # three weeks at one a second
MOST_PARTS = 100_000  # tracks, segments, routes, waypoints and route points together
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)

Table = dict[str, "_Step"]


def read_gpx(
    path: str | Path,
    *,
    content: bytes | None = None,
    progress: Callable[[str], None] | None = None,
) -> GpxFile:
    """What a GPX file holds, in its own order: tracks, routes, waypoints and every fault.

    path: the file, named in messages; read unless `content` gives its bytes (plain or gzip).
    progress: told in a line how much of a large file is read.
    Empty segments are left out, empty tracks and routes kept. Times are UTC: an offset is
    taken off, a time without a zone is read as UTC and said so; they are cut to milliseconds.
    Longitude 180 becomes −180, the same meridian. Missing heights are nan, missing times NaT.
    Where the file breaks off, what stands whole before it is kept and `truncated_at_line` set.

    Raises BadFile where the file cannot be opened, is not GPX, declares a document type or an
    encoding that is not listed, passes one of the caps named here, or holds no usable point.
    """
    path = Path(path)
    namespaces = True
    mend_from: str | None = None
    while True:
        reading = _Reading(path, namespaces=namespaces, mend_from=mend_from)
        reading.read(content, progress)
        if namespaces and reading.xml.unbound_prefix:
            # a prefix nobody declared ends a namespace-aware parse at the first extension
            namespaces = False
        elif mend_from is None and reading.rooted and reading.xml.mendable:
            mend_from = reading.xml.encoding
        else:
            return reading.finished()


class _Step:
    """What may stand inside an element, and what to do where it opens."""

    __slots__ = ("inside", "opened")

    def __init__(
        self,
        inside: Table | None = None,
        opened: Callable[[dict[str, str]], bool] | None = None,
    ) -> None:
        self.inside = inside or {}
        self.opened = opened  # returns False where the element is to be passed over


class _Reading:
    """One pass over one file.

    mend_from: the encoding the file declares, where it is to be mended; else None.
    """

    def __init__(self, path: Path, *, namespaces: bool, mend_from: str | None) -> None:
        self.path = path
        self.mend_from = mend_from
        self.xml = SafeXml(
            path, self.start_root, namespaces=namespaces, mending=mend_from is not None
        )
        self.handlers: Handlers = (self.start, self.end)
        self.faults = Faults()
        # what was read
        self.version = self.creator = ""
        self.tracks: list[Track] = []
        self.routes: list[Route] = []
        self.waypoints: list[Waypoint] = []
        self.points = self.parts = 0
        # where in the document we are
        self.rooted = self.closed = False
        self.prefix = ""
        self.point_names: frozenset[str] = frozenset()
        self.allowed: Table = {}
        self.stack: list[Table] = []
        self.closers: dict[str, Callable[[], None]] = {}
        # the open element, point, segment, track or route
        self.instants = Instants()
        self.latitude = self.longitude = 0.0
        self.height = math.nan
        self.ms = NO_TIME
        self.in_point = False
        self.point_fields: dict[str, str] = {}
        self.point_line = self.line = 0
        self.fields: dict[str, str] = {}
        self.columns = (array("d"), array("d"), array("d"), array("q"))
        self.segments: list[Segment] = []
        self.route_points: list[Waypoint] = []

    def read(self, content: bytes | None, progress: Callable[[str], None] | None) -> None:
        source = pieces(self.path, content, damaged=self.damaged, progress=progress)
        if self.mend_from is not None:
            source = mended(source, self.mend_from, self.mended)
        self.xml.run(source)

    def damaged(self, what: str) -> None:
        self.faults.count(self.xml.line, "gzip", what, "dropped")

    def mended(self, line: int, what: str) -> None:
        self.faults.count(line, "encoding" if what == REPLACED else "text", what, "repaired")

    def fault(self, field: str, what: str, *, value: str = "", repaired: bool = False) -> None:
        action: Action = "repaired" if repaired else "dropped"
        self.faults.add(self.xml.line, field, what, action, value=value.strip(XML_SPACE))

    # ------------------------------------------------------------ elements

    def start_root(self, name: str, attributes: dict[str, str]) -> None:
        namespace, _, local = name.rpartition(" ")
        if local.lower() == "html":
            raise self.xml.bad("is a web page, not GPX")
        if local != "gpx":
            raise self.xml.bad(f"its outermost element is {quoted(local, 30)}, not gpx")
        if namespace not in NAMESPACES:
            line = self.xml.line
            self.faults.add(line, "gpx", "is no known GPX namespace", "kept", value=namespace)
        self.rooted = True
        self.version = one_line(attributes.get("version", ""))[:10]
        self.creator = one_line(attributes.get("creator", ""))[: LONGEST_TEXT["name"]]
        self.prefix = prefix = namespace + " " if namespace else ""
        self.point_names = frozenset(prefix + n for n in ("wpt", "rtept", "trkpt"))

        def named(**steps: _Step) -> Table:
            return {prefix + local_name: step for local_name, step in steps.items()}

        text = _Step()
        fields = dict.fromkeys(("name", "cmt", "desc", "type"), text)
        fix = _Step(named(ele=text, time=text), self.start_position)
        point = _Step(named(ele=text, time=text, sym=text, **fields), self.start_point)
        segment = _Step(named(trkpt=fix), self.start_segment)
        track = _Step(named(trkseg=segment, **fields), self.start_part)
        route = _Step(named(rtept=point, **fields), self.start_part)
        self.allowed = named(wpt=point, rte=route, trk=track)
        self.stack.append({})
        closers: dict[str, Callable[[], None]] = {
            "gpx": self.end_root,
            "wpt": self.end_waypoint,
            "rte": self.end_route,
            "rtept": self.end_route_point,
            "trk": self.end_track,
            "trkseg": self.end_segment,
            "ele": self.end_height,
            "time": self.end_time,
        }
        for field in LONGEST_TEXT:
            closers[field] = self.text_closer(field)
        self.closers = {prefix + local_name: closer for local_name, closer in closers.items()}
        self.fix_handlers = fix_handlers(self, segment.inside, fix.inside)
        self.xml.handlers = self.handlers
        self.xml.resume()

    def start(self, name: str, attributes: dict[str, str]) -> None:
        step = self.allowed.get(name)
        if step is None:
            self.skip_foreign(name)
            return
        self.xml.text.clear()
        if step.opened is not None and not step.opened(attributes):
            self.xml.skip()
            return
        self.stack.append(self.allowed)
        self.allowed = step.inside

    def end(self, name: str) -> None:
        self.allowed = self.stack.pop()
        self.closers[name]()

    def skip_foreign(self, name: str) -> None:
        """Pass over an element that may not stand here; points lost with it are counted."""
        if not name.startswith(self.prefix) or name.endswith("extensions"):
            self.xml.skip()
            return
        self.count_misplaced(name)
        self.xml.skip(watch=self.count_misplaced)

    def count_misplaced(self, name: str) -> None:
        if name in self.point_names:
            self.fault(name[len(self.prefix) :], "stands where no point may stand")

    # ------------------------------------------------------------ points

    def start_position(self, attributes: dict[str, str]) -> bool:
        """Read a point's position; False where it is of no use."""
        self.height = math.nan
        self.ms = NO_TIME
        degrees = []
        for field, bound in (("lat", 90.0), ("lon", 180.0)):
            text = attributes.get(field)
            value = decimal(text) if text is not None else None
            if text is None:
                self.fault(field, "is missing")
            elif value is None:
                self.fault(field, "is no decimal number", value=text)
            elif not abs(value) <= bound:
                self.fault(field, f"is outside ±{bound:.0f}", value=text)
            else:
                degrees.append(value)
                continue
            return False
        self.latitude, self.longitude = degrees
        if self.longitude == 180.0:
            self.fault("lon", "180 was made −180, the same meridian", repaired=True)
            self.longitude = -180.0
        return True

    def start_point(self, attributes: dict[str, str]) -> bool:
        if not self.start_position(attributes):
            return False
        self.count_part()
        self.in_point = True
        self.point_fields = {}
        self.point_line = self.xml.line
        return True

    def end_height(self) -> None:
        self.height = self.read_height()

    def read_height(self) -> float:
        """The height in the open element [m], nan with a fault noted where it is none."""
        text = "".join(self.xml.text)
        height = decimal(text)
        if height is not None and abs(height) <= FARTHEST_HEIGHT_M:
            return height
        if text.strip(XML_SPACE):
            self.fault("ele", "is no height in metres", value=text)
        else:
            self.fault("ele", "is empty")
        return math.nan

    def end_time(self) -> None:
        self.ms = self.read_time()

    def read_time(self) -> int:
        """The instant in the open element, NO_TIME with a fault noted where it is none."""
        text = "".join(self.xml.text)
        found = self.instants.read(text)
        if found is None:
            what = "is no date and time" if text.strip(XML_SPACE) else "is empty"
            self.fault("time", what, value=text)
            return NO_TIME
        ms, has_zone, believable = found
        line = self.xml.line
        if not has_zone:
            self.faults.count(line, "time", "no zone is given; read as UTC", "kept")
        if not believable:
            self.faults.count(line, "time", "no year to walk in; the clock was not set", "kept")
        return ms

    def ended_point(self) -> Waypoint:
        self.in_point = False
        self.points += 1
        fields = self.point_fields
        return Waypoint(
            latitude_deg=self.latitude,
            longitude_deg=self.longitude,
            height_m=None if math.isnan(self.height) else self.height,
            time=None if self.ms == NO_TIME else EPOCH + timedelta(milliseconds=self.ms),
            name=fields.get("name", ""),
            comment=fields.get("cmt", ""),
            description=fields.get("desc", ""),
            symbol=fields.get("sym", ""),
            kind=fields.get("type", ""),
            line=self.point_line,
        )

    def end_waypoint(self) -> None:
        self.waypoints.append(self.ended_point())

    def end_route_point(self) -> None:
        self.route_points.append(self.ended_point())

    def text_closer(self, field: str) -> Callable[[], None]:
        tidy = words if field in ("cmt", "desc") else one_line
        longest = LONGEST_TEXT[field]

        def close() -> None:
            text = tidy("".join(self.xml.text))
            if len(text) > longest:
                text = text[: longest - 1] + "…"
                self.fault(field, f"was cut to {longest:,} characters", repaired=True)
            (self.point_fields if self.in_point else self.fields)[field] = text

        return close

    # ------------------------------------------------------------ tracks and routes

    def count_part(self) -> None:
        self.parts += 1
        if self.parts > MOST_PARTS:
            raise self.xml.bad(f"holds more than {MOST_PARTS:,} tracks, segments and waypoints")

    def start_part(self, attributes: dict[str, str]) -> bool:
        self.count_part()
        self.line = self.xml.line
        self.fields = {}
        return True

    def start_segment(self, attributes: dict[str, str]) -> bool:
        self.count_part()
        self.xml.handlers = self.fix_handlers
        self.xml.resume()
        return True

    def end_segment(self) -> None:
        longitudes, latitudes, heights, times = self.columns
        self.points += len(longitudes)
        if self.points > MOST_FIXES:
            raise self.xml.bad(f"holds more than {MOST_FIXES:,} fixes")
        if longitudes:
            segment = Segment(
                longitude_deg=np.array(longitudes),
                latitude_deg=np.array(latitudes),
                height_m=np.array(heights),
                time=np.array(times).view("datetime64[ms]"),
            )
            self.segments.append(segment)
        for column in self.columns:
            del column[:]

    def end_track(self) -> None:
        kind = self.fields.get("type", "")
        self.tracks.append(Track(**self.heading(), kind=kind, segments=tuple(self.segments)))
        self.segments.clear()

    def end_route(self) -> None:
        self.routes.append(Route(**self.heading(), points=tuple(self.route_points)))
        self.route_points.clear()

    def heading(self) -> dict[str, Any]:
        fields = self.fields
        return {
            "name": fields.get("name", ""),
            "comment": fields.get("cmt", ""),
            "description": fields.get("desc", ""),
            "line": self.line,
        }

    def end_root(self) -> None:
        self.closed = True

    # ------------------------------------------------------------ the end

    def finished(self) -> GpxFile:
        error = self.xml.error
        truncated_at_line = None
        if error is not None:
            reason = expat.ErrorString(error.code) or "not XML"
            if not self.rooted:
                raise BadFile(f"is not GPX ({reason})", path=self.path, line=error.lineno)
            if self.closed:
                self.faults.add(error.lineno, "gpx", "more stands after its end", "dropped")
            else:
                truncated_at_line = error.lineno
                self.end_segment()
                if self.segments:
                    self.end_track()
                if self.route_points:
                    self.end_route()
                what = f"the file breaks off here ({reason})"
                self.faults.add(error.lineno, "gpx", what, "dropped")
        faults = self.faults.in_order()
        if not self.points:
            lost = next((fault for fault in faults if fault.action == "dropped"), None)
            if lost is None:
                raise BadFile("holds no point", path=self.path)
            reason = f"{lost.field}: {lost.what}"
            raise BadFile(f"holds no usable point ({reason})", path=self.path, line=lost.line)
        return GpxFile(
            tracks=tuple(self.tracks),
            routes=tuple(self.routes),
            waypoints=tuple(self.waypoints),
            faults=faults,
            version=self.version,
            creator=self.creator,
            truncated_at_line=truncated_at_line,
        )
