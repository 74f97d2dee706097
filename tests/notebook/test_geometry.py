"""GeoPackage blobs: what goes in comes out, and what a GIS makes of them is still read."""

from __future__ import annotations

import contextlib
import math
import struct

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.notebook import samples

from backbearing.notebook import geometry
from backbearing.records import Segment


@given(samples.longitudes, samples.latitudes, st.none() | samples.figures)
def test_a_point_comes_back_bit_for_bit(x: float, y: float, z: float | None) -> None:
    blob = geometry.point_blob(x, y, z)
    assert geometry.read_point(blob) == (x, y, z)
    assert geometry.envelope(blob) == (x, y, x, y)


@given(samples.segments())
def test_a_segment_comes_back_bit_for_bit(segment: Segment) -> None:
    blob = geometry.segment_blob(
        segment.longitude_deg, segment.latitude_deg, segment.height_m, segment.time
    )
    ((x, y, z, t),) = geometry.read_segments(blob, len(segment.longitude_deg))
    assert samples.same_segment(
        segment, Segment(longitude_deg=x, latitude_deg=y, height_m=z, time=t)
    )


def test_a_measure_is_unix_seconds() -> None:
    """M of the first of May 2024, 10:00:00.25 UTC, as `date -d … +%s` gives it."""
    one = samples.segment(2)
    blob = geometry.segment_blob(one.longitude_deg, one.latitude_deg, one.height_m, one.time)
    assert struct.unpack_from("<d", blob, len(blob) - 40) == (1714557600.25,)


def test_a_lone_fix_is_written_twice_because_a_line_needs_two() -> None:
    one = samples.segment(1)
    blob = geometry.segment_blob(one.longitude_deg, one.latitude_deg, one.height_m, one.time)
    assert len(geometry.vertices(blob)) == 2
    ((x, _, _, _),) = geometry.read_segments(blob, 1)
    assert len(x) == 1


def test_two_equal_fixes_stay_two() -> None:
    twice = samples.segment(2)
    x, y = twice.longitude_deg, twice.latitude_deg
    x[:], y[:], twice.height_m[:], twice.time[:] = x[0], y[0], 1.0, twice.time[0]
    ((again, _, _, _),) = geometry.read_segments(
        geometry.segment_blob(x, y, twice.height_m, twice.time), 2
    )
    assert len(again) == 2


def blob(wkb: bytes, flags: int = 1, envelope: bytes = b"") -> bytes:
    return struct.pack("<2sBBi", b"GP", 0, flags, 4326) + envelope + wkb


@pytest.mark.parametrize(
    ("wkb", "height_m"),
    [
        (struct.pack("<BI2d", 1, 1, -21.0, 47.0), None),
        (struct.pack(">BI2d", 0, 1, -21.0, 47.0), None),
        (struct.pack("<BI3d", 1, 1001, -21.0, 47.0, 5.0), 5.0),
        (struct.pack("<BI3d", 1, 2001, -21.0, 47.0, 5.0), None),
        (struct.pack("<BI4d", 1, 3001, -21.0, 47.0, 5.0, 9.0), 5.0),
        (struct.pack("<BI3d", 1, 0x80000001, -21.0, 47.0, 5.0), 5.0),
        (struct.pack("<BII", 1, 4, 1) + struct.pack("<BI2d", 1, 1, -21.0, 47.0), None),
    ],
    ids=["2D", "big-endian", "Z", "M", "ZM", "EWKB Z", "multipoint of one"],
)
def test_a_point_is_read_in_every_dress(wkb: bytes, height_m: float | None) -> None:
    assert geometry.read_point(blob(wkb)) == (-21.0, 47.0, height_m)


def test_every_envelope_is_passed_over() -> None:
    wkb = struct.pack("<BI2d", 1, 1, -21.0, 47.0)
    for code, size in ((1, 4), (2, 6), (3, 6), (4, 8)):
        dressed = blob(wkb, 1 | code << 1, struct.pack(f"<{size}d", *range(size)))
        assert geometry.read_point(dressed) == (-21.0, 47.0, None)


def test_a_line_without_times_reads_as_no_times() -> None:
    wkb = struct.pack("<BII", 1, 2, 2) + struct.pack("<4d", -21.0, 47.0, -20.9, 47.1)
    ((x, _, z, t),) = geometry.read_segments(blob(wkb), 2)
    assert x.tolist() == [-21.0, -20.9]
    assert np.isnan(z).all()
    assert np.isnat(t).all()


def test_a_line_split_in_two_is_read_as_two() -> None:
    one = struct.pack("<BII", 1, 2, 2) + struct.pack("<4d", 0, 1, 2, 3)
    both = geometry.read_segments(blob(struct.pack("<BII", 1, 5, 2) + one + one))
    assert len(both) == 2


NAN = math.nan


@pytest.mark.parametrize(
    "bad",
    [
        b"",
        b"GP",
        b"XX\x00\x01" + bytes(40),
        blob(struct.pack("<BI2d", 1, 1, NAN, NAN)),
        blob(struct.pack("<BI2d", 1, 1, -21.0, 97.0)),
        blob(struct.pack("<BI2d", 1, 1, -21.0, 47.0), flags=1 | 5 << 1),
        blob(struct.pack("<BI2d", 1, 1, -21.0, 47.0), flags=1 | 0x20),
        blob(struct.pack("<BI2d", 1, 1, -21.0, 47.0))[:-3],
        blob(struct.pack("<BII", 1, 4, 2**32 - 1)),
        blob(struct.pack("<BII", 1, 3, 0)),
        blob(struct.pack("<BII", 1, 4, 1) + struct.pack("<BII", 1, 4, 1)),
    ],
)
def test_what_is_no_point_is_refused(bad: bytes) -> None:
    with pytest.raises(geometry.BadGeometry):
        geometry.read_point(bad)


@given(st.binary(max_size=120))
def test_any_bytes_are_read_or_refused(noise: bytes) -> None:
    for bytes_given in (noise, b"GP\x00\x01" + noise):
        for read in (
            geometry.read_point,
            geometry.vertices,
            geometry.envelope,
            geometry.read_segments,
        ):
            with contextlib.suppress(geometry.BadGeometry):
                read(bytes_given)


def test_a_count_that_lies_costs_nothing() -> None:
    """A line that claims four thousand million vertices is refused before any room is made."""
    with pytest.raises(geometry.BadGeometry):
        geometry.read_segments(blob(struct.pack("<BII", 1, 3002, 2**32 - 1) + bytes(64)))
