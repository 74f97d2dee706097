"""GeoPackage geometry blobs: points with `struct`, lines with numpy, and reading what a GIS wrote.

A blob is the header "GP", version, flags, srs_id and an optional envelope, then ISO WKB
(OGC 12-128r18, clause 2.1.3). x is longitude and y latitude whatever the reference system says.
What this notebook leaves out is written as nan: Z where a height is missing, M where a time is.

Ours:    POINT Z for single places, LINESTRING ZM (M = Unix seconds) for segments, LINESTRING Z
         for routes, little-endian, an x-y envelope on lines.
Read:    what a GIS may make of them too: either byte order, any envelope, 2D, Z, M or ZM,
         EWKB flags, and single-part multi geometries.
"""

from __future__ import annotations

import math
import struct
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from backbearing.records import Floats, Times

SRS_ID = 4326
_ENVELOPE_BYTES = {0: 0, 1: 32, 2: 48, 3: 48, 4: 64}
_LITTLE = 0x01  # flags, bit 0
_XY_ENVELOPE = 0x02  # flags, bits 1–3 = 1
_EMPTY = 0x10  # flags, bit 4
POINT, LINE, _MULTIPOINT, _MULTILINE = 1, 2, 4, 5
_POINT_Z, _LINE_Z, _LINE_ZM = 1001, 1002, 3002  # ISO WKB: +1000 Z, +2000 M, +3000 ZM
_POINT_BLOB = struct.Struct("<2sBBiBI3d")

Envelope = tuple[float, float, float, float]  # west, south, east, north


class BadGeometry(ValueError):
    """A blob that is no point or line of a GeoPackage; `what` is safe to print."""


class Run(NamedTuple):
    """Where one run of coordinates lies in a blob: a point, or the vertices of one line."""

    shape: int  # POINT or LINE
    order: str  # "<" or ">"
    has_z: bool
    has_m: bool
    offset: int
    length: int

    @property
    def width(self) -> int:
        return 2 + self.has_z + self.has_m


# ---------------------------------------------------------------- writing


def point_blob(longitude_deg: float, latitude_deg: float, height_m: float | None) -> bytes:
    """A POINT Z; a missing height is nan."""
    z = math.nan if height_m is None else height_m
    return _POINT_BLOB.pack(b"GP", 0, _LITTLE, SRS_ID, 1, _POINT_Z, longitude_deg, latitude_deg, z)


def _line_head(count: int, envelope: Envelope | None, wkb_type: int) -> bytes:
    if envelope is None:
        head = struct.pack("<2sBBi", b"GP", 0, _LITTLE | (0 if count else _EMPTY), SRS_ID)
    else:
        west, south, east, north = envelope
        head = struct.pack(
            "<2sBBi4d", b"GP", 0, _LITTLE | _XY_ENVELOPE, SRS_ID, west, east, south, north
        )
    return head + struct.pack("<BII", 1, wkb_type, count)


def segment_blob(
    longitude_deg: Floats, latitude_deg: Floats, height_m: Floats, time: Times
) -> bytes:
    """A LINESTRING ZM of n fixes, M in Unix seconds, written in one go.

    Arrays of one length; nan heights and NaT times become nan. A line of one vertex is no line
    to most readers, so a lone fix is written twice; the row's `points` column says 1.
    """
    import numpy as np

    n = len(longitude_deg)
    written = 2 if n == 1 else n
    body = np.empty((written, 4), dtype="<f8")
    body[:, 0] = longitude_deg
    body[:, 1] = latitude_deg
    body[:, 2] = height_m
    milliseconds = time.astype("datetime64[ms]")
    body[:, 3] = milliseconds.astype(np.int64) / 1000.0
    body[:, 3][np.broadcast_to(np.isnat(milliseconds), written)] = np.nan
    envelope = None
    if n:
        envelope = (
            float(longitude_deg.min()),
            float(latitude_deg.min()),
            float(longitude_deg.max()),
            float(latitude_deg.max()),
        )
    # joined as a buffer: `tobytes` and `+` would copy six megabytes twice
    return b"".join((_line_head(written, envelope, _LINE_ZM), body.data))


def route_blob(points: list[tuple[float, float, float | None]]) -> bytes:
    """A LINESTRING Z through (longitude, latitude, height or None); a lone point is doubled."""
    vertices = points * 2 if len(points) == 1 else points
    body = b"".join(struct.pack("<3d", x, y, math.nan if z is None else z) for x, y, z in vertices)
    envelope = None
    if points:
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        envelope = (min(xs), min(ys), max(xs), max(ys))
    return _line_head(len(vertices), envelope, _LINE_Z) + body


# ---------------------------------------------------------------- reading


def _header(blob: bytes) -> tuple[str, int, int, int]:
    """Byte order, envelope code, srs_id and where the WKB starts."""
    if not isinstance(blob, bytes) or len(blob) < 8 or blob[:2] != b"GP":
        raise BadGeometry("no GeoPackage geometry")
    flags = blob[3]
    order = "<" if flags & _LITTLE else ">"
    code = flags >> 1 & 0b111
    if code not in _ENVELOPE_BYTES or flags & 0x20:
        raise BadGeometry("a geometry header of an unknown kind")
    (srs_id,) = struct.unpack_from(order + "i", blob, 4)
    return order, code, srs_id, 8 + _ENVELOPE_BYTES[code]


def srs_id(blob: bytes) -> int:
    """The reference system a blob claims."""
    return _header(blob)[2]


