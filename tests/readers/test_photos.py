"""What a photo's data say, on photos written byte by byte; and on bytes that are none."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from tests.readers.photo_bytes import (
    ASCII,
    LONG,
    PLACED,
    RATIONAL,
    SHORT,
    TAKEN,
    Tags,
    exif,
    jpeg,
    with_declared_size,
)

from backbearing.errors import BadFile
from backbearing.readers.photos import MOST_BYTES, photo_kind, read_photo
from backbearing.records import PHOTO_THUMBNAIL_BYTES, PhotoFile

GPS_TIME: Tags = {0x001D: (ASCII, "2026:03:14"), 0x0007: (RATIONAL, [(15, 1), (32, 1), (425, 100)])}

# one grey pixel: width, height, bits, compression, black is nought, where, how many bytes
SCAN: Tags = {
    0x0100: (SHORT, 1),
    0x0101: (SHORT, 1),
    0x0102: (SHORT, 8),
    0x0103: (SHORT, 1),
    0x0106: (SHORT, 1),
    0x0111: (LONG, 8),
    0x0117: (LONG, 1),
}


def read(own: Tags | None = None, gps: Tags | None = None, *, big: bool = False) -> PhotoFile:
    return read_photo("photo.jpg", content=jpeg(exif({}, own, gps, big=big)), thumbnail=False)


@pytest.mark.parametrize("big", [False, True])
def test_the_data_are_those_written_in_either_byte_order(big: bool) -> None:
    own: Tags = {**TAKEN, 0x9291: (ASCII, "25"), 0x920A: (RATIONAL, (425, 100))}
    gps: Tags = {
        **PLACED,
        **GPS_TIME,
        0x001F: (RATIONAL, (65, 10)),
        0x0010: (ASCII, "M"),
        0x0011: (RATIONAL, (21550, 100)),
    }
    photo = read(own, gps, big=big)
    assert str(photo.clock) == "2026-03-14 14:32:05.250000"
    assert photo.zone_offset == timedelta(hours=-1)
    assert photo.gps_time == datetime(2026, 3, 14, 15, 32, 4, 250_000, tzinfo=UTC)
    assert photo.latitude_deg == pytest.approx(47.01, abs=1e-12)
    assert photo.longitude_deg == pytest.approx(-21.0025, abs=1e-12)
    assert photo.gps_error_m == 6.5
    assert (photo.direction_deg, photo.direction_is_magnetic) == (215.5, True)
    assert photo.focal_mm == 4.25
    assert photo.faults == ()


def test_a_tiff_is_read_like_a_jpeg_and_gets_no_picture() -> None:
    tiff = exif(
        SCAN,
        TAKEN,
        PLACED,
    )
    photo = read_photo("scan.tif", content=tiff)
    assert str(photo.clock) == "2026-03-14 14:32:05"
    assert photo.latitude_deg == pytest.approx(47.01)
    assert photo.thumbnail == b""


def test_a_grid_of_the_ground_is_no_photo() -> None:
    with pytest.raises(BadFile, match="terrain add"):
        read_photo("ground.tif", content=exif({**SCAN, 34735: (SHORT, [1, 1, 0, 0])}))


def test_without_a_reference_a_direction_is_true() -> None:
    """DC-008 gives GPSImgDirectionRef the default T."""
    photo = read(TAKEN, {0x0011: (RATIONAL, (90, 1))})
    assert (photo.direction_deg, photo.direction_is_magnetic) == (90.0, False)


DROPPED: dict[str, tuple[Tags, Tags, str]] = {
    "latitude 91": ({}, {**PLACED, 0x0002: (RATIONAL, [(91, 1), (0, 1), (0, 1)])}, "GPSLatitude"),
    "longitude 181": (
        {},
        {**PLACED, 0x0004: (RATIONAL, [(181, 1), (0, 1), (0, 1)])},
        "GPSLatitude",
    ),
    "61 minutes": ({}, {**PLACED, 0x0002: (RATIONAL, [(4, 1), (61, 1), (0, 1)])}, "GPSLatitude"),
    "nothing by nothing": ({}, {**PLACED, 0x0002: (RATIONAL, [(0, 0)] * 3)}, "GPSLatitude"),
    "by nothing": ({}, {**PLACED, 0x0004: (RATIONAL, [(21, 0)] * 3)}, "GPSLatitude"),
    "no hemisphere": ({}, {**PLACED, 0x0001: (ASCII, "")}, "GPSLatitude"),
    "half a place": ({}, {0x0001: (ASCII, "N"), 0x0002: PLACED[0x0002]}, "GPSLatitude"),
    "nought, nought": (
        {},
        {**PLACED, 0x0002: (RATIONAL, [(0, 1)] * 3), 0x0004: (RATIONAL, [(0, 1)] * 3)},
        "GPSLatitude",
    ),
    "a lost fix": ({}, {**PLACED, 0x0009: (ASCII, "V")}, "GPSLatitude"),
    "another datum": ({}, {**PLACED, 0x0012: (ASCII, "TOKYO")}, "GPSLatitude"),
    "a latitude in words": ({}, {**PLACED, 0x0002: (ASCII, "north")}, "GPSLatitude"),
    "direction 361": (TAKEN, {0x0011: (RATIONAL, (361, 1))}, "GPSImgDirection"),
    "direction by nothing": (TAKEN, {0x0011: (RATIONAL, (1, 0))}, "GPSImgDirection"),
    "no north": (TAKEN, {0x0010: (ASCII, "X"), 0x0011: (RATIONAL, (9, 1))}, "GPSImgDirection"),
    "error by nothing": ({}, {**PLACED, 0x001F: (RATIONAL, (5, 0))}, "GPSHPositioningError"),
    "month 13": ({0x9003: (ASCII, "2026:13:14 14:32:05")}, {}, "DateTimeOriginal"),
    "year 1": ({0x9003: (ASCII, "0001:03:14 14:32:05")}, {}, "DateTimeOriginal"),
    "control characters": ({0x9003: (ASCII, "\x1b[2J2026:03:14 14:3")}, {}, "DateTimeOriginal"),
    "offset 99 h": ({**TAKEN, 0x9011: (ASCII, "+99:00")}, {}, "OffsetTimeOriginal"),
    "GPS hour 25": (
        {},
        {**GPS_TIME, 0x0007: (RATIONAL, [(25, 1), (0, 1), (0, 1)])},
        "GPSTimeStamp",
    ),
    "GPS time alone": ({}, {0x0007: GPS_TIME[0x0007]}, "GPSTimeStamp"),
}


@pytest.mark.parametrize("what", DROPPED)
def test_what_cannot_be_is_left_out_and_named(what: str) -> None:
    own, gps, field = DROPPED[what]
    photo = read(own, gps)
    assert [fault.field.split(",")[0] for fault in photo.faults] == [field]
    assert all(fault.what.isprintable() for fault in photo.faults)
    if field == "GPSLatitude":
        assert photo.latitude_deg is photo.longitude_deg is None
    if field == "DateTimeOriginal":
        assert photo.clock is None


@pytest.mark.parametrize("blank", ["    :  :     :  :  ", "0000:00:00 00:00:00", ""])
def test_a_time_that_is_not_known_is_no_fault(blank: str) -> None:
    photo = read({0x9003: (ASCII, blank)})
    assert photo.clock is None
    assert photo.faults == ()


def test_the_digitised_time_stands_in_for_the_original() -> None:
    photo = read({0x9004: (ASCII, "2026:03:14 14:32:05"), 0x9012: (ASCII, "+05:30")})
    assert str(photo.clock) == "2026-03-14 14:32:05"
    assert photo.zone_offset == timedelta(hours=5, minutes=30)


# ---------------------------------------------------------------- the small picture


def test_the_small_picture_is_upright_small_and_tells_nothing() -> None:
    own: Tags = {**TAKEN, 0x9286: (ASCII, "a name")}
    photo = jpeg(exif({0x0112: (SHORT, 6)}, own, PLACED), size=(1600, 1200))
    small = read_photo("photo.jpg", content=photo).thumbnail
    assert len(small) <= PHOTO_THUMBNAIL_BYTES
    assert b"Exif" not in small
    with Image.open(io.BytesIO(small)) as picture:
        assert picture.size == (240, 320)
        assert dict(picture.getexif()) == {}
        # Orientation 6: the first row lies to the right, the first column on top (DC-008)
        grey = np.asarray(picture.convert("L"))
        corners = {"upper right": int(grey[40, 200]), "upper left": int(grey[40, 40])}
    assert corners["upper right"] > 200 > 150 > corners["upper left"]


def test_a_noisy_picture_stays_below_twenty_kilobytes() -> None:
    out = io.BytesIO()
    Image.effect_noise((640, 640), 120).convert("RGB").save(out, "JPEG", quality=95)
    small = read_photo("noise.jpg", content=out.getvalue()).thumbnail
    assert 0 < len(small) <= PHOTO_THUMBNAIL_BYTES


def test_a_broken_picture_keeps_its_data_and_says_so() -> None:
    photo = jpeg(exif({}, TAKEN, PLACED), size=(640, 480))
    read_in = read_photo("photo.jpg", content=photo[: len(photo) - 2000])
    assert read_in.latitude_deg == pytest.approx(47.01)
    assert read_in.thumbnail == b""
    assert [fault.field for fault in read_in.faults] == ["thumbnail"]


# ---------------------------------------------------------------- what is refused


def test_a_bomb_is_refused_before_a_pixel_is_decoded() -> None:
    bomb = with_declared_size(jpeg(exif({}, TAKEN, PLACED)), 65_000, 65_000)
    with pytest.raises(BadFile, match="more pixels than a photo has"):
        read_photo("bomb.jpg", content=bomb)


def test_the_largest_size_let_through_is_decoded_at_an_eighth() -> None:
    large = with_declared_size(jpeg(exif({}, TAKEN, PLACED)), 13_000, 13_000)
    assert read_photo("large.jpg", content=large, thumbnail=False).latitude_deg is not None


def test_a_file_too_large_is_refused() -> None:
    with pytest.raises(BadFile, match="64 MB"):
        read_photo("photo.jpg", content=b"\xff\xd8\xff" + bytes(MOST_BYTES))


@pytest.mark.parametrize(
    ("kind", "head"),
    [
        ("HEIC", b"\0\0\0\x18ftypheic\0\0\0\0"),
        ("HEIC", b"\0\0\0\x18ftypmif1\0\0\0\0"),
        ("AVIF", b"\0\0\0\x18ftypavif\0\0\0\0"),
        ("PNG", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"),
        ("WebP", b"RIFF\x10\0\0\0WEBPVP8 "),
    ],
)
def test_other_kinds_are_refused_by_name(kind: str, head: bytes) -> None:
    assert photo_kind(head) == kind
    with pytest.raises(BadFile, match=f"is {kind}, which is not read here; save it as JPEG"):
        read_photo("photo", content=head)


GOOD = jpeg(
    exif({0x0112: (SHORT, 6)}, {**TAKEN, 0x920A: (RATIONAL, (4, 1))}, {**PLACED, **GPS_TIME})
)
EASY = settings(
    max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck)
)


@EASY
@given(
    changes=st.lists(
        st.tuples(st.integers(2, len(GOOD) - 1), st.integers(0, 255)), min_size=1, max_size=12
    ),
    end=st.integers(3, len(GOOD)),
)
def test_damaged_bytes_are_read_or_refused_and_nothing_else(
    changes: list[tuple[int, int]], end: int
) -> None:
    damaged = bytearray(GOOD)
    for at, value in changes:
        damaged[at] = value
    try:
        photo = read_photo("photo.jpg", content=bytes(damaged[:end]))
    except BadFile:
        return
    assert photo.latitude_deg is None or -90 <= photo.latitude_deg <= 90
    assert photo.longitude_deg is None or -180 <= photo.longitude_deg <= 180
    assert photo.direction_deg is None or 0 <= photo.direction_deg < 360
    assert all(fault.what.isprintable() for fault in photo.faults)


@EASY
@given(
    tags=st.dictionaries(
        st.sampled_from([*range(0x20), 0x9003, 0x9004, 0x9011, 0x9291, 0x920A, 0x0112]),
        st.one_of(
            st.tuples(st.just(ASCII), st.binary(max_size=24)),
            st.tuples(st.sampled_from([1, 3, 4]), st.lists(st.integers(0, 255), max_size=4)),
            st.tuples(
                st.just(RATIONAL),
                st.lists(st.tuples(st.integers(0, 2**32 - 1), st.integers(0, 3)), max_size=4),
            ),
        ),
    )
)
def test_tags_of_any_kind_and_count_do_no_harm(tags: Tags) -> None:
    content = jpeg(exif(tags, tags, tags))
    photo = read_photo("photo.jpg", content=content, thumbnail=False)
    assert photo.gps_error_m is None or photo.gps_error_m > 0
    assert photo.focal_mm is None or photo.focal_mm > 0
