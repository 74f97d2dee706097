"""A photo's own data: when it was taken, where, which way it looked; and a small picture of it.

The data are Exif's (CIPA DC-008), read without decoding a single pixel. A photo is hostile input
like any other: what cannot be, is left out and named, and nothing in it becomes a path.
"""

from __future__ import annotations

import io
import math
import re
import warnings
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from backbearing.errors import BadFile, quoted
from backbearing.records import PHOTO_THUMBNAIL_BYTES, Fault, PhotoFile

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from PIL.Image import Image

MOST_BYTES = 64 * 1024 * 1024
THUMBNAIL_PX = 320
# a progressive JPEG is held whole before it is made smaller: 6 bytes for each of these
MOST_PROGRESSIVE_PX = 60_000_000
EARLIEST_YEAR, LATEST_YEAR = 1990, 2100

_JPEG, _TIFF = b"\xff\xd8\xff", (b"II*\0", b"MM\0*")
_GEO_TAGS = (33550, 33922, 34264, 34735)  # of GeoTIFF (OGC 19-008r4)
_EXIF_IFD, _GPS_IFD = 0x8769, 0x8825
_DATE_TIME = re.compile(r"(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)")
_OFFSET = re.compile(r"([+-])(\d\d):(\d\d)")
# which way to turn the picture that lies as Exif's Orientation says, in Pillow's numbers
_UPRIGHT = {2: 0, 3: 3, 4: 1, 5: 5, 6: 4, 7: 6, 8: 2}

PhotoKind = Literal["JPEG", "TIFF", "HEIC", "AVIF", "PNG", "WebP"]


def photo_kind(head: bytes) -> PhotoKind | None:
    """Which kind of picture a file is, by its first twelve bytes or more; None: none known."""
    if head.startswith(_JPEG):
        return "JPEG"
    if head.startswith(_TIFF):
        return "TIFF"
    if head[4:8] == b"ftyp":
        brand = head[8:12]
        if brand.startswith(b"avi"):
            return "AVIF"
        return "HEIC" if brand[:3] in (b"hei", b"hev", b"mif", b"msf") else None
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    return "WebP" if head[:4] == b"RIFF" and head[8:12] == b"WEBP" else None


def read_photo(path: str | Path, *, content: bytes, thumbnail: bool = True) -> PhotoFile:
    """What a photo's own data say, and a small upright picture of it [320 px, 20 kB at most].

    content: the file's bytes. thumbnail: whether to make the picture, for which alone pixels are
    decoded; of a TIFF none is made. Raises BadFile for what is no JPEG or TIFF, is larger than
    MOST_BYTES, declares more pixels than Pillow's limit, or is terrain.
    """
    _refuse(path, content)
    from PIL import Image

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of damaged data: told as faults
        try:
            image = Image.open(io.BytesIO(content), formats=("JPEG", "TIFF"))
        except Image.DecompressionBombError as error:
            raise BadFile(
                "declares more pixels than a photo has",
                path=path,
                remedy="save it smaller and import that",
            ) from error
        except Exception as error:  # a parser of foreign bytes may raise anything
            raise BadFile("is damaged: it cannot be read as a photo", path=path) from error
        with image:
            if any(tag in getattr(image, "tag_v2", {}) for tag in _GEO_TAGS):
                raise BadFile(
                    "is a grid of the ground, not a photo", path=path, remedy="use 'terrain add'"
                )
            return _read(image, thumbnail)


def _refuse(path: str | Path, content: bytes) -> None:
    if len(content) > MOST_BYTES:
        raise BadFile(
            f"is larger than {MOST_BYTES // 2**20} MB",
            path=path,
            remedy="save it smaller and import that",
        )
    kind = photo_kind(content[:12])
    if kind is None:
        raise BadFile("is no photo that can be read here", path=path, remedy="save it as JPEG")
    if kind not in ("JPEG", "TIFF"):
        raise BadFile(f"is {kind}, which is not read here", path=path, remedy="save it as JPEG")