def runs(blob: bytes) -> list[Run]:
    """The runs of coordinates in a blob: one for a point or line, several for a multi geometry.

    Raises BadGeometry where the blob is damaged, or holds something else.
    """
    *_, start = _header(blob)
    found: list[Run] = []
    try:
        _walk(blob, start, found, nested=False)
    except struct.error:
        raise BadGeometry("a geometry that breaks off") from None
    return found


def _walk(blob: bytes, offset: int, found: list[Run], *, nested: bool) -> int:
    order = "<" if blob[offset : offset + 1] == b"\x01" else ">"
    (code,) = struct.unpack_from(order + "I", blob, offset + 1)
    offset += 5
    has_z, has_m = bool(code & 0x80000000), bool(code & 0x40000000)  # EWKB
    code &= 0x0FFFFFFF
    has_z, has_m = has_z or code // 1000 in (1, 3), has_m or code // 1000 in (2, 3)
    shape = code % 1000
    if code >= 4000 or shape not in (POINT, LINE, _MULTIPOINT, _MULTILINE):
        raise BadGeometry("a geometry that is neither point nor line")
    count = 1
    if shape != POINT:
        (count,) = struct.unpack_from(order + "I", blob, offset)
        offset += 4
    if shape in (_MULTIPOINT, _MULTILINE):
        if nested:
            raise BadGeometry("a geometry nested too deep")
        for _ in range(count):  # a count that lies ends in struct.error at the blob's end
            offset = _walk(blob, offset, found, nested=True)
        return offset
    run = Run(shape, order, has_z, has_m, offset, count)
    end = offset + 8 * run.width * count
    if end > len(blob):
        raise BadGeometry("a geometry that breaks off")
    found.append(run)
    return end


def vertices(blob: bytes) -> list[tuple[float, float, float | None]]:
    """All vertices as (longitude, latitude, height or None), without numpy; for short ones."""
    out: list[tuple[float, float, float | None]] = []
    for run in runs(blob):
        size = 8 * run.width
        body = memoryview(blob)[run.offset : run.offset + size * run.length]
        for values in struct.iter_unpack(f"{run.order}{run.width}d", body):
            z = values[2] if run.has_z else math.nan
            if run.shape == POINT and math.isnan(values[0]) and math.isnan(values[1]):
                continue  # an empty point is written as nan nan
            out.append((values[0], values[1], z if math.isfinite(z) else None))
    return out


def read_point(blob: bytes) -> tuple[float, float, float | None]:
    """Longitude, latitude and height (None where missing) of a point [deg, deg, m].

    Raises BadGeometry where there is none, or where it lies outside the globe.
    """
    if (
        isinstance(blob, bytes) and len(blob) == _POINT_BLOB.size
    ):  # our own form, ten times quicker than the walk
        magic, version, flags, srs, order, kind, x, y, z = _POINT_BLOB.unpack(blob)
        ours = (magic, version, flags, srs, order, kind) == (b"GP", 0, 1, SRS_ID, 1, _POINT_Z)
        if ours and -90 <= y <= 90 and -180 <= x <= 180:
            return x, y, (z if math.isfinite(z) else None)
    found = vertices(blob)
    if len(found) != 1:
        raise BadGeometry("no single point" if found else "an empty point")
    x, y, height = found[0]
    if not (-90 <= y <= 90 and -180 <= x <= 180):
        raise BadGeometry("a point outside the globe")
    return x, y, height


def read_segments(
    blob: bytes, points: int | None = None
) -> list[tuple[Floats, Floats, Floats, Times]]:
    """Longitude, latitude, height and time arrays of each line in a blob.

    points: what the row says it holds; 1 undoes the doubling of a lone fix.
    A missing Z or M dimension is nan or NaT throughout. Raises BadGeometry.
    """
    import numpy as np

    lines: list[tuple[Floats, Floats, Floats, Times]] = []
    for run in runs(blob):
        if run.shape != LINE:
            raise BadGeometry("a point where a line should be")
        table: NDArray[np.float64] = np.frombuffer(
            blob, dtype=run.order + "f8", count=run.width * run.length, offset=run.offset
        ).reshape(run.length, run.width)
        if points == 1 and run.length == 2 and table[0].tobytes() == table[1].tobytes():
            table = table[:1]
        n = len(table)
        longitude, latitude = table[:, 0].astype(np.float64), table[:, 1].astype(np.float64)
        height = table[:, 2].astype(np.float64) if run.has_z else np.full(n, np.nan)
        time = np.full(n, np.datetime64("NaT", "ms"))
        if run.has_m:
            milliseconds = table[:, -1] * 1000.0
            known = np.abs(milliseconds) < 2.0**53  # false for nan and inf too
            time[known] = np.rint(milliseconds[known]).astype(np.int64).view("datetime64[ms]")
        lines.append((longitude, latitude, height, time))
    return lines


def envelope(blob: bytes) -> Envelope | None:
    """West, south, east and north [deg] of a geometry, None where it is empty.

    Taken from the header where it is there. Raises BadGeometry.
    """
    order, code, _, _ = _header(blob)
    if code:
        if len(blob) < 40:
            raise BadGeometry("a geometry that breaks off")
        west, east, south, north = struct.unpack_from(order + "4d", blob, 8)
        if not any(map(math.isnan, (west, east, south, north))):
            return west, south, east, north
    return measured_envelope(blob)


def measured_envelope(blob: bytes) -> Envelope | None:
    """The same, taken from the vertices whatever the header says. Raises BadGeometry."""
    found = vertices(blob)
    if not found:
        return None
    xs, ys = [v[0] for v in found], [v[1] for v in found]
    return min(xs), min(ys), max(xs), max(ys)