def _read(image: Image, thumbnail: bool) -> PhotoFile:
    data = _Data()
    try:
        exif = image.getexif()
        base: Mapping[int, Any] = dict(exif)
        own = dict(exif.get_ifd(_EXIF_IFD))
        gps = dict(exif.get_ifd(_GPS_IFD))
    except Exception:  # foreign bytes again
        data.drop("Exif", "its data are damaged")
        base, own, gps = {}, {}, {}
    clock, zone_offset = data.clock(own)
    latitude_deg, longitude_deg = data.position(gps)
    direction_deg, is_magnetic = data.direction(gps)
    lies = base.get(0x0112)
    turn = _UPRIGHT.get(lies) if isinstance(lies, int) else None
    return PhotoFile(
        clock=clock,
        zone_offset=zone_offset,
        gps_time=data.gps_time(gps),
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        gps_error_m=data.above_zero(gps, 0x001F, "GPSHPositioningError", 100_000.0),
        direction_deg=direction_deg,
        direction_is_magnetic=is_magnetic,
        focal_mm=data.above_zero(own, 0x920A, "FocalLength", 10_000.0),
        thumbnail=_thumbnail(image, turn, data.drop) if thumbnail else b"",
        faults=tuple(data.faults),
    )


class _Data:
    """Reads values one by one and keeps what was wrong with them."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []

    def drop(self, field: str, what: str) -> None:
        self.faults.append(Fault(line=0, field=field, what=what, action="dropped"))

    def clock(self, own: Mapping[int, Any]) -> tuple[datetime | None, timedelta | None]:
        """DateTimeOriginal, else DateTimeDigitized, with its sub-seconds and its offset tag."""
        for tag, subseconds, offset, name in (
            (0x9003, 0x9291, 0x9011, "DateTimeOriginal"),
            (0x9004, 0x9292, 0x9012, "DateTimeDigitized"),
        ):
            written = _text(own.get(tag)).strip()
            if not written.strip(": 0"):  # "    :  :     :  :  " is the standard's 'unknown'
                continue
            parts = _DATE_TIME.fullmatch(written)
            try:
                if parts is None or not EARLIEST_YEAR <= int(parts[1]) <= LATEST_YEAR:
                    raise ValueError("no time")
                clock = datetime(*map(int, parts.groups()))  # type: ignore[arg-type]  # noqa: DTZ001
            except ValueError:
                self.drop(name, f"{quoted(written, 30)} is no time")
                continue
            digits = _text(own.get(subseconds)).strip()
            if digits.isascii() and digits.isdigit():
                clock += timedelta(seconds=int(digits[:6]) / 10 ** len(digits[:6]))
            return clock, self._offset(_text(own.get(offset)).strip())
        return None, None

    def _offset(self, written: str) -> timedelta | None:
        if not written.strip(": "):
            return None
        parts = _OFFSET.fullmatch("+00:00" if written == "Z" else written)
        if parts is None or int(parts[2]) > 14 or int(parts[3]) > 59:
            self.drop("OffsetTimeOriginal", f"{quoted(written, 30)} is no offset from UTC")
            return None
        offset = timedelta(hours=int(parts[2]), minutes=int(parts[3]))
        return -offset if parts[1] == "-" else offset

    def gps_time(self, gps: Mapping[int, Any]) -> datetime | None:
        """GPSDateStamp and GPSTimeStamp, which are UTC."""
        day, clock = _text(gps.get(0x001D)).strip(), gps.get(0x0007)
        if not day and clock is None:
            return None
        parts = re.fullmatch(r"(\d{4})[:-](\d\d)[:-](\d\d)", day)
        hms = _numbers(clock)
        try:
            if parts is None or hms is None or len(hms) != 3:
                raise ValueError("no time")
            year, month, date = map(int, parts.groups())
            if not EARLIEST_YEAR <= year <= LATEST_YEAR or not all(
                0 <= value < limit for value, limit in zip(hms, (24, 60, 61), strict=True)
            ):
                raise ValueError("no time")
            midnight = datetime(year, month, date, tzinfo=UTC)
            return midnight + timedelta(hours=hms[0], minutes=hms[1], seconds=hms[2])
        except ValueError:
            self.drop("GPSTimeStamp", "its GPS time is none")
            return None

    def position(self, gps: Mapping[int, Any]) -> tuple[float | None, float | None]:
        """GPSLatitude and GPSLongitude, degrees in WGS 84; both or neither."""
        if gps.get(0x0002) is None and gps.get(0x0004) is None:
            return None, None
        latitude_deg = _degrees(gps.get(0x0002), _text(gps.get(0x0001)), "N", "S", 90.0)
        longitude_deg = _degrees(gps.get(0x0004), _text(gps.get(0x0003)), "E", "W", 180.0)
        datum = _text(gps.get(0x0012)).strip().upper()
        if latitude_deg is None or longitude_deg is None:
            self.drop("GPSLatitude, GPSLongitude", "they are no place on the globe")
        elif latitude_deg == 0.0 == longitude_deg:
            self.drop("GPSLatitude, GPSLongitude", "0° 0° is what a receiver without a fix writes")
        elif _text(gps.get(0x0009)).strip().upper() == "V":
            self.drop("GPSLatitude, GPSLongitude", "the receiver had lost its fix (GPSStatus V)")
        elif datum and not datum.startswith("WGS"):
            what = f"their datum is {quoted(datum, 20)}, not WGS 84"
            self.drop("GPSLatitude, GPSLongitude", what)
        else:
            return latitude_deg, longitude_deg
        return None, None

    def direction(self, gps: Mapping[int, Any]) -> tuple[float | None, bool]:
        """GPSImgDirection [deg] and whether magnetic north rules it; without a ref it is true."""
        value = gps.get(0x0011)
        if value is None:
            return None, False
        figure, by = _number(value), _text(gps.get(0x0010)).strip().upper() or "T"
        if figure is None or not 0.0 <= figure <= 360.0:
            self.drop("GPSImgDirection", "it is no direction")
        elif by not in ("T", "M"):
            self.drop("GPSImgDirection", "it names no north, true or magnetic")
        else:
            return figure % 360.0, by == "M"
        return None, False

    def above_zero(
        self, values: Mapping[int, Any], tag: int, name: str, most: float
    ) -> float | None:
        value = values.get(tag)
        figure = _number(value)
        if figure is not None and 0.0 < figure <= most:
            return figure
        if value is not None and figure != 0.0:  # nought is how 'unknown' is written
            self.drop(name, "it is no figure that can be")
        return None


def _thumbnail(image: Image, turn: int | None, drop: Callable[[str, str], None]) -> bytes:
    """A small upright JPEG of the picture that carries no data; b"" where it cannot be made."""
    from PIL.Image import Transpose

    if image.format not in ("JPEG", "MPO"):
        return b""
    width, height = image.size
    if image.info.get("progressive") and width * height > MOST_PROGRESSIVE_PX:
        drop("thumbnail", "it has too many pixels for one to be made")
        return b""
    try:
        image.draft("RGB", (THUMBNAIL_PX, THUMBNAIL_PX))  # decoded at an eighth where it can be
        small = image.convert("RGB")
        small.thumbnail((THUMBNAIL_PX, THUMBNAIL_PX))
        if turn is not None:
            small = small.transpose(Transpose(turn))
        small.info.clear()
        for quality in (72, 55, 40, 25, 10):
            out = io.BytesIO()
            small.save(out, "JPEG", quality=quality, optimize=True)
            if out.tell() <= PHOTO_THUMBNAIL_BYTES:
                return out.getvalue()
    except Exception:  # a decoder of foreign bytes may raise anything
        drop("thumbnail", "the picture is damaged, so none could be made")
        return b""
    return b""


def _text(value: Any) -> str:
    """An ASCII tag up to its NUL; '' for what is none."""
    if isinstance(value, bytes):
        value = value.decode("ascii", "replace")
    return value.split("\0", 1)[0] if isinstance(value, str) else ""


def _number(value: Any) -> float | None:
    """A rational or whole number as it is; None for a denominator of nought and what is none."""
    if isinstance(value, tuple) and len(value) == 1:
        value = value[0]
    if isinstance(value, str | bytes | tuple | list) or value is None:
        return None
    try:
        figure = float(value)
    except (ValueError, TypeError, ArithmeticError):
        return None
    return figure if math.isfinite(figure) else None


def _numbers(value: Any) -> list[float] | None:
    if not isinstance(value, tuple | list) or not 1 <= len(value) <= 3:
        return None
    figures = [figure for each in value if (figure := _number(each)) is not None]
    return figures if len(figures) == len(value) else None


def _degrees(value: Any, ref: str, plus: str, minus: str, most: float) -> float | None:
    """Degrees, minutes and seconds with their hemisphere as degrees; None where they are none."""
    figures = _numbers(value)
    sign = ref.strip().upper()[:1]
    if figures is None or sign not in (plus, minus) or not sign:
        return None
    degrees, minutes, seconds = [*figures, 0.0, 0.0][:3]
    if min(figures) < 0.0 or minutes > 60.0 or seconds > 60.0:
        return None
    whole = degrees + minutes / 60.0 + seconds / 3600.0
    return None if whole > most else -whole if sign == minus else whole
